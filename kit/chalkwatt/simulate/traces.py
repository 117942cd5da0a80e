"""Traces: recorded speed against time, read from CSV files with units in the header.

A file begins with a header such as ``time (s), speed (km/h)``; a third column named ``phase`` may
name the parts. Commas, semicolons or tabs separate; lines that begin with ``#`` are passed over.
Nothing is mended in silence: whatever does not fit is an error that names the file and the line.
"""

from __future__ import annotations

import csv
import re
from itertools import pairwise
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from chalkwatt import units
from chalkwatt.errors import ChalkwattError, UnitError
from chalkwatt.simulate.schedule import Phase, Schedule, in_si

if TYPE_CHECKING:
    from collections.abc import Iterator

__all__ = ["TraceError", "read"]

_HEADER = re.compile(r"^\s*(?P<name>[A-Za-z_ ]+?)\s*(?:[(\[]\s*(?P<unit>[^)\]]+?)\s*[)\]])?\s*$")
_SI = {"time": "s", "speed": "m/s"}
_SHORTEST_GAP = 1.5  # steps; one missing sample makes a step of two


class TraceError(ChalkwattError):
    """A trace that cannot be driven; ``path`` and ``line`` say where.

    Parameters
    ----------
    message : str
    path : Path
    line : int
        Counted from 1, as editors do.
    **facts
        As for every error.
    """

    def __init__(self, message: str, *, path: Path, line: int, **facts: object) -> None:
        super().__init__(f"{path.name}, line {line}: {message}", **facts)  # type: ignore[arg-type]  # fields only
        self.path = path
        self.line = line


class _Sheet:
    """The lines of a file that is being read, with the file's name for errors."""

    def __init__(self, path: Path) -> None:
        self.path = path
        raw = path.read_bytes()
        try:
            self.text = raw.decode("utf-8-sig").splitlines()
        except UnicodeDecodeError as cause:
            raise self.wrong(
                raw[: cause.start].count(b"\n") + 1,
                "this is not text in UTF-8.",
                "Save the file as UTF-8; a spreadsheet offers it when saving as CSV.",
            ) from cause

    def wrong(self, line: int, message: str, advice: str, **facts: object) -> TraceError:
        return TraceError(message, path=self.path, line=line, advice=advice, **facts)

    def rows(self) -> Iterator[tuple[int, list[str]]]:
        """Yield line number and cells of every line that says something."""
        said = [
            (number, line)
            for number, line in enumerate(self.text, start=1)
            if line.strip() and not line.lstrip().startswith("#")
        ]
        if not said:
            raise self.wrong(1, "the file is empty.", "Begin it with time (s),speed (km/h).")
        first = said[0][1]
        delimiter = max(";\t,", key=first.count)
        for number, line in said:
            try:
                cells = next(csv.reader([line], delimiter=delimiter, strict=True))
            except csv.Error as cause:
                raise self.wrong(
                    number,
                    f"this line does not come apart into cells: {cause}.",
                    "Take stray quotation marks out.",
                ) from cause
            yield number, [cell.strip() for cell in cells]


def _columns(sheet: _Sheet, line: int, header: list[str]) -> tuple[dict[str, int], dict[str, str]]:
    """Find the columns of time, speed and phase, and the units of the first two."""
    places: dict[str, int] = {}
    labels: dict[str, str] = {}
    for place, cell in enumerate(header):
        found = _HEADER.match(cell)
        name = found["name"].lower() if found else ""
        if name not in {*_SI, "phase"}:
            continue
        if name in places:
            raise sheet.wrong(line, f"there are two columns of {name}.", "Keep one of them.")
        places[name] = place
        if name == "phase":
            continue
        label = found["unit"] if found else None
        if not label:
            raise sheet.wrong(
                line,
                f"the column {cell!r} has no unit.",
                "Write it into the header, like time (s) and speed (km/h).",
                quantity=name,
            )
        _check_unit(sheet, line, name, label)
        labels[name] = label
    for name in _SI:
        if name not in places:
            raise sheet.wrong(
                line,
                f"there is no column of {name} in {', '.join(header)!r}.",
                "The header must hold time and speed with units, like time (s),speed (km/h).",
                quantity=name,
            )
    return places, labels


def _check_unit(sheet: _Sheet, line: int, name: str, label: str) -> None:
    try:
        fits = units.same_dimension(label, _SI[name])
    except UnitError as cause:
        raise sheet.wrong(
            line,
            f"the unit {label!r} of {name} cannot be read.",
            "Write it like s, min, km/h, mph or m/s.",
            quantity=name,
            unit=label,
        ) from cause
    if not fits:
        raise sheet.wrong(
            line,
            f"{label} does not measure {name}.",
            f"Use {'s or min' if name == 'time' else 'km/h, mph or m/s'}.",
            quantity=name,
            unit=label,
            limit=_SI[name],
        )


