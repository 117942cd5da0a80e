"""Energy on a schedule, integrated exactly for any number of vehicles at once.

Between two points of a schedule power at the wheels is a polynomial in speed. Writing
``c₂ = ρ A_d / 2`` and slowing down at the rate ``b`` from ``v₀`` to ``v₁``, its sign is that of
``c₂ v² − pull`` with ``pull = k m b − C_rr m g``, so there are three kinds of slowing steps:

- braking all along, where ``pull ≥ c₂ v₀²``;
- driving all along, where ``pull ≤ c₂ v₁²``, as when air and tyres alone would slow it faster;
- driving first and braking after ``v² = pull / c₂``: the only ones looked at one by one, with
  ``c₂ (v₀² − x)² / 4b`` driven and ``c₂ (x − v₁²)² / 4b`` braked, where ``x = pull / c₂``.

Steps of the first two kinds are linear in inertia, rolling and drag, so they are summed up as a
product of matrices. Many vehicles are taken in turns, sorted by inertia over drag: neighbours then
agree on the kind of almost every step, which so is decided once for all of them.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from chalkwatt.solving import cubic_roots

if TYPE_CHECKING:
    from collections.abc import Mapping

    from numpy.typing import NDArray

    from chalkwatt.simulate.schedule import Segments

__all__ = ["Integrals", "tally"]

_CHUNK = 131_072  # elements of a table: about what a processor's cache holds


class Integrals:
    """What a schedule gives to every vehicle: exact integrals over each step.

    Attributes
    ----------
    whole, rising : ndarray, shape (3, phases)
        Sums of the integrals of v dv/dt, v and v³: over all steps, and over those that do not slow.
    each : ndarray, shape (slowing steps, 3 × phases)
        The same of each slowing step.
    often : ndarray, shape (slowing steps, phases)
        How often a slowing step comes.
    rate, low, high : ndarray
        Of each slowing step: deceleration, and the squares of the last and the first speed.
    duration : ndarray, shape (phases,)
    """

    def __init__(self, segments: Segments) -> None:
        start, end, duration, often = segments
        kinetic = (end - start) * (end + start) / 2
        first = (start + end) / 2 * duration
        third = (start + end) / 4 * (start**2 + end**2) * duration
        every = np.stack([kinetic, first, third])
        slowing = end < start
        self.whole = every @ often
        self.rising = every[:, ~slowing] @ often[~slowing]
        self.often = often[slowing]
        self.each = np.hstack([one[slowing, None] * self.often for one in every])
        self.rate = (start[slowing] - end[slowing]) / duration[slowing]
        self.low, self.high = end[slowing] ** 2, start[slowing] ** 2
        self.duration = duration @ often


def tally(integrals: Integrals, values: Mapping[str, Any]) -> dict[str, NDArray[np.float64]]:
    """Count every energy of every vehicle.

    Parameters
    ----------
    integrals : Integrals
    values : mapping of str to float or ndarray
        The vehicles in SI units; arrays broadcast.

    Returns
    -------
    dict of str to ndarray
        In joules, the distance in metres; the last axis is the phase.
    """
    shape = np.broadcast_shapes(*(np.shape(one) for one in values.values()))
    size = int(np.prod(shape))
    columns = {
        name: np.broadcast_to(one, shape).reshape(size, 1)
        for name, one in values.items()
        if np.ndim(one)
    }
    rows = max(_CHUNK // max(len(integrals.rate), 1), 1)
    order = np.arange(size)
    if size > rows:
        heavy = values["rotating_mass_factor"] * values["mass"]
        ratio = heavy / (values["air_density"] * values["drag_area"])
        order = np.argsort(np.broadcast_to(ratio, shape).reshape(size))
        columns = {name: one[order] for name, one in columns.items()}
    parts: dict[str, list[NDArray[np.float64]]] = {}
    for first in range(0, size, rows):
        some = {name: one[first : first + rows] for name, one in columns.items()}
        count = min(rows, size - first)
        for name, made in _integrate(integrals, {**values, **some}).items():
            parts.setdefault(name, []).append(np.broadcast_to(made, (count, made.shape[-1])))
    return {name: _sorted_back(made, order).reshape(*shape, -1) for name, made in parts.items()}


def _sorted_back(parts: list[NDArray[np.float64]], order: NDArray[np.int_]) -> NDArray[np.float64]:
    if len(parts) == 1:
        return parts[0]
    made = np.empty((len(order), parts[0].shape[-1]))
    made[order] = np.concatenate(parts)
    return made


def _integrate(integrals: Integrals, values: Mapping[str, Any]) -> dict[str, NDArray[np.float64]]:
    """Integrate for a column of vehicles: a row a vehicle, a column a phase."""
    inertia = values["rotating_mass_factor"] * values["mass"]
    rolling = values["rolling_coefficient"] * values["mass"] * values["gravity"]
    square = values["air_density"] * values["drag_area"] / 2
    heavy, flat = inertia / square, rolling / square
    always = np.min(heavy) * integrals.rate - np.max(flat) >= integrals.high
    never = np.max(heavy) * integrals.rate - np.min(flat) <= integrals.low
    mixed = np.flatnonzero(~(always | never))
    pull = inertia * integrals.rate[mixed] - rolling
    full = np.atleast_2d(pull >= square * integrals.high[mixed])
    some = np.atleast_2d(pull > square * integrals.low[mixed]) & ~full
    pull = np.broadcast_to(pull, full.shape)

    def summed(chosen: NDArray[np.bool_], by_all: NDArray[np.bool_]) -> Any:  # noqa: ANN401
        each = integrals.each
        both = chosen.astype(float) @ each[mixed] + each[by_all].sum(axis=0)
        kinetic, first, third = np.split(both, 3, axis=-1)
        return inertia * kinetic + rolling * first + square * third

    kinetic, first, third = integrals.rising
    driving = inertia * kinetic + rolling * first + square * third + summed(~(full | some), never)
    braking = -summed(full, always)
    rows, places = _places(some)
    if len(rows):
        force = _at(square, rows)
        turn = pull[rows, places] / force
        steps = mixed[places]
        quarter = force / (4 * integrals.rate[steps])
        count = len(full)
        driven = quarter * (integrals.high[steps] - turn) ** 2
        driving = driving + _gathered(integrals, rows, steps, driven, count)
        braked = quarter * (turn - integrals.low[steps]) ** 2
        braking = braking + _gathered(integrals, rows, steps, braked, count)
    kept = braking
    if "recovery_power_max" in values:
        brakes = np.broadcast_to(always, (len(full), len(always))).copy()
        brakes[:, mixed] = full | some
        whole = np.broadcast_to(inertia * integrals.rate - rolling, brakes.shape)
        kept = braking - _above_limit(integrals, values, square, whole, brakes)
    kinetic, first, third = integrals.whole
    made = {
        "wheel_energy": driving,
        "braking_energy": braking,
        "recovered_energy": values["recovery_efficiency"] * kept,
        "drag_energy": square * third,
        "rolling_energy": rolling * first,
        "kinetic_energy": inertia * kinetic,
        "auxiliary_energy": values["auxiliary_power"] * integrals.duration,
        "distance": first,
    }
    return {name: np.atleast_2d(one) for name, one in made.items()}


def _places(chosen: NDArray[np.bool_]) -> tuple[NDArray[np.int_], NDArray[np.int_]]:
    """Return rows and columns of what was chosen; one flat search is far faster than two."""
    rows, columns = np.divmod(np.flatnonzero(chosen), chosen.shape[1])
    return rows, columns


def _at(column: Any, rows: NDArray[np.int_]) -> Any:  # noqa: ANN401  a number, or one a row
    """Return a vehicle's value at each row, whether it is one for all or one for each."""
    return column[rows, 0] if np.ndim(column) else column


