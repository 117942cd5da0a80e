"""Sun on a vehicle: balances found by a scan of speeds, days summed hour by hour."""

import math

import numpy as np
import pytest
from scipy.optimize import brentq

from chalkwatt import panel, sun
from tests.independent import chances, near

G = 9.80665


def vehicle(chance):
    return {
        "panel_area": chance.uniform(2, 6),
        "panel_efficiency": chance.uniform(0.18, 0.25),
        "conversion_efficiency": chance.uniform(0.9, 0.99),
        "temperature_coefficient": -chance.uniform(0.0025, 0.0045),
        "irradiance": chance.uniform(500, 1050),
        "air_temperature": chance.uniform(275, 308),
        "panel_wind": chance.uniform(0.5, 6),
        "mass": chance.uniform(350, 800),
        "rolling_coefficient": chance.uniform(0.005, 0.009),
        "drag_area": chance.uniform(0.15, 0.5),
        "air_density": chance.uniform(1.0, 1.3),
        "drive_efficiency": chance.uniform(0.8, 0.95),
        "auxiliary_power": chance.uniform(20, 120),
    }


def panel_heat(known):
    """Temperature at which as much heat leaves the panel as the sun brings, by bisection."""
    loss = 25.0 + 6.84 * known["panel_wind"]
    return brentq(
        lambda t: known["irradiance"] - loss * (t - known["air_temperature"]), 200, 500, xtol=1e-12
    )


def sunlit(known):
    """Power of the panel and what reaches the rail: a degree at a time above 25 °C."""
    hot = panel_heat(known) - 298.15
    cold = known["irradiance"] * known["panel_area"] * known["panel_efficiency"]
    steps = 1000
    power = cold + sum(cold * known["temperature_coefficient"] * hot / steps for _ in range(steps))
    return power, power * known["conversion_efficiency"]


def needs(known, speed, lean=0.0, wind=0.0):
    through = speed + wind
    air = known["air_density"] * known["drag_area"] * through * abs(through) / 2
    weight = known["mass"] * G
    return (air + weight * (known["rolling_coefficient"] * math.cos(lean) + math.sin(lean))) * speed


@pytest.mark.parametrize("chance", chances("sunlit", 4))
def test_power_of_a_warm_panel(chance):
    known = vehicle(chance)
    power, rail = sunlit(known)
    near(sun.find("panel_temperature", **known), panel_heat(known))
    near(sun.find("panel_power", **known), power)
    near(sun.find("solar_power", **known), rail)
    rated = 1000.0 * known["panel_area"] * known["panel_efficiency"]
    near(sun.find("rated_power", **known), rated)
    # The same panel by its plate.
    plate = {
        name: value
        for name, value in known.items()
        if name not in {"panel_area", "panel_efficiency"}
    }
    near(sun.find("panel_power", rated_power=rated, **plate), power)
    # Nothing said of the wind: a metre a second. Of heat: no loss. Of what is behind it: nothing.
    still = {name: value for name, value in known.items() if name != "panel_wind"}
    near(sun.find("panel_temperature", **still), panel_heat(known | {"panel_wind": 1.0}))
    bare = {
        name: value
        for name, value in known.items()
        if name not in {"temperature_coefficient", "conversion_efficiency"}
    }
    near(sun.find("solar_power", **bare), rated * known["irradiance"] / 1000)


@pytest.mark.parametrize("chance", chances("equilibrium", 4))
def test_speed_of_the_sun_by_a_scan(chance):
    """The speeds at which drive and road are even, by bisection between the steps of a scan."""
    known = vehicle(chance)
    _, rail = sunlit(known)
    wind = chance.uniform(0, 3)
    grade = chance.uniform(0, 0.01)
    lean = math.atan(grade)

    def surplus(speed):
        return known["drive_efficiency"] * (rail - known["auxiliary_power"]) - needs(
            known, speed, lean, wind
        )

    speeds = np.linspace(0, 60, 601)
    signs = [surplus(one) for one in speeds]
    found = [
        brentq(surplus, low, high, xtol=1e-13)
        for low, high, before, after in zip(speeds, speeds[1:], signs, signs[1:], strict=False)
        if before * after < 0
    ]
    made = sun.find("equilibrium_speed", headwind=wind, grade=grade, **known)
    near(made, found[-1])
    assert len(made.solutions_si) == len(found)


