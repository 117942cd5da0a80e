"""Inverting the road-load cubic for a million vehicles at once: speed from battery power."""

import numpy as np
import pytest
from scipy.optimize import elementwise

from chalkwatt import load
from tests.benchmarks.measuring import ratio, seconds, table

pytestmark = pytest.mark.benchmark
MANY = 1_000_000
FEW = 20_000  # for the slow one; its time is scaled
KNOWN = (
    "wheel_power",
    "drag_area",
    "mass",
    "rolling_coefficient",
    "air_density",
)
REACH = 1.5


def vehicles(size):
    chance = np.random.default_rng(4)
    return {
        "wheel_power": chance.uniform(2_000, 40_000, size),
        "drag_area": chance.uniform(0.3, 0.9, size),
        "mass": chance.uniform(600, 2400, size),
        "rolling_coefficient": chance.uniform(0.006, 0.014, size),
        "air_density": chance.uniform(0.9, 1.3, size),
    }


def coefficients(given):
    a = 0.5 * given["air_density"] * given["drag_area"]
    b = given["rolling_coefficient"] * given["mass"] * 9.80665
    return a, b, given["wheel_power"]


def newton(given):
    """Written by hand: six steps from the cube root."""
    a, b, c = coefficients(given)
    v = np.cbrt(c / a)
    for _ in range(6):
        v -= (v * (a * v * v + b) - c) / (3 * a * v * v + b)
    return v


def closed_form(given):
    """Written by hand: the hyperbolic closed form and one Newton step."""
    a, b, c = coefficients(given)
    third = np.sqrt(b / (3 * a))
    v = 2 * third * np.sinh(np.arcsinh(1.5 * c / (b * third)) / 3)
    return v - (v * (a * v * v + b) - c) / (3 * a * v * v + b)


def in_pieces(way, given, piece=8192):
    """The same, in pieces that stay in the cache."""
    size = len(given["mass"])
    made = np.empty(size)
    for start in range(0, size, piece):
        part = slice(start, start + piece)
        made[part] = way({name: one[part] for name, one in given.items()})
    return made


def find_root(given):
    a, b, c = coefficients(given)
    found = elementwise.find_root(
        lambda v, a, b, c: v * (a * v * v + b) - c,
        (np.zeros_like(c), np.cbrt(c / a)),
        args=(a, b, c),
    )
    return found.x


def test_a_million_inversions(record_property):
    given, few = vehicles(MANY), vehicles(FEW)
    plan = load.compile("speed", known=KNOWN)
    np.testing.assert_allclose(plan(**given), closed_form(given), rtol=1e-13)
    np.testing.assert_allclose(find_root(few), closed_form(few), rtol=1e-9)
    ways = {
        "scipy.optimize.elementwise.find_root": lambda: find_root(few),
        "Newton by hand": lambda: newton(given),
        "closed form and one step by hand": lambda: closed_form(given),
        "the same in pieces of 8192": lambda: in_pieces(closed_form, given),
        "compiled plan": lambda: plan(**given),
    }
    made = seconds(ways)
    made["scipy.optimize.elementwise.find_root"] *= MANY / FEW
    table(
        "Speed from wheel power, each of a million",
        made,
        against="closed form and one step by hand",
        count=MANY,
        reach=("compiled plan", REACH),
    )
    worth = ratio(made, "compiled plan", "closed form and one step by hand")
    record_property("ratio", worth)
    assert worth <= REACH
