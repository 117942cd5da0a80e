"""Folding zeros away: what a relation looks like on a level road without wind.

A standing value of exactly nothing (no grade, no wind, sea level) is not carried through the
equations as a nought; the term that it switches off is left out, as a textbook would leave it out.
So is a limit that nothing is said of: the least of several limits is found without it.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from chalkwatt.algebra.operations import FUNCTIONS
from chalkwatt.algebra.trees import Tree, negative, plus, quotient, times
from chalkwatt.laws.quantities import look_up

if TYPE_CHECKING:
    from collections.abc import Collection

__all__ = ["fold", "rebuilt"]


def fold(tree: Tree, zeros: Collection[str], endless: Collection[str] = ()) -> Tree:
    """Simplify a tree in which some quantities are exactly zero.

    Parameters
    ----------
    tree : Tree
    zeros : collection of str
        Names of the quantities that are zero.
    endless : collection of str
        Names of the limits that are not there; each counts as infinite.

    Returns
    -------
    Tree
        The same tree if none of them occurs.

    Examples
    --------
    >>> from chalkwatt.planning.folding import fold
    >>> fold(("*", "mass", "gravity", ("cos", "grade_angle")), {"grade_angle"})
    ('*', 'mass', 'gravity')
    """
    if isinstance(tree, str):
        return 0 if tree in zeros else math.inf if tree in endless else tree
    if not isinstance(tree, tuple):
        return tree
    before = tree[1:]
    parts = [fold(part, zeros, endless) for part in before]
    if list(before) == parts:
        return tree
    return rebuilt(str(tree[0]), parts)


def rebuilt(operation: str, parts: list[Tree]) -> Tree:
    """Return an operation on parts of which some have become nought, or endless.

    Parameters
    ----------
    operation : str
    parts : list of Tree

    Returns
    -------
    Tree

    Examples
    --------
    >>> from chalkwatt.planning.folding import rebuilt
    >>> rebuilt("/", [0, "mass"])
    0
    """
    if operation == "max" and ("-", math.inf) in parts:
        # What is below everything is never the greatest of several.
        parts = [part for part in parts if part != ("-", math.inf)]
        return parts[0] if len(parts) == 1 else rebuilt(operation, parts)
    if operation == "+" and ("-", math.inf) in parts:
        return ("-", math.inf)
    if math.inf in parts:
        return _without_limit(operation, parts)
    return _switched_off(operation, parts)


def _without_limit(operation: str, parts: list[Tree]) -> Tree:
    """Simplify an operation on something that is infinite; all else in it is positive."""
    if operation == "min":
        left = [part for part in parts if part != math.inf]
        return math.inf if not left else left[0] if len(left) == 1 else ("min", *left)
    if operation == "*" and 0 in parts:
        return 0
    if operation == "/" and parts[1] == math.inf:
        return 0
    if operation == "sign":
        return 1
    return ("-", math.inf) if operation == "-" else math.inf


def _switched_off(operation: str, parts: list[Tree]) -> Tree:  # noqa: PLR0911  one case an operation
    if operation == "+":
        return plus(parts)
    if operation == "*":
        return 0 if 0 in parts else times(_squares(parts))
    if operation == "/":
        return 0 if parts[0] == 0 else quotient(parts[0], parts[1])
    if operation == "-":
        return 0 if parts[0] == 0 else negative(parts[0])
    if operation == "max" and set(parts) == {0}:
        return 0
    if operation == "^" and parts[0] in {0, 1}:
        return parts[0]
    if operation == "abs" and isinstance(parts[0], str) and look_up(parts[0]).positive:
        return parts[0]
    at_zero = FUNCTIONS[operation].at_zero if operation in FUNCTIONS else None
    return at_zero if parts[0] == 0 and at_zero is not None else (operation, *parts)


def _squares(parts: list[Tree]) -> list[Tree]:
    """Write v v as v², and v v² as v³, where a wind that does not blow has made factors equal."""
    made: list[Tree] = []
    for part in parts:
        base, exponent = _power(part)
        before = _power(made[-1]) if made else (None, 0)
        if isinstance(base, str) and before[0] == base:
            made[-1] = ("^", base, before[1] + exponent)
        else:
            made.append(part)
    return made


def _power(tree: Tree) -> tuple[Tree, int]:
    if isinstance(tree, tuple) and tree[0] == "^" and isinstance(tree[2], int):
        return tree[1], tree[2]
    return tree, 1
