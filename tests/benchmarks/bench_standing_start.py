"""A standing start against its bare equation integrated by hand: ``pytest -s`` this file alone."""

import pytest
from scipy.integrate import solve_ivp

import chalkwatt as cw
from tests.benchmarks.measuring import ratio, seconds, table

pytestmark = pytest.mark.benchmark
LIMIT = 20e-3  # s, for a run with three results
REACH = 8.0  # times the bare equation, which finds no times, no limits and no energies

CAR = {
    "mass": "1500 kg",
    "motor_power": "120 kW",
    "drive_efficiency": 0.9,
    "friction": 0.9,
    "driven_weight_share": 0.5,
    "rolling_coefficient": 0.01,
    "drag_area": "0.6 m^2",
    "air_density": "1.2 kg/m^3",
    "rotating_mass_factor": 1.04,
}


def start():
    run = cw.standing_start(**CAR)
    return run.time_to("60 mph"), run.time_over("0.25 mile"), run.speed_over("0.25 mile")


def by_hand():
    def rate(_time, state):
        speed = max(state[0], 1e-9)
        force = min(0.45 * 1500 * 9.80665, 0.9 * 120e3 / speed)
        return [(force - 0.01 * 1500 * 9.80665 - 0.36 * speed**2) / 1560, speed]

    return solve_ivp(rate, (0, 16), [0.0, 0.0], method="DOP853", rtol=1e-11, atol=1e-11)


def inverted():
    return cw.standing_start(**CAR).required_power("9 s", to="60 mph")


def test_standing_start():
    ways = {"by hand": by_hand, "standing start": start, "required power": inverted}
    made = seconds(ways, rounds=15)
    table("standing start", made, against="by hand", unit="ms", reach=("standing start", REACH))
    assert ratio(made, "standing start", "by hand") <= REACH
    assert made["standing start"] < LIMIT
