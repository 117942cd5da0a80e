"""Driving a schedule: what it takes at the wheels, what returns, what the battery gives.

=====================  =========================================================================
assumed                what it means
=====================  =========================================================================
linear speed           between two points of the schedule acceleration is constant
level road, no wind    only inertia, drag and rolling ask for force
constant efficiencies  one number from battery to road, one from road back to battery
auxiliary load         constant for as long as the schedule lasts, standstill included
=====================  =========================================================================

Between two points power at the wheels is a polynomial in speed, so it is integrated exactly, and
the steps are split where power changes sign or meets the limit of recovery. Writing
``c₂ = ρ A_d / 2`` and slowing down at the rate ``b`` from ``v₀`` to ``v₁``, the wheels brake where
``v² < x`` with ``x = (k m b − C_rr m g) / c₂``; with ``s`` = ``x`` kept between ``v₁²`` and ``v₀²``
the braking energy is ``c₂ (s − v₁²)(2x − s − v₁²) / 4b``, and the rest of the step drives.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from chalkwatt.errors import ChalkwattError, NameUnknownError
from chalkwatt.quantities import look_up
from chalkwatt.simulate.trip import Trip
from chalkwatt.solving import cubic_roots

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from chalkwatt.simulate.schedule import Schedule, Segments

__all__ = ["drive_schedule"]

_STANDARD_GRAVITY = 9.80665  # 40 CFR 1066.210
_CHUNK = 32_768  # elements of a table; it stays in the processor's cache


def drive_schedule(
    schedule: Schedule,
    /,
    *,
    mass: Any,  # noqa: ANN401  whatever a person gives, here and below
    drag_area: Any,  # noqa: ANN401
    rolling_coefficient: Any,  # noqa: ANN401
    drive_efficiency: Any,  # noqa: ANN401
    air_density: Any = None,  # noqa: ANN401
    recovery_efficiency: Any = 0.0,  # noqa: ANN401
    recovery_power_max: Any = None,  # noqa: ANN401
    auxiliary_power: Any = 0.0,  # noqa: ANN401
    rotating_mass_factor: Any = 1.0,  # noqa: ANN401
    gravity: Any = _STANDARD_GRAVITY,  # noqa: ANN401
) -> Trip:
    """Drive a schedule and count the energy.

    Parameters
    ----------
    schedule : Schedule
        For example ``cw.schedules.nedc``, or one of your own.
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
    gravity : number (m/s²), str or pint quantity

    Returns
    -------
    Trip
        Energies, consumption and figures; arrays when an input was one. Arrays broadcast.

    Raises
    ------
    UnitError, OutOfBoundsError
        If a unit or a value does not fit its quantity.
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
    given = {
        "mass": mass,
        "drag_area": drag_area,
        "rolling_coefficient": rolling_coefficient,
        "drive_efficiency": drive_efficiency,
        "air_density": _standard_air() if air_density is None else air_density,
        "recovery_efficiency": recovery_efficiency,
        "recovery_power_max": recovery_power_max,
        "auxiliary_power": auxiliary_power,
        "rotating_mass_factor": rotating_mass_factor,
        "gravity": gravity,
    }
    if not hasattr(schedule, "segments"):
        raise NameUnknownError(
            f"{schedule!r} is not a schedule.",
            nearest=("cw.schedules.nedc", "cw.schedules.read(path)", "cw.schedules.ramps(...)"),
        )
    if not schedule.speeds.any():
        raise ChalkwattError(
            f"{schedule.name} never moves, so it has no consumption.",
            advice="Give a schedule with speed in it.",
        )
    values = {name: look_up(name).read(one) for name, one in given.items() if one is not None}
    return Trip(schedule, values, _tally(schedule.segments, values))


def _standard_air() -> float:
    from chalkwatt.topics.load import load  # SymPy takes a third of a second

    return float(load.find("air_density").si)


