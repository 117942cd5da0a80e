"""Units: one pint registry, the labels shown to people, and the way from text to SI numbers.

Numbers inside Chalkwatt are SI; units are for people. A label such as ``kWh/100 km`` is what a
person reads and types; pint knows it by a plain expression. Reading never evaluates text.
"""

from __future__ import annotations

import math
import re
import tokenize
from contextlib import contextmanager
from functools import cache, lru_cache
from typing import TYPE_CHECKING, Any, NamedTuple, TypeVar, cast

from chalkwatt.errors import UnitError, told
from chalkwatt.wording.conversions import TABLE
from chalkwatt.wording.written import BLANKS, written

if TYPE_CHECKING:
    from collections.abc import Iterator

    import numpy as np
    import pint
    from numpy.typing import NDArray

    M = TypeVar("M", bound=float | NDArray[np.float64])

__all__ = [
    "Unit",
    "ambiguous",
    "as_label",
    "counterpart",
    "dimension",
    "inverse",
    "measures",
    "quantity",
    "read",
    "registry",
    "same_dimension",
    "turned",
    "unit",
]

# Labels that pint does not know, or would read differently from a person. "C" is a C-rate here, one
# over an hour, as on every cell's data sheet; a coulomb is written "coulomb" or "A*s".
_ALIASES = {
    # Turns of a motor are counted, as data sheets count them: no angle in radians.
    "rpm": "1/min",
    "rev/min": "1/min",
    "r/min": "1/min",
    "U/min": "1/min",
    "revolutions_per_minute": "1/min",
    "1": "",
    "": "",
    "dimensionless": "",
    "C": "1/hour",
    "kmh": "km/hour",
    "km/hr": "km/hour",
    "KM/H": "km/hour",
    "PS": "metric_horsepower",
    # Brake horsepower is measured at the shaft; its horse is the mechanical one.
    **dict.fromkeys(("bhp", "BHP", "HP", "Hp", "brake horsepower"), "horsepower"),
    **dict.fromkeys(("kmph", "KMH", "kilometres an hour", "kilometers an hour"), "km/hour"),
    **dict.fromkeys(("deg C", "degrees Celsius", "degrees C", "Celsius", "ºC"), "degC"),
    **dict.fromkeys(("deg F", "degrees Fahrenheit", "degrees F", "Fahrenheit", "ºF"), "degF"),
    **dict.fromkeys(("kilowatt-hour", "kilowatt-hours"), "kWh"),
    **dict.fromkeys(("amp-hour", "amp-hours", "ampere-hour", "ampere-hours"), "Ah"),
    "mpg": "mile/gallon",
    "mpge": "mile/gallon",
    "MPGe": "mile/gallon",
    "lbft": "lbf*foot",
    **{
        f"{one}{between}{other}": "lbf*foot"
        for one, other in (
            *(("lb", "ft"), ("ft", "lb"), ("lbs", "ft"), ("ft", "lbs")),
            *(("pound", "feet"), ("foot", "pounds"), ("pound", "foot"), ("foot", "pound")),
        )
        for between in "- ·"
    },
}
_WORDS = {
    "·": "*",
    "^": "**",
    "−": "-",
    "Ω": "ohm",
    "\u2126": "ohm",  # the sign of its own that looks the same
    "℃": "degC",
    "℉": "degF",
    "°C": "degC",
    "°F": "degF",
    "°": "degree",
    "%": "percent",
    "‰": "permille",
}
# Names in a hand that heeds no capitals, where it can mean one thing only; "mW" and "MW" are two.
_SPELLINGS = {
    **dict.fromkeys(("kwh", "Kwh", "KWh", "KWH"), "kWh"),
    "wh": "Wh",
    **dict.fromkeys(("kw", "Kw", "KW"), "kW"),
    **dict.fromkeys(("KG", "Kg", "kgs", "kilos", "kilo"), "kg"),
    **dict.fromkeys(("KM", "Km", "kms"), "km"),
    **dict.fromkeys(("Mile", "Miles"), "mile"),
    **dict.fromkeys(("ah", "AH"), "Ah"),
    **dict.fromkeys(("mah", "MAH"), "mAh"),
    **dict.fromkeys(("amps", "Amp", "Amps"), "ampere"),
    **dict.fromkeys(("Volt", "Volts"), "volt"),
    **dict.fromkeys(("Watt", "Watts"), "watt"),
    "RPM": "1/min",
    "kpa": "kPa",
    "hpa": "hPa",
    **dict.fromkeys(("Min", "Mins"), "min"),
}
_SPELLED = re.compile(
    rf"(?<![A-Za-zµ_])(?:{'|'.join(sorted(_SPELLINGS, key=len, reverse=True))})(?![A-Za-z0-9_])"
)
_OHM = re.compile(r"(?<![A-Za-z_])(?P<prefix>[numkMGµμ]?)(?:Ohm|OHM|ohm)s?(?![A-Za-z_])")
# A power without its sign: m2, ft3, s2.
_BARE_POWER = re.compile(r"(?<![A-Za-z_])(?P<unit>[ckm]?m|ft|in|s)(?P<power>[23])(?![0-9A-Za-z_.])")
# What people say between the units of a speed of charging: "km of range per hour", "km/h of charging".
_SAID = re.compile(r" of (?:range|charging|charge)\b")
_PER = re.compile(r" per ")
_BLANK = re.compile(rf"[{BLANKS}]+")
_HUNDRED = re.compile(
    r"/ ?(?:100 ?(?:(?P<km>km|kilomet(?:er|re)s?)|mi|miles?)|\(100 ?(?:(?P<kms>km|kilomet(?:er|re)s?)|mi|miles?)\))$"
)
# A torque. Where pint knows "Nm", it is the number of a yarn.
_TORQUE = re.compile(r"\b(?P<prefix>[kmM]?)Nm\b")
# Names, products, fractions, one level of parentheses, and powers from -9 to 9.
_RAISED = r"(?: ?\*\* ?-?(?:[1-9]|0?\.[0-9]*[1-9]|[1-9]\.[0-9]{1,4}))?"
_LETTER = "A-Za-zµμÅ"
_NAME = rf"[{_LETTER}][{_LETTER}0-9_]*{_RAISED}"
_BETWEEN = r"(?: ?[*/] ?| )"
_INNER = rf"\( ?(?:1(?= ?/)|{_NAME})(?:{_BETWEEN}{_NAME})* ?\){_RAISED}"
_ITEM = rf"(?:{_NAME}|{_INNER})"
_GRAMMAR = re.compile(rf"(?:(?:1(?= ?/)|{_ITEM})(?:{_BETWEEN}{_ITEM})*)?")
# A share of something stands alone, or over a unit: "5 % km" is a slip, and no fifty metres.
_SHARE = re.compile(r"percent|permille")
_SHARE_ALONE = re.compile(r"(?:percent|permille)(?: ?/[^%]*)?")
# Of two sizes at least, which nobody can tell from the name alone.
_SEVERAL = re.compile(r"(?<![A-Za-z_])(?:tons?|cwt|hundredweights?)(?![A-Za-z0-9_])")
_LONGEST = 100  # characters; the longest names of pint, multiplied
_HELD = 4096  # labels whose conversion is remembered
_SUPERSCRIPTS = str.maketrans("⁰¹²³⁴⁵⁶⁷⁸⁹⁻", "0123456789-")
_POWER = re.compile(r"([A-Za-zµΩ°)])([⁻]?[⁰¹²³⁴⁵⁶⁷⁸⁹]+)")
# An energy for a distance and a distance for an energy say the same thing, one upside down.
_UPSIDE_DOWN = {"J/m": "m/J", "m/J": "J/m"}
_COUNTERPARTS = {
    "mi": {"J/m": "kWh/100 mi", "m/J": "mi/kWh"},
    "km": {"J/m": "kWh/100 km", "m/J": "km/kWh"},
}


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
    >>> from chalkwatt.wording import units
    >>> units.registry().Quantity(90.0, "km/h").to("m/s").magnitude
    25.0
    """
    import pint  # noqa: PLC0415  pint is slow to import

    made: pint.UnitRegistry[Any] = pint.UnitRegistry(autoconvert_offset_to_baseunit=True)
    made.define("hundred_km = 100 * kilometer")
    made.define("hundred_mi = 100 * mile")
    made.define("newton_metre = newton * meter")
    return made


def _expression(label: str) -> str:
    text = _BLANK.sub(" ", _SAID.sub("", label)).strip()
    if text in _ALIASES:
        return _ALIASES[text]
    text = _PER.sub("/", text)
    text = _HUNDRED.sub(
        lambda found: "/hundred_km" if found["km"] or found["kms"] else "/hundred_mi", text
    )
    text = _SPELLED.sub(lambda found: _SPELLINGS[found[0]], text)
    text = _OHM.sub(r"\g<prefix>ohm", text)
    text = _BARE_POWER.sub(r"\g<unit>**\g<power>", text)
    text = _TORQUE.sub(r"\g<prefix>newton_metre", text)
    text = _POWER.sub(lambda found: found[1] + "**" + found[2].translate(_SUPERSCRIPTS), text)
    for sign, word in _WORDS.items():
        text = text.replace(sign, word)
    return text


@contextmanager
def _reading(label: str) -> Iterator[None]:
    """Say of whatever fails inside pint that the label cannot be read."""
    import pint  # noqa: PLC0415  pint is slow to import

    try:
        yield
    except UnitError:
        raise
    except (
        pint.PintError,
        ArithmeticError,
        AssertionError,
        AttributeError,
        LookupError,
        RecursionError,
        SyntaxError,
        TypeError,
        ValueError,
        tokenize.TokenError,
    ) as cause:
        # An unknown name; one that pint reads as a number, such as nan; a power beyond all numbers.
        raise _unreadable(label) from cause


@lru_cache(_HELD)
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
    >>> from chalkwatt.wording import units
    >>> units.unit("kWh").factor
    3600000.0
    """
    if label in TABLE:
        return Unit(label, *TABLE[label][:2])
    made = _pint_unit(label)
    ureg = registry()
    with _reading(label):
        zero, one, two = (
            float(ureg.Quantity(number, made).to_base_units().magnitude)
            for number in (0.0, 1.0, 2.0)
        )
    # Decibels and their like are no multiple of anything: 2 of them are not twice one.
    if not 0 < one - zero < math.inf or not math.isclose(two - zero, 2 * (one - zero)):
        raise _unreadable(label)
    return Unit(label, _clean(one - zero), zero)


