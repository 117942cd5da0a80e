"""Stretches: where more or less of a quantity changes nothing, and every value on one side fits.

More power than the tyres can use gives the same start. Asked which power gives it, the answer is the
least that does, and this says that every greater one does, too.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from chalkwatt.algebra.solving import search_grid
from chalkwatt.errors import ChalkwattError
from chalkwatt.laws.quantities import look_up
from chalkwatt.planning.evaluation import compile_plan
from chalkwatt.rendering.phrases import agreeing

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from chalkwatt.algebra.trees import Tree
    from chalkwatt.answering.topic import Topic
    from chalkwatt.planning.plans import Plan

__all__ = ["any_fits", "stretch_notes"]

_SAME = 1e-12  # relative; what a flat function differs by is rounding
_ALIKE = 1e-9  # relative; what a given value and the one that was found back differ by
_TRIED = 2  # given values; a plan for each takes time
_MOST = 16  # given values; with more a single plan may take seconds, which no sentence is worth
_ASIDE = 0.02  # relative; how far to look to either side


def stretch_notes(
    topic: Topic, plan: Plan, known: Mapping[str, Any], found: float
) -> tuple[str, ...]:
    """Say on which side of a solution every other value would do as well.

    Parameters
    ----------
    topic : Topic
    plan : Plan
    known : mapping of str to float
        The given values, in SI units.
    found : float
        The solution, in SI units.

    Returns
    -------
    tuple of str

    Examples
    --------
    >>> from chalkwatt import launch
    >>> start = {"mass": 1180, "drive_efficiency": 0.9, "friction": 0.9, "driven_weight_share": 0.55}
    >>> best = launch.find("exit_speed", sprint_distance=9, motor_power="500 kW", **start)
    >>> launch.find("motor_power", sprint_distance=9, exit_speed=best.si, **start).notes
    ('Motor power: more of it gives the same exit speed.',)
    """
    # What is worked out forwards is determined whichever of several counts.
    turned_round = (
        relation
        for step in plan.steps
        for relation in step.relations
        if relation.sides[0] != step.find or len(step.relations) > 1
    )
    bends = any(_chooses(side) for relation in turned_round for side in relation.sides)
    if len(known) > _MOST or not bends:
        return ()
    wanted = look_up(plan.wanted)
    for name, back in _ways_back(topic, plan, known):
        here = back(found)
        if not _close(here, known[name], _ALIKE):
            continue
        beside = [back(found + way * _ASIDE * abs(found)) for way in (-1, 1)]
        flat = [_close(one, here, _SAME) for one in beside]
        if flat[0] == flat[1]:
            continue
        side = "more" if flat[1] else "less"
        return (f"{_capital(wanted.words)}: {side} of it gives the same {look_up(name).words}.",)
    return ()


def any_fits(topic: Topic, plan: Plan, known: Mapping[str, Any]) -> str:
    """Say that the wanted has no say in what is given; empty where it has one.

    Parameters
    ----------
    topic : Topic
    plan : Plan
    known : mapping of str to float
        The given values, in SI units.

    Returns
    -------
    str
        A sentence.
    """
    wanted = look_up(plan.wanted)
    grid = search_grid(wanted.bounds, wanted.usual)
    usual = grid[(grid > wanted.usual[0]) & (grid < wanted.usual[1])]
    for name, back in _ways_back(topic, plan, known):
        # One by one: mostly the first tells, and each may take a search.
        if len(usual) and all(_close(back(one), known[name], _ALIKE) for one in usual):
            every = agreeing(wanted.words, "Every", "All")
            gives = agreeing(wanted.words, "gives", "give")
            return (
                f"{every} {wanted.words} {gives} this {look_up(name).words}: "
                "the other values alone decide it."
            )
    return ""


def _chooses(tree: Tree) -> bool:
    """Say whether a tree holds a least or a greatest of several: nothing else is flat and bends."""
    return isinstance(tree, tuple) and (tree[0] in {"min", "max"} or any(map(_chooses, tree[1:])))


def _ways_back(topic: Topic, plan: Plan, known: Mapping[str, Any]) -> Iterator[tuple[str, Any]]:
    """Yield what is given and follows from the rest and the wanted, as a function of that."""
    # What is chosen of several comes first, then what other laws make, then what people ask for.
    laws = sorted(plan.relations, key=lambda law: not any(map(_chooses, law.sides)))
    made = [law.sides[0] for law in laws if isinstance(law.sides[0], str)]
    asked = [one for one in dict.fromkeys((*made, *topic.outcomes)) if one in known]
    for name in asked[:_TRIED]:
        others = {one: value for one, value in known.items() if one != name}
        try:
            way = topic.network.plan_if_any(name, (*others, plan.wanted))
        except ChalkwattError:
            continue  # it takes two unknowns at once
        if way is None or plan.wanted not in {one for step in way.steps for one in step.needs}:
            continue
        function = compile_plan(way)
        yield name, lambda t, f=function, o=others: float(f(**o, **{plan.wanted: t}))


def _close(one: float, other: float, far: float) -> bool:
    return abs(one - other) <= far * max(abs(one), abs(other))


def _capital(words: str) -> str:
    return words[:1].upper() + words[1:]
