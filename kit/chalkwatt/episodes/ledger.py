"""The ledger of an episode: from what each of its files was made, and which numbers it shows.

It lies in the episode's folder as ``episode.json``. A file is made again when what it rests on has
changed, or when it is not any more what was written. What the ledger says is checked before it is
believed; what makes no sense counts as none, and is made anew.
"""

from __future__ import annotations

import hashlib
import json
import math
import re
from dataclasses import asdict, dataclass, field
from functools import cache
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path
from typing import TYPE_CHECKING, Any

from chalkwatt.episodes.changes import Change
from chalkwatt.store import write_text
from chalkwatt.wording import units

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

__all__ = ["LEDGER", "Entry", "Filed", "Ledger", "Number", "Shown", "digest", "tool_digest"]

LEDGER = "episode.json"
_FORM = 1
_PAIR = 2
# What a file may do to its reader: wrong kinds, missing names, numbers beyond all bounds.
_SENSELESS = (ArithmeticError, AttributeError, LookupError, RecursionError, TypeError, ValueError)
_LIBRARIES = ("jinja2", "matplotlib", "numpy", "pillow", "scipy", "sympy", "ziamath")
_SAFE_PART = re.compile(r"[A-Za-z0-9_][\w.-]*", re.ASCII)


@dataclass(frozen=True)
class Number:
    """A number of an episode, in SI units; ``low`` and ``high`` differ where it has a spread.

    ``entry`` is the quantity, or empty for what is none, such as the chance of a claim; ``label``
    is the unit in which it is written. ``about`` tells what of a claim it is, by what is claimed: the
    claim's place on the sheet, by which it is called, changes with every claim that comes or goes.
    """

    words: str
    si: float
    low: float
    high: float
    entry: str = ""
    label: str = ""
    about: str = ""


@dataclass(frozen=True)
class Shown:
    """A number as a file shows it: with its spread or without, and for a script where and how."""

    name: str
    si: float
    spread: bool = False
    line: int = 0
    text: str = ""


@dataclass(frozen=True)
class Filed:
    """A file that was made: its digest, the picture in words, and the numbers that it shows."""

    digest: str
    alt: str = ""
    shows: tuple[Shown, ...] = ()


@dataclass(frozen=True)
class Entry:
    """A product: the digest of what it was made from, its files, and the facts that it rests on."""

    key: str
    files: dict[str, Filed]
    rests_on: tuple[str, ...] = ()


@dataclass
class Ledger:
    """All entries, and how things stood when the episode was last complete.

    Attributes
    ----------
    whole : str
        Digest of everything that the last complete episode was made from; empty if there is none.
    entries : dict of str to Entry
    numbers : dict of str to Number
        Of the last complete episode.
    carriers : dict of str to tuple of Shown
        Its files and the numbers that they show.
    changes : list of dict
        The list of changes as last written.
    kept : list of str
        Files that somebody has changed, and beside which the episode's own are put.
    texts : dict of str to list of str
        For a file into which changes by hand are merged: the text that those were made to, and the
        text that was made last.
    garbled : bool
        Whether something in the file made no sense; that counts as not there.
    """

    whole: str = ""
    entries: dict[str, Entry] = field(default_factory=dict)
    numbers: dict[str, Number] = field(default_factory=dict)
    carriers: dict[str, tuple[Shown, ...]] = field(default_factory=dict)
    changes: list[dict[str, Any]] = field(default_factory=list)
    kept: list[str] = field(default_factory=list)
    texts: dict[str, list[str]] = field(default_factory=dict)
    garbled: bool = field(default=False, compare=False)

    @classmethod
    def read(cls, folder: Path) -> Ledger:
        """Read the ledger of a folder; an empty one if there is none that makes sense."""
        try:
            text = (folder / LEDGER).read_text(encoding="utf-8")
        except (OSError, ValueError):
            return cls(garbled=(folder / LEDGER).exists())
        try:
            raw = json.loads(text)
            if raw["form"] != _FORM:
                return cls(garbled=True)
            return cls._of(raw)
        except _SENSELESS:
            return cls(garbled=True)

    @classmethod
    def _of(cls, raw: Mapping[str, Any]) -> Ledger:
        made = cls(str(raw["whole"]))
        for name, one in raw["entries"].items():
            try:
                made.entries[str(name)] = _entry(one)
            except _SENSELESS:
                made.garbled = True
        try:
            made.numbers = {str(name): _number(one) for name, one in raw["numbers"].items()}
            made.carriers = {str(path): _shown(shows) for path, shows in raw["carriers"].items()}
            made.changes = [Change.of(one).as_dict() for one in raw["changes"]]
        except _SENSELESS:
            made._forget()
        try:
            made.kept = [_inside(path) for path in raw.get("kept", [])]
            made.texts = {
                _inside(path): [str(one) for one in pair]
                for path, pair in raw.get("texts", {}).items()
                if len(pair) == _PAIR
            }
        except _SENSELESS:
            made.kept, made.texts, made.garbled = [], {}, True
        if made.garbled:
            made.whole = ""
        return made

    def _forget(self) -> None:
        """Forget the numbers of last time: nothing is compared with them."""
        self.numbers, self.carriers, self.changes, self.garbled = {}, {}, [], True

    def check_numbers(self) -> None:
        """Forget the numbers if one is of an unknown quantity, or in a unit that is none of it."""
        from chalkwatt.laws.quantities import glossary  # noqa: PLC0415  NumPy is slow to import

        def known(number: Number) -> bool:
            if not number.entry:
                return True
            entry = glossary().get(number.entry)
            return entry is not None and units.measures(number.label, entry.unit)

        if not all(map(known, self.numbers.values())):
            self._forget()

    def write(self, folder: Path) -> None:
        """Write the ledger, whole or not at all."""
        held = {name: one for name, one in asdict(self).items() if name != "garbled"}
        text = json.dumps({"form": _FORM, **held}, sort_keys=True, indent=0)
        write_text(folder / LEDGER, text + "\n")

    def knows(self, path: str) -> bool:
        """Say whether a file is one of the episode, or one that it lies beside."""
        return path in self.kept or any(path in one.files for one in self.entries.values())

    def wrote(self, path: str, content: str) -> bool:
        """Say whether a file with a certain digest is as the episode wrote it."""
        return any(
            one.files[path].digest == content for one in self.entries.values() if path in one.files
        )

    def sound(self, folder: Path, files: Iterable[tuple[str, Filed]] | None = None) -> bool:
        """Say whether files are what was written: all of the ledger's, or those that are given."""
        every = (pair for entry in self.entries.values() for pair in entry.files.items())
        return all(digest_of(folder / path) == filed.digest for path, filed in files or every)


