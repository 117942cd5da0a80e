"""The points of a schedule: what makes them one, and how its phases are shown."""

from __future__ import annotations

from html import escape
from typing import TYPE_CHECKING

import numpy as np

from chalkwatt.errors import ChalkwattError, OutOfBoundsError
from chalkwatt.wording.numbers import with_unit

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from chalkwatt.runs.schedule.schedule import Schedule

__all__ = ["check_points", "table"]


def check_points(name: str, times: NDArray[np.float64], speeds: NDArray[np.float64]) -> None:
    """Refuse what is no schedule.

    Parameters
    ----------
    name : str
        Of the schedule, for the message.
    times, speeds : ndarray
        In seconds and metres per second.

    Raises
    ------
    ChalkwattError
        It names the point.
    """
    if times.ndim != 1 or times.shape != speeds.shape or len(times) < 2:
        raise ChalkwattError(
            f"{name}: {times.size} times and {speeds.size} speeds do not make a schedule.",
            advice="Give two lists of equal length, two points at least.",
        )
    if not (np.isfinite(times).all() and np.isfinite(speeds).all()):
        place = int(np.flatnonzero(~(np.isfinite(times) & np.isfinite(speeds)))[0])
        raise ChalkwattError(
            f"{name}: point {place + 1} is not a finite number.", advice="Mend it, or leave it out."
        )
    if (speeds < 0).any():
        place = int(np.flatnonzero(speeds < 0)[0])
        raise OutOfBoundsError(
            f"{name}: the speed at point {place + 1} is {speeds[place]:g} m/s.",
            quantity="speed",
            value=float(speeds[place]),
            unit="m/s",
            limit=0.0,
            advice="A schedule drives forwards; give speeds of 0 or more.",
        )
    steps = np.diff(times)
    if (steps <= 0).any():
        place = int(np.flatnonzero(steps <= 0)[0])
        raise ChalkwattError(
            f"{name}: time goes from {times[place]:g} s to {times[place + 1]:g} s "
            f"at point {place + 2}.",
            quantity="time",
            value=float(times[place + 1]),
            unit="s",
            limit=float(times[place]),
            advice="Time must rise from point to point.",
        )


def table(schedule: Schedule) -> str:
    """Show a schedule and its phases as a table of HTML.

    Parameters
    ----------
    schedule : Schedule

    Returns
    -------
    str

    Examples
    --------
    >>> from chalkwatt.runs.schedule.points import table
    >>> from chalkwatt.runs.schedule.schedules import nedc
    >>> "<th scope='row' style='text-align:left'>EUDC</th><td>400.0 s</td>" in table(nedc)
    True
    """
    columns = {
        "duration": "s",
        "distance": "km",
        "mean_speed": "km/h",
        "top_speed": "km/h",
        "idle_time": "s",
    }
    parts = list(schedule.phases) if len(schedule.phases) > 1 else []
    head = "".join(f"<th scope='col'>{name.replace('_', ' ')}</th>" for name in columns)
    rows = "".join(
        f"<tr><th scope='row' style='text-align:left'>{escape(words)}</th>"
        + "".join(
            f"<td>{escape(with_unit(float(getattr(one, name).magnitude), unit))}</td>"
            for name, unit in columns.items()
        )
        + "</tr>"
        for words, one in [
            *((part.name, part) for part in parts),
            ("whole" if parts else schedule.name, schedule),
        ]
    )
    said = [*schedule.notes, *([f"Source: {schedule.source}."] if schedule.source else [])]
    below = "".join(f"<p>{escape(one)}</p>" for one in said)
    return (
        f"<table><caption>{escape(schedule.name)}</caption>"
        f"<tr><td></td>{head}</tr>{rows}</table>{below}"
    )
