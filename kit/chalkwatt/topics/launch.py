"""The standing start: what tyres, motor and battery allow, in closed forms.

=====================  =========================================================================
assumed                what it means
=====================  =========================================================================
two limits             tyres or torque limit a start first, the power later; each in its closed form
no resistance          the closed forms leave out drag and rolling; a run does not
drive efficiency       limits power only: motor power times it reaches the wheels
friction               one number for tyres and road, whatever the speed, load and slip
turning parts          count as mass that the tyres move, also at the tyres' limit
load transfer          height over wheelbase, with stiff springs and no lift from the air
top speed              level road, no wind; by power, or by the turns of the motor if those are known
three wheels           the same formulas: a vehicle on three wheels has two axles, too
=====================  =========================================================================
"""

from __future__ import annotations

import math

import sympy

from chalkwatt.answering.topic import Apart, Limit, Topic
from chalkwatt.laws.relations import Relation, Remark, author_order, greatest, least
from chalkwatt.topics import air
from chalkwatt.topics import load as road
from chalkwatt.topics import pack as cells

__all__ = ["CAUTION", "launch"]

_EXACT = "definition"
_NEWTON = "Newton's second law"
_FRICTION = "Coulomb's law of friction"
_FOX = "G. T. Fox, Am. J. Phys. 41 (1973) 311"
_FOX_AFTER = f"{_FOX}, after a first stretch at the tyres' limit"
_FREE = "No drag and no rolling resistance."
_LAST_BIT = 1e-9  # relative
_TYRES_ALONE = (
    "This is what tyres and weight alone allow: air drag and rolling resistance are left out, so that a "
    "fast vehicle gains a little less."
)
_STRETCHES = "Tyres or torque limit the start up to the crossover speed, the power beyond it."
_STATICS = "balance of moments about the axles; handbooks of vehicle dynamics, no single source"
# What a verdict says of it in a bracket.
_NO_RESISTANCE = ("without drag", "without rolling resistance")
_RIGID = ("without pitching", "without lift")
_LEVEL = ("without a slope",)
# What the closed forms know nothing of; the acceleration at one speed does.
_HILLS_AND_WIND = ("grade", "grade_angle", "grade_force", "headwind")
_FULL = ("with full power beyond the tyres’ limit",)
_STIFF = "The vehicle does not pitch, and the air does not lift it."
# The worked examples of traction do so (the motor coach among the checks of dynamics); exactly, only what
# turns with wheels that are not driven is moved by the road, and friction times gravity is never passed.
_TURNING = (
    "What turns counts as mass that the tyres move, as usual in traction: what the motor turns by itself "
    "asks nothing of the road, so that this is a little low, by less than the rotating mass factor."
)

CAUTION = (
    "Figures for explanation. A full-power start belongs on a closed course with the organiser's "
    "and the maker's safety rules, never on a public road."
)

_LIFTED = (
    "The {axle} wheels lift before the {tyres} slip, at an acceleration of {{at}}: more friction no longer "
    "helps."
)

_AT_MOST = "At the greatest acceleration that tyres and torque allow, {what} {{at}}: no power makes it {more}."