def _clean(factor: float) -> float:
    # 1 - 273.15 + 273.15 leaves dust in the last bits of a degree; nothing else has an offset.
    return round(factor, 12) if abs(factor - 1) < 1e-9 else factor


@lru_cache(_HELD)
def _pint_unit(label: str) -> pint.Unit:
    # Only what this grammar knows reaches pint: no arithmetic, no towers of powers that never end.
    if len(label) > _LONGEST:
        raise _unreadable(label)
    expression = _expression(label)
    if len(expression) > _LONGEST or not _GRAMMAR.fullmatch(expression):
        raise _unreadable(label)
    if _SHARE.search(expression) and not _SHARE_ALONE.fullmatch(expression):
        raise _unreadable(label)
    if found := _SEVERAL.search(expression):
        raise UnitError(
            f"The unit {told(label)} can be read in two ways: a {found[0]} is one weight in the United States and "
            "another in Britain.",
            unit=label,
            advice="Write t (1000 kg), short_ton (2000 lb), long_ton (2240 lb), lb or kg.",
        )
    with _reading(label):
        return registry().parse_units(expression)


def ambiguous(label: str) -> bool:
    """Say whether a label holds a unit that is one size here and another there.

    Examples
    --------
    >>> from chalkwatt.wording import units
    >>> units.ambiguous("tons"), units.ambiguous("short_ton")
    (True, False)
    """
    return _SEVERAL.search(label) is not None


