"""Choosing: which facts of a sheet a question rests on.

A sheet may say one thing twice. Facts are taken in the order of trust (:data:`ORIGINS`), narrower
ranges first, and one that those before it already determine is set aside as a check. The choice is
structural: values play no part in it.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

from chalkwatt.sheets.facts import ORIGINS, Fact
from chalkwatt.spread import Question
from chalkwatt.topics.vehicle import vehicle

if TYPE_CHECKING:
    from collections.abc import Mapping

    from chalkwatt.plans import Plan

__all__ = ["Choice", "by_trust", "choose", "independent", "reach"]


@dataclass(frozen=True)
class Choice:
    """What a question rests on: its plan, the facts used, and those set aside as checks."""

    question: Question
    plan: Plan
    used: dict[str, Fact]
    set_aside: tuple[str, ...]


@lru_cache(maxsize=4096)
def reach(known: frozenset[str], *, standing: bool = False) -> frozenset[str]:
    """Return what known quantities of the vehicle determine; each set is worked out once."""
    return vehicle.network.reach(sorted(known), standing=standing)


def by_trust(facts: Mapping[str, Fact]) -> tuple[str, ...]:
    """Return the names of facts, the most trustworthy and narrowest first."""

    def rank(name: str) -> tuple[int, float]:
        fact = facts[name]
        return (ORIGINS.index(fact.origin) if fact.origin in ORIGINS else -1, fact.width)

    return tuple(sorted((name for name in facts if name in vehicle.network.names), key=rank))


@lru_cache(maxsize=1024)
def independent(names: tuple[str, ...]) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Split names into those that nothing before them determines, and the rest.

    Parameters
    ----------
    names : tuple of str
        In the order in which they are taken.

    Returns
    -------
    tuple of two tuples of str

    Examples
    --------
    >>> from chalkwatt.sheets.choosing import independent
    >>> independent(("drag_area", "frontal_area", "drag_coefficient"))
    (('drag_area', 'frontal_area'), ('drag_coefficient',))
    """
    taken: list[str] = []
    aside: list[str] = []
    for name in names:
        (aside if taken and name in reach(frozenset(taken)) else taken).append(name)
    return tuple(taken), tuple(aside)


def choose(facts: Mapping[str, Fact], wanted: str, conditions: Mapping[str, Fact]) -> Choice:
    """Choose the facts that a question rests on.

    Parameters
    ----------
    facts, conditions : mapping of str to Fact
        A condition takes the place of the sheet's own value.
    wanted : str

    Returns
    -------
    Choice

    Raises
    ------
    TooLittleKnownError
        If the sheet and the conditions do not determine the wanted.
    """
    own = {name: fact for name, fact in facts.items() if name not in conditions and name != wanted}
    taken, aside = independent((*conditions, *by_trust(own)))
    plan = vehicle.network.plan(wanted, taken)
    needed = {name for step in (*plan.groundwork, *plan.steps) for name in step.needs}
    used = tuple(name for name in taken if name in needed)
    if used != taken:
        plan = vehicle.network.plan(wanted, used)
    every = {**own, **conditions}
    return Choice(
        Question(vehicle.name, wanted, used), plan, {name: every[name] for name in used}, aside
    )
