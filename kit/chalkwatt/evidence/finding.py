"""Findings: answers that come from a sheet, with an interval and with what matters most."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cached_property
from typing import TYPE_CHECKING, Any

import numpy as np

from chalkwatt.algebra.numpy_tree import compile_tree
from chalkwatt.algebra.trees import names
from chalkwatt.answering.answers import Answer
from chalkwatt.answering.beyond import check_limits
from chalkwatt.answering.driven import how_far
from chalkwatt.answering.nothing import explain_nothing
from chalkwatt.calls import checked_call
from chalkwatt.errors import ChalkwattError, NoSolutionError, OutOfBoundsError, told
from chalkwatt.evidence.remarks import notes_on, remarks_on
from chalkwatt.evidence.sheets.choosing import choose, needed_of, put_in_order
from chalkwatt.evidence.sheets.conflicts import (
    collisions_about,
    displaced,
    passed_over,
    said_once,
)
from chalkwatt.evidence.sheets.facts import ORIGINS
from chalkwatt.evidence.sheets.hearing import remedy
from chalkwatt.evidence.spread.boxes import extremes, stretched
from chalkwatt.evidence.spread.draws import Interval, Question, Spread, check_level, draw
from chalkwatt.evidence.spread.sensitivity import Indices, Swing, sobol_indices, tornado
from chalkwatt.laws.quantities import constants, look_up
from chalkwatt.planning.evaluation import compile_plan
from chalkwatt.rendering.phrases import listed
from chalkwatt.topics.vehicle import vehicle
from chalkwatt.wording import units
from chalkwatt.wording.audience import addressed, per_audience
from chalkwatt.wording.numbers import with_unit

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence
    from concurrent.futures import Executor

    from numpy.typing import NDArray

    from chalkwatt.algebra.trees import Tree
    from chalkwatt.evidence.sheets.choosing import Choice
    from chalkwatt.evidence.sheets.conflicts import Conflict
    from chalkwatt.evidence.sheets.facts import Fact
    from chalkwatt.planning.evaluation import Branch
    from chalkwatt.planning.plans import Plan
    from chalkwatt.wording.given import Truths

    Elsewhere = Callable[["Finding"], tuple[Conflict, ...]]

__all__ = ["Draws", "Finding", "find", "keep_limits"]


_ROUNDING = 1e-12  # relative
_FEWEST, _MOST = 64, 2**24  # fewer make no interval, more no difference but to the memory


def _check(name: str, value: object, least: int, most: int | None) -> None:
    if isinstance(value, int | np.integer) and not isinstance(value, bool):
        whole = int(value)
        if least <= whole and (most is None or whole <= most):
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


@addressed
class Finding(Answer):
    """An answer from a sheet.

    All of :class:`chalkwatt.answering.answers.Answer`, at the stated values, and:

    Attributes
    ----------
    facts : dict of str to Fact
        What it rests on.
    set_aside : tuple of str
        Facts of the sheet that say the same again and serve as checks.
    conflicts : tuple of Conflict
        Where facts that it rests on contradict others, or what is asked for.
    asked : dict of str to Fact
        The conditions of the question.
    stated : dict of str to Fact
        All that the sheet states, where another topic than pack and road was asked.
    interval : Interval or None
        None where nothing that it rests on has a range.
    other : Finding or None
        Where the sheet itself states the quantity, and that decides: what its other facts make of it.
    """

    other: Finding | None = None

    def __init__(
        self,
        choice: Choice,
        columns: Sequence[str],
        draws: Draws,
        *,
        branches: Sequence[Branch],
        assumed: Mapping[str, float],
        fixed: Mapping[str, Any] | None = None,
        asked: Mapping[str, Fact] | None = None,
        stated: Mapping[str, Fact] | None = None,
        elsewhere: Elsewhere | None = None,
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
        self.choice = choice
        self.columns = tuple(columns)
        self.draws = draws
        # Knowns that are drawn already, because they follow from another question to the same sheet.
        self.fixed = {name: one for name, one in (fixed or {}).items() if name in choice.used}
        self.asked = dict(asked or {})
        self.stated = dict(stated or {})
        self._elsewhere = elsewhere

    @cached_property
    def si(self) -> float:
        """The best solution in SI, for the stated values: a sheet asks with one value each."""
        return float(super().si)

    @property
    def certain(self) -> bool:
        """Whether nothing that it rests on has a range."""
        return not self.fixed and all(fact.exact for fact in self.facts.values())

    @cached_property
    def spread(self) -> Spread:
        """All draws."""
        return Spread(self.wanted, self._draws_of(self.question))

    @cached_property
    def limitless(self) -> dict[str, Truths]:
        """For each draw, whether nothing limits a quantity there, by the names of such quantities.

        Only where the wanted has no value, for what is limited has one. Quantities that rest on the wanted
        elsewhere are among them, such as the distance of a lifetime.
        """
        if self.certain:
            return {}
        open_ = ~np.isfinite(self.spread.values)
        made: dict[str, Truths] = {}
        if not open_.any():
            return made
        said = [one for relation in self.plan.relations for one in relation.refusals if one.endless]
        for one in dict.fromkeys(said):
            driven = self._drawn(one.tree)
            if driven is not None:
                for name in one.endless:
                    made[name] = made.get(name, False) | (open_ & (driven <= 0))
        for fact in self.facts.values():
            for name, before in getattr(fact, "limitless", {}).items():
                made[name] = made.get(name, False) | (open_ & before)
        return made

    @property
    def endless(self) -> float:
        """Share of the draws in which nothing limits the wanted: no number is above it there."""
        return float(np.mean(self.limitless.get(self.wanted, False)))

    @checked_call
    def share(self, met: Callable[[Any], Any]) -> float:
        """Return the share of the draws that meet a condition, those that nothing limits included.

        Where nothing limits it, a distance is above all numbers; of what is the better the less of it there
        is, nothing is left.
        """
        most = -math.inf if self.quantity.less_is_better else math.inf
        return self.spread.share(met) + (self.endless if met(most) else 0.0)

    def _drawn(self, tree: Tree) -> NDArray[np.float64] | None:
        """Draw the state of a relation, from the same draws as the wanted."""
        values: dict[str, Any] = {**constants(), **self.assumed}
        known = self.question.known
        for name in names(tree):
            if name in self.facts and self.facts[name].exact and name not in self.fixed:
                values[name] = self.facts[name].si
            elif name not in values:
                if name not in known and self.topic.network.plan_if_any(name, known) is None:
                    return None
                asked = Question(self.topic.name, name, known)
                values[name] = self._draws_of(asked)
        with np.errstate(all="ignore"):
            made = np.asarray(compile_tree(tree)(values), dtype=float)
        return np.broadcast_to(made, self.spread.values.shape)

    def _draws_of(self, question: Question) -> NDArray[np.float64]:
        return draw(
            question,
            {name: fact for name, fact in self.facts.items() if name not in self.fixed},
            self.columns,
            fixed=self.fixed,
            draws=self.draws.count,
            seed=self.draws.seed,
            executor=self.draws.executor,
        )

    @cached_property
    def interval(self) -> Interval | None:
        """The middle part of the spread; None where nothing has a range."""
        if self.certain:
            return None
        made = self.spread.interval(self.draws.level)
        # Draws of what does not vary differ by rounding alone.
        wide = made.high - made.low > _ROUNDING * max(abs(made.low), abs(made.high))
        return made if math.isfinite(made.low) and wide else None

    @per_audience
    def conflicts(self) -> tuple[Conflict, ...]:
        """Where facts that it rests on contradict others beyond all ranges."""
        more = self._elsewhere(self) if self._elsewhere else ()
        if self.topic is not vehicle:
            return more
        facts = {**self.choice.facts, **self.choice.conditions}
        here = collisions_about(facts, self.choice.conditions, {*self.facts, self.wanted})
        here = here or passed_over(facts, self.choice.conditions, tuple(self.facts), self.wanted)
        # A condition from which the wanted was found is met together with the facts beside it.
        turned = {*self.choice.order.turned}
        met = (one for one in here if one.kind != "condition" or not turned & {*one.involved})
        return said_once((*met, *more))

    @cached_property
    def gave_way(self) -> dict[str, tuple[str, ...]]:
        """Facts in whose place conditions were reckoned with, and those conditions.

        Without those that play no part in the question: a cabin is heated in air of any density.
        """
        gave = self.choice.order.gave_way
        return {name: asked for name, asked in gave.items() if self._concerns(name, asked)}

    def _concerns(self, name: str, asked: tuple[str, ...]) -> bool:
        """Say whether a fact is on the way of the answer, or would be without those conditions."""
        if name in {one for relation in self.plan.relations for one in relation.names}:
            return True
        choice = self.choice
        others = tuple(one for one in choice.conditions if one not in asked)
        order = put_in_order(choice.facts, others, self.wanted, topic=self.topic)
        plan = self.topic.network.plan_if_any(self.wanted, order.taken)
        return plan is not None and name in needed_of(plan)

    @cached_property
    def displaced(self) -> dict[str, tuple[str, ...]]:
        """Stated facts in whose place conditions that change the vehicle were reckoned with, and those."""
        # What plays no part in the answer has nothing to give way in, and must not make a condition seem heard.
        here = {
            name: asked for name, asked in self._contradicted.items() if self._concerns(name, asked)
        }
        if self.topic is vehicle or not self.stated:
            return here
        # What this topic does not know of, such as the count of the cells, gives way, too.
        names = {*vehicle.network.names} & {*self.facts}
        used = {one: fact for one, fact in self.asked.items() if one in names}
        return {**displaced({**self.stated, **used}, used), **here} if used else here

    @cached_property
    def own(self) -> Finding | None:
        """What the sheet itself makes of the wanted, where that was found from what it makes."""
        choice = self.choice
        if not choice.order.turned:
            return None
        left = {
            name: one for name, one in choice.conditions.items() if name not in choice.order.turned
        }
        try:
            way = choose(choice.facts, self.wanted, left, choice.topic, reason=False)
            made = find(way, self.columns, self.draws, self.fixed)
        except ChalkwattError:
            return None
        # Where it is not of the sheet alone, or rests on the same, it is no other value to hold against.
        others = {*made.facts} - {*left}
        return made if others and made.si != self.si else None

    @cached_property
    def _contradicted(self) -> dict[str, tuple[str, ...]]:
        """Facts of this topic that conditions contradict, whether or not the answer has to do with them."""
        choice = self.choice
        facts = {**choice.facts, **choice.conditions}
        return displaced(facts, choice.conditions, choice.order, choice.topic)

    @cached_property
    def checked_with(self) -> frozenset[str]:
        """Conditions that serve only to compare a fact with what the others make of it."""
        order = self.choice.order
        known = (*order.taken, *order.granted)
        # What is contradicted and gives way in nothing was no check in which the facts agree.
        checked = (one for one in self.set_aside if one not in self._contradicted)
        plans = (self.topic.network.plan_if_any(one, known) for one in checked)
        used = {name for plan in plans if plan is not None for name in needed_of(plan)}
        # A fact that this rests on, and that stands against them, was compared with them.
        used.update(one for name in self.facts for one in order.stands.get(name, ()))
        return frozenset(name for name in self.choice.conditions if name in used - {*self.facts})

    @cached_property
    def heard(self) -> frozenset[str]:
        """Names of what was reckoned with, or is told of beside the number."""
        return self.reckoned.union(*((*one.involved, *one.behind) for one in self.conflicts))

    @cached_property
    def reckoned(self) -> frozenset[str]:
        """Names of what was reckoned with, here or on the way, and of what took a fact's place."""
        told = (*self.gave_way.values(), *self.displaced.values())
        asked = (one for names in told for one in names)
        behind = (one.name for fact in self.facts.values() for one in getattr(fact, "behind", ()))
        half = (one for names in self.plan.half_known.values() for one in names)
        return frozenset((*self.facts, *asked, *behind, *half))

    @property
    def unheard(self) -> tuple[str, ...]:
        """Names of the conditions that nothing was reckoned with, and nothing was checked by."""
        return tuple(
            name for name in self.asked if name not in self.heard and name not in self.checked_with
        )

    @cached_property
    def remedies(self) -> tuple[str, ...]:
        """What would let the unheard conditions count, each as a sentence."""
        choice = self.choice
        facts = {**choice.facts, **self.stated}
        told: dict[str, list[str]] = {}
        for name in self.unheard:
            way = remedy(name, facts, self.asked, self.plan, topic=self.topic)
            if way:
                told.setdefault(way, []).append(look_up(name).words)
        return tuple(f"{way}, for the {listed(names)} to count." for way, names in told.items())

    @property
    def notes(self) -> tuple[str, ...]:
        """What has to be said beside the number."""
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
        return tuple(
            one for one in ORIGINS if any(fact.origin == one for fact in self.facts.values())
        )

    @property
    def text(self) -> str:
        """Value and interval with unit, in as many digits as the spread allows."""
        return self.text_in(self.unit)

    @checked_call
    def text_in(self, label: str) -> str:
        """Value and interval in a unit."""
        label = units.as_label(label)
        value = float(self.quantity.in_unit(self.si, label))
        if self.interval is None:
            if self.quantity.whole and value == round(value):
                return with_unit(value, label, len(str(round(value))))
            return with_unit(value, label)
        return self.interval.around(self.si, label)

    def __repr__(self) -> str:
        """Show value and interval, and what has to be said beside them."""
        return "\n".join((self._line, *notes_on(self), *remarks_on(self)))

    def __str__(self) -> str:
        """Show the same in print."""
        return repr(self)

    @property
    def _line(self) -> str:
        if self.interval is None or len(self.solutions) > 1:
            return super()._line
        share = f"{100 * self.draws.level:.3g} % of draws"
        shown = self.interval.around(self.si, self.unit, f"{share}: ")
        return f"{self.wanted} = {shown}{how_far(self)}"

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
    *,
    asked: Mapping[str, Fact] | None = None,
    stated: Mapping[str, Fact] | None = None,
    elsewhere: Elsewhere | None = None,
) -> Finding:
    """Answer a question at the stated values.

    Parameters
    ----------
    choice : Choice
    columns : sequence of str
    draws : Draws
    fixed : mapping of str to ndarray, optional
        Knowns that are drawn already.
    asked : mapping of str to Fact, optional
        All conditions of the question, those of other topics too.
    stated : mapping of str to Fact, optional
        All that the sheet states, where that is more than the topic knows of.
    elsewhere : callable, optional
        Takes the finding and returns where facts contradict it by the relations of other topics than
        pack and road.

    Returns
    -------
    Finding

    Raises
    ------
    NoSolutionError, OutOfBoundsError
        If the stated values have no answer.
    TooMuchKnownError
        If one of them is beyond a limit among them.
    """
    function = compile_plan(choice.plan)
    values: Mapping[str, float] = {name: fact.si for name, fact in choice.used.items()}
    endings: list[Any] = []
    branches = function.branches(values, endings)
    nothing = None
    if not branches or not any(np.isfinite(one.values[choice.plan.wanted]) for one in branches):
        nothing = explain_nothing(choice.topic, choice.plan, values, endings)
    if not isinstance(nothing, NoSolutionError):
        keep_limits(choice)
    made = Finding(
        choice,
        columns,
        draws,
        branches=() if nothing is not None else branches,
        assumed=function.assumed,
        fixed=fixed,
        asked=asked,
        stated=stated,
        elsewhere=elsewhere,
    )
    if isinstance(nothing, NoSolutionError | OutOfBoundsError):
        nothing.asked = made  # its draws may have values where the stated ones have none
    if nothing is not None:
        raise nothing
    return made


def keep_limits(choice: Choice, wider: Fact | None = None) -> None:
    """Refuse a question in which no value within the ranges keeps to the limits.

    Parameters
    ----------
    choice : Choice
    wider : Fact, optional
        Taken in place of the one by its name, to see whether it alone could mend that.

    Raises
    ------
    TooMuchKnownError
        With the names of those that disagree in ``involved``.
    """
    every = {**choice.facts, **choice.conditions}
    if wider is not None:
        every[wider.name] = wider
    # Of a way that is only assumed no limit is meant.
    away = choice.order.way.quantities if choice.order.way and choice.order.way_assumed else ()
    # What is asked for is asked for as it is written; what is stated may be rounded.
    facts = {
        name: replace(every[name], grain=0.0) if name in choice.conditions else every[name]
        for name in choice.order.taken
        if name not in away
    }

    def ends(what: str | Plan) -> tuple[float, float]:
        if isinstance(what, str):
            return stretched(facts[what])
        used = {name for step in (*what.groundwork, *what.steps) for name in step.needs}
        here = [facts[name] for name in what.known if name in used]
        return extremes(replace(what, known=tuple(one.name for one in here)), here, grains=True)

    check_limits(choice.topic, choice.plan.wanted, frozenset(facts), ends)
