"""Text files of columns: lines, cells, and which columns hold time and speed.

A file may begin with title lines; the header is the first line that names a time and a speed. Where
there is none, a comment just before the numbers may be the header. Semicolons, tabs, commas or blanks
part the cells; a decimal comma is read wherever commas do not part cells.
"""

from __future__ import annotations

import codecs
import csv
import re
from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING

from chalkwatt.errors import ChalkwattError, UnitError
from chalkwatt.wording import units

if TYPE_CHECKING:
    from pathlib import Path

__all__ = ["SI_UNITS", "Column", "Heading", "TraceError", "TraceFile"]

SI_UNITS = {"time": "s", "speed": "m/s"}

_COMMENT = ("#", "%", "//")
_SEPARATOR = re.compile(r"\s*\"?sep=([;,\t|])\"?\s*")  # as spreadsheets write it
_DELIMITERS = (";", "\t", ",", " ")
# What may stand before the word: any other word, as in "engine speed", makes it another quantity.
_BEFORE = r"actual|car|cycle|elapsed|gps|ground|measured|road|schedule|target|test|total|vehicle"
_UNIT = r"[^\s,;()\[\]]+"
_COLUMN = re.compile(
    rf"(?:(?:{_BEFORE})\s+)*(?P<word>time|speed|velocity|phase|t|v)\b"
    rf"(?:\s*[(\[]\s*(?P<inside>[^)\]]*?)\s*[)\]]|\s*(?:,|/|:|\s+in\s|\s)\s*(?P<after>{_UNIT}))?",
    re.IGNORECASE,
)
_WORDS = {"t": "time", "v": "speed", "velocity": "speed"}
_BARE_UNITS = {
    **dict.fromkeys(("s", "sec", "secs", "second", "seconds", "ms", "min", "minutes"), "time"),
    **dict.fromkeys(("km/h", "kmh", "kph", "kmph", "km/hr", "mph", "mi/h", "m/s", "mps"), "speed"),
}
_SPELLINGS = {"kmh": "km/h", "kmph": "km/h", "mi/hr": "mi/h"}


class TraceError(ChalkwattError):
    """A trace that cannot be driven; ``path`` and ``line`` say where.

    Parameters
    ----------
    message : str
    path : Path
    line : int or None
        Counted from 1, as editors do; None where it is the file as a whole.
    **facts
        As for every error.
    """

    def __init__(self, message: str, *, path: Path, line: int | None, **facts: object) -> None:
        where = path.name if line is None else f"{path.name}, line {line}"
        super().__init__(f"{where}: {message}", **facts)  # type: ignore[arg-type]  # fields only
        self.path = path
        self.line = line


@dataclass(frozen=True)
class Column:
    """A column: what it holds, where it stands, and its unit, if the file names one."""

    name: str
    place: int
    unit: str = ""
    title: str = ""


@dataclass(frozen=True)
class Heading:
    """What a file says of its columns.

    ``line`` is None where nothing is said: then there are two, time and speed. ``start`` is the
    place of the first row among the lines that say something.
    """

    line: int | None
    columns: list[Column]
    start: int
    delimiter: str
    width: int


