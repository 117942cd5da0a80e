"""One formatter for every number that people see; the browser's gives the same strings.

Rounding works on the exact decimal value of the double, ties away from zero, because that is what
JavaScript's ``toPrecision`` does and Python's ``format`` does not.
"""

from __future__ import annotations

import math
from decimal import ROUND_HALF_UP, Decimal
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence

__all__ = [
    "as_percent",
    "format_alike",
    "format_input",
    "format_number",
    "result_digits",
    "significant_digits",
    "split_number",
    "with_unit",
]

_SMALLEST_PLAIN = -3  # power of ten from which a number is written without a power of ten
_LARGEST_PLAIN = 6
# Of numbers that are read together: those between are written plainly where one of them is anyway.
_LEAST_ALIKE, _MOST_ALIKE = -6, 9
_NEAR = 3  # powers of ten apart up to which two numbers share one
_SUPERSCRIPTS = str.maketrans("-0123456789", "⁻⁰¹²³⁴⁵⁶⁷⁸⁹")
_MINUS = "\u2212"
_GROUP = "\u202f"
_WHOLE = 1e-9  # relative; a solved count this near to a whole number is one
_GROUPED_FROM = 5  # digits before the point


def split_number(
    value: float, digits: int = 4, *, keep_zeros: bool = True
) -> tuple[str, int | None]:
    """Round a number and split it into mantissa and power of ten.

    Parameters
    ----------
    value : float
        A number; for infinity there is a sign of its own.
    digits : int
        Significant digits.
    keep_zeros : bool
        Whether zeros after the point that the rounding leaves are kept.

    Returns
    -------
    tuple of str and (int or None)
        The mantissa as shown, and the power of ten, or None where none is needed.

    Examples
    --------
    >>> from chalkwatt.wording.numbers import split_number
    >>> split_number(1.368e8)
    ('1.368', 8)
    """
    if value == 0:
        return "0", None
    if math.isinf(value):
        return ("∞" if value > 0 else f"{_MINUS}∞"), None
    rounded, power = _rounded(value, digits)
    sign = _MINUS if value < 0 else ""
    if _SMALLEST_PLAIN <= power < _LARGEST_PLAIN:
        return sign + _plain(rounded, keep_zeros=keep_zeros), None
    return sign + _plain(rounded.scaleb(-power), keep_zeros=keep_zeros), power


def _rounded(value: float, digits: int) -> tuple[Decimal, int]:
    """Round the size of a number, and return the power of ten of its first digit."""
    exact = Decimal(abs(value))
    power = exact.adjusted()
    rounded = exact.quantize(Decimal(1).scaleb(power - digits + 1), rounding=ROUND_HALF_UP)
    if rounded.adjusted() > power:
        power = rounded.adjusted()
        rounded = rounded.quantize(Decimal(1).scaleb(power - digits + 1), rounding=ROUND_HALF_UP)
    return rounded, power


def _plain(rounded: Decimal, *, keep_zeros: bool) -> str:
    text = f"{rounded:f}"
    whole, _, fraction = text.partition(".")
    if not keep_zeros:
        fraction = fraction.rstrip("0")
    if len(whole) >= _GROUPED_FROM:
        first = len(whole) % 3
        groups = [whole[:first]] if first else []
        groups += [whole[place : place + 3] for place in range(first, len(whole), 3)]
        whole = _GROUP.join(groups)
    return f"{whole}.{fraction}" if fraction else whole


def result_digits(value: float, *, whole: bool = False) -> int:
    """Return how many significant digits a result is shown with: four, but a count as it comes.

    A count that is no whole number shows two digits after the point, a whole one none.

    Examples
    --------
    >>> from chalkwatt.wording.numbers import result_digits
    >>> result_digits(1983.4711, whole=True), result_digits(96.0, whole=True)
    (6, 2)
    """
    if not whole or not math.isfinite(value) or abs(value) < 1:
        return 4
    before = math.floor(math.log10(abs(value))) + 1
    near = abs(value - round(value)) < _WHOLE * abs(value)
    return before if near else min(before + 2, 15)


def format_number(value: float, digits: int = 4) -> str:
    """Show a result.

    Parameters
    ----------
    value : float
    digits : int
        Significant digits, four unless told otherwise.

    Returns
    -------
    str
        An en dash for not-a-number.

    Examples
    --------
    >>> from chalkwatt.wording.numbers import format_number
    >>> format_number(347.2561), format_number(12.0), format_number(0.000123456)
    ('347.3', '12.00', '1.235×10⁻⁴')
    """
    return _joined(value, digits, keep_zeros=True)