with author_order() as q:
    EFFECTIVE = Relation(
        "Mass that resists acceleration",
        q.effective_mass,
        q.rotating_mass_factor * q.mass,
        source="Reg. (EU) 2017/1151 Annex XXI Sub-Annex 4 §2.5",
    )
    WHEEL = Relation(
        "Power at the wheels",
        q.wheel_power,
        q.drive_efficiency * least(q.current_limited_power, q.motor_power, q.voltage_limited_power),
        source=_EXACT,
        assumptions=(
            "The drive efficiency limits power, not force.",
            "The lower of motor and battery limits; a limit that nothing is said of does not.",
        ),
    )
    TRACTION = Relation(
        "Acceleration at which the tyres slip",
        q.traction_acceleration,
        q.friction
        * q.driven_weight_share
        * q.gravity
        / (q.rotating_mass_factor - q.friction * q.load_transfer),
        source=f"{_FRICTION}; {_STATICS}",
        model=(*_NO_RESISTANCE, *_RIGID),
        assumptions=(_TYRES_ALONE, _STIFF, _TURNING),
        where=(
            q.rotating_mass_factor - q.friction * q.load_transfer,
            (1 - q.driven_weight_share) * q.gravity - q.load_transfer * q.traction_acceleration,
        ),
        refusals=(
            Remark(
                (1 - q.driven_weight_share)
                * (q.rotating_mass_factor - q.friction * q.load_transfer)
                - q.friction * q.driven_weight_share * q.load_transfer,
                "The wheels that are not driven lift before the driven tyres slip, at an acceleration of {at}: "
                "no friction is the limit there. Wheelbase, height of the centre of gravity and rear weight share "
                "give the rear drive acceleration, which knows of lifting wheels.",
                at=(1 - q.driven_weight_share) * q.gravity / q.load_transfer,
                label="m/s²",
            ),
        ),
        leaves_out=_HILLS_AND_WIND,
    )
    ALL_WHEEL = Relation(
        "All wheels driven",
        q.all_wheel_drive_acceleration,
        least(q.friction * q.gravity / q.rotating_mass_factor, q.lifting_acceleration),
        source=f"{_FRICTION}; {_STATICS}",
        model=_NO_RESISTANCE,
        assumptions=(
            "Each wheel gets the share of the force that its load can carry, until the front wheels lift.",
            _TURNING,
            _TYRES_ALONE,
        ),
        remarks=(
            Remark(
                q.friction * q.gravity - q.rotating_mass_factor * q.lifting_acceleration,
                _LIFTED.format(axle="front", tyres="tyres"),
                at=q.lifting_acceleration,
                label="m/s²",
            ),
        ),
        leaves_out=_HILLS_AND_WIND,
    )
    REAR = Relation(
        "Rear wheels driven",
        q.rear_drive_acceleration,
        # The lower of what the rear tyres hold and what lifts the front wheels, written without the
        # pole at which the load on the rear wheels grows as fast as the force asked of them.
        q.friction
        * q.rear_weight_share
        * q.gravity
        / greatest(
            q.rotating_mass_factor - q.friction * q.centre_of_gravity_height / q.wheelbase,
            q.friction * q.rear_weight_share * q.gravity / q.lifting_acceleration,
        ),
        source=f"{_FRICTION}; {_STATICS}",
        model=(*_NO_RESISTANCE, *_RIGID),
        assumptions=(
            "Accelerating loads the rear wheels, until the front wheels lift.",
            _STIFF,
            _TURNING,
            _TYRES_ALONE,
        ),
        where=(q.lifting_acceleration - q.rear_drive_acceleration,),
        remarks=(
            Remark(
                q.friction * q.gravity - q.rotating_mass_factor * q.lifting_acceleration,
                _LIFTED.format(axle="front", tyres="rear tyres"),
                at=q.lifting_acceleration,
                label="m/s²",
            ),
        ),
        leaves_out=_HILLS_AND_WIND,
    )
    FRONT = Relation(
        "Front wheels driven",
        q.front_drive_acceleration,
        q.friction
        * (1 - q.rear_weight_share)
        * q.gravity
        / (q.rotating_mass_factor + q.friction * q.centre_of_gravity_height / q.wheelbase),
        source=f"{_FRICTION}; {_STATICS}",
        model=(*_NO_RESISTANCE, *_RIGID),
        assumptions=(
            "Accelerating takes load off the front wheels.",
            _STIFF,
            _TURNING,
            _TYRES_ALONE,
        ),
        leaves_out=_HILLS_AND_WIND,
    )
    LIFT = Relation(
        "Acceleration at which the front wheels lift",
        q.lifting_acceleration,
        (1 - q.rear_weight_share) * q.gravity * q.wheelbase / q.centre_of_gravity_height,
        source=_STATICS,
        model=(*_NO_RESISTANCE, *_RIGID),
        assumptions=(_STIFF, _TYRES_ALONE),
    )
    TORQUE = Relation(
        "Force at the largest torque",
        q.torque_force,
        q.motor_torque * q.gear_ratio / q.wheel_radius,
        source="law of the lever",
        model=("without friction in the gears",),
        assumptions=("Gears pass the torque on whole; losses count as power.",),
    )
    TYRES = Relation(
        "Force that the tyres hold",
        q.traction_force,
        # A slope presses less on the road, and its pull moves load as speeding up does.
        q.friction
        * (
            q.driven_weight_share * q.mass * q.gravity * sympy.cos(q.grade_angle)
            + q.load_transfer * (q.mass * q.acceleration + q.grade_force)
        ),
        source=f"{_FRICTION}; {_STATICS}",
        model=_RIGID,
        assumptions=(_STIFF,),
    )
    DRIVE = Relation(
        "Driving force",
        q.drive_force,
        least(q.traction_force, q.torque_force, q.wheel_power / q.speed),
        source=_EXACT,
        assumptions=("The driver, or the electronics, always finds the limit.",),
    )
    MOTION = Relation(
        "Acceleration",
        q.effective_mass * q.acceleration,
        q.drive_force - q.road_force,
        source=_NEWTON,
        finds="acceleration",
    )
    OUTPUT = Relation(
        "Power that drives at that moment",
        q.propulsion_power,
        q.drive_force * q.speed,
        source=_EXACT,
        refusals=(Remark(q.speed, "The vehicle stands still: a force at rest is no power."),),
    )
    START = Relation(
        "Acceleration at the start",
        q.start_acceleration,
        least(q.traction_acceleration, q.torque_force / q.effective_mass),
        source=_NEWTON,
        model=(*_NO_RESISTANCE,),
        assumptions=(
            "Tyres or torque limit it, whichever allows less; of a torque that nobody stated nothing is known.",
            _FREE,
        ),
        leaves_out=_HILLS_AND_WIND,
    )
    # Which of the two it is: rounding may leave a last bit between them.
    _torque_binds = 1 - q.start_acceleration / q.traction_acceleration - _LAST_BIT
    _tyres_bind = q.start_acceleration / q.traction_acceleration - 1 + _LAST_BIT
    _all_the_way = sympy.sqrt(2 * q.start_acceleration * q.sprint_distance)
    CROSSOVER = Relation(
        "Where the limit changes",
        q.crossover_speed,
        q.wheel_power / (q.effective_mass * q.start_acceleration),
        source=_EXACT,
        assumptions=("Below it tyres or torque limit the start, above it the power.",),
    )
    FIRST = Relation(
        "Where the first stretch ends",
        q.tyre_limited_speed,
        least(q.target_speed, q.crossover_speed),
        source=_EXACT,
        assumptions=(_STRETCHES,),
        remarks=(
            Remark(
                least(q.crossover_speed - q.target_speed, _tyres_bind * q.target_speed),
                "The tyres limit the start all the way to this speed: more power no longer helps.",
            ),
            Remark(
                least(q.crossover_speed - q.target_speed, _torque_binds * q.target_speed),
                "The motor’s torque limits the start all the way to this speed: more power no longer helps.",
            ),
        ),
    )
    TIME = Relation(
        "Time to a speed",
        q.time_to_speed,
        q.tyre_limited_speed / q.start_acceleration
        + q.effective_mass * (q.target_speed**2 - q.tyre_limited_speed**2) / (2 * q.wheel_power),
        source=_FOX_AFTER,
        model=(*_NO_RESISTANCE, *_LEVEL, *_FULL),
        refusals=(
            Remark(
                q.start_acceleration * q.time_to_speed - q.target_speed,
                _AT_MOST.format(what="this speed takes", more="shorter"),
                at=q.target_speed / q.start_acceleration,
                label="s",
            ),
        ),
        assumptions=(_FREE,),
        leaves_out=_HILLS_AND_WIND,
    )
    DISTANCE = Relation(
        "Distance to a speed",
        q.distance_to_speed,
        q.tyre_limited_speed**2 / (2 * q.start_acceleration)
        + q.effective_mass * (q.target_speed**3 - q.tyre_limited_speed**3) / (3 * q.wheel_power),
        source=_FOX_AFTER,
        model=(*_NO_RESISTANCE, *_LEVEL, *_FULL),
        refusals=(
            Remark(
                2 * q.start_acceleration * q.distance_to_speed - q.target_speed**2,
                _AT_MOST.format(what="this speed takes", more="shorter"),
                at=q.target_speed**2 / (2 * q.start_acceleration),
                label="m",
            ),
        ),
        assumptions=(_FREE,),
        leaves_out=_HILLS_AND_WIND,
    )
    FIRST_OF_SPRINT = Relation(
        "Where the first stretch of the sprint ends",
        q.tyre_limited_sprint_speed,
        least(_all_the_way, q.crossover_speed),
        source=_EXACT,
        assumptions=(_STRETCHES,),
        remarks=(
            Remark(
                least(q.crossover_speed - _all_the_way, _tyres_bind * q.crossover_speed),
                "The tyres limit the start over the whole distance: more power no longer helps.",
            ),
            Remark(
                least(q.crossover_speed - _all_the_way, _torque_binds * q.crossover_speed),
                "The motor’s torque limits the start over the whole distance: more power no longer helps.",
            ),
        ),
    )
    EXIT = Relation(
        "Speed after a distance",
        q.exit_speed,
        sympy.cbrt(
            q.tyre_limited_sprint_speed**3
            + 3
            * q.wheel_power
            * (q.sprint_distance - q.tyre_limited_sprint_speed**2 / (2 * q.start_acceleration))
            / q.effective_mass
        ),
        source=_FOX_AFTER,
        model=(*_NO_RESISTANCE, *_LEVEL, *_FULL),
        refusals=(
            Remark(
                2 * q.start_acceleration * q.sprint_distance - q.exit_speed**2,
                _AT_MOST.format(what="the speed after this distance is", more="higher"),
                at=_all_the_way,
                label="m/s",
            ),
        ),
        assumptions=(_FREE,),
        leaves_out=_HILLS_AND_WIND,
    )
    SPRINT = Relation(
        "Time over a distance",
        q.time_over_distance,
        q.tyre_limited_sprint_speed / q.start_acceleration
        + q.effective_mass
        * (q.exit_speed**2 - q.tyre_limited_sprint_speed**2)
        / (2 * q.wheel_power),
        source=_FOX_AFTER,
        model=(*_NO_RESISTANCE, *_LEVEL, *_FULL),
        refusals=(
            Remark(
                q.start_acceleration * q.time_over_distance**2 - 2 * q.sprint_distance,
                _AT_MOST.format(what="this distance takes", more="shorter"),
                at=sympy.sqrt(2 * q.sprint_distance / q.start_acceleration),
                label="s",
            ),
        ),
        assumptions=(_FREE,),
        leaves_out=_HILLS_AND_WIND,
    )
    POWER_TIME = Relation(
        "Time to a speed with power alone",
        q.power_bound_time,
        q.effective_mass * q.target_speed**2 / (2 * q.wheel_power),
        source=_FOX,
        model=(*_NO_RESISTANCE, *_LEVEL, "with tyres that hold any force"),
        assumptions=("The tyres hold any force.", _FREE),
        leaves_out=_HILLS_AND_WIND,
    )
    FRICTION_TIME = Relation(
        "Time to a speed that no power beats",
        q.friction_bound_time,
        q.target_speed / (q.friction * q.gravity),
        source=_FRICTION,
        model=(*_NO_RESISTANCE, *_LEVEL, "with all of the weight on driven wheels"),
        assumptions=("All of the weight stands on driven wheels.", _FREE),
        leaves_out=_HILLS_AND_WIND,
    )
    MEAN = Relation(
        "Mean acceleration", q.mean_acceleration, q.target_speed / q.time_to_speed, source=_EXACT
    )
    POWER_SPRINT = Relation(
        "Time over a distance with power alone",
        q.power_time_over_distance,
        sympy.cbrt(9 * q.effective_mass * q.sprint_distance**2 / (8 * q.wheel_power)),
        source=_FOX,
        model=(*_NO_RESISTANCE, *_LEVEL, "with tyres that hold any force"),
        assumptions=("The tyres hold any force.", _FREE),
        leaves_out=_HILLS_AND_WIND,
    )
    POWER_EXIT = Relation(
        "Speed at the end of it",
        q.power_exit_speed,
        sympy.cbrt(3 * q.wheel_power * q.sprint_distance / q.effective_mass),
        source=_FOX,
        model=(*_NO_RESISTANCE, *_LEVEL, "with tyres that hold any force"),
        assumptions=("The tyres hold any force.", _FREE),
        leaves_out=_HILLS_AND_WIND,
    )
    FRICTION_SPRINT = Relation(
        "Time over a distance that no power beats",
        q.friction_time_over_distance,
        sympy.sqrt(2 * q.sprint_distance / (q.friction * q.gravity)),
        source=_FRICTION,
        model=(*_NO_RESISTANCE, *_LEVEL, "with all of the weight on driven wheels"),
        assumptions=("All of the weight stands on driven wheels.", _FREE),
        leaves_out=_HILLS_AND_WIND,
    )
    POWER_TOP = Relation(
        "Top speed by power",
        q.wheel_power,
        (
            sympy.S.Half
            * q.air_density
            * q.drag_area
            * sympy.Abs(q.power_limited_top_speed + q.headwind)
            * (q.power_limited_top_speed + q.headwind)
            + q.rolling_force
            + q.grade_force
            + q.coast_down_linear * q.power_limited_top_speed
        )
        * q.power_limited_top_speed,
        source="balance of power at a steady speed",
        finds="power_limited_top_speed",
        model=("steady",),
        assumptions=("Full power up to top speed.",),
        tacit=("coast_down_linear",),
    )
    MOTOR_TOP = Relation(
        "Top speed by the motor's turns",
        q.motor_limited_top_speed,
        2 * q.pi * q.wheel_radius * q.motor_speed_max / q.gear_ratio,
        source="rolling without slip",
        model=("without tyre slip",),
        assumptions=("One gear; the tyres do not slip, and do not grow with speed.",),
    )
    TOP = Relation(
        "Top speed",
        q.top_speed,
        least(q.power_limited_top_speed, q.motor_limited_top_speed),
        source=_EXACT,
        model=("without any other limit",),
        assumptions=("Nothing else limits it, such as software or tyres.",),
        remarks=(
            Remark(
                q.power_limited_top_speed - q.motor_limited_top_speed,
                "The motor turns no faster: more power no longer helps.",
            ),
            Remark(
                q.motor_limited_top_speed - q.power_limited_top_speed,
                "The power limits the top speed: the motor could turn faster.",
            ),
        ),
    )
    ROLLOUT = Relation(
        "What the clock does not see",
        q.rollout_time,
        sympy.sqrt(2 * q.rollout / q.start_acceleration),
        source=_EXACT,
        model=(*_NO_RESISTANCE, *_LEVEL),
        assumptions=("Tyres or torque limit the first stretch.", _FREE),
        leaves_out=_HILLS_AND_WIND,
    )
    # After gravity, on which it rests where the axles are known.
    NO_LIFTING = Relation(
        "No such limit",
        q.lifting_acceleration,
        math.inf,
        source="standing value",
        standing=True,
        partly="The limit at which the front wheels lift",
    )
    STANDING = (
        # Limits first: one that is not there says less than any value.
        *(
            Relation(
                "No such limit",
                limit,
                math.inf,
                source="standing value",
                standing=True,
                partly="The battery’s limit",  # a voltage is often known, a resistance seldom
            )
            for limit in (q.current_limited_power, q.voltage_limited_power)
        ),
        *(
            Relation("No such limit", limit, math.inf, source="standing value", standing=True)
            for limit in (
                q.motor_power,
                q.torque_force,
                q.motor_speed_max,
            )
        ),
        Relation(
            "No parts to spin up", q.rotating_mass_factor, 1, source="standing value", standing=True
        ),
        Relation("No load transfer", q.load_transfer, 0, source="standing value", standing=True),
        Relation(
            "One foot of rollout",
            q.rollout,
            0.3048,
            source="common practice, no source",
            standing=True,
        ),
    )

