"""Where more or less of a quantity changes nothing: one answer, and a sentence, instead of rounding's many."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import chalkwatt as cw
from chalkwatt.algebra.solving import bracketed_roots

G = 9.80665


@settings(max_examples=25)
@given(
    st.floats(0.3, 60.0),
    st.floats(40.0, 30_000.0),
    st.floats(0.05, 1.2),
    st.floats(0.2, 1.0),
    st.floats(0.3, 1.0),
    st.sampled_from(["time_over_distance", "exit_speed"]),
)
def test_the_least_power_that_the_tyres_can_use(
    distance, mass, friction, share, efficiency, result
):
    """By hand: the tyres hold a constant force, and at the end of the sprint the power is its product."""
    acceleration = friction * share * G
    speed = math.sqrt(2 * acceleration * distance)
    start = {
        "sprint_distance": distance,
        "mass": mass,
        "friction": friction,
        "driven_weight_share": share,
        "drive_efficiency": efficiency,
    }
    value = speed if result == "exit_speed" else speed / acceleration
    answer = cw.launch.find("motor_power", **start, **{result: value})
    (least,) = answer.solutions_si
    assert least == pytest.approx(mass * acceleration * speed / efficiency, rel=1e-6)
    assert f"Motor power: more of it gives the same {result.replace('_', ' ')}." in answer.notes
    # The other way round, with half as much again, the distance is found, too.
    start["motor_power"] = 1.5 * least
    del start["sprint_distance"]
    back = cw.launch.find("sprint_distance", **start, **{result: value})
    assert min(abs(one - distance) for one in back.solutions_si) < 1e-6 * distance


ROLLING_DOWN = {
    "battery_power": 350.0, "grade": -0.05, "drag_area": 0.42, "mass": 980.0, "air_density": 1.2,
    "rolling_coefficient": 0.0085, "auxiliary_power": 350.0, "drive_efficiency": 0.86, "speed": 15.0,
}  # fmt: skip


@pytest.mark.parametrize(
    ("wanted", "side"), [("speed", "less"), ("mass", "more"), ("grade", "less")]
)
def test_where_the_road_drives_one_side_does_as_well(wanted, side):
    known = {name: value for name, value in ROLLING_DOWN.items() if name != wanted}
    answer = cw.load.find(wanted, **known)
    words = f"{wanted.capitalize()}: {side} of it gives the same battery power."
    assert words in answer.notes
    # At the end of the stretch the road just stops driving.
    there = ROLLING_DOWN | {wanted: answer.si}
    angle = math.atan(there["grade"])
    force = 0.5 * 1.2 * 0.42 * there["speed"] ** 2
    force += there["mass"] * G * (0.0085 * math.cos(angle) + math.sin(angle))
    assert abs(force) < 1e-6 * there["mass"]


def test_what_has_no_say_is_not_called_impossible():
    known = {name: one for name, one in ROLLING_DOWN.items() if name != "drive_efficiency"}
    with pytest.raises(cw.NoSolutionError, match="Every drive efficiency gives this battery power"):
        cw.load.find("drive_efficiency", **known)


def test_where_nothing_is_flat_nothing_is_said():
    start = {"mass": 1180, "drive_efficiency": 0.9, "friction": 0.9, "driven_weight_share": 0.55}
    answer = cw.launch.find("motor_power", time_to_speed="9 s", target_speed="100 km/h", **start)
    assert not [one for one in answer.notes if "gives the same" in one]


def test_the_place_of_a_least_is_where_it_is_first_reached():
    """From 200 A at 400 V on, more power of the station serves nothing: 42 kWh at 80 kW take half an hour."""
    charged = {
        "usable_energy": "60 kWh",
        "state_of_charge_from": 0.1,
        "state_of_charge_to": 0.8,
        "station_current_max": "200 A",
        "charging_voltage": "400 V",
    }
    with pytest.raises(cw.NoSolutionError) as caught:
        cw.charge.find("station_power_max", charging_time="5 min", **charged)
    assert "is 31.50 min, at a maximum station power of 80.00 kW" in str(caught.value)
    # What tyres allow is told in words of its own, with the least time and without a power.
    start = {"mass": 1800, "drive_efficiency": 0.885, "friction": 0.97, "driven_weight_share": 0.6}
    speed = 60 * 0.44704
    with pytest.raises(cw.NoSolutionError, match=f"takes {speed / (0.97 * 0.6 * G):.3f} s"):
        cw.launch.find("motor_power", time_to_speed="3 s", target_speed=speed, **start)


@pytest.mark.parametrize("edge", [3.0, 41.7, 0.2])
@pytest.mark.parametrize("away", [1e-9, 1e-3, 0.4])
def test_a_root_next_to_where_a_function_ends_is_found(edge, away):
    root = edge * (1 - away)

    def function(t, _pick):
        return np.sqrt(edge - t) - math.sqrt(edge - root)

    grid = np.linspace(0.0, 1000.0, 9)
    found = bracketed_roots(function, lambda t, _pick: -0.5 / np.sqrt(edge - t), 1, grid)
    assert found.ravel() == pytest.approx([root], rel=1e-9)


def test_rounding_is_no_root():
    # (1 + t) − t is one, but beyond 2⁵³ it is nought or two.
    def function(t, _pick):
        return ((1 + t) - t) - 0.5

    found = bracketed_roots(
        function,
        lambda t, _pick: np.ones_like(t),
        1,
        np.linspace(0, 1e17, 50),
        size_of=lambda _t, _pick: 1.5,
    )
    assert np.isnan(found).all()


@pytest.mark.parametrize("first", [-7.0, 2.0, 35.0])
@pytest.mark.parametrize("width", [0.5, 20.0])
def test_both_ends_of_a_flat_stretch(first, width):
    last = first + width

    def function(t, _pick):
        return np.maximum(t - last, 0) - np.maximum(first - t, 0)

    found = bracketed_roots(
        function,
        lambda t, _pick: np.where((t > first) & (t < last), 0.0, 1.0),
        1,
        np.linspace(-100, 100, 2001),
        size_of=lambda t, _pick: np.abs(t) + 100,
        kinks=[lambda t, _pick: t - first, lambda t, _pick: t - last],
    )
    assert found.ravel() == pytest.approx([first, last])
