"""Charging: which limit binds, how long it takes, and how far it takes you.

=====================  =========================================================================
assumed                what it means
=====================  =========================================================================
current                direct current goes round the charger on board, alternating current through
                       it; a charge has a station or an outlet, and the two are never mixed
least limit            of the limits of cells, pack and supply, the lowest binds
one voltage            limits are compared at the voltage given; a session follows it as it rises
constant power         unless a taper factor says how far the average lies below the highest
losses                 one charging efficiency between the meter, at the outlet or in the station,
                       and the battery
heat of the cells      charging power times the resistance of the pack; it is none of what is stored, and
                       its share is that of the highest power; without a resistance there is none
limits left out        a limit that nothing is said of does not bind
=====================  =========================================================================
"""

from __future__ import annotations

import math

import sympy

from chalkwatt.answering.topic import Apart, Topic
from chalkwatt.laws.relations import Relation, Remark, author_order, least
from chalkwatt.planning.ways import Way
from chalkwatt.topics import pack as cells

__all__ = ["CAUTION", "charge"]

_EXACT = "definition"
_OHM = "Ohm's and Kirchhoff's laws"
_LEVELS = "IEC 61851-1 and SAE J1772 (levels of alternating current)"
_LEAST = "The lowest limit binds; one that nothing is said of does not."
_METER = "Alternating current is counted at the outlet, direct current by the station's meter."

DIRECT = Way(
    "direct current",
    "Direct current, which goes round the charger on board.",
    frozenset(
        {
            "station_current_max",
            "station_power_limit",
            "station_power_max",
            "station_voltage_max",
        }
    ),
    beside=("taper_factor",),  # a slow charge does not taper at 80 %
)
ALTERNATING = Way(
    "alternating current",
    "Alternating current, which goes through the charger on board.",
    frozenset(
        {
            "ac_power",
            "line_current",
            "line_voltage",
            "onboard_power_limit",
            "onboard_power_max",
            "phase_voltage",
            "phases",
            "power_factor",
        }
    ),
)

CAUTION = (
    "Charging equipment and packs carry voltages that can kill. These figures are for explanation: "
    "local codes and licensed electricians decide what may be plugged in and wired, and the "
    "maker's limits are never exceeded."
)

