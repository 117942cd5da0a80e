"""Turning one equation round for one quantity, in the order in which a person would.

Where the quantity occurs once, the operations around it are undone from the outside in; the
author's order of terms survives. Where it stands more than once in a least or a greatest of
several, the equation is a case for each of them, and each case is turned round by itself. Where it
occurs more often, SymPy decides whether the equation is a polynomial of a degree that has a compact
solution. Everything else is left to a search for roots.
"""

from __future__ import annotations

import dataclasses
import itertools
import math
from dataclasses import dataclass, field
from functools import cache, lru_cache
from typing import TYPE_CHECKING

from chalkwatt.algebra.operations import FUNCTIONS
from chalkwatt.algebra.trees import (
    Operation,
    Tree,
    count,
    difference,
    from_sympy,
    names,
    negative,
    quotient,
    replace,
    times,
    to_sympy,
)
from chalkwatt.planning.plans import Piece
from chalkwatt.planning.signs import never_negative

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    import sympy

__all__ = ["Isolated", "isolate"]

_EXTREMES = ("min", "max")
_MOST_CASES = 6
_MOST_NODES = 160  # of an equation with cases; SymPy takes seconds over the cases of a longer one
_LONGEST = 60  # nodes; a closed form longer than this explains nothing


@dataclass(frozen=True)
class Isolated:
    """How a quantity follows from an equation.

    ``by`` is ``"formula"`` (``forms`` holds one tree per branch), ``"quadratic"`` or ``"cubic"``
    (``forms`` holds the coefficients a, b, c of a t² + b t = c or of a t³ + b t = c),
    ``"pieces"`` (``pieces`` holds the cases), or ``"roots"`` (``forms`` is empty; ``slope_of``
    makes the derivative of left minus right, over which SymPy takes its time). ``where`` holds what
    must not be negative: that the least or greatest of several that was undone is that one.
    ``nonzero`` says that the equation was
    multiplied by the quantity, so that nought solves the product and not the equation; ``below``
    that the quantity stood below a line, and was taken from there.
    """

    by: str
    forms: tuple[Tree, ...]
    nonzero: bool = False
    where: tuple[Tree, ...] = ()
    pieces: tuple[Piece, ...] = ()
    below: bool = False
    slope_of: Callable[[], Tree] | None = field(default=None, compare=False, repr=False)

    def conditions(self, name: str) -> tuple[Tree, ...]:
        """Return what must not be negative: a number over itself is 1, nought over itself none."""
        return (*self.where, *((("/", name, name),) if self.nonzero else ()))


@lru_cache(
    maxsize=1 << 12
)  # a search for an order that can be walked asks for the same ones again and again
def isolate(
    left: Tree, right: Tree, name: str, symbol: Callable[[str], sympy.Symbol], *, positive: bool
) -> Isolated:
    """Solve ``left = right`` for ``name``.

    Parameters
    ----------
    left, right : Tree
        The two sides.
    name : str
        The quantity to solve for.
    symbol : callable
        Makes the SymPy symbol of a name, with its assumptions.
    positive : bool
        Whether the quantity cannot be negative, so that the negative branch of a root is dropped.

    Returns
    -------
    Isolated

    Examples
    --------
    >>> import sympy
    >>> from chalkwatt.planning.isolating import isolate
    >>> isolate("power", ("*", "force", "speed"), "speed", sympy.Symbol, positive=True).forms
    (('/', 'power', 'force'),)
    """
    undone = _undo(left, right, name, positive=positive)
    if undone is not None:
        return undone
    pieces = _pieces(left, right, name, symbol, positive=positive)
    if pieces:
        return Isolated("pieces", (), pieces=pieces)
    return _polynomial(left, right, name, symbol)


def _undo(left: Tree, right: Tree, name: str, *, positive: bool) -> Isolated | None:
    """Undo one operation after another; None when the quantity cannot be reached that way."""
    inside, outside = (left, right) if count(left, name) else (right, left)
    if count(outside, name):
        return None
    branches = [outside]
    where: list[Tree] = []
    below = False
    while isinstance(inside, tuple):
        step = _peel(inside, name)
        if step is None:
            return None
        if inside[0] in _EXTREMES:
            where += _is_it(inside, step[0])
        # A root or a modulus has no negative value; undone, it would take one without a word.
        if inside[0] in FUNCTIONS and FUNCTIONS[str(inside[0])].never_negative:
            where += [branch for branch in branches if not never_negative(branch)]
        below = below or (inside[0] == "/" and count(inside[2], name) > 0)
        inside, undo = step
        branches = [one for branch in branches for one in undo(branch)]
    if positive and len(branches) == 2 and branches[1] == negative(branches[0]):
        branches = [_size_of(branches[0])]
    return Isolated("formula", tuple(branches), where=tuple(where), below=below)


