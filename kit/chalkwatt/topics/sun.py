"""Sun: what a panel on the vehicle brings, and how fast and how far it carries it.

=====================  =========================================================================
assumed                what it means
=====================  =========================================================================
one irradiance         the whole panel sees the same sunlight
mounting               with free air on both sides unless something is given of it (`mounting`), as in
                       the topic `panel`
steady state           panel temperature and speed have settled
equilibrium            the battery neither gives nor takes: the panel pays for driving as it goes
downhill               the vehicle rolls, without sun too; the wheels give nothing back
stalling               at constant power a vehicle slows on a grade but never quite stops, so a
                       slowest speed that still counts as driving has to be named
=====================  =========================================================================
"""

from __future__ import annotations

import sympy

from chalkwatt.answering.topic import Topic
from chalkwatt.laws.relations import Relation, Remark, Rest, author_order, greatest
from chalkwatt.topics import air, mounting
from chalkwatt.topics import load as road

__all__ = ["DEPENDENT", "RELATIONS", "STANDING", "sun"]

_EXACT = "definition"
_RATING = "IEC 61215: rated at 1000 W/m² and 25 °C"
_NO_SQUARE = (
    "A loss by the square of the load is left out: at the power of a panel it is next to nothing."
)

with author_order() as q:
    PANEL = Relation(
        "Panel power",
        q.panel_power,
        q.irradiance
        * q.panel_area
        * q.panel_efficiency
        * (1 + q.temperature_coefficient * (q.panel_temperature - q.rated_temperature)),
        source=_RATING,
    )
    RATED = Relation(
        "Rated power",
        q.rated_power,
        q.standard_irradiance * q.panel_area * q.panel_efficiency,
        source=_RATING,
    )
    BY_RATING = Relation(
        "Panel power by its rating",
        q.panel_power,
        q.rated_power
        * (q.irradiance / q.standard_irradiance)
        * (1 + q.temperature_coefficient * (q.panel_temperature - q.rated_temperature)),
        source=_RATING,
    )
    SOLAR = Relation(
        "Solar power", q.solar_power, q.conversion_efficiency * q.panel_power, source=_EXACT
    )
    BALANCE = Relation(
        "Balance of sun and road",
        q.drive_efficiency * greatest(q.solar_power - q.auxiliary_power - q.drive_idle_loss, 0),
        (
            sympy.S.Half
            * q.air_density
            * q.drag_area
            * sympy.Abs(q.equilibrium_speed + q.headwind)
            * (q.equilibrium_speed + q.headwind)
            + q.rolling_force
            + q.grade_force
            + q.coast_down_linear * q.equilibrium_speed
        )
        * q.equilibrium_speed,
        source="balance of power at a steady speed",
        finds="equilibrium_speed",
        model=(
            "steady",
            "with a battery that neither gives nor takes",
            "without a loss by the square of the load",
        ),
        assumptions=(
            "The battery neither gives nor takes.",
            _NO_SQUARE,
            (
                "Downhill the wheels give nothing back: what a weak sun leaves the auxiliary load "
                "short of, the battery gives."
            ),
        ),
        tacit=("drive_idle_loss", "coast_down_linear"),
        remarks=(
            Remark(
                (q.auxiliary_power + q.drive_idle_loss - q.solar_power) * q.equilibrium_speed,
                "The panel brings no more than the auxiliary load and an idle drive take: slope or "
                "wind alone moves the vehicle, and the battery gives what the auxiliary load lacks.",
            ),
        ),
        rest=Rest(
            "equilibrium_speed",
            q.solar_power - q.auxiliary_power - q.drive_idle_loss,
            0.0,
            "The panel brings no more than the auxiliary load and an idle drive take, so the vehicle "
            "does not move: speed 0 by definition.",
        ),
    )
    STALL = Relation(
        "Grade at which it stalls",
        q.drive_efficiency * greatest(q.solar_power - q.auxiliary_power - q.drive_idle_loss, 0),
        (
            sympy.S.Half
            * q.air_density
            * q.drag_area
            * sympy.Abs(q.creeping_speed + q.headwind)
            * (q.creeping_speed + q.headwind)
            + q.coast_down_linear * q.creeping_speed
            + q.rolling_coefficient * q.mass * q.gravity * sympy.cos(q.stall_angle)
            + q.mass * q.gravity * sympy.sin(q.stall_angle)
        )
        * q.creeping_speed,
        source="balance of power at the creeping speed",
        finds="stall_angle",
        model=(
            "steady",
            "without a loss by the square of the load",
        ),
        assumptions=(_NO_SQUARE,),
        refusals=(
            Remark(
                q.drive_efficiency
                * greatest(q.solar_power - q.auxiliary_power - q.drive_idle_loss, 0)
                - (
                    sympy.S.Half
                    * q.air_density
                    * q.drag_area
                    * sympy.Abs(q.creeping_speed + q.headwind)
                    * (q.creeping_speed + q.headwind)
                    + q.coast_down_linear * q.creeping_speed
                    + q.rolling_coefficient * q.mass * q.gravity
                )
                * q.creeping_speed,
                "The panel brings too little to creep on a level road: it stalls without any rise.",
            ),
        ),
        tacit=("drive_idle_loss", "coast_down_linear"),
    )
    STALL_GRADE = Relation("Stalling grade", q.stall_grade, sympy.tan(q.stall_angle), source=_EXACT)
    PARKED = Relation(
        "Distance gained per hour in the sun",
        q.charging_distance,
        q.solar_power / q.consumption,
        source=_EXACT,
        model=("parked with the auxiliary load off",),
        assumptions=("Parked, with the auxiliary load switched off.",),
    )
    DAY = Relation(
        "Energy of a day",
        q.daily_solar_energy,
        q.conversion_efficiency * q.rated_power * q.peak_sun_hours,
        source=_EXACT,
        model=("without loss by heat",),
        assumptions=("Loss by heat is left out; peak sun hours hold the weather and the shade.",),
    )
    DISTANCE = Relation(
        "Distance of a day", q.solar_distance, q.daily_solar_energy / q.consumption, source=_EXACT
    )
    SHARE = Relation(
        "Share of a day's driving",
        q.solar_share,
        q.solar_distance / q.daily_distance,
        source=_EXACT,
    )
    STANDING = (
        Relation(
            "Rated irradiance", q.standard_irradiance, 1000, source="IEC 61215", standing=True
        ),
        Relation(
            "Rated temperature", q.rated_temperature, 298.15, source="IEC 61215", standing=True
        ),
        Relation(
            "No loss by heat", q.temperature_coefficient, 0, source="standing value", standing=True
        ),
        Relation(
            "No loss behind the panel",
            q.conversion_efficiency,
            1,
            source="standing value",
            standing=True,
        ),
        Relation(
            "Creeping speed",
            q.creeping_speed,
            1.25,
            source="standing value: 4.5 km/h",
            standing=True,
        ),
    )

