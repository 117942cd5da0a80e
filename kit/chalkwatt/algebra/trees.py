"""Ordered expression trees: a relation as its author wrote it.

SymPy sorts the terms of an expression; a reader wants them in the author's order. A tree keeps that
order. It is what the equation printer, the NumPy function and the browser's program all walk, and
its tuples are already the JSON that the browser gets: a number, a name, or ``(operation, *args)``.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, TypeAlias

from chalkwatt.algebra.operations import CHAINS, FUNCTIONS

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence

    import sympy

__all__ = [
    "Operation",
    "Tree",
    "count",
    "difference",
    "from_sympy",
    "kinks",
    "magnitude",
    "names",
    "negative",
    "operations",
    "plus",
    "quotient",
    "replace",
    "substitute",
    "times",
    "to_sympy",
]

# A number, a name, or an operation: its own name first, then what it is done with.
Tree: TypeAlias = "int | float | str | Operation"
Operation: TypeAlias = "tuple[Tree, ...]"


def names(tree: Tree) -> Iterator[str]:
    """Yield the quantity names in a tree, in order, with repetitions."""
    if isinstance(tree, str):
        yield tree
    elif isinstance(tree, tuple):
        for part in tree[1:]:
            yield from names(part)


def operations(tree: Tree) -> Iterator[str]:
    """Yield the operations in a tree, in order, with repetitions."""
    if isinstance(tree, tuple):
        yield str(tree[0])
        for part in tree[1:]:
            yield from operations(part)


def count(tree: Tree, name: str) -> int:
    """Count how often a quantity occurs in a tree."""
    return sum(one == name for one in names(tree))


def substitute(tree: Tree, replacements: Mapping[str, Tree]) -> Tree:
    """Replace names by trees, keeping the order of everything else."""
    if isinstance(tree, str):
        return replacements.get(tree, tree)
    if not isinstance(tree, tuple):
        return tree
    return _rebuilt(tree[0], [substitute(part, replacements) for part in tree[1:]])


def replace(tree: Tree, old: Tree, new: Tree) -> Tree:
    """Replace a part of a tree wherever it stands, keeping the order of everything else.

    Examples
    --------
    >>> from chalkwatt.algebra.trees import replace
    >>> replace(("*", "force", ("min", "speed", "limit")), ("min", "speed", "limit"), "speed")
    ('*', 'force', 'speed')
    """
    if tree == old:
        return new
    if not isinstance(tree, tuple):
        return tree
    return _rebuilt(tree[0], [replace(part, old, new) for part in tree[1:]])


def _rebuilt(operation: Tree, parts: list[Tree]) -> Tree:
    """Put an operation together again of changed parts: products and sums within their like are merged."""
    if operation == "*":
        return times(parts)
    if operation == "+":
        return plus(parts)
    return (operation, *parts)


def magnitude(tree: Tree) -> Tree:
    """Return how large the terms of a tree are, which is what its rounding error scales with.

    A difference of two alike numbers is small, its rounding error is not: it is a share of the
    numbers. So every sum becomes the sum of the sizes of its terms.

    Examples
    --------
    >>> from chalkwatt.algebra.trees import magnitude
    >>> magnitude(("+", "battery_power", ("-", "auxiliary_power")))
    ('+', ('abs', 'battery_power'), ('abs', 'auxiliary_power'))
    """
    if isinstance(tree, int | float):
        return abs(tree)
    if not isinstance(tree, tuple):
        return ("abs", tree)
    operation, first, *rest = tree
    if operation in {"-", "abs"}:
        made = magnitude(first)
    elif operation == "/":
        made = ("/", magnitude(first), ("abs", *rest))
    elif operation in {"+", "*"}:
        made = (operation, *map(magnitude, tree[1:]))
    elif operation in {"max", "min"}:
        # Of those that are not the one, the size is no matter: it may be endless at a pole.
        made = ("+", ("abs", tree), ("min", *map(magnitude, tree[1:])))
    elif operation == "^" and isinstance(tree[2], int) and tree[2] > 0:
        made = ("^", magnitude(first), tree[2])
    else:
        made = ("abs", tree)
    return made


def kinks(tree: Tree, name: str) -> Iterator[Tree]:
    """Yield what is nought where a tree, as a function of one quantity, bends sharply or jumps.

    Examples
    --------
    >>> from chalkwatt.algebra.trees import kinks
    >>> list(kinks(("*", "area", ("abs", ("+", "speed", "headwind"))), "speed"))
    [('+', 'speed', 'headwind')]
    """
    if not isinstance(tree, tuple):
        return
    operation, *parts = tree
    if operation in FUNCTIONS and FUNCTIONS[str(operation)].kinked and count(tree, name):
        yield parts[0]
    if operation in {"min", "max"}:
        for place, one in enumerate(parts):
            for other in parts[place + 1 :]:
                if count(one, name) or count(other, name):
                    yield difference(one, [other])
    for part in parts:
        yield from kinks(part, name)


def negative(tree: Tree) -> Tree:
    """Return minus the tree, without a double sign."""
    if isinstance(tree, tuple) and tree[0] == "-":
        return tree[1]
    if isinstance(tree, int | float):
        return -tree
    if isinstance(tree, tuple) and tree[0] == "+" and any(_is_minus(part) for part in tree[1:]):
        # −(a − b) is b − a: what is added comes first.
        parts = [negative(part) for part in tree[1:]]
        return ("+", *sorted(parts, key=_is_minus))
    return ("-", tree)


def _is_minus(tree: Tree) -> bool:
    negated = isinstance(tree, tuple) and tree[0] == "-"
    return negated or (isinstance(tree, int | float) and tree < 0)


def plus(parts: Iterable[Tree]) -> Tree:
    """Return a flat sum."""
    flat: list[Tree] = []
    for part in parts:
        if isinstance(part, tuple) and part[0] == "+":
            flat.extend(part[1:])
        elif part != 0:
            flat.append(part)
    if not flat:
        return 0
    return flat[0] if len(flat) == 1 else ("+", *flat)


def difference(first: Tree, others: Sequence[Tree]) -> Tree:
    """Return the first tree minus the others, in order."""
    minus: list[Tree] = []
    for other in others:
        if isinstance(other, tuple) and other[0] == "+":
            minus.extend(negative(part) for part in other[1:])
        else:
            minus.append(negative(other))
    return plus([first, *minus])


def times(parts: Iterable[Tree]) -> Tree:
    """Return a flat product; fractions among the parts are multiplied out."""
    over: list[Tree] = []
    under: list[Tree] = []
    sign = 1
    for part in parts:
        one = part
        if isinstance(one, tuple) and one[0] == "-":
            sign, one = -sign, one[1]
        if isinstance(one, tuple) and one[0] == "*":
            over.extend(one[1:])
        elif isinstance(one, tuple) and one[0] == "/" and not isinstance(one[1], int):
            over.extend(one[1][1:] if isinstance(one[1], tuple) and one[1][0] == "*" else [one[1]])
            under.extend(one[2][1:] if isinstance(one[2], tuple) and one[2][0] == "*" else [one[2]])
        elif one != 1:
            over.append(one)
    made = _product(over)
    if under:
        made = ("/", made, _product(under))
    return negative(made) if sign < 0 else made


def _product(parts: list[Tree]) -> Tree:
    if not parts:
        return 1
    return parts[0] if len(parts) == 1 else ("*", *parts)


def quotient(over: Tree, under: Tree) -> Tree:
    """Return a single fraction, fractions in fractions multiplied out."""
    if under == 1:
        return over
    sign = 1
    if isinstance(over, tuple) and over[0] == "-":
        sign, over = -sign, over[1]
    if isinstance(under, tuple) and under[0] == "-":
        sign, under = -sign, under[1]
    above, above_under = _fraction(over)
    below, below_under = _fraction(under)
    top = times([*below_under, *above])
    bottom = times([*above_under, *below])
    made = top if bottom == 1 else ("/", top, bottom)
    return negative(made) if sign < 0 else made


def _fraction(tree: Tree) -> tuple[list[Tree], list[Tree]]:
    """Split into factors above and below the bar; a leading one half is a factor 2 below."""
    if isinstance(tree, tuple) and tree[0] == "/":
        over, over_under = _fraction(tree[1])
        under, under_under = _fraction(tree[2])
        return [*over, *under_under], [*over_under, *under]
    if isinstance(tree, tuple) and tree[0] == "*":
        over, under = [], []
        for part in tree[1:]:
            above, below = (
                _fraction(part) if isinstance(part, tuple) and part[0] == "/" else ([part], [])
            )
            over.extend(above)
            under.extend(below)
        return over, under
    return ([] if tree == 1 else [tree]), []


def from_sympy(expression: sympy.Basic, order: Sequence[str] = ()) -> Tree:
    """Turn a SymPy expression into a tree.

    Parameters
    ----------
    expression : sympy.Expr
        Unevaluated (as an author wrote it), whose order is kept, or evaluated, in which case
        ``order`` says how to sort.
    order : sequence of str
        Names in the author's order; needed for evaluated expressions only.

    Returns
    -------
    Tree

    Examples
    --------
    >>> import sympy
    >>> from chalkwatt.algebra.trees import from_sympy
    >>> with sympy.evaluate(False):
    ...     wheel = sympy.Symbol("power") / sympy.Symbol("force")
    >>> from_sympy(wheel)
    ('/', 'power', 'force')
    """
    return _Reader(order).read(expression)


class _Reader:
    def __init__(self, order: Sequence[str]) -> None:
        self.rank = {name: place for place, name in enumerate(order)}

    def read(self, expression: sympy.Basic) -> Tree:  # noqa: PLR0911  one case a kind
        if expression.is_Symbol:
            return str(expression.name)
        if expression.is_Number or expression.is_NumberSymbol:
            return self._number(expression)
        if expression.is_Mul:
            return self._product(expression)
        if expression.is_Add:
            return plus(
                self._sorted(
                    [self.read(part) for part in self._flat(expression)], constants_last=True
                )
            )
        if expression.is_Pow:
            return self._power(expression)
        kind = type(expression).__name__.lower()
        if kind == "heaviside":  # the slope of a least of several
            return ("/", ("+", 1, ("sign", self.read(expression.args[0]))), 2)
        if kind == "diracdelta":  # the slope of a sign, which matters nowhere but at its jump
            return 0
        if kind in FUNCTIONS or kind in CHAINS:
            return (kind, *(self.read(part) for part in expression.args))
        message = f"relations cannot hold {type(expression).__name__}: {expression}"
        raise TypeError(message)

    @staticmethod
    def _number(expression: sympy.Basic) -> Tree:
        if expression.is_Integer:
            return int(expression)
        if expression.is_Rational:
            made: Tree = ("/", abs(int(expression.p)), int(expression.q))
            return ("-", made) if expression.p < 0 else made
        return float(expression)

    @staticmethod
    def _flat(expression: sympy.Basic) -> list[sympy.Basic]:
        kind = type(expression)
        found: list[sympy.Basic] = []
        for part in expression.args:
            found.extend(_Reader._flat(part) if isinstance(part, kind) else [part])
        return found

    def _product(self, expression: sympy.Basic) -> Tree:
        over: list[Tree] = []
        under: list[Tree] = []
        sign = 1
        if any(type(part).__name__ == "DiracDelta" for part in expression.args):
            return 0
        for part in self._flat(expression):
            if part.is_Number and part < 0:
                sign = -sign
                part = -part  # noqa: PLW2901  the sign is kept apart
            if part.is_Number and part == 1:
                continue
            if part.is_Rational and not part.is_Integer and self.rank:
                over.extend([] if part.p == 1 else [int(part.p)])
                under.append(int(part.q))
            elif part.is_Pow and part.exp.is_Number and part.exp < 0:
                under.append(self._raised(self.read(part.base), -part.exp))
            else:
                one = self.read(part)
                if isinstance(one, tuple) and one[0] == "-":
                    sign, one = -sign, one[1]
                over.append(one)
        made = _product(self._sorted(over))
        if under:
            made = ("/", made, _product(self._sorted(under)))
        return negative(made) if sign < 0 else made

    def _power(self, expression: sympy.Basic) -> Tree:
        base, exponent = expression.base, expression.exp
        if base.is_NumberSymbol and str(base) == "E":
            return ("exp", self.read(exponent))
        if exponent.is_Number and exponent < 0:
            return ("/", 1, self._raised(self.read(base), -exponent))
        return self._raised(self.read(base), exponent)

    def _raised(self, base: Tree, exponent: sympy.Basic) -> Tree:
        if exponent == 1:
            return base
        if exponent.is_Rational and exponent.p == 1 and exponent.q in {2, 3}:
            return ("sqrt" if exponent.q == 2 else "cbrt", base)
        return ("^", base, self.read(exponent))

    def _sorted(self, parts: list[Tree], *, constants_last: bool = False) -> list[Tree]:
        if not self.rank:
            return parts

        def place(part: Tree) -> tuple[bool, float]:
            found = [self.rank.get(name, len(self.rank)) for name in names(part)]
            if not found:
                return (False, float(len(self.rank)) if constants_last else -1.0)
            return (constants_last and isinstance(part, tuple) and part[0] == "-", min(found))

        return sorted(parts, key=place)


def to_sympy(tree: Tree, symbol: Callable[[str], sympy.Symbol]) -> sympy.Expr:
    """Turn a tree into an evaluated SymPy expression; ``symbol`` makes the symbol of a name."""
    import sympy  # noqa: PLC0415  SymPy is slow to import

    if isinstance(tree, str):
        return symbol(tree)
    if not isinstance(tree, tuple):
        return sympy.Integer(tree) if isinstance(tree, int) else sympy.Float(repr(tree), 17)
    args = [to_sympy(part, symbol) for part in tree[1:]]
    operation = str(tree[0])
    simple = {
        "+": lambda: sympy.Add(*args),
        "*": lambda: sympy.Mul(*args),
        "-": lambda: -args[0],
        "/": lambda: args[0] / args[1],
        "^": lambda: args[0] ** args[1],
        "min": lambda: sympy.Min(*args, evaluate=False),  # what SymPy looks for takes it long
        "max": lambda: sympy.Max(*args, evaluate=False),
    }
    if operation in simple:
        return simple[operation]()
    from sympy.codegen import cfunctions  # noqa: PLC0415  SymPy is slow to import

    # What SymPy takes apart into other functions stands whole among those for printing code.
    symbolic = FUNCTIONS[operation].symbolic
    function = getattr(sympy if hasattr(sympy, symbolic) else cfunctions, symbolic)
    return function(*args)
