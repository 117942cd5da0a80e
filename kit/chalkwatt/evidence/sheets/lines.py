"""Where a key stands in a TOML text: the standard reader gives values without their places."""

from __future__ import annotations

import re

__all__ = ["LineIndex", "TooDeepError"]

_DEEPEST = 20  # parts of a dotted key; a sheet needs three, and each more costs as all before it

_KEY = re.compile(r"""\s*(?:"((?:[^"\\]|\\.)*)"|'([^']*)'|([\w-]+))\s*""")
_QUOTES = ('"""', "'''")


class TooDeepError(ValueError):
    """A key of more parts than a reader gets through in good time; ``line`` says where."""

    def __init__(self, line: int) -> None:
        super().__init__(f"A key has more than {_DEEPEST} parts")
        self.line = line


class LineIndex:
    r"""The line of every table and key of a TOML text.

    Lines end where TOML says they do. A text that is not TOML after all gets an index that may be wrong.

    Parameters
    ----------
    text : str

    Raises
    ------
    TooDeepError

    Examples
    --------
    >>> from chalkwatt.evidence.sheets.lines import LineIndex
    >>> LineIndex('[values.mass]\nvalue = 690').of("values", "mass", "value")
    2
    """

    def __init__(self, text: str) -> None:
        self._lines: dict[tuple[str | int, ...], int] = {}
        self._counts: dict[tuple[str | int, ...], int] = {}
        self._table: tuple[str | int, ...] = ()
        self._open = ""  # the quotes of a string that runs over several lines
        self._depth = 0  # brackets of an array that runs over several lines
        for number, line in enumerate(text.split("\n"), start=1):
            self._take(line, number)

    def of(self, *path: str | int) -> int:
        """Return the line of a key, or of the nearest table around it."""
        for length in range(len(path), 0, -1):
            if path[:length] in self._lines:
                return self._lines[path[:length]]
        return 1

    def _take(self, line: str, number: int) -> None:
        if self._open:
            place = line.find(self._open)
            if place < 0:
                return
            line = line[place + 3 :]
            self._open = ""
        elif not self._depth:
            line = self._begun(line, number)
        self._skim(line, number)

    def _begun(self, line: str, number: int) -> str:
        """Note a header or a key, and return what follows it."""
        stripped = line.lstrip()
        if not stripped or stripped.startswith("#"):
            return ""
        if stripped.startswith("["):
            several = stripped.startswith("[[")
            path, _ = _keys(stripped[2 if several else 1 :], number)
            full = self._resolved(path)
            if several:
                self._counts[full] = self._counts.get(full, -1) + 1
                self._note(full, number)
                full = (*full, self._counts[full])
            self._table = full
            for length in range(1, len(full) + 1):
                self._note(full[:length], number)
            return ""
        path, rest = _keys(stripped, number)
        for length in range(1, len(path) + 1):
            self._note((*self._table, *path[:length]), number)
        return rest

    def _resolved(self, path: list[str]) -> tuple[str | int, ...]:
        """Put the place of the last element after every array of tables on the way."""
        full: tuple[str | int, ...] = ()
        for step, key in enumerate(path):
            full = (*full, key)
            if full in self._counts and step < len(path) - 1:
                full = (*full, self._counts[full])
        return full

    def _note(self, path: tuple[str | int, ...], number: int) -> None:
        self._lines.setdefault(path, number)

    def _skim(self, rest: str, number: int) -> None:
        """Follow strings and brackets to the end of the line."""
        place = 0
        dots = 0  # of a key inside braces
        while place < len(rest):
            three = rest[place : place + 3]
            one = rest[place]
            if three in _QUOTES:
                end = rest.find(three, place + 3)
                if end < 0:
                    self._open = three
                    return
                place = end + 3
            elif one in "\"'":
                end = place + 1
                while end < len(rest) and rest[end] != one:
                    end += 2 if rest[end] == "\\" and one == '"' else 1
                place = end + 1
            elif one == "#":
                return
            else:
                self._depth += (one in "[{") - (one in "]}")
                dots = 0 if one in "={},[]" else dots + (one == ".")
                if dots >= _DEEPEST:
                    raise TooDeepError(number)
                place += 1


def _keys(text: str, number: int) -> tuple[list[str], str]:
    """Split a dotted key, and return what follows it."""
    found: list[str] = []
    while (part := _KEY.match(text)) is not None:
        found.append(next(one for one in part.groups() if one is not None))
        if len(found) > _DEEPEST:
            raise TooDeepError(number)
        text = text[part.end() :]
        if not text.startswith("."):
            break
        text = text[1:]
    return found, text
