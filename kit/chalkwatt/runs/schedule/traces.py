"""Traces: recorded speed against time, read from text files of columns.

A file begins with a header such as ``time (s), speed (km/h)``; a third column named ``phase`` may
name the parts. Semicolons, tabs, commas or blanks part the columns; lines that begin with ``#``, ``%``
or ``//`` are passed over. Units stand in the header or are given; none is guessed. Nothing is mended
in silence: whatever does not fit is an error that names the file and the line.
"""

from __future__ import annotations

import warnings
from itertools import pairwise
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from chalkwatt.errors import UnitError
from chalkwatt.laws.quantities import look_up
from chalkwatt.runs.schedule.schedule import Phase, Schedule, in_si
from chalkwatt.runs.schedule.totals import claimed, compare
from chalkwatt.runs.schedule.trace_files import SI_UNITS, Column, TraceError, TraceFile
from chalkwatt.wording import units

if TYPE_CHECKING:
    from collections.abc import Mapping

    from numpy.typing import NDArray

    from chalkwatt.wording.given import Given

__all__ = ["TraceError", "TraceWarning", "read"]

_SHORTEST_GAP = 1.5  # steps; one missing sample makes a step of two


class TraceWarning(UserWarning):
    """A trace that is called after a known schedule, but does not have its totals."""


def read(
    path: str | Path,
    *,
    name: str | None = None,
    speed_unit: str | None = None,
    time_unit: str | None = None,
    claims: str | None = None,
    longest_step: Given | None = None,
) -> Schedule:
    r"""Read a trace from a text file of columns.

    Parameters
    ----------
    path : str or Path
        The file: a header with units, like ``time (s),speed (km/h)``, then a line a point; a column
        ``phase`` is optional. Without a header it has two columns, time and speed.
    name : str, optional
        The file's own name if left out.
    speed_unit, time_unit : str, optional
        Units of the columns, needed where the header does not name them.
    claims : str, optional
        The schedule that it is said to be, such as ``"UDDS"``; its totals must be the known ones.
        If left out, a name that speaks of a known schedule is taken as the claim, and a trace that
        does not fit is read with a warning.
    longest_step : str, pint quantity or number of seconds, optional
        A longer step is a gap. If left out, and more than half of the steps are equal, as in a
        recording, a step half as long again is a gap; otherwise any step is allowed, as between
        the corners of a schedule.

    Returns
    -------
    Schedule
        Its ``notes`` say whether it has the totals of the schedule that it is called after.

    Raises
    ------
    TraceError
        If the file cannot be opened, a unit is missing or unknown, a cell is no number, time runs
        back or stands still, a speed is negative or beyond what a vehicle can do, there is a gap, or
        the totals are not those of ``claims``; it names file and line.
    NameUnknownError
        If the totals of ``claims`` are not known.

    Warns
    -----
    TraceWarning
        If it is called after a known schedule, but does not have its totals.

    Examples
    --------
    >>> from pathlib import Path
    >>> from tempfile import TemporaryDirectory
    >>> from chalkwatt.runs import schedules
    >>> with TemporaryDirectory() as folder:
    ...     file = Path(folder) / "hop.csv"
    ...     _ = file.write_text("time (s),speed (mph)\n0,0\n10,20\n20,0\n")
    ...     schedules.read(file)
    ...     _ = file.write_text("0;0\n10;32,2\n20;0\n")
    ...     schedules.read(file, time_unit="s", speed_unit="km/h")
    <schedule hop: 20.00 s, 0.08941 km, mean 16.09 km/h, top 32.19 km/h>
    <schedule hop: 20.00 s, 0.08944 km, mean 16.10 km/h, top 32.20 km/h>
    """
    file = TraceFile(Path(path))
    given = {"time": time_unit, "speed": speed_unit}
    columns, labels = _columns(file, given)
    lines: list[int] = []
    raw: dict[str, list[float]] = {"time": [], "speed": []}
    parts: list[str] = []
    marks: dict[str, int] = {}
    for number, cells in file.rows():
        _check_width(file, number, cells)
        for one, values in raw.items():
            values.append(_cell(file, number, cells, columns[one], marks))
        lines.append(number)
        if "phase" in columns:
            place = columns["phase"].place
            parts.append(cells[place] if place < len(cells) else "")
    if len(lines) < 2:
        raise file.wrong(
            file.heading.line or 1, "there are fewer than two points.", "Add what was recorded."
        )
    _check_order(file, lines, raw, labels)
    times, speeds = (
        np.array(raw[one]) * units.unit(labels[one]).factor for one in ("time", "speed")
    )
    _check_gaps(file, lines, times, longest_step)
    title = name or file.path.stem
    made = Schedule(
        title,
        times,
        speeds,
        phases=_phases(parts, title) if parts else (),
        source=f"trace {file.path.name}",
    )
    return _held_against_the_known(file, made, claims)


