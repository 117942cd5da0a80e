"""Coasting down: how a vehicle slows by air and tyres alone.

=====================  =========================================================================
assumed                what it means
=====================  =========================================================================
nothing drives         no motor, no brakes, no recovery; the drive turns along
road and air           as the topic `load` has them, from coefficients or from a coast-down form
turning mass           wheels and motor seem a constant share of the mass
=====================  =========================================================================
"""

from __future__ import annotations

from functools import cached_property
from typing import TYPE_CHECKING, Any

import numpy as np

from chalkwatt.algebra.numpy_tree import compile_tree
from chalkwatt.calls import checked_call
from chalkwatt.errors import ChalkwattError, NoSolutionError, OutOfBoundsError
from chalkwatt.laws.quantities import look_up
from chalkwatt.wording import units
from chalkwatt.wording.numbers import format_input, with_unit

if TYPE_CHECKING:
    from collections.abc import Mapping

    import pint
    from numpy.typing import NDArray

    from chalkwatt.algebra.numpy_tree import Compiled
    from chalkwatt.planning.evaluation import PlanFunction
    from chalkwatt.runs.equations import Equations
    from chalkwatt.wording.given import Floats, Given

__all__ = ["CoastDown", "coast_down"]

_TOLERANCE = 1e-12  # relative; a thousandth of what conservation is tested to


@checked_call
def coast_down(
    *,
    speed_from: Given,
    speed_to: Given,
    mass: Given,
    rotating_mass_factor: Given = 1.0,
    **road: Given,
) -> CoastDown:
    """Let a vehicle roll from one speed to a lower one.

    Parameters
    ----------
    speed_from, speed_to : number (m/s), str or pint quantity
        The second is lower and not below nought.
    mass : number (kg), str or pint quantity
    rotating_mass_factor : number
        Mass that inertia shows over the mass itself.
    **road : number, str or pint quantity
        Quantities of the topic ``load`` that give the road force: ``drag_area``,
        ``rolling_coefficient``, ``air_density``, ``grade``, ``headwind``, or
        ``coast_down_constant``, ``coast_down_linear``, ``coast_down_square``.

    Returns
    -------
    CoastDown

    Raises
    ------
    TooLittleKnownError, UnitError, OutOfBoundsError, NameUnknownError
        As for ``load.find``.
    NoSolutionError
        If road and air do not slow the vehicle that far.

    Examples
    --------
    >>> import chalkwatt as cw
    >>> cw.coast_down(
    ...     speed_from="70 km/h", speed_to="60 km/h", mass="200 kg",
    ...     coast_down_constant="8.69 N", coast_down_square="0.0252 N/(km/h)^2",
    ... )
    70 km/h to 60 km/h: 4.848 s, 87.21 m
    """
    from chalkwatt.runs.coast.equations import equations  # noqa: PLC0415  SymPy is slow to import
    from chalkwatt.topics.load import load  # noqa: PLC0415  SymPy is slow to import

    known = load.read({"mass": mass, **road})
    start, end = (look_up("speed").read_one(one) for one in (speed_from, speed_to))
    if not end < start:
        raise OutOfBoundsError(
            f"Coasting from {start * 3.6:.4g} to {end * 3.6:.4g} km/h does not slow down.",
            quantity="speed_to",
            value=end * 3.6,
            unit="km/h",
            limit=start * 3.6,
            advice="Give a lower speed to coast to.",
        )
    if any(np.ndim(one) for one in known.values()):
        raise ChalkwattError("Coasting takes one vehicle.", advice="Give single numbers.")
    load.compile("road_force", known=("speed", *known))  # which says what is missing
    shown = equations(frozenset(known))
    values = {name: float(one) for name, one in known.items()}
    values["rotating_mass_factor"] = look_up("rotating_mass_factor").read_one(rotating_mass_factor)
    return CoastDown(start, end, values, shown)


