"""Skies and places: clocks, days, and what is missing said in words."""

import sys
from datetime import date, datetime, timedelta

import numpy as np
import pytest

import chalkwatt as cw
from chalkwatt.runs.sun.sky import Place, clear_sky, measured_sky, read_date

NORTH = Place(52.52, 13.405, 34.0)


def test_a_day_begins_at_the_local_midnight():
    sky = clear_sky(Place(33.45, -112.07, 331.0), "2023-06-21", step=3600)
    assert sky.clock(-0.5).isoformat() == "2023-06-21T00:00:00-07:00"
    assert sky.dates == [date(2023, 6, 21)]
    assert sky.days == 1


@pytest.mark.parametrize(("offset", "noon"), [(None, 12.1), (2.0, 13.1)])
def test_the_clock_moves_the_hours_and_not_the_sun(offset, noon):
    sky = clear_sky(Place(52.52, 13.405, 34.0, offset), "2023-06-21", step=60)
    peak = sky.clock(int(np.argmax(sky.horizontal)))
    assert peak.hour + peak.minute / 60 == pytest.approx(noon, abs=0.1)
    assert peak.utcoffset() == timedelta(hours=offset or 1)


def test_a_year_is_so_many_days():
    sky = clear_sky(NORTH, "2024-01-01", days=366, step=3600)
    assert len(sky.dates) == 366
    assert sky.dates[-1] == date(2024, 12, 31)
    assert set(sky.months) == set(range(1, 13))


def test_the_measured_year_begins_in_january_and_is_lit_when_the_sun_is_up():
    sky = measured_sky()
    assert sky.dates[0] == date(2023, 1, 1)
    assert sky.dates[-1] == date(2023, 12, 31)
    # Half an hour of shift either way would leave bright hours with the sun well below.
    assert sky.zenith[sky.horizontal > 50].max() < 90


def test_days_may_be_dates_or_text():
    assert read_date("2023-06-21") == read_date(date(2023, 6, 21))
    assert read_date(datetime(2023, 6, 21, 12)) == date(2023, 6, 21)  # noqa: DTZ001  a day has no zone
    for wrong in ("21.6.2023", "2023-02-30", 20230621):
        with pytest.raises(cw.ChalkwattError, match=r"is not a day.*year-month-day"):
            read_date(wrong)


@pytest.mark.parametrize(
    ("changes", "message"),
    [
        ({"latitude": 91.0}, "latitude = 91 °"),
        ({"longitude": -181.0}, "longitude = -181 °"),
        ({"altitude": 12_000.0}, "altitude = 12000 m"),
        ({"utc_offset": 15.0}, "utc_offset = 15 h"),
    ],
)
def test_no_place_on_earth(changes, message):
    place = {"latitude": 0.0, "longitude": 0.0, "altitude": 0.0, **changes}
    with pytest.raises(cw.OutOfBoundsError, match=f"{message} is no place on Earth"):
        Place(**place)


def test_a_place_may_carry_units():
    place = Place("52.52 °", "13.405 °", "100 ft", "90 min")
    assert place.latitude == pytest.approx(52.52, rel=1e-14)
    assert place.altitude == pytest.approx(30.48)
    assert place.hours_ahead == pytest.approx(1.5)
    with pytest.raises(cw.UnitError, match=r"altitude = '3 kg': kg does not measure what m does"):
        Place(0, 0, "3 kg")
    with pytest.raises(cw.UnitError, match=r"latitude = None.* is not a number of °"):
        Place(None, 0, 0)


def test_steps_must_fit_a_day():
    with pytest.raises(cw.ChalkwattError, match="whole number of steps of 7000 s"):
        clear_sky(NORTH, "2023-06-21", step=7000)


def test_a_file_that_is_no_typical_year_is_refused(tmp_path):
    path = tmp_path / "year.csv"
    path.write_text("nothing\nof,the,kind\n1,2,3\n", encoding="utf-8")
    with pytest.raises(cw.ChalkwattError, match=r"year\.csv is not a typical year"):
        cw.measured_sky(path)


def test_without_pvlib_the_extra_is_named(monkeypatch):
    monkeypatch.setitem(sys.modules, "pvlib", None)
    with pytest.raises(cw.MissingExtraError, match=r'pip install "chalkwatt\[sun\]"') as caught:
        clear_sky(NORTH, "2023-06-21")
    assert isinstance(caught.value, ImportError)
    assert isinstance(caught.value, cw.ChalkwattError)
    with pytest.raises(cw.MissingExtraError):
        cw.measured_sky()


def test_pvlib_is_left_alone_until_a_sky_is_asked_for():
    code = "import sys, chalkwatt as cw; cw.roofs; cw.solar_day; print('pvlib' in sys.modules)"
    import subprocess

    said = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert said.stdout.strip() == "False"
