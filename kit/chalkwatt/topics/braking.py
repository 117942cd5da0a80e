"""Braking: how hard tyres let a vehicle slow down, how far that takes, and what it could give back.

=====================  =========================================================================
assumed                what it means
=====================  =========================================================================
steady deceleration    from the first touch of the brake to the end speed
friction               one number for tyres and road, whatever the speed, load and slip
load transfer          height over wheelbase, with stiff springs and no lift from the air
air and rolling        help the brakes by their force at the start, or as given; friction limits
                       leave them out
recovery               one share of the braking energy, whatever the power and the charge
=====================  =========================================================================
"""

from __future__ import annotations

import math

import sympy

from chalkwatt.answering.topic import Limit, Topic
from chalkwatt.laws.relations import Relation, Remark, author_order, greatest, least
from chalkwatt.topics import air, launch
from chalkwatt.topics import load as road

__all__ = ["braking"]

_EXACT = "definition"
_FRICTION = "Coulomb's law of friction"
_STATICS = "balance of moments about the axles; handbooks of vehicle dynamics, no single source"
# What a verdict says of it in a bracket.
_NO_RESISTANCE = ("without drag", "without rolling resistance")
_RIGID = ("without pitching", "without downforce")
_HILLS_AND_WIND = ("grade", "grade_angle", "grade_force", "headwind")
_ONE_RATE = ("with a steady deceleration",)
_STIFF = "The vehicle does not pitch, and the air does not press it down."
_TYRES_ALONE = (
    "This is what the tyres alone can do: air drag and rolling resistance are left out, so that a fast "
    "vehicle slows a little harder."
)
_NOTHING_LEFT = (
    "Air, rolling and slope alone slow the vehicle more than that: nothing is left for the brakes."
)
_FASTER = "The speed at the end is above the one at the start: that is no braking."
_EVEN = ("The deceleration stays the same to the end.",)

_LIFTED = (
    "The {axle} wheels lift before the {tyres} slip, at a deceleration of {{at}}: more friction no longer "
    "helps."
)

