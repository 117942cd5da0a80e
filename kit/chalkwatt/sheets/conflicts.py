"""Conflicts: facts that cannot all be true, whatever value in its range each of them has.

A fact that the others determine is compared with what they make of it. The facts that meet span a box:
their ranges or, where none is stated, the rounding of what is written. They collide if no point
of the box satisfies the relations. Over a box the extremes of a monotone relation lie on corners;
points inside are tried as well.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING, Any

import numpy as np

from chalkwatt.errors import ChalkwattError
from chalkwatt.quantities import look_up
from chalkwatt.rendering.numbers import format_input
from chalkwatt.rendering.numpy_function import compile_plan
from chalkwatt.sheets.choosing import by_trust, independent, reach
from chalkwatt.spread import uniforms
from chalkwatt.topics.vehicle import vehicle

if TYPE_CHECKING:
    from collections.abc import Mapping

    from chalkwatt.plans import Plan
    from chalkwatt.sheets.facts import Fact

__all__ = ["Conflict", "Move", "collisions", "extremes"]

_MOST_CORNERS = 12  # quantities; beyond that, random corners
_SLACK = 1e-9  # relative; for rounding in the arithmetic
_WHOLE = 1e-6


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
    def text(self) -> str:
        """The move in words."""
        words = look_up(self.fact.name).words
        if self.needed is None:
            return f"no {words} alone would mend it"
        return f"{words} ({self.fact.origin} {self.fact.text}) would have to be {self.fact.text_of(self.needed, 4)}"


@dataclass(frozen=True)
class Conflict:
    """Facts that disagree.

    Attributes
    ----------
    kind : {"contradiction", "reserve", "impossible", "not whole"}
        A reserve: the quoted energy of the pack is less than its cells hold by as much as makers usually
        keep back, so it may be the usable energy. Impossible: a quantity would leave its physical bounds.
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
    sentence : str
    """

    kind: str
    quantity: str
    relation: str
    stated: float | None
    derived: float
    apart: float
    gap: float
    moves: tuple[Move, ...]
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
    order = (
        *conditions,
        *by_trust({name: fact for name, fact in facts.items() if name not in conditions}),
    )
    taken, aside = independent(order)
    found = [_checked(facts, name, taken) for name in aside]
    stated = set(facts)
    # What rests on a standing value is no contradiction between facts.
    reached = reach(frozenset(taken))
    bad = [
        _possible(facts, name, taken)
        for name in vehicle.network.names
        if name in reached and name not in stated
    ]
    # One impossible value drags others with it; the first in the order of the relations is the cause.
    return tuple([one for one in found if one] + [one for one in bad if one][:1])


def _plan(wanted: str, known: tuple[str, ...]) -> tuple[Plan, tuple[str, ...]] | None:
    return _plan_of(wanted, tuple(sorted(known)))


@lru_cache(maxsize=4096)
def _plan_of(wanted: str, known: tuple[str, ...]) -> tuple[Plan, tuple[str, ...]] | None:
    plan = vehicle.network.plan_if_any(wanted, known)
    if plan is None:
        return None  # structure allows no plan although the gradients do; nothing is compared
    needed = {name for step in (*plan.groundwork, *plan.steps) for name in step.needs}
    used = tuple(name for name in known if name in needed)
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
    moves = _moves(facts, involved, {})
    place = _natural(involved)
    others = tuple(one for one in involved if one != place)
    plan = vehicle.network.plan(place, others)
    fact = facts[place]
    derived = _raw(plan, {one: facts[one].si for one in others})
    low, high = extremes(plan, [facts[one] for one in others], grains=True)
    floor, ceiling = _stretched(fact)
    size = max(abs(fact.si), abs(derived)) or 1.0
    apart = abs(derived - fact.si) / size
    gap = max(low - ceiling, floor - high) / size if math.isfinite(low) else apart
    kind = _kind(facts, moves) if place == "pack_energy" else "contradiction"
    relation = plan.steps[-1].relations[0].title
    sentence = _told(kind, fact, derived, apart=apart, relation=relation, moves=moves)
    return Conflict(kind, place, relation, fact.si, derived, apart, gap, moves, sentence)


def _apart(facts: Mapping[str, Fact], name: str, plan: Plan, used: tuple[str, ...]) -> bool:
    """Say whether no point of the box satisfies the relations."""
    fact = facts[name]
    low, high = extremes(plan, [facts[one] for one in used], grains=True)
    floor, ceiling = _stretched(fact)
    slack = _SLACK * max(abs(fact.si), abs(fact.low), abs(fact.high))
    return not (math.isfinite(low) and low <= ceiling + slack and high >= floor - slack)


def _natural(involved: tuple[str, ...]) -> str:
    """Return the quantity at which people would look for the collision: the most derived one."""
    for relation in reversed(vehicle.network.strong):
        name = relation.sides[0]
        if name in involved:
            return str(name)
    return involved[-1]


def _kind(facts: Mapping[str, Fact], moves: tuple[Move, ...]) -> str:
    """Tell a reserve from a contradiction: makers quote less than the cells hold, never more."""
    usual = look_up("usable_fraction").usual[0] * 0.9
    for one in moves:
        if one.fact.name == "pack_energy" and one.needed is not None:
            stated = facts["pack_energy"].si
            return "reserve" if usual * one.needed <= stated < one.needed else "contradiction"
    return "contradiction"


def _told(
    kind: str, fact: Fact, derived: float, *, apart: float, relation: str, moves: tuple[Move, ...]
) -> str:
    words = look_up(fact.name).words
    start = (
        f"The {words} is {fact.origin} as {fact.text}, but the other facts make it {fact.text_of(derived, 4)}, "
        f"{100 * apart:.2g} % apart (“{relation}”)."
    )
    if kind == "reserve":
        return (
            f"{start} That may be a reserve: the cells hold more than is quoted, as they do where only "
            f"the usable part is. Or one of them has to move: {_ways(moves)}."
        )
    return f"{start} One of them has to move: {_ways(moves)}."


def _ways(moves: tuple[Move, ...]) -> str:
    return "; ".join(one.text for one in moves if one.needed is not None) or "none alone would do"


def _stretched(fact: Fact) -> tuple[float, float]:
    """Return the range of a fact; where none is stated, the rounding of what is written."""
    if not fact.exact:
        return fact.low, fact.high
    low, high = fact.low - fact.grain, fact.high + fact.grain
    bounds = look_up(fact.name).bounds
    return (fact.low if low <= bounds[0] else low), (fact.high if high >= bounds[1] else high)


def _box(facts: list[Fact], *, grains: bool) -> dict[str, Any]:
    """Corners, middle and inside of the box that the ranges of facts span."""
    ends = {fact.name: _stretched(fact) if grains else (fact.low, fact.high) for fact in facts}
    wide = [fact.name for fact in facts if ends[fact.name][0] < ends[fact.name][1]]
    shares = uniforms(max(len(wide), 1), 0, 512, 0)
    if len(wide) <= _MOST_CORNERS:
        corners = np.asarray(list(itertools.product((0.0, 1.0), repeat=len(wide)))).reshape(
            2 ** len(wide), len(wide)
        )
    else:
        corners = np.round(uniforms(len(wide), 0, 4096, 1))
    table = np.concatenate([corners, shares[:, : len(wide)]])
    made: dict[str, Any] = {fact.name: fact.si for fact in facts}
    for place, name in enumerate(wide):
        low, high = ends[name]
        # The stated values themselves come first.
        made[name] = np.concatenate([[made[name]], low + table[:, place] * (high - low)])
    return made


def extremes(plan: Plan, facts: list[Fact], *, grains: bool = False) -> tuple[float, float]:
    """Return the least and the greatest value that a plan can reach within the ranges of its facts.

    Parameters
    ----------
    plan : Plan
    facts : list of Fact
    grains : bool
        Whether the rounding of what is written widens the ranges.

    Returns
    -------
    tuple of float
        In SI units; not-a-number where nothing in the box has a solution.
    """
    made = np.asarray(compile_plan(plan)(**_box(facts, grains=grains)), dtype=float)
    if not np.isfinite(made).any():
        return math.nan, math.nan
    return float(np.nanmin(made)), float(np.nanmax(made))


def _moves(
    facts: Mapping[str, Fact], involved: tuple[str, ...], extra: Mapping[str, float]
) -> tuple[Move, ...]:
    """Solve for each fact alone with the others as stated."""
    moves = []
    for name in involved:
        others = {one: facts[one].si for one in involved if one != name} | dict(extra)
        needed: float | None = None
        try:
            way = vehicle.network.plan_if_any(name, tuple(others))
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
    moves = _moves(facts, used, {name: limit} if entry.inside(limit) else {})
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
        "not whole", name, plan, raw=made, limit=near, moves=_moves(facts, used, {name: near})
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
    sentence = (
        f"The facts make the {entry.words} {shown}, {why} (“{relation}”). One of them has "
        f"to move: {_ways(moves)}."
    )
    size = max(abs(raw), abs(limit)) or 1.0
    apart = abs(raw - limit) / size
    return Conflict(kind, name, relation, None, raw, apart, apart, moves, sentence)
