"""Numbers with units in prose: found in digits or in words, with what the wording claims of them.

"About 260 miles" claims less than "262.4 miles"; "a little over six kilowatts" claims a side. Every
number that is found carries the ends of what its wording allows.
"""

from __future__ import annotations

import functools
import re
from dataclasses import dataclass
from typing import TYPE_CHECKING

from chalkwatt.errors import ChalkwattError
from chalkwatt.laws.quantities import glossary
from chalkwatt.wording import units
from chalkwatt.wording.speech import say_unit

if TYPE_CHECKING:
    from collections.abc import Iterator

__all__ = ["Mention", "find_mentions"]

_ONES = [
    "zero",
    "one",
    "two",
    "three",
    "four",
    "five",
    "six",
    "seven",
    "eight",
    "nine",
    "ten",
    "eleven",
    "twelve",
    "thirteen",
    "fourteen",
    "fifteen",
    "sixteen",
    "seventeen",
    "eighteen",
    "nineteen",
]
_TENS = ["twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"]
_VALUES: dict[str, float] = {word: float(place) for place, word in enumerate(_ONES)}
_VALUES |= {word: 10.0 * (place + 2) for place, word in enumerate(_TENS)} | {"nought": 0.0}
_SCALES = {"hundred": 1e2, "thousand": 1e3, "million": 1e6}

# What the wording allows, as shares of the number: below it and above it.
_LOOSE = r"about|around|roughly|some|approximately|nearly|almost|close to|or so|circa|ca\."
_OVER = r"(?:a little|just|slightly|a bit|a shade) (?:over|above|more than)"
_UNDER = r"(?:a little|just|slightly|a bit|a shade) (?:under|below|less than)|not quite"
_HEDGED = 0.05
_WORD = "|".join(sorted([*_VALUES, *_SCALES], key=len, reverse=True))
_DIGITS = (
    r"[-−]?\d{1,3}(?:[,\u202f\u2009 ]\d{3})+(?:\.\d+)?(?!\d)|[-−]?\d+(?:\.\d+)?"
    r"(?:\s*[×x]\s*10(?:\^?[-−]?\d+|[⁻⁰¹²³⁴⁵⁶⁷⁸⁹]+))?"
)
_IN_WORDS = (
    rf"(?:minus\s+)?(?:a\s+)?(?:{_WORD})(?:[\s-]+(?:and\s+)?(?:{_WORD}))*"
    rf"(?:\s+point(?:\s+(?:{_WORD}))+)?|half a|a half"
)
_NUMBER = f"{_DIGITS}|{_IN_WORDS}"
# Between words, "and" and a hyphen belong to the number.
_FIRST = rf"(?:(?P<first>{_DIGITS})\s*(?:to|and|or|–|-)|(?P<first_word>{_IN_WORDS})\s+(?:to|or))\s*"
_SUPERSCRIPTS = str.maketrans("⁰¹²³⁴⁵⁶⁷⁸⁹⁻", "0123456789-")


@dataclass(frozen=True)
class Mention:
    """A number with a unit in prose.

    ``low`` and ``high`` are the ends of what the wording allows; they and ``si`` are in SI units.
    """

    line: int
    column: int
    text: str
    label: str
    si: float
    low: float
    high: float


@functools.cache
def _unit_words() -> dict[str, str]:
    """Return every way to write or say a unit of the glossary, with its label."""
    labels = {label for entry in glossary().values() for label in entry.display if label}
    labels |= {
        "km",
        "mi",
        "km/h",
        "mph",
        "kWh",
        "Wh",
        "kW",
        "W",
        "kg",
        "h",
        "min",
        "s",
        "%",
        "V",
        "A",
    }
    words: dict[str, str] = {}
    for label in sorted(labels):
        for way in (label, say_unit(label), say_unit(label, one=True)):
            if way:
                words.setdefault(way if len(way) <= 3 or way == label else way.lower(), label)
    for way, label in list(words.items()):
        if "metre" in way:
            words.setdefault(way.replace("metre", "meter"), label)
        if "-hour" in way:
            words.setdefault(way.replace("-hour", " hour"), label)
    words |= {
        "per cent": "%",
        "kilos": "kg",
        "kph": "km/h",
        "kmh": "km/h",
        "mins": "min",
        "hrs": "h",
    }
    words |= {"km/hr": "km/h", "kwh": "kWh", "kWh/100km": "kWh/100 km", "secs": "s", "degrees": "°"}
    return {way: label for way, label in words.items() if _known(label)}


def _known(label: str) -> bool:
    try:
        units.unit(label)
    except ChalkwattError:
        return False
    return True


@functools.cache
def _pattern() -> re.Pattern[str]:
    ways = sorted(_unit_words(), key=len, reverse=True)
    unit = "|".join(
        r"[\s-]+".join(re.escape(part) for part in re.split(r"[\s-]+", way)) for way in ways
    )
    return re.compile(
        rf"(?P<hedge>(?:\b(?:{_LOOSE}|{_OVER}|{_UNDER})\s+))?"
        rf"(?:(?<![\w.]){_FIRST})?"
        rf"(?<![\w.])(?P<number>{_NUMBER})(?:[\s\u202f\u2009-]|\\?(?=%))*(?P<unit>{unit})(?![\w])",
        re.IGNORECASE,
    )


