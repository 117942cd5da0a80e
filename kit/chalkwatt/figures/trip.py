"""Figures of a schedule and of driving it."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from chalkwatt.errors import ChalkwattError
from chalkwatt.figures.style import Ink, drawing, quiet_axes, theme
from chalkwatt.runs.schedule.laws import laws_of
from chalkwatt.wording.numbers import format_number, with_unit

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure
    from numpy.typing import NDArray

    from chalkwatt.runs.schedule.schedule import Schedule
    from chalkwatt.runs.schedule.trip import Trip

__all__ = ["power_curve", "schedule_figure", "trip_figure"]

_FINE = 24  # points a step of the power curve, which bends where speed is straight


def schedule_figure(schedule: Schedule, *, theme_name: str = "light", width: float = 8.0) -> Figure:
    """Draw speed against time, with the phases named.

    Parameters
    ----------
    schedule : Schedule
    theme_name : str
        ``"light"`` or ``"dark"``.
    width : float
        Inches.

    Returns
    -------
    matplotlib.figure.Figure

    Examples
    --------
    >>> from chalkwatt.figures.trip import schedule_figure
    >>> from chalkwatt.runs import schedules
    >>> schedule_figure(schedules.eudc).axes[0].get_xlabel()
    'time in s'
    """
    ink = theme(theme_name)
    with drawing(width, 3.0, ink) as figure:
        axes = figure.add_subplot()
        _speed(axes, ink, schedule)
        axes.set_xlabel("time in s")
        axes.set_title(
            f"{schedule.name}: {with_unit(schedule.distance.magnitude, 'km')} in "
            f"{with_unit(schedule.duration.magnitude, 's')}",
            pad=24,
        )
    return figure


def _speed(axes: Axes, ink: Ink, schedule: Schedule) -> None:
    quiet_axes(axes, ink)
    axes.plot(schedule.times, schedule.speeds * 3.6, color=ink.ink, linewidth=1.4)
    axes.set_ylabel("speed in km/h")
    axes.set_xlim(schedule.times[0], schedule.times[-1])
    axes.set_ylim(bottom=0)
    if len(schedule.phases) == 1:
        return
    for phase in schedule.phases:
        start, end = schedule.times[phase.first], schedule.times[phase.last]
        if phase.first:
            axes.axvline(start, color=ink.hair, linewidth=0.8)
        axes.annotate(
            phase.name,
            ((start + end) / 2, 1.0),
            xycoords=("data", "axes fraction"),
            xytext=(0, 6),
            textcoords="offset points",
            ha="center",
            color=ink.quiet,
            fontsize=9,
        )


def power_curve(trip: Trip) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return times in seconds and power at the wheels in watts, finely spaced.

    Parameters
    ----------
    trip : Trip
        One vehicle's.

    Returns
    -------
    tuple of two ndarrays
        At each point of the schedule power jumps, so both values stand there.

    Raises
    ------
    ChalkwattError
        If the trip is of many vehicles.

    Examples
    --------
    >>> import chalkwatt as cw
    >>> from chalkwatt.figures.trip import power_curve
    >>> trip = cw.drive_schedule(
    ...     cw.schedules.eudc, mass=900, drag_area=0.5, rolling_coefficient=0.01,
    ...     drive_efficiency=0.85,
    ... )
    >>> float(power_curve(trip)[1].max().round())
    22618.0
    """
    if np.ndim(trip.si("battery_energy")):
        raise ChalkwattError(
            "This trip is of many vehicles, and a figure shows one.",
            advice="Drive the schedule with single numbers.",
        )
    schedule = trip.schedule
    along = np.linspace(0.0, 1.0, _FINE)
    times = schedule.times[:-1, None] + schedule.durations[:, None] * along
    speeds = schedule.speeds[:-1, None] + np.diff(schedule.speeds)[:, None] * along
    slope = (np.diff(schedule.speeds) / schedule.durations)[:, None]
    power = laws_of(trip.equations).wheel_power(trip.values, speeds, slope)
    return times.ravel(), np.ravel(power)


def trip_figure(trip: Trip, *, theme_name: str = "light", width: float = 8.0) -> Figure:
    """Draw speed and power at the wheels against time, and what came of the energy.

    Parameters
    ----------
    trip : Trip
        One vehicle's.
    theme_name : str
        ``"light"`` or ``"dark"``.
    width : float
        Inches.

    Returns
    -------
    matplotlib.figure.Figure

    Raises
    ------
    ChalkwattError
        If the trip is of many vehicles.

    Examples
    --------
    >>> import chalkwatt as cw
    >>> from chalkwatt.figures.trip import trip_figure
    >>> trip = cw.drive_schedule(
    ...     cw.schedules.eudc, mass=900, drag_area=0.5, rolling_coefficient=0.01,
    ...     drive_efficiency=0.85,
    ... )
    >>> [axes.get_ylabel() for axes in trip_figure(trip).axes]
    ['speed in km/h', 'power at the wheels in kW']
    """
    ink = theme(theme_name)
    times, power = power_curve(trip)
    kilowatts = power / 1000
    with drawing(width, 5.4, ink) as figure:
        above, below = figure.subplots(2, 1, sharex=True, height_ratios=[2, 3])
        _speed(above, ink, trip.schedule)
        above.set_title(
            f"{trip.name}: {with_unit(float(trip.consumption.magnitude), 'kWh/100 km')} "
            f"({with_unit(float(trip.consumption_per_mile.magnitude), 'Wh/mi')})",
            pad=24,
        )
        quiet_axes(below, ink)
        below.axhline(0, color=ink.ink, linewidth=0.8)
        for part, colour, hatch in (
            (np.maximum(kilowatts, 0), ink.good, ""),
            (np.minimum(kilowatts, 0), ink.lost, "//////"),
        ):
            below.fill_between(
                times,
                part,
                facecolor="none" if hatch else colour,
                edgecolor=colour,
                hatch=hatch or None,
                linewidth=0.6,
            )
        limit = trip.values.get("recovery_power_max")
        share = trip.values["recovery_efficiency"]
        if limit is not None and share > 0 and -limit / share / 1000 > kilowatts.min():
            level = -limit / share / 1000
            below.axhline(level, color=ink.quiet, linewidth=0.9, linestyle=(0, (4, 3)))
            below.annotate(
                "most that recovery takes",
                (0.005, level),
                xycoords=("axes fraction", "data"),
                xytext=(4, -3),
                textcoords="offset points",
                va="top",
                fontsize=9,
                color=ink.quiet,
                bbox={"facecolor": ink.paper, "edgecolor": "none", "pad": 1.0},
            )
        below.set_ylabel("power at the wheels in kW")
        below.set_xlabel("time in s")
        below.margins(x=0, y=0.14)
        _words(below, ink, trip)
    return figure


def _words(axes: Axes, ink: Ink, trip: Trip) -> None:
    """Say what the two areas come to, at the top left, where a trip begins slowly."""
    driving = format_number(float(trip.wheel_energy.magnitude))
    braking = format_number(float(trip.braking_energy.magnitude))
    back = format_number(float(trip.recovered_energy.magnitude))
    for words, height, colour in (
        (f"driving: {driving} kWh", 0.985, ink.good),
        (f"braking: {braking} kWh, {back} of it back to the battery", 0.90, ink.lost_text),
    ):
        text = axes.text(
            0.012, height, words, transform=axes.transAxes, va="top", weight="bold", color=colour
        )
        text.set_bbox({"facecolor": ink.paper, "edgecolor": "none", "pad": 1.0})
