"""Air, gravity and the constants of the standard atmosphere."""

from __future__ import annotations

from chalkwatt.laws.glossary import constant, positive, signed

_ISA = "ICAO Doc 7488 (1993), standard atmosphere"

QUANTITIES = (
    positive("gravity", "g", "m/s^2", "m/s²", (9.78, 9.84), "Acceleration of free fall.", most=50.0, source="40 CFR 1066.210: 9.80665 m/s²"),
    positive("air_density", "ρ", "kg/m^3", "kg/m³", (0.9, 1.4), "Mass of air per volume.", most=10.0),
    positive("air_temperature", "T_air", "K", "°C; °F; K", (243.15, 318.15), "Temperature of the outside air.", most=400.0),
    positive("air_pressure", "p_air", "Pa", "hPa; kPa; Pa", (60_000.0, 105_000.0), "Pressure of the outside air.", most=1e6),
    signed("altitude", "h", "m", "m; ft", (-100.0, 4000.0), "Geometric height above mean sea level.", bounds=(-2000.0, 11_000.0), limited_by="the standard atmosphere (ICAO)"),
    # 2000 m below the sea by a tape are 2000.6 m by gravity: every altitude has one.
    signed("geopotential_altitude", "H", "m", "m; ft", (-100.0, 4000.0), "Height above mean sea level, corrected for weaker gravity further up.", bounds=(-2001.0, 11_000.0), limited_by="the standard atmosphere (ICAO)"),
    constant("earth_radius", "r_0", "m", 6_356_766.0, "Radius of the Earth in the standard atmosphere.", _ISA),
    constant("sea_level_temperature", "T_0", "K", 288.15, "Temperature of the standard atmosphere at sea level.", _ISA),
    constant("sea_level_pressure", "p_0", "Pa", 101_325.0, "Pressure of the standard atmosphere at sea level.", _ISA),
    constant("lapse_rate", "L", "K/m", 0.0065, "How much colder the standard atmosphere is per metre up.", _ISA),
    constant("pressure_exponent", "n", "", 9.80665 / (287.05287 * 0.0065), "Gravity over gas constant times lapse rate, in the standard atmosphere.", _ISA),
    constant("air_gas_constant", "R_air", "J/(kg*K)", 287.05287, "Specific gas constant of dry air.", _ISA),
)
