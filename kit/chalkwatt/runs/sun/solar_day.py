"""A solar day: what the roof of a vehicle brings from sunrise to sunset, and how far that goes.

=====================  =========================================================================
assumed                what it means
=====================  =========================================================================
no shade               the whole roof sees the sky from sunrise to sunset
clear sky              no cloud, one air temperature, one wind; a measured year holds the weather
parked                 all of the day's energy reaches the battery, the auxiliary load is off
driving                level road, no headwind; the wind of driving cools the panel
=====================  =========================================================================
"""

from __future__ import annotations

from functools import cached_property
from typing import TYPE_CHECKING, Unpack

import numpy as np

from chalkwatt.answering.showing import show
from chalkwatt.calls import checked_call
from chalkwatt.laws.quantities import look_up, said, shown
from chalkwatt.runs.sun import roofs
from chalkwatt.runs.sun.sky import Place, Sky, clear_sky
from chalkwatt.runs.sun.vehicle import SolarVehicle
from chalkwatt.wording import units
from chalkwatt.wording.numbers import with_unit

if TYPE_CHECKING:
    from datetime import date as Date  # noqa: N812  the keyword is `date`
    from datetime import datetime

    import pint
    from matplotlib.figure import Figure
    from numpy.typing import NDArray

    from chalkwatt.answering.showing import FigureOptions
    from chalkwatt.runs.equations import Equations
    from chalkwatt.wording.given import Given

__all__ = ["SolarDay", "solar_day"]


@checked_call
def solar_day(
    *,
    latitude: Given,
    longitude: Given,
    altitude: Given,
    date: str | Date,
    utc_offset: Given | None = None,
    name: str = "",
    air_temperature: Given = "20 °C",
    wind_speed: Given = "1 m/s",
    roof: roofs.Roof = roofs.flat,
    heading: float = 0.0,
    **known: Given,
) -> SolarDay:
    """Follow the sun over a vehicle for a day without clouds.

    Parameters
    ----------
    latitude, longitude : number (°), str or pint quantity
        North and east are positive.
    altitude : number (m), str or pint quantity
        Height above the sea.
    date : str or date
        Like ``"2023-06-21"``, by the local clock.
    utc_offset : number (h), str or pint quantity, optional
        The clock ahead of UTC; by the longitude if left out, without summer time.
    name : str
        Name of the place, for figures.
    air_temperature : number (K), str or pint quantity
        The same all day.
    wind_speed : number (m/s), str or pint quantity
        The same all day, from the side.
    roof : Roof
        ``cw.roofs.flat``, ``cw.roofs.tilted(30)``, ``cw.roofs.curved(40)`` or one of your own.
    heading : float
        Where the vehicle points, in degrees clockwise from north.
    **known : number, str or pint quantity
        The panel: ``rated_power``, or ``panel_area`` and ``panel_efficiency``;
        ``temperature_coefficient``, ``conversion_efficiency``. The vehicle, for speed and distance:
        ``mass``, ``drag_area``, ``rolling_coefficient``, ``drive_efficiency``, ``auxiliary_power``,
        ``air_density``, and the ``speed`` at which a stored day is driven.

    Returns
    -------
    SolarDay

    Raises
    ------
    MissingExtraError
        If pvlib is not installed.
    NameUnknownError, UnitError, OutOfBoundsError, ChalkwattError
        If a name, unit, value, place or day does not fit.

    Examples
    --------
    >>> import chalkwatt as cw
    >>> cw.solar_day(
    ...     latitude=52.52, longitude=13.405, altitude=34, date="2023-06-21",
    ...     rated_power="700 W", temperature_coefficient="-0.35 %/K", mass=650, drag_area=0.3,
    ...     rolling_coefficient=0.007, drive_efficiency=0.86, speed="60 km/h", air_density=1.2,
    ... )
    2023-06-21, 52.52° N 13.405° E: 5.172 kWh, 169.2 km at a steady 60 km/h on a level road, ...
    """
    vehicle = SolarVehicle(known, roof, heading)
    place = Place(latitude, longitude, altitude, utc_offset, name)
    sky = clear_sky(place, date, air_temperature=air_temperature, wind_speed=wind_speed)
    return SolarDay(sky, vehicle)


