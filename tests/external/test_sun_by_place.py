"""The sun by place and day against what was published, and against pvlib's own chain."""

import pytest

import chalkwatt as cw
from chalkwatt.runs.sun.sky import Place, clear_sky
from tests.external import published


def cases(row):
    return pytest.mark.parametrize("case", published("sun", row), ids=lambda case: case.id)


@cases("clear-sky-day")
def test_a_clear_day(case):
    place = {name: case.given[name] for name in ("latitude", "longitude", "altitude")}
    day = cw.solar_day(**place, date=case.given["date"], rated_power=1000)
    case.check(day.irradiation.to("kWh/m^2").magnitude)


@pytest.fixture(scope="module")
def measured():
    return cw.measured_sky()


def by_span(year_total, days, sky, span):
    if span == "year":
        return year_total
    return days[[f"{one:%m-%d}" for one in sky.dates].index(span)]


@cases("measured-type-year")
def test_the_measured_year(case, measured):
    daily = measured.irradiation / 3.6e6
    case.check(by_span(daily.sum(), daily, measured, case.given["span"]))


@cases("panel-year")
def test_the_panel_over_the_measured_year(case, measured):
    """Default losses of PVWatts, 14.0757 % (pvlib 0.16.1), stand as conversion efficiency."""
    known = {name: case.with_unit(name) for name in ("panel_rating", "temperature_coefficient")}
    year = cw.solar_year(
        sky=measured,
        rated_power=known["panel_rating"],
        temperature_coefficient=known["temperature_coefficient"],
        conversion_efficiency=1 - 0.14075660688264469,
    )
    daily = year.daily_energy.magnitude
    case.check(by_span(daily.sum(), daily, measured, case.given["span"]))


@cases("cell-temperature")
def test_the_cell_temperature(case):
    known = {name: value for name, value in case.known.items() if name != "wind_speed"}
    found = cw.sun.find(case.quantity, **known, panel_wind=case.with_unit("wind_speed"))
    case.check(found.to("degC"))


@cases("too-little-sun")
def test_too_little_sun(case):
    power = {"solar_power": case.with_unit("panel_power")}
    found = cw.sun.find(
        "equilibrium_speed",
        **power,
        auxiliary_power=case.with_unit("auxiliary_power"),
        mass=600,
        drag_area=0.3,
        rolling_coefficient=0.007,
        drive_efficiency=0.86,
    )
    case.check(found.to("km/h"))
    assert found.notes


def test_the_sun_of_the_published_example_stands_over_the_place():
    """The worked example of NREL/TP-560-34302 is checked against pvlib beside its row.

    Here the same place and minute pass through our own sky: local clock, midnight and step. Its
    refraction is pvlib's default, so only the azimuth is the published one.
    """
    both = {one.quantity: one for one in published("sun", "solar-position")}
    row = both["azimuth"].given
    place = Place(row["latitude"], row["longitude"], row["altitude"], -7.0)
    sky = clear_sky(place, "2003-10-17", step=60)
    minute = 12 * 60 + 30
    assert sky.clock(minute).isoformat() == "2003-10-17T12:30:30-07:00"
    assert sky.azimuth[minute] == pytest.approx(both["azimuth"].value, abs=1e-3)
