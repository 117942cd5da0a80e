"""Relations: the laws of the trade, each written once in SymPy, in the author's order.

A topic file writes its relations inside :func:`author_order`, which keeps SymPy from rearranging
what the author wrote::

    with author_order() as q:
        DRAG = Relation("Drag", q.air_force, q.coast_down_square * q.speed**2, source="...")
"""

from __future__ import annotations

import functools
import operator
from contextlib import contextmanager
from dataclasses import dataclass
from functools import cache, cached_property
from typing import TYPE_CHECKING, Any

import sympy

from chalkwatt.algebra import trees
from chalkwatt.algebra.operations import OPERATIONS
from chalkwatt.errors import UnitError
from chalkwatt.laws.quantities import look_up
from chalkwatt.wording import units

if TYPE_CHECKING:
    from collections.abc import Iterator

    from pint.facets.plain import PlainUnit

    from chalkwatt.algebra.trees import Operation, Tree

__all__ = [
    "Meant",
    "Relation",
    "Remark",
    "Rest",
    "Symbols",
    "author_order",
    "check_dimensions",
    "greatest",
    "least",
    "symbol",
]

# The least and the greatest of several, in the author's order: SymPy's own Min and Max sort.
least = sympy.Function("min")
greatest = sympy.Function("max")


@cache
def symbol(name: str) -> sympy.Symbol:
    """Return the SymPy symbol of a quantity, with the assumptions its bounds allow.

    Parameters
    ----------
    name : str
        Name of a quantity.

    Returns
    -------
    sympy.Symbol

    Raises
    ------
    NameUnknownError
        If there is no such quantity.

    Examples
    --------
    >>> from chalkwatt.laws.relations import symbol
    >>> symbol("mass").is_positive
    True
    """
    entry = look_up(name)
    if entry.positive:
        return (
            sympy.Symbol(name, positive=True)
            if entry.open_bounds[0]
            else sympy.Symbol(name, nonnegative=True)
        )
    return sympy.Symbol(name, real=True)


class Symbols:
    """Every quantity as an attribute: ``q.mass`` is the symbol of ``mass``."""

    def __getattr__(self, name: str) -> sympy.Symbol:
        """Return the symbol of a quantity."""
        return symbol(name)


@contextmanager
def author_order() -> Iterator[Symbols]:
    """Write relations without SymPy rearranging their terms.

    Yields
    ------
    Symbols
        Gives every quantity as an attribute.

    Examples
    --------
    >>> from chalkwatt.laws.relations import Relation, author_order
    >>> with author_order() as q:
    ...     weight = Relation("Weight", q.road_force, q.mass * q.gravity, source="none")
    >>> weight.sides
    ('road_force', ('*', 'mass', 'gravity'))
    """
    with sympy.evaluate(False):  # noqa: FBT003  SymPy's own signature
        yield Symbols()


@dataclass(frozen=True)
class Rest:
    """What a quantity is where the relation has no root for it, by definition.

    A vehicle whose panel brings less than the auxiliary load takes does not move: its speed is 0,
    which is no root of the balance of power.

    Parameters
    ----------
    quantity : str
        The quantity that rests.
    surplus : sympy.Expr
        It rests where this is not above zero.
    value : float
        What it then is, in SI units.
    words : str
        Said to the reader.
    """

    quantity: str
    surplus: Any
    value: float
    words: str

    @cached_property
    def tree(self) -> Tree:
        """The surplus as an ordered tree."""
        return _tree(self.surplus)


@dataclass(frozen=True)
class Meant:
    """Which of several roots of a relation is meant: the one at which something is least.

    A relation that asks where consumption stops falling has a root in every hollow of it; the most
    economical speed is the one in the deepest.

    Parameters
    ----------
    quantity : str
        The quantity that has several roots.
    worth : sympy.Expr
        What is least at the one that is meant.
    below_nought : str
        Said where even that is below nought, in place of a result; without words it may be.
    """

    quantity: str
    worth: Any
    below_nought: str = ""

    @cached_property
    def tree(self) -> Tree:
        """The worth as an ordered tree."""
        return _tree(self.worth)


