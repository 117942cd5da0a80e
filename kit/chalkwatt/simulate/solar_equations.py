"""The governing equations of a day in the sun; the relations are those of the topic `sun`."""

from __future__ import annotations

from functools import cache

from chalkwatt.relations import author_order
from chalkwatt.simulate.equations import Equations, Rate
from chalkwatt.topics import load as road
from chalkwatt.topics import sun as light

__all__ = ["equations"]

with author_order() as q:
    ENERGY = Rate(
        "Energy of the day",
        "daily_solar_energy",
        q.solar_power,
        assumptions=("Parked, no shade, the auxiliary load switched off.",),
    )
    DISTANCE = Rate(
        "Distance on sun alone",
        "solar_distance",
        q.equilibrium_speed,
        assumptions=("Level road, no headwind; the wind of driving cools the panel.",),
    )


@cache
def equations() -> Equations:
    """Return the governing equations."""
    return Equations(
        (
            light.PANEL_TEMPERATURE,
            light.PANEL,
            light.SOLAR,
            ENERGY,
            road.ROLLING,
            light.BALANCE,
            DISTANCE,
        ),
        zeros=("headwind", "grade_angle", "grade_force", "coast_down_linear"),
    )
