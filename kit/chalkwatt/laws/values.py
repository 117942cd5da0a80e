"""Values: from what a person gives for a quantity to numbers in SI, and the unit to show them in."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any

import numpy as np

from chalkwatt.errors import OutOfBoundsError, UnitError, told
from chalkwatt.wording import units
from chalkwatt.wording.given import carries_text, real, several
from chalkwatt.wording.written import BLANKS, Written, written

if TYPE_CHECKING:
    from collections.abc import Callable

    from numpy.typing import NDArray

    from chalkwatt.laws.quantities import Quantity
    from chalkwatt.wording.given import Floats, Given

__all__ = ["label_of", "to_si", "unit_given", "written_for"]

# Bare numbers are SI; these were hardly meant so: 0.5 for half an hourly rate, 20 for 20 °C.
_MISTAKEN: dict[str, Callable[[NDArray[np.float64]], Any]] = {
    "1/s": lambda numbers: numbers > 0.01,
    "K": lambda numbers: numbers < 100,
}
# Of a temperature these are degrees; elsewhere they are a C-rate and a farad.
_DEGREES = {"C": "°C", "F": "°F"}
# One in so many, as slopes are signed along roads and rails: common practice, no source.
_ONE_IN = re.compile(
    rf"(?P<sign>[-+−–]?)[{BLANKS}]?1[{BLANKS}]?(?::|/|in)[{BLANKS}]?(?P<run>\d+(?:\.\d+)?)"
)
_SLOPES = frozenset({"grade", "stall_grade"})
_RATIO = re.compile(r"[-+−–]?\s*\d[\d.]*\s*:\s*\d[\d.]*")
_COMMA = re.compile(r",\d")
_GROUPED = re.compile(r"[-+−]?\d{1,3}(?:,\d{3})+(?![\d,.])")


def label_of(entry: Quantity, value: object) -> str | None:
    """Return the unit in which a person gave a value, as the quantity can be shown in it.

    Parameters
    ----------
    entry : Quantity
    value : object

    Returns
    -------
    str or None
        None for a bare number.
    """
    label = unit_given(entry, value)
    if label is None:
        return None
    return units.counterpart(label, entry.unit) if units.inverse(label, entry.unit) else label


def unit_given(entry: Quantity, value: object) -> str | None:
    """Return the unit in which a person gave a value, as it was given; None for a bare number.

    Parameters
    ----------
    entry : Quantity
    value : object

    Returns
    -------
    str or None

    Examples
    --------
    >>> from chalkwatt.laws.quantities import look_up
    >>> from chalkwatt.laws.values import unit_given
    >>> unit_given(look_up("consumption"), "4 mi/kWh"), unit_given(look_up("consumption"), 4.0)
    ('mi/kWh', None)
    """
    if isinstance(value, str):
        return written_for(entry, value).unit
    if hasattr(value, "magnitude") and hasattr(value, "units"):
        label = f"{value.units:~}"
        return label if units.measures(label, entry.unit) else str(value.units)
    return None


def to_si(entry: Quantity, value: Given) -> Floats:
    """Turn what a person gives into SI; bounds are checked elsewhere.

    Parameters
    ----------
    entry : Quantity
    value : object
        As for :meth:`chalkwatt.laws.quantities.Quantity.read`.

    Returns
    -------
    float or ndarray

    Raises
    ------
    UnitError
    OutOfBoundsError
        If nought is given upside down, which is without limit.
    """
    label = ""
    given: object = value
    if isinstance(value, str):
        given, label, _ = written_for(entry, value)
        if not label and entry.unit:
            raise UnitError(
                f"{entry.name} = {told(value)} has no unit.",
                quantity=entry.name,
                value=value,
                unit=entry.unit,
                advice=f"Text needs one, like {' or '.join(entry.display)}; "
                f"a bare number is SI ({entry.unit}).",
            )
    elif hasattr(value, "magnitude") and hasattr(value, "units"):
        given, label = value.magnitude, str(value.units)
    elif carries_text(value):
        return _one_by_one(entry, value)
    numbers = real(given, entry.name)
    if not numbers.size:
        raise UnitError(
            f"{entry.name} = {told(value)} holds no number.",
            quantity=entry.name,
            value=value,
            advice="Give one or more, or leave the quantity out.",
        )
    if label:
        numbers = _convert(entry, numbers, label, value)
    elif entry.unit in _MISTAKEN and np.any(_MISTAKEN[entry.unit](numbers)):
        raise _mistaken(entry, numbers)
    return float(numbers) if numbers.ndim == 0 else numbers


def written_for(entry: Quantity, text: str) -> Written:
    """Split text into number and unit, as they are meant for a quantity.

    Parameters
    ----------
    entry : Quantity
    text : str

    Returns
    -------
    Written
        "10 C" are degrees of a temperature, and a C-rate elsewhere; "1:10" is a grade of 10 %.

    Raises
    ------
    UnitError
        It says whose value it is.

    Examples
    --------
    >>> from chalkwatt.laws.quantities import look_up
    >>> from chalkwatt.laws.values import written_for
    >>> written_for(look_up("grade"), "1:10")[:2], written_for(look_up("cell_temperature"), "-10 C")[:2]
    ((10.0, '%'), (-10.0, '°C'))
    """
    slope = _ONE_IN.fullmatch(text.strip()) if entry.name in _SLOPES else None
    if slope is not None and float(slope["run"]) > 0:
        share = 100.0 / float(slope["run"])
        return Written(-share if slope["sign"] in {"-", "−", "–"} else share, "%", 0.0)
    if entry.unit != "s" and _RATIO.fullmatch(text.strip()):
        wanted = " or ".join(f"0.1 {one}".rstrip() for one in entry.display)
        raise UnitError(
            f"{entry.name} = {told(text)} is two numbers, and one is needed.",
            quantity=entry.name,
            value=text,
            advice=f"Write one number, like {wanted}.",
        )
    try:
        made = written(text)
    except UnitError as cause:
        raise UnitError(
            f"{entry.name}: {str(cause).removesuffix(cause.advice).strip()}",
            quantity=entry.name,
            value=text,
            advice=cause.advice,
        ) from cause
    return made._replace(unit=_DEGREES.get(made.unit, made.unit)) if entry.unit == "K" else made


def _one_by_one(entry: Quantity, value: Given) -> NDArray[np.float64]:
    """Read a list or a series of texts, each as if it stood alone."""
    if isinstance(value, list | tuple):
        rows = [np.asarray(to_si(entry, one)) for one in value]
        if len({one.shape for one in rows}) > 1:
            raise UnitError(
                f"{entry.name} = {told(value)} is no table: its rows are not equally long.",
                quantity=entry.name,
                value=value,
                advice="Give as many values in each.",
            )
        return np.stack(rows)
    parts = np.asarray(value, dtype=object)
    made = np.array([entry.read_one(one) for one in several(value)])
    return made.reshape(parts.shape)


def _mistaken(entry: Quantity, numbers: NDArray[np.float64]) -> UnitError:
    odd = float(numbers[_MISTAKEN[entry.unit](numbers)].flat[0])
    display = entry.display[0]
    return UnitError(
        f"{entry.name} = {odd:.6g}: a bare number is SI ({entry.unit}), "
        f"which makes {entry.in_unit(odd):.6g} {display}.",
        quantity=entry.name,
        value=odd,
        unit=entry.unit,
        advice=f'Write "{odd:.6g} {display}" if you mean that, or the unit you do mean.',
    )


def _one_point_or_none(text: str) -> str:
    """Say how a number with a comma can be written: it parts thousands here and decimals there."""
    grouped = _GROUPED.match(text)
    if grouped is None:
        return "Write the number with a decimal point."
    number, unit = grouped[0], text[grouped.end() :].strip()
    ways = (number.replace(",", ""), number.replace(",", ".", 1))
    if number.count(",") > 1:
        return f"Write {ways[0]} {unit}".rstrip() + "."
    return f"Write {ways[0]} {unit}".rstrip() + f" or {ways[1]} {unit}".rstrip() + "."


def _convert(
    entry: Quantity, numbers: NDArray[np.float64], label: str, value: object
) -> NDArray[np.float64]:
    try:
        alike = units.same_dimension(label, entry.unit)
    except UnitError as cause:
        if units.ambiguous(label):
            words = str(cause).removesuffix(cause.advice).strip()
            raise UnitError(
                f"{entry.name} = {told(value)}: {words[0].lower()}{words[1:]}",
                quantity=entry.name,
                value=value,
                unit=label,
                advice=cause.advice,
            ) from cause
        raise UnitError(
            f"{entry.name} = {told(value)}: the unit {told(label)} cannot be read.",
            quantity=entry.name,
            value=value,
            unit=label,
            advice=_one_point_or_none(str(value))
            if _COMMA.match(label)
            else f"Use {' or '.join(one or 'a plain number' for one in entry.display)}.",
        ) from cause
    if not alike and units.inverse(label, entry.unit):
        if np.any(numbers == 0):
            raise OutOfBoundsError(
                f"{entry.name} = 0 {label}: nought turned round is without limit, and no number of "
                f"{entry.display[0]}.",
                quantity=entry.name,
                value=0.0,
                unit=label,
                limit=0.0,
                advice=f"Give more than 0 {label}, or leave the quantity out.",
            )
        with np.errstate(over="ignore"):
            return 1 / (numbers * units.unit(label).factor)
    if not alike:
        raise UnitError(
            f"{entry.name} = {told(value)}: {told(label)[1:-1]} does not measure what "
            f"{entry.display[0] or 'a plain number'} does.",
            quantity=entry.name,
            value=value,
            unit=label,
            limit=entry.unit,
            advice=f"Use {' or '.join(one or 'a plain number' for one in entry.display)}.",
        )
    known = units.unit(label)
    return numbers * known.factor + known.offset
