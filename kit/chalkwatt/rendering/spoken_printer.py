"""The spoken notation: names instead of symbols, words instead of signs."""

from __future__ import annotations

from typing import TYPE_CHECKING

from chalkwatt.algebra.operations import OPERATIONS
from chalkwatt.laws.quantities import look_up
from chalkwatt.rendering.printers import ATOM, POWER, PRODUCT, TextPrinter

if TYPE_CHECKING:
    from chalkwatt.algebra.trees import Tree

__all__ = ["SpokenPrinter"]


class SpokenPrinter(TextPrinter):
    """A sentence for an ear: names instead of symbols, words instead of signs."""

    def symbol(self, name: str) -> str:
        """Say the name."""
        return look_up(name).words

    def times(self, *, visible: bool) -> str:
        """Say a multiplication."""
        del visible
        return " times "

    def sign(self, sign: str) -> str:
        """Say an operator."""
        return {"−": " minus ", "+": " plus ", "=": " equals "}[sign]

    def prefix_minus(self) -> str:
        """Say a minus."""
        return "minus "

    def fence(self, shown: str) -> str:
        """Say a bracket as a pause."""
        return f"the quantity {shown},"

    def fraction(self, over: Tree, under: Tree, role: str = "") -> tuple[int, str]:
        """Say a fraction."""
        del role  # an ear hears no leading sign
        if (over, under) == (1, 2):
            return ATOM, "one half"
        return PRODUCT, f"{self.print(over, PRODUCT)} divided by {self.print(under, POWER)}"

    def power(self, base: Tree, exponent: Tree) -> tuple[int, str]:
        """Say a power."""
        said = {2: "squared", 3: "cubed"}.get(exponent) if isinstance(exponent, int) else None
        raised = said or f"to the power of {self.print(exponent)}"
        return POWER, f"{self.print(base, POWER)} {raised}"

    def function(self, name: str, parts: list[Tree]) -> tuple[int, str]:
        """Say a function."""
        args = " and ".join(self.print(part, PRODUCT) for part in parts)
        return PRODUCT, f"{OPERATIONS[name].spoken} {args}"
