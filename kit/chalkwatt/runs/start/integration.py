"""The integration of a standing start, stretch by stretch, as far as it is asked for."""

from __future__ import annotations

from bisect import bisect_left
from typing import TYPE_CHECKING, Any

import numpy as np

from chalkwatt.errors import NoSolutionError
from chalkwatt.wording.numbers import format_number

if TYPE_CHECKING:
    from collections.abc import Callable

    from numpy.typing import NDArray

    from chalkwatt.runs.start.vehicle import StartVehicle

__all__ = ["DISTANCE", "SPEED", "Integration"]

SPEED, DISTANCE = range(2)  # places in the state
_FIRST = 30.0  # s; the first stretch of time to look at, doubled when it does not reach
_LONGEST = 1e6  # s
# Gauss and Legendre's nodes and weights on a step of the solver, from 0 to 1.
_NODES, _WEIGHTS = (one / 2 for one in np.polynomial.legendre.leggauss(8))
_NODES += 0.5
_ASKED = {SPEED: "A speed", DISTANCE: "A distance"}
_UNITS = {SPEED: "m/s", DISTANCE: "m"}


class Integration:
    """What a vehicle does from rest, known up to a time that grows as it is asked.

    Parameters
    ----------
    vehicle : StartVehicle
    tolerance : float
        Relative to the state, and to 1 m/s and 1 m where the state is smaller.
    """

    def __init__(self, vehicle: StartVehicle, tolerance: float) -> None:
        self.vehicle = vehicle
        self.tolerance = tolerance
        self.top_speed = vehicle.top_speed
        self.pieces: list[tuple[float, float, Any, str]] = []
        self._ends: list[float] = []
        self._reached: list[NDArray[np.float64]] = []
        self._state = np.zeros(2)
        self._switches = [*vehicle.switches]
        self._horizon = _FIRST

    @property
    def end(self) -> float:
        """Time up to which the run is known, in seconds."""
        return self._ends[-1] if self._ends else 0.0

    def _rate(
        self, words: str, slowest: float
    ) -> Callable[[float, NDArray[np.float64]], list[float]]:
        speeding, going = self.vehicle.rates(words)

        def rate(_time: float, state: NDArray[np.float64]) -> list[float]:
            # A trial step may look back; there a constant power would have no bound.
            here = (max(float(state[SPEED]), slowest),)
            return [speeding(here), going(here)]

        return rate

    def extend(self) -> None:
        """Integrate the next stretch: to the next change of limit, or to the horizon."""
        from scipy.integrate import solve_ivp  # noqa: PLC0415  SciPy is slow to import

        start = self.end
        speed = float(self._state[SPEED])
        target = self._switches[0] if self._switches else None
        probe = (speed + target) / 2 if target else (speed + min(self.top_speed, 2 * speed + 1)) / 2
        words = self.vehicle.limit(probe)[1]

        def reached(_time: float, state: NDArray[np.float64]) -> float:
            return float(state[SPEED]) - (target or 0.0)

        reached.terminal = True  # type: ignore[attr-defined]  # SciPy reads it from the function
        while start >= self._horizon:
            self._horizon *= 2
        # A start may be steep: the first step is a small part of the time to the next change.
        rise = (target or min(self.top_speed, 2 * speed + 1)) - speed
        steepest = max(self.vehicle.acceleration(speed or probe), 1e-300)
        first = min(0.1, max(1e-2 * min(rise, speed or rise) / steepest, 4e-16 * start))
        made = solve_ivp(
            self._rate(words, speed),
            (start, self._horizon),
            self._state,
            method="DOP853",
            events=reached if target else None,
            dense_output=True,
            rtol=max(self.tolerance, 2.3e-14),
            atol=self.tolerance,
            first_step=first,
        )
        if target and made.status == 1:
            self._switches.pop(0)
        self._state = np.array(made.y[:, -1])
        self.pieces.append((start, float(made.t[-1]), made.sol, words))
        self._ends.append(float(made.t[-1]))
        self._reached.append(made.y)

    def at(self, time: float) -> NDArray[np.float64]:
        """Return the state at a time in seconds."""
        if time <= 0:
            return np.zeros(2)
        while self.end < time:
            self.extend()
        made: NDArray[np.float64] = self.pieces[bisect_left(self._ends, time)][2](time)
        return made

    def work(self, time: float, force: Callable[[Any], Any], words: str = "") -> float:
        """Integrate a force of speed over the distance driven up to a time.

        Each step of the solver is smooth, so that a few nodes in it give all of its digits.
        """
        self.at(time)
        total = 0.0
        for start, _, solution, limit in self.pieces:
            if start >= time or (words and limit != words):
                continue
            ends = np.minimum(solution.ts, time)
            width = np.diff(ends)[:, None]
            times = ends[:-1, None] + width * _NODES
            speed = solution(times.ravel())[SPEED].reshape(times.shape)
            total += float((width * _WEIGHTS * force(speed) * speed).sum())
        return total

    def when(self, place: int, value: float) -> float:
        """Return the time at which speed or distance first has a value."""
        from scipy.optimize import brentq  # noqa: PLC0415  SciPy is slow to import

        if value <= 0:
            return 0.0
        while self._state[place] < value:
            if self.end > _LONGEST:
                raise NoSolutionError(
                    f"{_ASKED[place]} of {value:.4g} {_UNITS[place]} is not reached within "
                    f"{format_number(_LONGEST / 3600, 3)} h.",
                    value=value,
                    unit=_UNITS[place],
                    limit=_LONGEST,
                    advice="Ask for less.",
                )
            self.extend()
        number = next(n for n, one in enumerate(self._reached) if one[place][-1] >= value)
        solution = self.pieces[number][2]
        step = int(np.searchsorted(self._reached[number][place], value)) - 1
        within = solution.interpolants[max(step, 0)]

        def beyond(time: float) -> float:
            return float(within(time)[place]) - value

        low, high = float(within.t_old), float(within.t)
        if beyond(low) >= 0:
            return low
        if beyond(high) <= 0:
            return high
        return float(brentq(beyond, low, high, xtol=1e-13, rtol=1e-14))
