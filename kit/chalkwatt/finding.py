"""Findings: answers that come from a sheet, with an interval and with what matters most."""

from __future__ import annotations

import math
from functools import cached_property
from typing import TYPE_CHECKING, Any

import numpy as np

from chalkwatt.answers import Answer
from chalkwatt.errors import ChalkwattError, told
from chalkwatt.nothing import explain_nothing
from chalkwatt.quantities import look_up
from chalkwatt.rendering.numbers import with_unit
from chalkwatt.rendering.numpy_function import compile_plan
from chalkwatt.sensitivity import Indices, Swing, sobol_indices, tornado
from chalkwatt.spread import Interval, Spread, check_level, draw

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from concurrent.futures import Executor

    from chalkwatt.rendering.numpy_function import Branch
    from chalkwatt.sheets.choosing import Choice
    from chalkwatt.sheets.conflicts import Conflict

__all__ = ["Draws", "Finding", "find"]


_FEWEST, _MOST = 64, 2**24  # fewer make no interval, more no difference but to the memory


def _check(name: str, value: Any, least: int, most: int | None) -> None:  # noqa: ANN401
    whole = isinstance(value, int | np.integer) and not isinstance(value, bool)
    if whole and least <= value and (most is None or value <= most):
        return
    limit = f"from {least} to {most}" if most is not None else f"of {least} or more"
    raise ChalkwattError(
        f"{name} = {told(value)} will not do.", value=value, advice=f"Give a whole number {limit}."
    )


class Draws:
    """How draws are made: how many, from which seed, by whom, and how much of them an interval holds.

    Parameters
    ----------
    count : int
    seed : int
    level : float
    executor : concurrent.futures.Executor, optional

    Raises
    ------
    ChalkwattError
        If the count is no whole number from 64 to 2^24, the seed no whole number from nought, the
        level no share between 0 and 1, or the executor none.
    """

    def __init__(
        self, count: int = 8192, seed: int = 0, level: float = 0.9, executor: Executor | None = None
    ) -> None:
        _check("draws", count, _FEWEST, _MOST)
        _check("seed", seed, 0, None)
        check_level(level)
        # Asked here and not when the draws are made: those are made when somebody looks.
        if executor is not None and not callable(getattr(executor, "submit", None)):
            raise ChalkwattError(
                f"executor = {told(executor)} cannot be given work: it has no method submit.",
                value=executor,
                advice="Give a concurrent.futures executor, or a Dask client's, or leave it out.",
            )
        self.count = count
        self.seed = seed
        self.level = float(level)
        self.executor = executor


