"""The governing equations of a schedule, each written once."""

from __future__ import annotations

from functools import cache

import sympy

from chalkwatt.laws.relations import Relation, author_order
from chalkwatt.runs.equations import Equations, Rate
from chalkwatt.topics import load as road

__all__ = ["equations"]

with author_order() as q:
    ACCELERATION = Rate(
        "Acceleration",
        "speed",
        q.acceleration,
        assumptions=("Between two points of the schedule acceleration is constant.",),
    )
    FORCE = Relation(
        "Force of the wheels",
        q.wheel_force,
        q.rotating_mass_factor * q.mass * q.acceleration + q.air_force + q.rolling_force,
        source="Newton's second law",
        assumptions=("Level road, no wind.",),
    )
    POWER = Relation(
        "Power at the wheels", q.wheel_power, q.wheel_force * q.speed, source="definition"
    )
    DRIVING = Rate("Driving", "wheel_energy", sympy.Max(q.wheel_power, 0, evaluate=False))
    BRAKING = Rate("Braking", "braking_energy", -sympy.Min(q.wheel_power, 0, evaluate=False))
    RECOVERY = Rate(
        "Recovery",
        "recovered_energy",
        -q.recovery_efficiency * sympy.Min(q.wheel_power, 0, evaluate=False),
        assumptions=("One efficiency holds at every braking power.",),
    )
    LIMITED = Rate(
        "Recovery, with a limit",
        "recovered_energy",
        sympy.Min(
            -q.recovery_efficiency * sympy.Min(q.wheel_power, 0, evaluate=False),
            q.recovery_power_max,
            evaluate=False,
        ),
        assumptions=(
            "One efficiency holds at every braking power; friction brakes take the rest.",
        ),
    )
    AUXILIARY = Rate(
        "Auxiliary load",
        "auxiliary_energy",
        q.auxiliary_power,
        assumptions=("It lasts as long as the schedule, standstill included.",),
    )
    DISTANCE = Rate("Distance", "trip_distance", q.speed)
    BATTERY = Relation(
        "Energy from the battery",
        q.battery_energy,
        q.wheel_energy / q.drive_efficiency + q.auxiliary_energy - q.recovered_energy,
        source="definition",
        assumptions=("One drive efficiency holds at every speed and load.",),
    )
    CONSUMPTION = Relation(
        "Consumption", q.consumption, q.battery_energy / q.trip_distance, source="definition"
    )


@cache
def equations(*, limited: bool) -> Equations:
    """Return the governing equations, with or without a limit of recovery."""
    return Equations(
        (
            ACCELERATION,
            road.DRAG,
            road.ROLLING,
            FORCE,
            POWER,
            DRIVING,
            BRAKING,
            LIMITED if limited else RECOVERY,
            AUXILIARY,
            DISTANCE,
            BATTERY,
            CONSUMPTION,
        ),
        zeros=("headwind", "grade_angle"),
    )
