"""Figures of a day and of a year in the sun."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from chalkwatt.figures.style import Ink, drawing, quiet_axes, theme
from chalkwatt.laws.quantities import look_up
from chalkwatt.wording.numbers import format_input, format_number, with_unit

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure
    from numpy.typing import NDArray

    from chalkwatt.runs.sun.solar_day import SolarDay
    from chalkwatt.runs.sun.solar_year import SolarYear
    from chalkwatt.wording.given import Given

__all__ = ["day_figure", "year_figure"]


def day_figure(
    day: SolarDay,
    *,
    holding: Given | None = None,
    theme_name: str = "light",
    width: float = 8.0,
) -> Figure:
    """Draw power of the parked roof and the speed that it alone holds, over the day.

    Parameters
    ----------
    day : SolarDay
        With a vehicle.
    holding : number (m/s), str or pint quantity, optional
        A speed whose hours are marked.
    theme_name : str
        ``"light"`` or ``"dark"``.
    width : float
        Inches.

    Returns
    -------
    matplotlib.figure.Figure

    Examples
    --------
    >>> import chalkwatt as cw
    >>> from chalkwatt.figures.solar import day_figure
    >>> day = cw.solar_day(
    ...     latitude=33.45, longitude=-112.07, altitude=331, date="2023-06-21", rated_power=700,
    ...     mass=650, drag_area=0.3, rolling_coefficient=0.007, drive_efficiency=0.86,
    ... )
    >>> [axes.get_ylabel() for axes in day_figure(day).axes]
    ['power in W', 'speed in km/h']
    """
    ink = theme(theme_name)
    start = day.sky.clock(-0.5)
    first = start.hour + start.minute / 60
    hours = first + (np.arange(len(day.power)) + 0.5) * day.sky.step / 3600
    with drawing(width, 5.0, ink) as figure:
        above, below = figure.subplots(2, 1, sharex=True)
        quiet_axes(above, ink)
        above.fill_between(hours, day.power, color=ink.good, alpha=0.3, linewidth=0)
        above.plot(hours, day.power, color=ink.good, linewidth=1.8)
        above.set_ylabel("power in W")
        above.set_ylim(0, 1.12 * float(day.power.max()) or 1.0)
        above.text(
            _summit(hours, day.power, day.power),
            0.4 * float(day.power.max()),
            with_unit(float(day.energy.magnitude), "kWh"),
            ha="center",
            weight="bold",
        )
        above.set_title(f"{day.sky.place}, {day.sky.dates[0]}: {day.vehicle.roof.words}, no cloud")
        quiet_axes(below, ink)
        speeds = day.speeds * 3.6
        below.plot(hours, speeds, color=ink.ink, linewidth=1.8)
        below.set_ylabel("speed in km/h")
        below.set_ylim(0, 1.2 * float(speeds.max()) or 1.0)
        below.text(
            _summit(hours, speeds, day.power),
            1.03 * float(speeds.max()),
            f"on sun alone: {with_unit(float(day.distance_on_sun_alone.magnitude), 'km')}",
            ha="center",
            va="bottom",
        )
        below.set_title(
            f"driven{day.vehicle.driven_alone}", fontsize=11, color=ink.quiet, weight="normal"
        )
        if holding is not None:
            _hold(below, ink, day, holding, first)
        below.set_xlim(*_daylight(hours, day.power))
        below.set_xlabel("hour of the day")
        below.xaxis.get_major_locator().set_params(integer=True)
    return figure


def _daylight(hours: NDArray[np.float64], power: NDArray[np.float64]) -> tuple[float, float]:
    bright = hours[power > 0]
    if not len(bright):
        return 0.0, 24.0
    return float(np.floor(bright[0])), float(np.ceil(bright[-1]))


def _summit(
    hours: NDArray[np.float64], values: NDArray[np.float64], power: NDArray[np.float64]
) -> float:
    """Where to write what a curve comes to: at its summit, and of one without in the middle of what is drawn."""
    low, high = _daylight(hours, power)
    if not values.max() > 0:
        return (low + high) / 2
    # Words are as wide as a fifth of the picture on either side.
    room = 0.2 * (high - low)
    return float(np.clip(hours[int(np.argmax(values))], low + room, high - room))


def _hold(axes: Axes, ink: Ink, day: SolarDay, holding: Given, first: float) -> None:
    level = look_up("equilibrium_speed").read_one(holding) * 3.6
    axes.axhline(level, color=ink.quiet, linewidth=0.9, linestyle=(0, (4, 3)))
    midnight = day.sky.clock(-0.5)
    for start, end in day.times_holding(holding):
        span = [first + (one - midnight).total_seconds() / 3600 for one in (start, end)]
        axes.plot(span, [level, level], color=ink.lost, linewidth=4, solid_capstyle="butt")
        axes.text(
            sum(span) / 2,
            level,
            f"{format_input(level)} km/h\n{start:%H:%M} to {end:%H:%M}",
            ha="center",
            va="top",
            color=ink.lost_text,
            weight="bold",
        ).set_y(level - 0.06 * float(axes.get_ylim()[1]))


def year_figure(year: SolarYear, *, theme_name: str = "light", width: float = 9.0) -> Figure:
    """Draw energy and distance of every day as strips, with the mean day of each month.

    Parameters
    ----------
    year : SolarYear
        With a vehicle and its speed.
    theme_name : str
        ``"light"`` or ``"dark"``.
    width : float
        Inches.

    Returns
    -------
    matplotlib.figure.Figure

    Examples
    --------
    >>> import chalkwatt as cw
    >>> from chalkwatt.figures.solar import year_figure
    >>> year = cw.solar_year(
    ...     sky=cw.measured_sky(), rated_power=700, mass=650, drag_area=0.3,
    ...     rolling_coefficient=0.007, drive_efficiency=0.86, speed="60 km/h",
    ... )
    >>> [axes.get_ylabel() for axes in year_figure(year).axes]
    ['kWh a day', 'km a day']
    """
    ink = theme(theme_name)
    days = np.arange(year.sky.days) + 0.5
    months = year.sky.months
    plug_free = year.plug_free_by_month
    with drawing(width, 5.2, ink) as figure:
        above, below = figure.subplots(2, 1, sharex=True, height_ratios=[1, 1.25])
        for axes, values in ((above, year.joules / 3.6e6), (below, year.metres / 1000)):
            quiet_axes(axes, ink)
            axes.bar(days, values, width=0.8, color=ink.good, alpha=0.55, linewidth=0)
            axes.set_xlim(0, year.sky.days)
        above.set_ylabel("kWh a day")
        above.set_title(
            f"{year.sky.place}: {with_unit(float(year.energy.magnitude), 'kWh')} a year, "
            f"{year.vehicle.roof.words}"
        )
        below.set_ylabel("km a day")
        below.set_ylim(0, 1.22 * float(year.metres.max()) / 1000)
        edges = []
        for number, (month, distance) in zip(sorted(set(months)), plug_free.items(), strict=True):
            place = np.flatnonzero(months == number)
            span = float(place[0]), float(place[-1] + 1)
            edges.append((sum(span) / 2, month[:3]))
            level = float(distance.magnitude)
            below.plot(span, [level, level], color=ink.ink, linewidth=2.2, solid_capstyle="butt")
            below.text(
                sum(span) / 2,
                1.0,
                format_number(level, 3),
                transform=below.get_xaxis_transform(),
                ha="center",
                va="top",
                weight="bold",
                fontsize=10,
            )
        below.set_xticks([at for at, _ in edges], [month for _, month in edges])
        below.tick_params(axis="x", length=0)
        above.tick_params(axis="x", length=0)
        below.set_title(
            "Daily distance that never needs a plug, the mean day of each month:\n"
            f"driven{year.vehicle.driven}",
            fontsize=11,
            color=ink.quiet,
            weight="normal",
        )
    return figure
