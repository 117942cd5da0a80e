"""Units: one pint registry, the labels shown to people, and the way from text to SI numbers.

Numbers inside Chalkwatt are SI; units are for people. A label such as ``kWh/100 km`` is what a
person reads and types; pint knows it by a plain expression. Reading never evaluates text.
"""

from __future__ import annotations

import math
import re
from functools import cache
from typing import TYPE_CHECKING, Any, NamedTuple

from chalkwatt.conversions import TABLE
from chalkwatt.errors import UnitError

if TYPE_CHECKING:
    import pint

__all__ = ["Unit", "dimension", "quantity", "read", "registry", "same_dimension", "unit"]

# Labels that pint would read differently from a person.
_ALIASES = {
    "kWh/100 km": "kWh/hundred_km",
    "kWh/100km": "kWh/hundred_km",
    "L/100 km": "L/hundred_km",
    "1": "",
    "": "",
    "dimensionless": "",
}
_WORDS = {
    "·": "*",
    "^": "**",
    "−": "-",
    "Ω": "ohm",
    "°C": "degC",
    "°F": "degF",
    "°": "degree",
    "%": "percent",
    "‰": "permille",
}
_NUMBER = re.compile(
    r"^\s*(?P<number>[-+−]?(?:\d+(?:[ _\u202f]\d{3})*(?:\.\d*)?|\.\d+)(?:[eE][-+−]?\d+)?)"
    r"\s*(?P<unit>.*?)\s*$"
)
# Names, products, fractions, one level of parentheses, and powers from -9 to 9.
_RAISED = r"(?: ?\*\* ?-?(?:[1-9]|0?\.\d*[1-9]|[1-9]\.\d{1,4}))?"
_NAME = rf"[^\W\d]\w*{_RAISED}"
_BETWEEN = r"(?: ?[*/] ?| )"
_INNER = rf"\( ?(?:1(?= ?/)|{_NAME})(?:{_BETWEEN}{_NAME})* ?\){_RAISED}"
_ITEM = rf"(?:{_NAME}|{_INNER})"
_GRAMMAR = re.compile(rf"(?:(?:1(?= ?/)|{_ITEM})(?:{_BETWEEN}{_ITEM})*)?")
_LONGEST = 100  # characters; the longest names of pint, multiplied
_SUPERSCRIPTS = str.maketrans("⁰¹²³⁴⁵⁶⁷⁸⁹⁻", "0123456789-")
_POWER = re.compile(r"([A-Za-zµΩ°)])([⁻]?[⁰¹²³⁴⁵⁶⁷⁸⁹]+)")


class Unit(NamedTuple):
    """A unit as a person sees it: ``si = value * factor + offset``."""

    label: str
    factor: float
    offset: float


@cache
def registry() -> pint.UnitRegistry[Any]:
    """Return the one pint registry that all of Chalkwatt uses.

    Returns
    -------
    pint.UnitRegistry

    Examples
    --------
    >>> from chalkwatt import units
    >>> units.registry().Quantity(90.0, "km/h").to("m/s").magnitude
    25.0
    """
    import pint

    made: pint.UnitRegistry[Any] = pint.UnitRegistry(autoconvert_offset_to_baseunit=True)
    made.define("hundred_km = 100 * kilometer")
    return made


def _expression(label: str) -> str:
    text = label.strip()
    if text in _ALIASES:
        return _ALIASES[text]
    text = _POWER.sub(lambda found: found[1] + "**" + found[2].translate(_SUPERSCRIPTS), text)
    for sign, word in _WORDS.items():
        text = text.replace(sign, word)
    return text


