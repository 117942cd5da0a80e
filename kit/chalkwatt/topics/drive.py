"""Drive: the chain from the cells to the road, and what each link of it loses.

=====================  =========================================================================
assumed                what it means
=====================  =========================================================================
one operating point    each efficiency holds at the speed and load asked about, and nowhere else
losses by load         a constant and a square loss pass the chain by; none unless said
a chain                all power passes every link, so efficiencies multiply
auxiliary load         is drawn from the battery before the chain and passes none of its links
tyres                  lose by slip in the chain; rolling resistance is the road's, not the drive's
driving only           power flows outwards; braking runs through the chain the other way
=====================  =========================================================================
"""

from __future__ import annotations

from chalkwatt.answering.topic import Topic
from chalkwatt.laws.relations import Relation, Remark, author_order
from chalkwatt.topics import air
from chalkwatt.topics import load as road

__all__ = ["LINKS", "drive"]

_EXACT = "definition"
_OUTWARDS = "Power flows outwards, from the cells to the road: nothing brakes."

# The links of the chain, from the cells outwards, and the power that each one loses.
LINKS = (
    ("battery", "battery_efficiency", "battery_loss"),
    ("inverter", "inverter_efficiency", "inverter_loss"),
    ("motor", "motor_efficiency", "motor_loss"),
    ("gears", "gear_efficiency", "gear_loss"),
    ("tyre slip", "tyre_efficiency", "tyre_loss"),
)

_PUSHED = "The road drives the vehicle here: no power passes from the cells to the road."

with author_order() as q:
    CHAIN = Relation(
        "Drive efficiency",
        q.drive_efficiency,
        q.battery_efficiency
        * q.inverter_efficiency
        * q.motor_efficiency
        * q.gear_efficiency
        * q.tyre_efficiency,
        source=_EXACT,
        assumptions=("All driving power passes every link, so the efficiencies multiply.",),
    )
    DRIVING = Relation(
        "Power for driving",
        q.driving_power,
        q.battery_power
        - q.auxiliary_power
        - q.drive_idle_loss
        - q.drive_square_loss * q.wheel_power**2
        - q.pack_loss,
        source=_EXACT,
        assumptions=("Losses that do not grow in proportion to power are taken off first.",),
        tacit=("drive_idle_loss", "drive_square_loss", "pack_loss"),
    )
    BATTERY = Relation(
        "Behind the battery",
        q.inverter_power,
        q.battery_efficiency * q.driving_power,
        source=_EXACT,
        assumptions=(_OUTWARDS,),
        where=(q.driving_power,),
        refusals=(Remark(q.driving_power, _PUSHED),),
    )
    INVERTER = Relation(
        "Behind the inverter",
        q.motor_input_power,
        q.inverter_efficiency * q.inverter_power,
        source=_EXACT,
        assumptions=(_OUTWARDS,),
        where=(q.inverter_power,),
        refusals=(Remark(q.inverter_power, _PUSHED),),
    )
    MOTOR = Relation(
        "Behind the motor",
        q.shaft_power,
        q.motor_efficiency * q.motor_input_power,
        source=_EXACT,
        assumptions=(_OUTWARDS,),
        where=(q.motor_input_power,),
        refusals=(Remark(q.motor_input_power, _PUSHED),),
    )
    GEARS = Relation(
        "Behind the gears",
        q.axle_power,
        q.gear_efficiency * q.shaft_power,
        source=_EXACT,
        assumptions=(_OUTWARDS,),
        where=(q.shaft_power,),
        refusals=(Remark(q.shaft_power, _PUSHED),),
    )
    LOSSES = (
        Relation("Lost in the battery", q.battery_loss, q.driving_power - q.inverter_power, _EXACT),
        Relation(
            "Lost in the inverter",
            q.inverter_loss,
            q.inverter_power - q.motor_input_power,
            _EXACT,
        ),
        Relation("Lost in the motor", q.motor_loss, q.motor_input_power - q.shaft_power, _EXACT),
        Relation("Lost in the gears", q.gear_loss, q.shaft_power - q.axle_power, _EXACT),
        Relation(
            "Lost by tyre slip",
            q.tyre_loss,
            q.axle_power - q.wheel_power,
            _EXACT,
            assumptions=(_OUTWARDS,),
            where=(q.wheel_power,),
            refusals=(Remark(q.wheel_power, _PUSHED),),
        ),
    )
    ROAD = (
        Relation("Power into the air", q.air_power, q.air_force * q.speed, _EXACT),
        Relation(
            "Power into rolling",
            q.rolling_power,
            (q.rolling_force + q.coast_down_linear * q.speed) * q.speed,
            _EXACT,
            assumptions=("What grows with speed counts as rolling: tyres and bearings.",),
        ),
        Relation("Power into height", q.climbing_power, q.grade_force * q.speed, _EXACT),
    )

drive = Topic(
    "drive",
    "From the cells to the road",
    relations=(
        CHAIN,
        DRIVING,
        BATTERY,
        INVERTER,
        MOTOR,
        GEARS,
        *LOSSES,
        *ROAD,
        road.DRIVE,
        road.AT_THIS_LOAD,
        road.DRAG_AREA,
        *air.RELATIONS,
        road.DRAG,
        road.SLOPE,
        road.ROLLING,
        road.CLIMB,
        road.ROAD,
        road.WHEEL,
        road.CONSUMPTION,
        road.RANGE,
        road.NOTHING_RECOVERED,
        *road.ONE_NUMBER,
        *road.STANDING,
    ),
    example={
        "battery_efficiency": "97 %",
        "inverter_efficiency": "97 %",
        "motor_efficiency": "93 %",
        "gear_efficiency": "97 %",
        "tyre_efficiency": "99 %",
        "speed": "90 km/h",
        "drag_area": "0.42 m²",
        "mass": "980 kg",
        "rolling_coefficient": 0.0085,
        "auxiliary_power": "350 W",
    },
    wanted="consumption",
    outcomes=("consumption", "range", "drive_efficiency", "battery_power", "wheel_power"),
    caution=(
        "Figures for explanation. The parts behind them carry voltages that kill; work on them is "
        "for people trained for it, under local codes."
    ),
)
