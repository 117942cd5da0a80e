"""What changed since last time: each number, old and new, and everything that carries it.

An erratum is written from this list.
"""

from __future__ import annotations

import math
import re
from dataclasses import asdict, dataclass, replace
from typing import TYPE_CHECKING, Any

from chalkwatt.wording.numbers import format_alike

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from chalkwatt.episodes.ledger import Number, Shown

__all__ = ["Change", "changes_between", "changes_text", "other_numbers", "shows"]

_SAME = 1e-9  # relative; less is rounding in the last digits
_DIGITS = range(4, 13)
_BESIDE = re.compile(r"\.new(\.[a-z]+)$")
_CLAIM = re.compile(r"claims/(\d+)-(.*)")
_SHOWN_TEXT = 60  # letters of a script's line


@dataclass(frozen=True)
class Change:
    """One number that changed.

    Attributes
    ----------
    name : str
        The number, as the ledger calls it.
    words : str
        The number, as people call it.
    old, new : str
        With unit, and with the spread where it has one; empty where the number is new, or gone.
    where : tuple of str
        Every card, page and line of the script that carries it.
    """

    name: str
    words: str
    old: str
    new: str
    where: tuple[str, ...]

    @property
    def text(self) -> str:
        """The change as one line of text."""
        if not self.old:
            return f"{self.words}: new, {self.new}"
        if not self.new:
            return f"{self.words}: gone, was {self.old}"
        return f"{self.words}: {self.old} → {self.new}"

    def as_dict(self) -> dict[str, Any]:
        """Return the fields, for the ledger."""
        return {**asdict(self), "where": list(self.where)}

    @classmethod
    def of(cls, raw: Mapping[str, Any]) -> Change:
        """Make one from the ledger's fields."""
        name, words, old, new = (str(raw[one]) for one in ("name", "words", "old", "new"))
        return cls(name, words, old, new, tuple(map(str, raw["where"])))


def changes_between(
    before: Mapping[str, Number],
    after: Mapping[str, Number],
    carried_before: Mapping[str, Iterable[Shown]],
    carried: Mapping[str, Iterable[Shown]],
) -> tuple[Change, ...]:
    """Compare two states of an episode.

    Parameters
    ----------
    before, after : mapping of str to Number
    carried_before, carried : mapping of str to iterable of Shown
        The numbers that each file shows.

    Returns
    -------
    tuple of Change
        In the order of the numbers as they are now, then those that are gone.
    """
    made = []
    earlier = _paired(before, after)
    for name, new in after.items():
        old = before.get(earlier.get(name, ""))
        if old is not None and _same(old, new):
            continue
        # Where only the ends of a spread moved, what shows the number alone has not changed.
        moved = old is None or not _close(old.si, new.si)
        where = _carriers(name, new, carried, spread_only=not moved)
        texts = ("", number_text(new)) if old is None else _texts(old, new)
        made.append(Change(name, new.words, *texts, where))
    paired = {*earlier.values()}
    for name, old in before.items():
        if name not in paired:
            where = _carriers(name, old, carried_before, spread_only=False)
            made.append(Change(name, old.words, number_text(old), "", where))
    return _told_once(made)


def _told_once(changes: Iterable[Change]) -> tuple[Change, ...]:
    """Put changes of which the same line tells together, with all that carries them."""
    told: dict[str, Change] = {}
    for one in changes:
        before = told.get(one.text)
        where = one.where if before is None else (*before.where, *one.where)
        told[one.text] = replace(before or one, where=tuple(dict.fromkeys(where)))
    return tuple(told.values())


def _paired(before: Mapping[str, Number], after: Mapping[str, Number]) -> dict[str, str]:
    """Return what each number was called before: a claim's by what is claimed, others by their name."""
    by_claim = {number.about: name for name, number in before.items() if number.about}
    made: dict[str, str] = {}
    for name, number in after.items():
        if number.about and by_claim:
            if number.about in by_claim:
                made[name] = by_claim[number.about]
        elif name in before:
            made[name] = name
    return made


def _close(one: float, other: float) -> bool:
    return math.isclose(one, other, rel_tol=_SAME)


def _same(old: Number, new: Number) -> bool:
    pairs = ((old.si, new.si), (old.low, new.low), (old.high, new.high))
    return all(_close(*pair) for pair in pairs)


def shows(shown: Shown, name: str, number: Number) -> bool:
    """Say whether a file shows a number: the same value of its quantity, or one of its name."""
    if shown.name == number.entry:
        return _close(shown.si, number.si)
    return shown.name == name


