"""Printers: one walk over an ordered tree, four notations.

MathML, LaTeX and plain text are correct as mathematics: a reader who copies a line into a
calculator gets the number shown. The browser's printer writes the same MathML.
"""

from __future__ import annotations

from html import escape
from typing import TYPE_CHECKING

from chalkwatt.algebra.operations import FUNCTIONS
from chalkwatt.laws.quantities import look_up
from chalkwatt.wording.numbers import format_input, split_number

if TYPE_CHECKING:
    from collections.abc import Callable

    from chalkwatt.algebra.trees import Operation, Tree

    Leaf = Callable[[str, str], str]

__all__ = ["LatexPrinter", "MathmlPrinter", "Printer", "TextPrinter"]

SUM, PRODUCT, POWER, ATOM = 1, 2, 3, 4
_GREEK = {
    "α": "alpha", "β": "beta", "γ": "gamma", "δ": "delta", "ε": "varepsilon", "ζ": "zeta",
    "η": "eta", "θ": "theta", "κ": "kappa", "λ": "lambda", "μ": "mu", "ν": "nu",
    "ξ": "xi", "π": "pi", "ρ": "rho", "σ": "sigma", "τ": "tau", "φ": "varphi",
    "χ": "chi", "ψ": "psi", "ω": "omega", "Δ": "Delta", "Θ": "Theta", "Φ": "Phi",
    "Ω": "Omega", "Λ": "Lambda", "Σ": "Sigma",
}  # fmt: skip
_SUPERSCRIPTS = str.maketrans("-0123456789", "⁻⁰¹²³⁴⁵⁶⁷⁸⁹")


