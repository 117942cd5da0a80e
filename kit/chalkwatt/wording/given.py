"""Numbers as people give them from Python: real ones as they are, anything else refused.

=======================================  ==========================================================
int, float, fractions, NumPy's own       taken, as long as they fit into a float
arrays, lists, tuples, series of these   taken
text, and lists of text                  not numbers: text carries a unit and is read elsewhere
bool, complex, bytes, dates, durations   refused: NumPy would make numbers of them that nobody meant
masked values                            refused where a value is needed, not-a-number where a
                                         function goes on with the others
=======================================  ==========================================================
"""

from __future__ import annotations

import numbers
from decimal import Decimal
from itertools import combinations
from typing import TYPE_CHECKING, Any, Protocol, TypeAlias

import numpy as np

from chalkwatt.errors import ChalkwattError, UnitError, told

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence
    from fractions import Fraction

    from numpy.typing import NDArray

__all__ = [
    "Arrayed",
    "Floats",
    "Given",
    "Measured",
    "Truths",
    "carries_text",
    "check_shapes",
    "is_number",
    "real",
    "several",
]


class Measured(Protocol):
    """A number with its unit, or an array of such: a quantity of pint, whichever registry it is of."""

    @property
    def magnitude(self) -> object:
        """The number."""

    @property
    def units(self) -> object:
        """The unit."""


class Arrayed(Protocol):
    """What NumPy can read: an array, a scalar of NumPy's own, a series of pandas."""

    def __array__(self) -> NDArray[Any]:
        """Return the array."""


# What a person may give for a quantity: a number in SI, text with a unit, a quantity of pint, or several.
Given: TypeAlias = "float | str | Fraction | Decimal | Measured | Arrayed | Sequence[Given]"
# What comes out: a number, or an array where several were given.
Floats: TypeAlias = "float | NDArray[np.float64]"
# What is said of it, element by element.
Truths: TypeAlias = "bool | np.bool | NDArray[np.bool]"

_PLAIN = frozenset({int, float, np.float64, np.int64})
_ADVICE = 'Give a number in SI, text like "38 kWh", a pint quantity or an array.'


def is_number(value: object) -> bool:
    """Say whether something is one real number, and neither true nor false."""
    return isinstance(value, numbers.Real | Decimal) and not isinstance(value, bool | np.bool_)


def carries_text(value: object) -> bool:
    """Say whether a list, an array or a series holds text or quantities, to be read one by one."""
    if isinstance(value, list | tuple):
        return any(
            isinstance(one, str) or hasattr(one, "magnitude") or carries_text(one) for one in value
        )
    if isinstance(value, np.ndarray) or hasattr(value, "__array__"):
        kind = getattr(getattr(value, "dtype", None), "kind", "")
        # Text of Python's kind, of NumPy's, and of pandas', whose own kinds of column say "O" as well.
        if kind in {"O", "U", "T"} and not hasattr(value, "magnitude"):
            return any(isinstance(one, str) or hasattr(one, "magnitude") for one in several(value))
    return False


def several(value: object) -> Iterator[Any]:
    """Go through the elements of an array or a series."""
    return iter(np.asarray(value, dtype=object).ravel())


def real(
    value: object,
    name: str,
    *,
    masked: float | None = None,
    advice: str = _ADVICE,
) -> NDArray[np.float64]:
    """Return given numbers as floats.

    Parameters
    ----------
    value : number, sequence or array of numbers
    name : str
        Whose value it is, for the error.
    masked : float, optional
        What takes the place of a masked value; without it, one is refused.
    advice : str
        What to give instead, for the error.

    Returns
    -------
    ndarray of float
        Without dimensions for a single number.

    Raises
    ------
    UnitError
        If something in it is no real number.

    Examples
    --------
    >>> from chalkwatt.wording.given import real
    >>> real([1, 2.5], "speed").tolist()
    [1.0, 2.5]
    >>> real(1 + 2j, "speed")
    Traceback (most recent call last):
    ...
    chalkwatt.errors.UnitError: speed = (1+2j) is not a real number. Give a number in SI, ...
    """
    if type(value) is float:
        return np.asarray(value)
    if isinstance(value, bool | np.bool_ | str | bytes | bytearray | memoryview) or value is None:
        raise _no_number(value, name, advice)
    if isinstance(value, int):
        return _floats(value, value, name, advice)
    if isinstance(value, list | tuple):
        _check_elements(value, value, name, advice)
    elif _has_unit(value):
        raise UnitError(
            f"{name} = {told(value)} carries a unit, and not in a way that is understood here.",
            quantity=name,
            value=value,
            advice=advice,
        )
    if np.ma.is_masked(value):
        value = _unmasked(np.ma.asarray(value), name, masked)
    try:
        made = np.asarray(value)
    except (TypeError, ValueError) as cause:  # rows of different lengths
        raise _no_number(value, name, advice) from cause
    if made.dtype.kind == "O":
        _check_elements(list(made.ravel()), value, name, advice)
    elif made.dtype.kind not in "iuf":
        raise _no_number(value, name, advice)
    return _floats(made, value, name, advice)


