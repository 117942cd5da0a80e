"""Granting: standing values as facts, where it is asked whether facts agree.

=====================  =========================================================================
granted                how it meets the facts
=====================  =========================================================================
no wind, level road,   exactly: whoever quotes a consumption or a range and says nothing of wind
standard gravity, no   and slope means none, and a consumption that only a tail wind makes true
linear part            is a contradiction
sea level              within 700 m below and 5000 m above: where people drive, and 5 % of the
                       pressure by the weather
other standing values  within the usual range of their quantity
=====================  =========================================================================
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from chalkwatt.errors import ChalkwattError
from chalkwatt.evidence.sheets.choosing import GRANTED, reach
from chalkwatt.evidence.sheets.facts import Fact
from chalkwatt.laws.quantities import look_up
from chalkwatt.planning.evaluation import compile_plan
from chalkwatt.topics.vehicle import vehicle

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from chalkwatt.answering.topic import Topic
    from chalkwatt.laws.relations import Relation

__all__ = ["GRANT", "granted_facts", "stand_ins"]

GRANT = "granted"  # the origin of such a fact
_SPANS = {"altitude": (-700.0, 5000.0)}  # in SI units; common practice, no source


def granted_facts(names: Iterable[str], topic: Topic = vehicle) -> dict[str, Fact]:
    """Return what a question takes for granted as facts.

    Parameters
    ----------
    names : iterable of str
    topic : Topic

    Returns
    -------
    dict of str to Fact

    Examples
    --------
    >>> from chalkwatt.evidence.sheets.granting import granted_facts
    >>> granted_facts(["grade"])["grade"].text
    '0 %'
    """
    sides = {one.names[0]: one.sides[1] for one in topic.network.standing}
    values = {name: side for name, side in sides.items() if isinstance(side, int | float)}
    made = {}
    for name in names:
        si = float(values[name])  # all of GRANTED are plain numbers
        made[name] = Fact(name, si, si, si, origin=GRANT)
    return made


def stand_ins(
    facts: Mapping[str, Fact], known: tuple[str, ...]
) -> tuple[dict[str, Fact], tuple[str, ...]]:
    """Return the standing values that stand in for what nobody stated, each with its span.

    Parameters
    ----------
    facts : mapping of str to Fact
    known : tuple of str
        The facts that are new, in their order.

    Returns
    -------
    dict of str to Fact
    tuple of str
        Those that the known facts determine, which can be checked.
    """
    made: dict[str, Fact] = {}
    checked = []
    taken = list(known)
    for relation in vehicle.network.standing:
        name = relation.names[0]
        if name in facts or name in GRANTED or relation.sides[1] == math.inf:
            continue
        if relation.instead_of:
            continue  # it holds only without relations by which the facts are compared
        fact = _stand_in(relation, {one: facts[one].si for one in known})
        if fact is None:
            continue
        made[name] = fact
        if taken and name in reach(frozenset(taken)):
            checked.append(name)
        else:
            taken.append(name)
    return made, tuple(checked)


def _stand_in(relation: Relation, values: Mapping[str, float]) -> Fact | None:
    """Return a standing value where others of its kind are stated, such as the temperature up there."""
    name, si = relation.names[0], relation.sides[1]
    if not isinstance(si, int | float):
        alone = vehicle.network.plan_if_any(name, ())
        # Only what it is made of: a plan for the rest would be looked for long, and not heard.
        others = {one.names[0] for one in alone.standing} - {name} if alone is not None else set()
        behind = {one: value for one, value in values.items() if one in others}
        try:
            plan = vehicle.network.plan_if_any(name, tuple(behind))
            si = math.nan if plan is None else float(compile_plan(plan)(**behind))
        except ChalkwattError:
            return None
    if not math.isfinite(si):
        return None
    low, high = _SPANS.get(name, look_up(name).usual)
    return Fact(name, float(si), float(min(low, si)), float(max(high, si)), origin=GRANT)
