"""The pack: what a number of cells, in series and in parallel, amounts to.

=====================  =========================================================================
assumed                what it means
=====================  =========================================================================
alike cells            every cell has the voltage, capacity, resistance and mass of the data sheet
nominal voltage        energy is counted at the mean voltage of a slow discharge
resistance             the same at every charge and duration of the current; one number, or one at
                       25 °C that follows the cells' temperature
connections            their resistance counts as part of the cells'
=====================  =========================================================================
"""

from __future__ import annotations

from chalkwatt.answering.topic import Topic
from chalkwatt.laws.relations import Relation, author_order
from chalkwatt.topics import cold

__all__ = ["CAUTION", "DEPENDENT", "RELATIONS", "pack"]

_EXACT = "definition"
_OHM = "Ohm's and Kirchhoff's laws"
_ALIKE = ("Every cell has the values of the data sheet.",)
_NOMINAL = ("Energy is counted at the mean voltage of a slow discharge.",)

CAUTION = (
    "Packs of these voltages can kill, charged or not in use. "
    "These figures are for explanation, not for building: "
    "local codes and licensed practice decide how a pack is made, opened and handled."
)

with author_order() as q:
    COUNT = Relation(
        "Cells in all", q.cell_count, q.cells_in_series * q.cells_in_parallel, source=_EXACT
    )
    MODULES = Relation(
        "Cells by modules", q.cell_count, q.module_count * q.cells_per_module, source=_EXACT
    )
    VOLTAGE = Relation(
        "Nominal voltage",
        q.pack_voltage,
        q.cells_in_series * q.cell_voltage,
        source=_OHM,
        assumptions=_ALIKE,
    )
    VOLTAGE_MAX = Relation(
        "Voltage when full",
        q.pack_voltage_max,
        q.cells_in_series * q.cell_voltage_max,
        source=_OHM,
        assumptions=_ALIKE,
    )
    VOLTAGE_MIN = Relation(
        "Voltage when empty",
        q.pack_voltage_min,
        q.cells_in_series * q.cell_voltage_min,
        source=_OHM,
        assumptions=_ALIKE,
    )
    CAPACITY = Relation(
        "Capacity",
        q.pack_capacity,
        q.cells_in_parallel * q.cell_capacity,
        source=_OHM,
        assumptions=_ALIKE,
    )
    CELL_ENERGY = Relation(
        "Energy of a cell",
        q.cell_energy,
        q.cell_voltage * q.cell_capacity,
        source=_EXACT,
        assumptions=_NOMINAL,
    )
    ENERGY = Relation(
        "Energy of the pack",
        q.pack_energy,
        q.pack_voltage * q.pack_capacity,
        source=_EXACT,
        assumptions=_NOMINAL,
    )
    COUNTED = Relation(
        "Energy by cells",
        q.pack_energy,
        q.cell_count * q.cell_energy,
        source=_EXACT,
        assumptions=_ALIKE,
    )
    USABLE = Relation(
        "Usable energy", q.usable_energy, q.usable_fraction * q.pack_energy, source=_EXACT
    )
    RESERVE = Relation(
        "Energy kept back", q.reserve_energy, q.pack_energy - q.usable_energy, source=_EXACT
    )
    CELLS_MASS = Relation(
        "Mass of the cells",
        q.cells_mass,
        q.cell_count * q.cell_mass,
        source=_EXACT,
        assumptions=_ALIKE,
    )
    FRACTION = Relation(
        "Cells in the pack's mass", q.cell_mass_fraction, q.cells_mass / q.pack_mass, source=_EXACT
    )
    CELL_SPECIFIC = Relation(
        "Specific energy of a cell",
        q.cell_specific_energy,
        q.cell_energy / q.cell_mass,
        source=_EXACT,
    )
    PACK_SPECIFIC = Relation(
        "Specific energy of the pack",
        q.pack_specific_energy,
        q.pack_energy / q.pack_mass,
        source=_EXACT,
    )
    SPECIFIC = Relation(
        "Specific energy from cell to pack",
        q.pack_specific_energy,
        q.cell_mass_fraction * q.cell_specific_energy,
        source=_EXACT,
    )
    CELL_CURRENT = Relation(
        "Current through a cell",
        q.pack_current,
        q.cells_in_parallel * q.cell_current,
        source=_OHM,
        assumptions=_ALIKE,
    )
    CURRENT_MAX = Relation(
        "Largest current",
        q.pack_current_max,
        q.cells_in_parallel * q.cell_current_max,
        source=_OHM,
        assumptions=_ALIKE,
    )
    C_RATE = Relation(
        "C-rate",
        q.c_rate,
        q.pack_current / q.pack_capacity,
        source="IEC 62660-1 (current over capacity)",
    )
    CELL_C_RATE = Relation(
        "C-rate of a cell",
        q.c_rate,
        q.cell_current / q.cell_capacity,
        source="IEC 62660-1 (current over capacity)",
    )
    RESISTANCE = Relation(
        "Resistance of the pack",
        q.pack_resistance,
        q.cells_in_series * q.cell_resistance / q.cells_in_parallel,
        source=_OHM,
        assumptions=(*_ALIKE, "Bars, welds and fuses add nothing."),
    )
    SAG = Relation(
        "Voltage under load",
        q.terminal_voltage,
        q.pack_voltage - q.pack_current * q.pack_resistance,
        source=_OHM,
        assumptions=(
            (
                "Of two currents that give one power, the lower: "
                "beyond half the voltage, more current brings less."
            ),
        ),
        where=(q.pack_voltage - 2 * q.pack_current * q.pack_resistance,),
    )
    POWER = Relation(
        "Power at the terminals", q.pack_power, q.terminal_voltage * q.pack_current, source=_EXACT
    )
    SAG_SHARE = Relation(
        "Share of voltage lost",
        q.voltage_sag,
        q.pack_current * q.pack_resistance / q.pack_voltage,
        source=_OHM,
    )
    HEAT = Relation(
        "Heat in the pack", q.pack_heat, q.pack_current**2 * q.pack_resistance, source="Joule's law"
    )
    FLOOR = Relation(
        "Power at the lowest voltage",
        q.voltage_limited_power,
        q.pack_voltage_min * (q.pack_voltage - q.pack_voltage_min) / q.pack_resistance,
        source=_OHM,
        assumptions=("The lowest voltage is above half of the nominal one.",),
        where=(2 * q.pack_voltage_min - q.pack_voltage,),
    )
    CEILING = Relation(
        "Power at the largest current",
        q.current_limited_power,
        (q.pack_voltage - q.pack_current_max * q.pack_resistance) * q.pack_current_max,
        source=_OHM,
        where=(q.pack_voltage - 2 * q.pack_current_max * q.pack_resistance,),
    )