with author_order() as q:
    LINE = Relation(
        "Voltage between phases",
        q.line_voltage,
        sympy.sqrt(3) * q.phase_voltage,
        source=_LEVELS,
        assumptions=("Three phases, evenly loaded.",),
    )
    AC = Relation(
        "Power of an outlet",
        q.ac_power,
        q.phases * q.phase_voltage * q.line_current * q.power_factor,
        source=_LEVELS,
    )
    ONBOARD = Relation(
        "Limit of outlet and onboard charger (alternating current)",
        q.onboard_power_limit,
        q.charging_efficiency * least(q.ac_power, q.onboard_power_max),
        source=_EXACT,
        assumptions=(ALTERNATING.words, _LEAST),
    )
    STATION = Relation(
        "Limit of the station (direct current)",
        q.station_power_limit,
        least(q.station_power_max, q.charging_voltage * q.station_current_max),
        source=_EXACT,
        assumptions=(DIRECT.words, _LEAST),
    )
    CELL_RATE = Relation(
        "Charging current of a cell",
        q.cell_charge_current_max,
        q.cell_charge_rate_max * q.cell_capacity,
        source="IEC 62660-1 (current over capacity)",
    )
    CELLS_CURRENT = Relation(
        "Charging current that the cells allow",
        q.cell_current_limit,
        q.cells_in_parallel * q.cell_charge_current_max,
        source=_OHM,
    )
    CELLS_RATE = Relation(
        "Charging current that the cells allow, by C-rate",
        q.cell_current_limit,
        q.cell_charge_rate_max * q.pack_capacity,
        source="IEC 62660-1 (current over capacity)",
    )
    CELLS = Relation(
        "Limit of the cells",
        q.cell_power_limit,
        q.charging_voltage * q.cell_current_limit,
        source=_EXACT,
    )
    PACK = Relation(
        "Limit of the pack's wiring",
        q.pack_power_limit,
        q.charging_voltage * q.pack_charge_current_max,
        source=_OHM,
    )
    POWER = Relation(
        "Charging power",
        q.charging_power,
        least(q.cell_power_limit, q.onboard_power_limit, q.pack_power_limit, q.station_power_limit),
        source=_EXACT,
        finds="charging_power",
        assumptions=("A charge has a station or an outlet, not both.", _LEAST),
    )
    CURRENT = Relation(
        "Charging current",
        q.charging_power,
        q.charging_voltage * q.charging_current,
        source=_EXACT,
        finds="charging_current",
    )
    VOLTAGE = Relation(
        "Voltage while charging",
        q.charging_voltage,
        q.pack_voltage + q.charging_current * q.pack_resistance,
        source=_OHM,
        assumptions=("The pack is a voltage and a resistance in series.",),
    )
    C_RATE = Relation(
        "C-rate",
        q.c_rate,
        q.charging_current / q.pack_capacity,
        source="IEC 62660-1 (current over capacity)",
    )
    STORED = Relation(
        "Energy stored",
        q.stored_energy,
        q.usable_energy * (q.state_of_charge_to - q.state_of_charge_from),
        source=_EXACT,
        assumptions=("The state of charge counts the usable energy.",),
        refusals=(
            Remark(
                q.state_of_charge_to - q.state_of_charge_from,
                "The charge would end no higher than it began: nothing is added.",
            ),
        ),
    )
    # Current² · resistance, for as long as the current takes to bring the energy: energy / (voltage · current).
    HEAT = Relation(
        "Heat of the cells",
        q.charging_heat,
        q.charging_current * q.pack_resistance / q.pack_voltage * q.stored_energy,
        source=_OHM,
        model=("with one voltage and resistance of the pack, and the heat of the highest power",),
        assumptions=(
            "The pack is a voltage and a resistance in series.",
            "The share that turns to heat is that at the highest power.",
        ),
    )
    ADDED = Relation(
        "Energy added", q.energy_added, q.stored_energy + q.charging_heat, source=_EXACT
    )
    # Of a pack without a resistance the first needs neither voltage nor current.
    STORING = Relation(
        "Power that is stored",
        q.stored_power,
        q.charging_power - q.charging_current**2 * q.pack_resistance,
        source=_OHM,
    )
    STORING_AT_REST = Relation(
        "Power that is stored, by the voltage at rest",
        q.stored_power,
        q.pack_voltage * q.charging_current,
        source=_OHM,
    )
    AVERAGE = Relation(
        "Average power", q.average_charging_power, q.taper_factor * q.charging_power, source=_EXACT
    )
    TIME = Relation(
        "Charging time",
        q.charging_time,
        q.energy_added / q.average_charging_power,
        source=_EXACT,
    )
    SPEED = Relation(
        "Distance added per time, at the highest power",
        q.charging_speed,
        q.stored_power / q.consumption,
        source=_EXACT,
    )
    AVERAGE_SPEED = Relation(
        "Distance added per time, on average",
        q.average_charging_speed,
        q.taper_factor * q.charging_speed,
        source=_EXACT,
    )
    TEN_MINUTES = Relation(
        "Distance added in ten minutes",
        q.distance_in_ten_minutes,
        q.average_charging_speed * q.ten_minutes,
        source=_EXACT,
    )
    DISTANCE = Relation(
        "Distance added", q.distance_added, q.stored_energy / q.consumption, source=_EXACT
    )
    WALL_POWER = Relation(
        "Power from the wall",
        q.wall_power,
        q.charging_power / q.charging_efficiency,
        source=_EXACT,
        model=("with one charging efficiency at every power",),
        assumptions=("One charging efficiency holds at every power.", _METER),
    )
    WALL_ENERGY = Relation(
        "Energy from the wall",
        q.wall_energy,
        q.energy_added / q.charging_efficiency,
        source=_EXACT,
        assumptions=(_METER,),
    )
    LOSS = Relation(
        "Lost on the way", q.charging_loss, q.wall_energy - q.energy_added, source=_EXACT
    )
    WALL_CONSUMPTION = Relation(
        "Consumption from the wall",
        q.wall_consumption,
        q.consumption / q.charging_efficiency,
        source=_EXACT,
        assumptions=(_METER, "The heat of the cells while they charge is left out."),
    )
    # What the pack turns to heat is paid for, and is no distance.
    WALL_SPEED = Relation(
        "Distance added per time, counted at the wall",
        q.charging_speed,
        q.wall_power
        / (q.wall_consumption * (1 + q.charging_current * q.pack_resistance / q.pack_voltage)),
        source=_EXACT,
    )
    STANDING = (
        # Most limits first: one that is not there says less than any value. The cells' last, for
        # their limit in power may rest on a standing value.
        *(
            Relation("No such limit", limit, math.inf, source="standing value", standing=True)
            for limit in (
                q.pack_charge_current_max,
                q.station_current_max,
                q.station_power_max,
                q.onboard_power_max,
                q.ac_power,
            )
        ),
        Relation(
            "All energy is usable", q.usable_fraction, 1, source="standing value", standing=True
        ),
        Relation("No resistance", q.pack_resistance, 0, source="standing value", standing=True),
        Relation(
            "Voltage and current in step", q.power_factor, 1, source="standing value", standing=True
        ),
        Relation("Constant power", q.taper_factor, 1, source="standing value", standing=True),
        Relation(
            "No such limit", q.cell_current_limit, math.inf, source="standing value", standing=True
        ),
    )

