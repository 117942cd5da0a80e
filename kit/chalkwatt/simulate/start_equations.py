"""The governing equations of a standing start, the relations of its topic among them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from chalkwatt.relations import author_order
from chalkwatt.simulate.equations import Equations, Rate
from chalkwatt.topics import launch, load, pack

if TYPE_CHECKING:
    from chalkwatt.relations import Relation
    from chalkwatt.simulate.start_vehicle import StartVehicle

__all__ = ["equations"]

with author_order() as q:
    SPEED = Rate("Gain of speed", "speed", q.acceleration)
    DISTANCE = Rate("Distance", "sprint_distance", q.speed)


def equations(vehicle: StartVehicle) -> Equations:
    """Return the equations that the run of a vehicle integrates.

    Parameters
    ----------
    vehicle : StartVehicle

    Returns
    -------
    Equations

    Examples
    --------
    >>> import chalkwatt as cw
    >>> run = cw.standing_start(mass=1500, motor_power=120e3, friction=0.9, driven_weight_share=0.5,
    ...                         rolling_coefficient=0.01, drag_area=0.6, air_density=1.2)
    >>> print(run.equations.text.splitlines()[-1].strip())
    dd_s/dt = v
    """
    car = vehicle.values
    endless = {
        "traction_force": "friction" not in car,
        "torque_force": "motor_torque" not in car,
        "current_limited_power": "pack_current_max" not in car,
        "voltage_limited_power": "pack_voltage_min" not in car,
        "motor_power": "motor_power" not in car,
    }
    missing = {name for name, absent in endless.items() if absent}
    lines: list[Relation | Rate] = []
    if "current_limited_power" not in missing:
        lines.append(pack.CEILING)
    if "voltage_limited_power" not in missing:
        lines.append(pack.FLOOR)
    lines.append(launch.WHEEL)
    if "traction_force" not in missing:
        lines.append(launch.TYRES)
    if "torque_force" not in missing:
        lines.append(launch.TORQUE)
    lines += [launch.DRIVE, load.DRAG, load.ROLLING, load.ROAD, launch.EFFECTIVE, launch.MOTION]
    lines += [SPEED, DISTANCE]
    zeros = {"headwind", "grade_angle", "grade_force", "coast_down_linear"}
    if vehicle.load_transfer == 0:
        zeros.add("load_transfer")
    return Equations(lines, zeros=zeros, endless=missing)