def _unreadable(label: str) -> UnitError:
    return UnitError(
        f"The unit {told(label)} cannot be read.",
        unit=label,
        advice="Write it like km/h, kWh, m^2, kg/m^3, Wh/km or °C.",
    )


@lru_cache(_HELD)
def same_dimension(first: str, second: str) -> bool:
    """Say whether two unit labels measure the same thing."""
    return dimension(first) == dimension(second)


@lru_cache(_HELD)
def dimension(label: str) -> str:
    """Return the dimension of a unit as text.

    An angle counts as a dimension of its own here, although it is a plain number to pint: a grade
    of 5 % and a grade angle of 5° are not the same thing.

    Examples
    --------
    >>> from chalkwatt.wording import units
    >>> units.dimension("km/h")
    'length^1 time^-1'
    """
    if label in TABLE:
        return TABLE[label][2]
    unit(label)  # what has no factor, such as a decibel, has no dimension either
    made = _pint_unit(label)
    with _reading(label):
        powers = {str(name).strip("[]"): power for name, power in made.dimensionality.items()}
        _, root = registry().get_root_units(made)
        parts = dict(registry().Quantity(1.0, root).unit_items())
        if "radian" in parts:
            powers["angle"] = parts["radian"]
        return " ".join(f"{name}^{power:g}" for name, power in sorted(powers.items()))


