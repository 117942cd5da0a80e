"""Solving: every real root between two bounds, to full double precision, over whole arrays.

Closed forms lose digits where terms cancel; each root found here is polished by Newton's iteration,
which needs a step or two and costs little.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from numpy.typing import NDArray

    from chalkwatt.wording.given import Floats

__all__ = ["bracketed_roots", "cubic_roots", "quadratic_roots", "search_grid"]

_DOUBLE = 1 - 1e-4  # of the largest ratio that has three roots; closer to it two of them meet
_TOUCH = 1e-11  # relative; by so much rounding may part two roots that meet from one another
_THIRD_TURN = 2 * np.pi / 3
_SMALL = 1e-6  # of its terms: a function that is no smaller than this is not nought
_BESIDE = (1e-12, 1e-9, 1e-7, 1e-5, 1e-4, 1e-3, 3e-3, 0.01, 0.02, 0.04, 0.08, 0.15, 0.3)
# Of the width of the search: a kink closer to nought than this has the room of one there.
_NEAREST = 1e-6
_FLAT = 1e-13  # of its terms: a function this small all along a stretch is nought there
_SUSPECT = 1e-9  # of its terms: smaller than this at two points, it may be
_WIDE = 1e-3  # of its farther end: a narrower stretch is one root that a high power makes flat
_NOISE = 8.0  # times the scatter of the function between neighbouring numbers
_SNAP = 1e-3  # relative: a stretch whose end lies this close to a kink ends at it


def _newton(
    a: NDArray[np.float64], b: NDArray[np.float64], c: NDArray[np.float64], t: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Take one Newton step on a t³ + b t = c where it is small enough to be a correction."""
    square = a * t * t
    step = ((square + b) * t - c) / (3 * square + b)
    return np.where(np.abs(step) <= 1e-3 * np.abs(t), t - step, t)


def _one_root(a: Floats, b: Floats, c: Floats) -> Floats:
    """Root of a t³ + b t = c for a > 0 and b > 0 (one real root, hyperbolic form)."""
    third = np.sqrt(b / (3 * a))
    t = np.sinh(np.arcsinh(1.5 * c / (b * third)) / 3)
    t *= 2 * third
    square = a * t * t
    step = square + b
    step *= t
    step -= c
    square *= 3
    square += b
    step /= square
    t -= step
    return t


def _three_roots(a: Floats, b: Floats, c: Floats) -> NDArray[np.float64] | None:
    """Roots of a t³ + b t = c for a > 0 and b < 0 where all sets have three (trigonometric form)."""
    third = np.sqrt(-b / (3 * a))
    product = c / a
    ratio = product / (2 * third * third * third)
    if not np.all(np.abs(ratio) < _DOUBLE):
        return None
    angle = np.arccos(ratio) / 3
    outer = third * np.cos(angle)
    other = third * np.sin(angle)
    other *= -math.sqrt(3)
    other -= outer
    outer *= 2
    # The middle root may be far smaller than the outer two; their product keeps all its digits.
    roots = np.stack([other, product / (other * outer), outer])
    for _ in range(2):
        square = roots * roots
        square *= a
        slope = 3 * square
        slope += b
        square += b
        square *= roots
        square -= c
        square /= slope
        roots -= square
    return roots


def cubic_roots(a: Floats, b: Floats, c: Floats) -> NDArray[np.float64]:
    """Find all real roots of ``a t³ + b t = c``.

    Parameters
    ----------
    a, b, c : float or ndarray
        Coefficients; they broadcast.

    Returns
    -------
    ndarray, shape (1, ...) or (3, ...)
        The roots along the first axis in rising order, with not-a-number where there are fewer.

    Notes
    -----
    Viète's trigonometric and hyperbolic forms, polished by Newton's iteration. For a, b > 0 the
    root is ``2 √(b/3a) sinh(asinh(c √(27 a / b³) / 2) / 3)``.

    Examples
    --------
    >>> from chalkwatt.algebra.solving import cubic_roots
    >>> cubic_roots(1.0, -7.0, -6.0).round(12).tolist()
    [-3.0, 1.0, 2.0]
    >>> cubic_roots(0.4, 150.0, 12_000.0).round(3).tolist()
    [27.075]
    """
    with np.errstate(all="ignore"):
        if np.all(np.greater(a, 0)) and np.all(np.greater(b, 0)):
            # Guards: where the closed form over- or underflows, one of the two terms is negligible.
            t = _one_root(a, b, c)
            if np.all(np.isfinite(t)):
                return np.asarray(t)[np.newaxis]
        if np.all(np.greater(a, 0)) and np.all(np.less(b, 0)):
            three = _three_roots(a, b, c)
            if three is not None:
                return three
        return _every_root(
            *np.broadcast_arrays(*(np.asarray(one, dtype=float) for one in (a, b, c)))
        )


