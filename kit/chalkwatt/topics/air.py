"""Air and gravity: what every topic that moves through air shares.

The standard atmosphere up to 11 km (ICAO Doc 7488, 1993) gives pressure and temperature by
altitude; a measured temperature may replace its own.
"""

from __future__ import annotations

from chalkwatt.laws.relations import Relation, author_order

__all__ = ["RELATIONS", "STANDING"]

_ISA = "ICAO Doc 7488 (1993), standard atmosphere"

with author_order() as q:
    RELATIONS = (
        Relation(
            "Geopotential altitude",
            q.geopotential_altitude,
            q.earth_radius * q.altitude / (q.earth_radius + q.altitude),
            source=_ISA,
        ),
        Relation(
            "Pressure of the standard atmosphere",
            q.air_pressure,
            q.sea_level_pressure
            * (1 - q.lapse_rate * q.geopotential_altitude / q.sea_level_temperature)
            ** q.pressure_exponent,
            source=_ISA,
            model=("in the standard atmosphere",),
            assumptions=("Pressure follows the standard atmosphere, below 11 km.",),
        ),
        Relation(
            "Density of dry air",
            q.air_density,
            q.air_pressure / (q.air_gas_constant * q.air_temperature),
            source="ideal gas law; gas constant from ICAO Doc 7488 (1993)",
            assumptions=("Dry air; at 30 °C and 50 % humidity real air is about 0.8 % lighter.",),
        ),
    )
    STANDING = (
        Relation("Sea level", q.altitude, 0, source="standing value", standing=True),
        Relation(
            "Temperature of the standard atmosphere",
            q.air_temperature,
            q.sea_level_temperature - q.lapse_rate * q.geopotential_altitude,
            source=_ISA,
            standing=True,
        ),
    )
