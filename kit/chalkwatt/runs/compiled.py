"""What a run integrates, compiled from the very lines that it prints.

A run holds `Equations`. Whatever in them stays the same is worked out once (`constants_of`); what
depends on the state is planned by the same planner as a topic's answers and comes back as one tree
(`expressed`). Nothing is written a second time by hand, so that a changed line changes the equation
shown and the result together.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property, lru_cache
from typing import TYPE_CHECKING

from chalkwatt.algebra.scalar_tree import compile_scalar, settle
from chalkwatt.algebra.trees import names
from chalkwatt.errors import ChalkwattError
from chalkwatt.laws.relations import Relation
from chalkwatt.planning.evaluation import compile_plan
from chalkwatt.planning.network import Network
from chalkwatt.rendering.limits import least_of

if TYPE_CHECKING:
    from collections.abc import Callable, Collection, Iterable, Mapping

    from chalkwatt.algebra.trees import Tree
    from chalkwatt.planning.evaluation import PlanFunction
    from chalkwatt.runs.equations import Equations

__all__ = [
    "choices",
    "constants_of",
    "expressed",
    "function_of",
    "line_of",
    "planted",
    "rate_of",
    "right_of",
    "solution_of",
]


@dataclass(frozen=True, eq=False)
class _AsShown(Relation):
    """A relation with the sides that are printed: noughts and missing limits left out."""

    shown: tuple[Tree, Tree] = (0, 0)

    @cached_property
    def sides(self) -> tuple[Tree, Tree]:
        """Left and right as ordered trees."""
        return self.shown


def constants_of(equations: Equations, values: Mapping[str, float]) -> dict[str, float]:
    """Work out every quantity that follows, line by line, from values that do not change.

    Parameters
    ----------
    equations : Equations
    values : mapping of str to float
        What is given, in SI units.

    Returns
    -------
    dict of str to float
        The given values and all that the lines make of them alone.
    """
    known = dict(values)
    for line in equations.lines:
        if isinstance(line, Relation):
            left, right = equations.sides(line)
            if isinstance(left, str) and known.keys() >= {*names(right)}:
                known[left] = compile_scalar(right)(known)
    return known


def planted(tree: Tree, instead: Mapping[str, Tree]) -> Tree:
    """Put trees in for names, and leave everything else as it is."""
    if isinstance(tree, str):
        return instead.get(tree, tree)
    if not isinstance(tree, tuple):
        return tree
    return (tree[0], *(planted(part, instead) for part in tree[1:]))


def choices(tree: Tree) -> list[tuple[Tree, Tree]]:
    """Return each argument of the least of several in a tree, and the tree with it alone.

    Parameters
    ----------
    tree : Tree

    Returns
    -------
    list of (Tree, Tree)
        One pair, the tree twice, where nothing is compared.

    Examples
    --------
    >>> from chalkwatt.runs.compiled import choices
    >>> choices(("*", "share", ("min", "first", "second")))
    [('first', ('*', 'share', 'first')), ('second', ('*', 'share', 'second'))]
    """
    least = next(least_of(tree), None)
    if least is None:
        return [(tree, tree)]

    def reduced(part: Tree, argument: Tree) -> Tree:
        if part is least:
            return argument
        if not isinstance(part, tuple):
            return part
        return (part[0], *(reduced(one, argument) for one in part[1:]))

    return [(argument, reduced(tree, argument)) for argument in least[1:]]


def expressed(
    equations: Equations,
    wanted: str,
    known: Iterable[str],
    *,
    chosen: tuple[Relation, Tree] | None = None,
) -> Tree:
    """Solve the lines for a quantity, and write it in terms of what is known.

    Parameters
    ----------
    equations : Equations
    wanted : str
    known : iterable of str
        Names of what is given, what has been worked out, and the state.
    chosen : (Relation, Tree), optional
        A line, and its right side where one limit of several binds.

    Returns
    -------
    Tree
        It holds no other names than those known.

    Raises
    ------
    TooLittleKnownError
        If the lines do not determine it.
    ChalkwattError
        If they do, but not by one formula.
    """
    return _expressed(equations, wanted, frozenset(known), chosen)


@lru_cache(maxsize=256)
def _expressed(
    equations: Equations,
    wanted: str,
    known: frozenset[str],
    chosen: tuple[Relation, Tree] | None,
) -> Tree:
    network = Network("run", _as_shown(equations, known, chosen))
    plan = network.plan(wanted, sorted(known & {*network.names}))
    found: dict[str, Tree] = {}
    for step in (*plan.groundwork, *plan.steps):
        if step.by != "formula" or len(step.forms) != 1:
            raise ChalkwattError(
                f"{step.find} does not follow from the lines of this run by one formula.",
                quantity=step.find,
                advice="Write the line so that it is determined at once.",
            )
        found[step.find] = planted(step.forms[0], found)
    made_tree: Tree = found[wanted]
    return made_tree


def _as_shown(
    equations: Equations,
    known: Collection[str] = (),
    chosen: tuple[Relation, Tree] | None = None,
) -> tuple[Relation, ...]:
    """Return the relations as they are printed, without those of what is known already."""
    relations = []
    for line in equations.lines:
        if not isinstance(line, Relation):
            continue
        left, right = equations.sides(line)
        if chosen and line is chosen[0]:
            right = chosen[1]
        if left not in known:
            made = _AsShown(
                line.title,
                line.left,
                line.right,
                line.source,
                where=() if chosen else line.where,
                rest=line.rest,
                shown=(left, right),
            )
            relations.append(made)
    return tuple(relations)


@lru_cache(maxsize=256)
def solution_of(
    equations: Equations, wanted: str, known: tuple[str, ...], standing: tuple[Relation, ...]
) -> PlanFunction:
    """Compile the lines to a function of arrays, whatever it takes to solve them.

    Parameters
    ----------
    equations : Equations
    wanted : str
    known : tuple of str
        Names of what will be given; those that no line holds may be among them.
    standing : tuple of Relation
        Values taken for granted where nothing given determines them.

    Returns
    -------
    PlanFunction
        Takes what it needs of the known by name, in SI units; ``plan.known`` says what that is.
    """
    network = Network("run", (*_as_shown(equations), *standing))
    plan = network.plan(wanted, [one for one in known if one in network.names])
    return compile_plan(plan)


def function_of(
    state: str, tree: Tree, known: Mapping[str, float]
) -> Callable[[tuple[float]], float]:
    """Compile a tree to a function of the state alone, all else worked out beforehand.

    Parameters
    ----------
    state : str
        Name of what changes.
    tree : Tree
    known : mapping of str to float
        All other names in it.

    Returns
    -------
    callable
        Takes a tuple with the one number.

    Examples
    --------
    >>> from chalkwatt.runs.compiled import function_of
    >>> function_of("speed", ("/", "wheel_power", "speed"), {"wheel_power": 6.0})((2.0,))
    3.0
    """
    return compile_scalar(settle(tree, known), {state: 0})


def rate_of(equations: Equations, quantity: str) -> Tree:
    """Return how fast a quantity changes, as the line that is printed says it."""
    rate = next(one for one in equations.rates if one.quantity == quantity)
    return equations.sides(rate)[1]


def line_of(equations: Equations, quantity: str) -> Relation:
    """Return the relation that is printed with a quantity on its left."""
    lines = (one for one in equations.lines if isinstance(one, Relation))
    return next(one for one in lines if one.sides[0] == quantity)


def right_of(equations: Equations, quantity: str) -> Tree:
    """Return the right side of the relation with a quantity on its left, as it is printed."""
    return equations.sides(line_of(equations, quantity))[1]
