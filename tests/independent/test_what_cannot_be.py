"""What solves an equation and is none the less no answer: the other current, power the wrong way, wheels that lift."""

import numpy as np
import pytest
from scipy.optimize import brentq

from chalkwatt import NoSolutionError, OutOfBoundsError, drive, launch, pack, stops, weather
from tests.independent import chances

G = 9.80665


@pytest.mark.parametrize("chance", chances("two currents", 4))
@pytest.mark.parametrize("share", [0.05, 0.6, 0.93, 0.97])
def test_of_two_currents_the_lower(chance, share):
    """Of one power the lower current, by bisection from nought up to the largest power of a scan."""
    volts, ohms = chance.uniform(20, 900), 10 ** chance.uniform(-3, 0)
    currents = np.linspace(0, volts / ohms, 4001)
    matched = float(currents[np.argmax(currents * (volts - ohms * currents))])
    lower = share * matched
    power = lower * (volts - ohms * lower)
    found = brentq(lambda one: one * (volts - ohms * one) - power, 0, matched, xtol=1e-13)
    whole = {"pack_voltage": volts, "pack_resistance": ohms}
    at_the_limit = pack.find("pack_current_max", current_limited_power=power, **whole)
    assert at_the_limit.solutions_si == pytest.approx([found], rel=1e-6)
    assert pack.find("pack_current", pack_power=power, **whole).solutions_si == pytest.approx(
        [found], rel=1e-6
    )
    # And of two voltages the higher one, which the lower current leaves.
    left = volts - ohms * found
    lowest = pack.find("pack_voltage_min", voltage_limited_power=power, **whole)
    assert lowest.solutions_si == pytest.approx([left], rel=1e-6)


LINKS = (
    ("driving_power", "battery", "inverter_power"),
    ("inverter_power", "inverter", "motor_input_power"),
    ("motor_input_power", "motor", "shaft_power"),
    ("shaft_power", "gear", "axle_power"),
)


@pytest.mark.parametrize(("before", "link", "after"), LINKS)
@pytest.mark.parametrize("power", [-30_000.0, -1.0])
def test_a_chain_that_only_gives_is_not_run_backwards(before, link, after, power):
    """Backwards a link would give out more than it gets: that makes energy of nothing."""
    passes = {f"{link}_efficiency": 0.9}
    assert power * 0.9 > power
    with pytest.raises(NoSolutionError):
        drive.find(after, **{before: power}, **passes)


def test_tyres_that_brake_lose_nothing_here():
    with pytest.raises(NoSolutionError):
        drive.find("tyre_loss", axle_power=-900.0, wheel_power=-1000.0)


@pytest.mark.parametrize("share", [0.3, 0.5, 0.7])
@pytest.mark.parametrize("near", [0.98, 1.02, 1.1])
def test_wheels_that_are_not_driven_lift(share, near):
    """By moments: their load is the weight on them less what the push takes off; below nought they lift."""
    transfer = 0.3
    lifts = (1 - share) * G / transfer
    # So much friction that the driven tyres would slip at that many times the acceleration that lifts.
    friction = brentq(
        lambda one: one * (share * G + transfer * near * lifts) - near * lifts, 1e-6, 3.3
    )
    known = {"friction": friction, "driven_weight_share": share, "load_transfer": transfer}
    load_left = (1 - share) * G - transfer * near * lifts
    if load_left < 0:
        with pytest.raises(NoSolutionError, match="lift"):
            launch.find("traction_acceleration", **known)
    else:
        found = launch.find("traction_acceleration", **known).si
        assert found == pytest.approx(near * lifts, rel=1e-9)


@pytest.mark.parametrize("name", ["stop_wheel_energy", "braking_energy"])
def test_no_run_between_stops_begins_by_slowing_down(name):
    known = {
        "peak_speed": 10.0,
        "stop_spacing": 400.0,
        "acceleration": -1.0,
        "deceleration": 1.5,
        "mass": 900.0,
        "rolling_coefficient": 0.01,
        "drag_area": 0.5,
        "air_density": 1.2,
    }
    with pytest.raises((NoSolutionError, OutOfBoundsError)):
        stops.find(name, **known)


def test_no_vapour_far_below_what_the_formula_is_made_for():
    """Tetens has a pole at −237 °C, beyond which vapour would grow with the cold; it ends at −100 °C here.

    The limit is common practice, no source: no air outside is as cold.
    """
    assert weather.find("saturation_pressure", air_temperature="-99 °C").si > 0
    with pytest.raises(NoSolutionError):
        weather.find("saturation_pressure", air_temperature="-101 °C")
    barely = weather.find("saturation_pressure", air_temperature="-99 °C").si
    assert weather.find("dew_point", vapour_pressure=barely).si == pytest.approx(174.15)
    with pytest.raises(NoSolutionError):
        weather.find("dew_point", vapour_pressure=barely / 10)