def _size_of(tree: Tree) -> Tree:
    """Return a tree without its sign: of two solutions that differ by it, the one that is not negative.

    Which of them that is depends on the values where a signed quantity stands in it.
    """
    if never_negative(tree):
        return tree
    if isinstance(tree, tuple) and tree[0] in {"*", "/", "-"}:
        parts = [_size_of(part) for part in tree[1:]]
        return parts[0] if tree[0] == "-" else (tree[0], *parts)
    return tree if isinstance(tree, tuple) and tree[0] == "abs" else ("abs", tree)


def _is_it(extreme: Operation, chosen: Tree) -> list[Tree]:
    """Return what must not be negative for one of several to be the least, or the greatest."""
    operation, *parts = extreme
    others = [part for part in parts if part != chosen]
    if operation == "min":
        return [difference(other, [chosen]) for other in others if other != math.inf]
    return [difference(chosen, [other]) for other in others]


def _pieces(
    left: Tree, right: Tree, name: str, symbol: Callable[[str], sympy.Symbol], *, positive: bool
) -> tuple[Piece, ...] | None:
    """Solve an equation case by case; None if there are no cases, too many, or one that needs a search."""
    extremes = list(dict.fromkeys([*_outermost(left, name), *_outermost(right, name)]))
    if _size(left) + _size(right) > _MOST_NODES:
        return None
    if not extremes or math.prod(len(one) - 1 for one in extremes) > _MOST_CASES:
        return None
    made: list[Piece] = []
    for choice in itertools.product(*(one[1:] for one in extremes)):
        sides = left, right
        where: list[Tree] = []
        for extreme, chosen in zip(extremes, choice, strict=True):
            sides = replace(sides[0], extreme, chosen), replace(sides[1], extreme, chosen)
            where += _is_it(extreme, chosen)
        if not any(count(side, name) for side in sides):
            continue  # this case does not ask for the quantity
        way = isolate(*sides, name, symbol, positive=positive)
        if way.by == "roots":
            if _cancels(*sides, name, symbol):
                continue  # nor does this one, in which it stands on both sides alike
            return None
        inner = way.pieces or (Piece(way.by, way.forms),)
        # A case is one of several, and what it divides nought by leaves no value behind: without an
        # auxiliary load no speed has the consumption of standing on a slope.
        said = (
            dataclasses.replace(way, nonzero=True).conditions(name)
            if way.below
            else way.conditions(name)
        )
        made += [Piece(one.by, one.forms, (*where, *said, *one.where)) for one in inner]
    return tuple(made) or None


def _cancels(left: Tree, right: Tree, name: str, symbol: Callable[[str], sympy.Symbol]) -> bool:
    """Say whether an equation asks for a quantity only by its looks, or divides by what is nought."""
    both = to_sympy(left, symbol) - to_sympy(right, symbol)
    return _endless(both) or symbol(name) not in both.expand().free_symbols


def _endless(expression: sympy.Expr) -> bool:
    """Say whether an expression divides by what is nought whatever its quantities are."""
    import sympy  # noqa: PLC0415  SymPy is slow to import

    return bool(expression.has(sympy.zoo, sympy.nan, sympy.oo))


def _outermost(tree: Tree, name: str) -> Iterator[Operation]:
    """Yield every least or greatest of several that holds a quantity, those inside others left out."""
    if not isinstance(tree, tuple) or not count(tree, name):
        return
    if tree[0] in _EXTREMES:
        yield tree
        return
    for part in tree[1:]:
        yield from _outermost(part, name)


def _peel(tree: Operation, name: str) -> tuple[Tree, Callable[[Tree], list[Tree]]] | None:  # noqa: PLR0911  one case an operation
    operation, *parts = tree
    holding = [part for part in parts if count(part, name)]
    others = [part for part in parts if not count(part, name)]
    if operation == "*" and len(holding) == 2:
        return _signed_square(holding, others)
    if len(holding) != 1:
        return None
    (inner,) = holding
    if operation in FUNCTIONS and FUNCTIONS[str(operation)].undo is None:
        return None
    if operation == "+":
        return inner, lambda value: [difference(value, others)]
    if operation == "*":
        return inner, lambda value: [quotient(value, times(others))]
    if operation in {"-", *_EXTREMES}:
        # Of the least of several, the one asked for is the least; the conditions say so.
        return inner, lambda value: [negative(value) if operation == "-" else value]
    if operation == "/":
        if inner is parts[0]:
            return inner, lambda value: [_multiplied(value, parts[1])]
        return inner, lambda value: [quotient(parts[0], value)]
    if operation == "^":
        return _root(parts[0], parts[1], name)
    return inner, _undone(str(operation))


def _undone(function: str) -> Callable[[Tree], list[Tree]]:
    row = FUNCTIONS[function]

    def undo(value: Tree) -> list[Tree]:
        one = row.undo(value) if row.undo else value
        return [one, negative(one)] if row.even else [one]

    return undo


