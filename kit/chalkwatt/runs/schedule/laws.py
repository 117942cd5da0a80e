"""What a schedule integrates, read off the lines that it prints.

Force at the wheels is a weighted sum of acceleration, one, and the square of speed. The planner brings
the lines together, SymPy says what the weights are, and `schedule_integration` does the rest exactly.
What each energy takes of a power is a straight line above nought, and below it a straight line up to a limit:
three numbers, asked of the line itself.
"""

from __future__ import annotations

from functools import cached_property, lru_cache
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np

from chalkwatt.algebra.numpy_tree import compile_tree
from chalkwatt.algebra.trees import from_sympy, names, to_sympy
from chalkwatt.errors import ChalkwattError
from chalkwatt.laws.relations import symbol
from chalkwatt.planning.isolating import isolate
from chalkwatt.runs.compiled import expressed, rate_of, right_of
from chalkwatt.runs.schedule.integration import Weights

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from chalkwatt.algebra.trees import Tree
    from chalkwatt.runs.equations import Equations
    from chalkwatt.wording.given import Floats

    Compiled = Callable[[Mapping[str, Any]], Any]

__all__ = ["Laws", "Taken", "laws_of"]

_VEHICLE = (
    *("mass", "drag_area", "rolling_coefficient", "air_density", "rotating_mass_factor", "gravity"),
    *("speed", "acceleration"),
)
_FORM = {(1, 1): 0, (1, 0): 1, (3, 0): 2}  # powers of speed and acceleration in a power
# Powers of two, so that nothing is rounded: so little that no limit is met, and so much that any is.
_LITTLE, _MUCH = 2.0**-300, 2.0**300


class Taken(NamedTuple):
    """What an energy takes of each watt that drives and that brakes, and up to which braking power."""

    driving: Any
    braking: Any
    most: Any  # None where there is no limit


@lru_cache(maxsize=64)
def laws_of(equations: Equations) -> Laws:
    """Return what equations say, worked out once."""
    return Laws(equations)