def _every_root(
    a: NDArray[np.float64], b: NDArray[np.float64], c: NDArray[np.float64]
) -> NDArray[np.float64]:
    flip = np.where(a < 0, -1.0, 1.0)
    a, b, c = a * flip, b * flip, c * flip
    roots = np.full((3, *a.shape), np.nan)
    linear = a == 0
    roots[0] = np.where(linear & (b != 0), c / b, roots[0])
    p, q = b / a, c / a
    cube = ~linear & ((p == 0) | ~np.isfinite(p * p * p))
    # p overflows: t = c / b holds to the last bit; p vanishes: t = ∛q does.
    roots[0] = np.where(cube, np.where(p == 0, np.cbrt(q), c / b), roots[0])
    up = ~linear & ~cube & (p > 0)
    third = np.sqrt(np.abs(p) / 3)
    ratio = q / (2 * third * third * third)
    hyperbolic = 2 * third * np.sinh(np.arcsinh(ratio) / 3)
    # ratio overflows when p is negligible beside q.
    hyperbolic = np.where(np.isfinite(hyperbolic), hyperbolic, np.cbrt(q))
    roots[0] = np.where(up, hyperbolic, roots[0])
    down = ~linear & ~cube & (p < 0)
    far = down & ~(np.abs(ratio) <= 1 + _TOUCH)
    meeting = down & ~far & (np.abs(ratio) >= 1)  # two of three roots are one
    lone = np.sign(q) * 2 * third * np.cosh(np.arccosh(np.abs(ratio)) / 3)
    roots[0] = np.where(far, np.where(np.isfinite(lone), lone, np.cbrt(q)), roots[0])
    angle = np.arccos(np.clip(ratio, -1, 1)) / 3
    roots[2] = np.where(down & ~far, 2 * third * np.cos(angle), roots[2])
    roots[0] = np.where(down & ~far, 2 * third * np.cos(angle + _THIRD_TURN), roots[0])
    # The middle root may be far smaller than the outer two; a sine keeps all its digits.
    roots[1] = np.where(
        down & ~far, -2 * third * np.sin(np.arcsin(np.clip(ratio, -1, 1)) / 3), roots[1]
    )
    roots[0] = np.where(meeting, np.sign(q) * 2 * third, roots[0])
    roots[2] = np.where(meeting, np.nan, roots[2])
    for _ in range(3):
        roots = _newton(a, b, c, roots)
    # Where the slope is nought, too, Newton's iteration leads nowhere.
    roots[1] = np.where(meeting, -np.sign(q) * third, roots[1])
    roots.sort(axis=0)
    return roots


def quadratic_roots(a: Floats, b: Floats, c: Floats) -> NDArray[np.float64]:
    """Find all real roots of ``a t² + b t = c`` without cancellation.

    Parameters
    ----------
    a, b, c : float or ndarray
        Coefficients; they broadcast.

    Returns
    -------
    ndarray, shape (2, ...)
        The roots along the first axis in rising order, with not-a-number where there are fewer.

    Examples
    --------
    >>> from chalkwatt.algebra.solving import quadratic_roots
    >>> quadratic_roots(1.0, -3.0, -2.0).tolist()
    [1.0, 2.0]
    """
    a, b, c = np.broadcast_arrays(*(np.asarray(one, dtype=float) for one in (a, b, c)))
    with np.errstate(all="ignore"):
        inside = b * b + 4 * a * c
        # A discriminant that is zero but for rounding is a double root.
        meeting = (inside < 0) & (inside >= -_TOUCH * b * b)
        inside = np.where(meeting, 0.0, inside)
        big = -(b + np.where(b < 0, -1.0, 1.0) * np.sqrt(inside)) / 2
        first = np.where(a == 0, c / b, big / a)
        second = np.where((a == 0) | meeting, np.nan, -c / big)
        second = np.where((big == 0) & (a != 0), 0.0, second)
    roots = np.stack([first, second])
    roots.sort(axis=0)
    return roots


