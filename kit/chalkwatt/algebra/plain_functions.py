"""Functions of one plain number that answer where Python refuses.

Where NumPy gives NaN or an infinity, so do these, without a warning and without an error. An
integrator that asks for one state at a time gets its answer several times as fast from them.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable

__all__ = [
    "atanh",
    "cosh",
    "cube",
    "divide",
    "exp",
    "least",
    "log",
    "log10",
    "most",
    "power",
    "sign",
    "sinh",
    "square",
    "within",
]

_INF, _NAN = math.inf, math.nan


def divide(over: float, under: float) -> float:
    """Divide; by nought too."""
    try:
        return over / under
    except ZeroDivisionError:
        if over == 0 or over != over:  # noqa: PLR0124  NaN is what does not equal itself
            return _NAN
        return math.copysign(_INF, over) * math.copysign(1.0, under)


def power(base: float, exponent: float) -> float:
    """Raise to a power."""
    try:
        return math.pow(base, exponent)
    except OverflowError:
        return -_INF if base < 0 and exponent % 2 == 1 else _INF
    except ValueError:
        if base == 0:
            return math.copysign(_INF, base) if exponent % 2 == 1 else _INF
        return _NAN


def square(number: float) -> float:
    """Return a number times itself, which a power need not be to the last bit."""
    return number * number


def cube(number: float) -> float:
    """Return a number times itself twice."""
    return number * number * number


def sign(number: float) -> float:
    """Return 1, −1 or nought."""
    return 1.0 if number > 0 else -1.0 if number < 0 else number + 0.0


def log(number: float) -> float:
    """Return the natural logarithm."""
    return math.log(number) if number > 0 else -_INF if number == 0 else _NAN


def log10(number: float) -> float:
    """Return the logarithm to the base of ten."""
    return math.log10(number) if number > 0 else -_INF if number == 0 else _NAN


def exp(number: float) -> float:
    """Return e to the power of a number."""
    try:
        return math.exp(number)
    except OverflowError:
        return _INF


def sinh(number: float) -> float:
    """Return the hyperbolic sine."""
    try:
        return math.sinh(number)
    except OverflowError:
        return math.copysign(_INF, number)


def cosh(number: float) -> float:
    """Return the hyperbolic cosine."""
    try:
        return math.cosh(number)
    except OverflowError:
        return _INF


def atanh(number: float) -> float:
    """Return what has this hyperbolic tangent."""
    if abs(number) == 1:
        return math.copysign(_INF, number)
    return math.atanh(number) if abs(number) < 1 else _NAN


def within(function: Callable[[float], float]) -> Callable[[float], float]:
    """Give NaN where a function is not defined."""

    def defined(number: float) -> float:
        try:
            return function(number)
        except ValueError:
            return _NAN

    return defined


def least(first: float, second: float) -> float:
    """Return the lesser; NaN wins."""
    return first if first < second or first != first else second  # noqa: PLR0124


def most(first: float, second: float) -> float:
    """Return the greater; NaN wins."""
    return first if first > second or first != first else second  # noqa: PLR0124
