"""Rows that SciPy computes by integrating, searching or minimising: done again, from the laws, not a closed form.

Nothing here calls Chalkwatt. The forces are written out once more; a time is an integral over speed, a speed at
which something is met a root, the most economical one a minimum. ``test_rows.py`` holds the topics to the rows.
"""

import math
from itertools import pairwise

import pytest
from scipy.integrate import quad, solve_ivp
from scipy.optimize import brentq, minimize_scalar

from tests.external import published, rows

G = 9.80665
TIGHT = {"epsabs": 0, "epsrel": 1e-12, "limit": 400}


def force(one, speed):
    """Air, rolling, slope and the part that grows with speed, in N."""
    angle = math.atan(one.get("grade", 0.0))
    air = speed + one.get("headwind", 0.0)
    return (
        0.5 * one["air_density"] * one["drag_area"] * abs(air) * air
        + one["mass"] * G * (one["rolling_coefficient"] * math.cos(angle) + math.sin(angle))
        + one.get("coast_down_linear", 0.0) * speed
    )


def drawn(one, speed):
    """Power out of the battery, in W; the pack's own loss is what its current makes of its resistance."""
    wheel = force(one, speed) * speed
    back = one.get("recovery_efficiency", 0.0)
    asked = (
        (wheel / one["drive_efficiency"] if wheel > 0 else wheel * back)
        + one.get("drive_idle_loss", 0.0)
        + one.get("drive_square_loss", 0.0) * wheel**2
        + one["auxiliary_power"]
    )
    if "pack_resistance" not in one:
        return asked

    def rest(power):
        return power - asked - one["pack_resistance"] * (power / one["pack_voltage"]) ** 2

    most = one["pack_voltage"] ** 2 / (2 * one["pack_resistance"])
    return brentq(rest, min(asked, 0.0), most, xtol=1e-9, rtol=1e-14)


def root(rest, low, high):
    return brentq(rest, low, high, xtol=1e-12, rtol=1e-14)


def power_from_battery(one):
    return {"battery_power": drawn(one, one["speed"])}


def speed_by_range(one):
    return {
        "speed": root(
            lambda speed: one["usable_energy"] * speed / drawn(one, speed) - one["range"],
            12.0,
            70.0,
        )
    }


def speed_by_power(one):
    return {"speed": root(lambda speed: drawn(one, speed) - one["battery_power"], 1.0, 90.0)}


def wind_by_range(one):
    def rest(wind):
        at = {**one, "headwind": wind}
        return one["usable_energy"] * one["speed"] / drawn(at, one["speed"]) - one["range"]

    return {"headwind": root(rest, -10.0, 25.0)}


def slope_by_power(one):
    def rest(grade):
        return drawn({**one, "grade": grade}, one["speed"]) - one["battery_power"]

    return {"grade": root(rest, -0.02, 0.2)}


def economical(one):
    """Where a metre takes least. A minimum is flat: to be sharp, the slope of it is searched for its root."""

    def use(speed):
        return drawn(one, speed) / speed

    near = minimize_scalar(use, bounds=(1.0, 40.0), method="bounded", options={"xatol": 1e-9}).x
    step = 1e-4 * near

    def slope(speed):  # of the fourth order
        return (
            8 * (use(speed + step) - use(speed - step))
            - (use(speed + 2 * step) - use(speed - 2 * step))
        ) / (12 * step)

    return {"economical_speed": root(slope, 0.9 * near, 1.1 * near)}


def push(one, speed):
    """What drives a start, in N: what the tyres hold, or the power over the speed."""
    factor = one.get("rotating_mass_factor", 1.0)
    held = (
        one["friction"]
        * one["driven_weight_share"]
        * G
        / (factor - one["friction"] * one.get("load_transfer", 0.0))
    )
    by_power = one["motor_power"] * one["drive_efficiency"] / (factor * one["mass"] * speed)
    return min(held, by_power)