def search_grid(bounds: tuple[float, float], usual: tuple[float, float]) -> NDArray[np.float64]:
    """Return the points between which roots are looked for.

    Parameters
    ----------
    bounds : tuple of two floats
        Physical bounds; infinite ones are searched to 10⁴ times the usual range.
    usual : tuple of two floats
        The usual range, which is searched more closely.

    Returns
    -------
    ndarray, shape (n,)
        Rising points within the bounds: evenly over the bounds and over the usual range, and
        logarithmically towards zero.
    """
    scale = max(abs(usual[0]), abs(usual[1])) or 1.0
    low = max(bounds[0], -1e4 * scale)
    high = min(bounds[1], 1e4 * scale)
    powers = scale * np.logspace(-9, 4, 53)
    points = np.concatenate(
        [np.linspace(low, high, 33), np.linspace(*usual, 33), -powers, [0.0], powers]
    )
    return np.unique(points[(points >= low) & (points <= high)])


def bracketed_roots(
    function: Callable[[Any, Any], Any],
    slope: Callable[[Any, Any], Any],
    size: int,
    grid: NDArray[np.float64],
    *,
    size_of: Callable[[Any, Any], Any] | None = None,
    kinks: Sequence[Callable[[Any, Any], Any]] = (),
) -> NDArray[np.float64]:
    """Find all roots of a function of one unknown, for many sets of parameters at once.

    Parameters
    ----------
    function, slope : callable
        ``function(t, pick)`` gives the value, ``slope(t, pick)`` its derivative; ``pick`` indexes
        the parameter sets and has the shape of the last axis of ``t``.
    size : int
        Number of parameter sets.
    grid : ndarray, shape (n,)
        Where to look for changes of sign of the function and of its slope.
    size_of : callable, optional
        ``size_of(t, pick)`` gives how large the terms of the function are. A change of sign counts
        as a root where the function is small beside them: at a pole, and at a jump, it is not.
    kinks : sequence of callable
        Functions that are nought where the function bends sharply. The search is split there,
        and looks more closely beside it.

    Returns
    -------
    ndarray, shape (k, size)
        The roots in rising order, with not-a-number where there are fewer than ``k``.

    Examples
    --------
    >>> import numpy as np
    >>> from chalkwatt.algebra.solving import bracketed_roots
    >>> bracketed_roots(
    ...     lambda t, pick: 1 / (t - 2), lambda t, pick: -1 / (t - 2) ** 2, 1, np.linspace(0, 9, 8),
    ...     size_of=lambda t, pick: abs(1 / (t - 2)),
    ... ).tolist()
    [[nan]]
    """
    everyone = np.arange(size)
    with np.errstate(all="ignore"):
        bends = _bends(grid, kinks, size)
        points = _split(grid, bends, size)
        values = np.broadcast_to(function(points, everyone), (len(points), size))
        borders = _borders(function, values, np.broadcast_to(points, values.shape))
        if borders is not None:
            points = np.sort(
                np.concatenate([np.broadcast_to(points, values.shape), borders]), axis=0
            )
            values = function(points, everyone)
        shape = (len(points), size)
        values = np.broadcast_to(values, shape)
        slopes = np.broadcast_to(slope(points, everyone), shape)
        points = np.broadcast_to(points, shape)
        ends = _brackets(function, slope, values, slopes, points, size_of=size_of)
        low, high, who, start = ends
        found = _refined(function, slope, low, high, who, start=start)
        # A pole changes sign too, but there the function grows without end.
        around = np.abs([function(t, who) for t in (low, (low + high) / 2, high)])
        left = np.abs(function(found, who))
        real = (left <= around.max(axis=0)) & np.isfinite(left)  # endless beside endless is a pole
        if size_of is not None:
            # Nor does it count where rounding alone moves the function by more than that.
            size_there = _SMALL * np.abs(size_of(found, who))
            real &= (left <= size_there) & (_scatter(function, found, who) <= size_there)
            flat = _flat(function, size_of, points, values)
            if flat is not None:
                first, last, whose = _stretches(function, size_of, points, flat, bends)
                for one, other, place in zip(first, last, whose, strict=True):
                    # Close to its ends rounding makes roots, too.
                    low, high = one - _SNAP * abs(one), other + _SNAP * abs(other)
                    real &= ~((who == place) & (found >= low) & (found <= high))
                # An end of the search is no end of a stretch.
                begins, ceases = first > grid[0], last < grid[-1]
                found = np.concatenate([found[real], first[begins], last[ceases]])
                who = np.concatenate([who[real], whose[begins], whose[ceases]])
                real = np.ones(len(found), dtype=bool)
    return _table(found[real], who[real], size)


