"""A year in the sun: its days, its months, its place."""

import numpy as np
import pytest

import chalkwatt as cw
from chalkwatt.runs.sun import solar_year as module
from chalkwatt.runs.sun.solar_year import MONTHS
from chalkwatt.wording.numbers import format_number

VEHICLE = {
    "rated_power": 700.0,
    "temperature_coefficient": -0.0035,
    "mass": 650.0,
    "drag_area": 0.3,
    "rolling_coefficient": 0.007,
    "drive_efficiency": 0.86,
    "auxiliary_power": 40.0,
    "air_density": 1.2,
    "speed": "60 km/h",
}
PLACE = {"latitude": 52.52, "longitude": 13.405, "altitude": 34.0}


def test_a_day_of_the_year_is_the_solar_day():
    year = cw.solar_year(**PLACE, **VEHICLE, air_temperature="20 °C")
    day = cw.solar_day(**PLACE, date="2023-06-21", **VEHICLE)
    place = [one.isoformat() for one in year.sky.dates].index("2023-06-21")
    assert year.daily_energy.magnitude[place] == pytest.approx(day.energy.magnitude, rel=1e-4)
    assert year.daily_distance.magnitude[place] == pytest.approx(day.distance.magnitude, rel=1e-4)


def test_months_and_days_add_up():
    year = cw.solar_year(sky=cw.measured_sky(), **VEHICLE)
    lengths = [31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31]
    means = [year.energy_by_month[month].magnitude for month in MONTHS]
    assert np.dot(lengths, means) == pytest.approx(year.energy.magnitude, rel=1e-12)
    assert year.daily_energy.magnitude.sum() == pytest.approx(year.energy.magnitude, rel=1e-12)
    per_metre = year.consumption.to("J/m").magnitude
    assert year.distance.to("m").magnitude == pytest.approx(
        year.energy.to("J").magnitude / per_metre, rel=1e-12
    )


def test_the_plug_free_day_is_that_of_the_darkest_month():
    year = cw.solar_year(**PLACE, **VEHICLE)
    by_month = {month: one.magnitude for month, one in year.plug_free_by_month.items()}
    assert year.plug_free_distance.magnitude == min(by_month.values()) == by_month["December"]
    south = cw.solar_year(**{**PLACE, "latitude": -33.9}, **VEHICLE)
    least = south.plug_free_by_month
    assert min(least, key=lambda one: least[one].magnitude) == "June"


def test_halving_the_step_changes_no_shown_digit(monkeypatch):
    shown = []
    for step in (600.0, 300.0):
        monkeypatch.setattr(module, "_STEP", step)
        year = cw.solar_year(**PLACE, **VEHICLE)
        months = [format_number(float(one.magnitude)) for one in year.plug_free_by_month.values()]
        shown.append([format_number(float(year.energy.magnitude)), *months])
    assert shown[0] == shown[1]


def test_a_leap_year_has_its_day():
    assert cw.solar_year(**PLACE, **VEHICLE, year=2024).sky.days == 366


def test_place_or_sky():
    with pytest.raises(cw.ChalkwattError, match="needs a place or a sky"):
        cw.solar_year(latitude=3.0, **VEHICLE)
    with pytest.raises(cw.ChalkwattError, match="Both a sky and a place"):
        cw.solar_year(sky=cw.measured_sky(), **PLACE, **VEHICLE)


def test_a_year_of_energy_needs_no_vehicle():
    year = cw.solar_year(sky=cw.measured_sky(), rated_power=700)
    assert repr(year).startswith("station 723170: ")
    with pytest.raises(cw.ChalkwattError, match=r"mass, drag_area, .*speed are missing"):
        year.distance  # noqa: B018  asking is the point


def test_the_strip_shows_every_day_and_every_month():
    year = cw.solar_year(sky=cw.measured_sky(), **VEHICLE)
    above, below = year.figure().axes
    assert [bar.get_height() for bar in above.patches] == pytest.approx(
        year.daily_energy.magnitude.tolist()
    )
    assert [bar.get_height() for bar in below.patches] == pytest.approx(
        year.daily_distance.magnitude.tolist()
    )
    assert len(below.texts) == 12
    levels = [line.get_ydata()[0] for line in below.lines]
    assert levels == pytest.approx([one.magnitude for one in year.plug_free_by_month.values()])