def as_label(given: object) -> str:
    """Return a unit as text; a unit of pint is written out, and what is neither is no unit.

    Raises
    ------
    UnitError
    """
    if isinstance(given, str):
        return given
    if hasattr(given, "dimensionality"):
        return str(given)
    raise UnitError(
        f"{told(given)} is no unit.", advice="Write one like km/h, kWh, m^2, kg/m^3, Wh/km or °C."
    )


def measures(label: str, si_unit: str) -> bool:
    """Say whether a label can be read and measures what an SI unit does.

    Examples
    --------
    >>> from chalkwatt.wording import units
    >>> units.measures("km", "m"), units.measures("km", "s"), units.measures("no unit", "m")
    (True, False, False)
    """
    try:
        return same_dimension(label, si_unit)
    except UnitError:
        return False


def inverse(label: str, si_unit: str) -> bool:
    """Say whether a unit is that of distance per energy where energy per distance is meant, or turned.

    A person who drives in miles per kilowatt-hour means the same thing as one who counts
    kilowatt-hours per 100 km; the number of one is 1 over that of the other.

    Parameters
    ----------
    label : str
        As a person writes it.
    si_unit : str
        The SI unit of the quantity that is meant: ``"J/m"`` or ``"m/J"``; nothing else has an inverse.

    Returns
    -------
    bool

    Examples
    --------
    >>> from chalkwatt.wording import units
    >>> units.inverse("mi/kWh", "J/m"), units.inverse("Wh/km", "J/m"), units.inverse("s", "1/s")
    (True, False, False)
    """
    turned = _UPSIDE_DOWN.get(si_unit)
    return turned is not None and same_dimension(label, turned)


def turned(si_unit: str) -> str:
    """Return the SI unit of what an energy per distance, or a distance per energy, is turned round.

    Examples
    --------
    >>> from chalkwatt.wording import units
    >>> units.turned("J/m")
    'm/J'
    """
    return _UPSIDE_DOWN[si_unit]


def counterpart(label: str, si_unit: str) -> str:
    """Return the unit in which to show what was given upside down, in the same kind of distance.

    Examples
    --------
    >>> from chalkwatt.wording import units
    >>> units.counterpart("mi/kWh", "J/m"), units.counterpart("kWh/100 km", "m/J")
    ('kWh/100 mi', 'km/kWh')
    """
    return _COUNTERPARTS["mi" if re.search(r"\bmi", label) else "km"][si_unit]


def read(text: str) -> tuple[float, str]:
    """Split text such as ``"38 kWh"`` into a number and a unit label.

    Parameters
    ----------
    text : str
        A number as :mod:`chalkwatt.wording.written` reads it, a space if you like, and a unit; the unit may
        be missing.

    Returns
    -------
    tuple of float and str

    Raises
    ------
    UnitError
        If the text does not begin with a number.

    Examples
    --------
    >>> from chalkwatt.wording import units
    >>> units.read("0.62 m^2")
    (0.62, 'm^2')
    """
    number, label, _ = written(text)
    return number, label


def quantity(si: M, si_unit: str, label: str) -> pint.Quantity[M]:
    """Make a pint quantity in the unit ``label`` from an SI number or array."""
    known = unit(label)
    if not same_dimension(si_unit, label):
        raise UnitError(
            f"{told(label)} does not measure what {si_unit or 'a plain number'!r} measures.",
            unit=label,
            limit=si_unit,
        )
    shown = cast("M", (si - known.offset) / known.factor)
    return registry().Quantity(shown, _pint_unit(label))
