"""Power that flows back: downhill, in a tail wind, on sunlight; from first principles, in plain Python."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

import chalkwatt as cw

G = 9.80665
CAR = st.fixed_dictionaries(
    {
        "speed": st.floats(0.5, 60.0),
        "grade": st.floats(-0.2, 0.2),
        "headwind": st.floats(-30.0, 30.0),
        "drag_area": st.floats(0.1, 3.0),
        "mass": st.floats(200.0, 20_000.0),
        "rolling_coefficient": st.floats(0.002, 0.03),
        "drive_efficiency": st.floats(0.3, 1.0),
        "recovery_efficiency": st.one_of(st.just(0.0), st.floats(0.01, 1.0)),
        "auxiliary_power": st.one_of(st.just(0.0), st.floats(1.0, 5000.0)),
        "air_density": st.floats(0.5, 1.5),
    }
)


def at_the_wheels(car):
    """Power at the wheels, by Newton: drag by the square of the speed through the air, grade by its angle."""
    through = car["speed"] + car["headwind"]
    angle = math.atan(car["grade"])
    force = 0.5 * car["air_density"] * car["drag_area"] * abs(through) * through
    force += car["mass"] * G * (car["rolling_coefficient"] * math.cos(angle) + math.sin(angle))
    return force * car["speed"]


def at_the_battery(car):
    """What the battery gives: the wheels' power over the efficiency, or a share of what they give back."""
    wheels = at_the_wheels(car)
    if wheels >= 0:
        return wheels / car["drive_efficiency"] + car["auxiliary_power"]
    return car["recovery_efficiency"] * wheels + car["auxiliary_power"]


@given(CAR)
def test_the_battery_against_first_principles(car):
    expected = at_the_battery(car)
    size = abs(at_the_wheels(car)) / car["drive_efficiency"] + car["auxiliary_power"]
    for topic in (cw.load, cw.vehicle, cw.sun):
        found = topic.find("battery_power", **car).si
        assert found == pytest.approx(expected, rel=1e-9, abs=1e-9 * size), topic.name


@given(CAR, st.floats(0.3, 1.0))
def test_a_worse_drive_never_charges_more(car, worse):
    better = car | {"drive_efficiency": max(worse, car["drive_efficiency"])}
    worse = car | {"drive_efficiency": min(worse, car["drive_efficiency"])}
    drawn = [cw.load.find("battery_power", **one).si for one in (better, worse)]
    assert drawn[1] >= drawn[0] - 1e-9 * abs(drawn[0])


@given(CAR)
def test_nothing_is_stored_unless_said(car):
    car.pop("recovery_efficiency")
    answer = cw.load.find("battery_power", **car)
    assert answer.si >= car["auxiliary_power"]
    if at_the_wheels(car) < -1:
        assert answer.si == pytest.approx(car["auxiliary_power"], rel=1e-9)
        assert answer.assumed["recovery_efficiency"] == 0
        assert "Nothing recovered" in answer.working.text


@given(CAR, st.floats(1e7, 4e8))
def test_a_range_is_there_or_the_battery_does_not_limit_it(car, energy):
    drawn = at_the_battery(car)
    size = abs(at_the_wheels(car)) + car["auxiliary_power"]
    if abs(drawn) < 1e-9 * size:
        return
    if drawn > 0:
        found = cw.load.find("range", usable_energy=energy, **car).si
        assert found == pytest.approx(energy / drawn * car["speed"], rel=1e-6)
        return
    for wanted in ("range", "consumption", "driving_time"):
        given_energy = {} if wanted == "consumption" else {"usable_energy": energy}
        with pytest.raises(cw.NoSolutionError, match="not limited by the battery"):
            cw.load.find(wanted, **given_energy, **car)


def test_a_level_road_keeps_the_plain_line():
    """Where the bounds say that the wheels take power, a reader sees no greatest of two."""
    level = cw.load.find(
        "battery_power",
        speed="80 km/h",
        drag_area=0.7,
        mass=1500,
        rolling_coefficient=0.01,
        drive_efficiency=0.9,
        auxiliary_power=300,
        recovery_efficiency=0.5,
    )
    assert "P_bat = P_wheel / η_drive + P_aux" in level.working.text
    assert "max" not in level.working.text
    assert level.plan.steps[-1].by == "formula"


