"""The WLTC: its phases, the classes at their limits, and the cycle of a vehicle too weak for it."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

import chalkwatt as cw
from chalkwatt.errors import OutOfBoundsError
from chalkwatt.runs.schedule.wltc_downscaling import ROWS
from tests.external import published

CLASSES = ("1", "2", "3a", "3b")
VAN = {"mass": 1400.0, "drag_area": 0.8, "rolling_coefficient": 0.01, "air_density": 1.2}


def tenths(schedule):
    return np.round(schedule.speeds * 36).astype(int)


@pytest.mark.parametrize("name", CLASSES)
def test_phases_follow_each_other_at_rest(name):
    cycle = cw.schedules.wltc(name)
    assert [phase.first for phase in cycle.phases[1:]] == [
        phase.last for phase in cycle.phases[:-1]
    ]
    for phase in cycle.phases:
        assert phase.speeds[0] == phase.speeds[-1] == 0
    whole = sum(phase.distance.magnitude for phase in cycle.phases)
    assert whole == pytest.approx(cycle.distance.magnitude, rel=1e-12)
    assert cycle.phases[-1].last == len(cycle.times) - 1
    assert cycle.city.duration.magnitude == 1022
    assert cycle.city.phases.names == ("low", "medium")
    assert "UN Regulation No. 154" in cycle.source


def test_class_1_ends_with_its_low_phase_again():
    cycle = cw.schedules.wltc(1)
    assert cycle.phases.names == ("low", "medium", "low (2)")
    assert np.array_equal(cycle.phases["low"].speeds, cycle.phases["low (2)"].speeds)


@pytest.mark.parametrize("name", ["3b", "3B", " class 3b", cw.schedules.wltc("3b").vehicle_class])
def test_a_class_is_written_in_many_ways(name):
    assert cw.schedules.wltc(name) is cw.schedules.wltc("3b")


@pytest.mark.parametrize(
    ("name", "message"),
    [
        (3, r"two cycles, by top speed. Did you mean wltc\('3a'\) or wltc\('3b'\)"),
        ("4", r"no WLTC of class '4'"),
        ("", "no WLTC of class ''"),
    ],
)
def test_no_such_class(name, message):
    with pytest.raises(cw.NameUnknownError, match=message):
        cw.schedules.wltc(name)


@pytest.mark.parametrize(
    ("power", "mass", "top", "expected"),
    [
        ("22 kW", "1000 kg", None, "1"),
        ("22.001 kW", "1000 kg", None, "2"),
        ("34 kW", "1000 kg", None, "2"),
        ("38.148 kW", "1122 kg", None, "2"),
        ("34.001 kW", "1000 kg", "119.999 km/h", "3a"),
        ("34.001 kW", "1000 kg", "120 km/h", "3b"),
        (1e5, 1000, 120 / 3.6, "3b"),
        ("46 hp", "1 t", "74 mph", "3a"),
        ("46 hp", "1 t", "75 mph", "3b"),
    ],
)
def test_classes_at_their_limits(power, mass, top, expected):
    made = cw.schedules.wltc_class(rated_power=power, unladen_mass=mass, top_speed=top)
    assert made == expected
    assert cw.schedules.wltc(made).vehicle_class == expected


def test_an_electric_vehicle_is_of_class_3_whatever_its_power():
    weak = {"rated_power": "2 kW", "unladen_mass": "300 kg", "top_speed": "90 km/h"}
    assert cw.schedules.wltc_class(**weak, electric=True) == "3a"
    made = cw.schedules.wltc_class(**weak)
    assert made == "1"
    assert "electric" in repr(made)
    assert "electric" in repr(cw.schedules.wltc(made))
    assert "electric" not in repr(cw.schedules.wltc("1"))


@pytest.mark.parametrize(
    ("changed", "kind", "message"),
    [
        ({"top_speed": None}, cw.TooLittleKnownError, "between 3a and 3b"),
        ({"top_speed": "0 km/h"}, cw.OutOfBoundsError, "top_speed = 0 m/s"),
        ({"rated_power": -5}, cw.OutOfBoundsError, "rated_power = -5 W"),
        ({"rated_power": float("nan")}, cw.OutOfBoundsError, "rated_power = nan W"),
        ({"unladen_mass": float("inf")}, cw.OutOfBoundsError, "unladen_mass = inf kg"),
        ({"unladen_mass": "9 kWh"}, cw.UnitError, "kWh does not measure what kg does"),
        ({"rated_power": None}, cw.UnitError, "None is not a number of W"),
        ({"rated_power": True}, cw.UnitError, "True is not a number of W"),
    ],
)
def test_what_decides_no_class(changed, kind, message):
    known = {"rated_power": "90 kW", "unladen_mass": "1500 kg", "top_speed": "150 km/h"}
    with pytest.raises(kind, match=message):
        cw.schedules.wltc_class(**{**known, **changed})


@pytest.mark.parametrize("name", CLASSES)
def test_downscaling_makes_accelerations_smaller_and_meets_the_cycle_again(name):
    cycle, row, factor = cw.schedules.wltc(name), ROWS[name], 0.15
    made = cycle.downscaled(factor)
    changed = np.flatnonzero(made.speeds != cycle.speeds)
    assert changed[0] == row.first + 1
    assert changed[-1] == row.end - 1
    before, after = np.diff(cycle.speeds), np.diff(made.speeds)
    up = slice(row.first, row.top)
    assert after[up] == pytest.approx(before[up] * (1 - factor), abs=1e-12)
    # Every deceleration is flattened alike, the last one on to the printed speed included.
    down = slice(row.top, row.end)
    flatter = (made.speeds[row.top] - cycle.speeds[row.end]) / (
        cycle.speeds[row.top] - cycle.speeds[row.end]
    )
    assert after[down] == pytest.approx(before[down] * flatter, abs=1e-12)
    assert made.phases.names == cycle.phases.names
    assert made.duration == cycle.duration
    assert made.distance < cycle.distance


@given(
    name=st.sampled_from(CLASSES),
    power=st.floats(2e3, 2e5),
    mass=st.floats(200, 3500),
    area=st.floats(0.1, 4),
    rolling=st.floats(0, 0.03),
)
def test_the_factor_is_that_of_the_power_needed(name, power, mass, area, rolling):
    """The regulation's sum in newtons, km/h and kilowatts, written here once more."""
    cycle, row = cw.schedules.wltc(name), ROWS[name]
    speed = cycle.speeds[row.asking] * 3.6
    f0, f2 = rolling * mass * 9.80665, 0.5 * 1.2 * area / 3.6**2
    needed = (f0 * speed + f2 * speed**3 + 1.03 * mass * speed * row.acceleration) / 3600
    ratio = needed / (power / 1000)
    made = cycle.downscaling(
        rated_power=power, mass=mass, drag_area=area, rolling_coefficient=rolling, air_density=1.2
    )
    assert made.required_power.to("kW").magnitude == pytest.approx(needed)
    expected = row.slope * ratio + row.constant if ratio >= row.limit else 0
    assert made.factor == pytest.approx(expected, abs=0.00051)
    assert made.applies == (made.factor > 0.010 and not made.too_weak)


