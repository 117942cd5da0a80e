"""Routes: what other facts of a sheet make of a quantity, where they contradict those that were followed."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from chalkwatt.errors import ChalkwattError
from chalkwatt.evidence.finding import find
from chalkwatt.evidence.sheets.choosing import by_trust, choose
from chalkwatt.evidence.sheets.facts import ORIGINS, Fact
from chalkwatt.evidence.spread.draws import Interval
from chalkwatt.laws.quantities import look_up
from chalkwatt.topics.vehicle import vehicle
from chalkwatt.wording.numbers import with_unit

if TYPE_CHECKING:
    from chalkwatt.evidence.finding import Finding
    from chalkwatt.evidence.sheets.conflicts import Conflict

__all__ = ["Route", "decided_by_trust", "other_routes", "trust_of"]

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
    outdone : bool
        Whether it deserves less trust than the followed way, so that this decides.
    """

    quantity: str
    si: float
    interval: Interval | None
    through: tuple[str, ...]
    outdone: bool = False

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
    other = finding.other
    if other is not None:
        through = tuple(other.facts)
        outdone = all(decided_by_trust(finding, one) for one in finding.conflicts)
        alone = Route(other.wanted, other.si, other.interval, through, outdone)
        return (alone,) if finding.conflicts else ()
    for conflict in finding.conflicts:
        route = _stated(finding) if finding.wanted in conflict.involved else None
        route = route or _restored(finding, conflict)
        route = route or _by_derived(finding, conflict) or _around(finding, conflict)
        route = route or _by_the_other_side(finding, conflict)
        if route is not None and abs(route.si - finding.si) > _SAME * abs(finding.si):
            # One way may answer to several contradictions: it is outdone where each of them is.
            before = made.get(route.through)
            outdone = decided_by_trust(finding, conflict) and (before is None or before.outdone)
            made[route.through] = replace(before or route, outdone=outdone)
    return tuple(made.values())


def trust_of(finding: Finding, conflict: Conflict) -> tuple[list[int], list[int]]:
    """Return the ranks of the origins of facts that collide: of those that a finding rests on, and of the others.

    Parameters
    ----------
    finding : Finding
    conflict : Conflict

    Returns
    -------
    tuple of list of int
        Nought is the most trustworthy; without what is asked for, derived or taken for granted.
    """
    behind = [other for one in finding.facts.values() for other in getattr(one, "behind", ())]
    rests = {(one.name, one.origin) for one in (*finding.facts.values(), *behind)}
    stated = [move.fact for move in conflict.moves if move.fact.origin in ORIGINS]
    followed = [ORIGINS.index(one.origin) for one in stated if (one.name, one.origin) in rests]
    others = [ORIGINS.index(one.origin) for one in stated if (one.name, one.origin) not in rests]
    return followed, others


def decided_by_trust(finding: Finding, conflict: Conflict) -> bool:
    """Say whether trust decides a contradiction for the followed facts: the others rest on a softer one.

    Parameters
    ----------
    finding : Finding
    conflict : Conflict

    Returns
    -------
    bool
        False where both sides deserve equal trust, or a question that is asked for decided and not trust.
    """
    followed, others = trust_of(finding, conflict)
    if not followed or not others:
        return False
    return max(followed) <= min(others) and max(followed) < max(others)


def _stated(finding: Finding) -> Route | None:
    """Return what the sheet itself states of the wanted quantity."""
    fact = finding.choice.facts.get(finding.wanted)
    if fact is None:
        return None
    span = None if fact.exact else Interval(fact.name, fact.low, fact.high, 1.0)
    return Route(fact.name, fact.si, span, (fact.name,))


def _restored(finding: Finding, conflict: Conflict) -> Route | None:
    """Take a fact back that was set aside as beyond a limit, and leave out another that meets it there."""
    choice, (first, *others) = finding.choice, conflict.moves
    name = first.fact.name
    if name in choice.facts or name in choice.conditions or first.fact.origin not in ORIGINS:
        return None
    met = {one.fact.name: one.fact for one in others if one.fact.name not in choice.conditions}
    for less in reversed(by_trust(met, choice.topic)):
        kept = {one: fact for one, fact in choice.facts.items() if one != less}
        try:
            way = choose(
                {**kept, name: first.fact},
                finding.wanted,
                choice.conditions,
                choice.topic,
                reason=False,
            )
            other = find(way, finding.columns, finding.draws)
        except ChalkwattError:
            continue
        if name in other.facts:
            return Route(finding.wanted, other.si, other.interval, (name,))
    return None


