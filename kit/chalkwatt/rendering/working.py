"""The working: symbols, then numbers, then the result, step by step.

Every number is written with its unit (quantity calculus), so a line stays true whatever units are
mixed in it; only a temperature is written in kelvin, because a degree Celsius cannot be multiplied.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from html import escape
from typing import TYPE_CHECKING, Any

import numpy as np

from chalkwatt import units
from chalkwatt.quantities import look_up
from chalkwatt.rendering.assumed import assumptions_of, exact_names
from chalkwatt.rendering.numbers import result_digits, split_number
from chalkwatt.rendering.plain_html import equation
from chalkwatt.rendering.printers import (
    LatexPrinter,
    MathmlPrinter,
    Printer,
    TextPrinter,
)
from chalkwatt.rendering.speech import say_with_unit
from chalkwatt.rendering.spoken_printer import SpokenPrinter

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from chalkwatt.answers import Answer
    from chalkwatt.planning import Step
    from chalkwatt.relations import Relation

__all__ = ["Assumption", "Shown", "Working", "WorkingStep", "unit_for"]

_PRINTERS: dict[str, type[Printer]] = {
    "mathml": MathmlPrinter,
    "latex": LatexPrinter,
    "text": TextPrinter,
}
_EVERY_PRINTER: dict[str, type[Printer]] = {**_PRINTERS, "spoken": SpokenPrinter}


def unit_for(name: str, label: str | None = None, *, whole: bool = False) -> str:
    """Return the unit label in which to show a quantity.

    Parameters
    ----------
    name : str
    label : str, optional
        What the person used; the same unit in our own spelling is preferred.
    whole : bool
        Whether the number stands in a formula, where a unit with an offset cannot.

    Returns
    -------
    str
    """
    entry = look_up(name)
    chosen = entry.display[0]
    if label and units.inverse(label, entry.unit):
        label = units.counterpart(label, entry.unit)
    if label and units.same_dimension(label, entry.unit):
        wanted = units.unit(label)
        alike = [one for one in entry.display if units.unit(one)[1:] == wanted[1:]]
        chosen = label if label in entry.display or not alike else alike[0]
    if whole and units.unit(chosen).offset:
        return entry.unit
    return chosen


@dataclass(frozen=True)
class Shown:
    """One line in every notation."""

    mathml: str
    latex: str
    text: str
    spoken: str


@dataclass(frozen=True)
class WorkingStep:
    """One step as shown: the equation in symbols, with numbers, and the result."""

    title: str
    find: str
    relations: tuple[Relation, ...]
    symbols: Shown
    numbers: Shown
    result: Shown
    values: tuple[float, ...]


@dataclass(frozen=True)
class Assumption:
    """Something taken for granted: a standing value, or what follows from standing values alone."""

    name: str
    title: str
    si: float
    source: str
    shown: Shown


class Working:
    """The shown steps of an answer.

    Attributes
    ----------
    steps : tuple of WorkingStep
    assumptions : tuple of Assumption
    text, latex, mathml, spoken, html : str
    """

    def __init__(
        self,
        steps: Sequence[Step],
        values: Mapping[str, float],
        *,
        wanted: str,
        known: Sequence[str],
        labels: Mapping[str, str],
        roots: Mapping[str, Sequence[float]],
        assumptions: Sequence[tuple[str, str, str]],
        exact: Sequence[str] = (),
        notes: Sequence[str] = (),
    ) -> None:
        self._values = values
        self._known = frozenset(known)
        # Constants and standing values are as exact as given ones, and are shown with all their digits.
        self._exact = frozenset(exact)
        self._labels = labels
        self.wanted = wanted
        self.notes = tuple(notes)
        self.steps = tuple(self._step(step, roots.get(step.find, ())) for step in steps)
        self.assumptions = tuple(
            Assumption(
                name, title, float(values[name]), source, self._result(name, [float(values[name])])
            )
            for name, title, source in assumptions
        )

    @classmethod
    def of(cls, answer: Answer) -> Working:
        """Make the working of an answer to scalar input."""
        plan = answer.plan
        best = answer.best
        roots: dict[str, list[float]] = {}
        for step in plan.steps:
            every = sorted({float(branch.values[step.find]) for branch in answer.branches})
            roots[step.find] = every if len(every) > 1 else [float(best.values[step.find])]
        return cls(
            plan.steps,
            best.values,
            wanted=plan.wanted,
            known=tuple(answer.known),
            labels=answer.labels,
            roots=roots,
            assumptions=assumptions_of(plan),
            exact=exact_names(plan),
            notes=answer.notes,
        )

    def _step(self, step: Step, roots: Sequence[float]) -> WorkingStep:
        if step.residual is None:
            chosen = self._form(step)
            symbols = self._equation(step.find, chosen)
            numbers = self._equation(step.find, chosen, numeric=True)
        else:
            left, right = step.residual
            symbols = self._line(left, right)
            numbers = self._line(left, right, numeric=True, unknown=step.find)
        title = _together([one.title for one in step.relations])
        values = [float(one) for one in roots] or [float(self._values[step.find])]
        return WorkingStep(
            title,
            step.find,
            step.relations,
            symbols,
            numbers,
            self._result(step.find, values),
            tuple(values),
        )

    def _form(self, step: Step) -> Any:  # noqa: ANN401  a tree
        """Choose the branch of a formula that gave the value shown."""
        from chalkwatt.rendering.numpy_tree import compile_tree

        if len(step.forms) == 1:
            return step.forms[0]
        value = self._values[step.find]
        with np.errstate(all="ignore"):
            apart = [abs(float(compile_tree(form)(self._values)) - value) for form in step.forms]
        return step.forms[int(np.nanargmin(apart))]

    def _equation(self, find: str, form: Any, *, numeric: bool = False) -> Shown:  # noqa: ANN401
        return self._line(find, form, numeric=numeric, unknown=find)

    def _line(self, left: Any, right: Any, *, numeric: bool = False, unknown: str = "") -> Shown:  # noqa: ANN401
        made = {}
        for notation, kind in _EVERY_PRINTER.items():
            printer = self.printer(kind, numeric=numeric, unknown=unknown)
            made[notation] = printer.print(left) + printer.sign("=") + printer.print(right)
        return Shown(**made)

    def printer(self, kind: type[Printer], *, numeric: bool, unknown: str = "") -> Printer:
        """Return a printer that writes symbols, or numbers for all but the unknown."""
        if not numeric:
            return kind()
        printer = kind(numeric=True)

        def leaf(name: str, role: str) -> str:
            if name == unknown:
                return printer.symbol(name)
            label, number = self.shown(name)
            if isinstance(printer, SpokenPrinter):
                return _said(name, number, label)
            known = name in self._known or name in self._exact
            parts = self._rounded(name, number, exact=known)
            linear = (
                isinstance(printer, TextPrinter)
                and role == "under"
                and bool(label or parts[1] is not None)
            )
            guard = role == "base" or (role == "factor" and number < 0) or linear
            made = printer.amount(parts, label, guard=guard)
            return (
                f'<mrow class="cw-slot">{made}</mrow>'
                if isinstance(printer, MathmlPrinter)
                else made
            )

        printer.leaf = leaf
        return printer

    @staticmethod
    def _rounded(name: str, number: float, *, exact: bool) -> tuple[str, int | None]:
        if exact:
            return split_number(number, 6, keep_zeros=False)
        return split_number(number, result_digits(number, whole=look_up(name).whole))

    def shown(self, name: str) -> tuple[str, float]:
        """Return the unit label and the number with which a quantity stands in a formula."""
        label = unit_for(name, self._labels.get(name), whole=True)
        return label, float(look_up(name).in_unit(self._values[name], label))

    def _result(self, name: str, values: Sequence[float]) -> Shown:
        label = unit_for(name, self._labels.get(name))
        entry = look_up(name)
        numbers = [float(entry.in_unit(one, label)) for one in values]
        made = {}
        for notation, kind in _PRINTERS.items():
            printer = kind()
            exact = name in self._exact
            lines = [
                printer.symbol(name)
                + printer.sign("=")
                + printer.amount(self._rounded(name, one, exact=exact), label, guard=False)
                for one in numbers
            ]
            word = {
                "mathml": '<mspace width="0.5em"></mspace><mtext>or</mtext>'
                '<mspace width="0.5em"></mspace>'
            }
            made[notation] = word.get(
                notation, r" \quad\text{or}\quad " if notation == "latex" else " or "
            ).join(lines)
        said = " or ".join(_said(name, one, label) for one in numbers)
        return Shown(**made, spoken=f"{entry.words} is about {said}")

    @cached_property
    def text(self) -> str:
        """The steps as plain text."""
        lines = []
        for step in self.steps:
            lines += [step.title, f"    {step.symbols.text}"]
            if step.numbers.text != step.result.text:
                lines.append(f"    {step.numbers.text}")
            lines.append(f"    {step.result.text}")
        if self.assumptions:
            lines.append(
                "Assumed: "
                + "; ".join(f"{one.title}: {one.shown.text}" for one in self.assumptions)
            )
        return "\n".join([*lines, *self.notes])

    @cached_property
    def latex(self) -> str:
        """The steps as LaTeX, one aligned block: symbols, then numbers and result."""
        rows = []
        for step in self.steps:
            rows.append(_aligned(step.symbols.latex))
            left, _, right = step.numbers.latex.partition(" = ")
            formula = step.symbols.latex.partition(" = ")[0] == left
            if formula and len(step.values) == 1:
                result = step.result.latex.partition(" = ")[2]
                rows.append(f"&= {right}" + ("" if right == result else f" = {result}"))
            else:
                rows += [_aligned(step.numbers.latex), _aligned(step.result.latex)]
            rows[-1] += r"\\[0.6em]"
        if self.assumptions:
            first, *others = _in_threes(self.assumptions)
            rows += [rf"&\text{{assumed: }} {first}", *(rf"&\quad {row}" for row in others)]
        body = "\n".join(row if row.endswith("em]") else rf"{row} \\" for row in rows)
        return f"\\begin{{aligned}}\n{body}\n\\end{{aligned}}"

    def __repr__(self) -> str:
        """Show the steps as text."""
        return self.text

    def _repr_latex_(self) -> str:
        return f"$$\\displaystyle {self.latex}$$"

    @cached_property
    def latex_result(self) -> str:
        """The last step's equation in symbols and the result, on one line of LaTeX."""
        last = self.steps[-1]
        return rf"{last.symbols.latex} \qquad {last.result.latex}"

    @cached_property
    def mathml(self) -> str:
        """The steps as native MathML, one element a line."""
        return "\n".join(
            f'<math display="block">{line}</math>'
            for step in self.steps
            for line in (step.symbols.mathml, step.numbers.mathml, step.result.mathml)
        )

    @cached_property
    def spoken(self) -> str:
        """The steps as sentences to be said."""
        said = []
        for step in self.steps:
            said.append(
                f"{_capital(step.symbols.spoken)}: {step.numbers.spoken.partition(' equals ')[2]}."
            )
            said.append(f"{_capital(step.result.spoken)}.")
        return " ".join(said)

    @cached_property
    def html(self) -> str:
        """The steps as HTML that keeps its meaning where a host strips MathML."""
        parts = []
        for step in self.steps:
            lines = [equation(step.symbols.text, symbols=True)]
            lines += [equation(one) for one in dict.fromkeys((step.numbers.text, step.result.text))]
            parts.append(f"<p>{escape(step.title)}<br>{'<br>'.join(lines)}</p>")
        if self.assumptions:
            listed = "; ".join(
                f"{escape(one.title)}: {equation(one.shown.text)}" for one in self.assumptions
            )
            parts.append(f"<p>Assumed: {listed}</p>")
        parts += [f"<p>{escape(note)}</p>" for note in self.notes]
        return "\n".join(parts)


def _said(name: str, number: float, label: str) -> str:
    """Say a number: three digits are all that an ear holds, but a count is a count."""
    whole = look_up(name).whole
    return say_with_unit(number, label, result_digits(number, whole=True) if whole else 3)


def _aligned(line: str) -> str:
    return line.replace(" = ", " &= ", 1)


def _in_threes(assumptions: Sequence[Assumption]) -> list[str]:
    shown = [one.shown.latex for one in assumptions]
    return [r",\;\; ".join(shown[start : start + 3]) for start in range(0, len(shown), 3)]


def _together(titles: Sequence[str]) -> str:
    """Name the relations that a step solves at once."""
    first, *others = titles
    if not others:
        return first
    *most, last = [one[0].lower() + one[1:] for one in others]
    return f"{first}, together with {', '.join(most)}{' and ' if most else ''}{last}"


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