class TraceFile:
    """A file's lines, parted into cells.

    Parameters
    ----------
    path : Path

    Raises
    ------
    TraceError
        If it cannot be opened, is not text, or is empty.
    """

    def __init__(self, path: Path) -> None:
        self.path = path
        # Editors end lines at these three only, so line numbers are theirs.
        lines = re.split(r"\r\n|\r|\n", self._text())
        numbered = [(number, line) for number, line in enumerate(lines, 1) if line.strip()]
        self._comments = [one for one in numbered if one[1].lstrip().startswith(_COMMENT)]
        self._said = [one for one in numbered if not one[1].lstrip().startswith(_COMMENT)]
        self._separator = ""
        if self._said and (told := _SEPARATOR.fullmatch(self._said[0][1])):
            self._separator = told[1]
            del self._said[0]
        if not self._said:
            raise self.wrong(1, "the file is empty.", "Begin it with time (s),speed (km/h).")

    def _text(self) -> str:
        try:
            raw = self.path.read_bytes()
        except (OSError, ValueError) as cause:  # the latter for a name that no file can have
            raise self.wrong(
                None,
                f"the file cannot be opened: {getattr(cause, 'strerror', None) or cause}.",
                "Check its name and folder.",
            ) from cause
        wide = raw.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE))
        try:
            return raw.decode("utf-16" if wide else "utf-8-sig")
        except UnicodeDecodeError as cause:
            raise self.wrong(
                raw[: cause.start].count(b"\n") + 1,
                "this is not text in UTF-8.",
                "Save the file as UTF-8; a spreadsheet offers it when saving as CSV.",
            ) from cause

    def wrong(self, line: int | None, message: str, advice: str, **facts: object) -> TraceError:
        """Return the error that names this file and a line of it."""
        return TraceError(message, path=self.path, line=line, advice=advice, **facts)

    def rows(self) -> list[tuple[int, list[str]]]:
        """Return line number and cells of every line below the heading."""
        delimiter = self.heading.delimiter
        below = self._said[self.heading.start :]
        return [(number, self._cells(number, line, delimiter)) for number, line in below]

    @cached_property
    def heading(self) -> Heading:
        """What the file says of its columns.

        Raises
        ------
        TraceError
            If what stands above the numbers is a header, but not of a time and a speed.
        """
        first = self._first_numbers
        for place in range(first):
            if found := self._heading_at(place):
                return found
        if found := self._heading_in_comments():
            return found
        for number, line in self._said[:first] if first < len(self._said) else self._said[:1]:
            self._refuse(number, line)
        start = first if first < len(self._said) else 0
        columns = [Column("time", 0), Column("speed", 1)]
        return Heading(None, columns, start, self._parting(self._said[start][1]), len(columns))

    @cached_property
    def _first_numbers(self) -> int:
        """Place of the first line with two numbers or more; the number of lines, if none has."""
        for place, (_, line) in enumerate(self._said):
            cells = _tried(line, self._parting(line))
            if sum(map(_is_number, cells)) >= 2:
                return place
        return len(self._said)

    def _heading_at(self, place: int) -> Heading | None:
        number, line = self._said[place]
        first = self._first_numbers
        numbers = self._said[first][1] if first < len(self._said) else ""
        parting = self._parting(numbers)
        width = len(_tried(numbers, parting))
        row = _in_a_row(line)
        alone = {"time", "speed"} == {one.name for one in row} and len(row) == 2 == width
        for delimiter in self._candidates(line):
            cells = _tried(line, delimiter)
            columns = _columns(cells)
            parted = not numbers or len(_tried(numbers, delimiter)) > 1
            # "time, s, speed, mph" above two columns has its units after commas.
            if alone and len(cells) > width:
                break
            if {"time", "speed"} <= {one.name for one in columns} and parted:
                below = self._units_below(place + 1, delimiter)
                columns = [
                    one if one.unit else replace(one, unit=below.get(one.place, ""))
                    for one in columns
                ]
                start = place + 1 + bool(below)
                return Heading(number, columns, start, delimiter, len(cells))
        return Heading(number, row, place + 1, parting, width) if alone else None

    def _heading_in_comments(self) -> Heading | None:
        """Take the last comment above the numbers, if it names a time and a speed."""
        start = self._first_numbers
        if start == len(self._said):
            return None
        first, numbers = self._said[start]
        delimiter = self._parting(numbers)
        for number, line in reversed([one for one in self._comments if one[0] < first]):
            cells = _tried(line.strip().lstrip("#%/ "), delimiter)
            columns = _columns(cells)
            if {"time", "speed"} <= {one.name for one in columns}:
                return Heading(number, columns, start, delimiter, len(cells))
        return None

    def _refuse(self, number: int, line: str) -> None:
        """Refuse a line that was meant as a header: it names either, or has several cells."""
        cells = self._cells(number, line, max(_DELIMITERS[:3], key=line.count))
        named = {one.name for one in _columns(cells)}
        for name in ("time", "speed"):
            if name not in named and (named or len(cells) > 1):
                raise self.wrong(
                    number,
                    f"there is no column of {name} in {', '.join(cells)!r}.",
                    "The header must hold time and speed with units, like time (s),speed (km/h).",
                    quantity=name,
                )

    def _units_below(self, place: int, delimiter: str) -> dict[int, str]:
        """Read the line below a header, where that is a line of units."""
        if place >= self._first_numbers or place >= len(self._said):
            return {}
        _, line = self._said[place]
        cells = [cell.strip("()[] ") for cell in _tried(line, delimiter)]
        if not any(cell.lower() in _BARE_UNITS for cell in cells):
            return {}
        return {at: _spelled(cell) for at, cell in enumerate(cells)}

    def _candidates(self, line: str) -> list[str]:
        if self._separator:
            return [self._separator]
        often = sorted(_DELIMITERS[:3], key=line.count, reverse=True)
        # Where a comma stands before a unit, another delimiter leaves both columns their units.
        return sorted(often, key=lambda one: -len(_with_units(_tried(line, one))))

    def _parting(self, line: str) -> str:
        """Tell what parts the cells of a line of numbers."""
        if self._separator:
            return self._separator
        return next((one for one in _DELIMITERS if one in line.strip()), ",")

    def _cells(self, number: int, line: str, delimiter: str) -> list[str]:
        try:
            return _apart(line, delimiter)
        except csv.Error as cause:
            raise self.wrong(
                number,
                f"this line does not come apart into cells: {cause}.",
                "Take stray quotation marks out.",
            ) from cause


