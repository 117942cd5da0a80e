"""Road load: what driving at a steady speed asks for, and how far a charge goes.

=====================  =========================================================================
assumed                what it means
=====================  =========================================================================
steady speed           no acceleration, so no energy goes into speed and none comes back
drag                   grows with the square of the speed through the air
cross wind             is left out: only wind along the road counts
rolling                a share of the force on the road; constant, unless a reference coefficient is
                       given with its growth by speed or cold
drive efficiency       one number between battery and wheel; the auxiliary load is not driven
losses by load         a constant and a square loss may stand beside that number; none unless said
auxiliary load         one number, or electronics and what keeps the cabin at a temperature; nobody
                       heats or cools unless a cabin temperature is given
cold cells             no colder than 25 °C, unless the energy of the warm battery is given
recovery               where the wheels give power back, none of it is stored unless said
losses in the pack     counted where voltage and resistance are known, at the nominal voltage; the drive
                       efficiency then begins at the pack's terminals
usable energy          drawn down from full to empty at this one speed
=====================  =========================================================================
"""

from __future__ import annotations

import math

import sympy

from chalkwatt.answering.topic import Topic
from chalkwatt.laws.relations import Meant, Relation, Remark, author_order, greatest, least
from chalkwatt.topics import air, climate, cold, rolling

__all__ = ["DEPENDENT", "RELATIONS", "STANDING", "load"]

_HANDBOOK = "common practice: handbooks of vehicle dynamics, no single source"
_EXACT = "definition"
_LOSSES = "definition; constant losses and losses by the square of the load as in IEC 60034-2-1, from memory"

