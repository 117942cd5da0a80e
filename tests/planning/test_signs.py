"""What the bounds alone say of a sign, at nought itself."""

import pytest

from chalkwatt.laws.quantities import look_up
from chalkwatt.planning.signs import never_negative, settled, surely_inside


@pytest.mark.parametrize(
    ("name", "tree"),
    [
        # No mass is nought, and a nought times a mass is.
        ("effective_mass", ("*", 0, "mass")),
        ("effective_mass", 0),
        ("effective_mass", -1.5),
        # A vehicle may stand: its speed is nought, and a quotient by it has no end.
        ("driving_time", ("/", "range", "speed")),
        ("driving_time", ("/", "range", 0)),
        ("effective_mass", "wheel_power"),
        # A share may not be above one.
        ("drive_efficiency", ("*", "drive_efficiency", "mass")),
    ],
)
def test_what_may_be_outside_is_not_sure_to_be_inside(name, tree):
    assert not surely_inside(name, tree)


def test_what_is_above_nought_is_sure():
    assert look_up("effective_mass").open_bounds[0]
    assert not look_up("speed").open_bounds[0]
    assert surely_inside("effective_mass", ("*", 2, "mass"))
    assert surely_inside("effective_mass", 1e-9)
    assert surely_inside("rolling_force", ("*", "speed", 0))
    assert surely_inside("driving_time", ("/", "range", 3))


def test_nought_is_not_negative_and_the_greater_of_it_and_itself_is_one():
    assert never_negative(0)
    assert not never_negative(-1e-300)
    assert settled(("max", "mass", 0)) == "mass"
    assert settled(("max", ("-", "mass"), 0)) == 0
    assert settled(("max", "grade", 0)) == ("max", "grade", 0)