@dataclass(frozen=True)
class Remark:
    """What has to be said where a relation is in a certain state.

    Parameters
    ----------
    surplus : sympy.Expr
        The state: of a relation's ``remarks``, it is said beside the result where this is above
        zero; of its ``refusals``, in place of a result where this is not above zero.
    words : str
        Said to the reader; ``{at}`` in it is the value of ``at``.
    at : sympy.Expr, optional
        Where it is so, in SI units.
    label : str
        The SI unit of that, as it is shown.
    endless : tuple of str
        Of a refusal: quantities that nothing limits in this state. One of which less is better is nought or less.
    """

    surplus: Any
    words: str
    endless: tuple[str, ...] = ()
    at: Any = None
    label: str = ""

    @cached_property
    def tree(self) -> Tree:
        """The state as an ordered tree."""
        return _tree(self.surplus)

    @cached_property
    def place(self) -> Tree | None:
        """Where it is so, as an ordered tree."""
        return None if self.at is None else _tree(self.at)


@dataclass(frozen=True, eq=False)
class Relation:
    """An equation between quantities.

    Parameters
    ----------
    title : str
        A few words for the reader.
    left, right : sympy.Expr
        The two sides, written inside :func:`author_order`.
    source : str
        The published source, or "definition", or "common practice, no source".
    assumptions : tuple of str
        What must hold for the relation to hold, a sentence each.
    model : tuple of str
        What of it is simpler than the world by more than people would expect, in words that stand in a
        bracket beside a result: ``"steady"``, ``"without drag"``.
    finds : str
        Of a balance: the quantity that it is there to find. It stands alone on neither side, or what
        stands alone follows from elsewhere. Of a least of several limits: what they limit.
    where : tuple of sympy.Expr
        Expressions that must not be negative for a solution to be physical. One that speaks of a quantity
        which is on neither side counts wherever a plan works that quantity out.
    standing : bool
        Whether it is a standing value, used only where nothing given determines its left side.
    firm : bool
        Of a standing value: whether it stands wherever the quantity is neither given nor asked for, whatever
        the given ones would make of it. Nobody looks for a mistake in gravity.
    instead_of : tuple of Relation
        Of a standing value: relations that it takes the place of, since with it they would say something else.
    partly : str
        Of a limit that is not there: what limit it is, said where it is left out although some of what
        makes it is given. Without it, a question that gives some of it is refused.
    unless : tuple of str
        Of a standing value: quantities that, once all of them are determined, make it needless.
    unless_any : tuple of str
        Of a standing value: quantities that, once one of them is asked, or determined and not nought for granted,
        make it untrue.
    only_with : tuple of str
        Of a standing value: quantities without which, given, determined or asked, it says nothing.
    meant : Meant, optional
        Which of several roots is meant.
    rest : Rest, optional
        What a quantity is, by definition, where the relation has no root for it.
    remarks : tuple of Remark
        What has to be said beside a result, and where.
    refusals : tuple of Remark
        Why the relation gives no value, and where.
    binds : bool
        Whether its left side has to be possible wherever the values that make it are used at all. A plan
        works it out then, also where the wanted does not need it.
    tacit : tuple of str
        Quantities whose standing values this relation takes without a word, because no reader would miss them.
    leaves_out : tuple of str
        Quantities that matter to it and that it knows nothing of: the slope, to a start in closed form.
    """

    title: str
    left: Any
    right: Any
    source: str
    assumptions: tuple[str, ...] = ()
    model: tuple[str, ...] = ()
    finds: str = ""
    where: tuple[Any, ...] = ()
    standing: bool = False
    firm: bool = False
    instead_of: tuple[Relation, ...] = ()
    partly: str = ""
    unless: tuple[str, ...] = ()
    unless_any: tuple[str, ...] = ()
    only_with: tuple[str, ...] = ()
    rest: Rest | None = None
    meant: Meant | None = None
    remarks: tuple[Remark, ...] = ()
    refusals: tuple[Remark, ...] = ()
    binds: bool = False
    tacit: tuple[str, ...] = ()
    leaves_out: tuple[str, ...] = ()

    @cached_property
    def sides(self) -> tuple[Tree, Tree]:
        """Left and right as ordered trees."""
        return _tree(self.left), _tree(self.right)

    @property
    def limits(self) -> bool:
        """Whether it finds a quantity as the least of several limits."""
        return self.finds in self.sides and any(
            isinstance(one, tuple) and one[0] == "min" for one in self.sides
        )

    @cached_property
    def conditions(self) -> tuple[Tree, ...]:
        """The ``where`` expressions as ordered trees."""
        return tuple(_tree(one) for one in self.where)

    @cached_property
    def own_conditions(self) -> tuple[Tree, ...]:
        """The conditions on nothing but its own quantities."""
        return tuple(one for one in self.conditions if {*self.names}.issuperset(trees.names(one)))

    @cached_property
    def conditions_abroad(self) -> tuple[Tree, ...]:
        """The conditions on quantities that it does not hold itself, met wherever they are worked out."""
        return tuple(one for one in self.conditions if one not in self.own_conditions)

    @cached_property
    def names(self) -> tuple[str, ...]:
        """Names of the quantities in it, constants included, in the author's order."""
        return tuple(dict.fromkeys([*trees.names(self.sides[0]), *trees.names(self.sides[1])]))

    def __repr__(self) -> str:
        """Show title and equation."""
        return f"<Relation {self.title}: {self.left} = {self.right}>"