class Printer:
    """Walk a tree and write it; a subclass supplies the notation.

    Parameters
    ----------
    leaf : callable, optional
        ``leaf(name, role)`` writes a quantity; the role is ``"base"`` of a power, a later
        ``"factor"`` or term, ``"under"`` a fraction bar on one line, or empty. Symbols if left
        out.
    numeric : bool
        Whether quantities are written as numbers, so that factors need a visible sign between.
    """

    def __init__(self, leaf: Leaf | None = None, *, numeric: bool = False) -> None:
        self.leaf = leaf or (lambda name, _role: self.symbol(name))
        self.numeric = numeric

    def print(self, tree: Tree, least: int = 0, role: str = "") -> str:
        """Write a tree, fenced if it binds more loosely than ``least``."""
        if isinstance(tree, str):
            return self.leaf(tree, "base" if least >= ATOM else role)
        if not isinstance(tree, tuple):
            shown = self.number(float(tree))
            # A number with a power of ten is a product of two.
            tens = split_number(float(tree), 6)[1] is not None
            loose = (tree < 0 and least > SUM) or (tens and (least >= ATOM or role == "under"))
            return self.fence(shown) if loose else shown
        level, shown = self.operation(tree, role)
        if level < least:
            return self.fence(shown)
        return shown if level == ATOM else self.group(shown)

    def operation(self, tree: Operation, role: str = "") -> tuple[int, str]:
        """Write an operation and say how tightly it binds; the role is its leading factor's."""
        operation, parts = str(tree[0]), list(tree[1:])
        if operation == "+":
            return SUM, self.sum(parts)
        if operation == "-":
            return SUM, self.minus(parts[0])
        if operation == "*":
            return PRODUCT, self.product(parts, role)
        if operation == "/":
            return self.fraction(parts[0], parts[1], role)
        if operation == "^":
            return self.power(parts[0], parts[1])
        return self.function(operation, parts)

    def group(self, shown: str) -> str:
        """Hold pieces together without showing it."""
        return shown

    def sum(self, parts: list[Tree]) -> str:
        """Write a sum with the author's signs."""
        made = []
        for place, part in enumerate(parts):
            minus = part if isinstance(part, tuple) and part[0] == "-" else None
            if place == 0 and minus is not None:
                made.append(self.group(self.operation(minus)[1]))
            elif place == 0:
                made.append(self.print(part, SUM))
            elif minus is not None:
                made.append(self.sign("−") + self.print(minus[1], PRODUCT, "factor"))
            elif isinstance(part, int | float) and part < 0:
                made.append(self.sign("−") + self.number(-float(part)))
            else:
                made.append(self.sign("+") + self.print(part, PRODUCT, "factor"))
        return "".join(made)

    def minus(self, part: Tree) -> str:
        """Write a leading minus."""
        return self.prefix_minus() + self.print(part, PRODUCT, "factor")

    def product(self, parts: list[Tree], role: str = "") -> str:
        """Write a product."""
        made = []
        for place, part in enumerate(parts):
            if place:
                made.append(self.between(parts[place - 1], part))
            made.append(self.print(part, PRODUCT, "factor" if place else role))
        return "".join(made)

    def between(self, left: Tree, right: Tree) -> str:
        """Write what stands between two factors."""
        number = isinstance(right, int | float)
        both = number and isinstance(left, int | float)
        return self.times(visible=self.numeric or number or both)

    def base(self, tree: Tree) -> str:
        """Write the base of a power; an exponent beside a fraction bar would not say its reach."""
        fraction = isinstance(tree, tuple) and tree[0] == "/"
        return self.fence(self.print(tree)) if fraction else self.print(tree, ATOM)

    # What a notation has to say.
    def symbol(self, name: str) -> str:
        """Write the symbol of a quantity."""
        raise NotImplementedError

    def number(self, value: float) -> str:
        """Write a plain number of a relation."""
        raise NotImplementedError

    def amount(self, shown: tuple[str, int | None], label: str, *, guard: bool) -> str:
        """Write a number with its unit, in parentheses if ``guard``."""
        raise NotImplementedError

    def times(self, *, visible: bool) -> str:
        """Write a multiplication."""
        raise NotImplementedError

    def sign(self, sign: str) -> str:
        """Write a plus or minus between terms, or an equals sign."""
        return f" {sign} "

    def prefix_minus(self) -> str:
        """Write a minus before a term."""
        return "−"

    def fence(self, shown: str) -> str:
        """Write parentheses."""
        return f"({shown})"

    def fraction(self, over: Tree, under: Tree, role: str = "") -> tuple[int, str]:
        """Write a fraction."""
        raise NotImplementedError

    def power(self, base: Tree, exponent: Tree) -> tuple[int, str]:
        """Write a power."""
        raise NotImplementedError

    def function(self, name: str, parts: list[Tree]) -> tuple[int, str]:
        """Write a root, a modulus or a named function."""
        raise NotImplementedError


