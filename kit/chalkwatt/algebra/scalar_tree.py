"""The scalar rendering: a tree becomes nested closures over plain numbers.

It is the twin of `numpy_tree.compile_tree` for one state at a time, as an integrator asks for it: the
same operations in the same order, several times as fast on a single number. Where NumPy gives NaN or
an infinity, so does this, without a warning and without an error.
"""

from __future__ import annotations

from functools import reduce
from operator import add, itemgetter, mul
from typing import TYPE_CHECKING, Any, TypeAlias

from chalkwatt.algebra.operations import CHAINS, OPERATIONS
from chalkwatt.algebra.plain_functions import cube, square

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

    from chalkwatt.algebra.trees import Tree

__all__ = ["compile_scalar", "settle"]

# A number, or what gives one from the values of the names.
Part: TypeAlias = "float | Callable[[Any], float]"


_POWERS: dict[float, Callable[[float], float]] = {2: square, 3: cube}


def compile_scalar(tree: Tree, places: Mapping[str, int] | None = None) -> Callable[[Any], float]:
    """Turn a tree into a function of plain numbers.

    Parameters
    ----------
    tree : Tree
    places : mapping of str to int, optional
        Where each name stands in a list of values. Without it the function takes a mapping from
        names to values.

    Returns
    -------
    callable
        Takes a list (or, without ``places``, a mapping) of floats in SI units; returns a float. It
        never raises for a value: what is not defined is NaN, what is too large is infinite.

    Raises
    ------
    KeyError
        If the tree holds a name that has no place.

    Examples
    --------
    >>> from chalkwatt.algebra.scalar_tree import compile_scalar
    >>> compile_scalar(("*", "force", ("^", "speed", 2)))({"force": 3.0, "speed": 2.0})
    12.0
    >>> compile_scalar(("/", "force", "speed"), {"force": 0, "speed": 1})([3.0, 0.0])
    inf
    """
    if isinstance(tree, str):
        return itemgetter(tree if places is None else places[tree])
    if not isinstance(tree, tuple):
        return _always(float(tree))
    operation = str(tree[0])
    numbers = _numbers(tree[1:])
    if numbers is not None:
        return _always(_worked_out(operation, numbers))
    if operation == "^" and isinstance(tree[2], int | float) and tree[2] in _POWERS:
        return _of_one(_POWERS[tree[2]], compile_scalar(tree[1], places))
    parts = [_part(part, places) for part in tree[1:]]
    function = OPERATIONS[operation].scalar
    if operation in CHAINS:
        made = _chain(function, parts)
    elif len(parts) == 1:
        made = _of_one(function, compile_scalar(tree[1], places))
    else:
        made = _of_two(function, *parts)
    return _always(made) if isinstance(made, float) else made


def _part(tree: Tree, places: Mapping[str, int] | None) -> Part:
    return float(tree) if isinstance(tree, int | float) else compile_scalar(tree, places)


def _numbers(parts: Sequence[Tree]) -> tuple[float, ...] | None:
    """Return parts that are all numbers; None where one is not."""
    numbers = tuple(part for part in parts if isinstance(part, int | float))
    return numbers if len(numbers) == len(parts) else None


def _worked_out(operation: str, numbers: tuple[float, ...]) -> float:
    function = OPERATIONS[operation].scalar
    if operation in CHAINS:
        return float(reduce(function, [float(one) for one in numbers]))
    if operation == "^" and numbers[1] in _POWERS:
        return _POWERS[numbers[1]](float(numbers[0]))
    return float(function(*(float(one) for one in numbers)))


def _always(number: float) -> Callable[[Any], float]:
    return lambda _values: number


def _of_one(
    function: Callable[[float], float], inner: Callable[[Any], float]
) -> Callable[[Any], float]:
    return lambda values: function(inner(values))


# A part may be a number. Sums and products are most of what there is, and an operator costs
# a third of a call.
def _of_two(function: Callable[[float, float], float], first: Part, second: Part) -> Part:
    if function is add:
        return _sum(first, second)
    if function is mul:
        return _product(first, second)
    if isinstance(first, float):
        if isinstance(second, float):
            return function(first, second)
        return lambda values: function(first, second(values))
    if isinstance(second, float):
        return lambda values: function(first(values), second)
    return lambda values: function(first(values), second(values))


def _sum(first: Part, second: Part) -> Part:
    if isinstance(first, float):
        if isinstance(second, float):
            return first + second
        return lambda values: first + second(values)
    if isinstance(second, float):
        return lambda values: first(values) + second
    return lambda values: first(values) + second(values)


def _product(first: Part, second: Part) -> Part:
    if isinstance(first, float):
        if isinstance(second, float):
            return first * second
        return lambda values: first * second(values)
    if isinstance(second, float):
        return lambda values: first(values) * second
    return lambda values: first(values) * second(values)


def _chain(function: Callable[[float, float], float], parts: list[Part]) -> Part:
    made = parts[0]
    for part in parts[1:]:
        made = _of_two(function, made, part)
    return made


def settle(tree: Tree, known: Mapping[str, float]) -> Tree:
    """Put numbers in for names, and work out at once all that then holds no name.

    What does not change during a run is so worked out once, and never again at each step. The
    operations are those of `compile_scalar`, in the same order.

    Parameters
    ----------
    tree : Tree
    known : mapping of str to float
        SI values.

    Returns
    -------
    Tree
        A number where nothing unknown is left.

    Examples
    --------
    >>> from chalkwatt.algebra.scalar_tree import settle
    >>> settle(("*", ("/", 1, 2), "air_density", "drag_area", ("^", "speed", 2)),
    ...        {"air_density": 1.2, "drag_area": 0.5})
    ('*', 0.3, ('^', 'speed', 2))
    """
    if isinstance(tree, str):
        return float(known[tree]) if tree in known else tree
    if not isinstance(tree, tuple):
        return tree
    operation = str(tree[0])
    parts = [settle(part, known) for part in tree[1:]]
    if operation in CHAINS:
        # A chain is worked out from the left, so only the numbers at its head can be joined.
        head: list[float] = []
        for part in parts:
            if not isinstance(part, int | float):
                break
            head.append(part)
        if len(head) > 1:
            parts[: len(head)] = [_worked_out(operation, tuple(head))]
        return parts[0] if len(parts) == 1 else (operation, *parts)
    numbers = _numbers(parts)
    return (operation, *parts) if numbers is None else _worked_out(operation, numbers)
