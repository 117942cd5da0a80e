"""Roots for thousands of sets of parameters that are much alike, such as the draws of a spread.

Searching the whole range for every set is thorough and slow. A few sets are searched thoroughly; they
show how many roots there are and where. Between those places the function has to change sign for every
other set too, which is checked, and there Newton's iteration needs a few steps. A set that fails a check
is searched thoroughly like the few.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from chalkwatt.algebra.solving import bracketed_roots

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from numpy.typing import NDArray

__all__ = ["alike_roots"]

_MANY = 1024  # sets; fewer are all searched
_SAMPLE = 24
_STEPS = 12
_ROOM = 2.0  # widths of a cluster of roots, left free on both sides of it
_QUADRATIC = 1e-9  # a step this small, relative, was the last: the next would be its square
_EXACT = 1e-14  # relative; a step of this size is rounding
_SMALL = 1e-9  # of the function at both ends: more than this is no root but a pole


def alike_roots(
    function: Callable[[Any, Any], Any],
    slope: Callable[[Any, Any], Any],
    size: int,
    grid: NDArray[np.float64],
    *,
    size_of: Callable[[Any, Any], Any] | None = None,
    kinks: Sequence[Callable[[Any, Any], Any]] = (),
) -> NDArray[np.float64]:
    """Find all roots, as :func:`chalkwatt.algebra.solving.bracketed_roots` does, for many sets that are alike.

    Parameters
    ----------
    function, slope : callable
        ``function(t, pick)``; ``pick`` is an index array or a slice of the sets.
    size : int
        Number of sets.
    grid : ndarray, shape (n,)
    size_of : callable, optional
    kinks : sequence of callable
        Both as for :func:`chalkwatt.algebra.solving.bracketed_roots`.

    Returns
    -------
    ndarray, shape (k, size)
        The roots in rising order, with not-a-number where there are fewer.

    Examples
    --------
    >>> import numpy as np
    >>> from chalkwatt.algebra.alike import alike_roots
    >>> c = np.linspace(1.0, 2.0, 2000)
    >>> found = alike_roots(
    ...     lambda t, pick: t * t - c[pick], lambda t, pick: 2 * t + 0 * c[pick], 2000, np.linspace(-3, 3, 13)
    ... )
    >>> found.shape, bool(np.allclose(found[1], np.sqrt(c)))
    ((2, 2000), True)
    """

    def searched(sets: NDArray[np.int_]) -> NDArray[np.float64]:
        def of(one: Callable[[Any, Any], Any]) -> Callable[[Any, Any], Any]:
            return lambda t, pick: one(t, sets[pick])

        return bracketed_roots(
            of(function),
            of(slope),
            len(sets),
            grid,
            size_of=of(size_of) if size_of else None,
            kinks=[of(one) for one in kinks],
        )

    if size < _MANY:
        return searched(np.arange(size))
    seen = searched(np.linspace(0, size - 1, _SAMPLE).astype(int))
    edges = _edges(seen, grid)
    if edges is None:
        return searched(np.arange(size))
    with np.errstate(all="ignore"):
        made, good = _newton(function, slope, size, seen=seen, edges=edges, grid=grid)
    return _mended(searched, made, good)


def _edges(seen: NDArray[np.float64], grid: NDArray[np.float64]) -> NDArray[np.float64] | None:
    """Return points between which each set should have one root; None where the sample disagrees."""
    if not np.isfinite(seen).all():
        return None
    low, high = seen.min(axis=1), seen.max(axis=1)
    room = _ROOM * float((high - low).max()) + 1e-6 * float(np.abs(seen).max())
    first = max(float(grid[0]), float(low[0]) - room)
    last = min(float(grid[-1]), float(high[-1]) + room)
    edges = np.array([first, *((high[:-1] + low[1:]) / 2), last])
    return edges if (edges[:-1] < low).all() and (high < edges[1:]).all() else None


def _newton(
    function: Callable[[Any, Any], Any],
    slope: Callable[[Any, Any], Any],
    size: int,
    *,
    seen: NDArray[np.float64],
    edges: NDArray[np.float64],
    grid: NDArray[np.float64],
) -> tuple[NDArray[np.float64], NDArray[np.bool_]]:
    everyone = slice(None)
    values = [np.broadcast_to(function(edge, everyone), (size,)) for edge in edges]
    # An odd number of further roots beyond the clusters would change the sign there.
    beyond = [np.broadcast_to(function(end, everyone), (size,)) for end in (grid[0], grid[-1])]
    good = (values[0] * beyond[0] >= 0) & (values[-1] * beyond[1] >= 0)
    made = np.empty((len(seen), size))
    for place, roots in enumerate(seen):
        left, right = values[place], values[place + 1]
        good &= left * right < 0
        t = np.full(size, float(np.median(roots)))
        step = np.full(size, np.inf)
        for _ in range(_STEPS):
            before, step = step, function(t, everyone) / slope(t, everyone)
            t = t - step
            settled = np.abs(step) <= _QUADRATIC * np.abs(t)
            if settled.all():
                break
        inside = (t > edges[place]) & (t < edges[place + 1])
        small = np.abs(function(t, everyone)) <= _SMALL * np.maximum(np.abs(left), np.abs(right))
        # Towards a root of higher order steps shrink by the same factor each time, and a small one is
        # not the last.
        size_of = np.abs(step)
        fast = (size_of <= 0.1 * np.abs(before)) | (size_of <= _EXACT * np.abs(t))
        good &= settled & inside & small & fast
        made[place] = t
    return made, good


def _mended(
    searched: Callable[[NDArray[np.int_]], NDArray[np.float64]],
    made: NDArray[np.float64],
    good: NDArray[np.bool_],
) -> NDArray[np.float64]:
    """Search thoroughly where a check failed."""
    if good.all():
        return made
    left = np.flatnonzero(~good)
    found = searched(left)
    rows = max(len(found), len(made))
    whole = np.full((rows, made.shape[1]), np.nan)
    whole[: len(made), good] = made[:, good]
    whole[: len(found), left] = found
    return whole
