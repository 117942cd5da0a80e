"""Every speed, wind and slope that fits, against a scan of the whole range that knows no algebra."""

import math
import random

import numpy as np
import pytest

import chalkwatt as cw
from chalkwatt.algebra.solving import bracketed_roots

G = 9.80665
SPEEDS = np.unique(
    np.concatenate([np.linspace(0.0, 120.0, 240_001)[1:], np.geomspace(1e-4, 1.0, 4001)])
)


def car(pick):
    """A vehicle, wind and road of any sign and size; a third without auxiliary load."""
    return {
        "drag_area": 10 ** pick.uniform(-1, 0.7),
        "mass": 10 ** pick.uniform(2, 4),
        "rolling_coefficient": 10 ** pick.uniform(-2.7, -1.5),
        "drive_efficiency": pick.uniform(0.3, 1.0),
        "recovery_efficiency": pick.choice([0.0, 0.0, pick.uniform(0.05, 1.0)]),
        "auxiliary_power": pick.choice([0.0, pick.uniform(1, 100), 10 ** pick.uniform(2, 3.7)]),
        "air_density": pick.uniform(0.6, 1.4),
        "headwind": pick.choice([0.0, pick.uniform(-60, 60), pick.uniform(-15, 15)]),
        "grade": pick.choice([0.0, pick.uniform(-0.08, 0.08), pick.uniform(-0.01, 0.01)]),
        "coast_down_linear": pick.choice([0.0, pick.uniform(0, 4)]),
    }


def drawn(one, speed):
    """Power from the battery at a speed, by hand."""
    through = speed + one["headwind"]
    angle = math.atan(one["grade"])
    force = 0.5 * one["air_density"] * one["drag_area"] * np.abs(through) * through
    force = force + one["coast_down_linear"] * speed
    force = force + one["mass"] * G * (
        one["rolling_coefficient"] * math.cos(angle) + math.sin(angle)
    )
    wheels = force * speed
    driving = np.where(
        wheels >= 0, wheels / one["drive_efficiency"], one["recovery_efficiency"] * wheels
    )
    return driving + one["auxiliary_power"]


def crossings(values):
    """Where a scan changes sign, and whether it comes close to doing so elsewhere."""
    sign = np.sign(values)
    place = np.nonzero(sign[1:] * sign[:-1] < 0)[0]
    size = np.abs(values)
    turning = (size[1:-1] < size[:-2]) & (size[1:-1] <= size[2:])
    near = np.nonzero(turning & (size[1:-1] < 1e-5 * np.median(size)))[0] + 1
    touching = [i for i in near if not np.any(np.abs(place - i) <= 2)]
    return SPEEDS[place], bool(touching)


@pytest.mark.parametrize("seed", range(60))
def test_every_speed_for_a_consumption(seed):
    pick = random.Random(seed)  # noqa: S311  points to try, no secrets
    one = car(pick)
    at = pick.uniform(0.5, 60)
    target = float(drawn(one, at) / at) * pick.choice([1.0, 1.0, pick.uniform(0.8, 1.3)])
    if target <= 0:
        return
    expected, touching = crossings(drawn(one, SPEEDS) / SPEEDS - target)
    try:
        found = [
            v for v in cw.load.find("speed", consumption=target, **one).solutions_si if v < 119.9
        ]
    except cw.ChalkwattError:
        found = []
    found = [v for v in found if v > SPEEDS[0]]
    if touching:
        return
    # A stretch on which nothing depends on the speed has no single root.
    assert len(found) == len(expected), (found, expected)
    np.testing.assert_allclose(found, expected, rtol=1e-3, atol=1e-3)
    for v in found:
        assert drawn(one, v) / v == pytest.approx(target, rel=1e-6)


EPSILON = float(np.finfo(float).eps)


