"""Driving a schedule: what it takes at the wheels, what returns, what the battery gives.

=====================  =========================================================================
assumed                what it means
=====================  =========================================================================
linear speed           between two points of the schedule acceleration is constant
level road, no wind    only inertia, drag and rolling ask for force
constant efficiencies  one number from battery to road, one from road back to battery
auxiliary load         constant for as long as the schedule lasts, standstill included
=====================  =========================================================================

Energy is integrated exactly (see `schedule_integration`): there is no step to choose.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from chalkwatt.calls import checked_call
from chalkwatt.errors import ChalkwattError
from chalkwatt.laws.quantities import look_up
from chalkwatt.runs.schedule.equations import equations
from chalkwatt.runs.schedule.integration import tally
from chalkwatt.runs.schedule.laws import laws_of
from chalkwatt.runs.schedule.names import as_schedule
from chalkwatt.runs.schedule.trip import Trip
from chalkwatt.topics.load import load
from chalkwatt.wording.given import check_shapes

if TYPE_CHECKING:
    from collections.abc import Mapping

    from chalkwatt.runs.equations import Equations
    from chalkwatt.runs.schedule.schedule import Schedule
    from chalkwatt.wording.given import Given

__all__ = ["drive_schedule", "driven"]

_STANDARD_GRAVITY = 9.80665  # 40 CFR 1066.210


@checked_call
def drive_schedule(
    schedule: Schedule | str,
    /,
    *,
    mass: Given,
    drag_area: Given,
    rolling_coefficient: Given,
    drive_efficiency: Given,
    air_density: Given | None = None,
    recovery_efficiency: Given = 0.0,
    recovery_power_max: Given | None = None,
    auxiliary_power: Given = 0.0,
    rotating_mass_factor: Given = 1.0,
    charging_efficiency: Given | None = None,
    gravity: Given = _STANDARD_GRAVITY,
) -> Trip:
    """Drive a schedule and count the energy.

    Parameters
    ----------
    schedule : Schedule or str
        For example ``cw.schedules.nedc``, ``"wltc 3b"`` (see `cw.schedules.names`), one phase of
        them, or one of your own.
    mass : number (kg), str, pint quantity or array
    drag_area : number (m²), str, pint quantity or array
    rolling_coefficient : number or array
    drive_efficiency : number or array
        Share of the battery's driving power that reaches the road, from above 0 to 1.
    air_density : number (kg/m³), str, pint quantity or array, optional
        The standard atmosphere at sea level, dry, if left out.
    recovery_efficiency : number or array
        Share of the braking energy at the wheels that returns to the battery.
    recovery_power_max : number (W), str, pint quantity or array, optional
        Most power that braking may return to the battery; no limit if left out.
    auxiliary_power : number (W), str, pint quantity or array
    rotating_mass_factor : number or array
        Mass that inertia shows over the mass itself.
    charging_efficiency : number or array, optional
        Share of the energy from the outlet that arrives in the battery, for what is counted at the
        outlet; 0.87 if left out, which the trip's notes then say.
    gravity : number (m/s²), str or pint quantity

    Returns
    -------
    Trip
        Energies, consumption and figures; arrays when an input was one. Arrays broadcast.

    Raises
    ------
    UnitError, OutOfBoundsError
        If a unit or a value does not fit its quantity.
    NameUnknownError
        If there is no schedule of that name.
    ChalkwattError
        If the schedule never moves.

    Examples
    --------
    >>> import chalkwatt as cw
    >>> trip = cw.drive_schedule(
    ...     cw.schedules.nedc, mass="1180 kg", drag_area="0.62 m^2", rolling_coefficient=0.0085,
    ...     air_density="1.2 kg/m^3", drive_efficiency=0.87, recovery_efficiency=0.6,
    ...     auxiliary_power="350 W",
    ... )
    >>> trip
    NEDC: 11.01 km, consumption 9.991 kWh/100 km (160.8 Wh/mi)
    """
    given: dict[str, Any] = {
        "mass": mass,
        "drag_area": drag_area,
        "rolling_coefficient": rolling_coefficient,
        "drive_efficiency": drive_efficiency,
        "air_density": _standard_air() if air_density is None else air_density,
        "recovery_efficiency": recovery_efficiency,
        "recovery_power_max": recovery_power_max,
        "auxiliary_power": auxiliary_power,
        "rotating_mass_factor": rotating_mass_factor,
        "charging_efficiency": charging_efficiency,
        "gravity": gravity,
    }
    schedule = as_schedule(schedule)
    if not schedule.speeds.any():
        raise ChalkwattError(
            f"{schedule.name} never moves, so it has no consumption.",
            advice="Give a schedule with speed in it.",
        )
    values = {
        name: look_up(name).read(one)
        for name, one in given.items()
        if one is not None or name not in _MAY_BE_LEFT_OPEN
    }
    check_shapes(values)
    return driven(schedule, values, equations(limited="recovery_power_max" in values))


# Nothing limits recovery unless said, and what an outlet counts has a standing value.
_MAY_BE_LEFT_OPEN = frozenset({"recovery_power_max", "charging_efficiency"})


def driven(schedule: Schedule, values: Mapping[str, Any], shown: Equations) -> Trip:
    """Integrate equations over a schedule, and return the trip that shows them.

    Parameters
    ----------
    schedule : Schedule
    values : mapping of str to float or ndarray
        The vehicle, in SI units.
    shown : Equations

    Returns
    -------
    Trip
    """
    return Trip(schedule, values, tally(schedule.integrals, values, laws_of(shown)), shown)


def _standard_air() -> float:
    return float(load.find("air_density").si)
