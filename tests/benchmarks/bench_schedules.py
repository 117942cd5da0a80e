"""How fast schedules are, as ratios within one run: python -m tests.benchmarks.bench_schedules.

Targets: the NEDC under 5 ms after the first; 10,000 vehicles on it at least 100 times faster than a
loop. Two loops are timed on a hundred vehicles and scaled up: one that calls `drive_schedule` for
each vehicle, and one in plain Python that steps through the schedule second by second.
"""

import sys
import time

import numpy as np

import chalkwatt as cw
from chalkwatt.runs.schedule.schedule import Schedule

CAR = {
    "mass": 1180.0,
    "drag_area": 0.62,
    "rolling_coefficient": 0.0085,
    "air_density": 1.2,
    "drive_efficiency": 0.87,
    "recovery_efficiency": 0.6,
    "auxiliary_power": 350.0,
    "rotating_mass_factor": 1.04,
}
VEHICLES, SAMPLE = 10_000, 100
NEDC_MOST, RATIO_LEAST = 5e-3, 100.0


def best(function, rounds=7):
    """Return the shortest of several times: other work on the machine only ever adds."""
    found = []
    for _ in range(rounds):
        start = time.perf_counter()
        function()
        found.append(time.perf_counter() - start)
    return min(found)


def second_by_second(times, speeds, car):
    """Count the energy as a first program would: a loop over seconds, midpoint speed."""
    energy = 0.0
    pull = car["rolling_coefficient"] * car["mass"] * 9.80665
    for start, end, first, last in zip(times, times[1:], speeds, speeds[1:], strict=False):
        step, speed = end - start, (first + last) / 2
        inertia = car["rotating_mass_factor"] * car["mass"] * (last - first) / step
        drag = car["air_density"] * car["drag_area"] / 2 * speed * speed
        power = (inertia + pull + drag) * speed
        if power > 0:
            energy += power / car["drive_efficiency"] * step
        else:
            energy += power * car["recovery_efficiency"] * step
        energy += car["auxiliary_power"] * step
    return energy


def main():
    """Time everything and print the table; the exit code says whether the targets are met."""
    nedc = cw.schedules.nedc
    trace_times = np.arange(0.0, 1181.0)
    trace_speeds = np.interp(trace_times, nedc.times, nedc.speeds)
    # A recorded trace never repeats a step exactly, so nothing is counted once for many.
    noise = np.random.default_rng(1).normal(0, 0.05, len(trace_speeds)) * (trace_speeds > 0)
    trace = Schedule("trace", trace_times, np.maximum(trace_speeds + noise, 0))
    masses = np.linspace(800.0, 2500.0, VEHICLES)

    start = time.perf_counter()
    cw.drive_schedule(nedc, **CAR).battery_energy  # noqa: B018  asking is the work
    first = time.perf_counter() - start
    print(f"{'':42}{'one':>10}{'10,000':>10}{'loop of calls':>16}{'plain Python':>16}")
    print(f"{'':42}{'ms':>10}{'ms':>10}{'times slower':>16}{'times slower':>16}")
    ratios = {}
    for schedule in (nedc, trace):
        words = f"{schedule.name}: {len(schedule.times) - 1} steps"

        def one(schedule=schedule):
            return cw.drive_schedule(schedule, **CAR).battery_energy

        def many(schedule=schedule):
            return cw.drive_schedule(schedule, **{**CAR, "mass": masses}).battery_energy

        def calls(schedule=schedule):
            for mass in masses[:SAMPLE]:
                cw.drive_schedule(schedule, **{**CAR, "mass": float(mass)}).battery_energy  # noqa: B018

        listed = [float(x) for x in trace_times], [float(x) for x in trace_speeds]

        def plain(listed=listed):
            for mass in masses[:SAMPLE]:
                second_by_second(*listed, {**CAR, "mass": float(mass)})

        single, together = best(one, 30), best(many)
        scale = VEHICLES / SAMPLE / together
        ratios[schedule.name] = best(calls) * scale, best(plain) * scale
        loop, slow = ratios[schedule.name]
        print(f"{words:42}{1e3 * single:10.3f}{1e3 * together:10.2f}{loop:16.0f}{slow:16.0f}")
        if schedule is nedc:
            after = single
    print(f"the very first NEDC: {1e3 * first:.1f} ms; after it {1e3 * after:.3f} ms")
    met = after < NEDC_MOST and ratios["NEDC"][0] >= RATIO_LEAST
    print("targets met" if met else "TARGETS MISSED")
    return 0 if met else 1


if __name__ == "__main__":
    sys.exit(main())