@pytest.mark.sweep(1 / 5)
@pytest.mark.parametrize("seed", range(200, 280))
def test_at_the_least_consumption_the_two_speeds_meet_and_are_not_lost(seed):
    """Bits above the least there are two speeds, and bits beneath there may be one; clearly beneath none."""
    pick = random.Random(seed)  # noqa: S311  as above
    one = car(pick)
    one["auxiliary_power"] = max(1.0, one["auxiliary_power"])
    try:
        best = cw.load.find("economical_speed", **one).si
    except cw.ChalkwattError:
        return  # a road that charges the battery
    least = float(drawn(one, best) / best)

    def about(target):
        try:
            found = cw.load.find("speed", consumption=target, **one).solutions_si
        except cw.NoSolutionError:
            return []
        return [v for v in found if v == pytest.approx(best, rel=1e-4)]

    for bits in (0, 1, 4, 30):
        assert about(least * (1 + bits * EPSILON)), bits
    assert not about(least * (1 - 1e-8))


@pytest.mark.parametrize("seed", range(60, 100))
def test_every_speed_for_a_power(seed):
    pick = random.Random(seed)  # noqa: S311  as above
    one = car(pick)
    target = float(drawn(one, pick.uniform(0.5, 60)))
    if one["recovery_efficiency"] == 0 and target <= one["auxiliary_power"]:
        return  # any speed at which the road drives does
    expected, touching = crossings(drawn(one, SPEEDS) - target)
    try:
        found = cw.load.find("speed", battery_power=target, **one).solutions_si
    except cw.ChalkwattError:
        found = []
    found = [v for v in found if SPEEDS[0] < v < 119.9]
    if not touching:
        assert len(found) == len(expected), (found, expected)
        np.testing.assert_allclose(found, expected, rtol=1e-3, atol=1e-3)


@pytest.mark.parametrize(
    ("wind", "area", "efficiency", "auxiliary", "roll"),
    [(20.0, 0.8, 0.9, 110.0, 300.0), (38.65, 0.885, 0.84, 32.5, 815.6)],
)
def test_four_speeds_about_a_tail_wind(wind, area, efficiency, auxiliary, roll):
    """Three beside the speed of the wind, less than a km/h apart: there the drag turns round."""
    density = 1.2

    def cost(v):
        through = v - wind
        return (
            0.5 * density * area * np.abs(through) * through + roll
        ) / efficiency + auxiliary / v

    there = np.linspace(wind - 5, wind + 5, 2_000_001)
    turns = np.sign(np.diff(cost(there)))
    place = np.nonzero(turns[1:] * turns[:-1] < 0)[0]
    assert len(place) == 2  # a least below the speed of the wind, a greatest above... or none
    low, high = sorted(float(cost(there[i + 1])) for i in place)
    target = (low + high) / 2
    expected = there[np.nonzero(np.diff(np.sign(cost(there) - target)))[0]]
    rolling = roll / (1500 * G)
    found = cw.load.find(
        "speed",
        consumption=target,
        drag_area=area,
        mass=1500,
        rolling_coefficient=rolling,
        drive_efficiency=efficiency,
        auxiliary_power=auxiliary,
        air_density=density,
        headwind=-wind,
    ).solutions_si
    assert len(expected) == 3
    np.testing.assert_allclose(found[-3:], expected, rtol=1e-5)
    assert len(found) == 4  # the fourth at a crawl, where the auxiliary load costs most


@pytest.mark.parametrize("gap", [1e-2, 1e-4, 1e-6])
@pytest.mark.parametrize("kink", [-3.7, 0.0, 0.123, 8.0])
def test_two_roots_beside_a_kink(kink, gap):
    """A roof of two straight lines, whose ends lie but a little beside its ridge."""
    found = bracketed_roots(
        lambda t, _pick: np.abs(t - kink) - gap,
        lambda t, _pick: np.sign(t - kink),
        1,
        np.linspace(-10, 10, 21),
        size_of=lambda t, _pick: np.abs(t - kink) + gap,
        kinks=[lambda t, _pick: t - kink],
    )
    np.testing.assert_allclose(
        found.ravel(), [kink - gap, kink + gap], rtol=0, atol=1e-9 * gap + 4e-16 * abs(kink) * 2
    )


def test_a_jump_is_no_root():
    found = bracketed_roots(
        lambda t, _pick: np.sign(t - 2.0) * 3 + 0.1,
        lambda t, _pick: 0 * t,
        1,
        np.linspace(0, 9, 8),
        size_of=lambda t, _pick: 3.1 + 0 * t,
    )
    assert np.isnan(found).all()
