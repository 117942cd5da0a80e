"""Stop and go: speed up, roll on, brake, stand; what that takes and what braking returns.

=====================  =========================================================================
assumed                what it means
=====================  =========================================================================
a trapezium            speed grows steadily, stays, and falls steadily
resistance             rolling and slope as one steady force; drag with the square of speed
one drive efficiency   between battery and wheel, at every speed and load
recovery               one share of the braking energy, whatever the power and the charge
=====================  =========================================================================
"""

from __future__ import annotations

import sympy

from chalkwatt.relations import Relation, author_order
from chalkwatt.topic import Topic
from chalkwatt.topics import air, launch
from chalkwatt.topics import load as road

__all__ = ["stops"]

_EXACT = "definition"
_ENERGY = "balance of energy over a trapezium of speed"
_TRAPEZIUM = ("Speed grows steadily, stays, and falls steadily.",)

with author_order() as q:
    SPACING = Relation(
        "Distance from stop to stop",
        q.stop_spacing,
        q.peak_speed * q.running_time
        - q.peak_speed**2 * (1 / (2 * q.acceleration) + 1 / (2 * q.deceleration)),
        source="area of a trapezium",
        assumptions=_TRAPEZIUM,
        where=(q.running_time - q.peak_speed * (1 / q.acceleration + 1 / q.deceleration),),
    )
    RUNNING = Relation(
        "Mean speed between stops", q.running_speed, q.stop_spacing / q.running_time, source=_EXACT
    )
    SCHEDULE = Relation(
        "Mean speed with stops",
        q.schedule_speed,
        q.stop_spacing / (q.running_time + q.standing_time),
        source=_EXACT,
    )
    PEAK = Relation(
        "Most power at the wheels",
        q.peak_wheel_power,
        (
            q.effective_mass * q.acceleration
            + q.rolling_force
            + q.grade_force
            + sympy.S.Half * q.air_density * q.drag_area * q.peak_speed**2
        )
        * q.peak_speed,
        source="Newton's second law at the end of speeding up",
        assumptions=("No wind.",),
    )
    WHEEL = Relation(
        "Energy at the wheels",
        q.stop_wheel_energy,
        sympy.S.Half * q.effective_mass * q.peak_speed**2
        + (q.rolling_force + q.grade_force)
        * (q.stop_spacing - q.peak_speed**2 / (2 * q.deceleration))
        + sympy.S.Half
        * q.air_density
        * q.drag_area
        * q.peak_speed**2
        * (
            q.stop_spacing
            - q.peak_speed**2 / (4 * q.acceleration)
            - q.peak_speed**2 / (2 * q.deceleration)
        ),
        source=_ENERGY,
        assumptions=(*_TRAPEZIUM, "Brakes are on while it slows down.", "No wind."),
    )
    BRAKING = Relation(
        "Energy for the brakes",
        q.braking_energy,
        sympy.S.Half * q.effective_mass * q.peak_speed**2
        - (q.rolling_force + q.grade_force) * (q.peak_speed**2 / (2 * q.deceleration))
        - q.air_density * q.drag_area * q.peak_speed**4 / (8 * q.deceleration),
        source=_ENERGY,
        assumptions=(*_TRAPEZIUM, "No wind."),
    )
    RECOVERED = Relation(
        "Energy recovered",
        q.recovered_energy,
        q.recovery_efficiency * q.braking_energy,
        source=_EXACT,
    )
    BY_DISTANCE = Relation(
        "Energy at the wheels per distance",
        q.stop_wheel_consumption,
        q.stop_wheel_energy / q.stop_spacing,
        source=_EXACT,
    )
    CONSUMPTION = Relation(
        "Consumption",
        q.consumption * q.stop_spacing,
        q.stop_wheel_energy / q.drive_efficiency
        - q.recovered_energy
        + q.auxiliary_power * (q.running_time + q.standing_time),
        source="balance of energy at the battery",
    )
    STANDING = (
        Relation("Nothing recovered", q.recovery_efficiency, 0, "standing value", standing=True),
        Relation("No standing", q.standing_time, 0, "standing value", standing=True),
        Relation("No parts to turn", q.rotating_mass_factor, 1, "standing value", standing=True),
        *(one for one in road.STANDING if one.names[0] in {"grade", "gravity"}),
        *air.STANDING,
    )

stops = Topic(
    "stops",
    "Stop and go",
    relations=(
        SPACING,
        RUNNING,
        SCHEDULE,
        launch.EFFECTIVE,
        PEAK,
        WHEEL,
        BRAKING,
        RECOVERED,
        BY_DISTANCE,
        CONSUMPTION,
        road.DRAG_AREA,
        *air.RELATIONS,
        road.SLOPE,
        road.ROLLING,
        road.CLIMB,
        *STANDING,
    ),
    example={
        "peak_speed": "50 km/h",
        "stop_spacing": "500 m",
        "acceleration": "1.2 m/s²",
        "deceleration": "1.5 m/s²",
        "standing_time": "20 s",
        "mass": "1180 kg",
        "rotating_mass_factor": 1.04,
        "rolling_coefficient": 0.0085,
        "drag_area": "0.42 m²",
        "drive_efficiency": 0.85,
        "auxiliary_power": "350 W",
        "recovery_efficiency": "60 %",
    },
    wanted="consumption",
    outcomes=(
        "consumption",
        "schedule_speed",
        "peak_wheel_power",
        "recovered_energy",
        "stop_wheel_energy",
    ),
    caution="Figures for explanation. "
    "On public roads, limits, traffic and weather decide how fast to drive.",
)
