"""Braking on signed slopes and in signed winds, asked backwards, against a scan that knows no algebra."""

import math

import numpy as np
import pytest

from chalkwatt import ChalkwattError, braking, stops
from tests.independent import chances

G = 9.80665
AIR = 1.2


def vehicle(chance):
    return {
        "mass": chance.uniform(500, 2500),
        "drag_area": chance.uniform(0.2, 1.2),
        "rolling_coefficient": chance.uniform(0.005, 0.02),
        "rotating_mass_factor": chance.uniform(1, 1.1),
        "grade": chance.choice([0.0, chance.uniform(-0.12, 0.06), chance.uniform(-0.03, 0.0)]),
    }


def found_by(topic, wanted, scan, given):
    try:
        made = topic.find(wanted, **given, air_density=AIR).solutions_si
    except ChalkwattError:
        return []
    return [one for one in made if scan[0] < one < scan[-1]]


def crossings(scan, off):
    return scan[:-1][off[:-1] * off[1:] < 0]


def slowed(k):
    """Deceleration, distance, time and heat of the brakes; not-a-number where the vehicle does not slow."""
    lean, through = np.arctan(k["grade"]), k["speed"] + k["headwind"]
    weight = k["mass"] * G
    road = 0.5 * AIR * k["drag_area"] * np.abs(through) * through
    road = road + weight * (k["rolling_coefficient"] * np.cos(lean) + np.sin(lean))
    inert = k["mass"] * k["rotating_mass_factor"]
    rate = (k["brake_force"] + road) / inert
    distance = (k["speed"] ** 2 - k["end_speed"] ** 2) / (2 * rate)
    heat = k["brake_force"] * distance
    good = (rate > 0) & (k["speed"] >= k["end_speed"])
    every = {
        "deceleration": rate,
        "braking_distance": distance,
        "braking_time": (k["speed"] - k["end_speed"]) / rate,
        "braking_energy": heat,
    }
    return {name: np.where(good, one, np.nan) for name, one in every.items()}


BRAKED = {
    "speed": np.linspace(0.0123, 130, 200_001),
    "mass": np.geomspace(5.0123, 9e4, 200_001),
    "grade": np.linspace(-0.90123, 0.9, 200_001),
    "headwind": np.linspace(-90.0123, 90, 200_001),
    "brake_force": np.linspace(0.123, 9e4, 200_001),
    "drag_area": np.geomspace(1.1e-2, 50, 200_001),
}


@pytest.mark.parametrize("chance", chances("braked on slopes", 12))
def test_every_quantity_of_braking_backwards(chance):
    known = vehicle(chance) | {
        "speed": chance.uniform(10, 50),
        "end_speed": chance.uniform(1, 9),
        "headwind": chance.choice([0.0, chance.uniform(-30, 20)]),
        "brake_force": chance.uniform(600, 9000),
    }
    for name, value in slowed(known).items():
        if not np.isfinite(value):
            return
        target = float(value) * chance.choice([1.0, 0.83])
        for wanted, scan in BRAKED.items():
            expected = crossings(scan, slowed(known | {wanted: scan})[name] + 0 * scan - target)
            given = {one: other for one, other in known.items() if one != wanted}
            found = found_by(braking, wanted, scan, given | {name: target})
            assert sorted(found) == pytest.approx(list(expected), rel=3e-3, abs=1e-3), (
                wanted,
                name,
            )


def halves(first, last):
    """The mean of what is above and of what is below nought of a force that runs evenly between two."""
    span = np.where(first == last, 1.0, np.abs(last - first))
    mean, top, low = (first + last) / 2, np.maximum(first, last), np.minimum(first, last)
    above = np.where(low >= 0, mean, np.where(top <= 0, 0.0, top**2 / (2 * span)))
    return above, above - mean


def stopped(k):
    """What drives and what is braked away from stop to stop, by the forces at the ends of each stretch."""
    lean, speed = np.arctan(k["grade"]), k["peak_speed"]
    inert = k["mass"] * k["rotating_mass_factor"]
    drag = 0.5 * AIR * k["drag_area"] * speed**2
    road = k["mass"] * G * (k["rolling_coefficient"] * np.cos(lean) + np.sin(lean))
    up, down = (speed**2 / (2 * k[one]) for one in ("acceleration", "deceleration"))
    on = k["stop_spacing"] - up - down
    start, end = inert * k["acceleration"] + road, road - inert * k["deceleration"]
    stretches = ((start, start + drag, up), (road + drag, road + drag, on), (end, end + drag, down))
    drives = braked = 0.0
    for first, last, length in stretches:
        above, below = halves(first, last)
        drives, braked = drives + above * length, braked + below * length
    return {
        "stop_wheel_energy": np.where(on >= 0, drives, np.nan),
        "braking_energy": np.where(on >= 0, braked, np.nan),
    }


STOPPED = {
    "acceleration": np.geomspace(1.0123e-3, 60, 400_001),
    "deceleration": np.geomspace(1.0123e-3, 60, 400_001),
    "peak_speed": np.linspace(0.0123, 120, 200_001),
    "mass": np.geomspace(5.0123, 9e4, 200_001),
    "grade": np.linspace(-0.50123, 0.5, 200_001),
}


@pytest.mark.parametrize("chance", chances("stops on slopes", 12))
def test_every_quantity_from_stop_to_stop_backwards(chance):
    known = vehicle(chance) | {
        "peak_speed": chance.uniform(5, 30),
        "acceleration": chance.uniform(0.1, 2),
        "deceleration": chance.uniform(0.3, 3),
        "stop_spacing": chance.uniform(300, 3000),
    }
    for name, value in stopped(known).items():
        if not value > 0:
            continue
        target = float(value) * chance.choice([1.0, 0.9, 1.1])
        for wanted, scan in STOPPED.items():
            off = stopped(known | {wanted: scan})[name] + 0 * scan - target
            if np.sum(np.abs(off) < 1e-9 * target) > 5:
                continue  # it does not depend on the wanted: a stretch has no single root
            given = {one: other for one, other in known.items() if one != wanted}
            found = found_by(stops, wanted, scan, given | {name: target})
            expected = crossings(scan, off)
            assert sorted(found) == pytest.approx(list(expected), rel=3e-3, abs=1e-3), (
                wanted,
                name,
            )


@pytest.mark.parametrize("rise", [-0.15, -0.04, 0.0, 0.06, 0.15])
@pytest.mark.parametrize("wind", [-8.0, 0.0, 12.0])
def test_a_rise_and_the_air_help_the_tyres_to_slow_and_a_fall_does_not(rise, wind):
    """Of the forces on a braked vehicle, by hand: tyres hold friction times what presses them, and no more."""
    mass, speed, friction, area, air = 1000.0, 30.0, 0.9, 0.5, 1.2
    lean = math.atan(rise)
    drag = 0.5 * air * area * abs(speed + wind) * (speed + wind)
    beside = G * math.sin(lean) + drag / mass
    known = {"speed": speed, "mass": mass, "drag_area": area, "air_density": air, "headwind": wind,
             "rolling_coefficient": 0.01, "friction": friction, "grade": rise}  # fmt: skip
    held = 0.97 * (friction * G * math.cos(lean) + beside)
    found = braking.find("braking_distance", deceleration=held, **known)
    assert found.si == pytest.approx(speed**2 / (2 * held), rel=1e-9)
    with pytest.raises(ChalkwattError):
        braking.find("braking_distance", deceleration=1.02 * (friction * G + beside), **known)
