"""Claims: a statement to test, and who makes it."""

from __future__ import annotations

import math
from types import MappingProxyType
from typing import TYPE_CHECKING, Any

from chalkwatt.calls import checked_call
from chalkwatt.errors import ChalkwattError, told
from chalkwatt.evidence.sheets.facts import condition
from chalkwatt.laws.quantities import look_up, unit_of
from chalkwatt.laws.values import unit_given, written_for
from chalkwatt.wording import units
from chalkwatt.wording.audience import current, is_foreign, ordered
from chalkwatt.wording.numbers import format_input, format_number, significant_digits
from chalkwatt.wording.written import Written, compound_time

if TYPE_CHECKING:
    from collections.abc import Mapping

    from chalkwatt.wording.given import Floats, Given, Truths

__all__ = ["SENSES", "Claim"]

SENSES = ("at least", "at most")
_ECONOMIES = ("km/kWh", "mi/kWh")
_MOST_DIGITS = 12  # of a value as it was given
_CONVERTED = 3  # at least, of one that is told in another unit
_EQUIVALENT = "MPGe"  # of the size of a mile a gallon, and never said as that


class Claim:
    """A statement about a vehicle.

    Parameters
    ----------
    quantity : str
    value : number, str or pint quantity
        Plain numbers are SI; text carries its unit.
    said_by : str
    sense : {"at least", "at most"}, optional
        Which way the claim is met; by default "at most" where less is the better promise
        (``less_is_better`` of the quantity): a time that something takes, a consumption, a loss, a
        mass. "at least" otherwise. It is the sense of the quantity also where the value is given upside
        down: a consumption of at most what ``"4 mi/kWh"`` comes to is shown as at least 4 mi/kWh.
    variant : str
        Names a variant that the sheet does not describe, such as "the long-range pack"; the verdict then
        says what that variant must have.
    within : mapping of str to (number or str), optional
        For a variant: what it may at most have, for example ``{"pack_mass": "400 kg"}``.
    seen : str
        Where it was said.
    line : int
        Where it stands in a sheet; nought for one that stands in none.
    **conditions : number, str, pint quantity, or a pair of them
        Speed, temperature, load and so on.

    Attributes
    ----------
    si : float
        The claimed value in SI units.
    conditions : mapping

    Raises
    ------
    ChalkwattError
        If a name, a unit or a value cannot be.

    Examples
    --------
    >>> from chalkwatt import Claim
    >>> Claim("range", "480 km", speed="90 km/h", said_by="the maker")
    <claim of the maker: range at least 480 km, speed 90 km/h>
    >>> Claim("consumption", "3.90 mi/kWh")
    <claim of someone: consumption at least 3.90 mi/kWh, which is at most 25.64 kWh/100 mi>
    """

    @checked_call
    def __init__(
        self,
        quantity: str,
        value: Given,
        *,
        said_by: str = "someone",
        sense: str | None = None,
        variant: str = "",
        within: Mapping[str, Given] | None = None,
        seen: str = "",
        line: int = 0,
        **conditions: Given,
    ) -> None:
        entry = look_up(quantity)
        chosen = sense or ("at most" if entry.less_is_better else "at least")
        if chosen not in SENSES:
            raise ChalkwattError(
                f"sense = {told(sense)} is none of {', '.join(SENSES)}.",
                quantity=quantity,
                value=sense,
            )
        si = entry.read_one(value)
        limits = _limits(quantity, within)
        for name, one in conditions.items():
            condition(name, one)  # whatever it cannot be is said here, not when the claim is judged
        if quantity in conditions:
            raise ChalkwattError(f"{quantity} is both claimed and a condition.", quantity=quantity)
        self.quantity = quantity
        self.value = value
        self.si = si
        self.label = entry.label_of(value) or ""
        self.said_by = said_by
        self.sense = chosen
        self.variant = variant
        self.within = MappingProxyType(limits)
        self.seen = seen
        self.line = line
        self.conditions = MappingProxyType(dict(conditions))

    @checked_call
    def met(self, si: Floats) -> Truths:
        """Say, elementwise, whether SI values meet the claim."""
        slack = 1e-12 * abs(self.si)
        return si >= self.si - slack if self.sense == "at least" else si <= self.si + slack

    @property
    def met_without_limit(self) -> bool:
        """Whether the claim is met where nothing limits the quantity: of what is better small, nothing is left."""
        return bool(self.met(-math.inf if look_up(self.quantity).less_is_better else math.inf))

    @property
    def unit(self) -> str:
        """The unit in which to speak of it."""
        if self.label.lower() == _EQUIVALENT.lower():
            return _EQUIVALENT  # what is claimed and what is found are said in one unit
        return unit_of(self.quantity, self.label)

    @property
    def text(self) -> str:
        """The claimed value as it was claimed: in its own unit and with its own digits."""
        return _said(self.quantity, self.value)

    @property
    def said_sense(self) -> str:
        """The sense of what was said: who claims at least 4 mi/kWh claims a consumption of at most so much."""
        return SENSES[1 - SENSES.index(self.sense)] if self._upside_down else self.sense

    @property
    def said(self) -> str:
        """What was claimed, and what it comes to where that was a distance per energy, or the other way."""
        return f"{self.said_sense} {self.text}" + (f", which is {self.meant}" if self.meant else "")

    @property
    def meant(self) -> str:
        """What a value that was given upside down comes to; empty where it was not."""
        if not self._upside_down:
            return ""
        number = float(look_up(self.quantity).in_unit(self.si, self.unit))
        return f"{self.sense} {format_input(number, 4)} {self.unit}"

    @property
    def _upside_down(self) -> bool:
        given = unit_given(look_up(self.quantity), self.value)
        return bool(given) and units.inverse(given or "", look_up(self.quantity).unit)

    @property
    def condition_text(self) -> str:
        """The conditions, as "speed 90 km/h"."""
        return ", ".join(
            f"{look_up(name).words} {said}" for name, said in self.conditions_said.items()
        )

    @property
    def conditions_said(self) -> dict[str, str]:
        """Each condition as text with its unit."""
        return {name: _said(name, value) for name, value in self.conditions.items()}

    def __repr__(self) -> str:
        """Show who says what."""
        about = f" ({self.variant})" if self.variant else ""
        under = f", {self.condition_text}" if self.conditions else ""
        words = look_up(self.quantity).words
        return f"<claim of {self.said_by}{about}: {words} {self.said}{under}>"