RELATIONS = (
    COUNT,
    MODULES,
    VOLTAGE,
    VOLTAGE_MAX,
    VOLTAGE_MIN,
    CAPACITY,
    CELL_ENERGY,
    ENERGY,
    COUNTED,
    USABLE,
    RESERVE,
    CELLS_MASS,
    FRACTION,
    CELL_SPECIFIC,
    PACK_SPECIFIC,
    SPECIFIC,
    CELL_CURRENT,
    CURRENT_MAX,
    C_RATE,
    CELL_C_RATE,
    RESISTANCE,
    SAG,
    POWER,
    SAG_SHARE,
    HEAT,
    FLOOR,
    CEILING,
    *cold.ENERGY,
    cold.WARM_FRACTION,
    cold.RESISTANCE,
)

# In each group any one relation follows from the others; the last is the one left out first.
DEPENDENT = (
    (COUNT, VOLTAGE, CAPACITY, CELL_ENERGY, ENERGY, COUNTED),
    (COUNTED, CELLS_MASS, FRACTION, CELL_SPECIFIC, PACK_SPECIFIC, SPECIFIC),
    (CAPACITY, CELL_CURRENT, C_RATE, CELL_C_RATE),
)

pack = Topic(
    "pack",
    "The pack and its cells",
    relations=(*RELATIONS, *cold.STANDING),
    dependent=DEPENDENT,
    example={
        "cells_in_series": 96,
        "cells_in_parallel": 22,
        "cell_voltage": "3.63 V",
        "cell_capacity": "5 Ah",
    },
    wanted="pack_energy",
    outcomes=(
        "voltage_limited_power",
        "pack_power",
        "pack_energy",
        "usable_energy",
        "pack_specific_energy",
    ),
    caution=CAUTION,
)