def _multiplied(value: Tree, factor: Tree) -> Tree:
    if isinstance(value, tuple) and value[0] == "/":
        return quotient(times([value[1], factor]), value[2])
    return times([value, factor])


def _signed_square(
    holding: list[Tree], others: list[Tree]
) -> tuple[Tree, Callable[[Tree], list[Tree]]] | None:
    """|x| x = y has the one real solution x = sign(y) √|y|."""
    first, second = holding
    inner = second if first == ("abs", second) else first if second == ("abs", first) else None
    if inner is None:
        return None

    def undo(value: Tree) -> list[Tree]:
        square = quotient(value, times(others))
        return [times([("sign", square), ("sqrt", ("abs", square))])]

    return inner, undo


def _root(
    base: Tree, exponent: Tree, name: str
) -> tuple[Tree, Callable[[Tree], list[Tree]]] | None:
    if count(exponent, name):
        return exponent, lambda value: [quotient(("log", value), ("log", base))]
    if exponent == 2:
        return base, lambda value: [("sqrt", value), negative(("sqrt", value))]
    if exponent == 3:
        return base, lambda value: [("cbrt", value)]
    if isinstance(exponent, int) and exponent % 2 == 0:
        root = ("/", 1, exponent)
        return base, lambda value: [("^", value, root), negative(("^", value, root))]
    return base, lambda value: [("^", value, quotient(1, exponent))]


def _polynomial(
    left: Tree, right: Tree, name: str, symbol: Callable[[str], sympy.Symbol]
) -> Isolated:
    import sympy  # noqa: PLC0415  SymPy is slow to import

    unknown = symbol(name)
    order = list(dict.fromkeys([*names(left), *names(right)]))
    both = to_sympy(left, symbol) - to_sympy(right, symbol)
    if _endless(both):
        return Isolated("roots", ())  # no number solves it, and a search finds none
    over, under = sympy.fraction(sympy.together(both))
    polynomial = sympy.Poly(over, unknown) if over.is_polynomial(unknown) else None

    def searched() -> Isolated:
        return Isolated("roots", (), slope_of=lambda: from_sympy(_slope(both, unknown), order))

    if polynomial is None or (under.has(unknown) and not _harmless(under, unknown)):
        return searched()

    def read(place: int) -> Tree:
        return from_sympy(sympy.factor_terms(polynomial.coeff_monomial(unknown**place)), order)

    degree = polynomial.degree()
    if degree == 1:
        form = quotient(negative(read(0)), read(1))
        return Isolated("formula", (form,)) if _size(form) <= _LONGEST else searched()
    if degree == 2:
        forms = _leading(read(2), read(1), negative(read(0)))
        return Isolated("quadratic", forms, nonzero=under.has(unknown))
    if degree == 3 and polynomial.coeff_monomial(unknown**2) == 0:
        forms = _leading(read(3), read(1), negative(read(0)))
        return Isolated("cubic", forms, nonzero=under.has(unknown))
    return searched()


def _leading(first: Tree, second: Tree, last: Tree) -> tuple[Tree, Tree, Tree]:
    """Turn all signs where the leading one is a minus: the quickest way takes positive ones."""
    if isinstance(first, tuple) and first[0] == "-":
        return negative(first), negative(second), negative(last)
    return first, second, last


def _slope(expression: sympy.Expr, unknown: sympy.Symbol) -> sympy.Expr:
    """Differentiate; a modulus has the slope of its sign, and a sign none, whatever is inside.

    SymPy alone gives a Dirac delta for the slope of a sign, and leaves that of a modulus open where
    it cannot tell that the inside is real.
    """
    import sympy  # noqa: PLC0415  SymPy is slow to import

    modulus, sign = _veils()
    veiled = expression.replace(sympy.Abs, modulus).replace(sympy.sign, sign)
    return sympy.diff(veiled, unknown).replace(modulus, sympy.Abs).replace(sign, sympy.sign)


@cache
def _veils() -> tuple[type[sympy.Function], type[sympy.Function]]:
    """Return a modulus and a sign that can be differentiated; once, for SymPy remembers by class."""
    import sympy  # noqa: PLC0415  SymPy is slow to import

    class Sign(sympy.Function):  # type: ignore[misc]  # SymPy has no types
        def fdiff(self, _place: int = 1) -> sympy.Expr:
            return sympy.S.Zero

    class Modulus(sympy.Function):  # type: ignore[misc]  # as above
        def fdiff(self, _place: int = 1) -> sympy.Expr:
            return Sign(self.args[0])

    return Modulus, Sign


def _harmless(under: sympy.Expr, unknown: sympy.Symbol) -> bool:
    """A denominator that is a power of the unknown times something vanishes only at zero."""
    return bool(under.as_independent(unknown)[1].as_base_exp()[0] == unknown)


def _size(tree: Tree) -> int:
    return 1 + sum(_size(part) for part in tree[1:]) if isinstance(tree, tuple) else 1
