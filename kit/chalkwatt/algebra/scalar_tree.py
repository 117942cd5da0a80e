"""The scalar rendering: a tree becomes nested closures over plain numbers.

It is the twin of `numpy_tree.compile_tree` for one state at a time, as an integrator asks for it: the
same operations in the same order, several times as fast on a single number. Where NumPy gives NaN or
an infinity, so does this, without a warning and without an error.
"""

from __future__ import annotations

import math
from functools import reduce
from operator import add, itemgetter, mul, neg
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from chalkwatt.trees import Tree

__all__ = ["compile_scalar", "settle"]

_INF, _NAN = math.inf, math.nan


# Operations that Python refuses where NumPy answers -------------------------------------------------
def _divide(over: float, under: float) -> float:
    try:
        return over / under
    except ZeroDivisionError:
        if over == 0 or over != over:  # noqa: PLR0124  NaN is what does not equal itself
            return _NAN
        return math.copysign(_INF, over) * math.copysign(1.0, under)


def _power(base: float, exponent: float) -> float:
    try:
        return math.pow(base, exponent)
    except OverflowError:
        return -_INF if base < 0 and exponent % 2 == 1 else _INF
    except ValueError:
        if base == 0:
            return math.copysign(_INF, base) if exponent % 2 == 1 else _INF
        return _NAN


def _square(number: float) -> float:
    return number * number


def _cube(number: float) -> float:
    return number * number * number


def _sign(number: float) -> float:
    return 1.0 if number > 0 else -1.0 if number < 0 else number + 0.0


def _log(number: float) -> float:
    return math.log(number) if number > 0 else -_INF if number == 0 else _NAN


def _exp(number: float) -> float:
    try:
        return math.exp(number)
    except OverflowError:
        return _INF


def _sinh(number: float) -> float:
    try:
        return math.sinh(number)
    except OverflowError:
        return math.copysign(_INF, number)


def _cosh(number: float) -> float:
    try:
        return math.cosh(number)
    except OverflowError:
        return _INF


def _atanh(number: float) -> float:
    if abs(number) == 1:
        return math.copysign(_INF, number)
    return math.atanh(number) if abs(number) < 1 else _NAN


def _within(function: Callable[[float], float]) -> Callable[[float], float]:
    """Give NaN where a function is not defined."""

    def defined(number: float) -> float:
        try:
            return function(number)
        except ValueError:
            return _NAN

    return defined


def _least(first: float, second: float) -> float:
    return first if first < second or first != first else second  # noqa: PLR0124  NaN wins


def _most(first: float, second: float) -> float:
    return first if first > second or first != first else second  # noqa: PLR0124  NaN wins


