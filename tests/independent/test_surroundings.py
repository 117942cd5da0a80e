"""Weather by another library's real gas, walls cut into slices, tyres by two measurements."""

import math

import CoolProp.CoolProp
import numpy as np
import pytest

from chalkwatt import cabin, load, tyres, weather
from chalkwatt.errors import NoSolutionError
from tests.independent import chances, near


@pytest.mark.parametrize("celsius", [2.0, 15.0, 28.0, 38.0])
@pytest.mark.parametrize("share", [0.2, 0.9])
def test_moist_air_as_a_real_gas(celsius, share):
    """Virial coefficients instead of ideal gases, and IAPWS instead of Tetens: within what they differ by."""
    state = ("T", celsius + 273.15, "P", 98_000.0, "R", share)
    volume = CoolProp.CoolProp.HAPropsSI("Vha", *state)
    known = {
        "air_temperature": celsius + 273.15,
        "air_pressure": 98_000.0,
        "relative_humidity": share,
    }
    near(weather.find("air_density", **known), 1 / volume, rel=1.2e-3)
    vapour = CoolProp.CoolProp.HAPropsSI("P_w", *state)
    near(weather.find("vapour_pressure", **known), vapour, rel=8e-3)
    dew = CoolProp.CoolProp.HAPropsSI("D", *state)
    if dew > 273.15:  # below it the library has frost
        near(weather.find("dew_point", **known), dew, rel=4e-4)
    assert len(weather.find("dew_point", **known).solutions_si) == 1
    water = CoolProp.CoolProp.PropsSI("P", "T", celsius + 273.15, "Q", 0, "Water")
    near(weather.find("saturation_pressure", **known), water, rel=4e-3)
    # What vapour takes away, by itself: within 2 % of the little that it is.
    dry = load.find("air_density", air_temperature=celsius + 273.15, air_pressure=98_000.0).si
    made = weather.find("air_density", **known).si
    dry_real = 1 / CoolProp.CoolProp.HAPropsSI("Vha", *state[:-1], 0.0)
    assert dry - made == pytest.approx(dry_real - 1 / volume, rel=0.03)


@pytest.mark.parametrize("chance", chances("wind", 3))
def test_wind_by_height(chance):
    """A logarithmic profile over grass of 0.12 m (FAO-56): the same friction speed at every height."""
    shift, rough = 2 / 3 * 0.12, 0.123 * 0.12
    low, high, wind = chance.uniform(0.6, 3), chance.uniform(5, 20), chance.uniform(1, 12)
    friction = wind * 0.41 / math.log((high - shift) / rough)
    steps = np.linspace(math.log(rough), math.log(low - shift), 2001)
    climbed = float(np.trapezoid(np.full_like(steps, friction / 0.41), steps))
    known = {"reported_wind": wind, "reported_height": high, "vehicle_wind_height": low}
    near(weather.find("road_wind", **known), climbed, rel=1e-3)
    # And the other way: from a wind just above the grass, where its height tells most.
    low, high = chance.uniform(0.4, 0.7), chance.uniform(5, 9)
    friction = wind * 0.41 / math.log((low - shift) / rough)
    steps = np.linspace(math.log(rough), math.log(high - shift), 2001)
    climbed = float(np.trapezoid(np.full_like(steps, friction / 0.41), steps))
    known = {"reported_wind": wind, "reported_height": low, "vehicle_wind_height": high}
    near(weather.find("road_wind", **known), climbed, rel=1e-3)
    usual = weather.find("road_wind", reported_wind=wind)
    ten = wind * math.log((1 - shift) / rough) / math.log((10 - shift) / rough)
    near(usual, ten, rel=2e-3)


def slices(inner, outer, resistance, inside, outside, count=400):
    """Heat through a wall cut into slices: nodes in a line, one conductance between each two."""
    conductances = [inner, *([count / resistance] * count), outer]
    size = len(conductances) - 1
    matrix, right = np.zeros((size, size)), np.zeros(size)
    for node in range(size):
        left, after = conductances[node], conductances[node + 1]
        matrix[node, node] = left + after
        if node:
            matrix[node, node - 1] = -left
        else:
            right[node] += left * inside
        if node + 1 < size:
            matrix[node, node + 1] = -after
        else:
            right[node] += after * outside
    warmth = np.linalg.solve(matrix, right)
    return inner * (inside - warmth[0]), float(warmth[0])


