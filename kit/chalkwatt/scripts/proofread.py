"""Proofreading: which number in prose is supported, which has moved, which has nothing behind it.

Every number with a unit is compared with every quantity that measures the same. A number is
supported if the quantity, within its spread, lies where the wording allows; it has moved if that
was so with the earlier numbers and is not any more.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING

from chalkwatt.calls import checked_call
from chalkwatt.laws.quantities import look_up
from chalkwatt.scripts.saying import Said
from chalkwatt.scripts.spoken_numbers import Mention, find_mentions
from chalkwatt.scripts.stated import Stated, stated_all
from chalkwatt.wording import units
from chalkwatt.wording.audience import for_whom_it_was_made
from chalkwatt.wording.numbers import format_number

if TYPE_CHECKING:
    from collections.abc import Iterable

    from chalkwatt.scripts.stated import Numbers

__all__ = ["Proof", "Remark", "proofread"]

_SLACK = 1e-9  # relative
_FAR = 0.5  # relative; a quantity further off than this is no candidate for what was meant


@dataclass(frozen=True)
class Remark:
    """What is to be said of one number.

    Attributes
    ----------
    mention : Mention
        The number, with line and column.
    verdict : {"supported", "moved", "unsupported"}
    names : tuple of str
        The quantities that support it, or that used to; the one named nearby comes first.
    now : str
        How to say the moved quantity now; empty otherwise.
    nearest : str
        For an unsupported number, the quantity that comes closest, and its value; or empty.
    """

    mention: Mention
    verdict: str
    names: tuple[str, ...] = ()
    now: str = ""
    nearest: str = ""

    @property
    def text(self) -> str:
        """The remark as one line."""
        one = self.mention
        head = f"{one.line}:{one.column}: “{one.text}”"
        if self.verdict == "supported":
            return f"{head} is supported by {' and '.join(self.names)}"
        if self.verdict == "moved":
            return f"{head} has moved: {self.names[0]} is now {self.now}"
        return f"{head} has nothing behind it" + (
            f"; nearest is {self.nearest}" if self.nearest else ""
        )


@dataclass(frozen=True)
class Proof:
    """All remarks on a text, in its order."""

    remarks: tuple[Remark, ...]

    def of(self, verdict: str) -> tuple[Remark, ...]:
        """Return the remarks of one verdict."""
        return tuple(one for one in self.remarks if one.verdict == verdict)

    @property
    def text(self) -> str:
        """One line a number."""
        return "\n".join(one.text for one in self.remarks)

    def __repr__(self) -> str:
        """Show how much of each there is, and what needs a hand."""
        counts = ", ".join(
            f"{len(self.of(verdict))} {verdict}"
            for verdict in ("supported", "moved", "unsupported")
        )
        bad = [one.text for one in self.remarks if one.verdict != "supported"]
        return "\n".join([f"<proof: {counts}>", *bad])


@for_whom_it_was_made
@checked_call
def proofread(text: str, numbers: Numbers, *, before: Numbers | None = None) -> Proof:
    r"""Say of every number in prose what stands behind it.

    Parameters
    ----------
    text : str
        Prose or Markdown.
    numbers : Sheet, or mapping of str to Answer, number, str or pint quantity
        What holds now, by names of quantities.
    before : the same, optional
        What held when the prose was written.

    Returns
    -------
    Proof

    Raises
    ------
    ChalkwattError
        If the numbers cannot be read.

    Examples
    --------
    >>> from chalkwatt.scripts.proofread import proofread
    >>> prose = "It weighs 700 kg.\n\nIt seats 90 kg."
    >>> proofread(prose, {"mass": "720 kg"}, before={"mass": "700 kg"})
    <proof: 0 supported, 1 moved, 1 unsupported>
    1:11: “700 kg” has moved: mass is now 720 kilograms
    3:10: “90 kg” has nothing behind it
    """
    now = _by_dimension(stated_all(numbers).values())
    then = _by_dimension(stated_all(before).values()) if before is not None else {}
    today = {one.name: one for group in now.values() for one in group}
    lines = text.lower().split("\n")
    remarks = []
    for mention in find_mentions(text):
        kind = _dimension(mention.label)
        near = lines[mention.line - 1]
        good = _fitting(mention, now.get(kind, ()), near)
        if good:
            remarks.append(Remark(mention, "supported", good))
            continue
        old = [one for one in _fitting(mention, then.get(kind, ()), near) if one in today]
        if old:
            said = Said(today[old[0]], today[old[0]].label).to(mention.label)
            remarks.append(Remark(mention, "moved", tuple(old), now=said.text))
            continue
        remarks.append(
            Remark(mention, "unsupported", nearest=_nearest(mention, now.get(kind, ()), near))
        )
    return Proof(tuple(remarks))


def _by_dimension(numbers: Iterable[Stated]) -> dict[str, tuple[Stated, ...]]:
    groups: dict[str, list[Stated]] = {}
    for one in numbers:
        groups.setdefault(_dimension(look_up(one.name).unit), []).append(one)
    return {kind: tuple(group) for kind, group in groups.items()}


@cache
def _dimension(label: str) -> str:
    return str(units.quantity(1.0, label, label).dimensionality)


def _fitting(mention: Mention, candidates: Iterable[Stated], near: str) -> tuple[str, ...]:
    """Return the names whose spread meets what the wording allows, those named nearby first."""
    slack = _SLACK * max(abs(mention.low), abs(mention.high))
    names = [
        one.name
        for one in candidates
        if one.low <= mention.high + slack and one.high >= mention.low - slack
    ]
    named = [name for name in names if _named(name, near)]
    return tuple(named) if named else tuple(names)


def _named(name: str, near: str) -> bool:
    return look_up(name).words.lower() in near


def _nearest(mention: Mention, candidates: Iterable[Stated], near: str) -> str:
    ranked = sorted(
        candidates, key=lambda one: (not _named(one.name, near), abs(one.si - mention.si))
    )
    for one in ranked[:1]:
        if abs(one.si - mention.si) <= _FAR * abs(mention.si) or _named(one.name, near):
            shown = format_number(float(look_up(one.name).in_unit(one.si, mention.label)), 3)
            return f"{one.name}, {shown} {mention.label}"
    return ""
