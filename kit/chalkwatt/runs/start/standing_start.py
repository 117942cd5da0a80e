"""The standing start: from rest, with all that tyres, motor and battery allow.

=====================  =========================================================================
assumed                what it means
=====================  =========================================================================
level road, no wind    drag and rolling resist, nothing else
the limit is held      driver or electronics find it at every speed, without slip or delay
drive efficiency       limits power only: motor power times it reaches the wheels
load transfer          height over wheelbase where both are given; the static share where not
battery                a voltage and a resistance: the more current, the lower the voltage
tapering               above the taper speed power falls in proportion to one over speed
rollout                the clock starts, and distance counts, after it
=====================  =========================================================================

Between two speeds at which the limit changes, the equations are smooth; each stretch is
integrated for itself (``scipy.integrate.solve_ivp``, DOP853), so that no step straddles a kink.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from chalkwatt.calls import checked_call
from chalkwatt.laws.quantities import look_up
from chalkwatt.runs.start.run import StartRun
from chalkwatt.runs.start.vehicle import StartVehicle
from chalkwatt.topics.load import load

if TYPE_CHECKING:
    from chalkwatt.wording.given import Given

__all__ = ["standing_start"]

_STANDARD_GRAVITY = 9.80665  # 40 CFR 1066.210


@checked_call
def standing_start(
    *,
    mass: Given,
    motor_power: Given | None = None,
    drive_efficiency: Given = 1.0,
    friction: Given | None = None,
    driven_weight_share: Given | None = None,
    rolling_coefficient: Given,
    drag_area: Given,
    air_density: Given | None = None,
    rotating_mass_factor: Given = 1.0,
    driven_axle: str | None = None,
    wheelbase: Given | None = None,
    centre_of_gravity_height: Given | None = None,
    motor_torque: Given | None = None,
    gear_ratio: Given | None = None,
    wheel_radius: Given | None = None,
    taper_speed: Given | None = None,
    pack_voltage: Given | None = None,
    pack_resistance: Given | None = None,
    pack_current_max: Given | None = None,
    pack_voltage_min: Given | None = None,
    auxiliary_power: Given = 0.0,
    rollout: Given = 0.0,
    gravity: Given = _STANDARD_GRAVITY,
    name: str = "",
    tolerance: float = 1e-11,
) -> StartRun:
    """Run a standing start.

    Parameters
    ----------
    mass : number (kg), str or pint quantity
        With everything and everyone in it.
    motor_power : number (W), str or pint quantity
        May be left out where a battery limits the power.
    drive_efficiency : number
        Motor power times it reaches the wheels; torque and force pass whole.
    friction : number
        Of the tyres; may be left out where a torque limits the force.
    driven_weight_share : number
        Share of the weight on driven wheels at rest; 1 if ``driven_axle`` is ``"all"``.
    rolling_coefficient : number
    drag_area : number (m²), str or pint quantity
    air_density : number (kg/m³), str or pint quantity, optional
        The standard atmosphere at sea level if left out.
    rotating_mass_factor : number
    driven_axle : {"rear", "front", "all"}, optional
        With the next two, the load moves as the vehicle accelerates. Three wheels count as two
        axles.
    wheelbase, centre_of_gravity_height : number (m), str or pint quantity, optional
    motor_torque : number (N·m), gear_ratio : number, wheel_radius : number (m), optional
        Together they limit the force.
    taper_speed : number (m/s), str or pint quantity, optional
        Above it the power falls, in proportion to one over speed.
    pack_voltage, pack_resistance, pack_current_max, pack_voltage_min : optional
        A battery that limits the power by its current or by its lowest voltage, sag included.
    auxiliary_power : number (W), str or pint quantity
        Taken from what the battery gives.
    rollout : number (m), str or pint quantity
        Distance before the clock starts; ``"1 ft"`` on a drag strip.
    gravity : number (m/s²), str or pint quantity
    name : str
        For figures.
    tolerance : float
        Relative, of the integration.

    Returns
    -------
    StartRun

    Raises
    ------
    UnitError, OutOfBoundsError
        If a unit or a value does not fit its quantity.
    TooLittleKnownError
        If of things that belong together one is missing.
    NoSolutionError
        If the vehicle does not move.

    Examples
    --------
    >>> import chalkwatt as cw
    >>> run = cw.standing_start(
    ...     mass="1500 kg", motor_power="120 kW", drive_efficiency=0.9, friction=0.9,
    ...     driven_weight_share=0.5, rolling_coefficient=0.01, drag_area="0.6 m^2",
    ...     air_density="1.2 kg/m^3", rotating_mass_factor=1.04,
    ... )
    >>> print(f"{run.time_to('60 mph'):.2f~P}, {run.time_over('0.25 mile'):.2f~P}")
    7.46 s, 15.93 s
    """
    given: dict[str, Any] = {
        "mass": mass,
        "motor_power": motor_power,
        "drive_efficiency": drive_efficiency,
        "friction": friction,
        "driven_weight_share": driven_weight_share,
        "rolling_coefficient": rolling_coefficient,
        "drag_area": drag_area,
        "air_density": _standard_air() if air_density is None else air_density,
        "rotating_mass_factor": rotating_mass_factor,
        "wheelbase": wheelbase,
        "centre_of_gravity_height": centre_of_gravity_height,
        "motor_torque": motor_torque,
        "gear_ratio": gear_ratio,
        "wheel_radius": wheel_radius,
        "taper_speed": taper_speed,
        "pack_voltage": pack_voltage,
        "pack_resistance": pack_resistance,
        "pack_current_max": pack_current_max,
        "pack_voltage_min": pack_voltage_min,
        "auxiliary_power": auxiliary_power,
        "rollout": rollout,
        "gravity": gravity,
    }
    if driven_weight_share is None and driven_axle == "all":
        given["driven_weight_share"] = 1.0
    needed = {"mass", "drag_area", "rolling_coefficient", "gravity", "rollout", "auxiliary_power"}
    needed |= {"drive_efficiency", "rotating_mass_factor"}
    values = {
        key: look_up(key).read_one(one)
        for key, one in given.items()
        if one is not None or key in needed
    }
    return StartRun(StartVehicle(values, driven_axle), name=name, tolerance=tolerance)


def _standard_air() -> float:
    return float(load.find("air_density").si)