def _tree(expression: sympy.Expr | float) -> Tree:
    return expression if isinstance(expression, int | float) else trees.from_sympy(expression)


def check_dimensions(relation: Relation) -> None:
    """Prove that both sides of a relation have the same dimension.

    Parameters
    ----------
    relation : Relation

    Raises
    ------
    UnitError
        If they do not, or if a sum or a function inside is inconsistent.

    Examples
    --------
    >>> from chalkwatt.laws.relations import Relation, author_order, check_dimensions
    >>> with author_order() as q:
    ...     wrong = Relation("Wrong", q.road_force, q.mass * q.speed, source="none")
    >>> check_dimensions(wrong)
    Traceback (most recent call last):
    ...
    chalkwatt.errors.UnitError: Wrong: road_force is in newton but the other side in kilogram * ...
    """
    if relation.standing and not isinstance(relation.sides[1], tuple | str):
        return  # a bare number is in the SI unit of its quantity
    left, right = (_dimension(side, relation) for side in relation.sides)
    if not _alike(left, right):
        raise UnitError(
            f"{relation.title}: {relation.left} is in {left} but the other side in {right}."
        )
    said = (one.tree for one in (*relation.remarks, *relation.refusals))
    for condition in (*relation.conditions, *said):
        _dimension(condition, relation)


def _alike(first: PlainUnit, second: PlainUnit) -> bool:
    return bool(first.dimensionality == second.dimensionality)


def _dimension(tree: Tree, relation: Relation) -> PlainUnit:
    if not isinstance(tree, tuple):
        unit = look_up(tree).unit if isinstance(tree, str) else ""
        return units.registry().parse_units(unit)
    operation = str(tree[0])
    parts = [_dimension(part, relation) for part in tree[1:]]
    if operation == "*":
        return functools.reduce(operator.mul, parts)
    power = tree[2] if operation == "^" else OPERATIONS[operation].size
    if isinstance(power, int | float):
        return parts[0] ** power
    return _dimension_of_parts(tree, parts, relation)


def _dimension_of_parts(tree: Operation, parts: list[PlainUnit], relation: Relation) -> PlainUnit:
    operation = str(tree[0])
    if operation == "/":
        made: PlainUnit = parts[0] / parts[1]
        return made
    if operation in {"+", "min", "max"}:
        # A plain nought is nought in any unit.
        parts = [part for part, of in zip(parts, tree[1:], strict=True) if of != 0] or parts
        for part in parts[1:]:
            if not _alike(parts[0], part):
                raise UnitError(
                    f"{relation.title}: {parts[0]} and {part} cannot be added or compared."
                )
        return parts[0]
    for part in parts:
        if not part.dimensionless:
            raise UnitError(f"{relation.title}: {operation} needs a plain number, not {part}.")
    return units.registry().parse_units("")
