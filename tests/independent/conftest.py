"""Every test starts its random numbers anew, however often it is run."""

import pytest


@pytest.fixture(autouse=True)
def _from_the_beginning(request):
    if "chance" in request.fixturenames:
        request.getfixturevalue("chance").again()