def _entry(raw: Mapping[str, Any]) -> Entry:
    """Read an entry; where what it shows makes no sense, its files are known and made anew."""
    digests = {_inside(path): str(filed["digest"]) for path, filed in raw["files"].items()}
    try:
        return Entry(
            str(raw["key"]),
            {
                path: Filed(digests[path], str(filed["alt"]), _shown(filed["shows"]))
                for path, filed in raw["files"].items()
            },
            tuple(map(str, raw["rests_on"])),
        )
    except _SENSELESS:
        return Entry("", {path: Filed(one) for path, one in digests.items()})


def _shown(raw: Iterable[Mapping[str, Any]]) -> tuple[Shown, ...]:
    return tuple(
        Shown(
            str(one["name"]),
            _finite(one["si"]),
            bool(one["spread"]),
            int(one["line"]),
            str(one["text"]),
        )
        for one in raw
    )


def _number(raw: Mapping[str, Any]) -> Number:
    si, low, high = (_finite(raw[end]) for end in ("si", "low", "high"))
    words, entry, label = (str(raw[one]) for one in ("words", "entry", "label"))
    return Number(words, si, low, high, entry, label, str(raw.get("about", "")))


def _finite(raw: str | float) -> float:
    number = float(raw)
    if not math.isfinite(number):
        raise ValueError(raw)
    return number


def _inside(path: object) -> str:
    """Return a path that cannot lead out of the episode's folder."""
    if not isinstance(path, str) or not all(_SAFE_PART.fullmatch(part) for part in path.split("/")):
        raise ValueError(path)
    return str(path)


def digest(*parts: object) -> str:
    """Return a digest of parts, each of them text, a number, or lists of these.

    Examples
    --------
    >>> from chalkwatt.episodes.ledger import digest
    >>> digest("a", ["b", 1.5]) == digest("a", ["b", 1.5]), digest("ab") == digest("a", "b")
    (True, False)
    """
    return hashlib.sha256(json.dumps(parts, sort_keys=True).encode()).hexdigest()[:32]


def digest_of(path: Path) -> str:
    """Return the digest of a file; empty if it is not there."""
    try:
        return digest_of_bytes(path.read_bytes())
    except OSError:
        return ""


def digest_of_bytes(data: bytes) -> str:
    """Return the digest of a file's content."""
    return hashlib.sha256(data).hexdigest()[:32]


@cache
def tool_digest() -> str:
    """Return a digest of the package and of the libraries that draw: another version, other files.

    The package's own files are read, too: whoever changes a relation sees it in the episode.
    """
    made = hashlib.sha256()
    for library in _LIBRARIES:
        try:
            made.update(f"{library} {version(library)}\n".encode())
        except PackageNotFoundError:
            made.update(f"no {library}\n".encode())
    root = Path(__file__).parents[1]
    for path in sorted(root.rglob("*")):
        if path.is_file() and path.suffix != ".pyc":
            made.update(path.relative_to(root).as_posix().encode())
            made.update(path.read_bytes())
    return made.hexdigest()[:32]
