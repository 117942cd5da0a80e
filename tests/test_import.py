"""`import chalkwatt` brings nothing heavy with it."""

import re
import subprocess
import sys
from pathlib import Path

import pytest

import chalkwatt as cw

HEAVY = {
    "numpy",
    "sympy",
    "pint",
    "scipy",
    "matplotlib",
    "ipywidgets",
    "anywidget",
    "pandas",
    "pvlib",
}


def loaded_after(code):
    made = subprocess.run(
        [sys.executable, "-c", f"{code}\nimport sys\nprint(*sorted(sys.modules))"],
        check=True,
        capture_output=True,
        text=True,
    )
    return set(made.stdout.split())


def test_nothing_heavy():
    # The interpreter's own start-up files may load something; only what is new counts.
    new = loaded_after("import chalkwatt") - loaded_after("pass")
    assert "chalkwatt" in new
    assert not HEAVY & new
    assert {one for one in new if one.startswith("chalkwatt")} == {"chalkwatt"}


def test_the_check_would_see_it():
    assert "numpy" in loaded_after("import numpy") - loaded_after("pass")


@pytest.mark.parametrize("name", cw.__all__)
def test_every_public_name_is_there(name):
    assert getattr(cw, name) is not None
    assert name in dir(cw)


def test_the_names_stand_in_the_stub_alone():
    stub = (Path(cw.__file__).parent / "__init__.pyi").read_text(encoding="utf-8")
    served = {
        line.rpartition(" as ")[2].strip(" ,)")
        for line in re.split(r"[\n,]", stub)
        if " as " in line
    }
    assert served == {*cw.__all__} - {"__version__"}
    assert {"load", "Sheet", "schedules", "run_board", "UnitError"} < served


def test_a_topic_is_no_module_of_its_name():
    import chalkwatt.topics.load

    assert cw.load is chalkwatt.topics.load.load


def test_an_unknown_name():
    with pytest.raises(AttributeError, match="has no attribute 'lode'"):
        cw.lode  # noqa: B018  asking is the point
