"""The limits of a charge, and its rates at a state of charge, compiled from the equations that are shown.

The current of a cell is the least of several, and stands in a chain of equations. The chain is put
together into one tree; each way through its leasts is one limit, and has words of its own.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Protocol, TypeAlias, runtime_checkable

import numpy as np
from scipy.interpolate import PchipInterpolator

from chalkwatt.algebra.scalar_tree import compile_scalar, settle
from chalkwatt.algebra.trees import names, substitute
from chalkwatt.errors import ChalkwattError, OutOfBoundsError, TooLittleKnownError
from chalkwatt.laws.quantities import look_up
from chalkwatt.runs.equations import Rate

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence

    from numpy.typing import NDArray

    from chalkwatt.algebra.trees import Tree
    from chalkwatt.runs.equations import Equations
    from chalkwatt.wording.given import Given

__all__ = ["ChargeLimits", "Table", "read_table"]

MEASURED = "measured_charging_power"
RATES = ("state_of_charge", "energy_added", "stored_energy", "charging_heat")
VOLTAGE_LIMITS = ("cells' voltage", "station's voltage")
# What a limit is called, by the quantity that sets it.
WORDS = {
    "cell_charge_current_max": "cells' current",
    "cell_charge_rate_max": "cells' current",
    "pack_charge_current_max": "pack's current",
    "station_current_max": "station's current",
    "station_power_max": "station's power",
    "onboard_power_max": "onboard charger's power",
    "ac_power": "outlet's power",
    MEASURED: "vehicle's measured power",
    "cell_voltage_max": VOLTAGE_LIMITS[0],
    "station_voltage_max": VOLTAGE_LIMITS[1],
}
# A state: what the tables say at a state of charge, and what follows from it.
_PLACES = {
    "open_circuit_voltage": 0,
    MEASURED: 1,
    "cell_current": 2,
    "charging_power_limit": 2,
    "cell_charging_voltage": 3,
}


@runtime_checkable
class Tabled(Protocol):
    """What goes by rows of a name and a value: a mapping, a series of pandas."""

    def items(self) -> Iterable[tuple[Any, Any]]:
        """Return the rows."""


# States of charge with a value at each, as a person writes them.
Curve: TypeAlias = "Tabled | Iterable[Sequence[Given]]"


@dataclass(frozen=True)
class Table:
    """A curve given as a table: rising states of charge and a value at each, in SI units."""

    shares: NDArray[np.float64]
    values: NDArray[np.float64]


def read_table(name: str, rows: Curve | None, *, quantity: str) -> Table:
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
    >>> from chalkwatt.runs.charge.limits import read_table
    >>> read_table("power_curve", {"10 %": "90 kW", 0.8: "40 kW"}, quantity="charging_power").values
    array([90000., 40000.])
    """
    listed = rows.items() if isinstance(rows, Tabled) else rows
    pairs = list(listed) if isinstance(listed, Iterable) and not isinstance(listed, str) else []
    if len(pairs) < 2 or any(np.size(np.asarray(pair, dtype=object)) != 2 for pair in pairs):
        raise ChalkwattError(
            f"{name} needs at least two rows of a state of charge and a value.",
            quantity=name,
            advice='Write it like {0.1: "90 kW", 0.8: "40 kW"}.',
        )
    shares = np.array([look_up("state_of_charge").read_one(one) for one, _ in pairs], dtype=float)
    values = np.array([look_up(quantity).read_one(one) for _, one in pairs], dtype=float)
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
    """What the equations of a session come to at a state of charge.

    Parameters
    ----------
    values : mapping of str to float
        In SI units, by the names of the quantities; what is not there limits nothing.
    equations : Equations
        As they are shown, each resting on what stands above it.
    voltage : Table
        Open-circuit voltage of a cell; along a power curve alone it plays no part.
    power : Table or None
        Power that the vehicle takes, as measured.

    Attributes
    ----------
    allowed : dict of str to callable
        By the words of every limit, what it allows at a state: a current of a cell, or along a power
        curve alone a power.
    """

    def __init__(
        self,
        values: Mapping[str, float],
        equations: Equations,
        voltage: Table,
        power: Table | None = None,
    ) -> None:
        self.values = values
        self.equations = equations
        self.tables = [voltage] + ([power] if power else [])
        self._rest = PchipInterpolator(voltage.shares, voltage.values)
        self._power = power
        self._check()
        self._compile()

    def _check(self) -> None:
        full, most = (
            float(self._rest(self.tables[0].shares[-1])),
            self.values.get("cell_voltage_max"),
        )
        if most is not None and full > most:
            raise OutOfBoundsError(
                f"A full cell rests at {full:.4g} V, above cell_voltage_max.",
                quantity="cell_voltage_max",
                value=most,
                unit="V",
                limit=full,
                advice="Correct open_circuit_curve or cell_voltage_max.",
            )
        limiting = [name for name, words in WORDS.items() if words not in VOLTAGE_LIMITS]
        if self._power is None and not any(one in self.values for one in limiting):
            unlocks = ["power_curve" if one == MEASURED else one for one in limiting]
            raise TooLittleKnownError(
                "Nothing limits the current or the power of this charge.",
                quantity="cell_charge_current_max",
                unlocks=unlocks,
                advice="Give one of cell_charge_current_max, station_power_max, power_curve.",
            )

    def _compile(self) -> None:
        rates: dict[str, Tree] = {}
        formulas: dict[str, Tree] = {}
        for line in self.equations.lines:
            left, right = self.equations.sides(line)
            (rates if isinstance(line, Rate) else formulas)[str(left)] = right
        driver = next(one for one in ("cell_current", "charging_power_limit") if one in formulas)
        whole: dict[str, Tree] = {}
        single: dict[str, list[Tree]] = {}
        for left, right in formulas.items():
            known = {name: tree for name, tree in whole.items() if name != driver}
            whole[left] = substitute(right, known)
            single[left] = list(_alternatives(right, {name: single[name] for name in known}))
        self._whole = self._ready(whole[driver])
        self.allowed = self._worded(single[driver])
        self._voltage = self._ready(whole.get("cell_charging_voltage", 0.0))
        self._rates = [self._ready(rates.get(name, 0.0)) for name in RATES]
        self.afterwards = {
            name: compile_scalar(settle(whole[name], self.values))
            for name in ("distance_added", "wall_energy")
            if name in whole
        }

    def _ready(self, tree: Tree) -> Callable[[list[float]], float]:
        return compile_scalar(settle(tree, self.values), _PLACES)

    def _worded(self, alternatives: Sequence[Tree]) -> dict[str, Callable[[list[float]], float]]:
        made: dict[str, list[Callable[[list[float]], float]]] = {}
        for tree in alternatives:
            words = next(WORDS[name] for name in names(tree) if name in WORDS)
            made.setdefault(words, []).append(self._ready(tree))
        return {words: _least(several) for words, several in made.items()}

    def state(self, share: float) -> list[float]:
        """Return what the tables say at a state of charge, with room for what follows from it."""
        power = self._power
        measured = float(np.interp(share, power.shares, power.values)) if power else math.nan
        return [float(self._rest(share)), measured, math.nan, math.nan]

    def binding(self, share: float) -> tuple[float, str]:
        """Return the current of a cell, or the power, at a state of charge, and what limits it."""
        state = self.state(share)
        least = self._whole(state)
        _, words = min((abs(allow(state) - least), words) for words, allow in self.allowed.items())
        return least, words

    def rates(self, share: float, words: str = "") -> tuple[float, ...]:
        """Return how fast charge, energy at the terminals, energy stored and heat grow.

        Parameters
        ----------
        share : float
            State of charge.
        words : str
            The limit that binds there, if it is known.

        Returns
        -------
        tuple of float
            Per second; energies in joules.
        """
        state = self.state(share)
        state[2] = self.allowed[words](state) if words else self._whole(state)
        state[3] = self._voltage(state)
        return tuple(rate(state) for rate in self._rates)


def _alternatives(tree: Tree, known: Mapping[str, Sequence[Tree]]) -> Iterator[Tree]:
    """Yield a tree without any least of several, once for each choice of which is the least."""
    for one in _chosen(tree):
        used = [name for name in dict.fromkeys(names(one)) if name in known]
        for choice in itertools.product(*(known[name] for name in used)):
            yield substitute(one, dict(zip(used, choice, strict=True)))


def _chosen(tree: Tree) -> Iterator[Tree]:
    if not isinstance(tree, tuple):
        yield tree
    elif tree[0] == "min":
        for part in tree[1:]:
            yield from _chosen(part)
    else:
        for parts in itertools.product(*(tuple(_chosen(part)) for part in tree[1:])):
            yield (tree[0], *parts)


def _least(several: Sequence[Callable[[list[float]], float]]) -> Callable[[list[float]], float]:
    if len(several) == 1:
        return several[0]
    return lambda state: min(one(state) for one in several)
