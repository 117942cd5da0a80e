"""A solar year: energy and distance of every day, and what never needs a plug, by month.

=====================  =========================================================================
assumed                what it means
=====================  =========================================================================
as for a solar day     no shade, parked while the sun shines
one speed              each day's energy is driven at the speed that is given
a battery of days      within a month the battery evens out bright and dull days; what a month's
                       mean day brings is then driven every day without a plug
=====================  =========================================================================
"""

from __future__ import annotations

import calendar
from functools import cached_property
from typing import TYPE_CHECKING, Unpack

import numpy as np

from chalkwatt.answering.showing import show
from chalkwatt.calls import checked_call
from chalkwatt.errors import ChalkwattError
from chalkwatt.laws.quantities import said, shown
from chalkwatt.runs.sun import roofs
from chalkwatt.runs.sun.sky import Place, Sky, clear_sky
from chalkwatt.runs.sun.vehicle import SolarVehicle
from chalkwatt.wording import units
from chalkwatt.wording.numbers import with_unit

if TYPE_CHECKING:
    import pint
    from matplotlib.figure import Figure
    from numpy.typing import NDArray

    from chalkwatt.answering.showing import FigureOptions
    from chalkwatt.runs.equations import Equations
    from chalkwatt.wording.given import Given

__all__ = ["MONTHS", "SolarYear", "solar_year"]

MONTHS = (
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
)
_STEP = 600.0  # s; halving it changes no shown digit of a month


@checked_call
def solar_year(
    *,
    sky: Sky | None = None,
    latitude: Given | None = None,
    longitude: Given | None = None,
    altitude: Given | None = None,
    year: int = 2023,
    utc_offset: Given | None = None,
    name: str = "",
    air_temperature: Given = "15 °C",
    wind_speed: Given = "1 m/s",
    roof: roofs.Roof = roofs.flat,
    heading: float = 0.0,
    **known: Given,
) -> SolarYear:
    """Follow the sun over a vehicle for a year.

    Parameters
    ----------
    sky : Sky, optional
        A measured year, from ``cw.measured_sky()``; then no place is given. Without it the sky is
        clear all year, which no real year is.
    latitude, longitude : number (°), str or pint quantity, optional
        North and east are positive.
    altitude : number (m), str or pint quantity, optional
        Height above the sea.
    year : int
        For the clear sky.
    utc_offset : number (h), str or pint quantity, optional
        The clock ahead of UTC; by the longitude if left out.
    name : str
        Name of the place, for figures.
    air_temperature, wind_speed : number (K, m/s), str or pint quantity
        For the clear sky, the same all year; a measured year has its own.
    roof : Roof
    heading : float
        Where the vehicle points, in degrees clockwise from north.
    **known : number, str or pint quantity
        Panel and vehicle, as for `solar_day`.

    Returns
    -------
    SolarYear

    Raises
    ------
    MissingExtraError
        If pvlib is not installed.
    NameUnknownError, UnitError, OutOfBoundsError, ChalkwattError
        If a name, unit, value or place does not fit, or if there is neither sky nor place.

    Examples
    --------
    >>> import chalkwatt as cw
    >>> year = cw.solar_year(
    ...     sky=cw.measured_sky(), rated_power="700 W", temperature_coefficient="-0.35 %/K",
    ...     conversion_efficiency=0.86, mass=650, drag_area=0.3, rolling_coefficient=0.007,
    ...     drive_efficiency=0.86, speed="60 km/h", air_density=1.2,
    ... )
    >>> year
    station 723170: 919.3 kWh a year, ...
    """
    vehicle = SolarVehicle(known, roof, heading, alone=False)
    if sky is None:
        if latitude is None or longitude is None or altitude is None:
            raise ChalkwattError(
                "A solar year needs a place or a sky.",
                quantity="latitude",
                advice="Give latitude, longitude and altitude, or sky=cw.measured_sky().",
            )
        place = Place(latitude, longitude, altitude, utc_offset, name)
        sky = clear_sky(
            place,
            f"{year}-01-01",
            days=366 if calendar.isleap(year) else 365,
            step=_STEP,
            air_temperature=air_temperature,
            wind_speed=wind_speed,
        )
    elif any(one is not None for one in (latitude, longitude, altitude)):
        raise ChalkwattError(
            "Both a sky and a place are given, and the sky has its place.",
            quantity="latitude",
            advice="Leave out one of them.",
        )
    return SolarYear(sky, vehicle)


