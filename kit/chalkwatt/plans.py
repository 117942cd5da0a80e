"""Plans and steps: the ordered way from what is known to what is wanted, as data."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from chalkwatt.trees import Tree, names

if TYPE_CHECKING:
    from chalkwatt.relations import Relation

__all__ = ["Plan", "Step"]


@dataclass(frozen=True, eq=False)
class Step:
    """One step of a plan: how one quantity follows from those before it.

    ``by`` is ``"formula"`` (``forms``: a tree per branch), ``"quadratic"`` or ``"cubic"``
    (``forms``: the coefficients a, b, c of ``a t² + b t = c`` or ``a t³ + b t = c``) or
    ``"roots"``; the last three keep the equation solved in ``residual`` (left, right), and the
    last the derivative of left minus right in ``slope``.
    """

    find: str
    relations: tuple[Relation, ...]
    by: str
    forms: tuple[Tree, ...]
    residual: tuple[Tree, Tree] | None = None
    slope: Tree = 0
    where: tuple[Tree, ...] = ()

    @cached_property
    def needs(self) -> frozenset[str]:
        """Names of the quantities that must be known before this step."""
        found: set[str] = set()
        for tree in (*self.forms, *(self.residual or ()), *self.where):
            found.update(names(tree))
        return frozenset(found - {self.find})


@dataclass(frozen=True, eq=False)
class Plan:
    """The ordered way from the known quantities to the wanted one.

    ``assumed`` holds the names of the standing values and constants that it uses; ``standing``
    the standing relations they come from; ``groundwork`` the steps that depend on nothing but
    those, and ``steps`` the rest.
    """

    topic: str
    known: tuple[str, ...]
    wanted: str
    steps: tuple[Step, ...]
    groundwork: tuple[Step, ...] = ()
    standing: tuple[Relation, ...] = ()
    constants: tuple[str, ...] = ()
    zeros: tuple[str, ...] = ()

    @property
    def relations(self) -> tuple[Relation, ...]:
        """Every relation used, in order of use."""
        found = [one for step in (*self.groundwork, *self.steps) for one in step.relations]
        return tuple(dict.fromkeys(found))