@cache
def unit(label: str) -> Unit:
    """Return the conversion of a unit label to SI.

    Parameters
    ----------
    label : str
        For example ``"km/h"``, ``"kWh/100 km"``, ``"°C"``, ``"m²"``; empty for a plain number.

    Returns
    -------
    Unit
        Label, factor and offset with ``si = value * factor + offset``.

    Raises
    ------
    UnitError
        If no such unit is known.

    Examples
    --------
    >>> from chalkwatt import units
    >>> units.unit("kWh").factor
    3600000.0
    """
    if label in TABLE:
        return Unit(label, *TABLE[label][:2])
    made = _pint_unit(label)
    ureg = registry()
    try:
        zero, one, two = (
            float(ureg.Quantity(number, made).to_base_units().magnitude)
            for number in (0.0, 1.0, 2.0)
        )
    except OverflowError as cause:
        raise _unreadable(label) from cause
    # Decibels and their like are no multiple of anything: 2 of them are not twice one.
    if not 0 < one - zero < math.inf or not math.isclose(two - zero, 2 * (one - zero)):
        raise _unreadable(label)
    return Unit(label, _clean(one - zero), zero)


def _clean(factor: float) -> float:
    # 1 - 273.15 + 273.15 leaves dust in the last bits of a degree; nothing else has an offset.
    return round(factor, 12) if abs(factor - 1) < 1e-9 else factor


@cache
def _pint_unit(label: str) -> pint.Unit:
    import pint

    expression = _expression(label)
    # Only what this grammar knows reaches pint: no arithmetic, no towers of powers that never end.
    if len(expression) > _LONGEST or not _GRAMMAR.fullmatch(expression):
        raise _unreadable(label)
    try:
        return registry().parse_units(expression)
    except (pint.PintError, ValueError) as cause:
        # An unknown name; a name that pint reads as a number, such as nan.
        raise _unreadable(label) from cause


def _unreadable(label: str) -> UnitError:
    return UnitError(
        f"The unit {label!r} cannot be read.",
        unit=label,
        advice="Write it like km/h, kWh, m^2, kg/m^3, Wh/km or °C.",
    )


@cache
def same_dimension(first: str, second: str) -> bool:
    """Say whether two unit labels measure the same thing."""
    return dimension(first) == dimension(second)


@cache
def dimension(label: str) -> str:
    """Return the dimension of a unit as text.

    An angle counts as a dimension of its own here, although it is a plain number to pint: a grade
    of 5 % and a grade angle of 5° are not the same thing.

    Examples
    --------
    >>> from chalkwatt import units
    >>> units.dimension("km/h")
    'length^1 time^-1'
    """
    if label in TABLE:
        return TABLE[label][2]
    made = _pint_unit(label)
    powers = {str(name).strip("[]"): power for name, power in made.dimensionality.items()}
    _, root = registry().get_root_units(made)
    parts = dict(registry().Quantity(1.0, root).unit_items())
    if "radian" in parts:
        powers["angle"] = parts["radian"]
    return " ".join(f"{name}^{power:g}" for name, power in sorted(powers.items()))


def read(text: str) -> tuple[float, str]:
    """Split text such as ``"38 kWh"`` into a number and a unit label.

    Parameters
    ----------
    text : str
        A number, a space if you like, and a unit; the unit may be missing.

    Returns
    -------
    tuple of float and str

    Raises
    ------
    UnitError
        If the text does not begin with a number.

    Examples
    --------
    >>> from chalkwatt import units
    >>> units.read("0.62 m^2")
    (0.62, 'm^2')
    """
    found = _NUMBER.match(text)
    if found is None:
        raise UnitError(
            f"{text!r} is not a number with a unit.",
            value=text,
            advice='Write the number first and its unit after it, like "38 kWh".',
        )
    number = (
        found["number"].replace("−", "-").replace("_", "").replace(" ", "").replace("\u202f", "")
    )
    return float(number), found["unit"]


def quantity(si: Any, si_unit: str, label: str) -> Any:  # noqa: ANN401  pint is generic
    """Make a pint quantity in the unit ``label`` from an SI number or array."""
    known = unit(label)
    if not same_dimension(si_unit, label):
        raise UnitError(
            f"{label!r} does not measure what {si_unit or 'a plain number'!r} measures.",
            unit=label,
            limit=si_unit,
        )
    return registry().Quantity((si - known.offset) / known.factor, _pint_unit(label))
