"""A pencil: it works out a printed line of text from its printed digits, with the units struck out.

It knows nothing of units but that ``%``, ``‰`` and ``°`` belong to the number: they are hundredths,
thousandths, and what a calculator set to degrees takes.
"""

import math
import re
from dataclasses import dataclass

from chalkwatt.laws.quantities import glossary
from chalkwatt.wording import conversions, units

RAISED = str.maketrans("⁻⁰¹²³⁴⁵⁶⁷⁸⁹", "-0123456789")
LABELS = sorted(
    {one for entry in glossary().values() for one in (*entry.display, entry.unit) if one}
    | {one for one in conversions.TABLE if one}
    | {"Wh/km", "kWh/km", "kWh/mi", "kWh/gal", "kWh/L"},
    key=len,
    reverse=True,
)
_NUMBER = re.compile(
    r"(?P<number>\d{1,3}(?:\u202f\d{3})+(?:\.\d+)?|\d+(?:\.\d+)?)(?:×10(?P<power>[⁻⁰¹²³⁴⁵⁶⁷⁸⁹]+))?"
    rf"(?: (?P<unit>{'|'.join(re.escape(one) for one in LABELS if one != '°')})"
    r"(?![\w²³/°%]|·)|(?P<degree>°))?"
)
_WORD = re.compile(r"[A-Za-zΑ-Ωα-ω][A-Za-z0-9Α-Ωα-ω]*(?:_[A-Za-z0-9]+)?")
_POWER = re.compile(r"[⁻⁰¹²³⁴⁵⁶⁷⁸⁹]+")
_SHARES = {"%": 0.01, "‰": 0.001, "°": math.pi / 180}
_EXACT = 6e-6  # relative; what is written without trailing zeros has six digits at most
_FUNCTIONS = {
    "ln": math.log, "lg": math.log10, "exp": math.exp, "sin": math.sin, "cos": math.cos, "tan": math.tan,
    "arcsin": math.asin, "arccos": math.acos, "arctan": math.atan, "sinh": math.sinh,
    "cosh": math.cosh, "tanh": math.tanh, "arsinh": math.asinh, "arcosh": math.acosh,
    "artanh": math.atanh, "min": min, "max": max, "√": math.sqrt, "∛": math.cbrt,
    "sgn": lambda x: float((x > 0) - (x < 0)),
}  # fmt: skip


@dataclass(frozen=True)
class Amount:
    """A printed number with its unit, and by how much its last digit may be off."""

    text: str
    number: float
    label: str
    grain: float


def amount_of(found):
    """Return what a match of a number says."""
    digits = found["number"].replace("\u202f", "")
    power = int(found["power"].translate(RAISED)) if found["power"] else 0
    label = found["unit"] or found["degree"] or ""
    share = _SHARES.get(label[:1], 1.0)
    whole, _, places = digits.partition(".")
    # Four digits or more are a rounded result, and noughts at the end of a long whole number fill it up.
    figures = len((whole + places).lstrip("0"))
    kept = len(places) if places else -max(len(whole) - 4, 0) if whole.endswith("0") else 0
    grain = 0.5 * 10.0**-kept if figures >= 4 else 0.0
    number = float(f"{digits}e{power}") * share
    grain = max(grain * 10.0**power * share, _EXACT * abs(number))
    return Amount(found[0], number, label, grain)


class Line:
    """An expression as printed; ``symbols`` gives the amounts of letters that are left in it."""

    def __init__(self, text, symbols=()):
        self.text, self.symbols = text, dict(symbols)
        self.amounts, self.place, self.moved = [], 0, None
        self.value = self._worked_out()

    def grain(self):
        """How far the value may be off because the printed digits are rounded."""
        reach, printed = 0.0, list(self.amounts)
        for place, one in enumerate(printed):
            shifts = []
            for sign in (-1, 1):
                self.moved = (place, sign * one.grain)
                try:
                    shifts.append(abs(self._worked_out() - self.value))
                except (ValueError, ZeroDivisionError):
                    shifts.append(math.inf)
            reach += max(shifts)
        return reach

    def _worked_out(self):
        self.place, self.amounts = 0, []
        value = self._sum()
        assert self.place == len(self.text), (
            f"left over: {self.text[self.place :]!r} of {self.text}"
        )
        return value

    def _rest(self):
        return self.text[self.place :]

    def _take(self, *signs):
        for sign in signs:
            if self._rest().startswith(sign):
                self.place += len(sign)
                return sign
        return ""

    def _sum(self):
        value = self._product()
        while sign := self._take(" + ", " − "):
            value += (1 if sign == " + " else -1) * self._product()
        return value

    def _product(self):
        value = self._signed()
        while sign := self._take(" · ", " / "):
            other = self._signed()
            value = value * other if sign == " · " else value / other
        return value

    def _signed(self):
        if self._take("−"):
            return -self._signed()
        value = self._atom()
        if self._take("^("):
            value **= self._sum()
            assert self._take(")")
        elif found := _POWER.match(self._rest()):
            self.place += found.end()
            value **= int(found[0].translate(RAISED))
        assert not isinstance(value, complex)
        return value

    def _atom(self):
        if found := _NUMBER.match(self._rest()):
            self.place += found.end()
            return self._amount(amount_of(found))
        if self._take("("):
            value = self._sum()
            assert self._take(")"), self.text
            return value
        if self._take("|"):
            value = abs(self._sum())
            assert self._take("|"), self.text
            return value
        found = _WORD.match(self._rest())
        word = found[0] if found else self._rest()[:1]
        self.place += len(word)
        if word in self.symbols:
            return self._amount(self.symbols[word])
        assert word in _FUNCTIONS, f"what is {word!r} in {self.text}?"
        assert self._take("("), self.text
        parts = [self._sum()]
        while self._take(", "):
            parts.append(self._sum())
        assert self._take(")"), self.text
        return _FUNCTIONS[word](*parts)

    def _amount(self, one):
        self.amounts.append(one)
        place, shift = self.moved or (None, 0.0)
        return one.number + (shift if place == len(self.amounts) - 1 else 0.0)


def agree(*expressions, symbols=()):
    """Say whether two printed expressions have one value, but for the rounding of their digits."""
    first, second = (Line(one, symbols) for one in expressions)
    room = 1.01 * (first.grain() + second.grain())
    return abs(first.value - second.value) <= room + 1e-12 * max(
        abs(first.value), abs(second.value)
    )


def in_si(one):
    """Return a printed amount in SI units, and how far it may be off."""
    known = units.unit(one.label)
    factor = known.factor / _SHARES.get(one.label[:1], 1.0)
    return one.number * factor + known.offset, one.grain * factor


def same(first, second):
    """Say whether two printed amounts are one amount in two units."""
    (one, reach), (other, room) = (in_si(_only(text)) for text in (first, second))
    return abs(one - other) <= 1.01 * (reach + room)


def _only(text):
    minus = text.startswith("−")
    found = _NUMBER.fullmatch(text.removeprefix("−"))
    assert found, f"{text!r} is no number with a unit"
    one = amount_of(found)
    return Amount(text, -one.number if minus else one.number, one.label, one.grain)


only = _only
