"""Boxes: what a plan can reach while each of its facts moves within its range."""

from __future__ import annotations

import itertools
import math
from typing import TYPE_CHECKING, Any

import numpy as np

from chalkwatt.evidence.spread.draws import uniforms
from chalkwatt.laws.quantities import look_up
from chalkwatt.planning.evaluation import compile_plan

if TYPE_CHECKING:
    from chalkwatt.evidence.sheets.facts import Fact
    from chalkwatt.planning.plans import Plan

__all__ = ["extremes", "stretched"]

_MOST_CORNERS = 12  # quantities; beyond that, random corners


def stretched(fact: Fact) -> tuple[float, float]:
    """Return the range of a fact; where none is stated, the rounding of what is written."""
    if not fact.exact:
        return fact.low, fact.high
    low, high = fact.low - fact.grain, fact.high + fact.grain
    bounds = look_up(fact.name).bounds
    return (fact.low if low <= bounds[0] else low), (fact.high if high >= bounds[1] else high)


def _box(facts: list[Fact], *, grains: bool) -> dict[str, Any]:
    """Corners, middle and inside of the box that the ranges of facts span."""
    ends = {fact.name: stretched(fact) if grains else (fact.low, fact.high) for fact in facts}
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
