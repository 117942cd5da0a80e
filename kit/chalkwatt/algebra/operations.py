"""What a relation can do with its quantities: one row an operation.

Whoever walks a tree asks these rows: the NumPy function and its twin for plain numbers, the solving
of an equation for a quantity inside, the folding of noughts, what signs can be told, the check of
dimensions, and every notation. So a function more is a row more, and nothing else in Python. The
browser works out a function by the name that ECMAScript's ``Math`` has for it, which is the name of
the row, and is told how to write it with the program that it runs; the tests walk the rows in both.

Sums, products, fractions and powers have a row for what can be tabled. How they are written and
turned round depends on all of their parts, and stands where that is done.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from operator import add, mul, neg
from typing import TYPE_CHECKING, Any

import numpy as np

from chalkwatt.algebra import plain_functions as plain

if TYPE_CHECKING:
    from collections.abc import Callable

    from chalkwatt.algebra.trees import Tree

__all__ = ["CHAINS", "FUNCTIONS", "OPERATIONS", "Function", "Operator", "written_otherwise"]


@dataclass(frozen=True, kw_only=True)
class Operator:
    """How an operation is worked out, and what can be told of its value from those of its parts.

    Attributes
    ----------
    array : callable
        NumPy's function.
    scalar : callable
        The same of plain numbers: never raises, NaN where it is not defined.
    never_negative : bool
        Whether its value cannot be negative, whatever its parts are.
    keeps_sign : bool
        Whether its value is not negative if no part is.
    finite : bool
        Whether its value is a number wherever its parts are.
    above_zero : bool
        Whether its value is above nought if every part is.
    size : float or None
        Its value is measured in this power of the unit of its only part; None where there are
        several, or plain numbers are asked for.
    spoken : str
        What is said before its parts, where it is said that way.
    """

    array: Callable[..., Any]
    scalar: Callable[..., float]
    never_negative: bool = False
    keeps_sign: bool = False
    finite: bool = False
    above_zero: bool = False
    size: float | None = None
    spoken: str = ""


@dataclass(frozen=True, kw_only=True)
class Function(Operator):
    """A function of one number.

    Attributes
    ----------
    symbolic : str
        Its name in SymPy, or in SymPy's ``codegen.cfunctions``.
    undo : callable or None
        Makes the tree of what it was taken of from the tree of its value; None if nothing does.
    even : bool
        Whether a number and minus that number have the same value, so that both are undone.
    at_zero : int or None
        Its value at nought, if that is a whole number.
    zero_only_at_zero : bool
        Whether it is nought at nought, and nowhere else of which a solution could be missed.
    kinked : bool
        Whether it bends sharply or jumps where what it is taken of is nought.
    written : str
        Its name in equations, where that is not the name of its row.
    mathml, latex, text : str
        How it is written around what it is taken of (``{}``), if not as a name with parentheses.
    binds : int
        How tightly the notation of MathML and LaTeX binds: 2 as a product, 3 as a power, 4 alone.
    """

    symbolic: str
    undo: Callable[[Tree], Tree] | None = None
    even: bool = False
    at_zero: int | None = None
    zero_only_at_zero: bool = False
    kinked: bool = False
    written: str = ""
    mathml: str = ""
    latex: str = ""
    text: str = ""
    binds: int = 2


def _undone_by(name: str) -> Callable[[Tree], Tree]:
    return lambda value: (name, value)


def _undone_by_power(exponent: int) -> Callable[[Tree], Tree]:
    return lambda value: ("^", value, exponent)


FUNCTIONS: dict[str, Function] = {
    "sqrt": Function(
        symbolic="sqrt",
        array=np.sqrt,
        scalar=plain.within(math.sqrt),
        undo=_undone_by_power(2),
        size=1 / 2,
        at_zero=0,
        zero_only_at_zero=True,
        never_negative=True,
        above_zero=True,
        spoken="the square root of",
        mathml="<msqrt>{}</msqrt>",
        latex=r"\sqrt{{{}}}",
        text="√({})",
        binds=4,
    ),
    "cbrt": Function(
        symbolic="cbrt",
        array=np.cbrt,
        scalar=math.cbrt,
        undo=_undone_by_power(3),
        size=1 / 3,
        at_zero=0,
        zero_only_at_zero=True,
        keeps_sign=True,
        finite=True,
        above_zero=True,
        spoken="the cube root of",
        mathml="<mroot><mrow>{}</mrow><mn>3</mn></mroot>",
        latex=r"\sqrt[3]{{{}}}",
        text="∛({})",
        binds=4,
    ),
    "abs": Function(
        symbolic="Abs",
        array=np.abs,
        scalar=abs,
        undo=lambda value: value,
        even=True,
        size=1,
        at_zero=0,
        kinked=True,
        never_negative=True,
        finite=True,
        spoken="the size of",
        mathml='<mrow><mo form="prefix">|</mo>{}<mo form="postfix">|</mo></mrow>',
        latex=r"\left|{}\right|",
        text="|{}|",
        binds=4,
    ),
    "sign": Function(
        symbolic="sign",
        array=np.sign,
        scalar=plain.sign,
        size=0,
        at_zero=0,
        kinked=True,
        finite=True,
        written="sgn",
        spoken="the sign of",
    ),
    "exp": Function(
        symbolic="exp",
        array=np.exp,
        scalar=plain.exp,
        undo=_undone_by("log"),
        at_zero=1,
        never_negative=True,
        spoken="e to the power of",
        mathml="<msup><mi>e</mi><mrow>{}</mrow></msup>",
        latex="e^{{{}}}",
        binds=3,
    ),
    "log": Function(
        symbolic="log",
        array=np.log,
        scalar=plain.log,
        undo=_undone_by("exp"),
        written="ln",
        spoken="the natural logarithm of",
    ),
    "log10": Function(
        symbolic="log10",
        array=np.log10,
        scalar=plain.log10,
        undo=lambda value: ("^", 10, value),
        written="lg",  # ISO 80000-2
        spoken="the logarithm to the base of ten of",
    ),
    "sin": Function(
        symbolic="sin",
        array=np.sin,
        scalar=plain.within(math.sin),
        undo=_undone_by("asin"),
        at_zero=0,
        zero_only_at_zero=True,
        finite=True,
        spoken="the sine of",
    ),
    "cos": Function(
        symbolic="cos",
        array=np.cos,
        scalar=plain.within(math.cos),
        undo=_undone_by("acos"),
        even=True,
        at_zero=1,
        finite=True,
        spoken="the cosine of",
    ),
    "tan": Function(
        symbolic="tan",
        array=np.tan,
        scalar=plain.within(math.tan),
        undo=_undone_by("atan"),
        at_zero=0,
        zero_only_at_zero=True,
        spoken="the tangent of",
    ),
    "asin": Function(
        symbolic="asin",
        array=np.arcsin,
        scalar=plain.within(math.asin),
        undo=_undone_by("sin"),
        at_zero=0,
        zero_only_at_zero=True,
        keeps_sign=True,
        written="arcsin",
        spoken="the inverse sine of",
    ),
    "acos": Function(
        symbolic="acos",
        array=np.arccos,
        scalar=plain.within(math.acos),
        undo=_undone_by("cos"),
        never_negative=True,
        written="arccos",
        spoken="the inverse cosine of",
    ),
    "atan": Function(
        symbolic="atan",
        array=np.arctan,
        scalar=math.atan,
        undo=_undone_by("tan"),
        at_zero=0,
        zero_only_at_zero=True,
        keeps_sign=True,
        finite=True,
        written="arctan",
        spoken="the inverse tangent of",
    ),
    "sinh": Function(
        symbolic="sinh",
        array=np.sinh,
        scalar=plain.sinh,
        undo=_undone_by("asinh"),
        at_zero=0,
        zero_only_at_zero=True,
        keeps_sign=True,
        spoken="the hyperbolic sine of",
    ),
    "cosh": Function(
        symbolic="cosh",
        array=np.cosh,
        scalar=plain.cosh,
        undo=_undone_by("acosh"),
        even=True,
        at_zero=1,
        never_negative=True,
        spoken="the hyperbolic cosine of",
    ),
    "tanh": Function(
        symbolic="tanh",
        array=np.tanh,
        scalar=math.tanh,
        undo=_undone_by("atanh"),
        at_zero=0,
        zero_only_at_zero=True,
        keeps_sign=True,
        finite=True,
        spoken="the hyperbolic tangent of",
    ),
    "asinh": Function(
        symbolic="asinh",
        array=np.arcsinh,
        scalar=math.asinh,
        undo=_undone_by("sinh"),
        at_zero=0,
        zero_only_at_zero=True,
        keeps_sign=True,
        finite=True,
        written="arsinh",
        spoken="the inverse hyperbolic sine of",
    ),
    "acosh": Function(
        symbolic="acosh",
        array=np.arccosh,
        scalar=plain.within(math.acosh),
        undo=_undone_by("cosh"),
        never_negative=True,
        written="arcosh",
        spoken="the inverse hyperbolic cosine of",
    ),
    "atanh": Function(
        symbolic="atanh",
        array=np.arctanh,
        scalar=plain.atanh,
        undo=_undone_by("tanh"),
        at_zero=0,
        zero_only_at_zero=True,
        keeps_sign=True,
        written="artanh",
        spoken="the inverse hyperbolic tangent of",
    ),
}

# Operations on any number of parts, worked out from the left.
CHAINS: dict[str, Operator] = {
    "+": Operator(array=np.add, scalar=add, keeps_sign=True, finite=True, above_zero=True),
    "*": Operator(array=np.multiply, scalar=mul, keeps_sign=True, finite=True, above_zero=True),
    "min": Operator(
        array=np.minimum,
        scalar=plain.least,
        keeps_sign=True,
        finite=True,
        above_zero=True,
        spoken="the smallest of",
    ),
    "max": Operator(
        array=np.maximum, scalar=plain.most, keeps_sign=True, finite=True, spoken="the largest of"
    ),
}

OPERATIONS: dict[str, Operator] = {
    **FUNCTIONS,
    **CHAINS,
    "-": Operator(array=np.negative, scalar=neg, finite=True, size=1),
    "/": Operator(array=np.divide, scalar=plain.divide, keeps_sign=True, above_zero=True),
    "^": Operator(array=np.power, scalar=plain.power),
}


def written_otherwise() -> dict[str, str]:
    """Return the names in equations of the functions whose row has another name.

    Examples
    --------
    >>> from chalkwatt.algebra.operations import written_otherwise
    >>> written_otherwise()["asin"]
    'arcsin'
    """
    return {name: row.written for name, row in FUNCTIONS.items() if row.written}
