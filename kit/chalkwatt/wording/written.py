"""Numbers as people write them: a number, and the text after it.

==========================  ==========================================================================
``1180``, ``.5``, ``5.``     a decimal point, and no comma: a comma means one thing here and another there
``1 180``, ``1'180``         groups of three, parted by a blank of any width, an apostrophe or ``_``
``1e3``, ``1.2×10³``         a power of ten
``1/4``, ``¼``, ``1½``       one of the fractions that rulers and roads are marked in
``−7``, ``+7``               a sign; a minus may be a hyphen, a dash or the sign itself
==========================  ==========================================================================

What cannot be one of these is not read at all, never in part.
"""

from __future__ import annotations

import math
import re
import unicodedata
from typing import NamedTuple

from chalkwatt.errors import UnitError, told

__all__ = ["BLANKS", "Written", "written"]

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
    >>> from chalkwatt.written import written
    >>> written("1'180.5 kg")
    Written(number=1180.5, unit='kg', digit=0.1)
    >>> written("1/4 mile").number, written("C/20")
    (0.25, Written(number=0.05, unit='C', digit=0.0))
    """
    bare = text.strip()
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
    number, digit = _fraction(found, text) if found["digits"] is None else _decimal(found)
    sign = -1.0 if found["sign"] in {"-", "−", "–"} else 1.0
    return Written(sign * number, unit, digit)


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