def _borders(
    function: Callable[[Any, Any], Any],
    values: NDArray[np.float64],
    points: NDArray[np.float64],
) -> NDArray[np.float64] | None:
    """Find the last points at which the function still has a value, next to where it has none.

    Between such a point and the grid's next one a root would be missed.
    """
    has = np.isfinite(values)
    place, who = np.nonzero(has[:-1] != has[1:])
    if not len(place):
        return None
    left = has[place, who]
    inside = np.where(left, points[place, who], points[place + 1, who])
    outside = np.where(left, points[place + 1, who], points[place, who])
    for _ in range(60):
        middle = (inside + outside) / 2
        here = np.isfinite(function(middle, who))
        inside, outside = np.where(here, middle, inside), np.where(here, outside, middle)
    return _filled(_table(inside, who, values.shape[1]), points[0])


def _filled(table: NDArray[np.float64], instead: Floats) -> NDArray[np.float64]:
    return np.where(np.isnan(table), instead, table)


def _scatter(
    function: Callable[[Any, Any], Any], points: NDArray[np.float64], who: NDArray[np.int_]
) -> NDArray[np.float64]:
    """Return how far a function moves from a number to the ones next to it."""
    value = function(points, who)
    scatter = np.zeros(np.shape(points))
    for step in (-3, -2, -1, 1, 2, 3):
        near = function(points + step * np.spacing(points), who)
        scatter = np.fmax(scatter, np.abs(near - value))
    return scatter


def _is_nought(
    function: Callable[[Any, Any], Any],
    size_of: Callable[[Any, Any], Any],
    points: NDArray[np.float64],
    who: NDArray[np.int_],
) -> NDArray[np.bool_]:
    """Say where a function is nought as far as its rounding lets one see."""
    value = function(points, who)
    size = np.abs(size_of(points, who))
    noise = _NOISE * _scatter(function, points, who)
    small = np.abs(value) <= np.maximum(_FLAT * size, noise)
    # Endless terms are no measure: where a function has no end it is not nought.
    return np.asarray(small & (np.abs(value) <= _SUSPECT * size) & np.isfinite(size))


def _flat(
    function: Callable[[Any, Any], Any],
    size_of: Callable[[Any, Any], Any],
    points: NDArray[np.float64],
    values: NDArray[np.float64],
) -> NDArray[np.bool_] | None:
    """Say of each pair of neighbouring points whether the function is nought from one to the other."""
    small = np.isfinite(values) & (
        np.abs(values) <= _SUSPECT * np.abs(size_of(points, np.arange(values.shape[1])))
    )
    pairs = small[:-1] & small[1:] & (points[1:] > points[:-1])
    columns = np.nonzero(pairs.any(axis=0))[0]
    if not len(columns):
        return None
    here = points[:, columns]
    nought = _is_nought(function, size_of, here, columns)
    between = _is_nought(function, size_of, (here[:-1] + here[1:]) / 2, columns)
    made = np.zeros(pairs.shape, dtype=bool)
    made[:, columns] = pairs[:, columns] & nought[:-1] & nought[1:] & between
    return made if made.any() else None


