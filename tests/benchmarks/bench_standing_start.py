"""A standing start: times, quarter mile, exit speed, and the inversion; median of many runs.

Run it alone: ``python tests/benchmarks/bench_standing_start.py``. A ratio within one run says more
than a time: the yardstick is one ``solve_ivp`` of the same equation written out by hand.
"""

import statistics
import time

from scipy.integrate import solve_ivp

import chalkwatt as cw

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
LIMIT = 20e-3  # s


def start():
    run = cw.standing_start(**CAR)
    return run.time_to("60 mph"), run.time_over("0.25 mile"), run.speed_over("0.25 mile")


def yardstick():
    def rate(_time, state):
        speed = max(state[0], 1e-9)
        force = min(0.45 * 1500 * 9.80665, 0.9 * 120e3 / speed)
        return [(force - 0.01 * 1500 * 9.80665 - 0.36 * speed**2) / 1560, speed]

    return solve_ivp(rate, (0, 16), [0.0, 0.0], method="DOP853", rtol=1e-11, atol=1e-11)


def invert():
    return cw.standing_start(**CAR).required_power("9 s", to="60 mph")


def median(function, times):
    spent = []
    for _ in range(times):
        began = time.perf_counter()
        function()
        spent.append(time.perf_counter() - began)
    return statistics.median(spent)


def main():
    start()  # the first run imports SciPy and reads units
    one, by_hand, inverse = median(start, 50), median(yardstick, 50), median(invert, 5)
    print(f"standing start, with three results   {1e3 * one:7.2f} ms   (limit 20 ms)")
    print(
        f"the bare equation by hand            {1e3 * by_hand:7.2f} ms   ratio {one / by_hand:.2f}"
    )
    print(
        f"required power for a claimed time    {1e3 * inverse:7.2f} ms   {inverse / one:.1f} runs"
    )
    assert one < LIMIT


if __name__ == "__main__":
    main()
