"""Stop and go on slopes, up and down: power both ways at every moment, against quadrature."""

import itertools
import math

import pytest
from scipy.integrate import quad

from chalkwatt import stops
from chalkwatt.errors import ChalkwattError, NoSolutionError
from tests.independent import chances, near

G = 9.80665


def _by_quadrature(known, efficiency, recovery, load):
    """Return what drives, what the wheels give back and what the battery gives, from power by time."""
    peak, gain, loss = known["peak_speed"], known["acceleration"], known["deceleration"]
    lean = math.atan(known["grade"])
    steady = known["mass"] * G * (known["rolling_coefficient"] * math.cos(lean) + math.sin(lean))
    inert = known["mass"] * known["rotating_mass_factor"]
    drag = known["air_density"] * known["drag_area"] / 2
    rolling_on = known["stop_spacing"] / peak - peak / (2 * gain) - peak / (2 * loss)
    phases = ((peak / gain, gain), (rolling_on, 0.0), (peak / loss, -loss))
    totals = [0.0, 0.0, load * known["standing_time"]]
    for length, change in phases:
        first = peak if change <= 0 else 0.0

        def power(time, first=first, change=change):
            v = first + change * time
            return (inert * change + steady + drag * v * v) * v

        # Where the force changes its sign the integrand bends: the quadrature is cut there.
        square = -(inert * change + steady) / drag
        bend = (math.sqrt(square) - first) / change if square > 0 and change else -1.0
        cuts = [0.0, *([bend] if 0 < bend < length else []), length]
        for start, end in itertools.pairwise(cuts):
            for place, share in enumerate(
                (
                    lambda p: max(p, 0.0),
                    lambda p: max(-p, 0.0),
                    lambda p: max(p / efficiency, recovery * p) + load,
                )
            ):
                totals[place] += quad(
                    lambda t, s=share, w=power: s(w(t)), start, end, epsabs=1e-9, epsrel=1e-12
                )[0]
    return totals


def _drawn(chance):
    peak, gain, loss = chance.uniform(4, 30), chance.uniform(0.05, 3), chance.uniform(0.05, 3)
    shortest = peak**2 * (1 / (2 * gain) + 1 / (2 * loss))
    return {
        "peak_speed": peak,
        "acceleration": gain,
        "deceleration": loss,
        "stop_spacing": shortest + chance.choice((0.0, 1.0, 300.0, 3000.0)) * chance.random(),
        "standing_time": chance.uniform(0, 60),
        "mass": chance.uniform(300, 2500),
        "rotating_mass_factor": chance.uniform(1.0, 1.1),
        "rolling_coefficient": chance.uniform(0.004, 0.02),
        "drag_area": chance.uniform(0.15, 3),
        "air_density": chance.uniform(0.9, 1.3),
        "grade": chance.choice((0.0, 0.01, 0.05, 0.3)) * chance.uniform(-1, 1),
    }


@pytest.mark.parametrize("chance", chances("slopes", 60))
def test_every_phase_is_power_both_ways(chance):
    known = _drawn(chance)
    efficiency, recovery = chance.uniform(0.4, 1), chance.choice((0.0, chance.random(), 1.0))
    load = chance.choice((0.0, chance.uniform(0, 5000)))
    drives, back, drawn = _by_quadrature(known, efficiency, recovery, load)
    scale = drives + back
    found = stops.find("stop_wheel_energy", **known).si
    assert found == pytest.approx(drives, rel=1e-8, abs=1e-9 * scale)
    found = stops.find("braking_energy", **known).si
    assert found == pytest.approx(back, rel=1e-8, abs=1e-9 * scale)
    question = known | {
        "drive_efficiency": efficiency,
        "recovery_efficiency": recovery,
        "auxiliary_power": load,
    }
    if drawn < -1e-6 * scale:
        with pytest.raises(NoSolutionError, match="nothing is drawn from the battery"):
            stops.find("consumption", **question)
    elif drawn > 1e-6 * scale:
        near(stops.find("consumption", **question), drawn / known["stop_spacing"], rel=1e-8)


def test_the_draws_meet_every_case():
    """Each phase drives, gives back, and where speed changes does one after the other."""
    met = set()
    for chance in chances("slopes", 60):
        known = _drawn(chance)
        lean = math.atan(known["grade"])
        steady = (
            known["mass"] * G * (known["rolling_coefficient"] * math.cos(lean) + math.sin(lean))
        )
        drag = known["air_density"] * known["drag_area"] / 2 * known["peak_speed"] ** 2
        inert = known["mass"] * known["rotating_mass_factor"]
        for phase, change in (("up", "acceleration"), ("on", None), ("down", "deceleration")):
            force = steady + (inert * known[change] * (1 if phase == "up" else -1) if change else 0)
            ends = (force + (drag if phase == "on" else 0.0), force + drag)
            met.add((phase, ends[0] > 0, ends[1] > 0))
    assert met == {
        *((phase, way, way) for phase in ("up", "on", "down") for way in (False, True)),
        *((phase, False, True) for phase in ("up", "down")),
    }


def test_level_and_uphill_as_ever():
    """Where nothing changes its sign, the plain balance of energy holds to the last digits."""
    known = {
        "peak_speed": 14.0,
        "acceleration": 1.2,
        "deceleration": 1.5,
        "stop_spacing": 500.0,
        "mass": 1180.0,
        "rolling_coefficient": 0.0085,
        "drag_area": 0.42,
        "air_density": 1.2,
    }
    for grade in (0.0, 0.03):
        lean = math.atan(grade)
        steady = 1180.0 * G * (0.0085 * math.cos(lean) + math.sin(lean))
        drag = 0.6 * 0.42 * 14.0**2
        way = 500.0 - 14.0**2 / 3.0
        wheels = 590.0 * 14.0**2 + steady * way + drag * (way - 14.0**2 / 4.8)
        found = stops.find("stop_wheel_energy", grade=grade, **known).si
        assert found == pytest.approx(wheels, rel=1e-12)


def test_where_nothing_drives_nothing_is_said_of_the_drive():
    """A descent so steep that the wheels give back all the way: what drives is nought, not nearly."""
    known = {
        "peak_speed": 14.0,
        "acceleration": 0.3,
        "deceleration": 0.7,
        "stop_spacing": 1500.0,
        "mass": 1180.0,
        "rolling_coefficient": 0.0085,
        "drag_area": 0.42,
        "air_density": 1.2,
        "grade": -0.15,
    }
    assert stops.find("stop_wheel_energy", **known).si == 0.0
    with pytest.raises(ChalkwattError):
        stops.find("drive_efficiency", consumption=100.0, auxiliary_power=5.0, **known)


@pytest.mark.parametrize("grade", [-0.03, 0.0, 0.05])
def test_what_was_given_follows_from_the_consumption(grade):
    known = {
        "peak_speed": 14.0,
        "acceleration": 1.2,
        "deceleration": 1.5,
        "stop_spacing": 500.0,
        "standing_time": 20.0,
        "mass": 1180.0,
        "rotating_mass_factor": 1.04,
        "rolling_coefficient": 0.0085,
        "drag_area": 0.42,
        "air_density": 1.2,
        "grade": grade,
        "drive_efficiency": 0.85,
        "recovery_efficiency": 0.6,
        "auxiliary_power": 3000.0,
    }
    spent = _by_quadrature(known, 0.85, 0.6, 3000.0)[2] / 500.0
    for name, value in known.items():
        others = {one: known[one] for one in known if one != name}
        near(stops.find(name, consumption=spent, **others), value, rel=1e-6)