class MathmlPrinter(Printer):
    """Native MathML; byte for byte what the browser's printer writes."""

    def group(self, shown: str) -> str:
        """Hold pieces together in a row."""
        return f"<mrow>{shown}</mrow>"

    def symbol(self, name: str) -> str:
        """Write the symbol of a quantity."""
        base, subscript = look_up(name).symbol_parts
        letter = f"<mi>{escape(base)}</mi>"
        return (
            f'<msub>{letter}<mi mathvariant="normal">{escape(subscript)}</mi></msub>'
            if subscript
            else letter
        )

    def number(self, value: float) -> str:
        """Write a plain number of a relation."""
        return self._digits(split_number(value, 6, keep_zeros=False))

    @staticmethod
    def _digits(shown: tuple[str, int | None]) -> str:
        mantissa, power = shown
        minus = '<mo form="prefix">−</mo>' if mantissa.startswith("−") else ""
        made = f"{minus}<mn>{mantissa.lstrip('−')}</mn>"
        if power is None:
            return made
        exponent = f"<mrow><mo>−</mo><mn>{-power}</mn></mrow>" if power < 0 else f"<mn>{power}</mn>"
        return f"{made}<mo>×</mo><msup><mn>10</mn>{exponent}</msup>"

    def amount(self, shown: tuple[str, int | None], label: str, *, guard: bool) -> str:
        """Write a number, a thin space and a unit."""
        unit = f'<mspace width="0.17em"></mspace><mtext>{escape(label)}</mtext>' if label else ""
        inner = self._digits(shown) + unit
        return f"<mo>(</mo>{inner}<mo>)</mo>" if guard else inner

    def times(self, *, visible: bool) -> str:
        """Write a cross between numbers, and nothing that shows between symbols."""
        return "<mo>×</mo>" if visible else "<mo>&#x2062;</mo>"

    def sign(self, sign: str) -> str:
        """Write an operator."""
        return f"<mo>{sign}</mo>"

    def prefix_minus(self) -> str:
        """Write a minus before a term."""
        return '<mo form="prefix">−</mo>'

    def fence(self, shown: str) -> str:
        """Write parentheses."""
        return f"<mrow><mo>(</mo>{shown}<mo>)</mo></mrow>"

    def fraction(self, over: Tree, under: Tree, role: str = "") -> tuple[int, str]:
        """Write a fraction; one of plain numbers stays small."""
        del role  # the bar holds its parts together
        made = f"<mfrac><mrow>{self._bare(over)}</mrow><mrow>{self._bare(under)}</mrow></mfrac>"
        if isinstance(over, int | float) and isinstance(under, int | float):
            made = f'<mstyle displaystyle="false">{made}</mstyle>'
        return ATOM, made

    def _bare(self, tree: Tree) -> str:
        return self.operation(tree)[1] if isinstance(tree, tuple) else self.print(tree)

    def power(self, base: Tree, exponent: Tree) -> tuple[int, str]:
        """Write a power."""
        return POWER, f"<msup>{self.base(base)}<mrow>{self.print(exponent)}</mrow></msup>"

    def function(self, name: str, parts: list[Tree]) -> tuple[int, str]:
        """Write a root, a modulus or a named function."""
        row = FUNCTIONS.get(name)
        if row and row.mathml:
            return row.binds, row.mathml.format(self.print(parts[0]))
        args = "<mo>,</mo>".join(self.print(part) for part in parts)
        return PRODUCT, f"<mrow><mi>{_written(name)}</mi><mo>&#x2061;</mo>{self.fence(args)}</mrow>"


class TextPrinter(Printer):
    """One line of plain text that a calculator's owner can follow."""

    def symbol(self, name: str) -> str:
        """Write the symbol of a quantity."""
        return look_up(name).symbol

    def number(self, value: float) -> str:
        """Write a plain number of a relation."""
        return format_input(value)

    def amount(self, shown: tuple[str, int | None], label: str, *, guard: bool) -> str:
        """Write a number and a unit."""
        mantissa, power = shown
        ten = "" if power is None else f"×10{str(power).translate(_SUPERSCRIPTS)}"
        unit = "" if not label else label if label == "°" else f" {label}"
        return f"({mantissa}{ten}{unit})" if guard else f"{mantissa}{ten}{unit}"

    def times(self, *, visible: bool) -> str:
        """Write a multiplication dot, always."""
        del visible
        return " · "

    def fraction(self, over: Tree, under: Tree, role: str = "") -> tuple[int, str]:
        """Write a fraction on one line."""
        return PRODUCT, f"{self.print(over, PRODUCT, role)} / {self.print(under, POWER, 'under')}"

    def power(self, base: Tree, exponent: Tree) -> tuple[int, str]:
        """Write a power, with a superscript where the exponent is a whole number."""
        raised = (
            str(exponent).translate(_SUPERSCRIPTS)
            if isinstance(exponent, int)
            else f"^({self.print(exponent)})"
        )
        return POWER, f"{self.print(base, ATOM)}{raised}"

    def product(self, parts: list[Tree], role: str = "") -> str:
        """Write a product; a fraction among later factors is fenced: the line reads one way."""
        made = []
        for place, part in enumerate(parts):
            fenced = place and isinstance(part, tuple) and part[0] == "/"
            made.append(self.print(part, POWER if fenced else PRODUCT, "factor" if place else role))
        return self.times(visible=True).join(made)

    def function(self, name: str, parts: list[Tree]) -> tuple[int, str]:
        """Write a root, a modulus or a named function."""
        args = ", ".join(self.print(part) for part in parts)
        row = FUNCTIONS.get(name)
        return ATOM, row.text.format(args) if row and row.text else f"{_written(name)}({args})"


