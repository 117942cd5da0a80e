"""The governing equations of a day in the sun; the relations are those of the topic `sun`."""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING

from chalkwatt.laws.relations import author_order
from chalkwatt.runs.equations import Equations, Rate
from chalkwatt.topics import load as road
from chalkwatt.topics import mounting
from chalkwatt.topics import sun as light

if TYPE_CHECKING:
    from chalkwatt.laws.relations import Relation

__all__ = ["STANDING", "equations"]

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


STANDING = light.sun.network.standing
_MOVING = {"mass", "drag_area", "rolling_coefficient", "drive_efficiency"}


@cache
def equations(known: frozenset[str], *, alone: bool) -> Equations:
    """Return the governing equations of what can be asked.

    Parameters
    ----------
    known : frozenset of str
        Names of what is given of panel and vehicle.
    alone : bool
        Whether driving on sun alone is looked at, beside what is stored.

    Returns
    -------
    Equations
    """
    lines: list[Relation | Rate] = [mounting.FREE]
    lines += [light.BY_RATING if "rated_power" in known else light.PANEL, light.SOLAR, ENERGY]
    moves = known >= _MOVING
    if moves:
        lines.append(road.ROLLING)
    if moves and alone:
        lines += [light.BALANCE, DISTANCE]
    if moves and "speed" in known:
        lines += [road.DRAG, road.ROAD, road.WHEEL, road.DRIVE, road.CONSUMPTION, light.DISTANCE]
    zeros = {"headwind", "grade_angle", "grade_force", "coast_down_linear"}
    return Equations(lines, zeros=zeros | ({"temperature_coefficient"} - known))
