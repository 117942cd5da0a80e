"""A thousand standing starts at once, as integrals over speed.

Speed only rises, and acceleration is a function of speed: the time to a speed is the integral of one over
acceleration, the distance that of speed over it. The span is cut where another limit takes over, so that
every piece is smooth; within a piece the least of all limits is taken, so a cut too many does no harm.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from chalkwatt.algebra.numpy_tree import compile_tree
from chalkwatt.algebra.trees import names
from chalkwatt.laws.relations import Relation
from chalkwatt.runs.compiled import rate_of
from chalkwatt.runs.start.vehicle import StartVehicle

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from numpy.typing import NDArray

    from chalkwatt.runs.equations import Equations

__all__ = ["to_speed"]

_NODES, _WEIGHTS = (one / 2 for one in np.polynomial.legendre.leggauss(16))
_NODES = _NODES + 0.5
_GRID = (
    np.linspace(0.0, 1.0, 65) ** 2
)  # where limits are compared, closer together where it is slow
_HALVINGS = 30  # of a grid's step: a cut that is off by 1e-10 of it costs nothing


def to_speed(
    values: Mapping[str, Any],
    speed: float | NDArray[np.float64],
    axle: str | None = None,
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return time from rest to a speed, and the distance on the way, of many vehicles.

    Parameters
    ----------
    values : mapping of str to float or ndarray, shape (n,)
        The vehicles in SI units, by the names of `standing_start`.
    speed : float or ndarray, shape (n,)
        In m/s.
    axle : str, optional
        Which wheels are driven, of all of them.

    Returns
    -------
    tuple of two ndarrays, shape (n,)
        Seconds and metres, without a rollout; NaN where the speed is never reached.

    Raises
    ------
    ChalkwattError
        As `standing_start`, for the first vehicle that cannot be run.

    Examples
    --------
    >>> import numpy as np
    >>> from chalkwatt.runs.start.quadrature import to_speed
    >>> car = {"motor_power": 120e3, "friction": 0.9, "driven_weight_share": 0.5,
    ...        "rolling_coefficient": 0.01, "drag_area": 0.6, "air_density": 1.2,
    ...        "drive_efficiency": 1.0, "rotating_mass_factor": 1.0, "auxiliary_power": 0.0,
    ...        "gravity": 9.80665, "mass": np.array([1200.0, 1500.0])}
    >>> to_speed(car, 100 / 3.6)[0].round(2).tolist()
    [6.71, 7.2]
    """
    size = max(np.size(one) for one in (*values.values(), speed))
    columns = {name: np.broadcast_to(one, size).astype(float) for name, one in values.items()}
    speeds = np.broadcast_to(speed, size).astype(float)
    alike: dict[Equations, list[int]] = {}
    first: dict[Equations, StartVehicle] = {}
    for place in range(size):
        car = StartVehicle({name: float(one[place]) for name, one in columns.items()}, axle)
        alike.setdefault(car.equations, []).append(place)
        first.setdefault(car.equations, car)
    made = np.empty((2, size))
    for laws, places in alike.items():
        some = {name: one[places][:, None] for name, one in columns.items()}
        made[:, places] = _integrated(first[laws], some, speeds[places][:, None])
    return made[0], made[1]


def _integrated(
    car: StartVehicle, values: dict[str, NDArray[np.float64]], speed: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Integrate for vehicles with the same equations: a row a vehicle."""
    here = dict(values)
    with np.errstate(all="ignore"):
        for line in car.equations.lines:
            if isinstance(line, Relation):
                left, right = car.equations.sides(line)
                if isinstance(left, str) and here.keys() >= {*names(right)}:
                    here[left] = np.asarray(compile_tree(right)(here))
        limits = [compile_tree(tree) for tree in car.forces.values()]
        by_force = compile_tree(car.acceleration_by_force)
        rates = (rate_of(car.equations, one) for one in ("speed", "sprint_distance"))
        speeding, going = (compile_tree(tree) for tree in rates)

        def allowed(at: NDArray[np.float64]) -> NDArray[np.float64]:
            now = {**here, "speed": at}
            return np.stack([np.broadcast_to(limit(now), at.shape) for limit in limits])

        ends = np.sort(np.hstack([np.zeros_like(speed), _cuts(allowed, speed), speed]), axis=1)
        low, width = ends[:, :-1, None], np.diff(ends, axis=1)[..., None]
        at = (low + width * _NODES).reshape(len(speed), -1)
        weights = np.broadcast_to(width * _WEIGHTS, (*low.shape[:2], len(_NODES)))
        weights = weights.reshape(at.shape)

        def gain(at: NDArray[np.float64]) -> NDArray[np.float64]:
            now = {**here, "speed": at, "drive_force": allowed(at).min(axis=0)}
            return np.asarray(speeding({**now, "acceleration": by_force(now)}))

        gained = gain(at)
        reached = (gained > 0).all(axis=1) & (gain(speed) > 0)[:, 0]
        time = (weights / gained).sum(axis=1)
        distance = (weights * going({**here, "speed": at}) / gained).sum(axis=1)
    return np.where(reached, np.stack([time, distance]), np.nan)


def _cuts(
    allowed: Callable[[NDArray[np.float64]], NDArray[np.float64]], speed: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Return where the least limit changes; a vehicle with fewer cuts has its last speed again."""
    grid = speed * _GRID
    least = allowed(grid).argmin(axis=0)
    rows, places = np.nonzero(np.diff(least, axis=1))
    if not len(rows):
        return np.empty((len(speed), 0))
    # The cuts of a vehicle side by side, all halved at once.
    order = np.arange(len(rows)) - np.searchsorted(rows, rows)
    shape = len(speed), int(order.max()) + 1
    low, high = (np.broadcast_to(speed, shape).copy() for _ in range(2))
    before = np.zeros(shape, dtype=int)
    low[rows, order], high[rows, order] = grid[rows, places], grid[rows, places + 1]
    before[rows, order] = least[rows, places]
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        still = allowed(middle).argmin(axis=0) == before
        low, high = np.where(still, middle, low), np.where(still, high, middle)
    return (low + high) / 2