def _stretches(
    function: Callable[[Any, Any], Any],
    size_of: Callable[[Any, Any], Any],
    points: NDArray[np.float64],
    flat: NDArray[np.bool_],
    bends: NDArray[np.float64] | None,
) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.int_]]:
    """Return the ends of every stretch on which the function is nought, and whose it is."""
    padded = np.pad(flat, ((1, 1), (0, 0)))
    # Points of one place stand twice in the grid: they do not part a stretch.
    same = np.pad(points[1:] == points[:-1], ((1, 1), (0, 0)))
    for _ in range(2):
        padded[1:] |= same[1:] & padded[:-1]
        padded = padded[::-1]
        same = same[::-1]
    place, who = np.nonzero((~padded[:-1] & padded[1:]).T)[::-1]
    finish, _ = np.nonzero((padded[:-1] & ~padded[1:]).T)[::-1]
    last_row = len(points) - 1
    low, high = points[place, who], points[np.minimum(finish, last_row), who]
    wide = high - low > _WIDE * np.maximum(np.abs(low), np.abs(high))
    scale = max(abs(float(points.min())), abs(float(points.max())))
    wide &= np.maximum(np.abs(low), np.abs(high)) > _NEAREST * scale
    place, finish, who = place[wide], finish[wide], who[wide]
    low, high = low[wide], high[wide]
    ends = []
    for inside, outside, way in (
        (low, points[np.maximum(place - 1, 0), who], -1.0),
        (high, points[np.minimum(finish + 1, last_row), who], 1.0),
    ):
        edge, beyond = inside, outside
        for _ in range(60):
            middle = (edge + beyond) / 2
            here = _is_nought(function, size_of, middle, who)
            edge, beyond = np.where(here, middle, edge), np.where(here, beyond, middle)
        if bends is not None:
            edge = _snapped(edge, bends[:, who])
        # Where only rounding lifts it, and hardly, the stretch goes on.
        probe = np.clip(edge + way * _BESIDE[-1] * np.abs(edge), points.min(), points.max())
        there = function(probe, who)
        lifted = np.isfinite(there) & (np.abs(there) <= _SUSPECT * np.abs(size_of(probe, who)))
        ends.append(np.where(lifted, way * np.inf, edge))
    return ends[0], ends[1], who


def _snapped(ends: NDArray[np.float64], bends: NDArray[np.float64]) -> NDArray[np.float64]:
    """Move the end of a stretch, which rounding blurs, to the kink at which it begins."""
    off = np.abs(bends - ends)
    nearest = _filled(off, np.inf).argmin(axis=0)
    bend, off = (one[nearest, np.arange(len(ends))] for one in (bends, off))
    return np.where(off <= _SNAP * np.abs(ends), bend, ends)


def _bends(
    grid: NDArray[np.float64], kinks: Sequence[Callable[[Any, Any], Any]], size: int
) -> NDArray[np.float64] | None:
    """Find the kinks, a row for each, with not-a-number where a set has fewer.

    Where one kink has another inside it, it may turn twice beside that one and between two points of
    the grid: so it is looked for again among the points around those found.
    """
    found = _crossings(grid[:, None], kinks, size)
    if found is None or len(kinks) == 1:
        return found
    return _crossings(_split(grid, found, size), kinks, size)


def _crossings(
    points: NDArray[np.float64], kinks: Sequence[Callable[[Any, Any], Any]], size: int
) -> NDArray[np.float64] | None:
    """Find where kinks are nought at a point or change sign between two of them."""
    everyone = np.arange(size)
    points = np.broadcast_to(points, (len(points), size))
    again = np.pad(points[1:] == points[:-1], ((1, 0), (0, 0)))  # a point that stands twice
    found = []
    for kink in kinks:
        sign = np.sign(np.broadcast_to(kink(points, everyone), points.shape))
        place, who = np.nonzero(sign[:-1] * sign[1:] < 0)
        if len(place):
            crossing = _bisected(kink, points[place, who], points[place + 1, who], who)
            found += list(_table(crossing, who, size))
        place, who = np.nonzero((sign == 0) & ~again)
        if len(place):
            found += list(_table(points[place, who], who, size))
    return np.stack(found) if found else None


def _split(
    grid: NDArray[np.float64], bends: NDArray[np.float64] | None, size: int
) -> NDArray[np.float64]:
    """Add to the grid every kink, the points just beside it, and ever closer ones around it."""
    points = grid[:, None]
    if bends is None:
        return points
    scale = float(np.abs(grid).max())
    reach = np.maximum(np.abs(bends), _NEAREST * scale)
    around = [bends + side * width * reach for width in _BESIDE for side in (-1, 1)]
    made = np.concatenate([np.broadcast_to(points, (len(points), size)), bends, *around])
    # Where a set has no such kink, or a point would lie beyond the ends, an end stands twice.
    made = np.where(np.isnan(made), grid[0], np.clip(made, grid[0], grid[-1]))
    return np.asarray(np.sort(made, axis=0))


