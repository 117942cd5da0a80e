"""Governing equations: what a run integrates, in the four notations of a working."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from html import escape
from typing import TYPE_CHECKING, Any

from chalkwatt.algebra import trees
from chalkwatt.laws.relations import Relation, author_order, check_dimensions
from chalkwatt.planning.folding import fold
from chalkwatt.rendering.printers import LatexPrinter, MathmlPrinter, TextPrinter
from chalkwatt.rendering.spoken_printer import SpokenPrinter

if TYPE_CHECKING:
    from collections.abc import Iterable

    from chalkwatt.algebra.trees import Tree

__all__ = ["Equations", "Rate"]


@dataclass(frozen=True, eq=False)
class Rate:
    """A differential equation: how fast a quantity changes.

    Parameters
    ----------
    title : str
        A few words for the reader.
    quantity : str
        Name of the quantity that changes.
    right : sympy.Expr
        Its change over time, written inside :func:`chalkwatt.laws.relations.author_order`.
    source : str
    assumptions : tuple of str
    """

    title: str
    quantity: str
    right: Any
    source: str = "definition"
    assumptions: tuple[str, ...] = ()

    @cached_property
    def tree(self) -> Tree:
        """The right side as an ordered tree."""
        return trees.from_sympy(self.right)

    def check_dimensions(self) -> None:
        """Prove that the right side is in the quantity's unit per second.

        Raises
        ------
        UnitError
            If it is not.
        """
        with author_order() as q:
            left = getattr(q, self.quantity) / q.driving_time
        check_dimensions(Relation(self.title, left, self.right, source=self.source))


class Equations:
    """The equations that a run rests on.

    Parameters
    ----------
    lines : iterable of Relation or Rate
        In the order in which a reader meets them.
    zeros : iterable of str
        Quantities that are nought in this run and so are left out, such as wind on a still day.
    endless : iterable of str
        Limits that this run does not have.

    Attributes
    ----------
    text, latex, mathml, spoken, html : str
    sources, assumptions : tuple of str
    """

    def __init__(
        self,
        lines: Iterable[Relation | Rate],
        *,
        zeros: Iterable[str] = (),
        endless: Iterable[str] = (),
    ) -> None:
        self.lines = tuple(lines)
        self._zeros = frozenset(zeros)
        self._endless = frozenset(endless)
        self._shown: dict[Relation | Rate, tuple[Tree, Tree]] = {}

    def sides(self, line: Relation | Rate) -> tuple[Tree, Tree]:
        """Return both sides of a line as they are shown; of a rate, what changes and how fast."""
        if line not in self._shown:
            both = (line.quantity, line.tree) if isinstance(line, Rate) else line.sides
            left, right = (fold(side, self._zeros, self._endless) for side in both)
            self._shown[line] = left, right
        return self._shown[line]

    @property
    def rates(self) -> tuple[Rate, ...]:
        """The lines that say how fast something changes."""
        return tuple(one for one in self.lines if isinstance(one, Rate))

    def replaced(self, line: Relation | Rate, other: Relation | Rate) -> Equations:
        """Return the equations with one line in the place of another.

        Parameters
        ----------
        line, other : Relation or Rate

        Returns
        -------
        Equations
        """
        lines = [other if one is line else one for one in self.lines]
        return Equations(lines, zeros=self._zeros, endless=self._endless)

    @cached_property
    def text(self) -> str:
        """A title and an equation a line, as plain text."""
        printer = TextPrinter()
        made = []
        for line in self.lines:
            left, right = self.sides(line)
            shown = printer.print(left)
            if isinstance(line, Rate):
                shown = f"d{shown}/dt"
            made += [line.title, f"    {shown} = {printer.print(right)}"]
        return "\n".join(made)

    @cached_property
    def latex(self) -> str:
        """One aligned block of LaTeX."""
        printer = LatexPrinter()
        rows = []
        for line in self.lines:
            left, right = self.sides(line)
            shown = printer.print(left)
            if isinstance(line, Rate):
                shown = rf"\frac{{\mathrm{{d}}{shown}}}{{\mathrm{{d}}t}}"
            rows.append(f"{shown} &= {printer.print(right)}")
        body = " \\\\\n".join(rows)
        return f"\\begin{{aligned}}\n{body}\n\\end{{aligned}}"

    def _math(self, line: Relation | Rate) -> str:
        printer = MathmlPrinter()
        left, right = self.sides(line)
        shown = printer.print(left)
        if isinstance(line, Rate):
            over, under = (
                f'<mrow><mi mathvariant="normal">d</mi>{one}</mrow>'
                for one in (shown, "<mi>t</mi>")
            )
            shown = f"<mfrac>{over}{under}</mfrac>"
        return f'<math display="block">{shown}<mo>=</mo>{printer.print(right)}</math>'

    @cached_property
    def mathml(self) -> str:
        """Native MathML, one element an equation."""
        return "\n".join(self._math(line) for line in self.lines)

    @cached_property
    def spoken(self) -> str:
        """The equations as sentences to be said."""
        printer = SpokenPrinter()
        made = []
        for line in self.lines:
            left, right = self.sides(line)
            shown = printer.print(left)
            if isinstance(line, Rate):
                shown = f"the change of {shown} over time"
            made.append(f"{line.title}: {shown} equals {printer.print(right)}.")
        return " ".join(made)

    @cached_property
    def html(self) -> str:
        """Titles and equations as HTML, with the assumptions below."""
        parts = [f"<p>{escape(line.title)}</p>\n{self._math(line)}" for line in self.lines]
        if self.assumptions:
            listed = "".join(f"<li>{escape(one)}</li>" for one in self.assumptions)
            parts.append(f"<p>Assumed:</p>\n<ul>{listed}</ul>")
        return "\n".join(parts)

    @property
    def assumptions(self) -> tuple[str, ...]:
        """What must hold, a sentence each."""
        return tuple(dict.fromkeys(one for line in self.lines for one in line.assumptions))

    @property
    def sources(self) -> tuple[str, ...]:
        """Where the equations were published."""
        return tuple(dict.fromkeys(line.source for line in self.lines))

    def __repr__(self) -> str:
        """Show the plain text."""
        return self.text

    def _repr_mimebundle_(self, include: object = None, exclude: object = None) -> dict[str, str]:
        """Give every front end what it can show."""
        del include, exclude
        return {
            "text/plain": self.text,
            "text/latex": f"$$\\displaystyle {self.latex}$$",
            "text/html": self.html,
        }
