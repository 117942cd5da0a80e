"""A test that sees nothing, to show that a change nobody notices is reported."""

import chalkwatt as cw


def test_blind():
    assert cw.load.find("grade_force", mass=1000, grade=0.1).si > 0