def test_no_factor_at_the_limit():
    """The three coefficients of a class are one statement: nothing changes at the limit."""
    for row in ROWS.values():
        assert row.slope * row.limit + row.constant == pytest.approx(0, abs=0.0005)


def test_a_strong_van_drives_the_cycle_as_it_is_printed():
    made = cw.schedules.wltc("3b").downscaling(rated_power="80 kW", **VAN)
    assert made.factor == 0
    assert made.schedule is cw.schedules.wltc("3b")
    assert "below 0.867: not downscaled" in made.reason


def test_a_small_factor_changes_nothing_and_says_so():
    needed = cw.schedules.wltc("3b").downscaling(rated_power="80 kW", **VAN).needed
    made = cw.schedules.wltc("3b").downscaling(rated_power=needed / 0.875, **VAN)
    assert made.factor == pytest.approx(0.005, abs=0.0005)
    assert not made.applies
    assert made.schedule is cw.schedules.wltc("3b")
    assert "does not exceed 0.010, so the cycle stays" in made.reason
    with pytest.raises(cw.OutOfBoundsError, match=r"cannot be downscaled by 0\.01\. A factor of"):
        cw.schedules.wltc("3b").downscaled(0.010)


def test_a_vehicle_may_be_too_weak_for_downscaling_too():
    made = cw.schedules.wltc("3b").downscaling(rated_power="12 kW", **VAN)
    with pytest.raises(cw.OutOfBoundsError, match="too weak for this cycle"):
        made.schedule  # noqa: B018  asked for its error
    with pytest.raises(cw.ChalkwattError, match="downscaled already"):
        cw.schedules.wltc("3b").downscaled(0.1).downscaled(0.1)
    with pytest.raises(cw.OutOfBoundsError, match="rated_power = 0 W"):
        cw.schedules.wltc("3b").downscaling(rated_power=0, **VAN)
    with pytest.raises(cw.ChalkwattError, match="single"):
        cw.schedules.wltc("3b").downscaling(rated_power=9e3, **{**VAN, "drag_area": [0.5, 0.6]})


