"""What a run prints is what it integrates: another line, another equation and another result.

Each line that a run shows is replaced by a copy with a factor or another sign, in the run's own equations and
nowhere else. Both the equation shown and the result must then change: a hand-written twin of a line, or a
line that is only for show, would leave the result as it was.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import sympy

import chalkwatt as cw
from chalkwatt.errors import ChalkwattError
from chalkwatt.laws.relations import author_order
from chalkwatt.runs.coast.coast_down import CoastDown
from chalkwatt.runs.equations import Rate
from chalkwatt.runs.schedule.drive_schedule import driven
from chalkwatt.runs.start.run import StartRun
from chalkwatt.runs.start.vehicle import StartVehicle
from chalkwatt.runs.sun.solar_day import SolarDay
from chalkwatt.runs.sun.solar_year import SolarYear
from chalkwatt.runs.sun.vehicle import SolarVehicle

FACTORS = [sympy.Rational(11, 10), -1]
OF_RATES = [sympy.Rational(11, 10), sympy.Rational(7, 10)]  # a run never ends if it goes backwards


def mutated(line, factor):
    with author_order():
        return replace(line, right=factor * line.right)


def outcome_of(function, *given):
    """Return numbers, or what is said where there are none any more."""
    try:
        return function(*given)
    except ChalkwattError as error:
        return str(error)


def differ(first, second):
    if isinstance(first, str) or isinstance(second, str):
        return first != second
    return not np.allclose(first, second, rtol=1e-6, atol=0, equal_nan=True)


def check_every_line(laws, results, *, idle=frozenset()):
    """Change one line after the other; what never binds in this run shows in no result of it."""
    before = results(laws)
    assert not isinstance(before, str)
    for line in laws.lines:
        for factor in OF_RATES if isinstance(line, Rate) else FACTORS:
            other = laws.replaced(line, mutated(line, factor))
            assert other.text != laws.text, line.title
            after = outcome_of(results, other)
            if line.title not in idle:
                assert differ(before, after), (line.title, factor, after)


# The standing start ---------------------------------------------------------------------------------
CAR = {
    "mass": 1500.0,
    "motor_power": 120e3,
    "drive_efficiency": 0.9,
    "friction": 0.9,
    "driven_weight_share": 0.5,
    "rolling_coefficient": 0.01,
    "drag_area": 0.6,
    "air_density": 1.2,
    "rotating_mass_factor": 1.04,
}
AXLES = {"wheelbase": 2.6, "centre_of_gravity_height": 0.52}
BATTERY = {"pack_voltage": 350.0, "pack_resistance": 0.09, "auxiliary_power": 800.0}
LIFTING = {"friction": 1.5, "driven_weight_share": 0.6, "motor_power": 4e5, "driven_axle": "rear"}
LIFTING |= {"wheelbase": 1.3, "centre_of_gravity_height": 0.8}
GEARED = {"motor_torque": 150.0, "gear_ratio": 8.0, "wheel_radius": 0.31, "taper_speed": 20.0}
STARTS = {
    "tyres and motor": ({}, set()),
    "rear wheels": (
        {**AXLES, "driven_axle": "rear"},
        {"Acceleration at which the front wheels lift"},
    ),
    "front wheels": ({**AXLES, "driven_axle": "front"}, set()),
    "lifting": (LIFTING, {"Force that the tyres hold"}),
    "torque and taper": ({**GEARED, "friction": None}, set()),
    "battery by current": ({**BATTERY, "pack_current_max": 300.0}, set()),
    "battery by voltage": ({**BATTERY, "pack_voltage_min": 330.0}, set()),
    "battery alone": ({**BATTERY, "motor_power": None, "pack_resistance": 0.5}, set()),
}


@pytest.mark.parametrize("kind", STARTS)
def test_of_a_standing_start(kind):
    changes, idle = STARTS[kind]
    given = {name: one for name, one in {**CAR, **changes}.items() if one is not None}
    run = cw.standing_start(**given)

    def results(laws):
        made = StartRun(StartVehicle(run.values, run.vehicle.axle, laws), tolerance=1e-8)
        assert made.equations is laws
        times = [made.time_to(20.0).magnitude, made.time_over(400.0).magnitude]
        return [*times, made.top_speed.magnitude]

    check_every_line(run.equations, results, idle=idle)


# The schedule ---------------------------------------------------------------------------------------
DRIVEN = {
    **{name: CAR[name] for name in ("mass", "drag_area", "rolling_coefficient", "air_density")},
    "rotating_mass_factor": 1.04,
    "drive_efficiency": 0.87,
    "recovery_efficiency": 0.6,
    "auxiliary_power": 350.0,
}


@pytest.mark.parametrize("limit", [None, 9000.0])
def test_of_a_schedule(limit):
    trip = cw.drive_schedule(cw.schedules.nedc, **DRIVEN, recovery_power_max=limit)

    def results(laws):
        made = driven(trip.schedule, trip.values, laws)
        assert made.equations is laws
        names = ("consumption", "battery_energy", "braking_energy", "recovered_energy")
        return [float(made.si(name)) for name in names]

    check_every_line(trip.equations, results)


def test_of_the_power_and_the_parts_of_a_schedule():
    trip = cw.drive_schedule(cw.schedules.nedc, **DRIVEN)
    lines = {line.title: line for line in trip.equations.lines}
    for title, parts in {
        "Air drag": {"drag_energy", "peak_wheel_power"},
        "Rolling resistance": {"rolling_energy", "peak_wheel_power"},
        "Power at the wheels": {"peak_wheel_power"},
        "Driving": {"peak_battery_power"},
        "Energy from the battery": {"peak_battery_power", "drive_loss"},
    }.items():
        line = lines[title]
        other = driven(
            trip.schedule, trip.values, trip.equations.replaced(line, mutated(line, FACTORS[0]))
        )
        for name in parts:
            assert other.si(name) > 1.001 * trip.si(name), (title, name)
    # With a tenth more drag a tenth more goes into the air.
    drag = lines["Air drag"]
    other = driven(
        trip.schedule, trip.values, trip.equations.replaced(drag, mutated(drag, FACTORS[0]))
    )
    assert other.si("drag_energy") == pytest.approx(1.1 * trip.si("drag_energy"), rel=1e-13)


def test_a_drag_that_pushes_is_refused():
    trip = cw.drive_schedule(cw.schedules.nedc, **DRIVEN)
    drag = next(line for line in trip.equations.lines if line.title == "Air drag")
    with pytest.raises(ChalkwattError, match="grows with speed"):
        driven(trip.schedule, trip.values, trip.equations.replaced(drag, mutated(drag, -1)))


# Coasting down --------------------------------------------------------------------------------------
ROADS = {
    "coefficients": {
        name: CAR[name] for name in ("mass", "drag_area", "rolling_coefficient", "air_density")
    },
    "a slope, a wind and a part linear in speed": {
        "mass": 1500.0,
        "drag_coefficient": 0.3,
        "frontal_area": 2.0,
        "altitude": 800.0,
        "rolling_coefficient": 0.01,
        "grade": 0.01,
        "headwind": 3.0,
        "coast_down_linear": 2.0,
    },
    "coast-down form": {"mass": 1500.0, "coast_down_constant": 150.0, "coast_down_square": 0.4},
}


@pytest.mark.parametrize("kind", ROADS)
def test_of_coasting_down(kind):
    run = cw.coast_down(speed_from=25.0, speed_to=10.0, rotating_mass_factor=1.04, **ROADS[kind])

    def results(laws):
        made = CoastDown(run.start, run.end, run.values, laws)
        assert made.equations is laws
        return [made.time.magnitude, made.distance.magnitude]

    check_every_line(run.equations, results)


# Days in the sun ------------------------------------------------------------------------------------
SUNNY = {"mass": 650.0, "drag_area": 0.3, "rolling_coefficient": 0.007, "drive_efficiency": 0.86}
SUNNY |= {"air_density": 1.2, "auxiliary_power": 30.0, "speed": 60 / 3.6}
PANELS = {
    "by its rating": {"rated_power": 700.0, "temperature_coefficient": -0.0035},
    "by its size": {
        "panel_area": 3.2,
        "panel_efficiency": 0.22,
        "temperature_coefficient": -0.0035,
        "conversion_efficiency": 0.95,
    },
}


@pytest.fixture(scope="module")
def sky():
    pytest.importorskip("pvlib")
    place = {"latitude": 52.52, "longitude": 13.405, "altitude": 34.0}
    return cw.solar_day(**place, date="2023-06-21", **PANELS["by its rating"]).sky


@pytest.mark.parametrize("kind", PANELS)
def test_of_a_solar_day(kind, sky):
    given = PANELS[kind] | SUNNY

    def vehicle(laws=None):
        return SolarVehicle(given, cw.roofs.flat, 0.0, laws=laws)

    def results(laws):
        made = SolarDay(sky, vehicle(laws))
        assert made.equations is laws
        names = ("energy", "distance", "distance_on_sun_alone")
        return [getattr(made, name).magnitude for name in names]

    check_every_line(vehicle().equations, results)


def test_of_a_solar_year(sky):
    given = PANELS["by its size"] | SUNNY

    def vehicle(laws=None):
        return SolarVehicle(given, cw.roofs.flat, 0.0, alone=False, laws=laws)

    def results(laws):
        made = SolarYear(sky, vehicle(laws))
        assert made.equations is laws
        return [made.energy.magnitude, made.distance.magnitude]

    check_every_line(vehicle().equations, results)
