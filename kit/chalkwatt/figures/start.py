"""The figure of one or several standing starts."""

from __future__ import annotations

import itertools
from typing import TYPE_CHECKING, Any

import numpy as np

from chalkwatt.errors import ChalkwattError
from chalkwatt.figures.style import Ink, drawing, quiet_axes, theme
from chalkwatt.wording.numbers import with_unit

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

    from chalkwatt.runs.start.run import StartRun

__all__ = ["start_figure"]

_DASHES = ("-", (0, (6, 2.5)), (0, (1.5, 1.8)), (0, (6, 2, 1.5, 2)))
_MOST = 4


def start_figure(
    run: StartRun, *others: StartRun, theme_name: str = "light", width: float = 8.0
) -> Figure:
    """Draw speed and distance against time, one line a vehicle.

    Parameters
    ----------
    run, *others : StartRun
        Up to four vehicles; each is named at the end of its line.
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
        If there are more than four vehicles.

    Examples
    --------
    >>> import chalkwatt as cw
    >>> from chalkwatt.figures.start import start_figure
    >>> run = cw.standing_start(mass=1500, motor_power=120e3, friction=0.9, driven_weight_share=0.5,
    ...                         rolling_coefficient=0.01, drag_area=0.6, air_density=1.2)
    >>> [axes.get_ylabel() for axes in start_figure(run).axes]
    ['speed in km/h', 'distance in m']
    """
    runs = (run, *others)
    if len(runs) > _MOST:
        raise ChalkwattError(
            f"{len(runs)} vehicles are too many to tell apart in one figure.",
            value=len(runs),
            limit=_MOST,
            advice=f"Draw up to {_MOST}.",
        )
    ink = theme(theme_name)
    colours = (ink.good, ink.lost, ink.third, ink.ink)
    text_colours = (ink.good, ink.lost_text, ink.third, ink.ink)
    end = max(float(one.time[-1]) for one in runs)
    with drawing(width, 6.2, ink) as figure:
        above, below = figure.subplots(2, 1, sharex=True)
        for number, one in enumerate(runs):
            style: dict[str, Any] = {"color": colours[number], "linestyle": _DASHES[number]}
            above.plot(one.time, one.speed * 3.6, linewidth=2.0, **style)
            below.plot(one.time, one.distance, linewidth=2.0, **style)
        _names(above, runs, [one.speed[-1] * 3.6 for one in runs], text_colours)
        if len(runs) == 1:
            _limits(above, ink, run)
        for axes, words in ((above, "speed in km/h"), (below, "distance in m")):
            quiet_axes(axes, ink)
            axes.set_ylabel(words)
            axes.set_ylim(bottom=0)
            axes.set_xlim(0, end)
        _quarter_mile(below, ink, end)
        below.set_xlabel("time in s")
        above.set_title(_title(runs), pad=14)
    return figure


def _title(runs: tuple[StartRun, ...]) -> str:
    if len(runs) > 1:
        return "Standing starts over a quarter mile"
    run, names = runs[0], ("0 to 100 km/h", "quarter mile")
    shown = ", ".join(f"{words} in {run.results[words]}" for words in names if words in run.results)
    return f"{run.name or 'Standing start'}: {shown}"


def _names(
    axes: Axes,
    runs: tuple[StartRun, ...],
    ends: list[float],
    colours: tuple[str, ...],
) -> None:
    """Name each line to the right of its end, names pushed apart where lines end close together."""
    if len(runs) == 1:
        return
    top = max(ends) * 1.05
    places = np.array(ends) / top
    order = np.argsort(places)
    for _ in range(50):
        for low, high in itertools.pairwise(order):
            lacking = 0.16 - (places[high] - places[low])
            if lacking > 0:
                places[low] -= lacking / 2
                places[high] += lacking / 2
    axes.set_ylim(0, top)
    for number, one in enumerate(runs):
        seconds = with_unit(float(one.time[-1]), "s", 3)
        axes.annotate(
            f"{one.name or f'vehicle {number + 1}'}\n{seconds}, {with_unit(ends[number], 'km/h', 3)}",
            (float(one.time[-1]), ends[number]),
            xytext=(1.02, places[number]),
            textcoords="axes fraction",
            va="center",
            color=colours[number],
            fontsize=10,
            annotation_clip=False,
            arrowprops={"arrowstyle": "-", "color": colours[number], "linewidth": 0.7},
        )


def _limits(axes: Axes, ink: Ink, run: StartRun) -> None:
    """Say along the curve what limits the start, with a thin line where it changes."""
    for number, one in enumerate(run.stretches):
        begin, until = one.start - run.clock_start, one.end - run.clock_start
        if number:
            axes.axvline(begin, color=ink.hair, linewidth=0.8)
        if until - begin > 0.1 * run.time[-1]:
            axes.annotate(
                f"{one.limit}",
                ((max(begin, 0.0) + until) / 2, 0.0),
                xycoords=("data", "axes fraction"),
                xytext=(0, 6),
                textcoords="offset points",
                ha="center",
                color=ink.quiet,
                fontsize=9,
                bbox={"facecolor": ink.paper, "edgecolor": "none", "pad": 1.0},
            )


def _quarter_mile(axes: Axes, ink: Ink, end: float) -> None:
    axes.axhline(402.336, color=ink.hair, linewidth=0.8)
    axes.annotate(
        "quarter mile", (0.0, 402.336), xytext=(4, -12), textcoords="offset points",
        color=ink.quiet, fontsize=9,
    )  # fmt: skip
    axes.set_xlim(0, end)