RELATIONS = (
    *mounting.RELATIONS,
    PANEL,
    RATED,
    BY_RATING,
    SOLAR,
    BALANCE,
    STALL,
    STALL_GRADE,
    PARKED,
    DAY,
    DISTANCE,
    SHARE,
)
DEPENDENT = ((PANEL, RATED, BY_RATING),)

sun = Topic(
    "sun",
    "Driving on sunlight",
    relations=(
        *RELATIONS,
        road.DRAG_AREA,
        *air.RELATIONS,
        road.DRAG,
        road.SLOPE,
        road.ROLLING,
        road.CLIMB,
        road.ROAD,
        road.WHEEL,
        road.DRIVE,
        road.CONSUMPTION,
        *STANDING,
        *mounting.STANDING,
        road.NOTHING_RECOVERED,
        *road.ONE_NUMBER,
        *road.STANDING,
    ),
    dependent=DEPENDENT,
    example={
        "irradiance": "850 W/m²",
        "panel_area": "3.2 m²",
        "panel_efficiency": "22 %",
        "drag_area": "0.3 m²",
        "mass": "680 kg",
        "rolling_coefficient": 0.007,
        "drive_efficiency": 0.86,
        "auxiliary_power": "60 W",
    },
    wanted="equilibrium_speed",
    outcomes=("equilibrium_speed", "solar_share", "solar_distance", "solar_power"),
    caution="Figures for explanation. A panel in the light is live: its wiring is for licensed hands. "
    "On public roads, limits, traffic and weather decide how fast to drive.",
)
