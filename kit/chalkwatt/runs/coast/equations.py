"""The governing equations of coasting down."""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING

from chalkwatt.laws.relations import author_order
from chalkwatt.runs.equations import Equations, Rate
from chalkwatt.topics import load as road

if TYPE_CHECKING:
    from chalkwatt.laws.relations import Relation

__all__ = ["STANDING", "equations"]

STANDING: tuple[Relation, ...] = road.load.network.standing

with author_order() as q:
    SLOWING = Rate(
        "Slowing down",
        "speed",
        -q.road_force / (q.rotating_mass_factor * q.mass),
        source="Newton's second law",
        assumptions=("Nothing drives and nothing brakes.",),
    )
    DISTANCE = Rate("Distance", "trip_distance", q.speed)


@cache
def equations(known: frozenset[str]) -> Equations:
    """Return the governing equations: the way of the topic ``load`` to the road force, and what it does.

    Parameters
    ----------
    known : frozenset of str
        Names of what is given of vehicle and road.

    Returns
    -------
    Equations

    Raises
    ------
    TooLittleKnownError
        If it does not determine the road force.
    """
    plan = road.load.network.plan("road_force", ("speed", *sorted(known)))
    lines = (one for one in plan.relations if not one.standing)
    return Equations((*lines, SLOWING, DISTANCE), zeros=plan.zeros)
