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
from chalkwatt.evidence.sheets.choosing import by_trust
from chalkwatt.evidence.sheets.conflicts import Conflict
from chalkwatt.evidence.sheets.elsewhere import OF_A_RUN
from chalkwatt.evidence.sheets.facts import ORIGINS
from chalkwatt.evidence.sheets.moves import Move
from chalkwatt.laws.quantities import look_up
from chalkwatt.rendering.phrases import amount

if TYPE_CHECKING:
    from chalkwatt.evidence.sheets.choosing import Choice
    from chalkwatt.evidence.sheets.facts import Fact

__all__ = ["beyond_a_limit"]


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


def _mends(choice: Choice, fact: Fact) -> bool:
    low, high = look_up(fact.name).usual
    wider = replace(fact, low=min(low, fact.low), high=max(high, fact.high))
    try:
        keep_limits(choice, wider)
    except TooMuchKnownError:
        return False
    return True