@pytest.mark.parametrize("name", CLASSES)
@pytest.mark.parametrize("cap", [57.0, 63.5, 70.0, 90.0, 110.0, 131.0])
def test_a_capped_cycle_is_as_long_and_no_faster(name, cap):
    """Distances by phase are met to half a second at the cap, and nothing else is changed."""
    cycle = cw.schedules.wltc(name)
    made = cycle.capped(f"{cap} km/h")
    for before, after in zip(cycle.phases, made.phases, strict=True):
        assert after.name == before.name
        assert after.speeds.max() == pytest.approx(min(before.speeds.max(), cap / 3.6))
        shift = after.distance.to("m").magnitude - before.distance.to("m").magnitude
        assert abs(shift) <= cap / 3.6 * 0.5 + 1e-6
        added = len(after.times) - len(before.times)
        assert (added > 0) == (before.speeds.max() * 3.6 > cap + 0.5) or added in {0, 1}
        if before.speeds.max() * 3.6 <= cap:
            assert np.array_equal(before.speeds, after.speeds)
        slower = before.speeds[before.speeds * 3.6 < cap]
        assert np.array_equal(after.speeds[after.speeds * 3.6 < cap - 1e-9], slower)
    assert np.all(np.diff(made.times) == 1)


def test_capping_of_one_phase_by_hand():
    """Class 3a at 130 km/h: what is faster, and the seconds that make up for it."""
    cycle = cw.schedules.wltc("3a")
    speeds = np.round(cycle.speeds * 36) / 10
    missing = np.maximum(speeds - 130, 0).sum()  # the trapezium rule; both ends are nought
    made = cycle.capped("130 km/h")
    assert made.duration.magnitude == 1800 + round(missing / 130)


def test_what_cannot_be_capped():
    cycle = cw.schedules.wltc("3b")
    assert cycle.capped("140 km/h") is cycle
    with pytest.raises(cw.OutOfBoundsError, match=r"50\.00 km/h is not above the 56\.50 km/h"):
        cycle.capped("50 km/h")
    with pytest.raises(cw.OutOfBoundsError, match="not above"):
        cycle.capped(float("nan"))
    with pytest.raises(cw.UnitError, match="W does not measure"):
        cycle.capped("5 W")
    lower = cycle.downscaled(0.1).capped("100 km/h")
    assert lower.name == "WLTC 3b, downscaled by 0.1, capped at 100.0 km/h"
    for again in (lower.capped, lower.downscaled):
        with pytest.raises(cw.ChalkwattError, match="is capped already"):
            again(30)


@pytest.mark.parametrize("factor", [True, "much", None, float("nan"), [0.1, 0.2], -1, 1])
def test_no_factor(factor):
    with pytest.raises(cw.ChalkwattError, match=r"factor|downscaled|number with a unit"):
        cw.schedules.wltc("3b").downscaled(factor)


