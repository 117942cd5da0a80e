"""A compiled forward plan against the same formula written by hand in NumPy."""

import numpy as np
import pytest

from chalkwatt import load
from tests.benchmarks.measuring import ratio, seconds, table

pytestmark = pytest.mark.benchmark
MANY = 1_000_000
REACH = 1.1
KNOWN = (
    "speed",
    "headwind",
    "grade",
    "altitude",
    "air_temperature",
    "drag_coefficient",
    "frontal_area",
    "mass",
    "rolling_coefficient",
    "drive_efficiency",
    "auxiliary_power",
    "usable_energy",
)


def vehicles(size):
    chance = np.random.default_rng(5)
    spans = {
        "speed": (5, 40),
        "headwind": (-4, 12),
        "grade": (0.0, 0.06),
        "altitude": (0, 2500),
        "air_temperature": (255, 310),
        "drag_coefficient": (0.2, 0.35),
        "frontal_area": (1.6, 2.6),
        "mass": (700, 2400),
        "rolling_coefficient": (0.006, 0.014),
        "drive_efficiency": (0.8, 0.93),
        "auxiliary_power": (100, 2500),
        "usable_energy": (7e7, 3e8),
    }
    return {name: chance.uniform(*span, size) for name, span in spans.items()}


def by_hand(
    *,
    speed,
    headwind,
    grade,
    altitude,
    air_temperature,
    drag_coefficient,
    frontal_area,
    mass,
    rolling_coefficient,
    drive_efficiency,
    auxiliary_power,
    usable_energy,
):
    """The road load as one would write it for arrays."""
    height = 6_356_766.0 * altitude / (6_356_766.0 + altitude)
    pressure = 101_325.0 * (1 - 0.0065 * height / 288.15) ** (9.80665 / (287.05287 * 0.0065))
    density = pressure / (287.05287 * air_temperature)
    through_air = speed + headwind
    air = 0.5 * density * drag_coefficient * frontal_area * np.abs(through_air) * through_air
    angle = np.arctan(grade)
    weight = mass * 9.80665
    road = air + rolling_coefficient * weight * np.cos(angle) + weight * np.sin(angle)
    battery = road * speed / drive_efficiency + auxiliary_power
    return usable_energy / (battery / speed)


def in_pieces(given, piece=8192):
    """The same, in pieces that stay in the cache, as the plan does it."""
    made = np.empty(len(given["mass"]))
    for start in range(0, len(made), piece):
        part = slice(start, start + piece)
        made[part] = by_hand(**{name: one[part] for name, one in given.items()})
    return made


def test_a_million_ranges(record_property):
    given = vehicles(MANY)
    plan = load.compile("range", known=KNOWN)
    np.testing.assert_allclose(plan(**given), by_hand(**given), rtol=1e-12)
    made = seconds(
        {
            "by hand": lambda: by_hand(**given),
            "by hand, in pieces of 8192": lambda: in_pieces(given),
            "compiled plan": lambda: plan(**given),
        }
    )
    table(
        "Range from twelve quantities, each of a million",
        made,
        against="by hand",
        count=MANY,
        reach=("compiled plan", REACH),
    )
    worth = ratio(made, "compiled plan", "by hand")
    record_property("ratio", worth)
    assert worth <= REACH
