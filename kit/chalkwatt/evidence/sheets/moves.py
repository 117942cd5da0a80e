"""Moves: what each of some facts that disagree would have to be, the others as stated."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from chalkwatt.errors import ChalkwattError
from chalkwatt.evidence.sheets.granting import GRANT
from chalkwatt.laws.quantities import look_up
from chalkwatt.planning.evaluation import compile_plan
from chalkwatt.topics.vehicle import vehicle

if TYPE_CHECKING:
    from collections.abc import Mapping

    from chalkwatt.answering.topic import Topic
    from chalkwatt.evidence.sheets.facts import Fact

__all__ = ["Move", "moves_of"]


@dataclass(frozen=True)
class Move:
    """What one fact alone would have to be for a conflict to go away.

    ``needed`` is in SI units, or None where no value of it would do; ``beyond`` is how far outside its
    range that lies, relative to its value.
    """

    fact: Fact
    needed: float | None
    beyond: float

    @property
    def far(self) -> bool:
        """Whether it would have to be what nobody would think of."""
        return self.needed is not None and look_up(self.fact.name).far_from_usual(
            self.needed, self.fact.low, self.fact.high
        )

    @property
    def text(self) -> str:
        """The move in words."""
        words = look_up(self.fact.name).words
        if self.needed is None:
            return f"no {words} alone would mend it"
        if self.far:
            return f"no usual {words} alone would mend it"
        fact = self.fact
        how = {"asked": "asked for as", GRANT: "taken for granted as"}.get(fact.origin, fact.origin)
        stated = fact.text_of(fact.si, 3) if fact.origin == GRANT else fact.text
        return f"{words} ({how} {stated}) would have to be {fact.text_of(self.needed, 4)}"


def moves_of(
    facts: Mapping[str, Fact],
    involved: tuple[str, ...],
    extra: Mapping[str, float],
    topic: Topic = vehicle,
) -> tuple[Move, ...]:
    """Solve for each fact alone with the others as stated.

    Parameters
    ----------
    facts : mapping of str to Fact
    involved : tuple of str
        Those that meet.
    extra : mapping of str to float
        What else must come out, in SI units.
    topic : Topic

    Returns
    -------
    tuple of Move
        The least move first.
    """
    moves = []
    for name in involved:
        if name == "gravity":
            continue  # nobody would look for the mistake there
        others = {one: facts[one].si for one in involved if one != name} | dict(extra)
        needed: float | None = None
        try:
            way = topic.network.plan_if_any(name, tuple(others))
            found = math.nan if way is None else float(compile_plan(way)(**others))
        except ChalkwattError:
            found = math.nan
        if math.isfinite(found):
            needed = found
        moves.append(Move(facts[name], needed, _beyond(facts[name], needed)))
    return tuple(sorted(moves, key=lambda one: one.beyond))


def _beyond(fact: Fact, needed: float | None) -> float:
    if needed is None:
        return math.inf
    return max(fact.low - needed, needed - fact.high, 0.0) / (abs(fact.si) or 1.0)
