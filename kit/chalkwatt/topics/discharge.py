"""Discharge: a battery on a load, the most it can give, and how long it lasts.

=====================  =========================================================================
assumed                what it means
=====================  =========================================================================
one resistance         the same at every charge, temperature and duration of the current
Peukert's law          lead-acid batteries; lithium cells lose capacity to current far less
=====================  =========================================================================
"""

from __future__ import annotations

from chalkwatt.answering.topic import Topic
from chalkwatt.laws.relations import Relation, author_order
from chalkwatt.topics import pack as cells

__all__ = ["discharge"]

_OHM = "Ohm's and Kirchhoff's laws"

with author_order() as q:
    LOAD = Relation(
        "Current through the load",
        q.pack_voltage,
        q.pack_current * (q.load_resistance + q.pack_resistance),
        source=_OHM,
        finds="pack_current",
    )
    TERMINALS = Relation(
        "Voltage at the load", q.terminal_voltage, q.pack_current * q.load_resistance, source=_OHM
    )
    POWER = Relation(
        "Power in the load",
        q.pack_power,
        q.pack_current**2 * q.load_resistance,
        source="Joule's law",
    )
    SHORT = Relation(
        "Short circuit",
        q.short_circuit_current,
        q.pack_voltage / q.pack_resistance,
        source=_OHM,
        model=("without fuses",),
        assumptions=("No battery survives it for long; fuses are there so that it never flows.",),
    )
    MATCHED = Relation(
        "The most power it can give",
        q.matched_power,
        q.pack_voltage**2 / (4 * q.pack_resistance),
        source="theorem of greatest power: load and inner resistance alike (Jacobi, 1840)",
        model=("with a voltage that does not fall",),
    )
    PEUKERT = Relation(
        "Time to empty by Peukert's law",
        q.discharge_time,
        q.rated_discharge_time
        * (q.rated_capacity / (q.pack_current * q.rated_discharge_time)) ** q.peukert_exponent,
        source="Peukert, Elektrotechn. Z. 20 (1897) 287, in its form for a stated rating",
        model=("at one current and temperature",),
        assumptions=("Lead-acid batteries at one current and temperature.",),
    )
    CYCLE = Relation(
        "Efficiency of a cycle",
        q.cycle_efficiency,
        q.charge_efficiency * q.mean_discharge_voltage / q.mean_charge_voltage,
        source="definition",
    )
    STANDING = (
        Relation(
            "Rated over 20 hours",
            q.rated_discharge_time,
            72000,
            source="common practice, no source",
            standing=True,
        ),
        Relation(
            "Capacity whatever the current",
            q.peukert_exponent,
            1,
            source="standing value",
            standing=True,
        ),
    )

discharge = Topic(
    "discharge",
    "A battery on a load",
    relations=(
        cells.VOLTAGE,
        cells.RESISTANCE,
        LOAD,
        TERMINALS,
        POWER,
        SHORT,
        MATCHED,
        PEUKERT,
        CYCLE,
        *STANDING,
    ),
    example={
        "pack_voltage": "48 V",
        "pack_resistance": "40 mΩ",
        "load_resistance": "1.2 Ω",
    },
    wanted="pack_power",
    outcomes=("pack_power", "terminal_voltage", "matched_power", "discharge_time"),
    caution=cells.CAUTION,
)