def _by_derived(finding: Finding, conflict: Conflict) -> Route | None:
    """Take what follows from pack and road as the contradicting facts would have it, or in their place."""
    choice, met = finding.choice, {*conflict.involved}
    for move in conflict.moves:
        name, fact = move.fact.name, move.fact
        if fact.origin != "derived" or name in finding.facts:
            route = _by_stated(finding, fact)
            if route is None:
                continue
            return route
        kept, fixed = choice.facts, {}
        if choice.topic is not vehicle:
            kept = {one: other for one, other in kept.items() if one not in met}
            values = getattr(fact, "values", None)
            fixed = {} if values is None else {name: values}
        elif move.needed is not None:
            fact = Fact(name, move.needed, move.needed, move.needed, origin="asked")
        try:
            # What it rests on is among its conditions, and says nothing beside it.
            way = choose(
                kept, finding.wanted, {**choice.conditions, name: fact}, choice.topic, reason=False
            )
            other = find(way, finding.columns, finding.draws, fixed)
        except ChalkwattError:
            continue
        if name in other.facts:
            stated = tuple(one.fact.name for one in conflict.moves if one.fact.origin in ORIGINS)
            through = stated if choice.topic is vehicle else (name,)
            return Route(finding.wanted, other.si, other.interval, through)
    return None


def _by_stated(finding: Finding, fact: Fact) -> Route | None:
    """Take what a sheet states in place of what follows from its other facts, where that was followed."""
    choice, name = finding.choice, fact.name
    followed = finding.facts.get(name)
    if followed is None or followed.origin != "derived" or fact.origin not in ORIGINS:
        return None
    try:
        way = choose(
            {**choice.facts, name: fact},
            finding.wanted,
            choice.conditions,
            choice.topic,
            reason=False,
        )
        other = find(way, finding.columns, finding.draws)
    except ChalkwattError:
        return None
    return Route(finding.wanted, other.si, other.interval, (name,)) if name in other.facts else None


def _by_the_other_side(finding: Finding, conflict: Conflict) -> Route | None:
    """Take a fact as pack and road would have it by the other side, where the topic that was asked knows no more."""
    choice = finding.choice
    if choice.topic is vehicle:
        return None
    needed = {one.fact.name: one.needed for one in conflict.moves}
    if conflict.stated is not None:
        followed = finding.facts.get(conflict.quantity)
        if followed is not None:
            near = abs(followed.si - conflict.stated) <= abs(followed.si - conflict.derived)
            needed[conflict.quantity] = conflict.derived if near else conflict.stated
    through = [one.fact.name for one in conflict.moves if one.fact.origin in ORIGINS]
    for name in sorted(needed, key=lambda one: one != conflict.quantity):
        si, here = needed[name], name in finding.facts and name not in choice.conditions
        if si is None or not here or not look_up(name).inside(si):
            continue
        fact = Fact(name, si, si, si, origin="asked")
        kept = {one: other for one, other in finding.facts.items() if one not in choice.conditions}
        try:
            way = choose(
                {**kept, name: fact}, finding.wanted, choice.conditions, choice.topic, reason=False
            )
            fixed = {one: values for one, values in finding.fixed.items() if one != name}
            other = find(way, finding.columns, finding.draws, fixed)
        except ChalkwattError:
            continue
        if name in other.facts:
            others = tuple(one for one in through if one not in finding.facts)
            return Route(finding.wanted, other.si, other.interval, others or (name,))
    return None


def _around(finding: Finding, conflict: Conflict) -> Route | None:
    """Leave out a followed fact so that the other side of the contradiction is heard, and see what that gives.

    One side is what is stated of the quantity on which they collide, the other is what makes it. A way on
    which both still stand is none of either: it takes up only the slack that a third value leaves. Of several
    facts that would do the one that deserves least trust is left out.
    """
    choice, contested = finding.choice, conflict.quantity
    followed = {
        name: finding.facts[name]
        for name in conflict.involved
        if name in finding.facts and name not in choice.conditions
    }
    spare: Route | None = None
    ranked = [*reversed(by_trust(followed, choice.topic))]
    for name in sorted(ranked, key=lambda one: one != contested):
        less = {one: fact for one, fact in choice.facts.items() if one != name}
        try:
            way = choose(less, finding.wanted, choice.conditions, choice.topic, reason=False)
            other = find(way, finding.columns, finding.draws)
        except ChalkwattError:
            continue  # without it there is no way at all, or none that has an answer
        through = tuple(one for one in other.facts if one not in finding.facts)
        if name == contested:  # what makes it may have been heard before, by another way
            through = through or tuple(one for one in conflict.involved if one in other.facts)
        if through:  # and not only a standing value in its place
            route = Route(finding.wanted, other.si, other.interval, through)
            if (contested in other.facts) != (contested in finding.facts):
                return route
            spare = spare or route
    return spare
