"""Weather: what moist air weighs, and what a reported wind is at the height of a vehicle.

=====================  =========================================================================
assumed                what it means
=====================  =========================================================================
ideal gases            air and vapour mix without acting on each other; real air is 0.05 % denser
saturation             Tetens' formula over water; good between −20 and 50 °C, and not used below
                       −100 °C, where its numbers mean nothing and a pole lies at −237.3 °C
wind by height         open grassland; between houses there is less, and it turns
=====================  =========================================================================
"""

from __future__ import annotations

import sympy

from chalkwatt.answering.topic import Topic
from chalkwatt.laws.relations import Relation, author_order
from chalkwatt.topics import air

__all__ = ["weather"]

_FAO = "Allen et al., FAO Irrigation and Drainage Paper 56 (1998)"
_TETENS = f"{_FAO}, eq. 11 (Tetens' formula)"

with author_order() as q:

    def _tetens(temperature: sympy.Symbol) -> sympy.Expr:
        return (
            610.8
            * q.one_pascal
            * sympy.exp(
                17.27
                * (temperature - q.freezing_point)
                / (temperature - q.freezing_point + 237.3 * q.one_kelvin)
            )
        )

    def _in_range(temperature: sympy.Symbol) -> sympy.Expr:
        return temperature - q.freezing_point + 100 * q.one_kelvin

    SATURATION = Relation(
        "Saturation",
        q.saturation_pressure,
        _tetens(q.air_temperature),
        source=_TETENS,
        assumptions=("The air is not colder than −100 °C: below it the formula means nothing.",),
        where=(_in_range(q.air_temperature),),
    )
    HUMIDITY = Relation(
        "Vapour in the air",
        q.vapour_pressure,
        q.relative_humidity * q.saturation_pressure,
        source="definition",
    )
    DEW = Relation(
        "Dew point",
        q.vapour_pressure,
        _tetens(q.dew_point),
        source=_TETENS,
        finds="dew_point",
        model=("over water",),
        assumptions=("Over water; frost forms a little earlier.",),
        where=(_in_range(q.dew_point),),
    )
    DENSITY = Relation(
        "Density of moist air",
        q.air_density,
        (q.air_pressure - q.vapour_pressure) / (q.air_gas_constant * q.air_temperature)
        + q.vapour_pressure / (q.vapour_gas_constant * q.air_temperature),
        source="Dalton's law; ideal gases",
        assumptions=("Vapour is lighter than the air whose place it takes.",),
    )
    WIND = Relation(
        "Wind at the height of the vehicle",
        q.road_wind,
        q.reported_wind
        * sympy.log(67.8 * (q.vehicle_wind_height / q.one_metre) - 5.42)
        / sympy.log(67.8 * (q.reported_height / q.one_metre) - 5.42),
        source=f"{_FAO}, eq. 47: a logarithmic profile over grass",
        model=("over open grassland",),
        assumptions=("Open grassland.",),
        # Below a tenth of a metre the profile ends: its logarithm is nought there.
        where=(
            67.8 * (q.vehicle_wind_height / q.one_metre) - 6.42,
            67.8 * (q.reported_height / q.one_metre) - 6.42,
        ),
    )
    STANDING = (
        Relation(
            "Reported at 10 m",
            q.reported_height,
            10,
            source="common practice, no source",
            standing=True,
        ),
        Relation(
            "A metre above the road",
            q.vehicle_wind_height,
            1,
            source="standing value",
            standing=True,
        ),
    )

weather = Topic(
    "weather",
    "Weather",
    relations=(
        SATURATION,
        HUMIDITY,
        DEW,
        DENSITY,
        WIND,
        *air.RELATIONS[:2],
        *STANDING,
        *air.STANDING,
    ),
    example={
        "air_temperature": "30 °C",
        "relative_humidity": "50 %",
        "air_pressure": "1013.25 hPa",
        "reported_wind": "5 m/s",
    },
    wanted="air_density",
    outcomes=("air_density", "road_wind", "dew_point", "vapour_pressure"),
)
