"""The governing equations of a charge session, each written once."""

from __future__ import annotations

from functools import cache

import sympy

from chalkwatt.relations import Relation, author_order
from chalkwatt.simulate.equations import Equations, Rate

__all__ = ["equations"]

_OHM = "Ohm's and Kirchhoff's laws"

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
    CURRENT = Relation(
        "Current of a cell",
        q.cell_current,
        sympy.Min(
            q.cell_charge_current_max,
            (q.cell_voltage_max - q.open_circuit_voltage) / q.cell_resistance,
            q.charging_power / (q.cells_in_series * q.cells_in_parallel * q.cell_charging_voltage),
            evaluate=False,
        ),
        source="definition",
        assumptions=(
            "Of all limits the lowest binds: current first, then voltage; pack and station join in.",
        ),
    )
    ENERGY = Rate(
        "Energy at the terminals",
        "energy_added",
        q.cells_in_series * q.cells_in_parallel * q.cell_charging_voltage * q.cell_current,
    )
    CURVE = Rate(
        "Charge along a power curve",
        "state_of_charge",
        q.charging_power / q.usable_energy,
        assumptions=("The power measured at a state of charge is always the same.",),
    )
    ADDED = Rate("Energy at the terminals", "energy_added", q.charging_power)


@cache
def equations(*, resistive: bool) -> Equations:
    """Return the equations that a session integrates.

    Parameters
    ----------
    resistive : bool
        Whether there is a cell; along a power curve alone there is none.

    Returns
    -------
    Equations

    Examples
    --------
    >>> from chalkwatt.simulate.charge_equations import equations
    >>> print(equations(resistive=False).text.splitlines()[1].strip())
    dz/dt = P_ch / E_use
    """
    return Equations((CHARGE, VOLTAGE, CURRENT, ENERGY) if resistive else (CURVE, ADDED))
