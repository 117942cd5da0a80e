"""Answers: every solution of a question, with the plan that led there and its working."""

from __future__ import annotations

from functools import cached_property
from typing import TYPE_CHECKING, Any, Unpack

import numpy as np

from chalkwatt.answering.driven import how_far
from chalkwatt.answering.showing import show
from chalkwatt.answering.stretches import stretch_notes
from chalkwatt.calls import checked_call
from chalkwatt.errors import ChalkwattError, UnitError, told
from chalkwatt.laws.quantities import labels_for, look_up, unit_of
from chalkwatt.planning.evaluation import best_of, compile_plan
from chalkwatt.rendering.limits import binding_notes, idle, idle_notes, left_out, remarks
from chalkwatt.rendering.working import Working, unit_for
from chalkwatt.wording import units
from chalkwatt.wording.audience import addressed, current, per_audience
from chalkwatt.wording.numbers import format_input, format_number, result_digits, with_unit

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from pathlib import Path

    import pint

    from chalkwatt.answering.showing import CardOptions, Picture
    from chalkwatt.answering.topic import Topic
    from chalkwatt.planning.evaluation import Branch
    from chalkwatt.planning.network import Plan
    from chalkwatt.wording.given import Floats

__all__ = ["Answer"]


@addressed
class Answer:
    """The solutions of a question.

    Attributes
    ----------
    topic : Topic
    plan : Plan
    known : dict of str to float or ndarray
        The given values, in SI units.
    assumed : dict of str to float
        Standing values and constants that were used, in SI units.
    given_labels : dict of str to str
        The units in which values were given.
    labels : dict of str to str
        The unit in which each value is shown: as it was given, or as the audience reads it.
    audience : Audience
        For whom it was made.
    """

    def __init__(
        self,
        topic: Topic,
        plan: Plan,
        known: Mapping[str, Any],
        *,
        branches: Sequence[Branch],
        labels: Mapping[str, str | None],
        assumed: Mapping[str, float],
        said: tuple[str, ...] = (),
        compared: frozenset[str] = frozenset(),
    ) -> None:
        self._told = said
        self._compared = compared
        self.audience = current()
        self.topic = topic
        self.plan = plan
        self.wanted = plan.wanted
        self.quantity = look_up(plan.wanted)
        self.known = dict(known)
        self.branches = tuple(branches)
        self.assumed = {
            name: value
            for name, value in assumed.items()
            if name in {*plan.constants, *self._standing_names(plan)}
        }
        shown = (plan.wanted, *known, *(one.find for one in (*plan.groundwork, *plan.steps)))
        self.given_labels = {name: one for name, one in labels.items() if one is not None}
        self.labels = labels_for((*shown, *self.assumed), self.given_labels)

    @staticmethod
    def _standing_names(plan: Plan) -> set[str]:
        return {one.names[0] for one in plan.standing}

    @cached_property
    def si(self) -> Floats:
        """The best solution in SI: the largest within the usual range, or else the largest."""
        found = [branch.values[self.wanted] for branch in self.branches]
        best = best_of(self.wanted, found) if found else np.nan
        shape = np.broadcast_shapes(*(np.shape(one) for one in self.known.values()), np.shape(best))
        return float(best) if shape == () else np.broadcast_to(best, shape).copy()

    @property
    def unit(self) -> str:
        """Label of the unit in which the answer is shown."""
        return unit_of(self.wanted, self.labels.get(self.wanted, ""))

    @property
    def value(self) -> pint.Quantity[Floats]:
        """The best solution as a pint quantity in its first display unit."""
        return units.quantity(self.si, self.quantity.unit, self.unit)

    @checked_call
    def to(self, label: str) -> Floats:
        """Return the best solution in a unit.

        Parameters
        ----------
        label : str
            For example ``"km/h"``; for a consumption ``"mi/kWh"``, too.

        Returns
        -------
        float or ndarray
            Of several solutions the largest within the usual range; an array when an input was one.

        Raises
        ------
        UnitError
            If the unit measures something else.

        Examples
        --------
        >>> from chalkwatt import load
        >>> load.find("drag_area", drag_coefficient=0.25, frontal_area="2 m^2").to("cm^2")
        5000.0
        """
        label = units.as_label(label)
        if units.inverse(label, self.quantity.unit):
            made = self.quantity.in_unit(self.si, label)
            return float(made) if np.ndim(made) == 0 else made
        if not units.same_dimension(label, self.quantity.unit):
            own = [one or "''" for one in self.quantity.display]
            raise UnitError(
                f"{told(label)[1:-1] or 'A plain number'} does not measure {self.wanted}.",
                quantity=self.wanted,
                unit=label,
                limit=self.quantity.unit,
                advice=f"Use {' or '.join(own)}.",
            )
        made = units.quantity(self.si, self.quantity.unit, label).magnitude
        return float(made) if np.ndim(made) == 0 else made

    @cached_property
    def solutions_si(self) -> tuple[Any, ...]:
        """Every physical solution in SI units, in rising order.

        When an input was an array, each is an array, with not-a-number where there is no such
        solution.
        """
        found = [branch.values[self.wanted] for branch in self.branches]
        if not found:
            return ()
        if all(np.ndim(one) == 0 for one in found):
            distinct: list[float] = []
            for one in sorted(float(one) for one in found):
                if not distinct or abs(one - distinct[-1]) > 1e-12 * abs(one):
                    distinct.append(one)
            return tuple(distinct)
        return tuple(np.sort(np.stack(np.broadcast_arrays(*found)), axis=0))

    @cached_property
    def solutions(self) -> tuple[Any, ...]:
        """Every physical solution as a pint quantity, in rising order; arrays as in SI."""
        return tuple(
            units.quantity(one, self.quantity.unit, self.unit) for one in self.solutions_si
        )

    @cached_property
    def best(self) -> Branch:
        """The branch of the best solution, for scalar input."""
        if np.ndim(self.si):
            raise ChalkwattError(
                f"{self.wanted} is an array of {np.size(self.si)} values, and a working shows one.",
                quantity=self.wanted,
                advice="Ask again with single numbers.",
            )
        return next(one for one in self.branches if float(one.values[self.wanted]) == self.si)

    @property
    def notes(self) -> tuple[str, ...]:
        """What has to be said beside the number."""
        said = [*self._told, *(note for branch in self.branches for note in branch.notes)]
        if self.branches and not np.ndim(self.si):
            said += remarks(self.plan, self.best.values)
            said += binding_notes(self.plan, self.best.values)
            said += stretch_notes(self.topic, self.plan, self.known, float(self.si))
        said += left_out(self.plan)
        said += self._idle()
        said += self.topic.ways.said_of(self.plan)
        return tuple(dict.fromkeys(said))

    def _idle(self) -> list[str]:
        """Say which given values nothing was reckoned with, and nothing was checked by."""
        names = idle(self.topic.network, self.plan, tuple(self.known), self._compared)
        nought = {name for name in names if not np.any(self.known[name] != 0)}
        return idle_notes(self.plan, {name: self._said(name) for name in names}, nought)

    def _said(self, name: str) -> str:
        entry, value = look_up(name), self.known[name]
        if np.ndim(value):
            return f"{np.size(value)} values"

        label = unit_for(name, self.labels.get(name))
        return f"{format_input(float(entry.in_unit(value, label)))} {label}".rstrip()

    @per_audience
    def working(self) -> Working:
        """The shown steps, as ``.text``, ``.latex``, ``.mathml`` and ``.spoken``."""
        return Working.of(self)

    @cached_property
    def neighbours(self) -> tuple[tuple[int, dict[str, float]], ...]:
        """For a count: its two whole neighbours, and what each would make of one given quantity.

        Returns
        -------
        tuple of (int, dict of str to float)
            The dict holds SI values, by name; empty when the wanted is no count.
        """
        if not self.quantity.whole or np.ndim(self.si):
            return ()
        count = float(self.si)
        low = int(np.floor(count + 1e-9))
        wholes = [low] if abs(count - low) < 1e-9 else [low, low + 1]
        made = []
        for whole in wholes:
            follows: dict[str, float] = {}
            for name in self.known:
                if look_up(name).whole:
                    continue
                others = {one: value for one, value in self.known.items() if one != name}
                plan = self.topic.network.plan(name, (*others, self.wanted))
                follows[name] = float(compile_plan(plan)(**others, **{self.wanted: float(whole)}))
                break
            made.append((whole, follows))
        return tuple(made)

    @property
    def _line(self) -> str:
        """The number in one line, and of a distance what it holds for."""
        if np.ndim(self.si):
            values = np.asarray(self.quantity.in_unit(self.si, self.unit)).ravel()
            shown = ", ".join(format_number(float(one)) for one in values[:4])
            more = f", … ({values.size} values)" if values.size > 4 else ""
            return f"{self.wanted} = [{shown}{more}] {self.unit}".rstrip() + how_far(self)
        shown = " or ".join(
            self._shown(float(self.quantity.in_unit(one, self.unit))) for one in self.solutions_si
        )
        return f"{self.wanted} = {shown}{how_far(self)}"

    def __repr__(self) -> str:
        """Show the number in one line; of a distance also what it holds for."""
        return self._line

    def __format__(self, spec: str) -> str:
        """Show it in one line, among other words."""
        return format(self._line, spec)

    def __str__(self) -> str:
        """Show the number, and beneath it what has to be said beside it, a line a note."""
        return "\n".join((repr(self), *self.notes))

    def _shown(self, value: float) -> str:
        return with_unit(value, self.unit, result_digits(value, whole=self.quantity.whole))

    def _repr_mimebundle_(
        self,
        include: object = None,  # noqa: ARG002  Jupyter names them
        exclude: object = None,  # noqa: ARG002  as above
    ) -> dict[str, str]:
        """Give every front end what it can show."""
        bundle = {"text/plain": str(self)}
        if not np.ndim(self.si):
            # No text/html: a notebook would prefer it, and strip its MathML when it is not trusted.
            bundle["text/latex"] = f"$$\\displaystyle {self.working.latex}$$"
        return bundle

    @checked_call
    def card(self, path: str | Path | None = None, **options: Unpack[CardOptions]) -> Picture:
        """Make a picture of the equation; it takes what :func:`chalkwatt.equation_card` takes."""
        made: Picture = show(self, "card", path, **options)
        return made
