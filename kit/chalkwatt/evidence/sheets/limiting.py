"""Limiting: which fact of a sheet gives way where the facts break a limit that others of them set.

A mean acceleration may ask for more power than the motor was measured to have. Neither makes the other, so
trust alone has set nothing aside; one of them is not true all the same. Set aside is the least trusted
fact that could mend it alone, taken anywhere in its usual range: no efficiency makes a motor
stronger. Both are told.
"""

from __future__ import annotations

import math
from dataclasses import replace
from typing import TYPE_CHECKING

from chalkwatt.errors import TooMuchKnownError
from chalkwatt.evidence.finding import keep_limits
from chalkwatt.evidence.sheets.choosing import by_trust, distrust
from chalkwatt.evidence.sheets.conflicts import Conflict
from chalkwatt.evidence.sheets.elsewhere import OF_A_RUN, clashes_in
from chalkwatt.evidence.sheets.facts import ORIGINS
from chalkwatt.evidence.sheets.moves import Move
from chalkwatt.laws.quantities import look_up
from chalkwatt.rendering.phrases import amount

if TYPE_CHECKING:
    from collections.abc import Mapping

    from chalkwatt.evidence.sheets.choosing import Choice
    from chalkwatt.evidence.sheets.facts import Fact

__all__ = ["beyond_a_limit", "outdone"]


def beyond_a_limit(choice: Choice, clash: TooMuchKnownError) -> Conflict | None:
    """Tell of facts that break a limit, and choose the one that is set aside.

    Parameters
    ----------
    choice : Choice
        What the question rests on.
    clash : TooMuchKnownError
        How it was refused.

    Returns
    -------
    Conflict or None
        Its first move is that of the fact that is set aside. None where what is asked for could mend it, or
        nothing could: that is a question which cannot be answered.
    """
    asked = {one: choice.conditions[one] for one in clash.involved if one in choice.conditions}
    if any(_mends(choice, fact) for name, fact in asked.items() if name not in OF_A_RUN):
        return None
    involved = {one: choice.facts[one] for one in clash.involved if one in choice.facts}
    stated = {
        name: fact
        for name, fact in involved.items()
        if name not in choice.conditions and fact.origin in {*ORIGINS, "derived"}
    }
    least = tuple(reversed(by_trust(stated, choice.topic)))
    culprit = next((one for one in least if _mends(choice, stated[one])), None)
    if culprit is None:
        return None
    fact = stated[culprit]
    moves = (
        Move(fact, None, math.inf),
        *(Move(one, None, math.inf) for one in involved.values() if one != fact),
    )
    said = str(clash).removesuffix(clash.advice).strip().partition("disagrees: ")[2]
    told = f"{said[0].upper()}{said[1:]}"
    named = amount(culprit, fact.text, f"The {fact.origin}")
    aside = f"{named} is set aside: of what could mend it, it deserves least trust."
    entry = look_up(clash.quantity or culprit)
    si = entry.read(f"{clash.value} {clash.unit}")
    return Conflict(
        "contradiction",
        entry.name,
        clash.relation,
        None,
        float(si),
        clash.disagreement,
        clash.disagreement,
        moves,
        f"{told} {aside}",
        f"{told} {aside}",
    )


def outdone(choice: Choice) -> Conflict | None:
    """Tell of a fact that a question rests on although firmer ones make it otherwise, whatever stands in for the rest.

    Neither makes the other without standing values, so that trust alone set nothing aside: a charging time
    that is quoted, and a power that was measured.

    Parameters
    ----------
    choice : Choice

    Returns
    -------
    Conflict or None
        Its first move is that of the fact that is outdone. None where the least trusted of those that collide is
        not alone in that, or the question does not rest on it.
    """
    order, facts = choice.order, {**choice.facts, **choice.conditions}
    own = {name: fact for name, fact in facts.items() if name not in choice.conditions}
    trust = {name: distrust(own[name]) for name in order.taken if name in own}
    soft = [name for name, rank in trust.items() if rank > min(trust.values())]
    if {*soft}.isdisjoint(choice.used):
        return None
    for one in clashes_in(choice.topic, facts, order.taken, order.taken):
        first = _weakest(one, trust)
        usable = first is not None and first.needed is not None and not first.far
        if first is not None and usable and first.fact.name in choice.used:
            return replace(one, moves=(first, *(move for move in one.moves if move != first)))
    return None


def _weakest(clash: Conflict, trust: Mapping[str, int]) -> Move | None:
    """Return the one of those that collide which deserves less trust than others; None where it is not alone.

    Of several it is the most derived one, at which people look.
    """
    met = [move for move in clash.moves if move.fact.name in trust]
    least = max((trust[move.fact.name] for move in met), default=0)
    soft = [move for move in met if trust[move.fact.name] == least]
    if len(soft) == len(met):
        return None
    looked_at = [move for move in soft if move.fact.name == clash.quantity]
    if len(soft) == 1:
        return soft[0]
    return looked_at[0] if looked_at else None


def _mends(choice: Choice, fact: Fact) -> bool:
    low, high = look_up(fact.name).usual
    wider = replace(fact, low=min(low, fact.low), high=max(high, fact.high))
    try:
        keep_limits(choice, wider)
    except TooMuchKnownError:
        return False
    return True
