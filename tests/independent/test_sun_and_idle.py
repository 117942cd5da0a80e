"""Driving on sunlight with a drive that takes power at any load: balances by a scan, on any slope and in any wind."""

import math

import numpy as np
import pytest
from scipy.optimize import brentq

from chalkwatt import NoSolutionError, sun
from tests.independent import chances, near

G = 9.80665
SPEEDS = np.geomspace(1e-3, 90, 4001)


def vehicle(chance):
    """A panel that may bring too little for the auxiliary load, or for an idle drive beside it."""
    auxiliary, idle = chance.uniform(10, 200), chance.choice([0.0, chance.uniform(5, 250)])
    return {
        "solar_power": chance.choice([chance.uniform(20, 350), chance.uniform(100, 1500)]),
        "auxiliary_power": auxiliary,
        "drive_idle_loss": idle,
        "coast_down_linear": chance.choice([0.0, chance.uniform(0.05, 2)]),
        "drive_efficiency": chance.uniform(0.5, 1.0),
        "mass": chance.uniform(200, 1500),
        "rolling_coefficient": chance.uniform(0.003, 0.02),
        "drag_area": chance.uniform(0.1, 1.0),
        "air_density": chance.uniform(0.8, 1.4),
        "headwind": chance.choice([0.0, chance.uniform(-25, 15)]),
        "grade": chance.choice([0.0, chance.uniform(-0.06, 0.06)]),
    }


def pull(known, speed, lean=None):
    through = speed + known["headwind"]
    lean = math.atan(known["grade"]) if lean is None else lean
    air = known["air_density"] * known["drag_area"] * through * np.abs(through) / 2
    weight = known["mass"] * G
    rolling = weight * known["rolling_coefficient"] * math.cos(lean)
    return air + rolling + weight * math.sin(lean) + known["coast_down_linear"] * speed


def reaches(known):
    """Power at the wheels: what the rail has left after the auxiliary load and an idle drive; never below nought."""
    left = known["solar_power"]
    for takes in ("auxiliary_power", "drive_idle_loss"):
        left -= known[takes]
    return known["drive_efficiency"] * left if left > 0 else 0.0


def balanced(known):
    """Speeds above nought at which the wheels take what reaches them, by a scan and bisection."""
    power = reaches(known)

    def surplus(speed):
        # Without any power the forces alone must be even.
        force = pull(known, speed)
        return power / speed - force

    values = surplus(SPEEDS)
    turns = np.flatnonzero(values[:-1] * values[1:] < 0)
    return [brentq(surplus, SPEEDS[one], SPEEDS[one + 1], xtol=1e-14) for one in turns]


@pytest.mark.parametrize("chance", chances("idle sun", 40))
def test_speed_on_sunlight_with_an_idle_loss(chance):
    known = vehicle(chance)
    found = [one for one in sun.find("equilibrium_speed", **known).solutions_si if one < 89]
    moving = [one for one in found if one > 1e-3]
    assert moving == pytest.approx(balanced(known), rel=1e-7)
    if not moving:
        # Neither sun nor slope nor wind moves it.
        assert found == [0.0]
        assert reaches(known) == 0


def test_every_case_of_the_sun_is_drawn():
    made = [vehicle(one) for one in chances("idle sun", 40)]
    short = [one for one in made if reaches(one) == 0]
    by_idle = [one for one in short if one["solar_power"] > one["auxiliary_power"]]
    assert len(by_idle) > 3  # the auxiliary load alone would leave some
    assert sum(bool(balanced(one)) for one in short) > 2
    assert sum(not balanced(one) for one in short) > 2
    assert sum(one["drive_idle_loss"] > 0 for one in made if reaches(one) > 0) > 10


@pytest.mark.parametrize("chance", chances("border", 4))
def test_where_the_sun_begins_to_move_it(chance):
    """A watt less than auxiliary load and idle drive, and it stands; a watt more, and it does not."""
    known = vehicle(chance) | {"grade": 0.0, "headwind": 0.0, "drive_idle_loss": 40.0}
    border = known["auxiliary_power"] + 40.0
    for short in (1.0, 39.0, border / 2):
        still = sun.find("equilibrium_speed", **known | {"solar_power": border - short})
        assert still.solutions_si == (0.0,)
        assert any("does not move" in one for one in still.notes)
    for more in (1.0, 30.0):
        here = known | {"solar_power": border + more}
        found = sun.find("equilibrium_speed", **here)
        near(found, balanced(here)[-1])
        assert not found.notes


@pytest.mark.parametrize("chance", chances("idle stall", 24))
def test_grade_at_which_it_creeps_with_an_idle_loss(chance):
    known = vehicle(chance)
    known.pop("grade")
    creeping = chance.uniform(0.3, 4)
    power = reaches(known)
    angles = np.linspace(0, 1.57, 4001)  # uphill
    short = [pull(known, creeping, one) * creeping - power for one in angles]
    turns = np.flatnonzero(np.multiply(short[:-1], short[1:]) < 0)
    held = [
        brentq(
            lambda lean: pull(known, creeping, lean) * creeping - power,
            angles[one],
            angles[one + 1],
            xtol=1e-15,
        )
        for one in turns
    ]
    if not held:
        with pytest.raises(NoSolutionError):
            sun.find("stall_angle", creeping_speed=creeping, **known)
        return
    made = sun.find("stall_angle", creeping_speed=creeping, **known)
    assert len(made.solutions_si) == len(held)
    for one in held:
        near(made, one, rel=1e-8)
    for one in held:
        near(sun.find("stall_grade", creeping_speed=creeping, **known), math.tan(one), rel=1e-8)