class Finding(Answer):
    """An answer from a sheet.

    All of :class:`chalkwatt.answers.Answer`, at the stated values, and:

    Attributes
    ----------
    facts : dict of str to Fact
        What it rests on.
    set_aside : tuple of str
        Facts of the sheet that say the same again and serve as checks.
    gave_way : dict of str to tuple of str
        Assumed facts in whose place conditions were reckoned with, and those conditions.
    conflicts : tuple of Conflict
        Where facts that it rests on contradict others, or what is asked for.
    interval : Interval or None
        None where nothing that it rests on has a range.
    """

    def __init__(
        self,
        choice: Choice,
        columns: Sequence[str],
        draws: Draws,
        *,
        branches: Sequence[Branch],
        assumed: Mapping[str, float],
        fixed: Mapping[str, Any] | None = None,
    ) -> None:
        super().__init__(
            choice.topic,
            choice.plan,
            {name: fact.si for name, fact in choice.used.items()},
            branches=branches,
            labels={name: fact.label or None for name, fact in choice.used.items()},
            assumed=assumed,
        )
        self.question = choice.question
        self.facts = choice.used
        self.set_aside = choice.set_aside
        self.gave_way = choice.order.gave_way
        self.choice = choice
        self.columns = tuple(columns)
        self.draws = draws
        # Knowns that are drawn already, because they follow from another question to the same sheet.
        self.fixed = {name: one for name, one in (fixed or {}).items() if name in choice.used}

    @property
    def certain(self) -> bool:
        """Whether nothing that it rests on has a range."""
        return not self.fixed and all(fact.exact for fact in self.facts.values())

    @cached_property
    def spread(self) -> Spread:
        """All draws."""
        values = draw(
            self.question,
            {name: fact for name, fact in self.facts.items() if name not in self.fixed},
            self.columns,
            fixed=self.fixed,
            draws=self.draws.count,
            seed=self.draws.seed,
            executor=self.draws.executor,
        )
        return Spread(self.wanted, values)

    @cached_property
    def interval(self) -> Interval | None:
        """The middle part of the spread; None where nothing has a range."""
        if self.certain:
            return None
        made = self.spread.interval(self.draws.level)
        return made if math.isfinite(made.low) else None

    @cached_property
    def conflicts(self) -> tuple[Conflict, ...]:
        """Where facts that it rests on contradict others beyond all ranges."""
        from chalkwatt.sheets.conflicts import collisions_about
        from chalkwatt.topics.vehicle import vehicle

        if self.topic is not vehicle:
            return ()
        facts = {**self.choice.facts, **self.choice.conditions}
        return collisions_about(facts, self.choice.conditions, {*self.facts, self.wanted})

    @cached_property
    def checked_with(self) -> frozenset[str]:
        """Conditions that serve only to compare a fact with what the others make of it."""
        from chalkwatt.sheets.choosing import needed_of

        known = (*self.choice.order.taken, *self.choice.order.granted)
        plans = (self.topic.network.plan_if_any(one, known) for one in self.set_aside)
        used = {name for plan in plans if plan is not None for name in needed_of(plan)}
        return frozenset(name for name in self.choice.conditions if name in used - {*self.facts})

    @property
    def notes(self) -> tuple[str, ...]:
        """What has to be said beside the number."""
        from chalkwatt.remarks import notes_on

        ways = self.topic.ways.said_of(self.plan)  # said among those below, with what was assumed
        return (*(one for one in super().notes if one not in ways), *notes_on(self))

    @cached_property
    def tornado(self) -> tuple[Swing, ...]:
        """What each input alone does, the largest swing first."""
        return tornado(self.question, self.facts)

    @cached_property
    def indices(self) -> Indices:
        """First-order and total Sobol' indices.

        Raises
        ------
        ChalkwattError
            If some draws have no solution.
        """
        uncertain = {name: fact for name, fact in self.facts.items() if not fact.exact}
        if not uncertain:
            return Indices((), (), ())
        fixed = {name: fact.si for name, fact in self.facts.items() if fact.exact}
        return sobol_indices(
            lambda **values: self.question(**values, **fixed), uncertain, seed=self.draws.seed
        )

    @property
    def origins(self) -> tuple[str, ...]:
        """Every origin among the facts that it rests on, most trustworthy first."""
        from chalkwatt.sheets.facts import ORIGINS

        return tuple(
            one for one in ORIGINS if any(fact.origin == one for fact in self.facts.values())
        )

    @property
    def text(self) -> str:
        """Value and interval with unit, in as many digits as the spread allows."""
        return self.text_in(self.unit)

    def text_in(self, label: str) -> str:
        """Value and interval in a unit."""
        value = float(self.quantity.in_unit(self.si, label))
        if self.interval is None:
            if self.quantity.whole and value == round(value):
                return with_unit(value, label, len(str(round(value))))
            return with_unit(value, label)
        shown = with_unit(value, label, self.interval.digits(self.si, label))
        return f"{shown} ({self.interval.text_in(label)})"

    def __repr__(self) -> str:
        """Show value and interval, and what has to be said beside them."""
        from chalkwatt.remarks import notes_on, remarks_on

        return "\n".join((self._line, *notes_on(self), *remarks_on(self)))

    @property
    def _line(self) -> str:
        if self.interval is None or len(self.solutions) > 1:
            return super().__repr__()
        share = f"{100 * self.draws.level:.3g} % of draws"
        value = with_unit(
            float(self.quantity.in_unit(self.si)), self.unit, self.interval.digits(self.si)
        )
        return f"{self.wanted} = {value} ({share}: {self.interval.text})"

    def _repr_mimebundle_(self, include: object = None, exclude: object = None) -> dict[str, str]:
        bundle = super()._repr_mimebundle_(include, exclude)
        if self.interval is not None:
            # Outside the dollar signs a notebook shows text as it is.
            bundle["text/latex"] += f"\n\n{self._line}"
        return bundle


def find(
    choice: Choice,
    columns: Sequence[str],
    draws: Draws,
    fixed: Mapping[str, Any] | None = None,
) -> Finding:
    """Answer a question at the stated values.

    Parameters
    ----------
    choice : Choice
    columns : sequence of str
    draws : Draws
    fixed : mapping of str to ndarray, optional
        Knowns that are drawn already.

    Returns
    -------
    Finding

    Raises
    ------
    NoSolutionError, OutOfBoundsError
        If the stated values have no answer.
    """
    function = compile_plan(choice.plan)
    values: Mapping[str, float] = {name: fact.si for name, fact in choice.used.items()}
    endings: list[Any] = []
    branches = function.branches(values, endings)
    if not branches or not any(np.isfinite(one.values[choice.plan.wanted]) for one in branches):
        raise explain_nothing(choice.topic, choice.plan, values, endings)
    return Finding(choice, columns, draws, branches=branches, assumed=function.assumed, fixed=fixed)


def shown_in(name: str, si: float, label: str = "", digits: int = 4) -> str:
    """Write a value of a quantity in a unit, its first one by default."""
    entry = look_up(name)
    unit = label or entry.display[0]
    return with_unit(float(entry.in_unit(si, unit)), unit, digits)
