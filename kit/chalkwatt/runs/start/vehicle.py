"""The vehicle of a standing start: which force it can have at which speed, and what limits it."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from chalkwatt.algebra import trees
from chalkwatt.algebra.numpy_tree import compile_tree
from chalkwatt.algebra.scalar_tree import compile_scalar, settle
from chalkwatt.errors import ChalkwattError, NoSolutionError, TooLittleKnownError
from chalkwatt.runs.compiled import (
    choices,
    constants_of,
    expressed,
    function_of,
    line_of,
    planted,
    rate_of,
    right_of,
)
from chalkwatt.runs.start.equations import AXLES, equations

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from chalkwatt.algebra.trees import Tree
    from chalkwatt.runs.equations import Equations
    from chalkwatt.wording.given import Floats

__all__ = ["StartVehicle"]

_GEOMETRY = ("wheelbase", "centre_of_gravity_height")
_TORQUE = ("motor_torque", "gear_ratio", "wheel_radius")
_LOOKED_AT = 121  # speeds at which the limits are compared, closer together where it is slow
_FASTEST = 1e6  # m/s; where the search for a top speed ends
# What is said of a limit, by the first of these quantities that stands in it.
_FORCES = {
    "traction_force": "tyres",
    "torque_force": "motor's torque",
    "taper_speed": "tapering power",
    "lifting_acceleration": "lifting front wheels",
}
_POWERS = {
    "motor_power": "motor's power",
    "current_limited_power": "battery's current",
    "voltage_limited_power": "battery's lowest voltage",
    "pack_resistance": "battery's resistance",
}


def _words(limit: Tree, said: Mapping[str, str]) -> str:
    there = {*trees.names(limit)}
    return next((words for name, words in said.items() if name in there), "")


@dataclass(frozen=True)
class StartVehicle:
    """A vehicle in SI units, and its forces.

    Parameters
    ----------
    values : mapping of str to float
        By the names of the quantities; those that are not there limit nothing.
    axle : str or None
        Which wheels are driven: ``"rear"``, ``"front"``, ``"all"``, or None where nothing is said.
    laws : Equations, optional
        What is integrated instead of `start_equations.equations`.
    """

    values: Mapping[str, float]
    axle: str | None = None
    laws: Equations | None = None

    def __post_init__(self) -> None:
        """Check that what belongs together is there."""
        if self.axle is not None and self.axle not in AXLES:
            raise ChalkwattError(
                f"driven_axle = {self.axle!r} is no axle.",
                quantity="driven_axle",
                value=self.axle,
                advice=f"Use {', '.join(AXLES)}, or leave it out.",
            )
        for together in (_GEOMETRY, _TORQUE):
            there = [name for name in together if name in self.values]
            if there and len(there) < len(together):
                self._lacks([name for name in together if name not in there], " and ".join(there))
        if _GEOMETRY[0] in self.values and self.axle is None:
            self._lacks(["driven_axle"], "load transfer (rear, front or all)")
        if "friction" in self.values and "driven_weight_share" not in self.values:
            self._lacks(["driven_weight_share"], "the limit of the tyres")
        if "friction" not in self.values and "motor_torque" not in self.values:
            self._lacks(["friction"], "a start; at rest a power alone allows any force")
        battery = [name for name in self.values if name.startswith("pack_")]
        if battery:
            lacking = [one for one in ("pack_voltage", "pack_resistance") if one not in battery]
            if lacking:
                self._lacks(lacking, "the limit of the battery")

    @staticmethod
    def _lacks(names: list[str], purpose: str) -> None:
        raise TooLittleKnownError(
            f"{' and '.join(names)} must be known for {purpose}.",
            quantity=names[0],
            unlocks=names,
            advice=f"Give {', '.join(names)}.",
        )

    def changed(self, **values: float) -> StartVehicle:
        """Return the vehicle with some quantities changed."""
        return StartVehicle({**self.values, **values}, self.axle, self.laws)

    # The lines that are printed, compiled ---------------------------------------------------------
    @cached_property
    def equations(self) -> Equations:
        """The governing equations; nothing else is integrated."""
        return self.laws or equations(self)

    @cached_property
    def constants(self) -> dict[str, float]:
        """The vehicle, and all that the equations make of it alone."""
        return constants_of(self.equations, self.values)

    def _check_power(self) -> None:
        """Check that there is a power, and that it is limited."""
        made, auxiliary = self.constants, self.values["auxiliary_power"]
        if made.get("pack_power", math.inf) <= auxiliary:
            raise NoSolutionError(
                "The battery gives no more than the auxiliary load takes.",
                quantity="auxiliary_power",
                value=auxiliary,
                unit="W",
                limit=made["pack_power"],
                advice="Lower auxiliary_power, or allow the battery more current.",
            )
        if not math.isfinite(made.get("wheel_power", math.inf)):
            self._lacks(["motor_power"], "the limit of power")

    @property
    def effective_mass(self) -> float:
        """Mass that resists acceleration, turning parts included."""
        return self.constants["effective_mass"]

    @property
    def wheel_power(self) -> float:
        """Largest power at the wheels, in watts."""
        return self.constants["wheel_power"]

    @cached_property
    def power_limit(self) -> str:
        """What sets the largest power, in words."""
        limit = self._least("wheel_power")
        if "pack_power" in trees.names(limit):
            limit = self._least("pack_power")
        return _words(limit, _POWERS)

    def _least(self, quantity: str) -> Tree:
        """Return which of several limits in the line of a quantity is the least."""
        compared = [limit for limit, _ in choices(right_of(self.equations, quantity))]
        return min(compared, key=lambda limit: compile_scalar(limit)(self.constants))

    @cached_property
    def forces(self) -> dict[str, Tree]:
        """Every limit in words, with the driving force at it in terms of speed."""
        line = line_of(self.equations, "drive_force")
        known = {"speed", *self.constants}
        return {
            _words(limit, _FORCES) or self.power_limit: expressed(
                self.equations, "drive_force", known, chosen=(line, right)
            )
            for limit, right in choices(right_of(self.equations, "drive_force"))
        }

    @cached_property
    def acceleration_by_force(self) -> Tree:
        """Acceleration in terms of speed and driving force."""
        known = {"speed", "drive_force", *self.constants}
        return expressed(self.equations, "acceleration", known)

    @cached_property
    def limits(self) -> dict[str, Callable[[tuple[float]], float]]:
        """Every limit in words, with the force that it allows at a speed, the one of a tuple."""
        return {
            words: function_of("speed", tree, self.constants) for words, tree in self.forces.items()
        }

    def limit(self, speed: float) -> tuple[float, str]:
        """Return the force that drives at a speed, and what limits it."""
        here = (speed,)
        return min([(force(here), words) for words, force in self.limits.items()])

    def rates(
        self, words: str
    ) -> tuple[Callable[[tuple[float]], float], Callable[[tuple[float]], float]]:
        """Return how fast speed and distance grow at a speed, under one of the limits."""
        acceleration = planted(self.acceleration_by_force, {"drive_force": self.forces[words]})
        speed, distance = (
            planted(rate_of(self.equations, one), {"acceleration": acceleration})
            for one in ("speed", "sprint_distance")
        )
        return (
            function_of("speed", speed, self.constants),
            function_of("speed", distance, self.constants),
        )

    @cached_property
    def _acceleration(self) -> Callable[[tuple[float, float]], float]:
        tree = settle(self.acceleration_by_force, self.constants)
        return compile_scalar(tree, {"speed": 0, "drive_force": 1})

    def acceleration(self, speed: float) -> float:
        """Return the gain of speed per time at a speed."""
        return self._acceleration((speed, self.limit(speed)[0]))

    @cached_property
    def top_speed(self) -> float:
        """Speed at which nothing is left to accelerate; infinite where nothing resists."""
        from scipy.optimize import brentq  # noqa: PLC0415  SciPy is slow to import

        self._check_power()
        if self.acceleration(0.0) <= 0:
            force, words = self.limit(0.0)
            rolling = self.constants["rolling_force"]
            raise NoSolutionError(
                f"The vehicle does not move: {words} allow {force:.4g} N, "
                f"and rolling takes {rolling:.4g} N.",
                value=force,
                unit="N",
                limit=rolling,
                advice="Raise friction, motor_torque or driven_weight_share, or lower mass.",
            )
        low = 0.0
        for step in range(-8, 100):
            high = 1.3 ** (step + 8) * 0.1
            if high > _FASTEST:
                return math.inf
            if self.acceleration(high) <= 0:
                return float(brentq(self.acceleration, low, high, xtol=1e-12, rtol=1e-14))
            low = high
        return math.inf

    @cached_property
    def switches(self) -> tuple[float, ...]:
        """Speeds below top speed at which another limit takes over, in rising order."""
        from scipy.optimize import brentq  # noqa: PLC0415  SciPy is slow to import

        highest = min(self.top_speed, _FASTEST)
        speeds = highest * np.linspace(0.0, 1.0, _LOOKED_AT) ** 2
        here: dict[str, Floats] = {**self.constants, "speed": speeds}
        with np.errstate(divide="ignore"):
            allowed = [
                np.broadcast_to(compile_tree(tree)(here), speeds.shape)
                for tree in self.forces.values()
            ]
        least = np.argmin(allowed, axis=0)
        functions = [*self.limits.values()]
        found = []
        for place in np.flatnonzero(np.diff(least)).tolist():
            one, other = (functions[least[n]] for n in (place, place + 1))

            def apart(
                speed: float,
                one: Callable[[tuple[float]], float] = one,
                other: Callable[[tuple[float]], float] = other,
            ) -> float:
                return min(one((speed,)), 1e300) - min(other((speed,)), 1e300)

            bracket = float(speeds[place]), float(speeds[place + 1])
            found.append(float(brentq(apart, *bracket, xtol=1e-13, rtol=1e-14)))
        return tuple(one for one in found if 0 < one < highest)
