"""Elsewhere: what facts of other topics than pack and road contradict.

A consumption at the outlet, a label, a charging power: each is compared with what the other facts make of it,
by the relations of the topic that knows it and with what follows for it from pack and road. As on the road, a
value that is quoted without its speed meets the speed that is asked for, and the clash says which that is. What
a topic means otherwise never follows for it, so a label meets no steady drive. A standing value meets the
facts within the usual range of its quantity. A limit of which nothing is said may be the one that binds, and
explains a longer time or a lower power than the other limits allow; a shorter time it does not. What changes the
vehicle is not compared: a quoted value is not that of another mass.
"""

from __future__ import annotations

import math
from dataclasses import replace
from typing import TYPE_CHECKING

from chalkwatt.algebra.trees import operations
from chalkwatt.evidence.sheets.choosing import CIRCUMSTANCES, GRANTED, needed_of
from chalkwatt.evidence.sheets.conflicts import compared, is_apart, raw_value
from chalkwatt.evidence.sheets.facts import ORIGINS, Fact
from chalkwatt.evidence.sheets.granting import GRANT
from chalkwatt.laws.quantities import constants, look_up
from chalkwatt.planning.evaluation import compile_plan

if TYPE_CHECKING:
    from collections.abc import Collection, Iterable, Mapping

    from chalkwatt.answering.topic import Topic
    from chalkwatt.evidence.sheets.conflicts import Conflict
    from chalkwatt.laws.relations import Relation
    from chalkwatt.planning.plans import Plan

__all__ = ["OF_A_RUN", "clashes_in"]

_EXACT = frozenset(GRANTED)
# What a charge, a start or a stop goes from and to; a value that is quoted without it meets what is asked.
OF_A_RUN = frozenset(
    {"state_of_charge_from", "state_of_charge_to", "target_speed", "sprint_distance", "end_speed"}
)
_STRICTER = (0.9, 0.6, 0.3, 0.1, 0.03)  # of what the limits that are said leave
_TELLS = 1e-6  # relative; a result that changes by so much hangs on a limit
_UNWEIGHED = 0.1  # relative; so much a nought that stands for what nobody said may make up for


def clashes_in(
    topic: Topic, facts: Mapping[str, Fact], names: Iterable[str], taken: Collection[str]
) -> tuple[Conflict, ...]:
    """Compare facts with what the others make of them by the relations of a topic.

    Parameters
    ----------
    topic : Topic
    facts : mapping of str to Fact
        Stated, asked for, or derived from pack and road.
    names : iterable of str
        Those that are compared.
    taken : collection of str
        Facts that say something new, by which they are.

    Returns
    -------
    tuple of Conflict
        One a quantity at which facts collide.
    """
    told: dict[frozenset[str], Conflict] = {}
    for name in names:
        others = tuple(one for one in taken if one != name and one in facts)
        clash = _clash(topic, facts, name, others)
        if clash is not None:
            met = frozenset(
                one.fact.name for one in clash.moves if one.fact.origin not in {GRANT, "derived"}
            )
            told.setdefault(met, clash)
    return tuple(told.values())


def _clash(
    topic: Topic, facts: Mapping[str, Fact], name: str, taken: tuple[str, ...]
) -> Conflict | None:
    bare = topic.network.plan_if_any(name, taken)
    if bare is None or bare.half_known:
        return None
    plan, stood = _weighed(topic, bare)
    if plan is None:
        return None
    used = needed_of(plan)
    every = {**facts, **stood}
    involved = (*used, name)
    stated = [one for one in involved if every[one].origin in ORIGINS]
    if not stated or any(_changes(every[one]) for one in involved):
        return None
    if not is_apart(every, name, replace(plan, known=used), used):
        return None
    limited = _limited(bare)
    if limited is None or not _beyond_any_limit(topic, every, name, plan, limited):
        return None
    clash = compared(every, involved, plan, stated=stated, topic=topic)
    unweighed = {one.names[0] for one in plan.standing} & {*plan.zeros} - _EXACT
    return None if clash and unweighed and clash.gap < _UNWEIGHED else clash


def _weighed(topic: Topic, bare: Plan) -> tuple[Plan | None, dict[str, Fact]]:
    """Make facts of a plan's standing values, each with its span, and the plan that takes them."""
    stood = _stood(bare)
    plan = topic.network.plan_if_any(bare.wanted, (*needed_of(bare), *stood)) if stood else bare
    if plan is None:
        # Of a resistance of nought, say, more would have to be known for another to be weighed.
        stood = {one: fact for one, fact in stood.items() if one not in bare.zeros}
        plan = topic.network.plan_if_any(bare.wanted, (*needed_of(bare), *stood))
    return plan, stood


def _changes(fact: Fact) -> bool:
    """Say whether a fact is asked for, or rests on what is, and changes the vehicle."""
    every = (fact, *getattr(fact, "behind", ()))
    return any(one.origin == "asked" and one.name not in CIRCUMSTANCES | OF_A_RUN for one in every)


def _limited(plan: Plan) -> tuple[str, ...] | None:
    """Return what the plan takes for the least of several of which some are not said: one of those may be less.

    None where it takes one of the several for what binds: it may be more.
    """
    found = {step.find for step in (*plan.groundwork, *plan.steps)}
    stood = {one.names[0] for one in plan.standing if one.sides[1] != math.inf}
    said = {*plan.known, *found, *stood, *constants(), *plan.zeros}
    told = [one for one in plan.relations if not said.issuperset(one.names) and _chooses(one)]
    turned = any(
        one in told and step.find != one.sides[0]
        for step in (*plan.groundwork, *plan.steps)
        for one in step.relations
    )
    return None if turned else tuple(str(one.sides[0]) for one in told)


def _chooses(relation: Relation) -> bool:
    """Say whether a relation holds the least or the greatest of several."""
    return any(not {*operations(side)}.isdisjoint({"min", "max"}) for side in relation.sides)


def _beyond_any_limit(
    topic: Topic, facts: Mapping[str, Fact], name: str, plan: Plan, limited: Collection[str]
) -> bool:
    """Say whether no limit of which nothing is said explains a fact: each that binds leads further from it."""
    if not limited:
        return True
    used = needed_of(plan)
    known = {one: facts[one].si for one in used}
    branches = compile_plan(plan).branches(known)
    if not branches:
        return False
    free = branches[0].values
    for one in limited:
        if one == name:  # it is the least itself
            if facts[name].si < float(free[name]):
                return False
            continue
        way = topic.network.plan_if_any(name, (*used, one)) if one in free else None
        if way is None or one not in needed_of(way):
            return False  # how it would tell is not seen
        alone = float(free[name])
        led = (raw_value(way, {**known, one: s * float(free[one])}) - alone for s in _STRICTER)
        bound = next((by for by in led if abs(by) > _TELLS * abs(alone)), 0.0)
        if not bound * (facts[name].si - alone) < 0:
            return False
    return True


def _stood(plan: Plan) -> dict[str, Fact]:
    """Return the standing values behind a plan, each with the span in which it occurs."""
    made = {}
    for relation in plan.standing:
        name, si = relation.names[0], relation.sides[1]
        if not isinstance(si, int | float):
            continue  # made of others, and within their spans
        low, high = (si, si) if name in _EXACT else look_up(name).usual
        made[name] = Fact(name, float(si), float(min(low, si)), float(max(high, si)), origin=GRANT)
    return made