def _apart(line: str, delimiter: str) -> list[str]:
    """Part a line into cells; empty ones at its end are none."""
    if delimiter == " ":
        return line.split()
    made = next(csv.reader([line], delimiter=delimiter, strict=True), [])
    made = [cell.strip() for cell in made]
    while made and not made[-1]:
        made.pop()
    return made


def _tried(line: str, delimiter: str) -> list[str]:
    """Part a line by what may not be its delimiter: nothing, if quotation marks forbid it."""
    try:
        return _apart(line, delimiter)
    except csv.Error:
        return []


def _is_number(text: str) -> bool:
    try:
        float(text.replace("−", "-").replace(",", "."))
    except ValueError:
        return False
    return True


def _spelled(unit: str) -> str:
    """Return a unit as `units` knows it: people write KMH, Mph and Sec, too."""
    plain = unit.lower()
    known = plain in _BARE_UNITS and plain != "ms"  # Ms and MS would be other units
    return _SPELLINGS.get(plain, plain if known else unit)


def _columns(cells: list[str]) -> list[Column]:
    return [found for place, cell in enumerate(cells) if (found := _column(cell, place))]


def _with_units(cells: list[str]) -> set[str]:
    return {one.name for one in _columns(cells) if one.unit}


def _column(cell: str, place: int) -> Column | None:
    """Read a cell of a header: a time, a speed or a phase, with its unit, or nothing of these."""
    title = cell.strip().strip("\"'")
    text = re.sub(r"[_\s]+", " ", title).strip()
    if text.lower() in _BARE_UNITS:
        return Column(_BARE_UNITS[text.lower()], place, _spelled(text), title)
    found = _COLUMN.fullmatch(text)
    if not found:
        return None
    word = found["word"].lower()
    name = _WORDS.get(word, word)
    # Without brackets a word may be anything, as in "speed limit"; in them it is meant as a unit.
    if found["after"] and not _measures(_spelled(found["after"]), name):
        return None
    return Column(name, place, _spelled(found["inside"] or found["after"] or ""), title)


def _measures(unit: str, name: str) -> bool:
    try:
        return units.same_dimension(unit, SI_UNITS[name])
    except (UnitError, KeyError):
        return False


def _in_a_row(line: str) -> list[Column]:
    """Read a whole header line at once, whatever parts it; nothing if there are other words in it."""
    text = re.sub(r"[_\"\s]+", " ", line).strip()
    if re.search(r"\w", _COLUMN.sub("", text)):
        return []
    found = (_column(one[0], place) for place, one in enumerate(_COLUMN.finditer(text)))
    return [one for one in found if one]