def _held_against_the_known(file: TraceFile, made: Schedule, claims: str | None) -> Schedule:
    known = claims or claimed(made.name)
    if known is None:
        return made
    found = compare(made, known)
    if not found.holds and claims:
        raise file.wrong(
            None,
            found.text,
            "Read the file as it was published, or leave claims out.",
            value=claims,
        )
    if not found.holds:
        warnings.warn(f"{file.path.name}: {found.text}", TraceWarning, stacklevel=5)
    made.notes = (found.text,)
    return made


def _columns(
    file: TraceFile, given: Mapping[str, str | None]
) -> tuple[dict[str, Column], dict[str, str]]:
    """Find the columns of time, speed and phase, and the units of the first two."""
    line = file.heading.line
    places: dict[str, Column] = {}
    for column in file.heading.columns:
        if column.name in places:
            raise file.wrong(line, f"there are two columns of {column.name}.", "Keep one of them.")
        places[column.name] = column
    labels = {}
    for name in SI_UNITS:
        said, told = places[name].unit, given[name]
        if told is not None:
            _check_unit(file, line, name, told)
        if said:
            _check_unit(file, line, name, said)
        if said and told is not None and units.unit(said) != units.unit(told):
            raise file.wrong(
                line,
                f"the header says {said}, but {name}_unit = {told!r} was given.",
                f"Leave {name}_unit out, or mend the header.",
                quantity=name,
                unit=said,
                value=told,
            )
        if not (said or told):
            raise _unitless(file, line, places[name], given)
        labels[name] = said or str(told)
    return places, labels


def _unitless(
    file: TraceFile, line: int | None, column: Column, given: Mapping[str, str | None]
) -> TraceError:
    if column.title:
        return file.wrong(
            line,
            f"the column {column.title!r} has no unit.",
            "Write it into the header, like time (s) and speed (km/h), "
            f'or give {column.name}_unit, like "{"s" if column.name == "time" else "km/h"}".',
            quantity=column.name,
        )
    missing = [
        f'{name}_unit="{unit}"'
        for name, unit in (("time", "s"), ("speed", "km/h"))
        if given[name] is None
    ]
    return file.wrong(
        file.rows()[0][0],
        "no header names the units.",
        f"Begin the file with a line like time (s),speed (km/h), or give {' and '.join(missing)}.",
        quantity=column.name,
    )


def _check_unit(file: TraceFile, line: int | None, name: str, label: str) -> None:
    try:
        fits = units.same_dimension(label, SI_UNITS[name])
    except UnitError as cause:
        raise file.wrong(
            line,
            f"the unit {label!r} of {name} cannot be read.",
            "Write it like s, min, km/h, mph or m/s.",
            quantity=name,
            unit=label,
        ) from cause
    if not fits:
        raise file.wrong(
            line,
            f"{label} does not measure {name}.",
            f"Use {'s or min' if name == 'time' else 'km/h, mph or m/s'}.",
            quantity=name,
            unit=label,
            limit=SI_UNITS[name],
        )


def _check_width(file: TraceFile, line: int, cells: list[str]) -> None:
    """Refuse more cells than there are columns: a decimal comma would shift them."""
    if len(cells) <= file.heading.width:
        return
    if file.heading.line is None:
        raise file.wrong(
            line,
            f"there are {len(cells)} columns here, and no header that says which is which.",
            "Begin the file with a line like time (s),speed (km/h); part columns by semicolons "
            "where numbers have decimal commas.",
        )
    raise file.wrong(
        line,
        f"there are {len(cells)} cells here, but {file.heading.width} columns in the header.",
        "Part columns by semicolons where numbers have decimal commas.",
    )


