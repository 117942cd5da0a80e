"""Skies: the sun's place and power at one place on Earth, clear or as measured.

The work is pvlib's, an optional extra; it is imported when a sky is asked for.

=====================  =========================================================================
sky                    where it comes from
=====================  =========================================================================
`clear_sky`            Ineichen and Perez (2002), with pvlib's monthly map of turbidity: no cloud
`measured_sky`         a typical year put together from measured months (TMY3)
=====================  =========================================================================
"""

from __future__ import annotations

import importlib
import warnings
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta, timezone
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from chalkwatt.calls import checked_call
from chalkwatt.errors import ChalkwattError, OutOfBoundsError
from chalkwatt.laws.quantities import look_up
from chalkwatt.runs.schedule.schedule import in_si
from chalkwatt.wording import units

if TYPE_CHECKING:
    from collections.abc import Iterator
    from types import ModuleType

    from numpy.typing import NDArray

    from chalkwatt.wording.given import Given

__all__ = ["MissingExtraError", "Place", "Sky", "clear_sky", "measured_sky", "read_date"]

_HOUR = 3600.0
_STANDARD_YEAR = 2023  # a typical year has no year of its own; any that is no leap year will do


class MissingExtraError(ChalkwattError, ImportError):
    """A library is missing that an optional part of Chalkwatt rests on."""


def _pvlib() -> ModuleType:
    try:
        return importlib.import_module("pvlib")
    except ImportError as cause:
        raise MissingExtraError(
            "The sun by place and day needs pvlib, which is not installed.",
            advice='Install it with: pip install "chalkwatt[sun]"',
        ) from cause


@contextmanager
def _old_names() -> Iterator[None]:
    """Let pvlib (0.16) call pandas by a name that is to go: no user can do anything about it."""
    with warnings.catch_warnings():
        warnings.filterwarnings("ignore", message=r"DatetimeIndex\.dayofyear is deprecated")
        yield


def _within(name: str, given: Given, low: float, high: float, unit: str) -> float:
    value = in_si(given, unit, unit, name) / units.unit(unit).factor
    if not low <= value <= high:
        raise OutOfBoundsError(
            f"{name} = {value:g} {unit} is no place on Earth: it must be from {low:g} to "
            f"{high:g} {unit}.",
            quantity=name,
            value=value,
            unit=unit,
            limit=low if value < low else high,
            advice="North and east are positive.",
        )
    return value


@dataclass(frozen=True, init=False)
class Place:
    """A place on Earth.

    Parameters
    ----------
    latitude : number (°), str or pint quantity
        North positive.
    longitude : number (°), str or pint quantity
        East positive.
    altitude : number (m), str or pint quantity
        Height above the sea.
    utc_offset : number (h), str or pint quantity, optional
        The local clock ahead of UTC; by the longitude if left out, without summer time.
    name : str

    Raises
    ------
    UnitError
        If a unit measures something else.
    OutOfBoundsError
        If a number is outside its bounds.

    Examples
    --------
    >>> from chalkwatt.runs.sun.sky import Place
    >>> Place(52.52, 13.405, 34.0).hours_ahead
    1.0
    """

    latitude: float
    longitude: float
    altitude: float
    utc_offset: float | None
    name: str

    def __init__(
        self,
        latitude: Given,
        longitude: Given,
        altitude: Given,
        utc_offset: Given | None = None,
        name: str = "",
    ) -> None:
        read = {
            "latitude": _within("latitude", latitude, -90.0, 90.0, "°"),
            "longitude": _within("longitude", longitude, -180.0, 180.0, "°"),
            "altitude": _within("altitude", altitude, -500.0, 9000.0, "m"),
            "utc_offset": None
            if utc_offset is None
            else _within("utc_offset", utc_offset, -14.0, 14.0, "h"),
            "name": name,
        }
        for field, value in read.items():
            object.__setattr__(self, field, value)  # a frozen class has no other way

    @property
    def hours_ahead(self) -> float:
        """Hours of the local clock ahead of UTC."""
        if self.utc_offset is not None:
            return self.utc_offset
        return float(round(self.longitude / 15))

    @property
    def zone(self) -> timezone:
        """The local clock."""
        return timezone(timedelta(hours=self.hours_ahead))

    def __str__(self) -> str:
        """Show the name, or the numbers as maps do."""
        if self.name:
            return self.name
        north = "N" if self.latitude >= 0 else "S"
        east = "E" if self.longitude >= 0 else "W"
        return f"{abs(self.latitude):g}° {north} {abs(self.longitude):g}° {east}"