class LatexPrinter(Printer):
    """LaTeX that MathJax, KaTeX and TeX itself take."""

    def symbol(self, name: str) -> str:
        """Write the symbol of a quantity."""
        base, subscript = look_up(name).symbol_parts
        letter = f"\\{_GREEK[base]}" if base in _GREEK else base
        return f"{letter}_{{\\mathrm{{{subscript}}}}}" if subscript else letter

    def number(self, value: float) -> str:
        """Write a plain number of a relation."""
        return self._digits(split_number(value, 6, keep_zeros=False))

    @staticmethod
    def _digits(shown: tuple[str, int | None]) -> str:
        mantissa, power = shown
        made = mantissa.replace("−", "-").replace("\u202f", r"\,").replace("–", r"\text{–}")
        return made if power is None else rf"{made}\times 10^{{{power}}}"

    def amount(self, shown: tuple[str, int | None], label: str, *, guard: bool) -> str:
        """Write a number, a thin space and an upright unit."""
        unit = f"\\,{self.unit(label)}" if label else ""
        made = self._digits(shown) + unit
        return self.fence(made) if guard else made

    @staticmethod
    def unit(label: str) -> str:
        """Write a unit upright."""
        made = (
            label.replace("%", r"\%")
            .replace("·", r"{\cdot}")
            .replace("Ω", r"\Omega ")
            .replace("µ", r"\mu ")
        )
        made = (
            made.replace("²", "^2").replace("³", "^3").replace("‰", r"\text{‰}").replace(" ", r"\,")
        )
        made = made.replace("°", r"{}^{\circ}")
        return made if label == "%" else rf"\mathrm{{{made}}}"

    def times(self, *, visible: bool) -> str:
        """Write a cross between numbers and a thin space between symbols."""
        return r" \times " if visible else r"\,"

    def prefix_minus(self) -> str:
        """Write a minus before a term."""
        return "-"

    def sign(self, sign: str) -> str:
        """Write an operator."""
        return " - " if sign == "−" else f" {sign} "

    def fence(self, shown: str) -> str:
        """Write parentheses that grow."""
        return rf"\left({shown}\right)"

    def fraction(self, over: Tree, under: Tree, role: str = "") -> tuple[int, str]:
        """Write a fraction; one of plain numbers stays small."""
        del role  # the bar holds its parts together
        small = isinstance(over, int | float) and isinstance(under, int | float)
        bar = "tfrac" if small else "frac"
        return ATOM, rf"\{bar}{{{self.print(over)}}}{{{self.print(under)}}}"

    def power(self, base: Tree, exponent: Tree) -> tuple[int, str]:
        """Write a power."""
        return POWER, f"{{{self.base(base)}}}^{{{self.print(exponent)}}}"

    def function(self, name: str, parts: list[Tree]) -> tuple[int, str]:
        """Write a root, a modulus or a named function."""
        row = FUNCTIONS.get(name)
        if row and row.latex:
            return row.binds, row.latex.format(self.print(parts[0]))
        args = ", ".join(self.print(part) for part in parts)
        return PRODUCT, rf"\operatorname{{{_written(name)}}}{self.fence(args)}"


def _written(name: str) -> str:
    return (FUNCTIONS[name].written if name in FUNCTIONS else "") or name
