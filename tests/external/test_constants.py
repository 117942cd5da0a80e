"""Constants, units and air against what was published; the values stand in air.toml."""

import pytest
import scipy.constants

from chalkwatt import load, weather
from chalkwatt.laws.quantities import look_up
from chalkwatt.wording import units
from tests.external import published


def each(topic, row):
    return pytest.mark.parametrize("case", published(topic, row), ids=lambda case: case.id)


@each("air", "standard-gravity")
def test_standard_gravity(case):
    answer = load.find("rolling_force", rolling_coefficient=1.0, mass=1.0, grade=0.0)
    case.check(answer.assumed["gravity"])
    case.check(answer.si)


@each("air", "isa-density")
def test_air_density_by_altitude(case):
    case.check(load.find("air_density", **case.known).si)


@each("air", "isa-density")
def test_and_altitude_back_from_it(case):
    back = load.find("altitude", air_density=case.value)
    assert back.si == pytest.approx(case.given["altitude"], abs=0.12)  # 1e-5 of 8400 m


@each("air", "dynamometer-air")
def test_reference_air_of_the_dynamometer(case):
    case.check(load.find("air_density", **case.known).si)


@each("air", "moist-air-density")
def test_dry_and_moist_air(case):
    # The topic knows dry air only, and its relation says how much that leaves out.
    known = {name: case.known[name] for name in ("air_temperature", "air_pressure")}
    dry = load.find("air_density", **known).si
    if case.given["relative_humidity"] == 0:
        case.check(dry)
    else:
        assert case.value < dry < case.value * 1.009
        (relation,) = [one for one in load.relations if one.title == "Density of dry air"]
        assert "0.8 %" in relation.assumptions[0]


@each("air", "coast-down-units")
def test_coast_down_units(case):
    label = case.given["one"].removeprefix("1 ")
    assert label in {"lbf", "lbf/mph", "lbf/mph^2"}
    case.check(units.unit(label).factor)
    case.check(look_up(case.quantity).read(case.given["one"]))


@each("air", "consumption-units")
def test_consumption_units(case):
    entry = look_up("consumption")
    case.check(entry.in_unit(entry.read(case.given["one"]), case.unit))


def test_constants_of_the_standard_atmosphere():
    # scipy.constants holds its own CODATA and CIPM values.
    assert look_up("sea_level_pressure").constant == scipy.constants.atm
    assert look_up("sea_level_temperature").constant == scipy.constants.zero_Celsius + 15
    assert look_up("pressure_exponent").constant == pytest.approx(5.25588, abs=5e-6)


def test_saturation_pressure_of_a_day():
    (case,) = published("air", "saturation-pressure")
    ends = [weather.find("saturation_pressure", air_temperature=f"{one} °C") for one in (15, 24.5)]
    case.check(sum(one.to("kPa") for one in ends) / 2)


@each("air", "moist-air-density")
def test_moist_air_as_an_ideal_mixture(case):
    case.check(weather.find("air_density", **case.known).si)