@pytest.mark.parametrize("grade", ["-3 %", "-9 %"])
def test_a_chain_is_not_walked_backwards(grade):
    chain = {f"{one}_efficiency": 0.95 for one in ("battery", "inverter", "motor", "gear", "tyre")}
    car = {"speed": "50 km/h", "drag_area": 0.5, "mass": 1400, "rolling_coefficient": 0.009}
    known = {**chain, **car, "auxiliary_power": 200, "grade": grade}
    assert cw.drive.find("battery_loss", **known).si == 0  # nothing is drawn for driving
    with pytest.raises(cw.NoSolutionError, match="no power passes"):
        cw.drive.find("tyre_loss", **known)
    with pytest.raises(cw.NoSolutionError, match="no power passes"):
        cw.drive.find("motor_loss", recovery_efficiency=0.6, **known)


SUNNY = st.fixed_dictionaries(
    {
        "irradiance": st.one_of(st.just(0.0), st.floats(1.0, 1000.0)),
        "grade": st.floats(-0.1, 0.05),
        "headwind": st.floats(-25.0, 25.0),
        "panel_area": st.floats(0.5, 8.0),
        "panel_efficiency": st.floats(0.1, 0.3),
        "drag_area": st.floats(0.1, 1.0),
        "mass": st.floats(200.0, 2000.0),
        "rolling_coefficient": st.floats(0.003, 0.015),
        "drive_efficiency": st.floats(0.5, 1.0),
        "auxiliary_power": st.one_of(st.just(0.0), st.floats(1.0, 800.0)),
        "air_density": st.floats(0.8, 1.3),
    }
)


@given(SUNNY)
def test_on_sunlight_a_vehicle_drives_rolls_or_rests(car):
    """Every speed at which sun and slope meet the road, by a scan; rest only where nothing moves it."""
    surplus = car["irradiance"] * car["panel_area"] * car["panel_efficiency"]
    surplus = (surplus - car["auxiliary_power"]) * car["drive_efficiency"]
    angle = math.atan(car["grade"])
    weight = car["mass"] * G
    steady = weight * (car["rolling_coefficient"] * math.cos(angle) + math.sin(angle))
    speeds = np.linspace(0.0, 200.0, 40_001)[1:]
    through = speeds + car["headwind"]
    force = 0.5 * car["air_density"] * car["drag_area"] * np.abs(through) * through + steady
    left = force * speeds - max(surplus, 0.0)
    crossings = speeds[1:][np.sign(left[1:]) != np.sign(left[:-1])]
    answer = cw.sun.find("equilibrium_speed", **car)
    found = [one for one in answer.solutions_si if one > 0.005]
    assert len(crossings) <= len(found), "a speed of the scan was not found"
    for one in crossings:
        assert min(abs(one - other) for other in found) < 0.006
    if surplus <= 0 and not found:
        assert answer.si == 0
        assert "does not move" in " ".join(answer.notes)
    if surplus < 0 and found:
        assert 0 not in answer.solutions_si
        assert "slope or wind alone" in " ".join(answer.notes)


@given(
    st.floats(-30.0, 30.0),
    st.floats(10.0, 5000.0),
    st.floats(0.2, 2.0),
    st.floats(0.5, 1.0),
    st.one_of(st.just(0.0), st.floats(0.1, 5.0)),
)
def test_the_most_economical_speed_knows_the_wind(wind, auxiliary, area, efficiency, linear):
    """The least of the consumption, by a scan of it; rolling costs the same at any speed."""
    known = {
        "headwind": wind,
        "auxiliary_power": auxiliary,
        "drag_area": area,
        "drive_efficiency": efficiency,
        "air_density": 1.2,
        "coast_down_linear": linear,
        "mass": 1000.0,
        "rolling_coefficient": 0.01,
    }
    speeds = np.geomspace(0.2, 200.0, 60_001)
    through = speeds + wind
    force = 0.5 * 1.2 * area * np.abs(through) * through + linear * speeds + 10.0 * 9.80665
    # Nothing is recovered: where wind drives the vehicle, the wheels give nothing back.
    cost = np.maximum(force, 0) / efficiency + auxiliary / speeds
    inner = (cost[1:-1] < cost[:-2]) & (cost[1:-1] <= cost[2:])
    hollows = np.flatnonzero(inner) + 1
    found = cw.load.find("economical_speed", **known).solutions_si
    assert bool(len(hollows)) == bool([one for one in found if 0.21 < one < 199])
    # Of several hollows the deepest is meant, to the step of the scan.
    for one in found:
        place = np.argmin(np.abs(speeds[hollows] - one))
        least = speeds[hollows[place]]
        assert abs(one - least) < 4e-4 * least + 1e-3
        assert cost[hollows[place]] <= cost[hollows].min() * (1 + 1e-6)
