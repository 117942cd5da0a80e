"""The NumPy rendering: a tree becomes nested closures over arrays.

No source text is generated, so nothing is ever evaluated as code; a tree costs one closure a node
and is called with a mapping from names to numbers or arrays.
"""

from __future__ import annotations

from functools import cache, reduce
from typing import TYPE_CHECKING, Any, TypeAlias

import numpy as np

from chalkwatt.algebra.operations import CHAINS, OPERATIONS

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from chalkwatt.algebra.trees import Operation, Tree
    from chalkwatt.wording.given import Floats

__all__ = ["Compiled", "compile_tree"]

# A tree as a function of the values of its names, in SI units.
Compiled: TypeAlias = "Callable[[Mapping[str, Floats]], Floats]"


@cache
def compile_tree(tree: Tree) -> Compiled:
    """Turn a tree into a function of a mapping from names to SI numbers or arrays.

    Parameters
    ----------
    tree : Tree

    Returns
    -------
    callable
        Takes the mapping, returns a number or an array by NumPy's rules of broadcasting.

    Examples
    --------
    >>> from chalkwatt.planning.evaluation import compile_tree
    >>> float(compile_tree(("*", "force", ("^", "speed", 2)))({"force": 3.0, "speed": 2.0}))
    12.0
    """
    if isinstance(tree, str):
        return lambda values: values[tree]
    if not isinstance(tree, tuple):
        number = float(tree)
        return lambda _values: number
    numbers = [float(part) for part in tree[1:] if isinstance(part, int | float)]
    if len(numbers) == len(tree) - 1:
        folded = _apply(str(tree[0]), numbers)
        return lambda _values: folded
    parts = [compile_tree(part) for part in tree[1:]]
    return _operation(tree, parts)


def _apply(operation: str, numbers: list[float]) -> float:
    function = OPERATIONS[operation].array
    return float(reduce(function, numbers) if operation in CHAINS else function(*numbers))


def _operation(tree: Operation, parts: list[Compiled]) -> Compiled:
    operation = str(tree[0])
    if operation == "^" and tree[2] == 2:
        base = parts[0]
        return lambda values: np.square(base(values))
    if operation == "^" and tree[2] == 3:
        return _cube(parts[0])
    function = OPERATIONS[operation].array
    if operation in CHAINS:
        return _chain(function, parts)
    if len(parts) == 1:
        only = parts[0]
        return lambda values: function(only(values))
    first, second = parts
    return lambda values: function(first(values), second(values))


def _cube(base: Compiled) -> Compiled:
    def cubed(values: Mapping[str, Floats]) -> Floats:
        number = base(values)
        return number * number * number

    return cubed


def _chain(function: Callable[..., Any], parts: list[Compiled]) -> Compiled:
    if len(parts) == 2:
        first, second = parts
        return lambda values: function(first(values), second(values))

    def chained(values: Mapping[str, Floats]) -> Floats:
        made = parts[0](values)
        for part in parts[1:]:
            made = function(made, part(values))
        return made

    return chained