def _gathered(
    integrals: Integrals,
    rows: NDArray[np.int_],
    steps: NDArray[np.int_],
    energies: NDArray[np.float64],
    count: int,
) -> NDArray[np.float64]:
    """Add the energies of single steps to their vehicles and phases."""
    often = integrals.often[steps].T
    return np.stack(
        [np.bincount(rows, weights=energies * one, minlength=count) for one in often], axis=-1
    )


def _above_limit(
    integrals: Integrals,
    values: Mapping[str, Any],
    square: Any,  # noqa: ANN401
    pull: NDArray[np.float64],
    braked: NDArray[np.bool_],
) -> Any:  # noqa: ANN401
    """Integrate the part of the braking power that is above what recovery takes.

    Braking power is ``pull v − c₂ v³``; it is above the limit between two roots of a cubic.
    """
    share = np.asarray(values["recovery_efficiency"], dtype=float)
    with np.errstate(divide="ignore", over="ignore", invalid="ignore"):
        limit = np.where(share > 0, values["recovery_power_max"] / share, np.inf)
    # Where even the first speed and no drag stay below the limit, nothing has to be solved.
    rows, steps = _places(braked & (pull * np.sqrt(integrals.high) > limit))
    if not len(rows):
        return 0.0
    force, here, most = _at(square, rows), pull[rows, steps], _at(limit[()], rows)
    roots = cubic_roots(np.broadcast_to(force, here.shape), -here, -most * np.ones(len(rows)))
    if len(roots) < 3:
        return 0.0
    floor = np.sqrt(integrals.low[steps])
    ceiling = np.sqrt(np.minimum(integrals.high[steps], here / force))
    below = np.clip(roots[1], floor, ceiling)
    above = np.clip(roots[2], floor, ceiling)
    mean = (above + below) / 2
    over = here * mean - force * mean * (above**2 + below**2) / 2 - most
    energies = np.nan_to_num((above - below) / integrals.rate[steps] * over)
    return _gathered(integrals, rows, steps, energies, len(braked))