with author_order() as q:
    DRAG_AREA = Relation(
        "Drag area", q.drag_area, q.drag_coefficient * q.frontal_area, source=_EXACT
    )
    DRAG = Relation(
        "Air drag",
        q.air_force,
        sympy.S.Half
        * q.air_density
        * q.drag_area
        * sympy.Abs(q.speed + q.headwind)
        * (q.speed + q.headwind),
        source="MacKay, Sustainable Energy – without the hot air (2008), p. 255",
        assumptions=(
            "Drag grows with the square of the speed through the air.",
            "Only wind along the road counts: a cross wind, which adds to drag, is left out.",
        ),
    )
    SLOPE = Relation(
        "Angle of the road", q.grade, sympy.tan(q.grade_angle), source=_EXACT, finds="grade_angle"
    )
    ROLLING = Relation(
        "Rolling resistance",
        q.rolling_force,
        q.rolling_coefficient * q.mass * q.gravity * sympy.cos(q.grade_angle),
        source="MacKay, Sustainable Energy – without the hot air (2008), p. 258",
        assumptions=("Rolling resistance does not change with speed unless that is said.",),
    )
    CLIMB = Relation(
        "Grade", q.grade_force, q.mass * q.gravity * sympy.sin(q.grade_angle), source=_EXACT
    )
    ROAD = Relation(
        "Road force",
        q.road_force,
        q.air_force + q.rolling_force + q.grade_force + q.coast_down_linear * q.speed,
        source=_EXACT,
        tacit=("coast_down_linear",),
    )
    WHEEL = Relation(
        "Power at the wheels",
        q.wheel_power,
        q.road_force * q.speed,
        source=_EXACT,
        model=("steady",),
    )
    DRIVE = Relation(
        "From battery to wheel",
        q.battery_power,
        greatest(q.wheel_power / q.drive_efficiency, q.recovery_efficiency * q.wheel_power)
        + q.drive_idle_loss
        + q.drive_square_loss * q.wheel_power**2
        + q.auxiliary_power
        + q.pack_loss,
        source=_LOSSES,
        assumptions=(
            (
                "One drive efficiency holds at every speed and load; where a constant loss or one by "
                "the square of the load is given, it stands for the rest."
            ),
            (
                "The pack's own resistance is part of the drive efficiency unless its loss is known "
                "or follows from voltage and resistance."
            ),
            (
                "Power runs both ways: what drives costs more at the battery than at the wheels, "
                "and of what the wheels give back the battery gets a share."
            ),
        ),
        refusals=(
            Remark(
                greatest(
                    sympy.sign(q.drive_idle_loss),
                    sympy.sign(q.drive_square_loss),
                    -sympy.Abs(q.effective_drive_efficiency - q.drive_efficiency),
                ),
                "Without a loss at every load or by the square of it, the drive efficiency at this load "
                "is the drive efficiency: given both, they say one thing twice or contradict each "
                "other.",
            ),
        ),
        tacit=("drive_idle_loss", "drive_square_loss", "pack_loss"),
    )
    LOSS = Relation(
        "Lost in the pack",
        q.pack_resistance * (q.battery_power / q.pack_voltage) ** 2,
        q.pack_loss,
        source="Joule's law",
        assumptions=(
            (
                "Of two currents that give one power, the lower: "
                "beyond half the voltage, more current brings less."
            ),
            "The drive efficiency holds from the pack's terminals to the wheels.",
        ),
        where=(q.pack_voltage**2 - 2 * q.pack_resistance * q.battery_power,),
        refusals=(
            Remark(
                q.pack_voltage**2
                - 4
                * q.pack_resistance
                * (
                    greatest(
                        q.wheel_power / q.drive_efficiency, q.recovery_efficiency * q.wheel_power
                    )
                    + q.drive_idle_loss
                    + q.drive_square_loss * q.wheel_power**2
                    + q.auxiliary_power
                ),
                "The pack cannot give that much: beyond half its voltage, more current brings less "
                "power.",
            ),
        ),
    )
    AT_THIS_LOAD = Relation(
        "Drive efficiency at this load",
        q.effective_drive_efficiency,
        q.wheel_power / (q.battery_power - q.auxiliary_power - q.pack_loss),
        source=_EXACT,
        assumptions=("The wheels take power.",),
        where=(q.wheel_power,),
        refusals=(
            Remark(
                q.wheel_power,
                "The road drives the vehicle here: nothing goes from the battery to the wheels, and "
                "so there is no efficiency of it.",
            ),
        ),
        tacit=("pack_loss",),
    )
    _UNDRAINED = Remark(
        q.battery_power,
        "The road drives the vehicle here and nothing is drawn from the battery: "
        "there is no consumption, and the range is not limited by the battery.",
        # Also what other topics make of a consumption.
        endless=(
            "average_charging_speed",
            "charging_speed",
            "consumption",
            "distance_added",
            "distance_in_ten_minutes",
            "driving_time",
            "lifetime_distance",
            "range",
            "wall_consumption",
        ),
    )
    CONSUMPTION = Relation(
        "Consumption",
        q.consumption,
        q.battery_power / q.speed,
        source=_EXACT,
        refusals=(
            Remark(
                q.speed,
                "The vehicle stands still: what the battery gives takes it nowhere, and so there is no "
                "consumption per distance and no range.",
            ),
            _UNDRAINED,
        ),
    )
    RANGE = Relation("Range", q.range, q.usable_energy / q.consumption, source=_EXACT)
    TIME = Relation(
        "Driving time",
        q.driving_time,
        q.range / q.speed,
        source=_EXACT,
        refusals=(Remark(q.speed, "The vehicle stands still: no time takes it anywhere."),),
    )
    EMPTY = Relation(
        "Time to empty",
        q.driving_time,
        q.usable_energy / q.battery_power,
        source=_EXACT,
        refusals=(_UNDRAINED,),
    )
    # What the wheels give back is no share of what the battery gives.
    _PUSHED = (
        "The road drives the vehicle here: what its forces do is not drawn from the battery, and so "
        "has no share of it."
    )
    _NO_SHARE = Remark(q.wheel_power, _PUSHED)
    _NOTHING = "Nothing is drawn from the battery here: there is nothing to have a share of."
    _AT_REST = Remark(greatest(sympy.Abs(q.wheel_power), q.battery_power), _NOTHING)
    _BEYOND = (
        "Slope or wind pays for a part of this force here: it takes more than the battery gives, which is "
        "no share of that."
    )
    AIR_SHARE = Relation(
        "Share of air drag",
        q.air_share,
        q.air_force * q.speed / q.battery_power,
        source=_EXACT,
        assumptions=("The wheels take power.",),
        where=(q.wheel_power,),
        refusals=(
            _AT_REST,
            Remark(
                q.air_force,
                "Air drag takes no share here: the tail wind is faster than the vehicle and "
                "pushes it.",
            ),
            _NO_SHARE,
            Remark(q.battery_power - q.air_force * q.speed, _BEYOND),
        ),
    )
    ROLLING_SHARE = Relation(
        "Share of rolling",
        q.rolling_share,
        q.rolling_force * q.speed / q.battery_power,
        source=_EXACT,
        assumptions=("The wheels take power.",),
        where=(q.wheel_power,),
        refusals=(
            _AT_REST,
            _NO_SHARE,
            Remark(q.battery_power - q.rolling_force * q.speed, _BEYOND),
        ),
    )
    AUXILIARY_SHARE = Relation(
        "Share of the auxiliary load",
        q.auxiliary_share,
        q.auxiliary_power / q.battery_power,
        source=_EXACT,
        refusals=(
            Remark(q.battery_power, _NOTHING),
            Remark(
                q.battery_power - q.auxiliary_power,
                "The road drives the vehicle here and pays for a part of the auxiliary load: the battery "
                "gives less than that load, which is no share of it.",
            ),
        ),
    )
    LOSS_SHARE = Relation(
        "Share lost in the drive",
        q.drive_loss_share,
        (q.battery_power - q.auxiliary_power - q.wheel_power) / q.battery_power,
        source=_EXACT,
        assumptions=("The wheels take power.",),
        where=(q.wheel_power,),
        refusals=(_AT_REST, _NO_SHARE),
    )
    _ROLLING_GROWTH = rolling.GROWTH * q.mass * q.gravity * sympy.cos(q.grade_angle)
    # How the road force grows with speed, and that growth itself.
    _STEEPNESS = (
        q.air_density * q.drag_area * sympy.Abs(q.economical_speed + q.headwind)
        + q.coast_down_linear
        + _ROLLING_GROWTH
    )
    _BEND = q.air_density * q.drag_area * sympy.sign(q.economical_speed + q.headwind)
    ECONOMICAL_FORCE = Relation(
        "Road force at the most economical speed",
        q.economical_force,
        sympy.S.Half
        * q.air_density
        * q.drag_area
        * sympy.Abs(q.economical_speed + q.headwind)
        * (q.economical_speed + q.headwind)
        + rolling.BASE
        * (1 + q.rolling_speed_growth * q.economical_speed)
        * q.mass
        * q.gravity
        * sympy.cos(q.grade_angle)
        + q.grade_force
        + q.coast_down_linear * q.economical_speed,
        source=_EXACT,
        tacit=("coast_down_linear", "rolling_speed_growth", "tyre_temperature_coefficient"),
    )
    _LASTING = q.auxiliary_power + q.drive_idle_loss
    # By how much less the road asks for there than from rest on.
    _FALLEN = (
        sympy.S.Half
        * q.air_density
        * q.drag_area
        * (
            q.headwind * sympy.Abs(q.headwind)
            - sympy.Abs(q.economical_speed + q.headwind) * (q.economical_speed + q.headwind)
        )
        - q.coast_down_linear * q.economical_speed
        - _ROLLING_GROWTH * q.economical_speed
    )
    # What makes slow driving dear.
    _FOR_SLOWNESS = greatest(_LASTING, least(_FALLEN, q.economical_force) * q.economical_speed)
    # What one more metre a second costs at the wheels, times that speed: the drag that comes with it.
    _GROWING = (
        q.air_density
        * q.drag_area
        * sympy.Abs(q.economical_speed + q.headwind)
        * q.economical_speed**2
        + q.coast_down_linear * q.economical_speed**2
        + _ROLLING_GROWTH * q.economical_speed**2
    )
    _BY_SQUARE = (
        q.drive_efficiency
        * q.drive_square_loss
        * q.economical_force
        * q.economical_speed**2
        * (q.economical_force + 2 * _STEEPNESS * q.economical_speed)
    )
    # How both of them grow with speed, over the speed.
    _CURVE = 2 * _STEEPNESS + _BEND * q.economical_speed
    _CURVE_BY_SQUARE = (
        2
        * q.drive_efficiency
        * q.drive_square_loss
        * (
            q.economical_force**2
            + 4 * q.economical_force * _STEEPNESS * q.economical_speed
            + (_STEEPNESS**2 + q.economical_force * _BEND) * q.economical_speed**2
        )
    )
    ECONOMICAL = Relation(
        "Most economical speed",
        q.drive_efficiency * _LASTING,
        # Where the wheels take power the slope of consumption is nought with the whole of what grows,
        # where they give some with the share of it that is recovered. Where the road only begins to
        # ask for power, consumption has a corner: its least lies there if it falls before and rises after.
        greatest(
            _GROWING
            - greatest(
                0,
                _GROWING
                + _BY_SQUARE
                - q.drive_efficiency * _LASTING
                - q.economical_force * q.economical_speed,
            ),
            q.drive_efficiency * q.recovery_efficiency * _GROWING,
        )
        + _BY_SQUARE,
        source="least of consumption against speed",
        finds="economical_speed",
        # Wind and slope may leave several hollows; the deepest is meant.
        meant=Meant(
            "economical_speed",
            (
                greatest(
                    q.economical_force * q.economical_speed / q.drive_efficiency,
                    q.recovery_efficiency * q.economical_force * q.economical_speed,
                )
                + _LASTING
                + q.drive_square_loss * (q.economical_force * q.economical_speed) ** 2
            )
            / q.economical_speed,
            # A vehicle that is charged at some speed goes as far as one likes on nothing.
            below_nought="The battery gains power there: a road that charges it has no most economical speed.",
        ),
        model=(
            "steady",
            "without the loss in the pack",
        ),
        remarks=(
            Remark(
                (
                    q.air_density * q.drag_area * sympy.Abs(q.economical_speed + q.headwind)
                    + q.coast_down_linear
                )
                * q.economical_speed**2
                # More than rounding beyond where the slope alone would put it: at the corner.
                - 1.000001 * q.drive_efficiency * _LASTING,
                "Below this speed the road drives the vehicle.",
            ),
        ),
        refusals=(
            Remark(
                _LASTING,
                "No most economical speed is found without an auxiliary or an idle load, whose power makes "
                "slow driving dear. Where the road force grows with speed, the slower the better, as close to "
                "nought as you like; where slope or wind drives the vehicle, no such speed costs anything.",
            ),
        ),
        assumptions=(
            (
                "It exists because the auxiliary load and what the drive loses at any load take "
                "their power for as long as the drive lasts: slower means longer. Faster means more "
                "drag. Rolling and grade cost the same at any speed, unless rolling is said to grow "
                "with it."
            ),
            (
                "Where slope or wind drives the vehicle at low speeds, it is not below the speed at "
                "which the road begins to ask for power, unless something is recovered."
            ),
            "The battery gives power there: a road that charges it has no most economical speed.",
            "What the pack's own resistance loses is left out; it makes that speed a little lower.",
        ),
        where=(
            # Without such a load all speeds at which the road drives cost the same, which is nothing; then
            # only a road force that has fallen since rest, and is above nought, has a least worth the name.
            _FOR_SLOWNESS / _FOR_SLOWNESS,
            # Consumption has its least there, not its greatest, as a tail wind allows: which of the
            # two slopes counts, the sign of the power says, and at the corner neither does.
            # Two conditions and no least of them: what rounding leaves of the force at the corner is a share
            # of its own terms, not of the other slope, which is nought where nothing is recovered.
            greatest(_CURVE + _CURVE_BY_SQUARE, -(q.economical_force / q.economical_speed)),
            greatest(
                q.drive_efficiency * q.recovery_efficiency * _CURVE + _CURVE_BY_SQUARE,
                q.economical_force / q.economical_speed,
            ),
        ),
        tacit=(
            "coast_down_linear",
            "drive_idle_loss",
            "drive_square_loss",
            "recovery_efficiency",
            "rolling_speed_growth",
            "tyre_temperature_coefficient",
        ),
    )
    # On a level road without wind the road asks for power at every speed: there is no corner.
    NO_CORNER = Relation(
        "The road asks for power at every speed",
        q.economical_force,
        math.inf,
        source="standing value",
        standing=True,
        # A loss by the square of the load asks for the force itself.
        # A linear part may be below nought.
        unless_any=("headwind", "grade", "grade_angle", "drive_square_loss", "coast_down_linear"),
    )
    COAST_CONSTANT = Relation(
        "Coast-down, constant part",
        q.coast_down_constant,
        q.rolling_force + q.grade_force,
        source="40 CFR 1066.305",
    )
    COAST_SQUARE = Relation(
        "Coast-down, square part",
        q.coast_down_square,
        sympy.S.Half * q.air_density * q.drag_area,
        source="40 CFR 1066.305",
        assumptions=("All of the part that grows with the square of speed is air drag.",),
    )
    COAST = Relation(
        "Coast-down form of the road force",
        q.road_force,
        q.coast_down_constant
        + q.coast_down_linear * q.speed
        + q.coast_down_square * sympy.Abs(q.speed + q.headwind) * (q.speed + q.headwind),
        source="40 CFR 1066.305",
    )
    # A drive that one number describes; before what is said of the road, for who asks for that.
    # Without voltage and resistance nothing says what is lost: it is not a pack without resistance.
    NO_PACK_LOSS = Relation(
        "No loss counted in the pack",
        q.pack_loss,
        0,
        source="standing value",
        standing=True,
        instead_of=(LOSS,),
        unless=("pack_voltage", "pack_resistance"),
    )
    ONE_NUMBER = (
        Relation(
            "No loss at every load", q.drive_idle_loss, 0, source="standing value", standing=True
        ),
        Relation(
            "No loss by the square of the load",
            q.drive_square_loss,
            0,
            source="standing value",
            standing=True,
        ),
        NO_PACK_LOSS,
    )
    NOTHING_RECOVERED = Relation(
        "Nothing recovered", q.recovery_efficiency, 0, source="standing value", standing=True
    )
    GROUND = (
        Relation("No wind", q.headwind, 0, source="standing value", standing=True),
        Relation(
            "No part linear in speed",
            q.coast_down_linear,
            0,
            source="standing value",
            standing=True,
        ),
        Relation("Level road", q.grade, 0, source="standing value", standing=True),
        Relation(
            "Standard gravity",
            q.gravity,
            9.80665,
            source="40 CFR 1066.210",
            standing=True,
            firm=True,
        ),
    )
    STANDING = (*GROUND, *air.STANDING)