# One row an operation -------------------------------------------------------------------------------
_FUNCTIONS: dict[str, Callable[..., float]] = {
    "sqrt": _within(math.sqrt),
    "cbrt": math.cbrt,
    "abs": abs,
    "sign": _sign,
    "exp": _exp,
    "log": _log,
    "sin": _within(math.sin),
    "cos": _within(math.cos),
    "tan": _within(math.tan),
    "asin": _within(math.asin),
    "acos": _within(math.acos),
    "atan": math.atan,
    "sinh": _sinh,
    "cosh": _cosh,
    "tanh": math.tanh,
    "asinh": math.asinh,
    "acosh": _within(math.acosh),
    "atanh": _atanh,
    "-": neg,
    "/": _divide,
    "^": _power,
}
_REDUCED: dict[str, Callable[[float, float], float]] = {
    "+": add,
    "*": mul,
    "min": _least,
    "max": _most,
}
_POWERS: dict[float, Callable[[float], float]] = {2: _square, 3: _cube}


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
    >>> from chalkwatt.rendering.scalar_tree import compile_scalar
    >>> compile_scalar(("*", "force", ("^", "speed", 2)))({"force": 3.0, "speed": 2.0})
    12.0
    >>> compile_scalar(("/", "force", "speed"), {"force": 0, "speed": 1})([3.0, 0.0])
    inf
    """
    if isinstance(tree, str):
        return itemgetter(tree if places is None else places[tree])
    if not isinstance(tree, tuple):
        return _always(float(tree))
    if all(isinstance(part, int | float) for part in tree[1:]):
        return _always(_worked_out(tree[0], tree[1:]))
    operation = tree[0]
    if operation == "^" and isinstance(tree[2], int | float) and tree[2] in _POWERS:
        return _of_one(_POWERS[tree[2]], compile_scalar(tree[1], places))
    parts = [_part(part, places) for part in tree[1:]]
    if operation in _REDUCED:
        made = _chain(_REDUCED[operation], parts)
    elif len(parts) == 1:
        made = _of_one(_FUNCTIONS[operation], *parts)
    else:
        made = _of_two(_FUNCTIONS[operation], *parts)
    compiled: Callable[[Any], float] = made
    return compiled


def _part(tree: Tree, places: Mapping[str, int] | None) -> Any:  # noqa: ANN401  a number, or a function
    return float(tree) if isinstance(tree, int | float) else compile_scalar(tree, places)


def _worked_out(operation: str, numbers: tuple[float, ...]) -> float:
    if operation in _REDUCED:
        return float(reduce(_REDUCED[operation], [float(one) for one in numbers]))
    if operation == "^" and numbers[1] in _POWERS:
        return _POWERS[numbers[1]](float(numbers[0]))
    return float(_FUNCTIONS[operation](*(float(one) for one in numbers)))


def _always(number: float) -> Callable[[Any], float]:
    return lambda _values: number


def _of_one(
    function: Callable[[float], float], inner: Callable[[Any], float]
) -> Callable[[Any], float]:
    return lambda values: function(inner(values))


# Of two parts one may be a number. Sums and products are most of what there is, and an operator costs
# a third of a call.
def _of_two(function: Callable[[float, float], float], first: Any, second: Any) -> Any:  # noqa: ANN401
    if function is add:
        return _sum(first, second)
    if function is mul:
        return _product(first, second)
    if isinstance(first, float):
        return lambda values: function(first, second(values))
    if isinstance(second, float):
        return lambda values: function(first(values), second)
    return lambda values: function(first(values), second(values))


def _sum(first: Any, second: Any) -> Any:  # noqa: ANN401
    if isinstance(first, float):
        return lambda values: first + second(values)
    if isinstance(second, float):
        return lambda values: first(values) + second
    return lambda values: first(values) + second(values)


def _product(first: Any, second: Any) -> Any:  # noqa: ANN401
    if isinstance(first, float):
        return lambda values: first * second(values)
    if isinstance(second, float):
        return lambda values: first(values) * second
    return lambda values: first(values) * second(values)


def _chain(function: Callable[[float, float], float], parts: list[Any]) -> Any:  # noqa: ANN401
    made = parts[0]
    for part in parts[1:]:
        numbers = isinstance(made, float) and isinstance(part, float)
        made = function(made, part) if numbers else _of_two(function, made, part)
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
    >>> from chalkwatt.rendering.scalar_tree import settle
    >>> settle(("*", ("/", 1, 2), "air_density", "drag_area", ("^", "speed", 2)),
    ...        {"air_density": 1.2, "drag_area": 0.5})
    ('*', 0.3, ('^', 'speed', 2))
    """
    if isinstance(tree, str):
        return float(known[tree]) if tree in known else tree
    if not isinstance(tree, tuple):
        return tree
    operation, *inner = tree
    parts = [settle(part, known) for part in inner]
    if operation in _REDUCED:
        # A chain is worked out from the left, so only the numbers at its head can be joined.
        head = next(
            (n for n, part in enumerate(parts) if not isinstance(part, int | float)), len(parts)
        )
        if head > 1:
            parts[:head] = [_worked_out(operation, tuple(parts[:head]))]
        return parts[0] if len(parts) == 1 else (operation, *parts)
    if all(isinstance(part, int | float) for part in parts):
        return _worked_out(operation, tuple(parts))
    return (operation, *parts)
