"""A charge session: constant current, then constant voltage, or along a measured power curve.

=====================  =========================================================================
assumed                what it means
=====================  =========================================================================
resistive cell         an open-circuit voltage, by state of charge, and one resistance
alike cells            all cells at the same charge and temperature
current                direct current goes round the charger on board, alternating current through
                       it; a session has a station or an outlet, and the two are never mixed
least limit            of all limits the lowest binds, at every state of charge
end of charge          at the state of charge asked for, or where the current has fallen to its end
no diffusion           a real cell meets its voltage limit earlier, and so takes longer
=====================  =========================================================================

What is integrated is what ``run.equations`` shows. State of charge is the independent variable, so
all rates are divided by that of the charge: ``dt/dz = 1 / (dz/dt)``. Between two states of charge at
which the limit changes the right side is smooth; each stretch is integrated for itself with
``scipy.integrate.solve_ivp``.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from chalkwatt.algebra.trees import names
from chalkwatt.calls import checked_call
from chalkwatt.errors import ChalkwattError, OutOfBoundsError, TooLittleKnownError
from chalkwatt.laws.quantities import look_up
from chalkwatt.rendering.phrases import no_part
from chalkwatt.runs.charge.equations import equations
from chalkwatt.runs.charge.limits import MEASURED, ChargeLimits, Table, read_table
from chalkwatt.runs.charge.run import ChargeRun
from chalkwatt.topics.charge import charge
from chalkwatt.wording.numbers import format_input

if TYPE_CHECKING:
    from collections.abc import Collection, Mapping, Sequence

    from chalkwatt.runs.charge.limits import Curve
    from chalkwatt.wording.given import Given

__all__ = ["charge_session"]

_END_RATE = 1 / (20 * 3600)  # 1/s; a charge ends at a twentieth of the capacity per hour
_NEED_A_CELL = (
    "cell_charge_current_max",
    "cell_charge_rate_max",
    "pack_charge_current_max",
    "station_current_max",
    "station_voltage_max",
)
_CELL = ("cell_capacity", "cell_resistance", "open_circuit_curve", "cell_voltage_max")
_COUNTS = ("cells_in_series", "cells_in_parallel")
_OF_A_CELL = frozenset({*_CELL, *_COUNTS, "cell_current_end"})
# Where the session begins and ends, which stands in no equation.
_ALWAYS = frozenset({"state_of_charge_from", "state_of_charge_to"})


@checked_call
def charge_session(
    *,
    state_of_charge_from: Given,
    state_of_charge_to: Given = 1.0,
    cell_capacity: Given | None = None,
    cell_resistance: Given | None = None,
    open_circuit_curve: Curve | None = None,
    cell_voltage_max: Given | None = None,
    cell_current_end: Given | None = None,
    cells_in_series: Given = 1,
    cells_in_parallel: Given = 1,
    cell_charge_current_max: Given | None = None,
    cell_charge_rate_max: Given | None = None,
    pack_charge_current_max: Given | None = None,
    station_current_max: Given | None = None,
    station_power_max: Given | None = None,
    station_voltage_max: Given | None = None,
    onboard_power_max: Given | None = None,
    ac_power: Given | None = None,
    charging_efficiency: Given | None = None,
    power_curve: Curve | None = None,
    usable_energy: Given | None = None,
    consumption: Given | None = None,
    name: str = "",
    tolerance: float = 1e-11,
) -> ChargeRun:
    """Run a charge session.

    Parameters
    ----------
    state_of_charge_from, state_of_charge_to : number (share) or str
    cell_capacity, cell_resistance, cell_voltage_max : number (SI), str or pint quantity
        Of one cell; with ``open_circuit_curve`` they make the cell.
    open_circuit_curve : mapping or sequence of pairs
        State of charge and voltage of a cell at rest; between the rows a smooth monotone curve.
    cell_current_end : number (A), str or pint quantity, optional
        Where the charge at constant voltage ends; capacity over 20 h if left out.
    cells_in_series, cells_in_parallel : int
    cell_charge_current_max, cell_charge_rate_max : optional
        Limit of a cell, as a current or as a current over capacity (``"0.5 1/h"``).
    pack_charge_current_max : optional
    station_current_max, station_power_max, station_voltage_max : optional
        Direct current, which goes round the charger on board.
    onboard_power_max, ac_power : optional
        Alternating current, at the outlet's side of the onboard charger; they need
        ``charging_efficiency``.
    charging_efficiency : number, optional
        Share of the energy counted at the outlet, or by a station's meter, that arrives at the battery.
    power_curve : mapping or sequence of pairs, optional
        State of charge and measured power; straight between the rows. With ``usable_energy`` it
        makes a session of its own; with a cell it is one more limit.
    usable_energy : number (J), str or pint quantity, optional
    consumption : number (J/m), str or pint quantity, optional
        For the distance added.
    name : str
        For figures.
    tolerance : float
        Relative, of the integration.

    Returns
    -------
    ChargeRun

    Raises
    ------
    UnitError, OutOfBoundsError
        If a unit or a value does not fit its quantity.
    TooLittleKnownError
        If neither a cell nor a power curve with usable energy is given.
    TooMuchKnownError
        If direct and alternating current are mixed; it says what to leave out.

    Notes
    -----
    What was given and nothing was reckoned with is said in the run's ``notes``: of a cell that is known
    only in part, say, where a power curve alone makes the session.

    Examples
    --------
    >>> import chalkwatt as cw
    >>> session = cw.charge_session(
    ...     power_curve={"5 %": "80 kW", "40 %": "80 kW", "80 %": "40 kW", "100 %": "10 kW"},
    ...     usable_energy="36 kWh", state_of_charge_from="10 %", state_of_charge_to="80 %",
    ... )
    >>> session
    charge session: 10 % to 80 % in 23.07 min, 25.20 kWh; average 65.53 kW, peak 80.00 kW
    """
    given = {
        key: value
        for key, value in locals().items()
        if key in _NUMBERS and (value is not None or key in _NEEDED)
    }
    values = {key: look_up(key).read_one(value) for key, value in given.items()}
    way = charge.ways.of(tuple(values))
    start, end = values["state_of_charge_from"], values["state_of_charge_to"]
    if end <= start:
        raise OutOfBoundsError(
            f"state_of_charge_to = {100 * end:.4g} % is not above state_of_charge_from.",
            quantity="state_of_charge_to",
            value=100 * end,
            unit="%",
            limit=100 * start,
            advice="Charge to more than there is.",
        )
    if ("onboard_power_max" in values or "ac_power" in values) and charging_efficiency is None:
        raise TooLittleKnownError(
            "The onboard charger's power is counted at the wall; what arrives is not known.",
            quantity="charging_efficiency",
            unlocks=("charging_efficiency",),
            advice="Give charging_efficiency, such as 0.88.",
        )
    curve = None
    if power_curve is not None:
        curve = read_table("power_curve", power_curve, quantity="charging_power")
        _covers("power_curve", curve, start, end)
    known = (*values, *([MEASURED] if curve else []))
    resistive = open_circuit_curve is not None or curve is None or "usable_energy" not in values
    shown = equations(known, resistive=resistive, way=way)
    if resistive:
        limits = ChargeLimits(values, shown, _cell(values, open_circuit_curve), curve)
    else:
        limits = ChargeLimits(_curve_alone(values), shown, _NO_CELL, curve)
    used = {one for line in shown.lines for side in shown.sides(line) for one in names(side)}
    if resistive:
        used |= {"cell_current_end"}  # where it ends, which stands in no equation
    notes = _left_out(given, values, used, resistive=resistive)
    return ChargeRun(limits, name=name, way=way, notes=notes, tolerance=tolerance)


def _left_out(
    given: Collection[str], values: Mapping[str, float], used: Collection[str], *, resistive: bool
) -> tuple[str, ...]:
    """Say of what was given that nothing was reckoned with it, and what would have made use of it."""
    idle = {
        name: values[name]
        for name in given
        if name not in _ALWAYS and name not in used and not (name in _COUNTS and values[name] == 1)
    }
    cell = [] if resistive else [name for name in idle if name in _OF_A_CELL]
    notes = []
    if cell:
        lacking = [one for one in _CELL if one not in given]
        notes.append(
            f"The cell's own limits are left out: of a cell, {_listed(cell)} "
            f"{'is' if len(cell) == 1 else 'are'} given, and {_listed(lacking)} "
            f"{'is' if len(lacking) == 1 else 'are'} missing. The measured power alone decides."
        )
    rest = {name: _shown(name, si) for name, si in idle.items() if name not in cell}
    return (*notes, no_part(rest)) if rest else tuple(notes)


def _listed(words: Sequence[str]) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"


def _shown(name: str, si: float) -> str:
    entry = look_up(name)
    return f"{format_input(float(entry.in_unit(si)))} {entry.display[0]}".rstrip()


_NUMBERS = frozenset(  # every keyword that takes a number
    [
        "state_of_charge_from",
        "state_of_charge_to",
        "cell_capacity",
        "cell_resistance",
        "cell_voltage_max",
        "cell_current_end",
        "cells_in_series",
        "cells_in_parallel",
        "cell_charge_current_max",
        "cell_charge_rate_max",
        "pack_charge_current_max",
        "station_current_max",
        "station_power_max",
        "station_voltage_max",
        "onboard_power_max",
        "ac_power",
        "charging_efficiency",
        "usable_energy",
        "consumption",
    ]
)


_NEEDED = frozenset(
    ["state_of_charge_from", "state_of_charge_to", "cells_in_series", "cells_in_parallel"]
)


def _cell(values: dict[str, float], rest: Curve | None) -> Table:
    """Check what makes a cell, and return its voltages at rest."""
    lacking = [one for one in _CELL if one not in values and (one != _CELL[2] or rest is None)]
    if lacking:
        raise TooLittleKnownError(
            f"A session needs a cell, and of it {', '.join(lacking)} is missing.",
            quantity=lacking[0],
            unlocks=(*lacking, "power_curve"),
            advice=f"Give {', '.join(lacking)}, or power_curve with usable_energy.",
        )
    if values["cell_resistance"] == 0:
        raise OutOfBoundsError(
            "cell_resistance = 0 leaves nothing between the voltages to set a current.",
            quantity="cell_resistance",
            value=0.0,
            unit="Ω",
            limit=0.0,
            advice="Give the cell's resistance, such as 30 mΩ.",
        )
    table = read_table("open_circuit_curve", rest, quantity="open_circuit_voltage")
    _covers(
        "open_circuit_curve", table, values["state_of_charge_from"], values["state_of_charge_to"]
    )
    values.setdefault("cell_current_end", _END_RATE * values["cell_capacity"])
    return table


_NO_CELL = Table(np.array([0.0, 1.0]), np.array([1.0, 1.0]))


def _curve_alone(values: dict[str, float]) -> dict[str, float]:
    for name in _NEED_A_CELL:
        if name in values:
            raise ChalkwattError(
                f"{name} limits a current or a voltage, and a power curve knows none.",
                quantity=name,
                value=values[name],
                advice="Give station_power_max instead, or a cell beside the curve.",
            )
    return values | {"cell_current_end": 0.0}


def _covers(name: str, table: Table, start: float, end: float) -> None:
    low, high = float(table.shares[0]), float(table.shares[-1])
    if start < low or end > high:
        raise OutOfBoundsError(
            f"{name} covers {100 * low:.4g} % to {100 * high:.4g} %, "
            f"the session {100 * start:.4g} % to {100 * end:.4g} %.",
            quantity=name,
            value=100 * (start if start < low else end),
            unit="%",
            limit=100 * (low if start < low else high),
            advice="Add rows to the table, or shorten the session.",
        )