@dataclass(frozen=True, eq=False)
class Sky:
    """Sunlight and air at one place, step by step.

    Parameters
    ----------
    place : Place
    times : ndarray of datetime64[s]
        The middle of each step, in UTC.
    step : float
        Length of a step in seconds.
    horizontal, direct, diffuse : ndarray
        Irradiance in W/m²: global on the level, direct towards the sun, diffuse on the level.
    zenith, azimuth : ndarray
        The sun's place in degrees; azimuth clockwise from north.
    air_temperature : ndarray
        Kelvin.
    wind_speed : ndarray
        Metres per second.
    source : str
    """

    place: Place
    times: NDArray[np.datetime64]
    step: float
    horizontal: NDArray[np.float64]
    direct: NDArray[np.float64]
    diffuse: NDArray[np.float64]
    zenith: NDArray[np.float64]
    azimuth: NDArray[np.float64]
    air_temperature: NDArray[np.float64]
    wind_speed: NDArray[np.float64]
    source: str

    @property
    def steps_a_day(self) -> int:
        """Number of steps in a day."""
        return round(24 * _HOUR / self.step)

    @property
    def days(self) -> int:
        """Number of whole days."""
        return len(self.times) // self.steps_a_day

    @property
    def dates(self) -> list[date]:
        """The day of each day, by the local clock."""
        return [self.clock(place * self.steps_a_day).date() for place in range(self.days)]

    @property
    def months(self) -> NDArray[np.int_]:
        """The month of each day, from 1 to 12."""
        return np.array([one.month for one in self.dates])

    def clock(self, place: float) -> datetime:
        """Return the local time of a step; a fraction lies between the middles of two steps."""
        first: datetime = self.times[0].astype("datetime64[s]").astype(datetime)
        moment: datetime = first.replace(tzinfo=UTC) + timedelta(seconds=place * self.step)
        return moment.astimezone(self.place.zone)

    def by_day(self, values: NDArray[np.float64]) -> NDArray[np.float64]:
        """Sum a rate up to a number a day."""
        whole = values[: self.days * self.steps_a_day].reshape(self.days, self.steps_a_day)
        return np.asarray(whole.sum(axis=1) * self.step)

    @property
    def irradiation(self) -> NDArray[np.float64]:
        """Energy of the sun on the level, in J/m² a day."""
        return self.by_day(self.horizontal)


def read_date(value: str | date) -> date:
    """Read a day such as ``"2023-06-21"``.

    Raises
    ------
    ChalkwattError
        If it is none.
    """
    if isinstance(value, datetime):
        return value.date()
    if isinstance(value, date):
        return value
    try:
        return date.fromisoformat(value)
    except (ValueError, TypeError) as cause:
        raise ChalkwattError(
            f"{value!r} is not a day.",
            quantity="date",
            value=value,
            advice='Write it as year-month-day, like "2023-06-21".',
        ) from cause