def _unmasked(value: np.ma.MaskedArray[Any, Any], name: str, masked: float | None) -> NDArray[Any]:
    if masked is None:
        count = int(np.sum(np.ma.getmaskarray(value)))
        raise UnitError(
            f"{name}: {count} of {np.size(value)} values are masked, so there is nothing to go by.",
            quantity=name,
            value=value,
            advice="Leave them out with .compressed(), or put numbers in their place.",
        )
    if value.dtype.kind not in "iuf":
        return value.data  # refused like any other
    return np.ma.filled(value.astype(float), masked)


def _check_elements(elements: Sequence[Any], value: object, name: str, advice: str) -> None:
    """Refuse a list with anything but numbers in it: NumPy would count True among floats as 1.0."""
    if _PLAIN.issuperset(map(type, elements)):
        return
    for one in elements:
        if isinstance(one, list | tuple):
            _check_elements(one, value, name, advice)
        elif isinstance(one, np.ndarray):
            if one.dtype.kind not in "iuf" or np.ma.is_masked(one):
                raise _no_number(value, name, advice)
        elif not is_number(one):
            raise _no_number(value, name, advice)


def _has_unit(value: object) -> bool:
    """Say whether an array brings a unit that NumPy would drop without a word."""
    kind = type(value)
    return hasattr(kind, "__array__") and (hasattr(kind, "unit") or hasattr(kind, "units"))


def _floats(made: int | NDArray[Any], value: object, name: str, advice: str) -> NDArray[np.float64]:
    try:
        return np.asarray(made, dtype=float)
    except ArithmeticError as cause:
        raise UnitError(
            f"{name} = {told(value)} is far too large a number.",
            quantity=name,
            value=value,
            advice="Check the number and its unit.",
        ) from cause
    except (TypeError, ValueError) as cause:
        raise _no_number(value, name, advice) from cause


def _no_number(value: object, name: str, advice: str) -> UnitError:
    return UnitError(
        f"{name} = {told(value)} is not a real number.",
        quantity=name,
        value=value,
        advice=advice,
    )


def check_shapes(values: Mapping[str, Floats]) -> None:
    """Refuse arrays that do not go together.

    Parameters
    ----------
    values : mapping of str to float or ndarray
        By the names by which people know them.

    Raises
    ------
    ChalkwattError
        If two of them cannot be broadcast against each other; it names both, with their shapes.

    Examples
    --------
    >>> import numpy as np
    >>> from chalkwatt.wording.given import check_shapes
    >>> check_shapes({"speed": np.ones(2), "drag_area": np.ones(3)})
    Traceback (most recent call last):
    ...
    chalkwatt.errors.ChalkwattError: speed has 2 values and drag_area has 3: ...
    """
    shapes = {name: np.shape(one) for name, one in values.items() if np.ndim(one)}
    for (first, one), (second, other) in combinations(shapes.items(), 2):
        if any(a != b and 1 not in {a, b} for a, b in zip(one[::-1], other[::-1], strict=False)):
            sizes = [" by ".join(map(str, shape)) for shape in (one, other)]
            raise ChalkwattError(
                f"{first} has {sizes[0]} values and {second} has {sizes[1]}: they do not go together.",
                quantity=second,
                advice="Give as many of each, or a single number of one.",
            )
