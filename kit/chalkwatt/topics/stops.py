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

from chalkwatt.answering.topic import Topic
from chalkwatt.laws.relations import Relation, Remark, author_order, greatest
from chalkwatt.topics import air, launch
from chalkwatt.topics import load as road

__all__ = ["stops"]

_EXACT = "definition"
_ENERGY = "balance of energy over a trapezium of speed"
_TRAPEZIUM = ("Speed grows steadily, stays, and falls steadily.",)
_EVENLY = ("with speed that grows and falls steadily",)
_TOO_SHORT = (
    "The distance from stop to stop is too short: speeding up to this speed and slowing down again "
    "alone take more."
)
_BOTH_WAYS = "At every moment the wheels either drive or give back, as speed and slope ask for."

with author_order() as q:
    SPACING = Relation(
        "Distance from stop to stop",
        q.stop_spacing,
        q.peak_speed * q.running_time
        - q.peak_speed**2 * (1 / (2 * q.acceleration) + 1 / (2 * q.deceleration)),
        source="area of a trapezium",
        finds="running_time",
        model=_EVENLY,
        assumptions=_TRAPEZIUM,
        where=(q.running_time - q.peak_speed * (1 / q.acceleration + 1 / q.deceleration),),
        refusals=(
            Remark(
                q.stop_spacing
                - q.peak_speed**2 * (1 / (2 * q.acceleration) + 1 / (2 * q.deceleration)),
                _TOO_SHORT,
            ),
            Remark(
                q.running_time - q.peak_speed * (1 / q.acceleration + 1 / q.deceleration),
                "The time from stop to stop is too short: speeding up and slowing down alone take "
                "longer.",
            ),
        ),
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
    SPEEDING_UP = Relation(
        "Distance while speeding up",
        q.speeding_up_distance,
        q.peak_speed**2 / (2 * q.acceleration),
        source="steady acceleration from rest",
        model=_EVENLY,
        assumptions=_TRAPEZIUM,
        refusals=(
            Remark(
                q.acceleration,
                "A run between stops begins by speeding up: it takes an acceleration above nought.",
            ),
        ),
    )
    SLOWING_DOWN = Relation(
        "Distance while slowing down",
        q.slowing_down_distance,
        q.peak_speed**2 / (2 * q.deceleration),
        source="steady deceleration to rest",
        model=_EVENLY,
        assumptions=_TRAPEZIUM,
    )
    ROLLING_ON = Relation(
        "Distance at the top speed",
        q.rolling_on_distance,
        q.stop_spacing - q.speeding_up_distance - q.slowing_down_distance,
        source=_EXACT,
        refusals=(
            Remark(q.stop_spacing - q.speeding_up_distance - q.slowing_down_distance, _TOO_SHORT),
            # Where the speed is what is looked for, neither distance is known by itself.
            Remark(
                q.stop_spacing
                - q.peak_speed**2 * (1 / (2 * q.acceleration) + 1 / (2 * q.deceleration)),
                _TOO_SHORT,
            ),
        ),
        # On a level road nothing of the braking rests on it, and yet there must be room for both.
        binds=True,
    )
    PEAK_DRAG = Relation(
        "Air resistance at the top speed",
        q.peak_drag,
        sympy.S.Half * q.air_density * q.drag_area * q.peak_speed**2,
        source="definition of the drag coefficient",
        model=("windless",),
        assumptions=("No wind.",),
    )
    STARTING = Relation(
        "Force that starts",
        q.starting_force,
        q.effective_mass * q.acceleration + q.rolling_force + q.grade_force,
        source="Newton's second law at rest",
    )
    HOLDING = Relation(
        "Force that brings to rest",
        q.holding_force,
        q.effective_mass * q.deceleration - q.rolling_force - q.grade_force,
        source="Newton's second law at rest",
    )
    PEAK = Relation(
        "Most power at the wheels",
        q.peak_wheel_power,
        (q.starting_force + q.peak_drag) * q.peak_speed,
        source="Newton's second law at the end of speeding up",
        model=("windless",),
        assumptions=("No wind.",),
        refusals=(
            Remark(
                q.starting_force + q.peak_drag,
                "The slope drives the vehicle here: from stop to stop the wheels never do.",
            ),
        ),
    )
    # Speed squared grows evenly with distance, and drag with it: over each stretch the force at the
    # wheels goes from one end to the other in a straight line. Where both ends drive, or both give
    # back, its mean counts; where it changes its sign, that is too much by the same amount for both.
    # Each term is a sum's own, and none a quantity: most are nought in ordinary driving, and a
    # quantity that is nought tells a search nothing.
    _TURNED_SPEEDING_UP = (
        greatest(q.starting_force + q.peak_drag, 0)
        * greatest(0, -q.starting_force)
        * q.speeding_up_distance
        / (2 * q.peak_drag)
    )
    _TURNED_SLOWING_DOWN = (
        greatest(q.holding_force, 0)
        * greatest(0, q.peak_drag - q.holding_force)
        * q.slowing_down_distance
        / (2 * q.peak_drag)
    )
    WHEEL = Relation(
        "Energy that drives",
        q.stop_wheel_energy,
        greatest(q.starting_force, 0) * q.speeding_up_distance / 2
        + greatest(q.starting_force + q.peak_drag, 0) * q.speeding_up_distance / 2
        - _TURNED_SPEEDING_UP
        + greatest(q.rolling_force + q.grade_force + q.peak_drag, 0) * q.rolling_on_distance
        + greatest(0, -q.holding_force) * q.slowing_down_distance / 2
        + greatest(0, q.peak_drag - q.holding_force) * q.slowing_down_distance / 2
        - _TURNED_SLOWING_DOWN,
        source=_ENERGY,
        model=("windless", *_EVENLY),
        assumptions=(*_TRAPEZIUM, _BOTH_WAYS, "No wind."),
        where=(q.acceleration,),
    )
    BRAKING = Relation(
        "Energy for the brakes",
        q.braking_energy,
        greatest(q.holding_force, 0) * q.slowing_down_distance / 2
        + greatest(q.holding_force - q.peak_drag, 0) * q.slowing_down_distance / 2
        - _TURNED_SLOWING_DOWN
        + greatest(0, -q.rolling_force - q.grade_force - q.peak_drag) * q.rolling_on_distance
        + greatest(0, -q.starting_force) * q.speeding_up_distance / 2
        + greatest(0, -q.starting_force - q.peak_drag) * q.speeding_up_distance / 2
        - _TURNED_SPEEDING_UP,
        source=_ENERGY,
        model=("windless", *_EVENLY),
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
        finds="consumption",
        assumptions=(
            (
                "Driving costs more at the battery than at the wheels; of what comes back it gets a share."
            ),
        ),
        refusals=(
            Remark(
                q.stop_wheel_energy / q.drive_efficiency
                - q.recovered_energy
                + q.auxiliary_power * (q.running_time + q.standing_time),
                "The road drives the vehicle here and nothing is drawn from the battery: "
                "there is no consumption.",
                endless=("consumption",),
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
        SPEEDING_UP,
        SLOWING_DOWN,
        ROLLING_ON,
        PEAK_DRAG,
        STARTING,
        HOLDING,
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