@pytest.mark.parametrize(
    ("name", "expected"),
    [
        ("wltc 3b", "WLTC 3b"),
        ("WLTC class 3b", "WLTC 3b"),
        ("wltp-3B", "WLTC 3b"),
        ("WLTC 3a low", "WLTC 3a low"),
        ("wltc 1 low (2)", "WLTC 1 low (2)"),
        ("wltc 3b city", "WLTC 3b city"),
        ("Nedc", "NEDC"),
        ("nedc eudc", "NEDC EUDC"),
        ("ece 15", "ECE-15"),
    ],
)
def test_schedules_by_name(name, expected):
    assert cw.schedules.named(name).name == expected
    car = {**VAN, "drive_efficiency": 0.9}
    assert cw.drive_schedule(name, **car).name == expected


def test_every_listed_name_is_known():
    for name in cw.schedules.names():
        assert cw.schedules.named(name).name == name


@pytest.mark.parametrize(
    ("name", "message"),
    [
        ("wltc", "does not say of which class. Did you mean WLTC 1 or"),
        ("wltc 3", "does not say of which class"),
        ("nede", "There is no schedule called 'nede'.*Did you mean NEDC"),
        ("", "There is no schedule called ''"),
        ("UDDS", 'cw.schedules.read\\(path, claims="UDDS"\\)'),
        ("wltc 3b hihg", "is no part of WLTC 3b; it has low, medium, high, extra high, city"),
        (7, "7 is not a schedule"),
        (cw.schedules.wltc, r"does not say of which class. Did you mean cw.schedules.wltc\("),
    ],
)
def test_no_schedule_of_that_name(name, message):
    with pytest.raises(cw.NameUnknownError, match=message):
        cw.drive_schedule(name, **VAN, drive_efficiency=0.9)


def test_the_rows_of_downscaling_are_those_printed():
    for case in published("schedules", "wltc-downscaling"):
        row = ROWS[case.given["vehicle_class"]]
        speeds = cw.schedules.wltc(case.given["vehicle_class"]).speeds
        case.check(
            {
                "speed_where_most_is_asked": speeds[row.asking] * 3.6,
                "acceleration_where_most_is_asked": speeds[row.asking + 1] - speeds[row.asking],
                "speed_at_the_end": speeds[row.end] * 3.6,
                "top_speed": speeds[row.top] * 3.6,
            }[case.quantity]
        )
        assert speeds[row.top] == speeds.max() or case.given["vehicle_class"] == "1"


@pytest.mark.parametrize(
    ("kind", "road"),
    [
        ("3b", {"rated_power": "6 kW", "mass": "505 kg", "drag_area": 0.61}),
        ("3a", {"rated_power": "9 hp", "mass": "700 kg", "drag_area": 0.5}),
        ("1", {"rated_power": "1 kW", "mass": "505 kg", "drag_area": 0.61}),
        ("2", {"rated_power": "3 kW", "mass": "505 kg", "drag_area": 0.61}),
    ],
)
def test_too_weak_to_be_downscaled_is_said_at_once(kind, road):
    made = cw.schedules.wltc(kind).downscaling(rolling_coefficient=0.0105, **road)
    assert made.too_weak
    assert not made.applies
    assert "too weak for this cycle" in made.reason
    assert "downscaled by a factor" not in repr(made)
    with pytest.raises(OutOfBoundsError, match="too weak"):
        _ = made.schedule


def test_one_that_can_just_be_downscaled_is_not_too_weak():
    cycle = cw.schedules.wltc("3b")
    road = {"mass": "505 kg", "drag_area": 0.61, "rolling_coefficient": 0.0105}
    for kilowatts in np.linspace(5, 30, 26):
        made = cycle.downscaling(rated_power=kilowatts * 1e3, **road)
        if made.too_weak:
            with pytest.raises(OutOfBoundsError):
                cycle.downscaled(made.factor)
        else:
            assert made.schedule.factor == (made.factor if made.applies else 0)