def clear_sky(
    place: Place,
    first: str | date,
    *,
    days: int = 1,
    step: float = 60.0,
    air_temperature: Given = 293.15,
    wind_speed: Given = 1.0,
) -> Sky:
    """Compute the sky without a cloud.

    Parameters
    ----------
    place : Place
    first : str or date
        First day, by the local clock.
    days : int
        Number of days.
    step : float
        Seconds; a day must hold a whole number of steps.
    air_temperature : number (K), str or pint quantity
        The same all day.
    wind_speed : number (m/s), str or pint quantity
        The same all day.

    Returns
    -------
    Sky

    Raises
    ------
    MissingExtraError
        If pvlib is not installed.
    ChalkwattError
        If the day cannot be read or the step does not fit a day.

    Examples
    --------
    >>> from chalkwatt.runs.sun.sky import Place, clear_sky
    >>> sky = clear_sky(Place(52.52, 13.405, 34.0), "2023-06-21", step=300)
    >>> f"{sky.irradiation[0] / 3.6e6:.1f} kWh/m²"
    '7.8 kWh/m²'
    """
    pvlib = _pvlib()
    if step <= 0 or abs(24 * _HOUR / step - round(24 * _HOUR / step)) > 1e-9:
        raise ChalkwattError(
            f"A day does not hold a whole number of steps of {step:g} s.",
            value=step,
            unit="s",
            advice="Use 60, 300, 600, 900 or 3600.",
        )
    day = read_date(first)
    midnight = datetime(day.year, day.month, day.day, tzinfo=place.zone)
    start = np.datetime64(midnight.astimezone(UTC).replace(tzinfo=None), "ms")
    count = round(days * 24 * _HOUR / step)
    middles = (np.arange(count) + 0.5) * step
    times = start + (middles * 1000).round().astype("timedelta64[ms]")
    location = pvlib.location.Location(place.latitude, place.longitude, altitude=place.altitude)
    index = _index(times)
    with _old_names():
        sun = location.get_solarposition(index)
        light = location.get_clearsky(index, solar_position=sun)
    warm = look_up("air_temperature").read(air_temperature)
    wind = look_up("panel_wind").read(wind_speed)
    return Sky(
        place,
        times.astype("datetime64[s]"),
        step,
        light["ghi"].to_numpy(),
        light["dni"].to_numpy(),
        light["dhi"].to_numpy(),
        sun["apparent_zenith"].to_numpy(),
        sun["azimuth"].to_numpy(),
        np.full(count, warm),
        np.full(count, wind),
        f"clear sky of Ineichen and Perez (2002) through pvlib {pvlib.__version__}",
    )


@checked_call
def measured_sky(path: str | Path | None = None) -> Sky:
    """Read a typical year of measured months from a TMY3 file.

    Parameters
    ----------
    path : str or Path, optional
        The station that comes with pvlib (723170) if left out.

    Returns
    -------
    Sky
        8760 hours from the first of January; what a file gives for the hour that ends at a time
        stands at the middle of that hour.

    Raises
    ------
    MissingExtraError
        If pvlib is not installed.
    ChalkwattError
        If the file does not hold a year.

    Examples
    --------
    >>> from chalkwatt.runs.sun.sky import measured_sky
    >>> sky = measured_sky()
    >>> f"{sky.irradiation.sum() / 3.6e6:.0f} kWh/m²"
    '1566 kWh/m²'
    """
    pvlib = _pvlib()
    file = (
        Path(str(pvlib.__file__)).parent / "data" / "723170TYA.CSV" if path is None else Path(path)
    )
    try:
        table, station = pvlib.iotools.read_tmy3(
            file, coerce_year=_STANDARD_YEAR, map_variables=True
        )
    except (ValueError, KeyError, IndexError) as cause:
        raise ChalkwattError(
            f"{file.name} is not a typical year in the TMY3 format: {cause}.",
            value=file.name,
            advice="Give a TMY3 file as its publisher made it.",
        ) from cause
    if len(table) != 8760:
        raise ChalkwattError(
            f"{file.name} holds {len(table)} hours; a typical year has 8760.",
            value=len(table),
            limit=8760,
            advice="Give a whole year.",
        )
    place = Place(
        float(station["latitude"]),
        float(station["longitude"]),
        float(station["altitude"]),
        float(station["TZ"]),
        f"station {station['USAF']}",
    )
    first = datetime(_STANDARD_YEAR, 1, 1, 0, 30, tzinfo=place.zone).astimezone(UTC)
    hours = (np.arange(8760) * _HOUR).astype("timedelta64[s]")
    times = np.datetime64(first.replace(tzinfo=None), "s") + hours
    location = pvlib.location.Location(place.latitude, place.longitude, altitude=place.altitude)
    with _old_names():
        sun = location.get_solarposition(_index(times))
    return Sky(
        place,
        times,
        _HOUR,
        table["ghi"].to_numpy(dtype=float),
        table["dni"].to_numpy(dtype=float),
        table["dhi"].to_numpy(dtype=float),
        sun["apparent_zenith"].to_numpy(),
        sun["azimuth"].to_numpy(),
        table["temp_air"].to_numpy(dtype=float) + 273.15,
        table["wind_speed"].to_numpy(dtype=float),
        f"TMY3 {file.name} through pvlib {pvlib.__version__}",
    )


def _index(times: NDArray[np.datetime64]) -> Any:  # noqa: ANN401  pandas comes with an extra
    pandas = importlib.import_module("pandas")  # pvlib brings it
    return pandas.DatetimeIndex(times).tz_localize("UTC")
