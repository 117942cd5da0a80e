"""Stop and go: speed up, roll on, brake, stand; what that takes and what braking returns.

=====================  =========================================================================
assumed                what it means
=====================  =========================================================================
a trapezium            speed grows steadily, stays, and falls steadily
resistance             rolling and slope as one steady force; drag with the square of speed
power both ways        at every moment the wheels either drive or give back: on a descent they may
                       give back while rolling on, on a rise they may drive while slowing down
one drive efficiency   between battery and wheel, at every speed and load, of what drives
recovery               one share of what the wheels give back, whatever the power and the charge
=====================  =========================================================================
"""

from __future__ import annotations

import sympy

from chalkwatt.relations import Relation, Remark, author_order, greatest
from chalkwatt.topic import Topic
from chalkwatt.topics import air, launch
from chalkwatt.topics import load as road

__all__ = ["stops"]

_EXACT = "definition"
_ENERGY = "balance of energy over a trapezium of speed"
_TRAPEZIUM = ("Speed grows steadily, stays, and falls steadily.",)
_BOTH_WAYS = "At every moment the wheels either drive or give back, as speed and slope ask for."

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
    # Written out below and no quantities of their own: a search for the top speed is sure-footed
    # in the speed, and not in a force or a distance that has a root of it.
    _DRAG = sympy.S.Half * q.air_density * q.drag_area * q.peak_speed**2
    _ROLLING_ON = q.stop_spacing - q.peak_speed**2 * (
        1 / (2 * q.acceleration) + 1 / (2 * q.deceleration)
    )
    PEAK = Relation(
        "Most power at the wheels",
        q.peak_wheel_power,
        (q.effective_mass * q.acceleration + q.rolling_force + q.grade_force + _DRAG)
        * q.peak_speed,
        source="Newton's second law at the end of speeding up",
        assumptions=("No wind.",),
    )
    # Speed squared grows evenly with distance, and drag with it: over each stretch the force at the
    # wheels goes from one end to the other in a straight line. Where both ends drive, or both give
    # back, its mean counts; where it changes its sign, that is too much by the same amount for both.
    _FROM_REST = q.effective_mass * q.acceleration + q.rolling_force + q.grade_force
    _TO_THE_TOP = q.effective_mass * q.acceleration + q.rolling_force + q.grade_force + _DRAG
    _HELD_FROM_REST = -q.effective_mass * q.acceleration - q.rolling_force - q.grade_force
    _HELD_TO_THE_TOP = -q.effective_mass * q.acceleration - q.rolling_force - q.grade_force - _DRAG
    _FROM_THE_TOP = q.rolling_force + q.grade_force + _DRAG - q.effective_mass * q.deceleration
    _TO_REST = q.rolling_force + q.grade_force - q.effective_mass * q.deceleration
    _HELD_FROM_THE_TOP = q.effective_mass * q.deceleration - q.rolling_force - q.grade_force - _DRAG
    _HELD_TO_REST = q.effective_mass * q.deceleration - q.rolling_force - q.grade_force
    _TURNED_SPEEDING_UP = (
        greatest(_TO_THE_TOP, 0)
        * greatest(_HELD_FROM_REST, 0)
        / (2 * q.air_density * q.drag_area * q.acceleration)
    )
    _TURNED_SLOWING_DOWN = (
        greatest(_FROM_THE_TOP, 0)
        * greatest(_HELD_TO_REST, 0)
        / (2 * q.air_density * q.drag_area * q.deceleration)
    )
    WHEEL = Relation(
        "Energy that drives",
        q.stop_wheel_energy,
        (greatest(_FROM_REST, 0) + greatest(_TO_THE_TOP, 0))
        * (q.peak_speed**2 / (4 * q.acceleration))
        - _TURNED_SPEEDING_UP
        + greatest(q.rolling_force + q.grade_force + _DRAG, 0) * _ROLLING_ON
        + (greatest(_FROM_THE_TOP, 0) + greatest(_TO_REST, 0))
        * (q.peak_speed**2 / (4 * q.deceleration))
        - _TURNED_SLOWING_DOWN,
        source=_ENERGY,
        assumptions=(*_TRAPEZIUM, _BOTH_WAYS, "No wind."),
        where=(q.acceleration,),
    )
    BRAKING = Relation(
        "Energy for the brakes",
        q.braking_energy,
        (greatest(_HELD_FROM_THE_TOP, 0) + greatest(_HELD_TO_REST, 0))
        * (q.peak_speed**2 / (4 * q.deceleration))
        - _TURNED_SLOWING_DOWN
        + greatest(-q.rolling_force - q.grade_force - _DRAG, 0) * _ROLLING_ON
        + (greatest(_HELD_FROM_REST, 0) + greatest(_HELD_TO_THE_TOP, 0))
        * (q.peak_speed**2 / (4 * q.acceleration))
        - _TURNED_SPEEDING_UP,
        source=_ENERGY,
        assumptions=(*_TRAPEZIUM, _BOTH_WAYS, "No wind."),
        where=(q.acceleration,),
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
        assumptions=(
            (
                "What drives costs more at the battery than at the wheels, and of what the wheels "
                "give back the battery gets a share."
            ),
        ),
        refusals=(
            Remark(
                q.stop_wheel_energy / q.drive_efficiency
                - q.recovered_energy
                + q.auxiliary_power * (q.running_time + q.standing_time),
                "The road drives the vehicle here and nothing is drawn from the battery: "
                "there is no consumption.",
            ),
        ),
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
