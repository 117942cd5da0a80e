"""Conflicts: facts that cannot all be true, whatever value in its range each of them has.

A fact that the others determine is compared with what they make of it. The facts that meet span a box:
their ranges or, where none is stated, the rounding of what is written. They collide if no point
of the box satisfies the relations. Over a box the extremes of a monotone relation lie on corners;
points inside are tried as well (:mod:`chalkwatt.sheets.boxes`).

What a question takes for granted (:mod:`chalkwatt.sheets.granting`) meets the facts like one of them: no
wind and a level road exactly, sea level and the temperature of the standard atmosphere within what occurs.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING, Any

from chalkwatt.quantities import look_up
from chalkwatt.rendering.numbers import as_percent, format_input
from chalkwatt.rendering.numpy_function import compile_plan
from chalkwatt.sheets.boxes import extremes, stretched
from chalkwatt.sheets.choosing import CIRCUMSTANCES, needed_of, put_in_order, reach
from chalkwatt.sheets.granting import GRANT, granted_facts, stand_ins
from chalkwatt.sheets.moves import Move, moves_of
from chalkwatt.topics.vehicle import vehicle

if TYPE_CHECKING:
    from collections.abc import Collection, Mapping

    from chalkwatt.plans import Plan
    from chalkwatt.sheets.choosing import Order
    from chalkwatt.sheets.facts import Fact

__all__ = ["Conflict", "Move", "collisions", "collisions_about"]

_SLACK = 1e-9  # relative; for rounding in the arithmetic
_WHOLE = 1e-6


@dataclass(frozen=True)
class Conflict:
    """Facts that disagree.

    Attributes
    ----------
    kind : {"contradiction", "reserve", "condition", "impossible", "not whole"}
        A reserve: the quoted energy of the pack is less than its cells hold by as much as makers usually
        keep back, so it may be the usable energy. Condition: a fact stands against what the question asks
        for. Impossible: a quantity would leave its physical bounds.
    quantity : str
        Where they collide.
    relation : str
        Title of the relation on which they collide.
    stated : float or None
        What the sheet says, in SI units.
    derived : float
        What the other facts make of it.
    apart : float
        Relative difference at the stated values.
    gap : float
        What remains of it when every range is stretched in its favour.
    moves : tuple of Move
        What each fact alone would have to be, the least move first.
    clash : str
        What disagrees, and by how much.
    sentence : str
        That, and what would mend it.
    """

    kind: str
    quantity: str
    relation: str
    stated: float | None
    derived: float
    apart: float
    gap: float
    moves: tuple[Move, ...]
    clash: str
    sentence: str

    @property
    def involved(self) -> tuple[str, ...]:
        """Names of the facts that meet."""
        return tuple(one.fact.name for one in self.moves)


def collisions(facts: Mapping[str, Fact], conditions: Mapping[str, Fact]) -> tuple[Conflict, ...]:
    """Find where facts collide.

    Parameters
    ----------
    facts, conditions : mapping of str to Fact
        Conditions are among the facts and come before them.

    Returns
    -------
    tuple of Conflict
    """
    order = put_in_order(facts, conditions)
    reached = _reached(order)
    return (*_clashes(_key(facts), tuple(conditions)), *_beyond_bounds(facts, order, reached))


def collisions_about(
    facts: Mapping[str, Fact], conditions: Mapping[str, Fact], names: Collection[str]
) -> tuple[Conflict, ...]:
    """Find where facts collide that a question rests on.

    Parameters
    ----------
    facts, conditions : mapping of str to Fact
        Conditions are among the facts and come before them.
    names : collection of str
        What the question rests on, and what it asks for. A condition that changes the vehicle takes the
        place of facts and contradicts none.

    Returns
    -------
    tuple of Conflict
    """
    here = {name for name in names if name not in conditions}
    changed = {name for name in conditions if name not in CIRCUMSTANCES}
    order = put_in_order(facts, conditions)
    near = {
        one
        for relation in vehicle.network.strong
        if here & {*relation.names}
        for one in relation.names
        if all(other in facts for other in relation.names if other != one)
    }
    found = (
        *_clashes(_key(facts), tuple(conditions)),
        *_beyond_bounds(facts, order, near & _reached(order)),
    )
    return tuple(
        one
        for one in found
        if here & {*one.involved, one.quantity} and not changed & {*one.involved}
    )


def _key(facts: Mapping[str, Fact]) -> tuple[Fact, ...]:
    return tuple(facts[name] for name in sorted(facts) if name in vehicle.network.names)


def _reached(order: Order) -> frozenset[str]:
    # What rests on a standing value alone is no contradiction between facts.
    return reach(frozenset(order.taken)) if order.taken else frozenset()


@lru_cache(maxsize=64)
def _clashes(stated: tuple[Fact, ...], asked: tuple[str, ...]) -> tuple[Conflict, ...]:
    """Compare every fact that says a thing twice, and every standing value, with what others make of it."""
    facts = {one.name: one for one in stated}
    order = put_in_order(facts, [name for name in asked if name in facts])
    known = (*order.taken, *order.granted)
    granted = granted_facts(order.granted)
    placed, checked = stand_ins({**facts, **granted}, known)
    every = {**facts, **granted, **placed}
    stood = (*known, *(name for name in placed if name not in checked))
    found = [_overruled(facts, name, order) for name in order.stands]
    found += [_checked(every, name, known) for name in order.aside]
    found += [_checked(every, name, stood) for name in checked]
    return tuple(one for one in found if one)


def _beyond_bounds(
    facts: Mapping[str, Fact], order: Order, names: Collection[str]
) -> tuple[Conflict, ...]:
    bad = [
        _possible(facts, name, order.taken)
        for name in vehicle.network.names
        if name in names and name not in facts
    ]
    # One impossible value drags others with it; the first in the order of the relations is the cause.
    return tuple([one for one in bad if one][:1])


def _plan(wanted: str, known: tuple[str, ...]) -> tuple[Plan, tuple[str, ...]] | None:
    return _plan_of(wanted, tuple(sorted(known)))


@lru_cache(maxsize=4096)
def _plan_of(wanted: str, known: tuple[str, ...]) -> tuple[Plan, tuple[str, ...]] | None:
    plan = vehicle.network.plan_if_any(wanted, known)
    if plan is None:
        return None  # structure allows no plan although the gradients do; nothing is compared
    used = needed_of(plan)
    # A way may pass through a fact that cancels out; only those that matter are told of.
    for name in used:
        others = tuple(one for one in used if one != name)
        if others and wanted in reach(frozenset(others)):
            used = others
    short = vehicle.network.plan_if_any(wanted, used)
    return None if short is None else (short, used)


def _checked(facts: Mapping[str, Fact], name: str, taken: tuple[str, ...]) -> Conflict | None:
    found = _plan(name, taken)
    if found is None:
        return None
    plan, used = found
    if not _apart(facts, name, plan, used):
        return None
    involved = (*used, name)
    moves = moves_of(facts, involved, {})
    place = _natural([one for one in involved if facts[one].origin != GRANT], plan)
    others = tuple(one for one in involved if one != place)
    plan = vehicle.network.plan(place, others)
    fact = facts[place]
    derived = _raw(plan, {one: facts[one].si for one in others})
    low, high = extremes(plan, [facts[one] for one in others], grains=True)
    floor, ceiling = stretched(fact)
    size = max(abs(fact.si), abs(derived)) or 1.0
    apart = abs(derived - fact.si) / size
    gap = max(low - ceiling, floor - high) / size if math.isfinite(low) else apart
    kind = _kind(facts, moves) if place == "pack_energy" else "contradiction"
    relation = plan.steps[-1].relations[0].title
    clash = _clash(fact, "the other facts make", derived, apart=apart, relation=relation)
    sentence = f"{clash} {_mending(kind, moves)}"
    return Conflict(kind, place, relation, fact.si, derived, apart, gap, moves, clash, sentence)


def _overruled(facts: Mapping[str, Fact], name: str, order: Order) -> Conflict | None:
    """Check a fact that stands although the conditions, with standing values, would have it otherwise."""
    others = tuple(one for one in order.taken if one != name)
    found = _plan(name, others)
    if found is None or not _apart(facts, name, *found):
        return None
    plan, used = found
    fact = facts[name]
    derived = _raw(plan, {one: facts[one].si for one in used})
    low, high = extremes(plan, [facts[one] for one in used], grains=True)
    floor, ceiling = stretched(fact)
    size = max(abs(fact.si), abs(derived)) or 1.0
    apart = abs(derived - fact.si) / size
    gap = max(low - ceiling, floor - high) / size if math.isfinite(low) else apart
    relation = plan.steps[-1].relations[0].title
    told = " and ".join(
        f"the {look_up(one).words} of {facts[one].text} asked for" for one in order.stands[name]
    )
    verb = "makes" if len(order.stands[name]) == 1 else "make"
    clash = _clash(fact, f"{told} {verb}", derived, apart=apart, relation=relation)
    moves = moves_of(facts, (*used, name), {})
    sentence = (
        f"{clash} What is {fact.origin} was reckoned with; state it as assumed to let it give way."
    )
    return Conflict(
        "condition", name, relation, fact.si, derived, apart, gap, moves, clash, sentence
    )


def _apart(facts: Mapping[str, Fact], name: str, plan: Plan, used: tuple[str, ...]) -> bool:
    """Say whether no point of the box satisfies the relations."""
    fact = facts[name]
    low, high = extremes(plan, [facts[one] for one in used], grains=True)
    floor, ceiling = stretched(fact)
    slack = _SLACK * max(abs(fact.si), abs(fact.low), abs(fact.high))
    return not (math.isfinite(low) and low <= ceiling + slack and high >= floor - slack)


def _natural(involved: list[str], plan: Plan) -> str:
    """Return the quantity at which people would look for the collision: the most derived one."""
    for relation in reversed(plan.relations):
        left = relation.sides[0]
        if left in involved:
            return str(left)
    return involved[-1]


def _kind(facts: Mapping[str, Fact], moves: tuple[Move, ...]) -> str:
    """Tell a reserve from a contradiction: makers quote less than the cells hold, never more."""
    usual = look_up("usable_fraction").usual[0] * 0.9
    for one in moves:
        if one.fact.name == "pack_energy" and one.needed is not None:
            stated = facts["pack_energy"].si
            return "reserve" if usual * one.needed <= stated < one.needed else "contradiction"
    return "contradiction"


def _clash(fact: Fact, by: str, derived: float, *, apart: float, relation: str) -> str:
    how = {"asked": "asked for", GRANT: "taken for granted"}.get(fact.origin, fact.origin)
    return (
        f"The {look_up(fact.name).words} is {how} as {fact.text}, but {by} it "
        f"{fact.text_of(derived, 4)}, {as_percent(apart)} apart (“{relation}”)."
    )


def _mending(kind: str, moves: tuple[Move, ...]) -> str:
    if kind == "reserve":
        return (
            "That may be a reserve: the cells hold more than is quoted, as they do where only "
            f"the usable part is. Or one of them has to move: {_ways(moves)}."
        )
    return f"One of them has to move: {_ways(moves)}."


def _ways(moves: tuple[Move, ...]) -> str:
    return "; ".join(one.text for one in moves if one.needed is not None) or "none alone would do"


def _possible(facts: Mapping[str, Fact], name: str, taken: tuple[str, ...]) -> Conflict | None:
    """Check that a derived quantity has a physical value, and a count a whole one."""
    found = _plan(name, taken)
    if found is None:
        return None
    plan, used = found
    entry = look_up(name)
    here = [facts[one] for one in used]
    if entry.whole and all(look_up(one.name).whole and one.exact for one in here):
        return _whole(facts, name, plan, used)
    low, _ = extremes(plan, here, grains=True)
    if math.isfinite(low):
        return None
    raw = _raw(plan, {one.name: one.si for one in here})
    if not math.isfinite(raw):
        return None
    limit = entry.bounds[0] if raw <= entry.bounds[0] else entry.bounds[1]
    moves = moves_of(facts, used, {name: limit} if entry.inside(limit) else {})
    return _impossible("impossible", name, plan, raw=raw, limit=limit, moves=moves)


def _raw(plan: Plan, values: Mapping[str, float]) -> float:
    """Return what a plan gives, whether or not its last step stays within physical bounds."""
    endings: list[Any] = []
    branches = compile_plan(plan).branches(values, endings)
    if branches:
        return float(branches[0].values[plan.wanted])
    return next(
        (one.value for one in endings if one.step.find == plan.wanted and one.reason == "bounds"),
        math.nan,
    )


def _whole(
    facts: Mapping[str, Fact], name: str, plan: Plan, used: tuple[str, ...]
) -> Conflict | None:
    made = float(compile_plan(plan)(**{one: facts[one].si for one in used}))
    if not math.isfinite(made) or abs(made - round(made)) <= _WHOLE * max(made, 1.0):
        return None
    near = float(round(made))
    return _impossible(
        "not whole", name, plan, raw=made, limit=near, moves=moves_of(facts, used, {name: near})
    )


def _impossible(
    kind: str, name: str, plan: Plan, *, raw: float, limit: float, moves: tuple[Move, ...]
) -> Conflict:
    entry = look_up(name)
    unit = entry.display[0]
    relation = plan.steps[-1].relations[0].title
    shown, edge = (
        f"{format_input(float(entry.in_unit(one)), 4)} {unit}".rstrip() for one in (raw, limit)
    )
    why = "which is no whole number" if kind == "not whole" else f"beyond its limit of {edge}"
    clash = f"The facts make the {entry.words} {shown}, {why} (“{relation}”)."
    sentence = f"{clash} {_mending(kind, moves)}"
    size = max(abs(raw), abs(limit)) or 1.0
    apart = abs(raw - limit) / size
    return Conflict(kind, name, relation, None, raw, apart, apart, moves, clash, sentence)
