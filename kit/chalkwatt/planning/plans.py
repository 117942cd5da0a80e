"""Plans and steps: the ordered way from what is known to what is wanted, as data."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property
from typing import TYPE_CHECKING

from chalkwatt.trees import Tree, kinks, names

if TYPE_CHECKING:
    from collections.abc import Mapping

    from chalkwatt.relations import Relation

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
    derivative of left minus right in ``slope``.
    """

    find: str
    relations: tuple[Relation, ...]
    by: str
    forms: tuple[Tree, ...]
    residual: tuple[Tree, Tree] | None = None
    slope: Tree = 0
    where: tuple[Tree, ...] = ()
    pieces: tuple[Piece, ...] = ()

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
        for tree in (*self.forms, *(self.residual or ()), *self.where, *cases):
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

    @property
    def relations(self) -> tuple[Relation, ...]:
        """Every relation used, in order of use."""
        found = [one for step in (*self.groundwork, *self.steps) for one in step.relations]
        return tuple(dict.fromkeys(found))
