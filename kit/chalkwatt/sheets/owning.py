"""Owning: which topic answers for a quantity, and what it needs of the rest of the vehicle.

A sheet states the whole vehicle, and its own network holds pack and road. A time to a speed, a charging
time, a lifetime or a range on a label belongs to another topic: that one is asked with what the sheet
states and with what follows for pack and road (mass, usable energy, consumption), draw by draw.
"""

from __future__ import annotations

import importlib
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

import numpy as np

from chalkwatt.driven import how_driven
from chalkwatt.errors import TooLittleKnownError
from chalkwatt.finding import find
from chalkwatt.plans import Plan
from chalkwatt.quantities import look_up
from chalkwatt.sheets.choosing import Choice, Order, choose, put_in_order, reach
from chalkwatt.sheets.facts import Fact
from chalkwatt.spread import Question
from chalkwatt.topics.vehicle import vehicle

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from chalkwatt.finding import Draws, Finding
    from chalkwatt.sheets.sheet import Sheet
    from chalkwatt.topic import Topic

__all__ = ["Derived", "ask", "owners_of", "state"]

# In the order in which they are asked; a registry of topics will know.
_TOPICS = ("launch", "charge", "economy", "ageing", "sun", "drive")


def owners_of(wanted: str) -> Iterator[Topic]:
    """Yield the topics that answer for a quantity, the vehicle's own network first.

    Parameters
    ----------
    wanted : str

    Yields
    ------
    Topic

    Examples
    --------
    >>> from chalkwatt.sheets.owning import owners_of
    >>> [one.name for one in owners_of("charging_time")], [one.name for one in owners_of("range")][:1]
    (['charge'], ['vehicle'])
    """
    if wanted in vehicle.network.names:
        yield vehicle
    for name in _TOPICS:
        topic: Topic = getattr(importlib.import_module(f"chalkwatt.topics.{name}"), name)
        if wanted in topic.network.names:
            yield topic


@dataclass(frozen=True)
class Derived(Fact):
    """A value that follows from pack and road for another topic, draw by draw.

    Attributes
    ----------
    values : ndarray
        Its draws.
    behind : tuple of Fact
        What it rests on.
    driven : str
        For which drive it holds.
    """

    values: Any = field(default=None, compare=False, repr=False)
    behind: tuple[Fact, ...] = ()
    driven: str = ""

    def ppf(self, share: Any) -> Any:  # noqa: ANN401  as of a fact
        """Return the value below which a share of its draws lies."""
        return self.si if self.exact else np.quantile(self.values, share)


@dataclass(frozen=True)
class Itself(Question):
    """The question for what a sheet states itself."""

    def __call__(self, **values: Any) -> Any:  # noqa: ANN401  as of a question
        """Return the stated value."""
        return values[self.wanted]


def ask(sheet: Sheet, wanted: str, conditions: Mapping[str, Fact], draws: Draws) -> Finding:
    """Ask the topic that owns a quantity.

    Parameters
    ----------
    sheet : Sheet
    wanted : str
    conditions : mapping of str to Fact
    draws : Draws

    Returns
    -------
    Finding

    Raises
    ------
    NameUnknownError
        If a condition is none of the topic, nor of pack and road.
    TooMuchKnownError
        If the question mixes ways that exclude each other, such as direct and alternating current.
    TooLittleKnownError
        If no topic can answer; of several the first says what it would take.
    NoSolutionError, OutOfBoundsError
        If the stated values have no answer.
    """
    look_up(wanted)
    owners = tuple(owners_of(wanted))
    if not owners:
        raise TooLittleKnownError(
            f"No topic answers for {wanted}: it comes of a run over time.",
            quantity=wanted,
            advice="Make the run with the values of the sheet, and compare.",
        )
    # Whether a topic can answer is seen at once; why it cannot takes long to find out.
    able = (one for one in owners if len(owners) == 1 or _enough(sheet, one, wanted, conditions))
    return _asked(sheet, next(able, owners[0]), wanted, conditions, draws)


