"""The table of conversions is a copy of pint's numbers; pint is the reference."""

import math
import subprocess
import sys

import pytest

from chalkwatt.laws.quantities import glossary
from chalkwatt.wording import units
from chalkwatt.wording.conversions import TABLE


@pytest.mark.parametrize("label", sorted(TABLE))
def test_every_row_is_pints_own(label):
    ureg = units.registry()
    pint_unit = units._pint_unit(label)
    factor, offset, _ = TABLE[label]
    for value in (0.0, 1.0, 37.5):
        expected = ureg.Quantity(value, pint_unit).to_base_units().magnitude
        assert math.isclose(value * factor + offset, expected, rel_tol=1e-14)


def test_rows_of_one_dimension_are_those_that_pint_converts():
    labels = sorted(TABLE)
    for first in labels:
        for second in labels:
            alike = (
                units._pint_unit(first).dimensionality == units._pint_unit(second).dimensionality
            )
            if {TABLE[first][2], TABLE[second][2]} == {"", "angle^1"}:
                continue  # an angle is a plain number to pint and not to us
            assert (TABLE[first][2] == TABLE[second][2]) == alike, (first, second)


def test_the_coefficient_bridge():
    # pint 0.25.3: 1 lbf/mph is 9.950388366277 N·s/m, 1 lbf/mph² is 22.258384856561 N·s²/m².
    assert math.isclose(units.unit("lbf/mph").factor, 9.950388366277, rel_tol=1e-12)
    assert math.isclose(units.unit("lbf/mph²").factor, 22.258384856561, rel_tol=1e-12)


def test_an_angle_is_no_plain_number():
    assert not units.same_dimension("°", "%")
    assert not units.same_dimension("arcminute", "")
    assert units.same_dimension("arcminute", "rad")


def test_every_label_of_the_glossary_has_a_row():
    labels = {one for entry in glossary().values() for one in (entry.unit, *entry.display)}
    missing = {
        one: (*units.unit(one)[1:], units.dimension(one)) for one in sorted(labels - set(TABLE))
    }
    assert not missing, f"add these rows to kit/chalkwatt/wording/conversions.py: {missing}"


def test_a_first_board_does_not_load_pint():
    code = (
        "import sys\nfrom chalkwatt import load\n"
        "load.board()._repr_mimebundle_()\nprint('pint' in sys.modules)"
    )
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert run.stdout.strip() == "False"