def _carriers(
    name: str, number: Number, carried: Mapping[str, Iterable[Shown]], *, spread_only: bool
) -> tuple[str, ...]:
    found = (
        place(path, one)
        for path, every in carried.items()
        for one in every
        if shows(one, name, number) and (one.spread or not spread_only)
    )
    return tuple(dict.fromkeys(found))


def place(path: str, shown: Shown) -> str:
    """Name a place: the file, and in a script the line and its words."""
    if not shown.line:
        return path
    text = shown.text if len(shown.text) <= _SHOWN_TEXT else f"{shown.text[:_SHOWN_TEXT]}…"
    return f"{path}, line {shown.line}: “{text}”"


def number_text(number: Number, digits: int = 4) -> str:
    """Write a number with its unit, and its spread where it has one."""

    def in_unit(si: float) -> float:
        if not number.entry:
            return si
        from chalkwatt.laws.quantities import look_up  # noqa: PLC0415  NumPy is slow to import

        return float(look_up(number.entry).in_unit(si, number.label))

    numbers = [number.si] if number.low == number.high else [number.si, number.low, number.high]
    value, *ends = format_alike([in_unit(one) for one in numbers], digits)
    text = f"{value} {number.label}".rstrip()
    return f"{text} ({' to '.join(ends)})" if ends else text


def _texts(old: Number, new: Number) -> tuple[str, str]:
    """Write both with as many digits as it takes to tell them apart."""
    for digits in _DIGITS:
        texts = number_text(old, digits), number_text(new, digits)
        if texts[0] != texts[1]:
            break
    return texts


def changes_text(changes: Iterable[Change], yours: Iterable[str] = ()) -> str:
    """Write the list of changes as Markdown.

    Parameters
    ----------
    changes : iterable of Change
    yours : iterable of str
        What was done about files that were changed by hand, a sentence each.

    Returns
    -------
    str

    Examples
    --------
    >>> from chalkwatt.episodes.changes import Change, changes_text
    >>> print(changes_text([Change("mass", "mass", "690 kg", "700 kg", ("cards/range.png",))]))
    # What changed last
    <BLANKLINE>
    - mass: 690 kg → 700 kg
        - cards/range.png
    <BLANKLINE>
    """
    lines = ["# What changed last", ""]
    listed = list(changes)
    kept = list(yours)
    if not listed:
        lines.append("No number has changed since the first time.")
    from chalkwatt.scripts.judged import readable  # noqa: PLC0415  SymPy is slow to import
    from chalkwatt.scripts.script import as_words  # noqa: PLC0415  SymPy is slow to import

    def words(text: str) -> str:
        return readable(as_words(text)).replace("\\_", "_")

    for change in listed:
        lines.append(f"- {words(change.text)}")
        lines += [f"    - {words(where)}" for where in change.where]
        if not change.where:
            lines.append("    - nothing carries it")
    if kept:
        lines += ["", "# What you changed by hand", "", *(f"- {words(one)}" for one in kept)]
    return "\n".join([*lines, ""])


def other_numbers(
    numbers: Mapping[str, Number], carriers: Mapping[str, Iterable[Shown]]
) -> dict[str, Number]:
    """Return the numbers that a file shows and nothing else of the episode knows."""
    from chalkwatt.episodes.ledger import Number  # noqa: PLC0415  the ledger builds on this page
    from chalkwatt.laws.quantities import glossary  # noqa: PLC0415  NumPy is slow to import
    from chalkwatt.rendering.working import unit_for  # noqa: PLC0415  NumPy is slow to import

    made: dict[str, Number] = {}
    for written, every in carriers.items():
        # What lies beside a file that was changed by hand counts as that file.
        path = _BESIDE.sub(r"\1", written)
        claim = _CLAIM.match(path)
        about = (
            numbers[f"claim {claim[1]}"].about if claim and f"claim {claim[1]}" in numbers else ""
        )
        for one in every:
            entry = glossary().get(one.name)
            if entry is None or entry.constant is not None:
                continue
            if any(shows(one, name, number) for name, number in numbers.items()):
                continue
            count = sum(name.startswith(f"{one.name} in {path}") for name in made) + 1
            name = f"{one.name} in {path}" + (f", {count}" if count > 1 else "")
            words = f"{entry.words}, as in {path}" + (f", {count}" if count > 1 else "")
            label = unit_for(one.name, None)
            same = f"{about}; {one.name}{claim[2]}, {count}" if about and claim else ""
            made[name] = Number(words, one.si, one.si, one.si, one.name, label, same)
    return made
