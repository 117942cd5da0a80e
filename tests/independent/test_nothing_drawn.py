"""Speeds where a road may ask for nothing: every root by a scan, and none at nought or at a pole."""

import math

import numpy as np
import pytest
from scipy.optimize import brentq

from chalkwatt import NoSolutionError, load, vehicle
from tests.independent import chances

G = 9.80665
SPEEDS = np.concatenate([np.geomspace(1e-6, 1, 4001), np.linspace(1, 339, 400_001)[1:]])


def road(chance):
    return {
        "drag_area": chance.uniform(0.2, 2),
        "mass": chance.uniform(400, 2500),
        "rolling_coefficient": chance.uniform(0.005, 0.02),
        "drive_efficiency": chance.uniform(0.5, 1),
        "air_density": chance.uniform(0.8, 1.3),
        "grade": chance.choice([0.0, chance.uniform(-0.1, 0.05)]),
        "headwind": chance.choice([0.0, chance.uniform(-20, 10)]),
        "auxiliary_power": chance.choice([0.0, 0.0, chance.uniform(50, 3000)]),
    }


def power(known, speed):
    """What the battery gives; nothing is recovered."""
    lean = math.atan(known["grade"])
    through = speed + known["headwind"]
    force = known["air_density"] * known["drag_area"] / 2 * np.abs(through) * through + known[
        "mass"
    ] * G * (known["rolling_coefficient"] * math.cos(lean) + math.sin(lean))
    return np.maximum(force * speed / known["drive_efficiency"], 0) + known["auxiliary_power"]


def crossings(known, of):
    """Where what follows from the speed passes what is asked for; endless is not passed through."""
    with np.errstate(all="ignore"):
        made = of(power(known, SPEEDS), SPEEDS)
    both = np.isfinite(made[:-1]) & np.isfinite(made[1:]) & (made[:-1] * made[1:] < 0)
    return [
        brentq(lambda v: float(of(power(known, v), v)), low, high, rtol=1e-12)
        for low, high in zip(SPEEDS[:-1][both], SPEEDS[1:][both], strict=True)
    ]


ENERGY = 7.2e7
ASKED = {
    "driving_time": lambda p, v: ENERGY / p + 0 * v,
    "range": lambda p, v: ENERGY / p * v,
    "consumption": lambda p, v: p / v,
}


@pytest.mark.parametrize("topic", [load, vehicle], ids=["load", "vehicle"])
@pytest.mark.parametrize("asked", sorted(ASKED))
def test_speeds_are_those_of_a_scan(topic, asked):
    several = none = 0
    for chance in chances(f"nothing drawn {asked}", 40):
        known = road(chance)
        aim = chance.uniform(3, 60)
        gives = float(power(known, aim))
        # Where the road asks for nothing any of those speeds would do: that is another test's.
        asks = gives > known["auxiliary_power"]
        goal = float(ASKED[asked](gives, aim)) if asks else None
        if goal is None or chance.random() < 0.2:
            goal = {"driving_time": 3600.0, "range": 2e6, "consumption": 150.0}[asked]
        truth = crossings(known, lambda p, v, goal=goal: ASKED[asked](p, v) - goal)
        question = known | {asked: goal}
        if asked != "consumption":
            question["usable_energy"] = ENERGY
        if not truth:
            none += 1
            with pytest.raises(NoSolutionError):
                topic.find("speed", **question)
            continue
        found = sorted(topic.find("speed", **question).solutions_si)
        assert found == pytest.approx(truth, rel=1e-8), question
        several += len(found) > 1
    # The time falls all the way, and passes any that is asked for once.
    assert asked == "driving_time" or (several > 3 and none > 0)