with author_order() as q:
    TIPPING = Relation(
        "Deceleration at which the rear wheels lift",
        q.tipping_deceleration,
        q.rear_weight_share * q.gravity * q.wheelbase / q.centre_of_gravity_height,
        source=_STATICS,
        model=_RIGID,
        assumptions=(_STIFF,),
    )
    FRONT = Relation(
        "Front wheels braked",
        q.front_braking_deceleration,
        # The lower of what the front tyres hold and what lifts the rear wheels, written without the
        # pole at which the load on the front wheels grows as fast as the force asked of them.
        q.friction
        * (1 - q.rear_weight_share)
        * q.gravity
        / greatest(
            1 - q.friction * q.centre_of_gravity_height / q.wheelbase,
            q.friction * (1 - q.rear_weight_share) * q.gravity / q.tipping_deceleration,
        ),
        source=f"{_FRICTION}; {_STATICS}",
        model=(*_NO_RESISTANCE, *_RIGID),
        assumptions=(
            "Braking loads the front wheels, until the rear wheels lift.",
            _STIFF,
            _TYRES_ALONE,
        ),
        where=(q.tipping_deceleration - q.front_braking_deceleration,),
        remarks=(
            Remark(
                q.friction * q.gravity - q.tipping_deceleration,
                _LIFTED.format(axle="rear", tyres="front tyres"),
                at=q.tipping_deceleration,
                label="m/s²",
            ),
        ),
        leaves_out=_HILLS_AND_WIND,
    )
    REAR = Relation(
        "Rear wheels braked",
        q.rear_braking_deceleration,
        q.friction
        * q.rear_weight_share
        * q.gravity
        / (1 + q.friction * q.centre_of_gravity_height / q.wheelbase),
        source=f"{_FRICTION}; {_STATICS}",
        model=(*_NO_RESISTANCE, *_RIGID),
        assumptions=("Braking takes load off the rear wheels.", _STIFF, _TYRES_ALONE),
        leaves_out=_HILLS_AND_WIND,
    )
    ALL = Relation(
        "All wheels braked",
        q.all_wheel_braking_deceleration,
        least(q.friction * q.gravity, q.tipping_deceleration),
        source=f"{_FRICTION}; {_STATICS}",
        model=_NO_RESISTANCE,
        assumptions=(
            "Each wheel gets the share of the force that its load can carry, until the rear wheels lift.",
            _TYRES_ALONE,
        ),
        remarks=(
            Remark(
                q.friction * q.gravity - q.tipping_deceleration,
                _LIFTED.format(axle="rear", tyres="tyres"),
                at=q.tipping_deceleration,
                label="m/s²",
            ),
        ),
        refusals=(
            Remark(
                q.tipping_deceleration - q.all_wheel_braking_deceleration,
                "The rear wheels lift before the vehicle slows as hard as that, at a deceleration of {at}: no "
                "friction gives it.",
                at=q.tipping_deceleration,
                label="m/s²",
            ),
        ),
        leaves_out=_HILLS_AND_WIND,
    )
    FORCE = Relation(
        "Forces that slow",
        q.effective_mass * q.deceleration,
        q.brake_force + q.road_force,
        source="Newton's second law",
        finds="deceleration",
        assumptions=("Air, tyres and a rise of the road slow it, too.",),
        refusals=(
            Remark(
                q.brake_force + q.road_force,
                "Slope or wind drives the vehicle here with more than the brakes hold: it does not slow "
                "down.",
            ),
            Remark(q.effective_mass * q.deceleration - q.road_force, _NOTHING_LEFT),
        ),
    )
    DISTANCE = Relation(
        "Braking distance",
        q.braking_distance,
        (q.speed**2 - q.end_speed**2) / (2 * q.deceleration),
        source="steady deceleration",
        model=_ONE_RATE,
        assumptions=_EVEN,
        where=(q.speed - q.end_speed,),
        refusals=(Remark(q.speed - q.end_speed, _FASTER),),
    )
    TIME = Relation(
        "Braking time",
        q.braking_time,
        (q.speed - q.end_speed) / q.deceleration,
        source="steady deceleration",
        model=_ONE_RATE,
        assumptions=_EVEN,
        refusals=(Remark(q.speed - q.end_speed, _FASTER),),
    )
    STOPPING = Relation(
        "Stopping distance",
        q.stopping_distance,
        q.speed * q.reaction_time + q.braking_distance,
        source=_EXACT,
        refusals=(Remark(q.speed, "The vehicle stands still: there is nothing to stop."),),
    )
    KINETIC = Relation(
        "Energy of motion",
        q.kinetic_energy,
        sympy.S.Half * q.effective_mass * q.speed**2,
        source=_EXACT,
    )
    HEIGHT = Relation(
        "Height to which it coasts",
        q.coasting_height,
        q.kinetic_energy / (q.mass * q.gravity),
        source="balance of energy",
        model=_NO_RESISTANCE,
        assumptions=("Nothing but the slope resists.",),
    )
    ENERGY = Relation(
        "Energy for the brakes",
        q.braking_energy,
        sympy.S.Half * q.effective_mass * (q.speed**2 - q.end_speed**2)
        - q.road_force * q.braking_distance,
        source="balance of energy",
        model=("with the road force of the start",),
        assumptions=("The road force stays as it was at the start.",),
        refusals=(
            Remark(
                sympy.S.Half * q.effective_mass * (q.speed**2 - q.end_speed**2)
                - q.road_force * q.braking_distance,
                _NOTHING_LEFT,
            ),
        ),
    )
    RECOVERED = Relation(
        "Energy recovered",
        q.recovered_energy,
        q.recovery_efficiency * q.braking_energy,
        source=_EXACT,
    )
    # After gravity, on which it rests where the axles are known.
    NO_TIPPING = Relation(
        "No such limit",
        q.tipping_deceleration,
        math.inf,
        source="standing value",
        standing=True,
        partly="The limit at which the rear wheels lift",
    )
    STANDING = (
        Relation("To a stop", q.end_speed, 0, source="standing value", standing=True),
        Relation(
            "A second to react",
            q.reaction_time,
            1,
            source="common practice, no source",
            standing=True,
        ),
        Relation(
            "No parts to slow down",
            q.rotating_mass_factor,
            1,
            source="standing value",
            standing=True,
        ),
        Relation(
            "Nothing recovered", q.recovery_efficiency, 0, source="standing value", standing=True
        ),
    )

braking = Topic(
    "braking",
    "Braking",
    relations=(
        TIPPING,
        FRONT,
        REAR,
        ALL,
        launch.EFFECTIVE,
        FORCE,
        DISTANCE,
        TIME,
        STOPPING,
        KINETIC,
        HEIGHT,
        ENERGY,
        RECOVERED,
        road.DRAG_AREA,
        *air.RELATIONS,
        road.DRAG,
        road.SLOPE,
        road.ROLLING,
        road.CLIMB,
        road.ROAD,
        *STANDING,
        *road.STANDING,
        NO_TIPPING,
    ),
    example={"speed": "100 km/h", "deceleration": "7 m/s²", "mass": "1180 kg"},
    wanted="stopping_distance",
    outcomes=(
        "stopping_distance",
        "braking_distance",
        "braking_time",
        "kinetic_energy",
        "recovered_energy",
        "deceleration",
    ),
    # The force of the tyres is at most friction times weight, and rolling is a part of it; air and slope come on
    # top, with the opposite sign down a hill.
    limits=(
        Limit(
            "deceleration",
            ALL,
            (
                "+",
                ("*", "friction", "gravity"),
                ("/", ("+", "air_force", "grade_force"), "effective_mass"),
            ),
        ),
        Limit("deceleration", ALL, "tipping_deceleration"),
        # Without mass or drag area nothing is known of the air.
        Limit(
            "deceleration",
            ALL,
            ("+", ("*", "friction", "gravity"), ("*", "gravity", ("sin", "grade_angle"))),
            unless=frozenset({"air_force", "grade_force", "effective_mass"}),
        ),
    ),
    caution=(
        "Figures for explanation. Wet roads, worn tyres and slow eyes take longer: on public roads "
        "keep the distance that the law and the weather ask for."
    ),
)
