"""The governing equations of a charge session, each written once; a session integrates these very ones."""

from __future__ import annotations

from typing import TYPE_CHECKING

import sympy

from chalkwatt.laws.relations import Relation, author_order
from chalkwatt.runs.equations import Equations, Rate
from chalkwatt.topics import charge

if TYPE_CHECKING:
    from collections.abc import Collection

    from chalkwatt.planning.ways import Way

__all__ = ["equations"]

_OHM = "Ohm's and Kirchhoff's laws"
_LEAST = "Of all limits the lowest binds, at every state of charge."

with author_order() as q:
    CHARGE = Rate(
        "Charge",
        "state_of_charge",
        q.cell_current / q.cell_capacity,
        assumptions=("No charge is lost in side reactions.",),
    )
    VOLTAGE = Relation(
        "Voltage of a cell while it charges",
        q.cell_charging_voltage,
        q.open_circuit_voltage + q.cell_resistance * q.cell_current,
        source=_OHM,
        assumptions=(
            "The cell is a voltage, which depends on its state of charge, and one resistance.",
        ),
    )
    DIRECT = Relation(
        "Power that is allowed (direct current)",
        q.charging_power_limit,
        sympy.Min(q.station_power_max, q.measured_charging_power, evaluate=False),
        source="definition",
        assumptions=(charge.DIRECT.words, _LEAST),
    )
    ALTERNATING = Relation(
        "Power that is allowed (alternating current)",
        q.charging_power_limit,
        sympy.Min(q.onboard_power_limit, q.measured_charging_power, evaluate=False),
        source="definition",
        assumptions=(charge.ALTERNATING.words, _LEAST),
    )
    MEASURED = Relation(
        "Power that is allowed",
        q.charging_power_limit,
        q.measured_charging_power,
        source="definition",
        assumptions=("The supply gives as much as the vehicle took when it was measured.",),
    )
    POWER = Relation(
        "Current at which the pack takes that power",
        q.power_limited_cell_current,
        2
        * q.charging_power_limit
        / (
            q.cells_in_series
            * q.cells_in_parallel
            * (
                q.open_circuit_voltage
                + sympy.sqrt(
                    q.open_circuit_voltage**2
                    + 4
                    * q.cell_resistance
                    * q.charging_power_limit
                    / (q.cells_in_series * q.cells_in_parallel)
                )
            )
        ),
        source=_OHM,
        assumptions=("The current at which voltage, risen by it, times current is the power.",),
    )
    CURRENT = Relation(
        "Current of a cell",
        q.cell_current,
        sympy.Min(
            q.cell_charge_current_max,
            q.cell_charge_rate_max * q.cell_capacity,
            q.pack_charge_current_max / q.cells_in_parallel,
            q.station_current_max / q.cells_in_parallel,
            (q.cell_voltage_max - q.open_circuit_voltage) / q.cell_resistance,
            (q.station_voltage_max / q.cells_in_series - q.open_circuit_voltage)
            / q.cell_resistance,
            q.power_limited_cell_current,
            evaluate=False,
        ),
        source="definition",
        assumptions=(_LEAST,),
    )
    ENERGY = Rate(
        "Energy at the terminals",
        "energy_added",
        q.cells_in_series * q.cells_in_parallel * q.cell_charging_voltage * q.cell_current,
    )
    STORED = Rate(
        "Energy stored",
        "stored_energy",
        q.cells_in_series * q.cells_in_parallel * q.open_circuit_voltage * q.cell_current,
        assumptions=("What the cells turn into heat drives nobody anywhere.",),
    )
    HEAT = Rate(
        "Heat of the cells",
        "charging_heat",
        q.cells_in_series * q.cells_in_parallel * q.cell_resistance * q.cell_current**2,
        source=_OHM,
    )
    CURVE = Rate(
        "Charge along a power curve",
        "state_of_charge",
        q.charging_power_limit / q.usable_energy,
        assumptions=("The power measured at a state of charge is always the same.",),
    )
    CURVE_ENERGY = Rate("Energy at the terminals", "energy_added", q.charging_power_limit)
    CURVE_STORED = Rate(
        "Energy stored",
        "stored_energy",
        q.charging_power_limit,
        assumptions=("A power curve says nothing of heat: all of it counts as stored.",),
    )
    DISTANCE = Relation(
        "Distance added",
        q.distance_added,
        q.stored_energy / q.consumption,
        source="definition",
        assumptions=(
            "What was stored comes back; the heat of the cells on the way out is left out.",
        ),
    )

# Each may be left out; a session that does not have one is not limited by it.
LIMITS = (
    "ac_power",
    "cell_charge_current_max",
    "cell_charge_rate_max",
    "measured_charging_power",
    "onboard_power_max",
    "pack_charge_current_max",
    "station_current_max",
    "station_power_max",
    "station_voltage_max",
)


def equations(given: Collection[str], *, resistive: bool, way: Way | None = None) -> Equations:
    """Return the equations that a session integrates.

    Parameters
    ----------
    given : collection of str
        What is known, the measured power among it if there is a curve.
    resistive : bool
        Whether there is a cell; along a power curve alone there is none.
    way : Way, optional
        Direct or alternating current, if a limit of the supply is given.

    Returns
    -------
    Equations

    Examples
    --------
    >>> from chalkwatt.runs.charge.equations import equations
    >>> print(equations(["measured_charging_power"], resistive=False))
    Power that is allowed
        P_lim = P_meas
    Charge along a power curve
        dz/dt = P_lim / E_use
    Energy at the terminals
        dE_add/dt = P_lim
    Energy stored
        dE_st/dt = P_lim
    """
    lines: list[Relation | Rate] = []
    endless = {one for one in LIMITS if one not in given}
    alternating = way is charge.ALTERNATING
    supplied = alternating or "station_power_max" in given
    if alternating:
        lines.append(charge.ONBOARD)
    else:
        endless.add("onboard_power_limit")
    if supplied:
        lines.append(ALTERNATING if alternating else DIRECT)
    elif "measured_charging_power" in given:
        lines.append(MEASURED)
    else:
        endless.add("power_limited_cell_current")
    if resistive:
        if "power_limited_cell_current" not in endless:
            lines.append(POWER)
        lines += [CURRENT, VOLTAGE, CHARGE, ENERGY, STORED, HEAT]
    else:
        lines += [CURVE, CURVE_ENERGY, CURVE_STORED]
    if "consumption" in given:
        lines.append(DISTANCE)
    if "charging_efficiency" in given:
        lines.append(charge.WALL_ENERGY)
    return Equations(lines, endless=endless)
