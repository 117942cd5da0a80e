"""A charge session that has been run: times, energies, powers, and what limited it."""

from __future__ import annotations

import itertools
from bisect import bisect_left
from functools import cached_property
from html import escape
from typing import TYPE_CHECKING, Any, NamedTuple, Unpack

import numpy as np
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

from chalkwatt.answering.showing import show
from chalkwatt.calls import checked_call
from chalkwatt.errors import OutOfBoundsError, TooLittleKnownError
from chalkwatt.laws.quantities import look_up, shown
from chalkwatt.runs.charge.limits import VOLTAGE_LIMITS
from chalkwatt.topics.charge import CAUTION
from chalkwatt.wording import units
from chalkwatt.wording.numbers import format_input, with_unit

if TYPE_CHECKING:
    import pint
    from matplotlib.figure import Figure
    from numpy.typing import NDArray

    from chalkwatt.answering.showing import FigureOptions
    from chalkwatt.planning.ways import Way
    from chalkwatt.runs.charge.limits import ChargeLimits
    from chalkwatt.runs.equations import Equations
    from chalkwatt.wording.given import Given

__all__ = ["ChargePhase", "ChargeRun"]

TIME, DELIVERED, STORED, HEAT = range(4)
_ENERGIES = ("energy_added", "stored_energy", "heat")
_LOOKS = 64  # places between two rows of a table at which the limit is looked up
_POINTS = 401


class ChargePhase(NamedTuple):
    """A part of a session with one limit: its words, and states of charge and times at its ends."""

    limit: str
    state_of_charge_from: float
    state_of_charge_to: float
    start: float
    end: float


