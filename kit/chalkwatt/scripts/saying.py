"""Numbers as people say them, with no more digits than an ear holds or the spread allows."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from decimal import ROUND_CEILING, ROUND_FLOOR, ROUND_HALF_UP, Decimal
from typing import TYPE_CHECKING

from chalkwatt.calls import checked_call
from chalkwatt.errors import UnitError
from chalkwatt.evidence.spread.draws import digits_for
from chalkwatt.laws.quantities import look_up
from chalkwatt.wording import units
from chalkwatt.wording.numbers import format_number
from chalkwatt.wording.speech import say_number, say_unit

if TYPE_CHECKING:
    from chalkwatt.scripts.stated import Stated

__all__ = ["Said", "in_words", "rounded", "say_about"]

_EAR = 2  # significant digits that a listener keeps
_NEAR = 0.035  # relative; this far beside a round number it is "a little over" or "just under" it
_SAME = 0.004  # relative; this near it is the round number
_MOST_SHOWN = 4  # digits on screen where no spread is known
_WORDS = (
    *("nought", "one", "two", "three", "four", "five", "six"),
    *("seven", "eight", "nine", "ten", "eleven", "twelve"),
)
_HOUR = 3600.0
_WHOLE = 1e-9  # relative; nearer to a whole number than this is rounding


def rounded(value: float, digits: int) -> float:
    """Round to significant digits, ties away from zero.

    Examples
    --------
    >>> from chalkwatt.scripts.saying import rounded
    >>> rounded(262.5, 2), rounded(0.0475, 2)
    (260.0, 0.048)
    """
    if value == 0 or not math.isfinite(value):
        return value
    exact = Decimal(value)
    return float(exact.quantize(Decimal(1).scaleb(exact.adjusted() - digits + 1), ROUND_HALF_UP))


def outward(low: float, high: float, digits: int) -> tuple[float, float]:
    """Round the ends of a span to significant digits, the lower one down and the upper one up.

    Examples
    --------
    >>> from chalkwatt.scripts.saying import outward
    >>> outward(191.4, 205.2, 3)
    (191.0, 206.0)
    """
    made = []
    for value, way in ((low, ROUND_FLOOR), (high, ROUND_CEILING)):
        exact = Decimal(value)
        grain = Decimal(1).scaleb(exact.adjusted() - digits + 1) if value else Decimal(1)
        made.append(float(exact.quantize(grain, way)))
    return made[0], made[1]


def in_words(value: float) -> str:
    """Say a number: whole ones up to twelve as words, all others in digits.

    Examples
    --------
    >>> from chalkwatt.scripts.saying import in_words
    >>> in_words(6.0), in_words(260.0), in_words(-0.5)
    ('six', '260', 'minus 0.5')
    """
    if value == int(value) and 0 <= abs(value) < len(_WORDS):
        return ("minus " if value < 0 else "") + _WORDS[int(abs(value))]
    if float(value).is_integer() and abs(value) < 1e15:
        whole = f"{abs(int(value)):,}" if abs(value) >= 10_000 else str(abs(int(value)))
        return ("minus " if value < 0 else "") + whole
    return say_number(value, 12)


def say_about(value: float, low: float, high: float, label: str) -> str:
    """Say a number with its unit, rounded, and how it was rounded.

    Parameters
    ----------
    value, low, high : float
        The value and the ends of its spread, in the unit; all alike where no spread is known.
    label : str
        The unit.

    Returns
    -------
    str

    Examples
    --------
    >>> from chalkwatt.scripts.saying import say_about
    >>> say_about(261.3, 261.3, 261.3, "mi"), say_about(6.17, 6.17, 6.17, "kW")
    ('about 260 miles', 'a little over six kilowatts')
    """
    half = (high - low) / 2
    digits = min(_EAR, _allowed(value, half))
    told = rounded(value, digits)
    round_one = rounded(value, 1) if abs(value) >= 1 else told
    apart = (value - round_one) / abs(value) if value else 0.0
    if half == 0 and math.isclose(value, told, rel_tol=1e-12):
        word = ""
    elif _SAME < apart <= _NEAR and low > round_one:
        word, told = "a little over", round_one
    elif -_NEAR <= apart < -_SAME and high < round_one:
        word, told = "just under", round_one
    else:
        word = "about"
    if value < 0 and word in {"a little over", "just under"}:
        word, told = "about", rounded(value, digits)
    number = in_words(told)
    return f"{word} {number} {say_unit(label, one=told == 1)}".strip()


def _allowed(value: float, half: float) -> int:
    """Return how many digits a spread allows: the last one said is worth at least half of it."""
    if half == 0 or value == 0:
        return _EAR
    last = math.floor(math.log10(half) + math.log10(2) - 1e-12)
    return max(math.floor(math.log10(abs(value))) - last + 1, 1)


def say_time(seconds: float, half: float) -> str:
    """Say a time of an hour or more in hours and minutes.

    Examples
    --------
    >>> from chalkwatt.scripts.saying import say_time
    >>> say_time(13_770.0, 0.0), say_time(13_770.0, 2000.0)
    ('about three hours and 50 minutes', 'about four hours')
    """
    grain = 5 if seconds < 2 * _HOUR else 10
    if half > 0.25 * _HOUR:
        grain = 30 if half <= 0.5 * _HOUR else 60
    minutes = math.floor(seconds / 60 / grain + 0.5) * grain
    hours, rest = divmod(minutes, 60)
    said = f"{in_words(float(hours))} hour{'s' if hours != 1 else ''}"
    if rest:
        said += f" and {rest} minutes"
    return said if minutes * 60 == seconds and half == 0 else f"about {said}"


@dataclass(frozen=True)
class Said:
    """A number in a script: as text it is said; ``between`` and ``figures`` write it otherwise.

    ``when`` says for which drive it holds, with a space before it, and ``notes`` what has to be said beside it.
    """

    stated: Stated
    label: str
    form: str = "about"

    def __str__(self) -> str:
        return self.text

    @property
    def text(self) -> str:
        """The number in its form, with its unit."""
        if self.form == "figures":
            return self._figures()
        if self.form == "between" and not self.stated.exact:
            return self._between()
        half = (self.stated.high - self.stated.low) / 2
        if self.label == "h" and self.stated.si >= _HOUR:
            return say_time(self.stated.si, half)
        if half == 0 and look_up(self.stated.name).whole and not self.label:
            # A count is told whole: nobody counts about 3460 cells.
            count = self.stated.si
            near = round(count)
            exact = math.isclose(count, near, rel_tol=_WHOLE)
            return f"{'' if exact else 'about '}{in_words(float(near))}"
        return say_about(*self.stated.in_unit(self.label), self.label)

    @property
    def negative(self) -> bool:
        """Whether it is below nought, where other words than "minus" may be called for."""
        return self.stated.si < 0

    @property
    def when(self) -> str:
        """For which drive it holds, as " at a steady 90 km/h on a level road, without wind or heater"."""
        return self.stated.driven

    @property
    def notes(self) -> tuple[str, ...]:
        """What has to be said beside it, each as a sentence."""
        return self.stated.notes

    @property
    def between(self) -> Said:
        """The ends of the spread; the number itself where none is known."""
        return replace(self, form="between")

    @property
    def figures(self) -> Said:
        """In digits with the unit's sign, as many as the spread allows: for a caption."""
        return replace(self, form="figures")

    def _between(self) -> str:
        _, low, high = self.stated.in_unit(self.label)
        half = (high - low) / 2
        digits = min(_allowed(one, half) for one in (low, high))
        while rounded(low, digits) == rounded(high, digits):
            digits += 1
        ends = " and ".join(in_words(rounded(one, digits)) for one in (low, high))
        return f"between {ends} {say_unit(self.label)}".strip()

    def _figures(self) -> str:
        value, low, high = self.stated.in_unit(self.label)
        digits = digits_for(value, (high - low) / 2) if low != high else _MOST_SHOWN
        shown = format_number(value, min(digits, _MOST_SHOWN))
        return f"{shown}°" if self.label == "°" else f"{shown} {self.label}".strip()

    @checked_call
    def to(self, label: str) -> Said:
        """Say it in another unit.

        Raises
        ------
        UnitError
            If the unit measures something else.
        """
        entry = look_up(self.stated.name)
        if not units.same_dimension(label, entry.unit):
            raise UnitError(
                f"{label} does not measure what {entry.name} does.",
                quantity=entry.name,
                unit=label,
                advice=f"Use {' or '.join(one or 'a plain number' for one in entry.display)}.",
            )
        known = units.unit(label)[1:]
        alike = [one for one in entry.display if units.unit(one)[1:] == known]
        return replace(self, label=alike[0] if alike else label)
