"""Conflicts: facts that cannot all be true, whatever value in its range each of them has.

A fact that the others determine is compared with what they make of it. The facts that meet span a box:
their ranges or, where none is stated, the rounding of what is written. They collide if no point
of the box satisfies the relations. Over a box the extremes of a monotone relation lie on corners;
points inside are tried as well (:mod:`chalkwatt.evidence.spread.boxes`).

What a question takes for granted (:mod:`chalkwatt.evidence.sheets.granting`) meets the facts like one of them: no
wind and a level road exactly, sea level and the temperature of the standard atmosphere within what occurs.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import TYPE_CHECKING, Any

from chalkwatt.evidence.sheets.choosing import (
    CIRCUMSTANCES,
    DRIVEN,
    needed_of,
    put_in_order,
    reach,
)
from chalkwatt.evidence.sheets.effects import follow_from
from chalkwatt.evidence.sheets.facts import ORIGINS
from chalkwatt.evidence.sheets.granting import GRANT, granted_facts, stand_ins
from chalkwatt.evidence.sheets.moves import Move, moves_of
from chalkwatt.evidence.spread.boxes import extremes, stretched
from chalkwatt.laws.quantities import look_up
from chalkwatt.planning.evaluation import compile_plan
from chalkwatt.rendering.phrases import agreeing, amount, several
from chalkwatt.topics.vehicle import vehicle
from chalkwatt.wording.audience import current
from chalkwatt.wording.numbers import as_percent, format_input

if TYPE_CHECKING:
    from collections.abc import Collection, Iterable, Mapping

    from chalkwatt.answering.topic import Topic
    from chalkwatt.evidence.sheets.choosing import Order
    from chalkwatt.evidence.sheets.facts import Fact
    from chalkwatt.planning.plans import Plan
    from chalkwatt.wording.audience import Audience

__all__ = [
    "Conflict",
    "Move",
    "collisions",
    "collisions_about",
    "compared",
    "displaced",
    "is_apart",
    "passed_over",
    "raw_value",
]

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

    @property
    def behind(self) -> tuple[str, ...]:
        """Names of what the facts rest on that follow from pack and road."""
        every = (getattr(one.fact, "behind", ()) for one in self.moves)
        return tuple(dict.fromkeys(fact.name for facts in every for fact in facts))


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
    found = (
        *_clashes(_key(facts), tuple(conditions), current()),
        *_beyond_bounds(facts, order, reached),
    )
    return said_once(found)


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
    rested = {name for name in here if name in facts}
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
        *_clashes(_key(facts), tuple(conditions), current()),
        *_beyond_bounds(facts, order, near & _reached(order)),
    )
    found = found or _short_of(facts, conditions, order, rested)
    return said_once(
        one
        for one in found
        if here & {*one.involved, one.quantity}
        and (
            not changed & {*one.involved}
            # Unless nothing could be reckoned with in the place of what they contradict.
            or (one.kind == "condition" and one.quantity in rested)
        )
    )


def passed_over(
    facts: Mapping[str, Fact], conditions: Mapping[str, Fact], rested: Collection[str], wanted: str
) -> tuple[Conflict, ...]:
    """Find where a fact stands for what a circumstance that is asked for would make otherwise.

    A consumption that is quoted without its speed may hold for any, and stands against no weather that is
    only taken for granted. But whoever asks for a speed means that it has a say: what the other facts make at that
    speed, in the air that a question takes for granted, is held against the quoted value.

    Parameters
    ----------
    facts, conditions : mapping of str to Fact
        Conditions are among the facts and come before them.
    rested : collection of str
        What the question rests on.
    wanted : str

    Returns
    -------
    tuple of Conflict
    """
    idle = [name for name in conditions if name in CIRCUMSTANCES and name not in rested]
    effects = {name: follow_from(vehicle.network, name) for name in idle}
    found = []
    for name in rested:
        told = [one for one in idle if name in effects[one]]
        if not told or name in conditions or facts[name].origin not in ORIGINS:
            continue
        found += [_met_at(facts, tuple(conditions), name, told, wanted)]
    return tuple(one for one in found if one is not None)


def _met_at(
    facts: Mapping[str, Fact],
    conditions: tuple[str, ...],
    name: str,
    asked: Iterable[str],
    wanted: str = "",
) -> Conflict | None:
    """Hold a fact against what the other facts make of it at what is asked for."""
    others = {one: fact for one, fact in facts.items() if one not in {name, wanted}}
    plan = vehicle.network.plan_if_any(name, put_in_order(others, conditions, name).taken)
    used = () if plan is None else needed_of(plan)
    heard = [one for one in asked if one in used]
    if plan is None or not heard:
        return None
    way = replace(plan, known=used)
    anyhow = is_apart(facts, name, way, used)
    if not (anyhow or is_apart(facts, name, way, used, grains=False)):
        return None
    words = " and ".join(amount(one, facts[one].text, "the") for one in heard)
    by = f"with {words} asked for the other facts make"
    return compared(facts, (*used, name), plan, stated=[name], grains=anyhow, by=by)


def said_once(found: Iterable[Conflict]) -> tuple[Conflict, ...]:
    """Tell of every quantity once where it collides, the first way in which it does.

    Parameters
    ----------
    found : iterable of Conflict

    Returns
    -------
    tuple of Conflict
        Each with the moves of all that meet there.
    """
    told: dict[str, Conflict] = {}
    for one in found:
        first = told.setdefault(one.quantity, one)
        more = tuple(move for move in one.moves if move.fact.name not in first.involved)
        if more:
            told[one.quantity] = replace(first, moves=(*first.moves, *more))
    # Where facts contradict each other at what is asked for, that is no fault of one that stands against it.
    met = [{*one.involved} for one in told.values() if one.kind == "contradiction"]
    return tuple(
        one
        for one in told.values()
        if one.kind != "condition" or not any({*one.involved} <= every for every in met)
    )


def displaced(
    facts: Mapping[str, Fact],
    conditions: Mapping[str, Fact],
    order: Order | None = None,
    topic: Topic = vehicle,
) -> dict[str, tuple[str, ...]]:
    """Find in whose place conditions that change the vehicle were reckoned with.

    Parameters
    ----------
    facts, conditions : mapping of str to Fact
        Conditions are among the facts and come before them.
    order : Order, optional
        How a question sorted them; as pack and road do for themselves, if left out.
    topic : Topic

    Returns
    -------
    dict of str to tuple of str
        Facts that were set aside and do not agree, whatever value in its range each has, and the
        conditions that contradict them.
    """
    changed = {name for name in conditions if name not in CIRCUMSTANCES}
    if not changed:
        return {}
    order = order or put_in_order(facts, conditions)
    known = (*order.taken, *order.granted)
    every = {**facts, **granted_facts(order.granted, topic)}
    made = {}
    for name in order.aside:
        if name in conditions or facts[name].origin not in ORIGINS:
            continue
        found = _plan(name, known) if topic is vehicle else _other_plan(topic, name, known)
        told = tuple(one for one in conditions if found and one in changed & {*found[1]})
        if found and told and is_apart(every, name, *found):
            made[name] = told
    return made


def _other_plan(
    topic: Topic, wanted: str, known: tuple[str, ...]
) -> tuple[Plan, tuple[str, ...]] | None:
    plan = topic.network.plan_if_any(wanted, known)
    if plan is None:
        return None
    used = needed_of(plan)
    return replace(plan, known=used), used


def _key(facts: Mapping[str, Fact]) -> tuple[Fact, ...]:
    return tuple(facts[name] for name in sorted(facts) if name in vehicle.network.names)


def _reached(order: Order) -> frozenset[str]:
    # What rests on a standing value alone is no contradiction between facts.
    return reach(frozenset(order.taken)) if order.taken else frozenset()


@lru_cache(maxsize=64)
def _clashes(
    stated: tuple[Fact, ...],
    asked: tuple[str, ...],
    _: Audience,  # who is told
) -> tuple[Conflict, ...]:
    """Compare every fact that says a thing twice, and every standing value, with what others make of it."""
    facts = {one.name: one for one in stated}
    order = put_in_order(facts, [name for name in asked if name in facts])
    known = (*order.taken, *order.granted)
    granted = granted_facts(order.granted)
    placed, checked = stand_ins({**facts, **granted}, known)
    every = {**facts, **granted, **placed}
    stood = (*known, *(name for name in placed if name not in checked))
    found = [_overruled(facts, name, order, asked) for name in order.stands]
    found += [_checked(every, name, known) for name in order.aside]
    found += [_checked(every, name, stood) for name in checked]
    # What is asked for may clash with a fact, and a standing value with both: that is one clash.
    told: dict[tuple[str, frozenset[str]], Conflict] = {}
    for one in found:
        if one:
            met = frozenset(move.fact.name for move in one.moves if move.fact.origin != GRANT)
            told.setdefault((one.quantity, met), one)
    return tuple(told.values())


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


def _short_of(
    facts: Mapping[str, Fact], conditions: Mapping[str, Fact], order: Order, rested: set[str]
) -> tuple[Conflict, ...]:
    """Check that what nobody states could have a value at all, in the standing air and for what is asked.

    However little a vehicle takes beside driving, its consumption is more than that of the road alone.
    """
    if not conditions or not order.taken:
        return ()
    there = (
        reach(frozenset(order.taken), standing=True) - _reached(order) - {*facts, *order.granted}
    )
    # What goes into the relations counts as it is stated; of a total the rounding is its own.
    plain = {
        name: replace(fact, grain=0.0) if name in vehicle.example else fact
        for name, fact in facts.items()
    }
    # A mass is found by its force: where that is below nought, nothing is found of the mass.
    for name in (*vehicle.example, "air_force", "rolling_force"):
        plan = _plan(name, order.taken) if name in there else None
        if plan and rested & {*plan[1]} and {*conditions} & {*plan[1]}:
            one = _possible(plain, name, order.taken)
            if one is not None:
                return (one,)
    return ()


def _plan(wanted: str, known: tuple[str, ...]) -> tuple[Plan, tuple[str, ...]] | None:
    return _plan_of(wanted, tuple(sorted(known)))


@lru_cache(maxsize=4096)
def _plan_of(wanted: str, known: tuple[str, ...]) -> tuple[Plan, tuple[str, ...]] | None:
    plan = vehicle.network.plan_if_any(wanted, known)
    if plan is None:
        return None  # structure allows no plan although the gradients do; nothing is compared
    used = every = needed_of(plan)
    # A way may pass through a fact that cancels out; only those that matter are told of.
    for name in used:
        others = tuple(one for one in used if one != name)
        if others and wanted in reach(frozenset(others)):
            used = others
    short = vehicle.network.plan_if_any(wanted, used)
    # What is determined need not be reached in steps: without those facts there may be no way.
    return (short, used) if short is not None else (replace(plan, known=every), every)


def _checked(facts: Mapping[str, Fact], name: str, taken: tuple[str, ...]) -> Conflict | None:
    found = _plan(name, taken)
    if found is None:
        return None
    plan, used = found
    involved = (*used, name)
    asked = any(facts[one].origin == "asked" for one in involved)
    anyhow = is_apart(facts, name, plan, used)
    if not anyhow and not asked:
        return None
    stated = [one for one in involved if facts[one].origin != GRANT]
    return compared(facts, involved, plan, stated=stated, grains=anyhow)


def compared(
    facts: Mapping[str, Fact],
    involved: tuple[str, ...],
    plan: Plan,
    *,
    stated: list[str],
    topic: Topic = vehicle,
    grains: bool = True,
    by: str = "",
) -> Conflict | None:
    """Tell of facts that are apart.

    Parameters
    ----------
    facts : mapping of str to Fact
    involved : tuple of str
        Those that meet.
    plan : Plan
        By which they do.
    stated : list of str
        Those at which people may look for the collision.
    topic : Topic
    grains : bool
        Whether the rounding of what is written counts.
    by : str
        Who makes it otherwise; the other facts, and for which drive, if left out.

    Returns
    -------
    Conflict or None
        None where the structure allows no plan for what would be told.
    """
    first = _natural(stated, plan)
    for place in dict.fromkeys((first, *reversed(stated))):
        others = tuple(one for one in involved if one != place)
        way = topic.network.plan_if_any(place, others)
        derived = (
            math.nan if way is None else raw_value(way, {one: facts[one].si for one in others})
        )
        # What the others leave no value for is told at one that they make a number of.
        if way is not None and math.isfinite(derived):
            break
    else:
        return None
    if not (grains or is_apart(facts, place, way, others, grains=False)):
        return None
    moves = moves_of(facts, involved, {}, topic)
    fact = facts[place]
    low, high = extremes(way, [facts[one] for one in others], grains=grains)
    floor, ceiling = stretched(fact)
    size = max(abs(fact.si), abs(derived)) or 1.0
    apart = abs(derived - fact.si) / size
    gap = max(low - ceiling, floor - high) / size if math.isfinite(low) else apart
    kind = _kind(facts, moves) if place == "pack_energy" else "contradiction"
    relation = way.steps[-1].relations[0].title
    driven = next((one for name in others if (one := getattr(facts[name], "driven", ""))), "")
    by = by or f"the other facts{driven}{',' if ',' in driven else ''} make"
    clash = _clash(fact, by, derived, apart=apart, relation=relation)
    sentence = f"{clash} {_mending(kind, moves)}"
    return Conflict(kind, place, relation, fact.si, derived, apart, gap, moves, clash, sentence)


def _overruled(
    facts: Mapping[str, Fact], name: str, order: Order, conditions: tuple[str, ...]
) -> Conflict | None:
    """Check a fact that stands although the conditions, with standing values, would have it otherwise."""
    others = tuple(one for one in order.taken if one != name)
    found = _plan(name, others)
    if found is None or not is_apart(facts, name, *found, grains=False):
        return None
    plan, used = found
    asked = order.stands[name]
    driven = [one for one in asked if one in DRIVEN]
    effects = frozenset[str]().union(*(follow_from(vehicle.network, one) for one in driven))
    # A stated result, such as a consumption, is what meets them: a speed alone makes no drive efficiency.
    results = [one for one in (*used, name) if one in effects and one not in asked]
    causes = {one: follow_from(vehicle.network, one) for one in results}
    for one in sorted(results, key=lambda one: -sum(one in made for made in causes.values())):
        met = _met_at(facts, conditions, one, asked)
        if met is not None:
            return met
    fact = facts[name]
    derived = raw_value(plan, {one: facts[one].si for one in used})
    if not math.isfinite(derived):
        return None  # they make nothing of it, and what else they contradict is told where it is
    low, high = extremes(plan, [facts[one] for one in used])
    floor, ceiling = stretched(fact)
    size = max(abs(fact.si), abs(derived)) or 1.0
    apart = abs(derived - fact.si) / size
    gap = max(low - ceiling, floor - high) / size if math.isfinite(low) else apart
    relation = plan.steps[-1].relations[0].title
    told = " and ".join(
        f"{amount(one, facts[one].text, 'the')} asked for" for one in order.stands[name]
    )
    verb = "make" if several(order.stands[name]) else "makes"
    clash = _clash(fact, f"{told} {verb}", derived, apart=apart, relation=relation)
    moves = moves_of(facts, (*used, name), {})
    sentence = (
        f"{clash} What is {fact.origin} was reckoned with; state it as assumed to let it give way."
    )
    return Conflict(
        "condition", name, relation, fact.si, derived, apart, gap, moves, clash, sentence
    )


def is_apart(
    facts: Mapping[str, Fact], name: str, plan: Plan, used: tuple[str, ...], *, grains: bool = True
) -> bool:
    """Say whether no point of the box satisfies the relations.

    The rounding of what makes the fact counts where facts meet on their own. What is asked for meets them at the
    ranges that are stated: so an answer takes them, and a coefficient of 0.01 that might be 0.005 would hide a
    third of a consumption.
    """
    fact = facts[name]
    low, high = extremes(plan, [facts[one] for one in used], grains=grains)
    floor, ceiling = stretched(fact)
    slack = _SLACK * max(abs(fact.si), abs(fact.low), abs(fact.high))
    return not (math.isfinite(low) and low <= ceiling + slack and high >= floor - slack)


def _natural(involved: list[str], plan: Plan) -> str:
    """Return the quantity at which people would look for the collision: the most derived one.

    What a balance is there to find comes first: turned round, it says little of what goes into it.
    """
    found = [one.finds for one in plan.relations if one.finds in involved]
    if found:
        return found[-1]
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
    words = look_up(fact.name).words
    how = {"asked": "asked for", GRANT: "taken for granted"}.get(fact.origin, fact.origin)
    return (
        f"The {words} {agreeing(words, 'is', 'are')} {how} as {fact.text}, but {by} "
        f"{agreeing(words, 'it', 'them')} "
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
    solved = [one for one in moves if one.needed is not None]
    near = [one.text for one in solved if not one.far]
    if near:
        return "; ".join(near)
    return "no usual value of one alone would do" if solved else "none alone would do"


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
    raw = raw_value(plan, {one.name: one.si for one in here})
    if not math.isfinite(raw):
        return None
    limit = entry.bounds[0] if raw <= entry.bounds[0] else entry.bounds[1]
    moves = moves_of(facts, used, {name: limit} if entry.inside(limit) else {})
    return _impossible("impossible", name, plan, raw=raw, limit=limit, moves=moves)


def raw_value(plan: Plan, values: Mapping[str, float]) -> float:
    """Return what a plan gives, whether or not its last step stays within physical bounds.

    Parameters
    ----------
    plan : Plan
    values : mapping of str to float
        What is known, in SI units.

    Returns
    -------
    float
        Not-a-number where it gives nothing.
    """
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
