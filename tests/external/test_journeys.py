"""Journeys, labels, heat and units against what was published; the values stand beside this file."""

import math

import pytest

from chalkwatt import economy, load
from chalkwatt.laws.quantities import constants, look_up
from chalkwatt.topics.ageing import ageing
from chalkwatt.wording import units
from tests.external import published


def each(topic, *found):
    cases = [case for row in found for case in published(topic, row)]
    return pytest.mark.parametrize("case", cases, ids=lambda case: f"{case.id} {case.quantity}")


def the(topic, row):
    (case,) = published(topic, row)
    return case


def gallons(economy_words, miles=10_000):
    """Gallons over a distance: energy per distance from the topic, over the energy of a gallon."""
    made = economy.find("combined_consumption", equivalent_economy=economy_words).si
    gallon = units.unit("gal").factor
    return made * miles * 1609.344 / (constants()["gallon_energy"] * gallon)


@each("journeys", "mpg-quiz", "mpg-two-owners-saved")
def test_gallons_saved(case):
    case.check(gallons(case.known["before"]) - gallons(case.known["after"]))


@each("journeys", "mpg-two-owners")
def test_gallons_of_two_owners(case):
    case.check(gallons(case.known["economy"]))


def test_miles_a_gallon_from_litres():
    found = economy.find(
        "combined_consumption", equivalent_economy="12 km/L"
    ).si  # there and back through the topic
    made = economy.find("equivalent_economy", combined_consumption=found)
    the("journeys", "mpg-from-litres").check(made.to("mi/gal"))


def minutes(distance, speed):
    return load.find("driving_time", range=distance, speed=speed).to("min")


@each("journeys", "time-saved-slow-and-fast")
def test_time_saved(case):
    case.check(minutes("10 mi", case.known["before"]) - minutes("10 mi", case.known["after"]))


def saved(slow, fast):
    return minutes("1 km", f"{slow} km/h") - minutes("1 km", f"{fast} km/h")


def test_which_road_saves_more():
    the("journeys", "better-road").check(saved(30, 40) / saved(70, 110))
    the("journeys", "equal-roads").check(saved(40, 50) / saved(80, 130))


@each("journeys", "headwind-at-constant-power", "tailwind-at-constant-power")
def test_wind_at_constant_power(case):
    car = {"drag_area": 0.6, "air_density": 1.2, "rolling_force": 0.0, "grade_force": 0.0}
    power = load.find("wheel_power", speed="120 mph", headwind=0.0, **car).si
    made = load.find("speed", wheel_power=power, headwind=f"{case.given['wind']} mph", **car)
    case.check(made.to("mph"))
    # And back: the wind that makes this speed of that power.
    wind = load.find("headwind", wheel_power=power, speed=f"{case.printed} mph", **car)
    assert wind.to("mph") == pytest.approx(case.given["wind"], abs=0.1)


def test_petroleum_equivalent():
    """The regulation's gallon holds a policy factor: 82,049 Wh for the 33,705 Wh of the label."""
    made = economy.find("equivalent_economy", combined_consumption="244.75 Wh/mi")
    the("regulation", "petroleum-equivalent").check(made.to("mi/gal") * 82.049 / 33.705)


def test_a_gallon_in_kilowatt_hours():
    gallon = constants()["gallon_energy"] * units.unit("gal").factor
    the("regulation", "gallon-in-kilowatt-hours").check(gallon / 3.6e6)


def test_cost_of_heat():
    mild, cold = (
        economy.find("combined_consumption", equivalent_economy=f"{one} mi/gal").si
        for one in (100, 100 * (1 - 0.39))
    )
    the("heat", "cost-of-heat").check(100 * (cold / mild - 1))


@each("heat", "heater-behind-the-losses")
def test_the_heater_behind_the_losses(case):
    """Without heater 12 % of range are lost, with it 41 %: the difference is an auxiliary load."""
    steady = {name: case.known[name] for name in ("consumption", "speed")}
    drawn = load.find("battery_power", **steady).si
    road = {"speed": case.known["speed"], "drive_efficiency": 0.9}
    wheels = load.find(
        "wheel_power", battery_power=drawn / 0.88, drive_efficiency=0.9, auxiliary_power=0.0
    ).si
    made = load.find("auxiliary_power", battery_power=drawn / 0.59, wheel_power=wheels, **road)
    case.check(made.to("kW"))


UNITS = [
    f"unit-{one}"
    for one in (
        "mile", "pound", "foot", "us-gallon", "pound-force", "psi", "btu-it", "btu-thermochemical",
        "horsepower-mechanical", "horsepower-metric", "nautical-mile", "atmosphere",
        "kilowatt-hour", "mile-per-hour", "pound-foot", "square-foot", "inch", "kilowatt-hour-a-mile",
        "mile-a-kilowatt-hour", "mile-a-gallon", "watt-hour-a-kilogram", "ampere-hour", "julian-year",
    )
]  # fmt: skip


@each("units", *UNITS, "conversion-page", "horsepower-of-the-books")
def test_a_unit_in_si(case):
    case.check(units.unit(case.given["one"]).factor)


@each(
    "units",
    "constant-one-day",
    "constant-one-hour",
    "constant-one-year",
    "constant-freezing-point",
)
def test_a_constant(case):
    case.check(constants()[case.quantity])


def test_gas_constant():
    the("units", "gas-constant").check(constants()["gas_constant"])
    # And it is the one that the topic computes with: one activation energy, two temperatures.
    factor = ageing.find("arrhenius_factor", activation_energy=50e3, cell_temperature="308.15 K").si
    slope = math.log(factor) / (1 / 298.15 - 1 / 308.15)
    the("units", "gas-constant").check(50e3 / slope)


@each("units", "celsius-fahrenheit")
def test_celsius_and_fahrenheit(case):
    entry = look_up("air_temperature")
    case.check(entry.read(case.given["air_temperature"]) - 273.15)


def test_litres_and_miles_a_gallon():
    mile_a_gallon = units.unit("mi/gal").factor / units.unit("km/L").factor
    the("units", "mpg-to-litres").check(100 / mile_a_gallon)


def test_watt_hours_a_mile():
    the("units", "wh-per-mile").check(units.unit("Wh/mi").factor / units.unit("kWh/100 km").factor)
