"""Many standing starts as integrals over speed, against each of them run for itself."""

from __future__ import annotations

import numpy as np
import pytest

from chalkwatt.errors import ChalkwattError, NoSolutionError
from chalkwatt.runs.start.quadrature import to_speed
from chalkwatt.runs.start.run import StartRun
from chalkwatt.runs.start.vehicle import StartVehicle

COUNT = 40


def drawn(chance, kind):
    def between(low, high):
        return chance.uniform(low, high, COUNT)

    car = {
        "mass": between(300, 3000),
        "motor_power": 10 ** between(4.5, 6),
        "drive_efficiency": between(0.6, 1),
        "friction": between(0.4, 1.3),
        "driven_weight_share": between(0.3, 1),
        "rolling_coefficient": between(0, 0.02),
        "drag_area": between(0.1, 1.5),
        "air_density": between(0.8, 1.4),
        "rotating_mass_factor": between(1, 1.2),
        "auxiliary_power": between(0, 3000),
        "gravity": np.full(COUNT, 9.80665),
    }
    if kind in {"rear", "front"}:
        car |= {"wheelbase": between(1.2, 3), "centre_of_gravity_height": between(0.2, 1.2)}
    if kind == "torque":
        car |= {"motor_torque": between(100, 600), "gear_ratio": between(5, 12)}
        car |= {"wheel_radius": np.full(COUNT, 0.3), "taper_speed": between(8, 30)}
    if kind == "battery":
        car |= {"pack_voltage": between(200, 800), "pack_resistance": 10 ** between(-2, 0)}
        car |= {"pack_current_max": between(100, 900), "pack_voltage_min": between(90, 700)}
    return car


@pytest.mark.parametrize("kind", ["plain", "rear", "front", "torque", "battery"])
def test_against_each_run_for_itself(kind):
    chance = np.random.default_rng(12)
    cars = drawn(chance, kind)
    axle = kind if kind in {"rear", "front"} else None
    speeds = chance.uniform(2.0, 40.0, COUNT)
    one_by_one = []
    for place in range(COUNT):
        try:
            car = StartVehicle({name: float(one[place]) for name, one in cars.items()}, axle)
            time = StartRun(StartVehicle({**car.values, "rollout": 0.0}, axle)).time_to(
                float(speeds[place])
            )
            one_by_one.append(time.magnitude)
        except NoSolutionError:
            one_by_one.append(np.nan)
    runs = ~np.isnan(one_by_one)
    assert runs.sum() > COUNT / 2
    times, distances = to_speed(cars, speeds, axle)
    assert (np.isnan(times) == ~runs).all()
    # Close below the top speed one over acceleration has a pole, and nodes tell less of it.
    apart = np.abs(times / one_by_one - 1)[runs]
    assert np.median(apart) < 1e-10
    assert apart.max() < 1e-6
    assert (distances[runs] > 0).all()


def test_the_distance_is_that_of_the_run():
    cars = drawn(np.random.default_rng(3), "rear")
    times, distances = to_speed(cars, 20.0, "rear")
    for place in np.flatnonzero(~np.isnan(times))[:8]:
        values = {name: float(one[place]) for name, one in cars.items()} | {"rollout": 0.0}
        run = StartRun(StartVehicle(values, "rear"))
        metres = run.at(float(times[place]))["distance"].to("m").magnitude
        assert distances[place] == pytest.approx(metres, rel=1e-8)


def test_what_cannot_be_run_says_so():
    cars = drawn(np.random.default_rng(3), "plain")
    with pytest.raises(ChalkwattError, match="driven_axle"):
        to_speed(cars, 20.0, "left")
