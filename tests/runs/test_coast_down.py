"""Coasting down: energy conserved, closed forms met, and said in words where it never slows."""

import numpy as np
import pytest
from scipy.integrate import quad

import chalkwatt as cw
from chalkwatt.runs.coast import coast_down as module
from chalkwatt.wording.numbers import format_number
from tests.external import published

CAR = {"mass": 1100.0, "drag_area": 0.55, "rolling_coefficient": 0.009, "air_density": 1.2}


def coast(**changes):
    return cw.coast_down(**{"speed_from": "90 km/h", "speed_to": "20 km/h", **CAR, **changes})


def test_energy_is_conserved():
    run = coast(rotating_mass_factor=1.04)
    seconds = run.time.magnitude

    def power(t):
        speed = float(run.speed_at(t))
        return (0.5 * 1.2 * 0.55 * speed**2 + 0.009 * 1100 * 9.80665) * speed

    spent = quad(power, 0, seconds, epsrel=1e-12, limit=200)[0]
    kinetic = 1.04 * 1100 / 2 * (25.0**2 - (20 / 3.6) ** 2)
    assert spent == pytest.approx(kinetic, rel=1e-9)


def test_time_and_distance_are_the_closed_forms():
    """For a + c v²: time is an arctangent, distance a logarithm; both integrated by hand."""
    a, c, inertia = 0.009 * 1100 * 9.80665, 0.5 * 1.2 * 0.55, 1100.0
    root = np.sqrt(a * c)
    high, low = 25.0, 20 / 3.6
    run = coast()
    seconds = inertia / root * (np.arctan(high * c / root) - np.arctan(low * c / root))
    metres = inertia / (2 * c) * np.log((a + c * high**2) / (a + c * low**2))
    assert run.time.magnitude == pytest.approx(seconds, rel=1e-10)
    assert run.distance.magnitude == pytest.approx(metres, rel=1e-10)


def test_halving_the_tolerance_changes_no_shown_digit(monkeypatch):
    shown = []
    for tolerance in (module._TOLERANCE, module._TOLERANCE / 2):
        monkeypatch.setattr(module, "_TOLERANCE", tolerance)
        run = coast()
        shown.append([format_number(float(one.magnitude), 8) for one in (run.time, run.distance)])
    assert shown[0] == shown[1]


def test_to_a_standstill():
    run = coast(speed_to=0)
    assert float(run.speed_at(run.time.magnitude)) == pytest.approx(0, abs=1e-9)


def test_less_drag_and_more_mass_roll_further():
    metres = coast().distance.magnitude
    for changes in (
        {"drag_area": 0.4},
        {"rolling_coefficient": 0.006},
        {"rotating_mass_factor": 1.05},
    ):
        assert coast(**changes).distance.magnitude > metres


def test_downhill_it_never_slows_that_far():
    with pytest.raises(cw.NoSolutionError, match="never slows below about") as caught:
        coast(grade="-2 %")
    # 2 % downhill against rolling of 0.9 % leaves 1.1 % of the weight for the air.
    steady = np.sqrt(0.011 * 1100 * 9.80665 / (0.5 * 1.2 * 0.55))
    assert caught.value.nearest == pytest.approx(steady, rel=0.02)


def test_what_does_not_slow_is_refused():
    with pytest.raises(cw.OutOfBoundsError, match="does not slow down"):
        coast(speed_to="100 km/h")
    with pytest.raises(cw.TooLittleKnownError):
        cw.coast_down(speed_from=20, speed_to=10, mass=1000)
    with pytest.raises(cw.ChalkwattError, match="one vehicle"):
        coast(drag_area=[0.5, 0.6])


def test_equations_and_caution():
    run = coast()
    assert "dv/dt = −F_road / (k_rot · m)" in run.equations.text
    assert "closed ground" in run.caution


@pytest.mark.parametrize(
    "case",
    [one for one in published("load", "coast-down-table") if one.quantity == "time"],
    ids=lambda one: one.id,
)
def test_the_published_table_integrated_in_time(case):
    """40 CFR 86.529-98, figure F98-9."""
    run = cw.coast_down(**{name: value for name, value in case.known.items() if name != "speed"})
    case.check(run.time.magnitude)