@pytest.mark.parametrize("chance", chances("wall", 4))
def test_heat_through_a_wall_in_slices(chance):
    inner, outer, resistance = (
        chance.uniform(6, 20),
        chance.uniform(15, 90),
        chance.uniform(0.005, 0.6),
    )
    inside, outside = chance.uniform(288, 298), chance.uniform(253, 285)
    area, vents, performance = (
        chance.uniform(2, 20),
        chance.uniform(0, 50),
        chance.uniform(1.2, 3.5),
    )
    flux, surface = slices(inner, outer, resistance, inside, outside)
    known = {
        "inner_film_coefficient": inner,
        "outer_film_coefficient": outer,
        "wall_resistance": resistance,
        "cabin_temperature": inside,
        "air_temperature": outside,
        "wall_area": area,
        "air_exchange_loss": vents,
        "coefficient_of_performance": performance,
    }
    heat = flux * area + vents * (inside - outside)
    for name, value in {
        "heat_transfer_coefficient": flux / (inside - outside),
        "inner_wall_temperature": surface,
        "heat_loss_coefficient": heat / (inside - outside),
        "cabin_heat": heat,
        "heater_power": heat / performance,
        "outside_heat": heat - heat / performance,
        "cooling_performance": (heat - heat / performance) / (heat / performance),
    }.items():
        near(cabin.find(name, **known), value, rel=1e-8)
    # Nothing said: a resistance heater, closed vents, 21 °C.
    flux, _ = slices(inner, outer, resistance, 294.15, outside)
    plain = {
        "inner_film_coefficient": inner,
        "outer_film_coefficient": outer,
        "wall_resistance": resistance,
        "air_temperature": outside,
        "wall_area": area,
    }
    near(cabin.find("heater_power", **plain), flux * area, rel=1e-8)


@pytest.mark.parametrize("performance", [1.0, 2.5])
def test_a_heater_takes_no_heat_out(performance):
    known = {"heat_loss_coefficient": 60, "coefficient_of_performance": performance}
    for outside in (295.0, 303.15, 320.0):
        with pytest.raises(NoSolutionError, match="Nothing is to be heated"):
            cabin.find("heater_power", air_temperature=outside, **known)
    for outside in (294.15, 290.0, 250.0):
        found = cabin.find("heater_power", air_temperature=outside, **known).si
        assert found == pytest.approx(60 * (294.15 - outside) / performance, abs=1e-9)


@pytest.mark.parametrize("chance", chances("carnot", 3))
def test_no_heat_pump_beats_a_reversible_cycle(chance):
    """A Carnot cycle of an ideal gas, its four strokes integrated: heat out over work in."""
    hot, cold = chance.uniform(290, 320), chance.uniform(250, 280)
    # Isothermal strokes between two volumes; the adiabatic strokes' work cancels.
    volumes = np.geomspace(1.0, 2.0, 20001)
    heat_out = float(np.trapezoid(8.314 * hot / volumes, volumes))
    heat_in = float(np.trapezoid(8.314 * cold / volumes, volumes))
    made = cabin.find("greatest_performance", cabin_temperature=hot, air_temperature=cold)
    near(made, heat_out / (heat_out - heat_in))


@pytest.mark.parametrize("chance", chances("tyre", 4))
def test_a_tyre_measured_cold_and_fast(chance):
    """The regulation's own sum: what is measured at t is (1 + K (t − 25)) times smaller at 25 °C."""
    at_25, sensitivity = chance.uniform(0.006, 0.012), chance.uniform(0.006, 0.01)
    growth, speed, warmth = (
        chance.uniform(0.001, 0.02),
        chance.uniform(3, 40),
        chance.uniform(268, 308),
    )
    measured = at_25
    for _ in range(200):  # until correcting it gives back the value at 25 °C
        corrected = measured + measured * sensitivity * (warmth - 298.15)
        measured += at_25 - corrected
    fast = measured + sum(measured * growth * speed / 100 for _ in range(100))
    known = {
        "reference_rolling_coefficient": at_25,
        "tyre_temperature_coefficient": sensitivity,
        "rolling_speed_growth": growth,
        "speed": speed,
        "air_temperature": warmth,
        "mass": 1000.0,
    }
    near(tyres.find("rolling_coefficient", **known), fast)
    near(tyres.find("rolling_share_of_warm", **known), fast / at_25)
    near(tyres.find("rolling_force", **known), fast * 1000.0 * 9.80665)
    # Nothing said: 25 °C and walking pace.
    near(tyres.find("rolling_coefficient", reference_rolling_coefficient=at_25), at_25)
    slow = {"reference_rolling_coefficient": at_25, "rolling_speed_growth": growth}
    near(tyres.find("rolling_coefficient", **slow), at_25)
    cool = tyres.find("rolling_share_of_warm", speed=speed, air_temperature=298.15)
    near(cool, 1.0)