class SolarYear:
    """What a year of sun brings.

    Attributes
    ----------
    sky : Sky
    vehicle : SolarVehicle
    """

    def __init__(self, sky: Sky, vehicle: SolarVehicle) -> None:
        self.sky = sky
        self.vehicle = vehicle

    @cached_property
    def joules(self) -> NDArray[np.float64]:
        """Energy of every day in J."""
        power = self.vehicle.power(self.sky)
        gained = self.vehicle.rate("daily_solar_energy", solar_power=power)
        return self.sky.by_day(np.asarray(gained))

    @cached_property
    def metres(self) -> NDArray[np.float64]:
        """Distance of every day in m."""
        return np.asarray(self.vehicle.distance(self.joules))

    @property
    def energy(self) -> pint.Quantity[float]:
        """Energy of the year, in kWh."""
        return units.quantity(float(self.joules.sum()), "J", "kWh")

    @property
    def distance(self) -> pint.Quantity[float]:
        """Distance of the year, each day's energy driven at the given speed, in km."""
        return shown("trip_distance", float(self.metres.sum()))

    @property
    def irradiation(self) -> pint.Quantity[float]:
        """Energy of the sun on level ground over the year, in kWh/m²."""
        return units.quantity(float(self.sky.irradiation.sum()), "J/m^2", "kWh/m^2")

    @property
    def daily_energy(self) -> pint.Quantity[NDArray[np.float64]]:
        """Energy of every day, in kWh."""
        return units.quantity(self.joules, "J", "kWh")

    @property
    def daily_distance(self) -> pint.Quantity[NDArray[np.float64]]:
        """Distance of every day, in km."""
        return shown("trip_distance", self.metres)

    @property
    def consumption(self) -> pint.Quantity[float]:
        """Energy per distance at the given speed, in kWh/100 km."""
        return shown("consumption", self.vehicle.consumption())

    def _by_month(self, values: NDArray[np.float64]) -> dict[str, float]:
        months = self.sky.months
        return {MONTHS[one - 1]: float(values[months == one].mean()) for one in sorted(set(months))}

    @property
    def energy_by_month(self) -> dict[str, pint.Quantity[float]]:
        """Energy of the mean day of each month, in kWh."""
        found = self._by_month(self.joules)
        return {month: units.quantity(one, "J", "kWh") for month, one in found.items()}

    @property
    def plug_free_by_month(self) -> dict[str, pint.Quantity[float]]:
        """Daily distance that never needs a plug, by month, in km."""
        found = self._by_month(self.metres)
        return {month: shown("trip_distance", one) for month, one in found.items()}

    @property
    def plug_free_distance(self) -> pint.Quantity[float]:
        """Daily distance that never needs a plug in any month: that of the darkest, in km."""
        return min(self.plug_free_by_month.values())

    @property
    def equations(self) -> Equations:
        """The governing equations, as ``.text``, ``.latex``, ``.mathml`` and ``.spoken``."""
        return self.vehicle.equations

    @property
    def caution(self) -> str:
        """What to say beside the numbers."""
        return (
            "Figures for explanation. A shaded or dusty roof brings less; so does one glued down. "
            "On public roads, limits, traffic and weather decide how fast to drive."
        )

    @checked_call
    def figure(self, **options: Unpack[FigureOptions]) -> Figure:
        """Draw the year as a strip; see `chalkwatt.figures.solar.year_figure`."""
        made: Figure = show(self, "figure", **options)
        return made

    def __repr__(self) -> str:
        """Show the year's energy, and its distance where the vehicle is given."""
        shown = [f"{with_unit(float(self.energy.magnitude), 'kWh')} a year"]
        car = self.vehicle.vehicle
        needed = {"mass", "drag_area", "rolling_coefficient", "drive_efficiency", "speed"}
        if needed <= car.keys():
            distance = said("trip_distance", float(self.distance.to("m").magnitude))
            least = self.plug_free_by_month
            month = min(least, key=lambda one: float(least[one].magnitude))
            fewest = (
                f"{said('trip_distance', float(least[month].to('m').magnitude))} a day in {month}"
            )
            shown.append(f"{distance}{self.vehicle.driven}; {fewest}")
        return f"{self.sky.place}: {', '.join(shown)}"
