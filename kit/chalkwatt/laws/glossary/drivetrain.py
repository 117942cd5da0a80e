"""The drive, part by part, from the cells to the road."""

from __future__ import annotations

from chalkwatt.laws.glossary import share, signed

QUANTITIES = (
    share(
        "battery_efficiency",
        "η_bat",
        (0.93, 0.99),
        "Share of the cells' energy that leaves the battery's terminals.",
        zero=False,
    ),
    share(
        "inverter_efficiency",
        "η_inv",
        (0.95, 0.99),
        "Share of the power that the inverter passes on to the motor.",
        zero=False,
    ),
    share(
        "motor_efficiency",
        "η_mot",
        (0.85, 0.96),
        "Share of electric power that the motor turns into turning.",
        zero=False,
    ),
    share(
        "gear_efficiency",
        "η_gear",
        (0.95, 0.99),
        "Share of the motor's turning that gears and bearings pass on.",
        zero=False,
    ),
    share(
        "tyre_efficiency",
        "η_tyre",
        (0.97, 1.0),
        "Share of the wheels' turning that grips the road; the rest slips. Rolling resistance is counted apart.",
        zero=False,
    ),
    signed(
        "driving_power",
        "P_drv",
        "W",
        "kW; W; hp",
        (500.0, 50_000.0),
        "Power from the cells for driving alone.",
        less_is_better=True,
    ),
    signed(
        "inverter_power",
        "P_inv",
        "W",
        "kW; W; hp",
        (500.0, 50_000.0),
        "Power that reaches the inverter.",
        less_is_better=True,
    ),
    signed(
        "motor_input_power",
        "P_in",
        "W",
        "kW; W; hp",
        (500.0, 50_000.0),
        "Power that reaches the motor.",
        less_is_better=True,
    ),
    signed(
        "shaft_power", "P_sh", "W", "kW; W; hp", (500.0, 50_000.0), "Power on the motor's shaft.", less_is_better=True
    ),
    signed(
        "axle_power",
        "P_axle",
        "W",
        "kW; W; hp",
        (500.0, 50_000.0),
        "Power on the axle, behind gears and bearings.",
        less_is_better=True,
    ),
    signed(
        "battery_loss",
        "L_bat",
        "W",
        "W; kW",
        (0.0, 2000.0),
        "Power that turns to heat in the cells.",
        less_is_better=True,
    ),
    signed(
        "inverter_loss",
        "L_inv",
        "W",
        "W; kW",
        (0.0, 2000.0),
        "Power that turns to heat in the inverter.",
        less_is_better=True,
    ),
    signed(
        "motor_loss", "L_mot", "W", "W; kW", (0.0, 4000.0), "Power that turns to heat in the motor.", less_is_better=True
    ),
    signed(
        "gear_loss",
        "L_gear",
        "W",
        "W; kW",
        (0.0, 2000.0),
        "Power that turns to heat in gears and bearings.",
        less_is_better=True,
    ),
    signed(
        "tyre_loss",
        "L_tyre",
        "W",
        "W; kW",
        (0.0, 1000.0),
        "Power that turns to heat where the tyres slip.",
        less_is_better=True,
    ),
    signed(
        "air_power", "P_air", "W", "kW; W; hp", (100.0, 40_000.0), "Power that goes into the air.", less_is_better=True
    ),
    signed(
        "rolling_power",
        "P_roll",
        "W",
        "kW; W; hp",
        (100.0, 20_000.0),
        "Power that goes into rolling.",
        less_is_better=True,
    ),
    signed(
        "climbing_power",
        "P_climb",
        "W",
        "kW; W; hp",
        (-20_000.0, 20_000.0),
        "Power that goes into height.",
        less_is_better=True,
    ),
)