def state(sheet: Sheet, wanted: str, draws: Draws) -> Finding:
    """Return what a sheet states itself as a finding, for a claim that nothing else can test."""
    fact = sheet.facts[wanted]
    plan = Plan(vehicle.name, (wanted,), wanted, ())
    question = Itself(vehicle.name, wanted, (wanted,))
    choice = Choice(question, plan, {wanted: fact}, Order((wanted,), (), ()), {wanted: fact})
    return find(choice, sheet.columns, draws)


def _enough(sheet: Sheet, topic: Topic, wanted: str, conditions: Mapping[str, Fact]) -> bool:
    facts = _gathered(sheet, topic, wanted, conditions)
    order = put_in_order(
        facts, [one for one in conditions if _is_of(one, topic)], wanted, topic=topic
    )
    return wanted in reach(frozenset(order.taken), standing=True, topic=topic)


def _is_of(name: str, topic: Topic) -> bool:
    return name in topic.network.names


def _gathered(
    sheet: Sheet, topic: Topic, wanted: str, conditions: Mapping[str, Fact]
) -> dict[str, Fact]:
    """Return the facts that a topic can use: stated ones, and names of what would follow for it."""
    stated = {name: fact for name, fact in sheet.facts.items() if _is_of(name, topic)}
    if topic is vehicle:
        return stated
    asked = {name: fact for name, fact in conditions.items() if _is_of(name, vehicle)}
    follows = {
        name: Fact(name, 1.0, 1.0, 1.0, origin="derived")
        for name in topic.network.names
        if name not in stated
        and name not in conditions
        and name != wanted
        and _follows(_without(sheet, wanted), name, asked)
    }
    return {**stated, **follows}


def _without(sheet: Sheet, wanted: str) -> dict[str, Fact]:
    """Leave out what is asked for: nothing that rests on it can test it."""
    return {name: fact for name, fact in sheet.facts.items() if name != wanted}


def _follows(facts: Mapping[str, Fact], name: str, asked: Mapping[str, Fact]) -> bool:
    """Say whether a quantity follows for pack and road from more than standing values."""
    if not _is_of(name, vehicle) or name in reach(frozenset(), standing=True):
        return False
    taken = put_in_order(facts, asked, name).taken
    return name in reach(frozenset(taken), standing=True)


def _asked(
    sheet: Sheet, topic: Topic, wanted: str, conditions: Mapping[str, Fact], draws: Draws
) -> Finding:
    here = {name: fact for name, fact in conditions.items() if _is_of(name, topic)}
    if topic is vehicle:
        return find(choose(sheet.facts, wanted, conditions), sheet.columns, draws)
    road = {name: fact for name, fact in conditions.items() if _is_of(name, vehicle)}
    for name in conditions:
        if name not in here and name not in road:
            look_up(name, {*topic.network.names, *vehicle.network.names})  # raises the error
    order = put_in_order(_gathered(sheet, topic, wanted, conditions), here, wanted, topic=topic)
    facts = {name: fact for name, fact in sheet.facts.items() if _is_of(name, topic)}
    fixed: dict[str, Any] = {}
    for name in order.taken:
        if name not in here and name not in facts:
            facts[name], values = _derived(sheet, name, wanted, road, draws)
            if values is not None:
                fixed[name] = values
    return find(choose(facts, wanted, here, topic), sheet.columns, draws, fixed)


def _derived(
    sheet: Sheet, name: str, wanted: str, asked: Mapping[str, Fact], draws: Draws
) -> tuple[Fact, Any]:
    made = find(choose(_without(sheet, wanted), name, asked), sheet.columns, draws)
    behind, driven = tuple(made.facts.values()), how_driven(made)
    if made.certain:
        exact = Derived(
            name, made.si, made.si, made.si, origin="derived", behind=behind, driven=driven
        )
        return exact, None
    values = made.spread.values
    low, high = float(np.nanmin(values)), float(np.nanmax(values))
    spread = Derived(
        name,
        made.si,
        min(low, made.si),
        max(high, made.si),
        origin="derived",
        values=made.spread.solved,
        behind=behind,
        driven=driven,
    )
    return spread, values
