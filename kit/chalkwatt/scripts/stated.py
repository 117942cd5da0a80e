"""Numbers that prose may rest on: a value, how far it may be off, and the unit a person chose."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Protocol, TypeAlias

import numpy as np

from chalkwatt.answering.answers import Answer
from chalkwatt.answering.driven import how_driven
from chalkwatt.errors import ChalkwattError
from chalkwatt.evidence.claims.telling import assumed
from chalkwatt.evidence.finding import Finding
from chalkwatt.evidence.sheets.facts import Fact
from chalkwatt.laws.quantities import look_up
from chalkwatt.rendering.working import unit_for

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Sequence

    from chalkwatt.evidence.claims.claims import Claim
    from chalkwatt.evidence.claims.valueless import ValuelessVerdict
    from chalkwatt.evidence.claims.variants import VariantVerdict
    from chalkwatt.evidence.claims.verdicts import Verdict
    from chalkwatt.wording.given import Given

__all__ = ["Stated", "stated", "stated_all"]


class Asked(Protocol):
    """A sheet, or what stands in for one."""

    @property
    def name(self) -> str:
        """Of the vehicle."""

    @property
    def invented(self) -> bool:
        """Whether it says that it is."""

    @property
    def claims(self) -> Sequence[Claim]:
        """What is claimed."""

    @property
    def facts(self) -> Mapping[str, Fact]:
        """What it states."""

    @property
    def find(self) -> Callable[..., Finding]:
        """Answer a question."""

    @property
    def judge(self) -> Callable[..., Verdict | ValuelessVerdict | VariantVerdict]:
        """Test a claim."""

    @property
    def follow(self) -> Callable[[], Mapping[str, Finding]]:
        """Derive all that can be."""


# What one number can be read from, and several.
Number: TypeAlias = "Stated | Answer | Fact | Given"
Numbers: TypeAlias = "Asked | Mapping[str, Number]"


@dataclass(frozen=True)
class Stated:
    """One quantity's number, in SI units, with the ends of its spread and the unit to say it in.

    ``driven`` is the drive for which it holds, and ``notes`` are what has to be said beside it.
    """

    name: str
    si: float
    low: float
    high: float
    label: str
    driven: str = ""
    notes: tuple[str, ...] = ()

    @property
    def exact(self) -> bool:
        """Whether no spread is known."""
        return self.low == self.high

    def in_unit(self, label: str) -> tuple[float, float, float]:
        """Return value, low and high in a unit."""
        entry = look_up(self.name)
        value, low, high = (
            float(entry.in_unit(one, label)) for one in (self.si, self.low, self.high)
        )
        return value, low, high


def stated(name: str, given: Number) -> Stated:
    """Read one number.

    Parameters
    ----------
    name : str
        The quantity.
    given : Answer, Finding, Fact, Stated, number, str or pint quantity
        A bare number is in SI units.

    Returns
    -------
    Stated

    Raises
    ------
    ChalkwattError
        If it is an array, or cannot be read.

    Examples
    --------
    >>> from chalkwatt.scripts.stated import stated
    >>> stated("speed", "110 km/h").label
    'km/h'
    """
    if isinstance(given, Stated):
        return given
    if isinstance(given, Answer):
        if np.ndim(given.si):
            raise ChalkwattError(
                f"{name} is an array of {np.size(given.si)} values, and prose says one.",
                quantity=name,
                advice="Ask again with single numbers.",
            )
        span = getattr(given, "interval", None)
        low, high = (given.si, given.si) if span is None else (span.low, span.high)
        return Stated(
            name,
            float(given.si),
            float(low),
            float(high),
            given.unit,
            how_driven(given),
            (*given.notes, *(assumed(given) if isinstance(given, Finding) else ())),
        )
    if isinstance(given, Fact):
        return Stated(name, given.si, given.low, given.high, unit_for(name, given.label or None))
    si = look_up(name).read(given)
    if np.ndim(si):
        raise ChalkwattError(f"{name} needs one number, not several.", quantity=name, value=given)
    label = look_up(name).label_of(given)
    return Stated(name, float(si), float(si), float(si), unit_for(name, label))


def stated_all(numbers: Numbers, names: Iterable[str] | None = None) -> dict[str, Stated]:
    """Read every number of a sheet or a mapping.

    Parameters
    ----------
    numbers : Sheet, or mapping of str to what :func:`stated` reads
    names : iterable of str, optional
        Only these; of a sheet, what it does not state is solved for. All that it states or that
        follows from it if left out.

    Returns
    -------
    dict of str to Stated

    Raises
    ------
    ChalkwattError
        If one of the names is neither there nor follows.
    """
    wanted = None if names is None else tuple(names)
    if isinstance(numbers, Mapping):
        found = {str(name): one for name, one in numbers.items()}
        for name in found if wanted is None else wanted:
            look_up(name, found)
        return {name: stated(name, found[name]) for name in (found if wanted is None else wanted)}
    if not hasattr(numbers, "facts"):
        raise ChalkwattError(
            f"{numbers!r:.60} holds no numbers.",
            value=numbers,
            advice='Give a sheet, or a mapping such as {"mass": "700 kg"}.',
        )
    facts: Mapping[str, Any] = numbers.facts
    if wanted is not None:
        return {
            one: stated(one, facts[one] if one in facts else numbers.find(one)) for one in wanted
        }
    return {
        **{name: stated(name, finding) for name, finding in numbers.follow().items()},
        **{name: stated(name, fact) for name, fact in facts.items()},
    }