def kink(one):
    """The speed from which power limits."""
    return root(lambda speed: push(one, speed) - push(one, 1e-6) * (1 - 1e-13), 0.1, 300.0)


def start(one):
    """Time and distance to a speed: ∫ dv/a and ∫ v dv/a."""
    ends = sorted({1e-9, min(kink(one), one["target_speed"]), one["target_speed"]})
    pieces = list(pairwise(ends))
    return {
        "time_to_speed": sum(quad(lambda v: 1 / push(one, v), *ab, **TIGHT)[0] for ab in pieces),
        "distance_to_speed": sum(
            quad(lambda v: v / push(one, v), *ab, **TIGHT)[0] for ab in pieces
        ),
    }


def sprint(one):
    """Speed after a distance, and the time: dv/dt = a(v), dx/dt = v."""

    def there(_, state):
        return state[0] - one["sprint_distance"]

    there.terminal = True
    run = solve_ivp(
        lambda _, state: [state[1], push(one, max(state[1], 1e-9))],
        (0, 100),
        [0.0, 0.0],
        events=there,
        rtol=1e-12,
        atol=1e-12,
        max_step=0.01,
    )
    return {"exit_speed": run.y_events[0][0][1], "time_over_distance": run.t_events[0][0]}


def top_speed(one):
    return {
        "power_limited_top_speed": root(
            lambda speed: force(one, speed) * speed - one["wheel_power"], 1.0, 200.0
        )
    }


def stop_to_stop(one):
    """The energies of a hop from stop to stop: force times way, each metre by itself."""
    mass, peak = one["mass"], one["peak_speed"]
    up, down = one["acceleration"], one["deceleration"]

    def needed(square, rate):
        return mass * rate + force(one, math.sqrt(square))

    ways = peak**2 / (2 * up), peak**2 / (2 * down)
    rest = one["stop_spacing"] - sum(ways)
    driven = quad(lambda x: needed(2 * up * x, up), 0, ways[0], **TIGHT)[0]
    driven += rest * force(one, peak)
    # The brakes get what air and road do not take.
    braked = quad(
        lambda x: max(0.0, mass * down - force(one, math.sqrt(max(peak**2 - 2 * down * x, 0.0)))),
        0,
        ways[1],
        **TIGHT,
    )[0]
    return {"stop_wheel_energy": driven, "braking_energy": braked}


def lifetime(one):
    """The distance of a battery's life: each cycle goes as far as the health then allows."""
    fade = 1 - one["rated_health"]

    def health(cycles):
        return 1 - fade * (cycles / one["cycle_life"]) ** one["fade_exponent"]

    return {
        "lifetime_distance": one["range"] * quad(health, 0, one["full_cycles"], **TIGHT)[0],
    }


def sagging(one):
    """The current at which a sagging pack gives a power: the smaller of two."""
    most = one["pack_voltage"] / (2 * one["pack_resistance"])
    return {
        "pack_current": root(
            lambda amps: (
                amps * (one["pack_voltage"] - amps * one["pack_resistance"]) - one["pack_power"]
            ),
            0.0,
            most,
        )
    }


WORK = {
    "battery-power": power_from_battery,
    "speed-by-range": speed_by_range,
    "speed-by-power": speed_by_power,
    "wind-by-range": wind_by_range,
    "slope-by-power": slope_by_power,
    "economical": economical,
    "start": start,
    "sprint": sprint,
    "top-speed": top_speed,
    "hop": stop_to_stop,
    "lifetime": lifetime,
    "sag": sagging,
}


@pytest.mark.parametrize("case", published("numerical"), ids=lambda one: f"{one.id} {one.quantity}")
def test_the_row_is_what_the_library_makes(case):
    kind = next(one for one in WORK if case.id.startswith(f"{one}-"))
    case.check(WORK[kind](case.given)[case.quantity])


def test_every_row_names_the_library_and_its_version():
    for row in rows("numerical"):
        assert row["status"] == "library"
        assert row["source"].startswith("SciPy 1.")