class SolarDay:
    """What a day of sun brings.

    Attributes
    ----------
    sky : Sky
    vehicle : SolarVehicle
    """

    def __init__(self, sky: Sky, vehicle: SolarVehicle) -> None:
        self.sky = sky
        self.vehicle = vehicle

    @cached_property
    def power(self) -> NDArray[np.float64]:
        """Power from the parked roof at every step, in watts."""
        return self.vehicle.power(self.sky)

    @cached_property
    def speeds(self) -> NDArray[np.float64]:
        """Speed that the roof alone holds at every step, in m/s."""
        return self.vehicle.speed(self.sky)

    @property
    def irradiation(self) -> pint.Quantity[float]:
        """Energy of the sun on level ground, in kWh/m²."""
        return units.quantity(float(self.sky.irradiation[0]), "J/m^2", "kWh/m^2")

    @cached_property
    def _joules(self) -> float:
        gained = self.vehicle.rate("daily_solar_energy", solar_power=self.power)
        return float(np.sum(gained) * self.sky.step)

    @property
    def energy(self) -> pint.Quantity[float]:
        """Energy that the parked roof brings to the battery, in kWh."""
        return units.quantity(self._joules, "J", "kWh")

    @property
    def consumption(self) -> pint.Quantity[float]:
        """Energy per distance at the given speed, in kWh/100 km."""
        return shown("consumption", self.vehicle.consumption())

    @property
    def distance(self) -> pint.Quantity[float]:
        """Distance of the day, in km.

        With a ``speed`` the day is stored and then driven at it; without one, it is
        `distance_on_sun_alone`.
        """
        if "speed" not in self.vehicle.vehicle:
            return self.distance_on_sun_alone
        return shown("trip_distance", float(self.vehicle.distance(self._joules)))

    @property
    def distance_on_sun_alone(self) -> pint.Quantity[float]:
        """Distance from sunrise to sunset with nothing but the roof, in km."""
        gained = self.vehicle.rate("solar_distance", equilibrium_speed=self.speeds)
        return shown("trip_distance", float(np.sum(gained) * self.sky.step))

    @property
    def peak_speed(self) -> pint.Quantity[float]:
        """Highest speed that the roof alone holds, in km/h."""
        return shown("speed", float(self.speeds.max()))

    @property
    def peak_power(self) -> pint.Quantity[float]:
        """Highest power of the parked roof, in W."""
        return units.quantity(float(self.power.max()), "W", "W")

    def cell_temperature(self, *, driving: bool = False) -> NDArray[np.float64]:
        """Return the temperature of the cells at every step, in kelvin.

        Parameters
        ----------
        driving : bool
            At the speed that the roof holds, instead of parked.

        Returns
        -------
        ndarray
        """
        return self.vehicle.temperature(self.sky, self.speeds if driving else 0.0)

    @checked_call
    def times_holding(self, speed: Given) -> list[tuple[datetime, datetime]]:
        """Return when the roof alone holds a speed.

        Parameters
        ----------
        speed : number (m/s), str or pint quantity

        Returns
        -------
        list of (datetime, datetime)
            From and to, by the local clock; empty if it never does.

        Examples
        --------
        >>> import chalkwatt as cw
        >>> day = cw.solar_day(
        ...     latitude=33.45, longitude=-112.07, altitude=331, date="2023-06-21", rated_power=700,
        ...     mass=650, drag_area=0.3, rolling_coefficient=0.007, drive_efficiency=0.86,
        ... )
        >>> [f"{start:%H:%M} to {end:%H:%M}" for start, end in day.times_holding("30 km/h")]
        ['09:50 to 15:10']
        """
        level = look_up("equilibrium_speed").read_one(speed)
        over = np.concatenate([[-1.0], self.speeds - level, [-1.0]])
        holds = over >= 0
        starts = np.flatnonzero(~holds[:-1] & holds[1:])
        ends = np.flatnonzero(holds[:-1] & ~holds[1:])

        last = len(self.speeds)

        def crossing(place: int) -> float:
            if place in {0, last}:  # it holds at midnight already, or still
                return place - 0.5
            low, high = over[place], over[place + 1]
            return float(place - 1 + low / (low - high))

        return [
            (self.sky.clock(crossing(start)), self.sky.clock(crossing(end)))
            for start, end in zip(starts.tolist(), ends.tolist(), strict=True)
        ]

    @property
    def equations(self) -> Equations:
        """The governing equations, as ``.text``, ``.latex``, ``.mathml`` and ``.spoken``."""
        return self.vehicle.equations

    @property
    def caution(self) -> str:
        """What to say beside the numbers."""
        return (
            "Figures for explanation. On public roads, limits, traffic and weather decide how "
            "fast to drive; a slow vehicle is a danger where others are fast."
        )

    @checked_call
    def figure(self, *, holding: Given | None = None, **options: Unpack[FigureOptions]) -> Figure:
        """Draw power and speed over the day; see `chalkwatt.figures.solar.day_figure`."""
        made: Figure = show(self, "figure", holding=holding, **options)
        return made

    def __repr__(self) -> str:
        """Show energy, and distance and peak speed where the vehicle is given."""
        shown = [with_unit(float(self.energy.magnitude), "kWh")]
        car = self.vehicle.vehicle
        if {"mass", "drag_area", "rolling_coefficient", "drive_efficiency"} <= car.keys():
            distance = said("trip_distance", float(self.distance.to("m").magnitude))
            alone = "" if "speed" in car else f" on sun alone,{self.vehicle.driven_alone}"
            driven = alone or self.vehicle.driven
            peak = f"peak speed {said('speed', float(self.speeds.max()))}"
            shown.append(f"{distance}{driven}; {peak}")
        return f"{self.sky.dates[0]}, {self.sky.place}: {', '.join(shown)}"