def _limits(quantity: str, within: Mapping[str, Given] | None) -> dict[str, Given]:
    """Check what a variant may at most have."""
    if within is None:
        return {}
    if not hasattr(within, "items"):
        raise ChalkwattError(
            f"within = {told(within)} does not name what the variant may at most have.",
            quantity=quantity,
            value=within,
            advice='Write it like {"pack_mass": "400 kg"}.',
        )
    for name, one in within.items():
        look_up(name).read_one(one)
    return dict(within)


def _said(name: str, value: Given) -> str:
    """Show a value as it was given: in its own unit and with its own digits; or in that of the audience."""
    if isinstance(value, tuple | list):
        return " to ".join(_said(name, one) for one in value)
    entry = look_up(name)
    shown, own = _shown(name, value)
    if shown != own:
        si = entry.read_one(value)
        digits = max(_CONVERTED, significant_digits(float(entry.in_unit(si, own))))
        return f"{format_input(float(entry.in_unit(si, shown)), digits)} {shown}"
    if isinstance(value, str):
        parts = compound_time(value) if entry.unit == "s" else {}
        if parts:
            return " ".join(f"{number} {unit}" for unit, number in parts.items())
        given = written_for(entry, value)
        return f"{_as_written(given)} {_neat(name, given.unit)}".rstrip()
    if hasattr(value, "magnitude") and hasattr(value, "units"):
        number: Any = value.magnitude
        return f"{format_input(float(number), 12)} {_neat(name, unit_given(entry, value) or '')}".rstrip()
    return f"{format_input(float(entry.in_unit(entry.read(value))))} {entry.display[0]}".rstrip()


def _shown(name: str, value: Given) -> tuple[str, str]:
    """Return the unit in which the audience reads a value, and the one in which it was given."""
    entry = look_up(name)
    label = unit_given(entry, value) or ""
    if label and units.inverse(label, entry.unit):
        # Who says it upside down is quoted upside down.
        foreign = is_foreign(label, _ECONOMIES, current().units)
        return ordered(_ECONOMIES, current().units)[0] if foreign else label, label
    return unit_of(name, label), unit_of(name, label, "")


def _as_written(given: Written) -> str:
    """Keep the digits that were written: 3.90 is no 3.9."""
    number, digit = given.number, given.digit
    if not digit or not number:
        return format_input(number, _MOST_DIGITS)
    size = math.floor(math.log10(abs(number)))
    return format_number(number, min(max(size - round(math.log10(digit)) + 1, 1), _MOST_DIGITS))


def _neat(name: str, label: str) -> str:
    """Write a unit as the glossary does, if it is one of the same size: km/h for kmh."""
    entry = look_up(name)
    if not label or label.lower() == _EQUIVALENT.lower():
        return _EQUIVALENT if label else ""
    usual = entry.display
    if units.inverse(label, entry.unit):
        usual = (units.counterpart(label, units.turned(entry.unit)),)
    if label in usual:
        return label
    known = units.unit(label)[1:]
    return next((one for one in usual if units.unit(one)[1:] == known), label)
