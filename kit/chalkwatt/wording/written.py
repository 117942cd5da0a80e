"""Numbers as people write them: a number, and the text after it.

==========================  ==========================================================================
``1180``, ``.5``, ``5.``     a decimal point, and no comma: a comma means one thing here and another there
``1 180``, ``1'180``         groups of three, parted by a blank of any width, an apostrophe or ``_``
``1e3``, ``1.2×10³``         a power of ten
``1/4``, ``¼``, ``1½``       one of the fractions that rulers and roads are marked in
``−7``, ``+7``               a sign; a minus may be a hyphen, a dash or the sign itself
``1 h 20 min``, ``1:20 h``   a time in units that get smaller; ``1:20`` alone may be two things, and is none
``quarter mile``             half, a quarter or an eighth of a mile or an hour, in words
==========================  ==========================================================================

What cannot be one of these is not read at all, never in part.
"""

from __future__ import annotations

import math
import re
import unicodedata
from typing import NamedTuple

from chalkwatt.errors import UnitError, told

__all__ = ["BLANKS", "Written", "compound_time", "written"]

BLANKS = " \u00a0\u2007\u2009\u200a\u202f"  # wide, narrow, breaking or not: people see a blank
_SIGNS = "+\\-−–"
_VULGAR = "¼½¾⅓⅔⅕⅖⅗⅘⅙⅚⅛⅜⅝⅞"
# Halves to sixty-fourths of an inch or a mile. "230/400 V" is no fraction, but two voltages.
_RULED = frozenset({2, 3, 4, 5, 8, 16, 32, 64})
_POWERS = str.maketrans("⁰¹²³⁴⁵⁶⁷⁸⁹⁻⁺−–", "0123456789-+--")
_GROUPED = rf"\d{{1,3}}(?P<part>[{BLANKS}_'’])\d{{3}}(?:(?P=part)\d{{3}})*(?!\d)"
_NUMBER = re.compile(
    rf"(?P<sign>[{_SIGNS}]?)(?:"
    rf"(?:(?P<whole>\d+)[{BLANKS}])?(?P<over>\d+)/(?P<under>\d+)(?![\d.])"
    rf"|(?:(?P<ones>\d+)[{BLANKS}]?)?(?P<vulgar>[{_VULGAR}])"
    rf"|(?P<digits>(?:{_GROUPED}|\d+)(?:\.\d*)?|\.\d+)"
    rf"(?:[eE](?P<power>[{_SIGNS}]?\d+)"
    rf"|[{BLANKS}]?[×x·*][{BLANKS}]?10(?:\^(?P<raised>[{_SIGNS}]?\d+)|(?P<high>[⁻⁺]?[⁰¹²³⁴⁵⁶⁷⁸⁹]+)))?"
    r")"
)
_ONE_IN = re.compile(r"C/(?P<hours>\d{1,3})")  # a C-rate of one in so many hours
_NOT_DIGITS = re.compile(rf"[{BLANKS}_'’]")
_BLANK = re.compile(rf"[{BLANKS}\t]+")
_IN_WORDS = {"half": 0.5, "quarter": 0.25, "eighth": 0.125}
_WORDED = re.compile(
    rf"(?:an?[{BLANKS}])?(?P<share>half|quarter|eighth)(?:[{BLANKS}]of)?(?:[{BLANKS}]an?)?[{BLANKS}-]"
    r"(?P<unit>mile|hour)",
    re.IGNORECASE,
)
# A time in several units: each smaller than the one before it, and none more than that would hold.
_THEN = rf"(?:[{BLANKS}]?,)?[{BLANKS}]?(?:and[{BLANKS}])?"
_COMPOUND = re.compile(
    rf"(?:(?P<d>\d{{1,5}})[{BLANKS}]?(?:d|days?))?"
    rf"(?:{_THEN}(?P<h>\d{{1,5}})[{BLANKS}]?(?:h|hrs?|hours?))?"
    # Minutes may be an m, or nothing at all, after an hour only: 20 m alone are metres.
    rf"(?:{_THEN}(?P<min>\d{{1,5}})[{BLANKS}]?(?:mins?|minutes?|(?P<short>m)|(?P<bare>(?=$))))?"
    rf"(?:{_THEN}(?P<s>\d{{1,5}}(?:\.\d*)?)[{BLANKS}]?(?:s|secs?|seconds?|(?P<last>(?=$))))?"
)
_SECONDS = {"d": 86_400, "h": 3600, "min": 60, "s": 1}
_HOLDS = {"h": 24, "min": 60, "s": 60}
_CLOCK = re.compile(
    rf"(?P<first>\d{{1,5}}):(?P<second>[0-5]\d)(?::(?P<third>[0-5]\d))?(?:[{BLANKS}]?(?P<unit>[a-z]+))?"
)
_CLOCK_UNITS = {
    "h": ("h", "min", "s"),
    "hr": ("h", "min", "s"),
    "hour": ("h", "min", "s"),
    "hours": ("h", "min", "s"),
    "min": ("min", "s"),
    "minutes": ("min", "s"),
}


class Written(NamedTuple):
    """A number as it was written.

    Attributes
    ----------
    number : float
    unit : str
        What follows it, with plain blanks.
    digit : float
        What a one in its last digit is worth; nought for a fraction, which is exact.
    """

    number: float
    unit: str
    digit: float


