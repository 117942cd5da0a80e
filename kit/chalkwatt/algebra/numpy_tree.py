"""The NumPy rendering: a tree becomes nested closures over arrays.

No source text is generated, so nothing is ever evaluated as code; a tree costs one closure a node
and is called with a mapping from names to numbers or arrays.
"""

from __future__ import annotations

from functools import cache, reduce
from typing import TYPE_CHECKING, Any

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from chalkwatt.trees import Tree

__all__ = ["Environment", "compile_tree"]

Environment = "Mapping[str, Any]"

_FUNCTIONS: dict[str, Callable[..., Any]] = {
    "sqrt": np.sqrt,
    "cbrt": np.cbrt,
    "abs": np.abs,
    "sign": np.sign,
    "exp": np.exp,
    "log": np.log,
    "sin": np.sin,
    "cos": np.cos,
    "tan": np.tan,
    "asin": np.arcsin,
    "acos": np.arccos,
    "atan": np.arctan,
    "sinh": np.sinh,
    "cosh": np.cosh,
    "tanh": np.tanh,
    "asinh": np.arcsinh,
    "acosh": np.arccosh,
    "atanh": np.arctanh,
    "-": np.negative,
    "/": np.divide,
    "^": np.power,
}
_REDUCED: dict[str, Callable[..., Any]] = {
    "+": np.add,
    "*": np.multiply,
    "min": np.minimum,
    "max": np.maximum,
}


@cache
def compile_tree(tree: Tree) -> Callable[[Mapping[str, Any]], Any]:
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
    >>> from chalkwatt.rendering.numpy_function import compile_tree
    >>> float(compile_tree(("*", "force", ("^", "speed", 2)))({"force": 3.0, "speed": 2.0}))
    12.0
    """
    if isinstance(tree, str):
        return lambda values: values[tree]
    if not isinstance(tree, tuple):
        number = float(tree)
        return lambda _values: number
    if all(isinstance(part, int | float) for part in tree[1:]):
        folded = _apply(tree[0], [float(part) for part in tree[1:]])
        return lambda _values: folded
    parts = [compile_tree(part) for part in tree[1:]]
    return _operation(tree, parts)


def _apply(operation: str, numbers: list[float]) -> float:
    if operation in _REDUCED:
        return float(reduce(_REDUCED[operation], numbers))
    return float(_FUNCTIONS[operation](*numbers))


def _operation(
    tree: Tree, parts: list[Callable[[Mapping[str, Any]], Any]]
) -> Callable[[Mapping[str, Any]], Any]:
    operation = tree[0]
    if operation == "^" and tree[2] == 2:
        base = parts[0]
        return lambda values: np.square(base(values))
    if operation == "^" and tree[2] == 3:
        return _cube(parts[0])
    if operation in _REDUCED:
        return _chain(_REDUCED[operation], parts)
    function = _FUNCTIONS[operation]
    if len(parts) == 1:
        only = parts[0]
        return lambda values: function(only(values))
    first, second = parts
    return lambda values: function(first(values), second(values))


def _cube(base: Callable[[Mapping[str, Any]], Any]) -> Callable[[Mapping[str, Any]], Any]:
    def cubed(values: Mapping[str, Any]) -> Any:  # noqa: ANN401
        number = base(values)
        return number * number * number

    return cubed


def _chain(
    function: Callable[..., Any], parts: list[Callable[[Mapping[str, Any]], Any]]
) -> Callable[[Mapping[str, Any]], Any]:
    if len(parts) == 2:
        first, second = parts
        return lambda values: function(first(values), second(values))

    def chained(values: Mapping[str, Any]) -> Any:  # noqa: ANN401
        made = parts[0](values)
        for part in parts[1:]:
            made = function(made, part(values))
        return made

    return chained


@cache
def constants() -> dict[str, float]:
    """Return the value of every constant of the glossary, in SI units."""
    from chalkwatt.quantities import glossary

    return {
        name: entry.constant for name, entry in glossary().items() if entry.constant is not None
    }