def _cell(
    file: TraceFile, line: int, cells: list[str], column: Column, marks: dict[str, int]
) -> float:
    """Read a number; ``marks`` remembers where a decimal point and a decimal comma first stood."""
    name = column.name
    text = cells[column.place] if column.place < len(cells) else ""
    if not text:
        raise file.wrong(
            line,
            f"the {name} is missing: a gap.",
            "Fill it in, or take the line out.",
            quantity=name,
        )
    for mark in ",.":
        if mark in text:
            marks.setdefault(mark, line)
    if len(marks) > 1:
        raise file.wrong(
            line,
            f"a decimal comma and a decimal point are mixed (lines {marks[',']} and {marks['.']}).",
            "Write all numbers alike, without marks between thousands.",
            quantity=name,
            value=text,
        )
    try:
        if "_" in text:
            raise ValueError(text)  # Python would read 1_000  # noqa: TRY301
        value = float(text.replace("−", "-").replace(",", "."))
    except ValueError as cause:
        raise file.wrong(
            line,
            f"the {name} {text!r} is not a number.",
            "Write it without a unit and without marks between thousands.",
            quantity=name,
            value=text,
        ) from cause
    if not np.isfinite(value):
        raise file.wrong(
            line, f"the {name} {text!r} is not a finite number.", "Fill it in.", quantity=name
        )
    return value


def _check_order(
    file: TraceFile, lines: list[int], raw: dict[str, list[float]], labels: dict[str, str]
) -> None:
    for line, speed in zip(lines, raw["speed"], strict=True):
        if speed < 0:
            raise file.wrong(
                line,
                f"the speed is negative: {speed:g} {labels['speed']}.",
                "A schedule drives forwards; mend the sign, or take the line out.",
                quantity="speed",
                value=speed,
                unit=labels["speed"],
                limit=0.0,
            )
        fastest = look_up("speed").bounds[1] / units.unit(labels["speed"]).factor
        if speed > fastest:
            raise file.wrong(
                line,
                f"the speed is {speed:g} {labels['speed']}, and the most is {fastest:.4g}.",
                "Check the unit of the column: it may be m/s, km/h or mph.",
                quantity="speed",
                value=speed,
                unit=labels["speed"],
                limit=fastest,
            )
    for line, (before, now) in zip(lines[1:], pairwise(raw["time"]), strict=True):
        if now <= before:
            word = "stands still" if now == before else "runs back"
            raise file.wrong(
                line,
                f"time {word}, from {before:g} to {now:g} {labels['time']}.",
                "Time must rise from line to line.",
                quantity="time",
                value=now,
                unit=labels["time"],
                limit=before,
            )


def _check_gaps(
    file: TraceFile, lines: list[int], times: NDArray[np.float64], longest: Given | None
) -> None:
    steps = np.diff(times)
    if longest is not None:
        limit = in_si(longest, "s", "s") * (1 + 1e-9)
    else:
        usual = float(np.median(steps))
        even = np.abs(steps - usual) <= 0.01 * usual
        limit = _SHORTEST_GAP * usual if even.mean() > 0.5 else np.inf
    if (steps > limit).any():
        place = int(np.flatnonzero(steps > limit)[0])
        raise file.wrong(
            lines[place + 1],
            f"there is a gap of {steps[place]:g} s before this line; {limit:g} s is the most.",
            "Fill it in, or allow it with longest_step if speed is linear there.",
            quantity="time",
            value=float(steps[place]),
            unit="s",
            limit=limit,
        )


def _phases(parts: list[str], title: str) -> tuple[Phase, ...]:
    """Turn the phase of each point into spans; a phase begins where the one before it ends."""
    starts = [0] + [place for place in range(1, len(parts)) if parts[place] != parts[place - 1]]
    names = [parts[place] or title for place in starts]
    # The step that leads to a phase's first point belongs to the phase before.
    ends = [*starts[1:], len(parts) - 1]
    spans = [(name, first, last) for name, first, last in zip(names, starts, ends, strict=True)]
    total = {name: names.count(name) for name in names}
    seen: dict[str, int] = {}
    made = []
    for name, first, last in spans:
        if last == first:
            continue
        seen[name] = seen.get(name, 0) + 1
        label = f"{name} ({seen[name]})" if total[name] > 1 else name
        made.append(Phase(label, first, last))
    return tuple(made)
