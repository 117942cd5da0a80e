"""Power that flows back into the battery: what a question is told that says nothing of recovery."""

import pytest

from chalkwatt import Sheet, load
from chalkwatt.errors import NoSolutionError
from tests.browsing import ROOT

SHEET = Sheet.read(ROOT / "assets" / "quillwort.toml")
ROAD = {
    "usable_energy": "30 kWh",
    "mass": "690 kg",
    "drag_area": 0.3,
    "air_density": 1.2,
    "rolling_coefficient": 0.0075,
    "drive_efficiency": 0.9,
    "auxiliary_power": "200 W",
}


def by_sheet(wanted, **conditions):
    return SHEET.find(wanted, **conditions)


def by_topic(wanted, **conditions):
    return load.find(wanted, **ROAD, **conditions)


@pytest.mark.parametrize("find", [by_sheet, by_topic])
@pytest.mark.parametrize("wanted", ["range", "speed"])
@pytest.mark.parametrize("power", ["-5 kW", "-200 W"])
def test_recovery_is_named_where_it_unlocks(find, wanted, power):
    asked = {"battery_power": power, "grade": "-10 %"}
    with pytest.raises(NoSolutionError, match="or give recovery_efficiency") as said:
        find(wanted, **asked)
    assert not said.value.endless
    asked["recovery_efficiency"] = 0.7
    if wanted == "speed":
        assert find(wanted, **asked).si > 0
    else:
        with pytest.raises(NoSolutionError, match="not limited by the battery") as said:
            find(wanted, **asked)
        assert "range" in said.value.endless


@pytest.mark.parametrize("find", [by_sheet, by_topic])
@pytest.mark.parametrize("grade", ["-5 %", "2 %", "0 %"])
def test_recovery_is_named_where_it_takes_more_than_that(find, grade):
    """By hand: 690 kg down 5 % give 287 N less drag, at most 4.4 kW, of which 0.8 are no 5 kW."""
    with pytest.raises(NoSolutionError, match="unless recovery_efficiency is given, too") as said:
        find("range", battery_power="-5 kW", grade=grade)
    assert "or give recovery" not in str(said.value)


@pytest.mark.parametrize("find", [by_sheet, by_topic])
def test_recovery_is_not_named_where_it_is_given_or_plays_no_part(find):
    with pytest.raises(NoSolutionError) as said:
        find("speed", battery_power="-5 kW", grade="-1 %", recovery_efficiency=0.6)
    assert "give recovery" not in str(said.value)
    assert "is given, too" not in str(said.value)
    with pytest.raises(NoSolutionError) as said:
        find("speed", battery_power="50 W", grade="0 %")
    assert "recovery" not in str(said.value)
