"""Energy on a schedule, integrated exactly for any number of vehicles at once.

Between two points of a schedule speed is linear and force at the wheels is ``A a + B + C v²`` with
weights that `schedule_laws` reads off the lines that are printed. Its sign is that of ``v² − x`` with
``x = −(A a + B) / C``, so there are three kinds of steps:

- braking all along, where ``x`` is not below the square of the highest speed;
- driving all along, where ``x`` is not above the square of the lowest speed;
- driving above ``v² = x`` and braking below: the only ones looked at one by one, with
  ``C (h − x)² / 4s`` driven and ``C (x − l)² / 4s`` braked, where ``h`` and ``l`` are the squares
  of the highest and the lowest speed and ``s`` is the slope of the step.

Steps of the first two kinds are linear in the weights, so they are summed up as a product of
matrices. Many vehicles are taken in turns, sorted by A over C: neighbours then agree on the kind of
almost every step, which so is decided once for all of them.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np

from chalkwatt.algebra.solving import cubic_roots
from chalkwatt.errors import ChalkwattError

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from numpy.typing import NDArray

    from chalkwatt.runs.schedule.laws import Laws, Taken
    from chalkwatt.runs.schedule.schedule import Segments
    from chalkwatt.wording.given import Floats

__all__ = ["Integrals", "Weights", "tally"]

_ENERGIES = ("wheel_energy", "braking_energy", "recovered_energy")
_CHUNK = 131_072  # elements of a table: about what a processor's cache holds


class Weights(NamedTuple):
    """Weights of acceleration, of one, and of the square of speed in a force."""

    inertia: Any
    constant: Any
    square: Any


class Integrals:
    """What a schedule gives to every vehicle: exact integrals over each step.

    Attributes
    ----------
    whole : ndarray, shape (3, phases)
        Sums of the integrals of v dv/dt, v and v³ over all steps.
    each : ndarray, shape (steps, 3 × phases)
        The same of each step.
    often : ndarray, shape (steps, phases)
        How often a step comes.
    slope, low, high : ndarray
        Of each step: change of speed over time, and the squares of the lowest and highest speed.
    duration : ndarray, shape (phases,)
    """

    def __init__(self, segments: Segments) -> None:
        start, end, duration, often = segments
        kinetic = (end - start) * (end + start) / 2
        first = (start + end) / 2 * duration
        third = (start + end) / 4 * (start**2 + end**2) * duration
        every = np.stack([kinetic, first, third])
        self.whole = every @ often
        self.often = often
        self.each = np.hstack([one[:, None] * often for one in every])
        self.slope = (end - start) / duration
        self.low, self.high = np.minimum(start, end) ** 2, np.maximum(start, end) ** 2
        self.duration = duration @ often


def tally(
    integrals: Integrals, values: Mapping[str, Any], laws: Laws
) -> dict[str, NDArray[np.float64]]:
    """Count every energy of every vehicle.

    Parameters
    ----------
    integrals : Integrals
    values : mapping of str to float or ndarray
        The vehicles in SI units; arrays broadcast.
    laws : Laws
        What is integrated.

    Returns
    -------
    dict of str to ndarray
        In joules, the distance in metres; the last axis is the phase.

    Raises
    ------
    ChalkwattError
        If the laws give no resistance that grows with speed.
    """
    shape = np.broadcast_shapes(*(np.shape(one) for one in values.values()))
    size = int(np.prod(shape))
    here = {
        name: np.broadcast_to(one, shape).reshape(size, 1) if np.ndim(one) else one
        for name, one in values.items()
    }
    force = laws.weights("wheel_power", here)
    taken = {name: laws.taken(name, here) for name in _ENERGIES}
    most = next((one.most for one in taken.values() if one.most is not None), None)
    inertia = laws.gain * force.inertia
    driving, braking, above = _by_turns(integrals, (inertia, force.constant, force.square, most))
    kept = braking if most is None else braking - above

    def energy(one: Taken) -> Floats:
        parts = driving, braking if one.most is None else kept
        return _weighted((one.driving, one.braking), parts)

    def work(name: str) -> Floats:
        of_slope, *others = laws.weights(name, here)
        return _weighted((laws.gain * of_slope, *others), [*integrals.whole])

    def lasting(name: str) -> Floats:
        weights = laws.by_power_of_speed(name, here)
        moments = {0: integrals.duration, 1: integrals.whole[1]}
        return _weighted([*weights.values()], [moments[power] for power in weights])

    made = {name: energy(one) for name, one in taken.items()} | {
        "drag_energy": work("air_force"),
        "rolling_energy": work("rolling_force"),
        "kinetic_energy": work("inertia"),
        "auxiliary_energy": lasting("auxiliary_energy"),
        "distance": lasting("trip_distance"),
    }
    phases = len(integrals.duration)
    if not shape:
        return {name: np.zeros(phases) + np.reshape(one, -1) for name, one in made.items()}
    return {
        name: np.broadcast_to(one, (size, phases)).reshape(*shape, phases)
        for name, one in made.items()
    }


def _weighted(weights: Sequence[Floats], parts: Sequence[Floats]) -> Floats:
    """Add parts up by their weights; a plain nought or one costs nothing."""
    made: Floats | None = None
    for weight, part in zip(weights, parts, strict=True):
        if np.ndim(weight) == 0 and weight == 0:
            continue
        one = part if np.ndim(weight) == 0 and weight == 1 else weight * part
        made = one if made is None else made + one
    return 0.0 if made is None else made


def _by_turns(integrals: Integrals, given: tuple[Any, Any, Any, Any]) -> tuple[Any, Any, Any]:
    """Integrate for so many vehicles at a time as a processor's cache holds."""
    inertia, _, square, _ = given
    if not np.all(np.asarray(square) > 0):
        raise ChalkwattError(
            "A schedule is driven against an air drag that grows with speed; here it does not.",
            quantity="drag_area",
            advice="Give a drag area and an air density above nought.",
        )
    size = max(np.size(one) for one in given if one is not None)
    slowing = int(np.count_nonzero(integrals.slope < 0))  # all others drive, but for a few
    rows = max(_CHUNK // max(slowing, 1), 1)
    if size <= rows:
        return _integrate(integrals, given)
    order = np.argsort(np.broadcast_to(inertia / square, (size, 1)).ravel())
    columns = [one[order] if np.ndim(one) else one for one in given]
    parts = []
    for first in range(0, size, rows):
        some = [one[first : first + rows] if np.ndim(one) else one for one in columns]
        made = _integrate(integrals, (some[0], some[1], some[2], some[3]))
        parts.append(np.broadcast_arrays(np.empty((min(rows, size - first), 1)), *made)[1:])
    back = np.argsort(order)
    driving, braking, above = (np.concatenate(part)[back] for part in zip(*parts, strict=True))
    return driving, braking, above


def _integrate(integrals: Integrals, given: tuple[Any, Any, Any, Any]) -> tuple[Any, Any, Any]:
    """Integrate power that drives, power that brakes, and what of it is above a limit.

    A row a vehicle, a column a phase.
    """
    inertia, constant, square, most = given
    # Where the force changes its sign, for the vehicles that differ most.
    heavy, flat = inertia / square, constant / square
    ends = np.min(heavy) * integrals.slope, np.max(heavy) * integrals.slope
    always = -(np.maximum(*ends) + np.max(flat)) >= integrals.high
    never = -(np.minimum(*ends) + np.min(flat)) <= integrals.low
    never &= ~always
    mixed = np.flatnonzero(~(always | never))
    turn = np.atleast_2d(-(heavy * integrals.slope[mixed] + flat))
    full = turn >= integrals.high[mixed]
    some = (turn > integrals.low[mixed]) & ~full
    seldom = integrals.each[mixed]

    def summed(chosen: NDArray[np.bool_], by_all: NDArray[np.bool_]) -> NDArray[np.float64]:
        both = chosen.astype(float) @ seldom + by_all.astype(float) @ integrals.each
        kinetic, first, third = np.split(both, 3, axis=-1)
        return np.asarray(inertia * kinetic + constant * first + square * third)

    driving, braking = summed(~(full | some), never), -summed(full, always)
    rows, places = _places(some)
    if len(rows):
        steps, here = mixed[places], turn[rows, places]
        quarter = _at(square, rows) / (4 * np.abs(integrals.slope[steps]))
        driven = quarter * (integrals.high[steps] - here) ** 2
        driving = driving + _gathered(integrals, rows, steps, driven, len(full))
        braked = quarter * (here - integrals.low[steps]) ** 2
        braking = braking + _gathered(integrals, rows, steps, braked, len(full))
    if most is None:
        return driving, braking, np.zeros_like(braking)
    brakes = np.broadcast_to(always, (max(len(full), np.size(most)), len(always))).copy()
    brakes[:, mixed] = full | some
    pull = np.broadcast_to(-(inertia * integrals.slope + constant), brakes.shape)
    return driving, braking, _above_limit(integrals, most, square, pull, brakes)


def _places(chosen: NDArray[np.bool_]) -> tuple[NDArray[np.int_], NDArray[np.int_]]:
    """Return rows and columns of what was chosen; one flat search is far faster than two."""
    rows, columns = np.divmod(np.flatnonzero(chosen), chosen.shape[1])
    return rows, columns


def _at(column: Floats, rows: NDArray[np.int_]) -> Floats:
    """Return a vehicle's value at each row, whether it is one for all or one for each."""
    return column[rows, 0] if isinstance(column, np.ndarray) and column.ndim else column


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
    limit: Floats,
    square: Floats,
    pull: NDArray[np.float64],
    braked: NDArray[np.bool_],
) -> Floats:
    """Integrate the part of the braking power that is above a limit.

    Braking power is ``pull v − C v³``; it is above the limit between two roots of a cubic.
    """
    # Where even the highest speed and no drag stay below the limit, nothing has to be solved.
    rows, steps = _places(braked & (pull * np.sqrt(integrals.high) > limit))
    if not len(rows):
        return 0.0
    force, here, most = _at(square, rows), pull[rows, steps], _at(limit, rows)
    roots = cubic_roots(np.broadcast_to(force, here.shape), -here, -most * np.ones(len(rows)))
    if len(roots) < 3:
        return 0.0
    floor = np.sqrt(integrals.low[steps])
    ceiling = np.sqrt(np.minimum(integrals.high[steps], here / force))
    below = np.clip(roots[1], floor, ceiling)
    above = np.clip(roots[2], floor, ceiling)
    mean = (above + below) / 2
    over = here * mean - force * mean * (above**2 + below**2) / 2 - most
    energies = np.nan_to_num((above - below) / np.abs(integrals.slope[steps]) * over)
    return _gathered(integrals, rows, steps, energies, len(braked))