def written(text: str) -> Written:
    """Split text into a number and the unit after it.

    Parameters
    ----------
    text : str

    Returns
    -------
    Written

    Raises
    ------
    UnitError
        If the text does not begin with a number.

    Examples
    --------
    >>> from chalkwatt.wording.written import written
    >>> written("1'180.5 kg")
    Written(number=1180.5, unit='kg', digit=0.1)
    >>> written("1/4 mile").number, written("C/20")
    (0.25, Written(number=0.05, unit='C', digit=0.0))
    >>> written("1 h 30 min")
    Written(number=1.5, unit='h', digit=0.016666666666666666)
    """
    bare = text.strip()
    worded = _WORDED.fullmatch(bare)
    if worded is not None:
        return Written(_IN_WORDS[worded["share"].lower()], worded["unit"].lower(), 0.0)
    parts = compound_time(bare)
    if parts:
        return _time(parts)
    one_in = _ONE_IN.fullmatch(bare)
    if one_in is not None and int(one_in["hours"]):
        return Written(1 / int(one_in["hours"]), "C", 0.0)
    found = _NUMBER.match(bare)
    if found is None:
        raise UnitError(
            f"{told(text)} is not a number with a unit.",
            value=text,
            advice='Write the number first and its unit after it, like "38 kWh".',
        )
    unit = _BLANK.sub(" ", bare[found.end() :].strip())
    if found["digits"] is None and unit[:1] == "-":
        unit = unit[1:]  # a 1/4-mile run
    number, digit = _fraction(found, text) if found["digits"] is None else _decimal(found)
    sign = -1.0 if found["sign"] in {"-", "−", "–"} else 1.0
    return Written(sign * number, unit, digit)


def compound_time(text: str) -> dict[str, str]:
    """Split a time in several units into its parts.

    Parameters
    ----------
    text : str

    Returns
    -------
    dict of str to str
        The digits by unit ("d", "h", "min", "s"), the largest first; empty if it is no such time.

    Raises
    ------
    UnitError
        If it is one that may be meant in two ways, or a part is more than the unit before it holds.

    Examples
    --------
    >>> from chalkwatt.wording.written import compound_time
    >>> compound_time("1h20"), compound_time("3 min 20.5 s"), compound_time("80 min")
    ({'h': '1', 'min': '20'}, {'min': '3', 's': '20.5'}, {})
    """
    bare = _BLANK.sub(" ", text.strip())
    clock = _CLOCK.fullmatch(bare)
    if clock is not None:
        return _clock(clock, text)
    found = _COMPOUND.fullmatch(bare)
    if found is None:
        return {}
    parts = {unit: found[unit] for unit in _SECONDS if found[unit] is not None}
    units = list(parts)
    # Each must follow the one that it divides where its own unit is left out or is a mere m.
    led = (found["short"] is None and found["bare"] is None) or "h" in parts
    trailing = found["last"] is None or units[-2:] == ["min", "s"]
    if len(parts) < 2 or not led or not trailing:
        return {}
    for unit in units[1:]:
        if float(parts[unit]) >= _HOLDS[unit]:
            raise UnitError(
                f"{told(text)}: {parts[unit]} {unit} are too many after the "
                f"{units[units.index(unit) - 1]}: there are {_HOLDS[unit]}.",
                value=text,
                advice="Write it like 1 h 20 min, or in one unit.",
            )
    return parts


def _clock(clock: re.Match[str], text: str) -> dict[str, str]:
    units = _CLOCK_UNITS.get(clock["unit"] or "")
    numbers = [one for one in (clock["first"], clock["second"], clock["third"]) if one is not None]
    if units is None or len(numbers) > len(units):
        hours = f"{numbers[0]} h {numbers[1]} min"
        advice = f"Write {hours}" + (
            f" {numbers[2]} s." if len(numbers) > 2 else f" or {numbers[0]} min {numbers[1]} s."
        )
        raise UnitError(
            f"{told(text)} does not say what is before the colon, hours or minutes."
            if clock["unit"] is None
            else f"{told(text)} is no time.",
            value=text,
            advice=advice,
        )
    return dict(zip(units, numbers, strict=False))


def _time(parts: dict[str, str]) -> Written:
    """Count a time in the first of its units."""
    first, last = next(iter(parts)), list(parts)[-1]
    seconds = sum(float(number) * _SECONDS[unit] for unit, number in parts.items())
    grain = 10.0 ** -len(parts[last].partition(".")[2]) * _SECONDS[last]
    return Written(seconds / _SECONDS[first], first, grain / _SECONDS[first])


def _decimal(found: re.Match[str]) -> tuple[float, float]:
    digits = _NOT_DIGITS.sub("", found["digits"])
    power = (found["power"] or found["raised"] or found["high"] or "0").translate(_POWERS)
    decimals = len(digits.partition(".")[2])
    # Bounded: 10 to the power of what somebody wrote may be more than there are atoms.
    last = min(max(int(power[:6]) - decimals, -300), 300)
    return float(f"{digits}e{power}"), 10.0**last


def _fraction(found: re.Match[str], text: str) -> tuple[float, float]:
    if found["vulgar"] is not None:
        return float(found["ones"] or 0) + unicodedata.numeric(found["vulgar"]), 0.0
    # Twenty digits and more are no fraction of anybody's, and slow to divide.
    over, under = (int(found[end][:20]) for end in ("over", "under"))
    if not (under in _RULED and 0 < over < under and math.gcd(over, under) == 1):
        raise UnitError(
            f"{told(text)} is not one number with a unit.",
            value=text,
            advice="Write a single number, with a decimal point where it is no whole one.",
        )
    return float(found["whole"] or 0) + over / under, 0.0