def _cell(sheet: _Sheet, line: int, name: str, cells: list[str], place: int) -> float:
    text = cells[place] if place < len(cells) else ""
    if not text:
        raise sheet.wrong(
            line,
            f"the {name} is missing: a gap.",
            "Fill it in, or take the line out.",
            quantity=name,
        )
    try:
        value = float(text.replace("−", "-"))
    except ValueError as cause:
        raise sheet.wrong(
            line,
            f"the {name} {text!r} is not a number.",
            "Write it with a decimal point and without a unit.",
            quantity=name,
            value=text,
        ) from cause
    if not np.isfinite(value):
        raise sheet.wrong(
            line, f"the {name} {text!r} is not a finite number.", "Fill it in.", quantity=name
        )
    return value


def read(
    path: str | Path,
    *,
    name: str | None = None,
    longest_step: Any = None,  # noqa: ANN401  whatever a person gives
) -> Schedule:
    r"""Read a trace from a CSV file.

    Parameters
    ----------
    path : str or Path
        The file: a header with units, like ``time (s),speed (km/h)``, then a line a point; a column
        ``phase`` is optional.
    name : str, optional
        The file's own name if left out.
    longest_step : str, pint quantity or number of seconds, optional
        A longer step is a gap. If left out, and more than half of the steps are equal, as in a
        recording, a step half as long again is a gap; otherwise any step is allowed, as between
        the corners of a schedule.

    Returns
    -------
    Schedule

    Raises
    ------
    TraceError
        If a unit is missing or unknown, a cell is no number, time runs back or stands still, a
        speed is negative, or there is a gap; it names file and line.

    Examples
    --------
    >>> from pathlib import Path
    >>> from tempfile import TemporaryDirectory
    >>> from chalkwatt.simulate import schedules
    >>> with TemporaryDirectory() as folder:
    ...     file = Path(folder) / "hop.csv"
    ...     _ = file.write_text("time (s),speed (mph)\n0,0\n10,20\n20,0\n")
    ...     schedules.read(file)
    <schedule hop: 20.00 s, 0.08941 km, mean 16.09 km/h, top 32.19 km/h>
    """
    sheet = _Sheet(Path(path))
    rows = sheet.rows()
    line, header = next(rows)
    places, labels = _columns(sheet, line, header)
    lines: list[int] = []
    raw: dict[str, list[float]] = {"time": [], "speed": []}
    parts: list[str] = []
    for number, cells in rows:
        for one, values in raw.items():
            values.append(_cell(sheet, number, one, cells, places[one]))
        lines.append(number)
        if "phase" in places:
            place = places["phase"]
            parts.append(cells[place] if place < len(cells) and cells[place] else "")
    if len(lines) < 2:
        raise sheet.wrong(line, "there are fewer than two points.", "Add what was recorded.")
    _check_order(sheet, lines, raw, labels)
    times, speeds = (
        np.array(raw[one]) * units.unit(labels[one]).factor for one in ("time", "speed")
    )
    _check_gaps(sheet, lines, times, longest_step)
    title = name or sheet.path.stem
    phases = _phases(parts, title) if parts else ()
    return Schedule(title, times, speeds, phases=phases, source=f"trace {sheet.path.name}")


def _check_order(
    sheet: _Sheet, lines: list[int], raw: dict[str, list[float]], labels: dict[str, str]
) -> None:
    for line, speed in zip(lines, raw["speed"], strict=True):
        if speed < 0:
            raise sheet.wrong(
                line,
                f"the speed is negative: {speed:g} {labels['speed']}.",
                "A schedule drives forwards; mend the sign, or take the line out.",
                quantity="speed",
                value=speed,
                unit=labels["speed"],
                limit=0.0,
            )
    for line, (before, now) in zip(lines[1:], pairwise(raw["time"]), strict=True):
        if now <= before:
            word = "stands still" if now == before else "runs back"
            raise sheet.wrong(
                line,
                f"time {word}, from {before:g} to {now:g} {labels['time']}.",
                "Time must rise from line to line.",
                quantity="time",
                value=now,
                unit=labels["time"],
                limit=before,
            )


def _check_gaps(sheet: _Sheet, lines: list[int], times: Any, longest: Any) -> None:  # noqa: ANN401
    steps = np.diff(times)
    if longest is not None:
        limit = in_si(longest, "s", "s") * (1 + 1e-9)
    else:
        usual = float(np.median(steps))
        even = np.abs(steps - usual) <= 0.01 * usual
        limit = _SHORTEST_GAP * usual if even.mean() > 0.5 else np.inf
    if (steps > limit).any():
        place = int(np.flatnonzero(steps > limit)[0])
        raise sheet.wrong(
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