class CoastDown:
    """How a vehicle slowed.

    Attributes
    ----------
    values : dict of str to float
        Vehicle and road, in SI units.
    equations : Equations
        What is integrated, as ``.text``, ``.latex``, ``.mathml`` and ``.spoken``.
    """

    def __init__(
        self, start: float, end: float, values: Mapping[str, float], equations: Equations
    ) -> None:
        self.start, self.end = start, end
        self.values = dict(values)
        self.equations = equations
        grid = np.linspace(end, start, 257)
        slowing = -np.asarray(self._rates(grid)[0])
        self._longest = 2 * (start - end) / max(float(slowing.min()), 1e-300)
        if not (slowing > 0).all():
            lost = float(grid[np.flatnonzero(~(slowing > 0))[-1]])
            raise NoSolutionError(
                f"It never slows below about {with_unit(lost * 3.6, 'km/h')}: there the slope or "
                "the wind drives it by as much as the resistance of air and tyres.",
                quantity="speed_to",
                value=end * 3.6,
                unit="km/h",
                limit=lost * 3.6,
                nearest=lost,
                advice="Coast to a higher speed, or on a level road.",
            )

    @cached_property
    def _compiled(self) -> tuple[PlanFunction, Compiled, Compiled]:
        from chalkwatt.runs.coast.equations import STANDING  # noqa: PLC0415  SymPy is slow to import
        from chalkwatt.runs.compiled import rate_of, solution_of  # noqa: PLC0415  SymPy is slow to import

        known = ("speed", *self.values)
        force = solution_of(self.equations, "road_force", known, STANDING)
        speed, distance = (rate_of(self.equations, one) for one in ("speed", "trip_distance"))
        return force, compile_tree(speed), compile_tree(distance)

    def _rates(self, speed: Floats) -> tuple[Floats, Floats]:
        """Return how fast speed and distance grow at a speed."""
        force, slowing, going = self._compiled
        here = {**self.values, "speed": speed}
        here["road_force"] = force(**{name: here[name] for name in force.plan.known})
        return slowing(here), going(here)

    @cached_property
    def _run(self) -> Any:  # noqa: ANN401  SciPy's result
        from scipy.integrate import solve_ivp  # noqa: PLC0415  SciPy is slow to import

        def change(_: float, state: NDArray[np.float64]) -> list[float]:
            return [float(one) for one in self._rates(state[0])]

        def slow_enough(_: float, state: NDArray[np.float64]) -> float:
            return float(state[0]) - self.end

        slow_enough.terminal = True  # type: ignore[attr-defined]  # SciPy's own way to say it
        slow_enough.direction = -1.0  # type: ignore[attr-defined]  # as above
        return solve_ivp(
            change,
            (0.0, self._longest),
            [self.start, 0.0],
            method="DOP853",
            events=slow_enough,
            rtol=_TOLERANCE,
            atol=_TOLERANCE,
            dense_output=True,
        )

    @property
    def time(self) -> pint.Quantity[float]:
        """Time that it took, in seconds."""
        return units.quantity(float(self._run.t_events[0][0]), "s", "s")

    @property
    def distance(self) -> pint.Quantity[float]:
        """Distance that it rolled, in metres."""
        return units.quantity(float(self._run.y_events[0][0][1]), "m", "m")

    @checked_call
    def speed_at(self, time: Floats) -> Floats:
        """Return the speed in m/s after some seconds.

        Parameters
        ----------
        time : float or ndarray
            Seconds from the start, up to `time`.

        Returns
        -------
        float or ndarray
        """
        found: Floats = self._run.sol(time)[0]
        return found

    @property
    def caution(self) -> str:
        """What to say beside the numbers."""
        return (
            "A coast-down belongs on closed ground, with people who know how; on public roads a "
            "vehicle that slows without a reason is a danger."
        )

    def __repr__(self) -> str:
        """Show speeds, time and distance."""
        ends = [f"{format_input(one * 3.6)} km/h" for one in (self.start, self.end)]
        time = with_unit(float(self.time.magnitude), "s")
        distance = with_unit(float(self.distance.magnitude), "m")
        return f"{ends[0]} to {ends[1]}: {time}, {distance}"
