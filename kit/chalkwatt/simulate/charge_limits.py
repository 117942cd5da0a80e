"""The limits of a charge: the current of a cell that each allows, at a state of charge."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Any

import numpy as np
from scipy.interpolate import PchipInterpolator

from chalkwatt.errors import ChalkwattError, OutOfBoundsError, TooLittleKnownError
from chalkwatt.quantities import look_up

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from numpy.typing import NDArray

__all__ = ["ChargeLimits", "Table", "read_table"]

VOLTAGE_LIMITS = ("cells' voltage", "station's voltage")
# By name of the quantity: the words, and whether all groups of cells share the current ...
_CURRENTS = {
    "cell_charge_current_max": ("cells' current", False),
    "pack_charge_current_max": ("pack's current", True),
    "station_current_max": ("station's current", True),
}
# ... or whether the power is counted at the wall.
_POWERS = {
    "station_power_max": ("station's power", False),
    "onboard_power_max": ("onboard charger's power", True),
    "ac_power": ("outlet's power", True),
}


@dataclass(frozen=True)
class Table:
    """A curve given as a table: rising states of charge and a value at each, in SI units."""

    shares: NDArray[np.float64]
    values: NDArray[np.float64]


def read_table(name: str, rows: Any, *, quantity: str) -> Table:  # noqa: ANN401  what a person gives
    """Read a table of states of charge and values.

    Parameters
    ----------
    name : str
        The keyword, for errors.
    rows : mapping or sequence of pairs
        State of charge (share, or text with %) and value (number in SI units, or text with unit).
    quantity : str
        Name of the quantity of the values.

    Returns
    -------
    Table

    Raises
    ------
    ChalkwattError
        If the table has fewer than two rows, or its states of charge do not rise.
    UnitError, OutOfBoundsError
        If an entry cannot be read.

    Examples
    --------
    >>> from chalkwatt.simulate.charge_limits import read_table
    >>> read_table("power_curve", {"10 %": "90 kW", 0.8: "40 kW"}, quantity="charging_power").values
    array([90000., 40000.])
    """
    pairs = list(rows.items() if hasattr(rows, "items") else rows)
    if len(pairs) < 2 or any(np.size(np.asarray(pair, dtype=object)) != 2 for pair in pairs):
        raise ChalkwattError(
            f"{name} needs at least two rows of a state of charge and a value.",
            quantity=name,
            advice='Write it like {0.1: "90 kW", 0.8: "40 kW"}.',
        )
    shares = np.array([look_up("state_of_charge").read(one) for one, _ in pairs], dtype=float)
    values = np.array([look_up(quantity).read(one) for _, one in pairs], dtype=float)
    falls = np.flatnonzero(np.diff(shares) <= 0)
    if len(falls):
        row = int(falls[0]) + 2
        raise ChalkwattError(
            f"{name}: the state of charge does not rise in row {row}: "
            f"{100 * shares[row - 1]:.6g} % after {100 * shares[row - 2]:.6g} %.",
            quantity=name,
            value=float(shares[row - 1]),
            limit=float(shares[row - 2]),
            advice="Sort the rows by state of charge, one row each.",
        )
    return Table(shares, values)


class ChargeLimits:
    """A pack of resistive cells, and the current of a cell that each limit allows.

    Parameters
    ----------
    values : mapping of str to float
        In SI units, by the names of the quantities; what is not there limits nothing.
    voltage : Table
        Open-circuit voltage of a cell.
    power : Table or None
        Power that the vehicle takes, as measured.
    """

    def __init__(
        self, values: Mapping[str, float], voltage: Table, power: Table | None = None
    ) -> None:
        self.values = values
        self.resistance = values["cell_resistance"]
        self.count = values["cells_in_series"] * values["cells_in_parallel"]
        self.tables = [voltage] + ([power] if power else [])
        self.rest = PchipInterpolator(voltage.shares, voltage.values)
        self.measured = power
        full = float(self.rest(voltage.shares[-1]))
        if full > values["cell_voltage_max"]:
            raise OutOfBoundsError(
                f"A full cell rests at {full:.4g} V, above cell_voltage_max.",
                quantity="cell_voltage_max",
                value=values["cell_voltage_max"],
                unit="V",
                limit=full,
                advice="Correct open_circuit_curve or cell_voltage_max.",
            )
        if power is None and not any(one in values for one in (*_CURRENTS, *_POWERS)):
            raise TooLittleKnownError(
                "Nothing limits the current or the power of this charge.",
                quantity="cell_charge_current_max",
                unlocks=(*_CURRENTS, *_POWERS, "power_curve"),
                advice="Give one of cell_charge_current_max, station_power_max, power_curve.",
            )

    def for_power(self, power: float, rest: float) -> float:
        """Return the current of a cell at which the pack takes a power."""
        return (
            2
            * power
            / self.count
            / (rest + math.sqrt(rest * rest + 4 * self.resistance * power / self.count))
        )

    @cached_property
    def allowed(self) -> dict[str, Callable[[float, float], float]]:
        """Every limit in words; each takes state of charge and open-circuit voltage."""
        return self._currents() | self._powers() | self._voltages()

    def _currents(self) -> dict[str, Callable[[float, float], float]]:
        car = self.values
        side = car["cells_in_parallel"]
        made: dict[str, Callable[[float, float], float]] = {}
        for name, (words, shared) in _CURRENTS.items():
            if name in car:
                value = car[name] / (side if shared else 1.0)
                made[words] = self._fixed(value)
        return made

    def _powers(self) -> dict[str, Callable[[float, float], float]]:
        car = self.values
        made: dict[str, Callable[[float, float], float]] = {}
        for name, (words, at_wall) in _POWERS.items():
            if name in car:
                value = car[name] * (car["charging_efficiency"] if at_wall else 1.0)
                made[words] = self._power(value)
        if self.measured is not None:
            table = self.measured
            made["vehicle's measured power"] = lambda share, rest: self.for_power(
                float(np.interp(share, table.shares, table.values)), rest
            )
        return made

    def _voltages(self) -> dict[str, Callable[[float, float], float]]:
        if self.resistance == 0:  # along a power curve alone there is no cell to have a voltage
            return {}
        car = self.values
        highest = {VOLTAGE_LIMITS[0]: car["cell_voltage_max"]}
        if "station_voltage_max" in car:
            highest[VOLTAGE_LIMITS[1]] = car["station_voltage_max"] / car["cells_in_series"]
        return {words: self._voltage(value) for words, value in highest.items()}

    @staticmethod
    def _fixed(value: float) -> Callable[[float, float], float]:
        return lambda _share, _rest: value

    def _power(self, value: float) -> Callable[[float, float], float]:
        return lambda _share, rest: self.for_power(value, rest)

    def _voltage(self, value: float) -> Callable[[float, float], float]:
        return lambda _share, rest: (value - rest) / self.resistance

    def current(self, share: float) -> tuple[float, str]:
        """Return the current of a cell at a state of charge, and what limits it."""
        rest = float(self.rest(share))
        return min((allow(share, rest), words) for words, allow in self.allowed.items())

    def powers(self, share: float) -> tuple[float, float, float]:
        """Return power at the terminals, power stored, and heat of the pack, in watts."""
        rest, current = float(self.rest(share)), self.current(share)[0]
        stored = self.count * rest * current
        heat = self.count * self.resistance * current * current
        return stored + heat, stored, heat
