"""The working: symbols, then numbers, then the result, step by step.

Every number is written with its unit, and the units of a line cohere: its numbers multiply out as
printed, so that a reader checks it with a pencil. Where a value was given in another unit, the working
first says the conversion, once; where a result is shown in another unit, its line ends in both.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from html import escape
from typing import TYPE_CHECKING, Any, Protocol

import numpy as np

from chalkwatt.algebra.numpy_tree import compile_tree
from chalkwatt.algebra.trees import names
from chalkwatt.laws.quantities import look_up, unit_of
from chalkwatt.rendering.assumed import assumptions_of, exact_names
from chalkwatt.rendering.coherent import Role, coherent_units
from chalkwatt.rendering.phrases import agreeing
from chalkwatt.rendering.plain_html import equation
from chalkwatt.rendering.printers import (
    LatexPrinter,
    MathmlPrinter,
    Printer,
    TextPrinter,
)
from chalkwatt.rendering.spoken_printer import SpokenPrinter
from chalkwatt.wording import units
from chalkwatt.wording.numbers import result_digits, split_number
from chalkwatt.wording.speech import say_with_unit

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from chalkwatt.algebra.trees import Tree
    from chalkwatt.laws.relations import Relation
    from chalkwatt.planning.evaluation import Branch
    from chalkwatt.planning.plans import Plan, Step

__all__ = ["CONVERSIONS", "Assumption", "Conversion", "Shown", "Working", "WorkingStep", "unit_for"]

_PRINTERS: dict[str, type[Printer]] = {
    "mathml": MathmlPrinter,
    "latex": LatexPrinter,
    "text": TextPrinter,
}
CONVERSIONS = "Conversions"  # the title of what is said before the first step
_EVERY_PRINTER: dict[str, type[Printer]] = {**_PRINTERS, "spoken": SpokenPrinter}


class Solved(Protocol):
    """What a working shows of an answer: that stands in a room above this one."""

    plan: Plan

    @property
    def labels(self) -> Mapping[str, str]:
        """The units in which values were given."""

    @property
    def branches(self) -> Sequence[Branch]:
        """Every solution."""

    @property
    def best(self) -> Branch:
        """The solution that is shown first."""

    @property
    def known(self) -> Mapping[str, Any]:
        """What was given, in SI units."""

    @property
    def notes(self) -> tuple[str, ...]:
        """What has to be said beside it."""


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
    chosen = unit_of(name, label or "")
    return look_up(name).unit if whole and units.unit(chosen).offset else chosen


@dataclass(frozen=True)
class Shown:
    """One line in every notation."""

    mathml: str
    latex: str
    text: str
    spoken: str


@dataclass(frozen=True)
class Conversion:
    """One amount in two units: as it is shown, and as it stands in a line of numbers."""

    name: str
    units: tuple[str, str]
    shown: Shown


@dataclass(frozen=True)
class WorkingStep:
    """One step as shown: the equation in symbols, with numbers, and the result.

    Attributes
    ----------
    conversions : tuple of Conversion
        Of results on the way, said before the numbers because nothing has said them yet.
    numbers : Shown
        Where the result is shown in another unit than the line gives, the line ends in its own.
    uses : tuple of Conversion
        Everything that stands in the numbers in another unit than the one in which it is shown: what
        has to be said where the step stands alone, as on a card.
    """

    title: str
    find: str
    relations: tuple[Relation, ...]
    symbols: Shown
    conversions: tuple[Conversion, ...]
    numbers: Shown
    result: Shown
    values: tuple[float, ...]
    uses: tuple[Conversion, ...]

    @property
    def lines(self) -> tuple[Shown, ...]:
        """Every line of the step in the working, in order, none twice."""
        said = (one.shown for one in self.conversions)
        every = (self.symbols, *said, self.numbers, self.result)
        return tuple({one.text: one for one in every}.values())


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
    conversions : tuple of Conversion
        Of given and assumed values, said once, before the first step.
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
        # The units in which the number of each quantity has been written so far.
        self._said: dict[str, tuple[str, ...]] = {}
        self._found: set[str] = set()
        first: list[Conversion] = []
        self._first = first
        self.steps = tuple(self._step(step, roots.get(step.find, ())) for step in steps)
        self.assumptions = tuple(
            Assumption(
                name, title, float(values[name]), source, self._result(name, [float(values[name])])
            )
            for name, title, source in assumptions
        )
        self.conversions = tuple(first)

    @classmethod
    def of(cls, answer: Solved) -> Working:
        """Make the working of an answer to scalar input."""
        plan = answer.plan
        best = answer.best
        roots: dict[str, list[float]] = {}
        for step in plan.steps:
            every = sorted({float(branch.values[step.find]) for branch in answer.branches})
            roots[step.find] = every if len(every) > 1 else [float(best.values[step.find])]
        return cls(
            plan.steps,
            {name: float(one) for name, one in best.values.items()},
            wanted=plan.wanted,
            known=tuple(answer.known),
            labels=answer.labels,
            roots=roots,
            assumptions=assumptions_of(plan),
            exact=exact_names(plan),
            notes=answer.notes,
        )

    def _step(self, step: Step, roots: Sequence[float]) -> WorkingStep:
        find = step.find
        left, right = step.residual or (find, self._form(step))
        chosen = self._units(find, left, right)
        uses = self._conversions(chosen, find)
        new = [one for one in uses if one.units[1] not in self._said.get(one.name, ())]
        for one in new:
            self._said[one.name] = (*self._said.get(one.name, ()), one.units[1])
        self._first += [one for one in new if one.name not in self._found]
        own, shown = chosen.get(find, ""), unit_for(find, self._labels.get(find))
        self._found.add(find)
        self._said[find] = tuple(dict.fromkeys((shown, own)))
        values = [float(one) for one in roots] or [float(self._values[find])]
        symbols = self._line(left, right)
        numbers = self._line(left, right, numeric=True, unknown=find, chosen=chosen)
        # An equation that is not solved for the unknown has it in both units in the result.
        solved = step.residual is None
        if own != shown and solved:
            numbers = self._ending(numbers, find, own)
        both = (shown,) if own == shown or solved else (own, shown)
        return WorkingStep(
            _together([one.title for one in step.relations]),
            find,
            step.relations,
            symbols,
            tuple(one for one in new if one.name in self._found),
            numbers,
            self._result(find, values, both),
            tuple(values),
            tuple(uses),
        )

    def _units(self, find: str, left: Tree, right: Tree) -> dict[str, str]:
        """Choose the units of a line, and hold to those in which a number has been written."""
        roles = []
        for name in dict.fromkeys((find, *names(left), *names(right))):
            kind = "result" if name == find else "way" if name in self._found else "given"
            shown = unit_for(name, self._labels.get(name))
            roles.append((name, Role(shown, self._said.get(name, ()), kind)))
        return coherent_units(left, right, tuple(roles))

    def _conversions(self, chosen: Mapping[str, str], find: str) -> list[Conversion]:
        made = []
        for name, label in chosen.items():
            shown = unit_for(name, self._labels.get(name))
            if name != find and label != shown:
                line = self._result(name, [float(self._values[name])], (shown, label))
                made.append(Conversion(name, (shown, label), line))
        return made

    def _ending(self, line: Shown, name: str, label: str) -> Shown:
        """End a line in the number that its own units give."""
        number = float(look_up(name).in_unit(self._values[name], label))
        made = {}
        for notation, kind in _PRINTERS.items():
            printer = kind()
            parts = self._rounded(name, number, exact=name in self._exact)
            made[notation] = (
                getattr(line, notation)
                + printer.sign("=")
                + printer.amount(parts, label, guard=False)
            )
        return Shown(**made, spoken=f"{line.spoken} equals {_said(name, number, label)}")

    def _form(self, step: Step) -> Tree:
        """Choose the branch of a formula that gave the value shown."""
        if len(step.forms) == 1:
            return step.forms[0]
        value = self._values[step.find]
        with np.errstate(all="ignore"):
            apart = [abs(float(compile_tree(form)(self._values)) - value) for form in step.forms]
        return step.forms[int(np.nanargmin(apart))]

    def _line(
        self,
        left: Tree,
        right: Tree,
        *,
        numeric: bool = False,
        unknown: str = "",
        chosen: Mapping[str, str] | None = None,
    ) -> Shown:
        made = {}
        for notation, kind in _EVERY_PRINTER.items():
            printer = self.printer(kind, numeric=numeric, unknown=unknown, chosen=chosen)
            made[notation] = printer.print(left) + printer.sign("=") + printer.print(right)
        return Shown(**made)

    def printer(
        self,
        kind: type[Printer],
        *,
        numeric: bool,
        unknown: str = "",
        chosen: Mapping[str, str] | None = None,
    ) -> Printer:
        """Return a printer that writes symbols, or numbers for all but the unknown.

        Parameters
        ----------
        kind : type
            Of the notation.
        numeric : bool
        unknown : str
            The quantity that stays a letter among the numbers.
        chosen : mapping of str to str, optional
            The units in which quantities stand in the line; each as it is shown if left out.

        Returns
        -------
        Printer
        """
        if not numeric:
            return kind()
        printer = kind(numeric=True)

        def leaf(name: str, role: str) -> str:
            if name == unknown:
                return printer.symbol(name)
            label, number = self.shown(name, (chosen or {}).get(name))
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

    def shown(self, name: str, label: str | None = None) -> tuple[str, float]:
        """Return the unit label and the number with which a quantity stands in a formula."""
        if label is None:
            label = unit_for(name, self._labels.get(name), whole=True)
        return label, float(look_up(name).in_unit(self._values[name], label))

    def _result(self, name: str, values: Sequence[float], labels: Sequence[str] = ()) -> Shown:
        """Write what a quantity is: every value in the unit shown, or in each of several units."""
        labels = labels or (unit_for(name, self._labels.get(name)),)
        entry = look_up(name)
        exact = name in self._exact or (name in self._known and name not in self._found)
        exact = exact if len(labels) > 1 else name in self._exact
        made = {}
        for notation, kind in _PRINTERS.items():
            printer = kind()
            equals = printer.sign("=")
            lines = []
            for value in values:
                amounts = []
                for label in labels:
                    parts = self._rounded(name, float(entry.in_unit(value, label)), exact=exact)
                    amounts.append(printer.amount(parts, label, guard=False))
                lines.append(equals.join((printer.symbol(name), *amounts)))
            word = {
                "mathml": '<mspace width="0.5em"></mspace><mtext>or</mtext>'
                '<mspace width="0.5em"></mspace>'
            }
            made[notation] = word.get(
                notation, r" \quad\text{or}\quad " if notation == "latex" else " or "
            ).join(lines)
        both = " or ".join(
            ", which is ".join(
                _said(name, float(entry.in_unit(one, label)), label) for label in labels
            )
            for one in values
        )
        # What was given is so, and no result that was rounded.
        # A count that comes out whole is so, too: nothing of it was rounded.
        counted = entry.whole and all(float(one).is_integer() for one in values)
        given = len(labels) > 1 and name not in self._found
        about = "" if given or counted else " about"
        is_ = agreeing(entry.words, "is", "are")
        return Shown(**made, spoken=f"{entry.words} {is_}{about} {both}")

    @cached_property
    def text(self) -> str:
        """The steps as plain text."""
        lines = []
        if self.conversions:
            lines += [CONVERSIONS, *(f"    {one.shown.text}" for one in self.conversions)]
        for step in self.steps:
            lines += [step.title, *(f"    {line.text}" for line in step.lines)]
        if self.assumptions:
            lines.append(
                "Assumed: "
                + "; ".join(f"{one.title}: {one.shown.text}" for one in self.assumptions)
            )
        return "\n".join([*lines, *self.notes])

    @cached_property
    def latex(self) -> str:
        """The steps as LaTeX, one aligned block: symbols, then numbers and result."""
        rows = [_aligned(one.shown.latex) for one in self.conversions]
        if rows:
            rows[-1] += r"\\[0.6em]"
        for step in self.steps:
            rows.append(_aligned(step.symbols.latex))
            rows += [_aligned(one.shown.latex) for one in step.conversions]
            left, _, right = step.numbers.latex.partition(" = ")
            formula = step.symbols.latex.partition(" = ")[0] == left
            if formula and len(step.values) == 1 and not step.conversions:
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
        """The equation that gives the wanted, in symbols, and the result, on one line of LaTeX."""
        last = next((one for one in self.steps if one.find == self.wanted), self.steps[-1])
        return rf"{last.symbols.latex} \qquad {last.result.latex}"

    @cached_property
    def mathml(self) -> str:
        """The steps as native MathML, one element a line."""
        return "\n".join(
            f'<math display="block">{line.mathml}</math>'
            for line in (
                *(one.shown for one in self.conversions),
                *(line for step in self.steps for line in step.lines),
            )
        )

    @cached_property
    def spoken(self) -> str:
        """The steps as sentences to be said."""
        said = [f"{_capital(one.shown.spoken)}." for one in self.conversions]
        for step in self.steps:
            said += [f"{_capital(one.shown.spoken)}." for one in step.conversions]
            said.append(
                f"{_capital(step.symbols.spoken)}: {step.numbers.spoken.partition(' equals ')[2]}."
            )
            said.append(f"{_capital(step.result.spoken)}.")
        return " ".join(said)

    @cached_property
    def html(self) -> str:
        """The steps as HTML that keeps its meaning where a host strips MathML."""
        parts = []
        if self.conversions:
            said = "<br>".join(equation(one.shown.text) for one in self.conversions)
            parts.append(f"<p>{CONVERSIONS}<br>{said}</p>")
        for step in self.steps:
            symbols, *others = step.lines
            lines = [equation(symbols.text, symbols=True), *(equation(one.text) for one in others)]
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