class Laws:
    """The lines of a schedule, solved for what is integrated.

    Parameters
    ----------
    equations : Equations
    """

    def __init__(self, equations: Equations) -> None:
        self.equations = equations

    @cached_property
    def gain(self) -> float:
        """Acceleration in the lines per slope of the schedule."""
        slope = rate_of(self.equations, "speed")
        way = isolate("slope", slope, "acceleration", symbol, positive=False)
        return float(compile_tree(way.forms[0])({"slope": 1.0}))

    @cached_property
    def power(self) -> Tree:
        """Power at the wheels in terms of vehicle, speed and acceleration."""
        return expressed(self.equations, "wheel_power", _VEHICLE)

    @cached_property
    def _forces(self) -> dict[str, tuple[Compiled, Compiled, Compiled]]:
        powers = {"wheel_power": self.power}
        for name in ("air_force", "rolling_force"):
            powers[name] = ("*", expressed(self.equations, name, _VEHICLE), "speed")
        air, tyres = (("-", powers[name]) for name in ("air_force", "rolling_force"))
        powers["inertia"] = ("+", self.power, air, tyres)  # what neither takes goes into speed
        return {name: _form(tree) for name, tree in powers.items()}

    def weights(self, name: str, values: Mapping[str, Any]) -> Weights:
        """Return the weights of a force.

        Parameters
        ----------
        name : str
            ``"wheel_power"`` for that of the wheels, ``"air_force"``, ``"rolling_force"``, or
            ``"inertia"`` for what these two leave.
        values : mapping of str to float or ndarray
        """
        return Weights(*(weight(values) for weight in self._forces[name]))

    @cached_property
    def _rates(self) -> dict[str, Compiled]:
        return {
            one.quantity: compile_tree(rate_of(self.equations, one.quantity))
            for one in self.equations.rates
        }

    def taken(self, energy: str, values: Mapping[str, Any]) -> Taken:
        """Return what an energy takes of the power at the wheels."""
        rate = self._rates[energy]
        driving, braking, most = (
            rate({**values, "wheel_power": power}) for power in (1.0, -_LITTLE, -_MUCH)
        )
        braking = braking / _LITTLE
        if np.ndim(most) == 0 and most == braking * _MUCH:
            return Taken(driving, braking, None)
        with np.errstate(divide="ignore", invalid="ignore"):
            limit = np.where(np.equal(braking, 0), np.inf, np.divide(most, braking))
        limit = np.where(limit < _MUCH / 2, limit, np.inf)
        return Taken(driving, braking, limit[()] if np.isfinite(limit).any() else None)

    @cached_property
    def _steady(self) -> dict[str, dict[int, Compiled]]:
        made = {}
        for name in ("auxiliary_energy", "trip_distance"):
            rate = _polynomial(rate_of(self.equations, name), ("speed",))
            made[name] = {powers[0]: compile_tree(tree) for powers, tree in rate.items()}
        return made

    def by_power_of_speed(self, name: str, values: Mapping[str, Any]) -> dict[int, Any]:
        """Return a rate that no force stands in, as weights of powers of speed."""
        return {power: weight(values) for power, weight in self._steady[name].items()}

    @cached_property
    def _results(self) -> dict[str, Compiled]:
        names = ("battery_energy", "consumption")
        return {name: compile_tree(right_of(self.equations, name)) for name in names}

    def result(self, name: str, values: Mapping[str, Floats]) -> Floats:
        """Work out the line of ``"battery_energy"`` or ``"consumption"`` from the energies."""
        made: Floats = self._results[name](values)
        return made

    def wheel_power(self, values: Mapping[str, Floats], speed: Floats, slope: Floats) -> Floats:
        """Return the power at the wheels, in watts.

        Parameters
        ----------
        values : mapping of str to float or ndarray
            The vehicle.
        speed, slope : float or ndarray
            In m/s, and its change in m/s².
        """
        here = {**values, "speed": speed, "acceleration": self.gain * slope}
        return compile_tree(self.power)(here)

    def battery_power(self, values: Mapping[str, Floats], power: Floats) -> Floats:
        """Return what the battery gives for a power at the wheels, in watts.

        What the energies come to in a second: the line of the battery, with their rates.
        """
        here = {**values, "wheel_power": power}
        energies = ("wheel_energy", "auxiliary_energy", "recovered_energy")
        rates = {one: self._rates[one](here) for one in energies}
        return self.result("battery_energy", {**values, **rates})


def _polynomial(tree: Tree, unknowns: tuple[str, ...]) -> dict[tuple[int, ...], Tree]:
    """Write a tree as weights of powers of the unknowns."""
    import sympy  # noqa: PLC0415  SymPy is slow to import

    order = [one for one in dict.fromkeys(names(tree)) if one not in unknowns]
    expression = sympy.expand(to_sympy(tree, symbol))
    try:
        polynomial = sympy.Poly(expression, *(symbol(one) for one in unknowns))
    except sympy.PolynomialError as cause:
        raise _unlike(tree) from cause
    return {
        powers: from_sympy(weight, order) for powers, weight in polynomial.terms() if weight != 0
    }


def _form(power: Tree) -> tuple[Compiled, Compiled, Compiled]:
    weights: list[Tree] = [0.0, 0.0, 0.0]
    for powers, weight in _polynomial(power, ("speed", "acceleration")).items():
        if powers not in _FORM:
            raise _unlike(power)
        weights[_FORM[powers]] = weight
    first, second, third = (compile_tree(one) for one in weights)
    return first, second, third


def _unlike(tree: Tree) -> ChalkwattError:
    return ChalkwattError(
        "The lines of this schedule give a power that is not made of speed, speed times acceleration and "
        "the cube of speed, which is what is integrated exactly.",
        value=tree,
        advice="Write the forces as a constant, a share of acceleration and a share of speed squared.",
    )