RELATIONS = (
    DRAG_AREA,
    *air.RELATIONS,
    DRAG,
    SLOPE,
    ROLLING,
    CLIMB,
    ROAD,
    WHEEL,
    DRIVE,
    LOSS,
    AT_THIS_LOAD,
    CONSUMPTION,
    RANGE,
    TIME,
    EMPTY,
    AIR_SHARE,
    ROLLING_SHARE,
    AUXILIARY_SHARE,
    LOSS_SHARE,
    ECONOMICAL_FORCE,
    ECONOMICAL,
    COAST_CONSTANT,
    COAST_SQUARE,
    COAST,
)

# In each group any one relation follows from the others; the last is the one left out first.
DEPENDENT = (
    (CONSUMPTION, RANGE, TIME, EMPTY),
    (ROAD, COAST_CONSTANT, COAST_SQUARE, DRAG, COAST),
)

# What may be given as one number, as above, or follow from temperature and speed.
OPTIONS = (*climate.RELATIONS, *cold.ENERGY, *rolling.RELATIONS)

load = Topic(
    "load",
    "Road load and range",
    relations=(
        *RELATIONS,
        *OPTIONS,
        NOTHING_RECOVERED,
        *ONE_NUMBER,
        NO_CORNER,
        *climate.MACHINES,
        *rolling.STANDING,
        *GROUND,
        # Before the air's: nothing is heated or cooled for an outside temperature that nobody gave.
        climate.SWITCHED_OFF,
        *air.STANDING,
        *cold.STANDING,
    ),
    dependent=DEPENDENT,
    example={
        "speed": "100 km/h",
        "drag_area": "0.42 m²",
        "mass": "980 kg",
        "rolling_coefficient": 0.0085,
        "drive_efficiency": 0.86,
        "auxiliary_power": "350 W",
        "usable_energy": "36 kWh",
    },
    wanted="range",
    outcomes=("range", "driving_time", "consumption", "battery_power", "wheel_power", "road_force"),
    caution="Figures for explanation. "
    "On public roads, limits, traffic and weather decide how fast to drive.",
)
