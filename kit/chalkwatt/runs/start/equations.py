"""The governing equations of a standing start, the relations of its topic among them."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache
from typing import TYPE_CHECKING

import sympy

from chalkwatt.algebra.scalar_tree import compile_scalar
from chalkwatt.laws.relations import Relation, author_order
from chalkwatt.runs.equations import Equations, Rate
from chalkwatt.topics import launch, load, pack

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from chalkwatt.runs.start.vehicle import StartVehicle

__all__ = ["AXLES", "equations"]

with author_order() as q:
    MATCHED = Relation(
        "Largest power of the battery",
        q.pack_power,
        q.pack_voltage**2 / (4 * q.pack_resistance),
        source="Ohm's law",
        assumptions=("Beyond half the voltage more current brings less power.",),
    )
    PACK = Relation(
        "Largest power of the battery",
        q.pack_power,
        sympy.Min(q.current_limited_power, q.voltage_limited_power, evaluate=False),
        source="definition",
    )
    MOTOR = Relation(
        "Power at the wheels",
        q.wheel_power,
        q.drive_efficiency
        * sympy.Min(q.motor_power, q.pack_power - q.auxiliary_power, evaluate=False),
        source="definition",
        assumptions=("The drive efficiency limits power, not force.",),
    )
    REAR = Relation(
        "Load that moves to the driven wheels",
        q.load_transfer,
        q.centre_of_gravity_height / q.wheelbase,
        source="balance of moments about the axles",
    )
    FRONT = Relation(
        "Load that moves off the driven wheels",
        q.load_transfer,
        -(q.centre_of_gravity_height / q.wheelbase),
        source="balance of moments about the axles",
    )
    # More than this share of the force back on the tyres, and they hold whatever is asked of them.
    TYRES = replace(launch.TYRES, where=(q.rotating_mass_factor - q.friction * q.load_transfer,))
    LIFTING = Relation(
        "Acceleration at which the front wheels lift",
        q.lifting_acceleration,
        (1 - q.driven_weight_share) * q.gravity / q.load_transfer,
        source="balance of moments about the axles",
    )
    DRIVE = Relation(
        "Driving force",
        q.drive_force,
        sympy.Min(
            q.traction_force,
            q.torque_force,
            q.wheel_power / q.speed,
            q.wheel_power * q.taper_speed / q.speed**2,
            q.effective_mass * q.lifting_acceleration + q.road_force,
            evaluate=False,
        ),
        source="definition",
        assumptions=(
            "The driver, or the electronics, always finds the limit.",
            "Above the taper speed power falls in proportion to one over speed.",
        ),
    )
    SPEED = Rate("Gain of speed", "speed", q.acceleration)
    DISTANCE = Rate("Distance", "sprint_distance", q.speed)
AXLES = ("rear", "front", "all")
_TRANSFERS = {"rear": REAR, "front": FRONT}
_FORCES = {"traction_force": TYRES, "lifting_acceleration": LIFTING, "torque_force": launch.TORQUE}
_UNTAPERED = replace(DRIVE, assumptions=DRIVE.assumptions[:1])


def equations(vehicle: StartVehicle) -> Equations:
    """Return the equations that the run of a vehicle integrates.

    Parameters
    ----------
    vehicle : StartVehicle

    Returns
    -------
    Equations
        Of two vehicles with the same limits it is the same object.

    Examples
    --------
    >>> import chalkwatt as cw
    >>> run = cw.standing_start(mass=1500, motor_power=120e3, friction=0.9, driven_weight_share=0.5,
    ...                         rolling_coefficient=0.01, drag_area=0.6, air_density=1.2)
    >>> print(run.equations.text.splitlines()[-1].strip())
    dd_s/dt = v
    """
    car = vehicle.values
    geared = "wheelbase" in car and "friction" in car and vehicle.axle in _TRANSFERS
    limits = frozenset(
        limit
        for limit, there in {
            "motor_power": "motor_power" in car,
            "current_limited_power": "pack_current_max" in car and _applies(pack.CEILING, car),
            "voltage_limited_power": "pack_voltage_min" in car
            and car["pack_resistance"] > 0
            and _applies(pack.FLOOR, car),
            "pack_power": car.get("pack_resistance", 0.0) > 0,
            "torque_force": "motor_torque" in car,
            "taper_speed": "taper_speed" in car,
            "traction_force": "friction" in car and (not geared or _holds(vehicle)),
            "lifting_acceleration": geared and vehicle.axle == "rear",
        }.items()
        if there
    )
    noughts = frozenset({"auxiliary_power"} if car["auxiliary_power"] == 0 else ())
    return _equations(limits, vehicle.axle if geared else None, noughts)


def _applies(relation: Relation, values: Mapping[str, float]) -> bool:
    """Say whether the conditions of a relation hold."""
    return all(compile_scalar(one)(values) >= 0 for one in relation.conditions)


def _holds(vehicle: StartVehicle) -> bool:
    transfer = _TRANSFERS[vehicle.axle or ""]
    car = {**vehicle.values}
    car["load_transfer"] = compile_scalar(transfer.sides[1])(car)
    return all(compile_scalar(one)(car) > 0 for one in TYRES.conditions)


_ENDLESS = {
    *("traction_force", "torque_force", "taper_speed", "lifting_acceleration"),
    *("motor_power", "pack_power", "current_limited_power", "voltage_limited_power"),
}


@lru_cache(maxsize=256)
def _equations(limits: frozenset[str], axle: str | None, noughts: frozenset[str]) -> Equations:
    lines: list[Relation | Rate] = [*_power(limits)]
    if "pack_power" in {line.sides[0] for line in lines if isinstance(line, Relation)}:
        limits |= {"pack_power"}
    if axle is not None:
        lines.append(_TRANSFERS[axle])
    for limit, line in _FORCES.items():
        if limit in limits:
            lines.append(line)
    lines.append(DRIVE if "taper_speed" in limits else _UNTAPERED)
    lines += [load.DRAG, load.ROLLING, load.ROAD, launch.EFFECTIVE, launch.MOTION]
    lines += [SPEED, DISTANCE]
    zeros = {"headwind", "grade_angle", "grade_force", "coast_down_linear", *noughts}
    if axle is None:
        zeros.add("load_transfer")
    return Equations(lines, zeros=zeros, endless=_ENDLESS - limits)


def _power(limits: frozenset[str]) -> Iterator[Relation]:
    """Yield the lines that lead to the power at the wheels."""
    by_battery = {"current_limited_power": pack.CEILING, "voltage_limited_power": pack.FLOOR}
    there = [line for limit, line in by_battery.items() if limit in limits]
    if there:
        yield from (*there, PACK)
    elif "pack_power" in limits:
        yield MATCHED
    yield MOTOR
