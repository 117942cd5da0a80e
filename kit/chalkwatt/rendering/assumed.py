"""What a plan takes for granted: standing values, constants, and what follows from them alone."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from chalkwatt.laws.relations import Relation
    from chalkwatt.planning.plans import Plan

__all__ = ["assumptions_of", "exact_names"]


def exact_names(plan: Plan) -> tuple[str, ...]:
    """Return the constants of a plan and the standing values that are plain numbers."""
    standing = [one.names[0] for one in plan.standing if not isinstance(one.sides[1], tuple | str)]
    return (*plan.constants, *standing)


def assumptions_of(plan: Plan) -> list[tuple[str, str, str]]:
    """List name, title and source of everything that a plan takes for granted."""
    listed = {
        one.names[0]: (one.title, one.source) for one in plan.standing if not _tacit(plan, one)
    }
    used = {name for step in plan.steps for name in step.needs}
    for step in plan.groundwork:
        if step.find in used:
            listed.setdefault(step.find, (step.relations[0].title, step.relations[0].source))
    return [(name, title, source) for name, (title, source) in listed.items()]


def _tacit(plan: Plan, standing: Relation) -> bool:
    """Say whether every relation that uses a standing value does so without a word."""
    name = standing.names[0]
    users = [one for one in plan.relations if one is not standing and name in one.names]
    return bool(users) and all(name in one.tacit for one in users)
