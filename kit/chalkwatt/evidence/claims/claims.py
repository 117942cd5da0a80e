"""Claims: a statement to test, and who makes it."""

from __future__ import annotations

from types import MappingProxyType
from typing import TYPE_CHECKING, Any

from chalkwatt import units
from chalkwatt.errors import ChalkwattError, told
from chalkwatt.quantities import look_up
from chalkwatt.rendering.numbers import format_input

if TYPE_CHECKING:
    from collections.abc import Mapping

__all__ = ["SENSES", "Claim"]

SENSES = ("at least", "at most")


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
        mass. "at least" otherwise.
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
    """

    def __init__(
        self,
        quantity: str,
        value: Any,  # noqa: ANN401
        *,
        said_by: str = "someone",
        sense: str | None = None,
        variant: str = "",
        within: Mapping[str, Any] | None = None,
        seen: str = "",
        line: int = 0,
        **conditions: Any,  # noqa: ANN401
    ) -> None:
        from chalkwatt.sheets.sheet import condition

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

    def met(self, si: Any) -> Any:  # noqa: ANN401
        """Say, elementwise, whether SI values meet the claim."""
        slack = 1e-12 * abs(self.si)
        return si >= self.si - slack if self.sense == "at least" else si <= self.si + slack

    @property
    def unit(self) -> str:
        """The unit in which to speak of it."""
        from chalkwatt.sheets.facts import unit_of

        return unit_of(self.quantity, self.label)

    @property
    def text(self) -> str:
        """The claimed value with its unit."""
        return f"{format_input(float(look_up(self.quantity).in_unit(self.si, self.unit)))} {self.unit}".rstrip()

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
        return f"<claim of {self.said_by}{about}: {words} {self.sense} {self.text}{under}>"


def _limits(quantity: str, within: Any) -> dict[str, Any]:  # noqa: ANN401  whatever a person gives
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


def _said(name: str, value: Any) -> str:  # noqa: ANN401
    if isinstance(value, tuple | list):
        return " to ".join(_said(name, one) for one in value)
    entry = look_up(name)
    if isinstance(value, str):
        from chalkwatt.sheets.facts import unit_of

        number, label = units.read(value)
        shown = unit_of(name, label)
        if not label or units.unit(shown)[1:] == units.unit(label)[1:]:
            return f"{format_input(number, 12)} {shown if label else ''}".rstrip()
    return f"{format_input(float(entry.in_unit(entry.read(value))))} {entry.display[0]}".rstrip()
