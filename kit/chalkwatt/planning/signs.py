"""Signs: what can be said of a tree from the bounds of its quantities alone.

A relation that holds both ways, such as the power between battery and wheels, is written with the
greater of two terms. Where the bounds already say which of them it is, as on a level road, a reader
should not be bothered with the other.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from chalkwatt.algebra.operations import OPERATIONS
from chalkwatt.algebra.trees import Tree, negative, plus, times
from chalkwatt.laws.quantities import look_up
from chalkwatt.planning.folding import rebuilt

if TYPE_CHECKING:
    from collections.abc import Collection

__all__ = ["never_negative", "settled", "surely_inside"]


def never_negative(tree: Tree, proven: Collection[str] = ()) -> bool:
    """Say whether a tree cannot be negative, whatever physical values its quantities take.

    Parameters
    ----------
    tree : Tree
    proven : collection of str
        Names of signed quantities that are known not to be negative here.

    Returns
    -------
    bool
        False also where it only cannot be told.

    Examples
    --------
    >>> from chalkwatt.planning.signs import never_negative
    >>> never_negative(("*", "rolling_force", "speed"))
    True
    >>> never_negative(("+", "rolling_force", "grade_force"))
    False
    """
    if isinstance(tree, str):
        return tree in proven or look_up(tree).positive
    if not isinstance(tree, tuple):
        return bool(tree >= 0)
    operation, *parts = tree
    if operation == "cos" and isinstance(parts[0], str):
        return max(map(abs, look_up(parts[0]).bounds)) <= math.pi / 2
    row = OPERATIONS[str(operation)]
    if row.never_negative or (operation == "^" and _even(parts[1])):
        return True
    signs = (never_negative(part, proven) for part in parts)
    if operation == "max":
        return any(signs)
    return next(signs) if operation == "^" else row.keeps_sign and all(signs)


def surely_inside(name: str, tree: Tree) -> bool:
    """Say whether a formula gives a physical value, whatever physical values its quantities take.

    Parameters
    ----------
    name : str
        The quantity that it gives.
    tree : Tree

    Returns
    -------
    bool
        False also where it only cannot be told.

    Examples
    --------
    >>> from chalkwatt.planning.signs import surely_inside
    >>> surely_inside("effective_mass", ("*", "rotating_mass_factor", "mass"))
    True
    >>> surely_inside("consumption", ("/", "battery_power", "speed"))
    False
    """
    entry = look_up(name)
    low, high = entry.bounds
    if isinstance(tree, tuple) and tree[0] == "atan":
        return low <= -math.pi / 2 and high >= math.pi / 2 and _never_endless(tree[1])
    if high != math.inf or (low > 0 or (low == 0 and not never_negative(tree))):
        return False
    above = low == 0 and entry.open_bounds[0]
    return _never_nought(tree) if above else _never_endless(tree)


def _never_nought(tree: Tree) -> bool:
    """Say whether a tree of positive quantities is above nought, and a number."""
    if isinstance(tree, str):
        entry = look_up(tree)
        return entry.bounds[0] > 0 or (entry.bounds[0] == 0 and entry.open_bounds[0])
    if not isinstance(tree, tuple):
        return bool(tree > 0)
    if tree[0] == "^":
        return _never_nought(tree[1])
    return OPERATIONS[str(tree[0])].above_zero and all(map(_never_nought, tree[1:]))


def _never_endless(tree: Tree) -> bool:
    """Say whether a tree is a number whatever its quantities are: it divides by nothing that may be nought."""
    if not isinstance(tree, tuple):
        return True
    if tree[0] == "/":
        return _never_endless(tree[1]) and _never_nought(tree[2])
    if tree[0] == "^":
        return isinstance(tree[2], int) and tree[2] > 0 and _never_endless(tree[1])
    return OPERATIONS[str(tree[0])].finite and all(map(_never_endless, tree[1:]))


def settled(tree: Tree, proven: Collection[str] = ()) -> Tree:
    """Leave out of every greatest of several what the bounds alone rule out.

    Parameters
    ----------
    tree : Tree
    proven : collection of str
        Names of signed quantities that are known not to be negative here.

    Returns
    -------
    Tree

    Examples
    --------
    >>> from chalkwatt.planning.signs import settled
    >>> settled(("max", ("/", "wheel_power", "drive_efficiency"), 0), {"wheel_power"})
    ('/', 'wheel_power', 'drive_efficiency')
    >>> settled(("max", ("/", "wheel_power", "drive_efficiency"), 0))
    ('max', ('/', 'wheel_power', 'drive_efficiency'), 0)
    >>> settled(("+", "mass", ("^", ("max", ("-", "mass"), 0), 2)))
    'mass'
    """
    if not isinstance(tree, tuple):
        return tree
    parts = [settled(part, proven) for part in tree[1:]]
    gone = any(part == 0 and part != before for part, before in zip(parts, tree[1:], strict=True))
    if tree[0] == "max":
        left = list(parts)
        for part in parts:
            if len(left) > 1 and any(_not_below(o, part, proven) for o in left if o is not part):
                left = [one for one in left if one is not part]
        return left[0] if len(left) == 1 else ("max", *left)
    if gone:
        return rebuilt(str(tree[0]), parts)
    if tree[0] == "*":
        return times(parts)
    return plus(parts) if tree[0] == "+" else (tree[0], *parts)


def _not_below(high: Tree, low: Tree, proven: Collection[str]) -> bool:
    """Say whether one term is never less than another: what they share, times and over shares."""
    if low == 0:
        return never_negative(high, proven)
    if high == 0:
        return never_negative(negative(low), proven)
    over, under = _factors(high)
    low_over, low_under = _factors(low)
    common = [one for one in low_over if one in over]
    for one in common:
        over.remove(one)
        low_over.remove(one)
    return (
        not over
        and not low_under
        and all(_share(one) for one in (*under, *low_over))
        and all(never_negative(one, proven) for one in common)
    )


def _even(exponent: Tree) -> bool:
    return isinstance(exponent, int) and exponent % 2 == 0


def _factors(tree: Tree) -> tuple[list[Tree], list[Tree]]:
    if isinstance(tree, tuple) and tree[0] == "/":
        over, over_under = _factors(tree[1])
        under, under_under = _factors(tree[2])
        return [*over, *under_under], [*over_under, *under]
    if isinstance(tree, tuple) and tree[0] == "*":
        pairs = [_factors(part) for part in tree[1:]]
        return [o for pair in pairs for o in pair[0]], [u for pair in pairs for u in pair[1]]
    return [tree], []


def _share(tree: Tree) -> bool:
    return isinstance(tree, str) and look_up(tree).positive and look_up(tree).bounds[1] <= 1