def find_mentions(text: str) -> Iterator[Mention]:
    """Find every number with a unit in prose.

    Parameters
    ----------
    text : str
        Prose or Markdown.

    Yields
    ------
    Mention

    Examples
    --------
    >>> from chalkwatt.scripts.spoken_numbers import find_mentions
    >>> [(one.text, one.label) for one in find_mentions("About 260 miles at ninety km/h.")]
    [('About 260 miles', 'mi'), ('ninety km/h', 'km/h')]
    """
    starts = [0, *(found.end() for found in re.finditer("\n", text))]
    line = 0
    last: tuple[Mention, int] | None = None
    for found in _pattern().finditer(text):
        label = _label(found["unit"])
        if label is None:
            continue
        while line + 1 < len(starts) and starts[line + 1] <= found.start("number"):
            line += 1
        at = line + 1, found.start() - starts[line] + 1
        made = [
            _mention(at, found, one, label)
            for one in (found["first"] or found["first_word"], found["number"])
            if one is not None
        ]
        if last is not None and label == "min" and last[0].label == "h":
            between = text[last[1] : found.start()]
            if re.fullmatch(r"\s*(?:and)?\s*", between):
                made = [
                    _together(last[0], made[-1], text[last[1] - len(last[0].text) : found.end()])
                ]
                last = None
        if last is not None:
            yield last[0]
        yield from made[:-1]
        last = made[-1], found.end()
    if last is not None:
        yield last[0]


def _label(written: str) -> str | None:
    """Find the label of a unit as written; signs keep their capitals, words need not."""
    words = _unit_words()
    tidy = re.sub(r"\s+", " ", written)
    for way in (
        tidy,
        tidy.lower(),
        tidy.lower().replace(" hour", "-hour"),
        tidy.lower().replace("-", " "),
    ):
        if way in words and (len(way) > 2 or way == tidy):
            return words[way]
    return None


def _mention(at: tuple[int, int], found: re.Match[str], number: str, label: str) -> Mention:
    value, grain = _read(number)
    low, high = value - grain, value + grain
    hedge = (found["hedge"] or "").strip().lower()
    reach = abs(value) * _HEDGED
    if re.fullmatch(_OVER, hedge):
        low, high = value, value + reach
    elif re.fullmatch(_UNDER, hedge) or hedge in {"nearly", "almost"}:
        low, high = value - reach, value
    elif hedge:
        low, high = min(low, value - reach / 2), max(high, value + reach / 2)
    known = units.unit(label)
    si = [one * known.factor + known.offset for one in (value, low, high)]
    return Mention(*at, " ".join(found[0].split()), label, si[0], min(si[1:]), max(si[1:]))


def _together(hours: Mention, minutes: Mention, text: str) -> Mention:
    """Join hours and minutes to one time; the minutes say how fine it is."""
    si = hours.si + minutes.si
    below, above = minutes.si - minutes.low, minutes.high - minutes.si
    if re.match(_LOOSE, hours.text, re.IGNORECASE):
        below, above = max(below, 300.0), max(above, 300.0)
    return Mention(
        hours.line, hours.column, " ".join(text.split()), "h", si, si - below, si + above
    )


def _read(text: str) -> tuple[float, float]:
    """Return a number and half the worth of its last digit; nought at the end may be rounding."""
    clean = re.sub(r"[,\u202f\u2009 ](?=\d{3})", "", text.strip()).replace("−", "-")
    power = 0
    found = re.fullmatch(r"(-?\d+(?:\.\d+)?)\s*[×x]\s*10\^?(\S+)", clean)
    if found:
        clean, power = found[1], int(found[2].translate(_SUPERSCRIPTS))
    if re.fullmatch(r"-?\d+(?:\.\d+)?", clean):
        digits = clean.lstrip("-")
        if "." in digits:
            grain = 0.5 * 10.0 ** -len(digits.partition(".")[2])
        else:
            grain = 0.5 * 10.0 ** min(
                len(digits) - len(digits.rstrip("0")), len(digits) - 2 if len(digits) > 2 else 0
            )
        return float(clean) * 10.0**power, grain * 10.0**power
    value = _from_words(clean.lower())
    size = len(str(int(abs(value)))) if abs(value) >= 1 else 1
    zeros = len(str(int(abs(value)))) - len(str(int(abs(value))).rstrip("0")) if value else 0
    grain = 0.05 if value != int(value) else 0.5 * 10.0 ** min(zeros, max(size - 2, 0))
    return value, grain


def _from_words(text: str) -> float:
    if text in {"half a", "a half"}:
        return 0.5
    sign = -1.0 if text.startswith("minus") else 1.0
    whole, _, rest = text.removeprefix("minus").strip().partition(" point ")
    total = part = 0.0
    for word in re.split(r"[\s-]+", whole):
        if word in _VALUES:
            part += _VALUES[word]
        elif word == "a":
            part = 1.0
        elif word == "hundred":
            part = (part or 1.0) * 100
        elif word in _SCALES:
            total, part = total + (part or 1.0) * _SCALES[word], 0.0
    digits = "".join(str(int(_VALUES[word])) for word in rest.split() if word in _VALUES)
    return sign * (total + part + (float(f"0.{digits}") if digits else 0.0))
