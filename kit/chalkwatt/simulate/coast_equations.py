"""The governing equations of coasting down."""

from __future__ import annotations

from functools import cache

from chalkwatt.relations import author_order
from chalkwatt.simulate.equations import Equations, Rate
from chalkwatt.topics import load as road

__all__ = ["equations"]

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
def equations() -> Equations:
    """Return the governing equations."""
    return Equations((road.DRAG, road.ROLLING, road.CLIMB, road.ROAD, SLOWING, DISTANCE))
