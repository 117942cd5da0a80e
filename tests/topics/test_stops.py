"""Stop and go: there must be room for speeding up and slowing down, whatever is asked."""

import numpy as np
import pytest

from chalkwatt import stops
from chalkwatt.errors import ChalkwattError, NoSolutionError
from tests.independent import chances

EXAMPLE = dict(stops.example)


def without(*names, **more):
    return {one: value for one, value in EXAMPLE.items() if one not in names} | more


def most(spacing, up, down):
    """The speed at which a vehicle must slow down as soon as it has sped up."""
    return (2 * spacing / (1 / up + 1 / down)) ** 0.5


@pytest.mark.parametrize("result", ["stop_wheel_energy", "braking_energy"])
@pytest.mark.parametrize("grade", [0.0, -0.02])
@pytest.mark.parametrize("chance", chances("room", 3))
def test_no_speed_without_room_for_it(result, grade, chance):
    spacing = chance.uniform(80, 900)
    up, down = chance.uniform(0.4, 2.5), chance.uniform(0.4, 2.5)
    limit = most(spacing, up, down)
    known = without(
        "peak_speed", stop_spacing=spacing, acceleration=up, deceleration=down, grade=grade
    )
    speed = chance.uniform(0.4, 0.95) * limit
    made = stops.find(result, peak_speed=speed, **known).si
    found = stops.find("peak_speed", **{result: made}, **known).solutions_si
    assert np.max(found) <= limit * (1 + 1e-9)
    assert np.min(np.abs(np.array(found) - speed)) < 1e-6 * speed
    reached = [stops.find(result, peak_speed=share * limit, **known).si for share in (0.5, 0.9, 1)]
    with pytest.raises(ChalkwattError) as caught:
        stops.find("peak_speed", **{result: 3 * max(reached)}, **known)
    assert "do not go together" not in str(caught.value)


@pytest.mark.parametrize(
    "wanted",
    [
        "recovered_energy",
        "braking_energy",
        "stop_wheel_energy",
        "consumption",
        "schedule_speed",
        "peak_wheel_power",
        "speeding_up_distance",
        "slowing_down_distance",
        "rolling_on_distance",
    ],
)
def test_a_stop_that_is_too_near_is_said_to_be(wanted):
    assert most(200, 1.2, 1.5) < 100 / 3.6
    with pytest.raises(NoSolutionError, match="stop to stop is too short") as caught:
        stops.find(wanted, **EXAMPLE | {"peak_speed": "100 km/h", "stop_spacing": "200 m"})
    advised = "Change one of acceleration, deceleration, peak_speed, stop_spacing."
    assert caught.value.advice == advised


def test_many_at_once_leave_out_the_same():
    speeds = np.array([10.0, 20.0, 25.8, 25.9, 40.0, 70.0])
    fits = speeds <= most(500, 1.2, 1.5)
    assert 0 < fits.sum() < len(fits)
    known = stops.read(without("peak_speed"))
    for wanted in ("recovered_energy", "speeding_up_distance", "peak_wheel_power", "consumption"):
        found = stops.find(wanted, peak_speed=speeds, **known).si
        assert np.isfinite(found).tolist() == fits.tolist()
        compiled = stops.compile(wanted, known=("peak_speed", *known))
        assert np.isfinite(compiled(speeds, *known.values())).tolist() == fits.tolist()


def test_where_no_spacing_is_known_none_is_asked_for():
    known = without("stop_spacing", "standing_time", peak_speed="200 km/h")
    assert stops.find("speeding_up_distance", **known).si == pytest.approx((200 / 3.6) ** 2 / 2.4)
    assert stops.find("peak_wheel_power", **known).si > 0


def test_a_run_that_only_just_fits():
    limit = most(500, 1.2, 1.5)
    found = stops.find("rolling_on_distance", **without(peak_speed=limit)).si
    assert found == pytest.approx(0.0, abs=1e-9)


def test_a_time_that_is_too_short_is_said_to_be():
    with pytest.raises(NoSolutionError, match="time from stop to stop is too short"):
        stops.find("stop_spacing", running_time="10 s", **without("stop_spacing"))


def test_a_run_begins_by_speeding_up():
    with pytest.raises(NoSolutionError, match="begins by speeding up"):
        stops.find("speeding_up_distance", peak_speed=10.0, acceleration=-1.0)


def test_on_a_steep_fall_no_wheel_drives():
    with pytest.raises(NoSolutionError, match="the wheels never do"):
        stops.find("peak_wheel_power", **EXAMPLE | {"grade": -0.3})