def _brackets(
    function: Callable[[Any, Any], Any],
    slope: Callable[[Any, Any], Any],
    values: NDArray[np.float64],
    slopes: NDArray[np.float64],
    points: NDArray[np.float64],
    *,
    size_of: Callable[[Any, Any], Any] | None,
) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.int_], NDArray[np.float64]]:
    """Return low end, high end, parameter set and sign at the low end of every bracket."""
    sign = np.sign(values)
    # Just beside a root on the grid, the slope says what sign the function has.
    after = np.where(sign == 0, np.sign(slopes), sign)[:-1]
    before = np.where(sign == 0, -np.sign(slopes), sign)[1:]
    apart = points[1:] > points[:-1]
    place, who = np.nonzero((after * before < 0) & apart)
    low, high = [points[place, who]], [points[place + 1, who]]
    pick, start = [who], [after[place, who]]
    place, who = np.nonzero((sign == 0) & np.vstack([np.ones_like(apart[:1]), apart]))
    low.append(points[place, who])
    high.append(points[place, who])
    pick.append(who)
    start.append(np.zeros(len(who)))
    # A turning point between two values of one sign may hide two roots.
    turns = (sign[:-1] * sign[1:] > 0) & (np.sign(slopes[:-1]) * np.sign(slopes[1:]) < 0)
    turns &= np.sign(slopes[:-1]) == -sign[:-1]
    place, who = np.nonzero(turns)
    if len(place):
        left, right = points[place, who], points[place + 1, who]
        top = _bisected(slope, left, right, who)
        there = function(top, who)
        crossed = np.sign(there) == -sign[place, who]
        ends = np.maximum(np.abs(values[place, who]), np.abs(values[place + 1, who]))
        # A double root but for rounding.
        touched = ~crossed & _is_nought(function, size_of or (lambda *_: ends), top, who)
        low += [left[crossed], top[crossed], top[touched]]
        high += [top[crossed], right[crossed], top[touched]]
        pick += [who[crossed], who[crossed], who[touched]]
        start += [sign[place, who][crossed], np.sign(there[crossed]), np.sign(there[touched])]
    # It falls between two points at which it rises: something is hidden there, look closer.
    rise = np.sign(slopes[:-1])
    hiding = (sign[:-1] * sign[1:] > 0) & (rise * np.sign(slopes[1:]) > 0)
    hiding &= np.sign(np.diff(values, axis=0)) == -rise
    place, who = np.nonzero(hiding)
    if len(place):
        left, right = points[place, who], points[place + 1, who]
        closer = left + np.linspace(0, 1, 33)[:, None] * (right - left)
        inner = np.sign(function(closer, who))
        row, column = np.nonzero(inner[:-1] * inner[1:] < 0)
        low.append(closer[row, column])
        high.append(closer[row + 1, column])
        pick.append(who[column])
        start.append(inner[row, column])
    return np.concatenate(low), np.concatenate(high), np.concatenate(pick), np.concatenate(start)


def _bisected(
    slope: Callable[[Any, Any], Any],
    low: NDArray[np.float64],
    high: NDArray[np.float64],
    who: NDArray[np.int_],
) -> NDArray[np.float64]:
    start = np.sign(slope(low, who))
    for _ in range(60):
        middle = (low + high) / 2
        same = np.sign(slope(middle, who)) == start
        low, high = np.where(same, middle, low), np.where(same, high, middle)
    return (low + high) / 2


def _refined(
    function: Callable[[Any, Any], Any],
    slope: Callable[[Any, Any], Any],
    low: NDArray[np.float64],
    high: NDArray[np.float64],
    who: NDArray[np.int_],
    *,
    start: NDArray[np.float64],
) -> NDArray[np.float64]:
    """Newton's iteration kept inside a shrinking bracket; bisection wherever it would leave."""
    if not len(low):
        return low
    t = (low + high) / 2
    for _ in range(200):
        value = function(t, who)
        same = np.sign(value) == start
        low, high = np.where(same, t, low), np.where(same, high, t)
        moved = t - value / slope(t, who)
        inside = (moved > low) & (moved < high)
        new = np.where(value == 0, t, np.where(inside, moved, (low + high) / 2))
        done = np.abs(new - t) <= 2 * np.spacing(np.abs(t))
        t = new
        if done.all():
            break
    return t


def _table(found: NDArray[np.float64], who: NDArray[np.int_], size: int) -> NDArray[np.float64]:
    counts = np.bincount(who, minlength=size)
    roots = np.full((max(1, int(counts.max(initial=0))), size), np.nan)
    order = np.lexsort((found, who))
    found, who = found[order], who[order]
    first = np.concatenate([[0], np.cumsum(counts)[:-1]])
    roots[np.arange(len(who)) - first[who], who] = found
    return roots