launch = Topic(
    "launch",
    "Standing start",
    relations=(
        EFFECTIVE,
        cells.FLOOR,
        cells.CEILING,
        WHEEL,
        TRACTION,
        LIFT,
        REAR,
        FRONT,
        ALL_WHEEL,
        START,
        CROSSOVER,
        FIRST,
        TIME,
        DISTANCE,
        FIRST_OF_SPRINT,
        EXIT,
        SPRINT,
        MEAN,
        POWER_TIME,
        FRICTION_TIME,
        POWER_SPRINT,
        POWER_EXIT,
        FRICTION_SPRINT,
        ROLLOUT,
        road.DRAG_AREA,
        *air.RELATIONS,
        road.DRAG,
        road.SLOPE,
        road.ROLLING,
        road.CLIMB,
        road.ROAD,
        TORQUE,
        TYRES,
        DRIVE,
        OUTPUT,
        MOTION,
        POWER_TOP,
        MOTOR_TOP,
        TOP,
        *STANDING,
        *road.STANDING,
        NO_LIFTING,
    ),
    example={
        "mass": "1180 kg",
        "motor_power": "95 kW",
        "drive_efficiency": 0.9,
        "friction": 0.9,
        "driven_weight_share": 0.55,
        "rotating_mass_factor": 1.04,
        "target_speed": "100 km/h",
    },
    wanted="time_to_speed",
    outcomes=(
        "time_to_speed",
        "crossover_speed",
        "power_bound_time",
        "friction_bound_time",
        "top_speed",
        "acceleration",
    ),
    # No mean is above the most there is: a time, or a speed after a distance, that asks for more asks it of the tyres.
    limits=(
        Limit("mean_acceleration", TRACTION, TRACTION.sides[1]),
        Limit(
            "exit_speed",
            TRACTION,
            ("sqrt", ("*", 2, TRACTION.sides[1], "sprint_distance")),
        ),
    ),
    caution=CAUTION,
    apart={
        "wheel_power": Apart(
            "The wheel power of a start is the most that motor and battery give, and not what the "
            "road asks for at a steady speed."
        )
    },
)
