"""Plans and steps: the ordered way from what is known to what is wanted, as data."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property
from typing import TYPE_CHECKING

from chalkwatt.algebra.trees import Tree, kinks, names

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from chalkwatt.laws.relations import Relation

__all__ = ["Piece", "Plan", "Step"]


@dataclass(frozen=True, eq=False)
class Piece:
    """One case of an equation in which the least or the greatest of several stands.

    ``by`` and ``forms`` are those of a step, never a search; ``where`` holds what must not be
    negative for this to be the case.
    """

    by: str
    forms: tuple[Tree, ...]
    where: tuple[Tree, ...] = ()


@dataclass(frozen=True, eq=False)
class Step:
    """One step of a plan: how one quantity follows from those before it.

    ``by`` is ``"formula"`` (``forms``: a tree per branch), ``"quadratic"`` or ``"cubic"``
    (``forms``: the coefficients a, b, c of ``a t² + b t = c`` or ``a t³ + b t = c``),
    ``"pieces"`` (``pieces``: the cases of the equation, each solved by itself) or ``"roots"``;
    the last four keep the equation solved in ``residual`` (left, right), and the last the
    derivative of left minus right in ``slope``. Of several solutions the one at which ``worth``, if
    there is one, is least is meant; where it is below nought, ``below_nought`` says why there is none.
    ``holds`` are relations of earlier steps whose conditions can only be seen here.
    """

    find: str
    relations: tuple[Relation, ...]
    by: str
    forms: tuple[Tree, ...]
    residual: tuple[Tree, Tree] | None = None
    slope_of: Callable[[], Tree] | None = field(default=None, repr=False)
    where: tuple[Tree, ...] = ()
    pieces: tuple[Piece, ...] = ()
    worth: Tree | None = None
    holds: tuple[Relation, ...] = ()

    @cached_property
    def slope(self) -> Tree:
        """Of a search: the derivative of left minus right; made for a step that is taken."""
        return 0 if self.slope_of is None else self.slope_of()

    @cached_property
    def below_nought(self) -> str:
        """Said in place of a result where even the least worth is below nought; empty where that may be."""
        meant = (one.meant for one in self.relations if self.worth is not None)
        return next((one.below_nought for one in meant if one is not None), "")

    @cached_property
    def kinks(self) -> tuple[Tree, ...]:
        """What is nought where the equation bends or jumps as the quantity changes; for a search."""
        return tuple(
            dict.fromkeys(k for side in self.residual or () for k in kinks(side, self.find))
        )

    @cached_property
    def needs(self) -> frozenset[str]:
        """Names of the quantities that must be known before this step."""
        found: set[str] = set()
        cases = [tree for piece in self.pieces for tree in (*piece.forms, *piece.where)]
        said = () if self.worth is None else (self.worth,)
        for tree in (*self.forms, *(self.residual or ()), *self.where, *said, *cases):
            found.update(names(tree))
        return frozenset(found - {self.find})


@dataclass(frozen=True, eq=False)
class Plan:
    """The ordered way from the known quantities to the wanted one.

    ``assumed`` holds the names of the standing values and constants that it uses; ``standing``
    the standing relations they come from; ``groundwork`` the steps that depend on nothing but
    those, and ``steps`` the rest. ``half_known`` names the limits that it leaves out although some of
    what makes them is given, and what that is.
    """

    topic: str
    known: tuple[str, ...]
    wanted: str
    steps: tuple[Step, ...]
    groundwork: tuple[Step, ...] = ()
    standing: tuple[Relation, ...] = ()
    constants: tuple[str, ...] = ()
    zeros: tuple[str, ...] = ()
    half_known: Mapping[str, tuple[str, ...]] = field(default_factory=dict)

    @cached_property
    def heard(self) -> tuple[str, ...]:
        """The known quantities that it does not do without."""
        needed = {name for step in (*self.groundwork, *self.steps) for name in step.needs}
        return tuple(name for name in self.known if name in needed)

    @cached_property
    def forwards(self) -> bool:
        """Whether every relation is used as it is written: nothing is turned round or looked for."""
        return all(
            step.by == "formula"
            and len(step.relations) == 1
            and step.relations[0].sides[0] == step.find
            for step in self.steps
        )

    @property
    def final(self) -> Step:
        """The step that finds the wanted; what only has to be possible beside it may come later."""
        return next((one for one in self.steps if one.find == self.wanted), self.steps[-1])

    @property
    def relations(self) -> tuple[Relation, ...]:
        """Every relation used, in order of use."""
        found = [one for step in (*self.groundwork, *self.steps) for one in step.relations]
        return tuple(dict.fromkeys(found))