def _tally(segments: Segments, values: dict[str, Any]) -> dict[str, NDArray[np.float64]]:
    """Integrate every energy, phase by phase; the phase is the last axis."""
    names = tuple(values)
    shape = np.broadcast_shapes(*(np.shape(values[name]) for name in names))
    size = int(np.prod(shape))
    flat = {
        name: np.broadcast_to(values[name], shape).reshape(size, 1) if shape else values[name]
        for name in names
    }
    slowing = segments.end < segments.start
    steps = max(int(slowing.sum()), 1)
    rows = max(_CHUNK // steps, 1)
    if size <= rows:
        made = _integrate(segments, slowing, flat)
        return {name: one.reshape(*shape, -1) for name, one in made.items()}
    whole: dict[str, list[NDArray[np.float64]]] = {}
    for first in range(0, size, rows):
        part = {name: one[first : first + rows] for name, one in flat.items()}
        for name, one in _integrate(segments, slowing, part).items():
            whole.setdefault(name, []).append(one)
    return {name: np.concatenate(parts).reshape(*shape, -1) for name, parts in whole.items()}


def _integrate(
    segments: Segments, slowing: NDArray[np.bool_], values: dict[str, Any]
) -> dict[str, NDArray[np.float64]]:
    """Integrate for a column of vehicles: a row a vehicle, a column a phase."""
    start, end, duration, count = segments
    inertia = values["rotating_mass_factor"] * values["mass"]
    rolling = values["rolling_coefficient"] * values["mass"] * values["gravity"]
    square = values["air_density"] * values["drag_area"] / 2
    # Exact integrals of v, v³ and v dv/dt over a step in which v is linear.
    first = (start + end) / 2 * duration
    third = (start + end) / 4 * (start**2 + end**2) * duration
    kinetic = (end - start) * (end + start) / 2
    never = count[~slowing].T
    driving = (
        inertia * (never @ kinetic[~slowing])
        + rolling * (never @ first[~slowing])
        + square * (never @ third[~slowing])
    )
    low, high = end[slowing] ** 2, start[slowing] ** 2
    rate = (start[slowing] - end[slowing]) / duration[slowing]
    slow = count[slowing]
    turn = (inertia * rate - rolling) / square
    between = np.clip(turn, low, high)
    quarter = square / (4 * rate)
    braking = quarter * (between - low) * (2 * turn - between - low)
    driving = driving + quarter * (high - between) * (high + between - 2 * turn) @ slow
    kept = braking
    if "recovery_power_max" in values:
        kept = braking - _above_limit(
            values,
            pull=inertia * rate - rolling,
            square=square,
            rate=rate,
            low=low,
            between=between,
        )
    share = values["recovery_efficiency"]
    distance = count.T @ first
    return {
        "wheel_energy": driving,
        "braking_energy": braking @ slow,
        "recovered_energy": share * (kept @ slow),
        "drag_energy": square * (count.T @ third),
        "rolling_energy": rolling * distance,
        "kinetic_energy": inertia * (count.T @ kinetic),
        "auxiliary_energy": values["auxiliary_power"] * (count.T @ duration),
        "distance": distance + 0.0 * driving,
    }


def _above_limit(
    values: dict[str, Any],
    *,
    pull: Any,  # noqa: ANN401  arrays that broadcast
    square: Any,  # noqa: ANN401
    rate: NDArray[np.float64],
    low: NDArray[np.float64],
    between: NDArray[np.float64],
) -> Any:  # noqa: ANN401
    """Integrate the part of the braking power that is above what recovery takes.

    Braking power is ``pull v − c₂ v³``; it is above the limit between two roots of a cubic.
    """
    share = values["recovery_efficiency"]
    with np.errstate(all="ignore"):
        limit = np.where(
            np.asarray(share) > 0, values["recovery_power_max"] / np.asarray(share), np.inf
        )
        roots = cubic_roots(square, -pull, np.where(np.isfinite(limit), -limit, np.nan))
    if len(roots) < 3:
        return 0.0
    floor, ceiling = np.sqrt(low), np.sqrt(between)
    below = np.clip(np.nan_to_num(roots[1], nan=0.0), floor, ceiling)
    above = np.clip(np.nan_to_num(roots[2], nan=0.0), floor, ceiling)
    width = above - below
    mean = (above + below) / 2
    inner = pull * mean - square * mean * (above**2 + below**2) / 2
    return np.where(np.isnan(roots[1]), 0.0, width / rate * np.where(width > 0, inner - limit, 0.0))