@pytest.mark.parametrize("wind", [-30.0, -12.0])
def test_speed_of_the_sun_with_a_wind_from_behind(wind):
    """A gale that is faster than the vehicle pushes it: the sign of drag turns."""
    known = vehicle(chances("gale", 1)[0]) | {"rolling_coefficient": 0.03, "mass": 700.0}
    _, rail = sunlit(known)

    def surplus(speed):
        drive = known["drive_efficiency"] * (rail - known["auxiliary_power"])
        return drive - needs(known, speed, 0.0, wind)

    found = brentq(surplus, 0.01, 60, xtol=1e-13)
    near(sun.find("equilibrium_speed", headwind=wind, **known), found)


@pytest.mark.parametrize("chance", chances("stall", 4))
def test_grade_at_which_it_creeps(chance):
    """Steeper and steeper, until what the sun brings is eaten at a creeping speed."""
    known = vehicle(chance)
    _, rail = sunlit(known)
    creeping = chance.uniform(0.8, 2)
    drive = known["drive_efficiency"] * (rail - known["auxiliary_power"])
    low, high = 0.0, math.pi / 2
    for _ in range(200):
        middle = (low + high) / 2
        low, high = (middle, high) if needs(known, creeping, middle) < drive else (low, middle)
    near(sun.find("stall_angle", creeping_speed=creeping, **known), low)
    near(sun.find("stall_grade", creeping_speed=creeping, **known), math.tan(low))
    # Nothing said: four and a half kilometres an hour.
    usual = brentq(lambda lean: needs(known, 4.5 / 3.6, lean) - drive, 0, 1.5, xtol=1e-14)
    near(sun.find("stall_angle", **known), usual)


@pytest.mark.parametrize("chance", chances("day", 3))
def test_a_day_hour_by_hour(chance):
    known = vehicle(chance)
    hours = chance.uniform(3, 7)
    rated = known["panel_area"] * known["panel_efficiency"] * 1000
    consumption, daily = chance.uniform(150, 500), chance.uniform(1e4, 9e4)
    energy = sum(rated * known["conversion_efficiency"] * hours * 3600 / 1000 for _ in range(1000))
    day = {
        "rated_power": rated,
        "conversion_efficiency": known["conversion_efficiency"],
        "peak_sun_hours": hours * 3600,
        "consumption": consumption,
        "daily_distance": daily,
    }
    near(sun.find("daily_solar_energy", **day), energy)
    near(sun.find("solar_distance", **day), energy / consumption)
    near(sun.find("solar_share", **day), energy / consumption / daily)
    # Parked: metres that an hour of sun is good for, an hour at a time.
    near(
        sun.find("charging_distance", solar_power=700.0, consumption=consumption),
        700.0 * 3600 / consumption / 3600,
    )


@pytest.mark.parametrize("chance", chances("mounting", 4))
def test_mountings(chance):
    """Sandia's law by its definition: the logarithm of warmth per irradiance falls straight with wind."""
    light, air, wind = chance.uniform(300, 1100), chance.uniform(270, 305), chance.uniform(0, 8)
    still, cooling = chance.uniform(-3.5, -2.8), -chance.uniform(0.045, 0.06)
    per_light = math.exp(np.interp(wind, [0, 10], [still, still + 10 * cooling]))
    cells = chance.uniform(0, 0.003)
    known = {
        "irradiance": light,
        "air_temperature": air,
        "panel_wind": wind,
        "mounting_exponent": still,
        "mounting_wind_exponent": cooling,
        "cell_heat_resistance": cells,
    }
    near(panel.find("panel_temperature", **known), air + light * (per_light + cells))
    # Ross: from 20 °C and no sun to the nominal temperature in 800 W/m², a straight line.
    nominal = chance.uniform(313, 323)
    line = np.polyfit([0, 800], [0, nominal - 293.15], 1)
    made = panel.find(
        "rack_panel_temperature",
        irradiance=light,
        air_temperature=air,
        nominal_panel_temperature=nominal,
    )
    near(made, air + float(np.polyval(line, light)))
