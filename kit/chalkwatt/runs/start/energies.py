"""Where the energy of a standing start goes, and what its battery sees of it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from chalkwatt.algebra.numpy_tree import compile_tree
from chalkwatt.laws.relations import symbol
from chalkwatt.planning.isolating import isolate
from chalkwatt.runs.compiled import choices, expressed, line_of
from chalkwatt.topics.pack import pack

if TYPE_CHECKING:
    from collections.abc import Callable

    from chalkwatt.algebra.trees import Tree
    from chalkwatt.runs.start.integration import Integration
    from chalkwatt.runs.start.vehicle import StartVehicle

__all__ = ["energies", "terminal_voltage"]


def energies(run: Integration, time: float) -> dict[str, float]:
    """Integrate the forces that are printed over the distance driven.

    Parameters
    ----------
    run : Integration
    time : float
        Seconds from rest.

    Returns
    -------
    dict of str to float
        In joules.
    """
    car = run.vehicle

    def work(tree: Tree, words: str = "") -> float:
        return run.work(time, _of_speed(car, tree), words)

    known = {"speed", *car.constants}
    drove = sum(work(tree, words) for words, tree in car.forces.items())
    at_end = float(run.at(time)[0])
    return {
        "motor_energy": _motor_side(car, drove),
        "wheel_energy": drove,
        "drag_energy": work(expressed(car.equations, "air_force", known)),
        "rolling_energy": work("rolling_force"),
        "kinetic_energy": 0.5 * car.effective_mass * at_end**2,
    }


def _of_speed(car: StartVehicle, tree: Tree) -> Callable[[Any], Any]:
    function = compile_tree(tree)
    return lambda speed: function({**car.constants, "speed": speed})


def _motor_side(car: StartVehicle, wheel: float) -> float:
    """Return what the motor gives for a power, or an energy, at the wheels."""
    line = line_of(car.equations, "wheel_power")
    right = next(made for limit, made in choices(line.sides[1]) if limit == "motor_power")
    way = isolate("wheel_power", right, "motor_power", symbol, positive=True)
    return float(compile_tree(way.forms[0])({**car.values, "wheel_power": wheel}))


def terminal_voltage(car: StartVehicle, speed: float) -> float:
    """Return the battery's voltage under the load at a speed, in volts.

    Parameters
    ----------
    car : StartVehicle
    speed : float
        In metres per second.

    Returns
    -------
    float
    """
    if car.values["pack_resistance"] == 0:  # nothing falls off, whatever is drawn
        return car.values["pack_voltage"]
    drawn = _motor_side(car, car.limit(speed)[0] * speed) + car.values["auxiliary_power"]
    names = ("pack_voltage", "pack_resistance")
    battery = {name: car.values[name] for name in names}
    if "pack_power" in car.constants:  # at the very limit a last bit must not be too much
        drawn = min(drawn, car.constants["pack_power"])
    return float(pack.find("terminal_voltage", pack_power=drawn, **battery).si)
