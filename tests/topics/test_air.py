"""Air: the standard atmosphere both ways."""

import fluids
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from chalkwatt import load
from chalkwatt.errors import OutOfBoundsError
from chalkwatt.laws.relations import check_dimensions
from chalkwatt.topics import air


def test_dimensions():
    for one in (*air.RELATIONS, *air.STANDING):
        check_dimensions(one)


@settings(derandomize=True, max_examples=60)
@given(st.floats(-900, 10_900))
def test_there_and_back(altitude):
    there = load.find("air_density", altitude=altitude)
    back = load.find("altitude", air_density=there.si)
    assert back.si == pytest.approx(altitude, rel=1e-9, abs=1e-6)


@pytest.mark.parametrize("altitude", [-500, 0, 250, 1500, 4500, 8000, 10_800])
def test_pressure_and_temperature_against_fluids(altitude):
    reference = fluids.ATMOSPHERE_1976(altitude)
    known = {"altitude": float(altitude)}
    assert load.find("air_pressure", **known).si == pytest.approx(reference.P, rel=2e-6)
    assert load.find("air_temperature", **known).si == pytest.approx(reference.T, rel=2e-6)
    assert load.find("air_density", **known).si == pytest.approx(reference.rho, rel=3e-6)


def test_a_measured_temperature_replaces_the_standard_one():
    warm = load.find("air_density", altitude="500 m", air_temperature="30 °C")
    assert "Temperature of the standard atmosphere" not in {one.title for one in warm.plan.standing}
    standard = load.find("air_density", altitude="500 m")
    assert warm.si < standard.si
    pressure = load.find("air_pressure", altitude="500 m").si
    assert warm.si == pytest.approx(pressure / (287.05287 * 303.15), rel=1e-12)


def test_sea_level_where_nothing_says_otherwise():
    made = load.find("air_density")
    assert made.si == pytest.approx(1.225, rel=1e-5)
    assert made.assumed["altitude"] == 0.0


def test_above_the_troposphere_is_refused():
    with pytest.raises(OutOfBoundsError, match="11000 m"):
        load.find("air_density", altitude="12 km")


@pytest.mark.parametrize("altitude", [-2000.0, 11_000.0])
def test_every_altitude_has_an_air(altitude):
    """What a tape measures and what gravity makes of it differ; the outermost altitudes count, too."""
    assert 0.3 < load.find("air_density", altitude=altitude).si < 1.6