charge = Topic(
    "charge",
    "Charging",
    relations=(
        LINE,
        AC,
        cells.VOLTAGE,
        cells.CAPACITY,
        cells.ENERGY,
        cells.USABLE,
        cells.RESISTANCE,
        VOLTAGE,
        CELL_RATE,
        CELLS_CURRENT,
        CELLS_RATE,
        CELLS,
        PACK,
        STATION,
        ONBOARD,
        POWER,
        CURRENT,
        C_RATE,
        STORED,
        HEAT,
        ADDED,
        STORING,
        STORING_AT_REST,
        AVERAGE,
        TIME,
        SPEED,
        AVERAGE_SPEED,
        TEN_MINUTES,
        DISTANCE,
        WALL_POWER,
        WALL_ENERGY,
        LOSS,
        WALL_CONSUMPTION,
        WALL_SPEED,
        *STANDING,
    ),
    dependent=(
        (cells.CAPACITY, CELL_RATE, CELLS_CURRENT, CELLS_RATE),
        (VOLTAGE, CURRENT, STORING, STORING_AT_REST),
        (VOLTAGE, CURRENT, STORING, SPEED, WALL_POWER, WALL_CONSUMPTION, WALL_SPEED),
    ),
    example={
        "pack_voltage": "350 V",
        "cells_in_parallel": 20,
        "cell_charge_current_max": "12 A",
        "station_power_max": "100 kW",
        "station_current_max": "250 A",
        "usable_energy": "36 kWh",
        "state_of_charge_from": "10 %",
        "state_of_charge_to": "80 %",
        "taper_factor": 0.75,
    },
    wanted="charging_time",
    outcomes=(
        "charging_time",
        "charging_power",
        "average_charging_power",
        "charging_speed",
        "distance_in_ten_minutes",
        "wall_power",
    ),
    caution=CAUTION,
    ways=(DIRECT, ALTERNATING),
    apart={
        "c_rate": Apart(
            "The C-rate of a charge is that of the charging current, and not of the current that "
            "the pack gives."
        )
    },
)