def format_input(value: float, digits: int = 6) -> str:
    """Show a given value: up to six significant digits, without trailing zeros.

    Examples
    --------
    >>> from chalkwatt.wording.numbers import format_input
    >>> format_input(38.0), format_input(0.0085)
    ('38', '0.0085')
    """
    return _joined(value, digits, keep_zeros=False)


def significant_digits(value: float, most: int = 6) -> int:
    """Count the significant digits that :func:`format_input` shows of a number.

    Examples
    --------
    >>> from chalkwatt.wording.numbers import significant_digits
    >>> significant_digits(0.0085), significant_digits(1180.0), significant_digits(2 / 3)
    (2, 3, 6)
    """
    if value == 0 or not math.isfinite(value):
        return 1
    digits = _rounded(value, most)[0].normalize().as_tuple().digits
    return len(digits)


def _joined(value: float, digits: int, *, keep_zeros: bool) -> str:
    if math.isnan(value):
        return "–"
    if math.isinf(value):
        return "∞" if value > 0 else _MINUS + "∞"
    mantissa, power = split_number(value, digits, keep_zeros=keep_zeros)
    return mantissa if power is None else f"{mantissa}×10{str(power).translate(_SUPERSCRIPTS)}"


def format_alike(
    values: Sequence[float], digits: int | Sequence[int] = 6, *, keep_zeros: bool = False
) -> tuple[str, ...]:
    """Show numbers that are read together, such as both ends of a range, in one notation.

    Parameters
    ----------
    values : sequence of float
    digits : int or sequence of int
        Significant digits, of all or of each.
    keep_zeros : bool
        Whether zeros after the point that the rounding leaves are kept, as for results.

    Returns
    -------
    tuple of str
        As :func:`format_input` and :func:`format_number` write each, where these agree; else all
        plain, or all with the same power of ten, or each with its own where they are far apart.

    Examples
    --------
    >>> from chalkwatt.wording.numbers import format_alike
    >>> format_alike([540_000.0, 1_010_000.0], 3), format_alike([0.04, 2.5e9], 2)
    (('540 000', '1 010 000'), ('4×10⁻²', '2.5×10⁹'))
    """
    each = [digits] * len(values) if isinstance(digits, int) else list(digits)
    pairs = list(zip(values, each, strict=True))
    real = [(one, count) for one, count in pairs if one and math.isfinite(one)]
    if len({split_number(one, count)[1] for one, count in real}) <= 1:
        return tuple(_joined(one, count, keep_zeros=keep_zeros) for one, count in pairs)
    sizes = [_rounded(one, count)[1] for one, count in real]
    low, high = min(sizes), max(sizes)
    power: int | None = high if high - low <= _NEAR else None
    if low >= _LEAST_ALIKE and high < _MOST_ALIKE:
        power = 0
    return tuple(_in_power(one, count, power, keep_zeros=keep_zeros) for one, count in pairs)


def _in_power(value: float, digits: int, power: int | None, *, keep_zeros: bool) -> str:
    if value == 0 or not math.isfinite(value):
        return _joined(value, digits, keep_zeros=keep_zeros)
    rounded, own = _rounded(value, digits)
    shift = own if power is None else power
    sign = _MINUS if value < 0 else ""
    mantissa = sign + _plain(rounded.scaleb(-shift), keep_zeros=keep_zeros)
    return (
        f"{mantissa}×10{str(shift).translate(_SUPERSCRIPTS)}"
        if shift or power is None
        else mantissa
    )


def as_percent(share: float, digits: int = 2) -> str:
    """Show a share in percent, and what is more than tenfold as so many times.

    Parameters
    ----------
    share : float
        A share of one.
    digits : int
        Significant digits; a percentage above a hundred has no fewer than three.

    Examples
    --------
    >>> from chalkwatt.wording.numbers import as_percent
    >>> as_percent(0.1394), as_percent(1.0), as_percent(2.345), as_percent(41.7)
    ('14 %', '100 %', '235 %', '42 times')
    """
    percent = 100 * share
    if abs(percent) >= 999.5:
        return f"{format_input(share, digits)} times"
    return f"{format_input(percent, max(digits, 3) if abs(percent) >= 99.5 else digits)} %"


def with_unit(value: float, label: str, digits: int = 4) -> str:
    """Show a result with its unit; percent and degree signs follow as the trade writes them.

    Examples
    --------
    >>> from chalkwatt.wording.numbers import with_unit
    >>> with_unit(412.34, "km")
    '412.3 km'
    """
    shown = format_number(value, digits)
    if not label:
        return shown
    return f"{shown}°" if label == "°" else f"{shown} {label}"
