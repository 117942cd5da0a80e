"""Routes: what other facts of a sheet make of a quantity, where they contradict those that were followed."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from chalkwatt.errors import ChalkwattError
from chalkwatt.quantities import look_up
from chalkwatt.rendering.numbers import with_unit
from chalkwatt.spread import Interval

if TYPE_CHECKING:
    from chalkwatt.finding import Finding
    from chalkwatt.sheets.conflicts import Conflict

__all__ = ["Route", "other_routes"]

_SAME = 1e-9  # relative


@dataclass(frozen=True)
class Route:
    """Another way to the same quantity.

    Attributes
    ----------
    quantity : str
    si : float
        What it gives at the stated values.
    interval : Interval or None
    through : tuple of str
        What it rests on and the followed way does not.
    """

    quantity: str
    si: float
    interval: Interval | None
    through: tuple[str, ...]

    def text_in(self, label: str) -> str:
        """Say what it gives in a unit."""
        if self.interval is not None:
            return self.interval.text_in(label)
        return "about " + with_unit(float(look_up(self.quantity).in_unit(self.si, label)), label, 3)


def other_routes(finding: Finding) -> tuple[Route, ...]:
    """Return the ways that contradicting facts open, each where one that was followed is left out.

    Parameters
    ----------
    finding : Finding

    Returns
    -------
    tuple of Route
        Without those that give the same; empty where no facts contradict each other.
    """
    made: dict[tuple[str, ...], Route] = {}
    for conflict in finding.conflicts:
        route = _stated(finding) if finding.wanted in conflict.involved else None
        route = route or _around(finding, conflict)
        if route is not None and abs(route.si - finding.si) > _SAME * abs(finding.si):
            made.setdefault(route.through, route)
    return tuple(made.values())


def _stated(finding: Finding) -> Route | None:
    """Return what the sheet itself states of the wanted quantity."""
    fact = finding.choice.facts.get(finding.wanted)
    if fact is None:
        return None
    span = None if fact.exact else Interval(fact.name, fact.low, fact.high, 1.0)
    return Route(fact.name, fact.si, span, (fact.name,))


def _around(finding: Finding, conflict: Conflict) -> Route | None:
    """Leave out what deserves least trust of the followed facts, and see which way that opens."""
    from chalkwatt.finding import find
    from chalkwatt.sheets.choosing import by_trust, choose

    choice = finding.choice
    followed = {
        name: finding.facts[name]
        for name in conflict.involved
        if name in finding.facts and name not in choice.conditions
    }
    for name in reversed(by_trust(followed, choice.topic)):
        less = {one: fact for one, fact in choice.facts.items() if one != name}
        try:
            way = choose(less, finding.wanted, choice.conditions, choice.topic)
            other = find(way, finding.columns, finding.draws)
        except ChalkwattError:
            continue  # without it there is no way at all, or none that has an answer
        through = tuple(one for one in other.facts if one not in finding.facts)
        if through:  # and not only a standing value in its place
            return Route(finding.wanted, other.si, other.interval, through)
    return None