class ChargeRun:
    """A charge session.

    Attributes
    ----------
    values : dict of str to float
        What was given, in SI units.
    name : str
    way : Way or None
        Direct or alternating current; None where nothing is said of the supply.
    notes : tuple of str
        What was given and left out, a sentence each.
    """

    def __init__(
        self,
        limits: ChargeLimits,
        *,
        name: str = "",
        way: Way | None = None,
        notes: tuple[str, ...] = (),
        tolerance: float = 1e-11,
    ) -> None:
        self._limits = limits
        self.way = way
        self.notes = notes
        self.values = dict(limits.values)
        self.name = name
        self._first = self.values["state_of_charge_from"]
        self._cuts = self._switches()
        self._solutions: list[Any] = []
        self._states = [np.zeros(4)]
        for low, high in zip(self._cuts, self._cuts[1:], strict=False):
            self._integrate(low, high, tolerance)

    # Integration ----------------------------------------------------------------------------------
    def _switches(self) -> list[float]:
        """States of charge at which a table has a row or the limit changes, both ends included."""
        target = self.values["state_of_charge_to"]
        rows = {float(one) for table in self._limits.tables for one in table.shares}
        rows = {one for one in rows if self._first < one < target} | {self._first, target}
        cuts = sorted(rows)
        made = [cuts[0]]
        for low, high in itertools.pairwise(cuts):
            shares = np.linspace(low, high, _LOOKS)
            for one, other in itertools.pairwise(shares):
                end = self._end_between(float(one), float(other))
                if end is not None:
                    return [*made, end] if end > made[-1] else made
                first, second = (self._limits.binding(float(at))[1] for at in (one, other))
                if first != second:
                    made.append(self._crossing(float(one), float(other), first, second))
            made.append(high)
        return sorted(set(made))

    def _crossing(self, low: float, high: float, first: str, second: str) -> float:
        one, other = self._limits.allowed[first], self._limits.allowed[second]

        def apart(share: float) -> float:
            state = self._limits.state(share)
            return one(state) - other(state)

        return float(brentq(apart, low, high, xtol=1e-15, rtol=1e-14))

    def _end_between(self, low: float, high: float) -> float | None:
        """Return where the current of a charge at constant voltage falls to its end, if it does."""
        least = self.values["cell_current_end"]

        def above(share: float) -> float:
            current, words = self._limits.binding(share)
            return current - least if words in VOLTAGE_LIMITS else max(current - least, least)

        if above(high) > 0:
            return None
        if above(low) <= 0:
            if low == self._first:
                raise OutOfBoundsError(
                    f"At {100 * low:.4g} % the voltage limit allows no more than the current at "
                    "which a charge ends.",
                    quantity="state_of_charge_from",
                    value=100 * low,
                    unit="%",
                    advice="Start lower, or lower cell_current_end.",
                )
            return low
        return float(brentq(above, low, high, xtol=1e-15, rtol=1e-14))

    def _integrate(self, low: float, high: float, tolerance: float) -> None:
        limits = self._limits
        words = limits.binding((low + high) / 2)[1]

        def rate(share: float, _state: NDArray[np.float64]) -> list[float]:
            # The equations say how all grows with time, and this walks along the state of charge.
            charge, *energies = limits.rates(share, words)
            return [1 / charge, *(one / charge for one in energies)]

        made = solve_ivp(
            rate,
            (low, high),
            self._states[-1],
            method="DOP853",
            dense_output=True,
            rtol=max(tolerance, 2.3e-14),
            atol=tolerance,
            first_step=(high - low) / 4,
        )
        self._solutions.append((words, made.sol))
        self._states.append(np.array(made.y[:, -1]))

    def _state(self, share: float) -> NDArray[np.float64]:
        if share <= self._first:
            return np.zeros(4)
        place = min(bisect_left(self._cuts, share) - 1, len(self._solutions) - 1)
        made: NDArray[np.float64] = self._solutions[place][1](share)
        return made

    def _share_at(self, seconds: float) -> float:
        ends = [float(state[TIME]) for state in self._states]
        if seconds <= 0:
            return self._first
        if seconds >= ends[-1]:
            return self._cuts[-1]
        place = bisect_left(ends, seconds)
        low, high = self._cuts[place - 1], self._cuts[place]
        solution = self._solutions[place - 1][1]
        found = brentq(lambda z: float(solution(z)[TIME]) - seconds, low, high, xtol=1e-15)
        return float(found)

    # Results --------------------------------------------------------------------------------------
    @property
    def state_of_charge_to(self) -> float:
        """State of charge at the end, as a share."""
        return self._cuts[-1]

    @property
    def time(self) -> pint.Quantity[float]:
        """Time that the session takes, in minutes."""
        return units.quantity(float(self._states[-1][TIME]), "s", "min")

    @property
    def energy_added(self) -> pint.Quantity[float]:
        """Energy at the battery's terminals, in kWh."""
        return units.quantity(float(self._states[-1][DELIVERED]), "J", "kWh")

    def energies(self) -> dict[str, float]:
        """Return where the energy has gone, in joules.

        Returns
        -------
        dict of str to float
            ``energy_added`` at the terminals is the sum of ``stored_energy`` and ``heat``;
            ``wall_energy`` is there where the charging efficiency is known.
        """
        state = self._states[-1]
        made = {name: float(one) for name, one in zip(_ENERGIES, state[DELIVERED:], strict=True)}
        if "wall_energy" in self._limits.afterwards:
            made["wall_energy"] = self._limits.afterwards["wall_energy"](made)
        return made

    @property
    def average_power(self) -> pint.Quantity[float]:
        """Energy over time, in kW."""
        state = self._states[-1]
        return units.quantity(float(state[DELIVERED] / state[TIME]), "W", "kW")

    @property
    def peak_power(self) -> pint.Quantity[float]:
        """Highest power at the terminals, in kW."""
        return units.quantity(self._peak, "W", "kW")

    @cached_property
    def _peak(self) -> float:
        shares = [one for cut in zip(self._cuts, self._cuts[1:], strict=False)
                  for one in np.linspace(*cut, _LOOKS)]  # fmt: skip
        return max(self._limits.rates(float(one))[DELIVERED] for one in shares)

    @checked_call
    def power_at(self, state_of_charge: Given) -> pint.Quantity[float]:
        """Return the power at the terminals at a state of charge, in kW."""
        share = self._inside(state_of_charge)
        return units.quantity(self._limits.rates(share)[DELIVERED], "W", "kW")

    @checked_call
    def time_to(self, state_of_charge: Given) -> pint.Quantity[float]:
        """Return the time from the start to a state of charge, in minutes."""
        share = self._inside(state_of_charge)
        return units.quantity(float(self._state(share)[TIME]), "s", "min")

    def _inside(self, given: Given) -> float:
        share = look_up("state_of_charge").read_one(given)
        if not self._first <= share <= self._cuts[-1]:
            raise OutOfBoundsError(
                f"{100 * share:.4g} % lies outside the session, which goes from "
                f"{100 * self._first:.4g} % to {100 * self._cuts[-1]:.4g} %.",
                quantity="state_of_charge",
                value=100 * share,
                unit="%",
                limit=100 * (self._first if share < self._first else self._cuts[-1]),
                advice="Ask within the session.",
            )
        return share

    @property
    def constant_current_share(self) -> float:
        """Share of the charge that comes before the voltage limit is met."""
        met = next((one for one in self.phases if one.limit in VOLTAGE_LIMITS), None)
        end = self._cuts[-1] if met is None else met.state_of_charge_from
        return (end - self._first) / (self._cuts[-1] - self._first)

    @checked_call
    def distance_in(self, time: Given) -> pint.Quantity[float]:
        """Return the distance added in the first part of the session, in km.

        It counts the energy stored by then, not the heat of the cells.

        Parameters
        ----------
        time : number (s), str or pint quantity

        Raises
        ------
        TooLittleKnownError
            If the consumption was not given.
        """
        seconds = look_up("charging_time").read_one(time)
        return self._distance(self._state(self._share_at(seconds)))

    @property
    def distance_added(self) -> pint.Quantity[float]:
        """Distance that the session adds, in km; needs the consumption.

        It counts the energy stored, not the heat of the cells.
        """
        return self._distance(self._states[-1])

    def _distance(self, state: NDArray[np.float64]) -> pint.Quantity[float]:
        if "distance_added" not in self._limits.afterwards:
            raise TooLittleKnownError(
                "The distance added needs the vehicle's consumption.",
                quantity="consumption",
                unlocks=("consumption",),
                advice='Give consumption, like "15 kWh/100 km".',
            )
        metres = self._limits.afterwards["distance_added"]({"stored_energy": float(state[STORED])})
        return shown("distance_added", metres)

    @cached_property
    def phases(self) -> tuple[ChargePhase, ...]:
        """What limited the session, from start to end."""
        made: list[ChargePhase] = []
        for place, (words, _) in enumerate(self._solutions):
            low, high = self._cuts[place], self._cuts[place + 1]
            start, end = (float(one[TIME]) for one in self._states[place : place + 2])
            if made and made[-1].limit == words:
                low, start = made[-1].state_of_charge_from, made[-1].start
                made.pop()
            made.append(ChargePhase(words, low, high, start, end))
        return tuple(made)

    @property
    def limits(self) -> tuple[str, ...]:
        """What limited the session, in words, and last whether its current is direct or alternating."""
        said = []
        for one in self.phases:
            low, high = (_percent(z) for z in (one.state_of_charge_from, one.state_of_charge_to))
            minutes = with_unit((one.end - one.start) / 60, "min", 3)
            said.append(f"From {low} to {high}, {minutes}: {one.limit} limits the charge.")
        if self._cuts[-1] < self.values["state_of_charge_to"]:
            current = with_unit(self.values["cell_current_end"], "A", 3)
            said.append(f"It ends at {_percent(self._cuts[-1])}: the current is down to {current}.")
        said.append(self.way.words if self.way else "Nothing is said of outlet or station.")
        return tuple(said)

    @cached_property
    def curve(self) -> dict[str, NDArray[np.float64]]:
        """State of charge, time (s) and power (W) along the session, for figures."""
        shares = np.union1d(np.linspace(self._first, self._cuts[-1], _POINTS), self._cuts)
        return {
            "state_of_charge": shares,
            "time": np.array([self._state(float(one))[TIME] for one in shares]),
            "power": np.array([self._limits.rates(float(one))[DELIVERED] for one in shares]),
        }

    # Showing --------------------------------------------------------------------------------------
    @property
    def equations(self) -> Equations:
        """The governing equations, as ``.text``, ``.latex``, ``.mathml`` and ``.spoken``."""
        return self._limits.equations

    @property
    def caution(self) -> str:
        """What to say beside the numbers."""
        return CAUTION

    @checked_call
    def figure(self, **options: Unpack[FigureOptions]) -> Figure:
        """Draw power and charge; see `chalkwatt.figures.charge.charge_figure`."""
        made: Figure = show(self, "figure", **options)
        return made

    def __repr__(self) -> str:
        """Show time, energy, average and peak."""
        return (
            f"{self.name or 'charge session'}: {_percent(self._first)} to "
            f"{_percent(self._cuts[-1])} in {with_unit(float(self.time.magnitude), 'min')}, "
            f"{with_unit(float(self.energy_added.magnitude), 'kWh')}; "
            f"average {with_unit(float(self.average_power.magnitude), 'kW')}, "
            f"peak {with_unit(float(self.peak_power.magnitude), 'kW')}"
            + (f"; {self.way.name}" if self.way else "")
            + "".join(f"\n{one}" for one in self.notes)
        )

    def _repr_html_(self) -> str:
        limits = "".join(f"<li>{escape(one)}</li>" for one in self.limits)
        head, *notes = repr(self).split("\n")
        told = "".join(f"<p>{escape(one)}</p>" for one in (head, *notes))
        return f"{told}<ul>{limits}</ul><p>{escape(self.caution)}</p>"


def _percent(share: float) -> str:
    return f"{format_input(100 * share, 4)} %"
