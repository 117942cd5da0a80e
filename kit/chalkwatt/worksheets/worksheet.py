"""Worksheets: problems with plausible numbers, and a key worked out from the numbers as printed.

A problem asks for an outcome of a topic, or turns the question round and asks for an input. Its
numbers are drawn around the topic's example, rounded, and only then used: whoever has the printed
sheet has all there is to know.
"""

from __future__ import annotations

import zlib
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np

from chalkwatt.calls import checked_call
from chalkwatt.errors import ChalkwattError, told
from chalkwatt.laws.quantities import look_up
from chalkwatt.rendering.working import unit_for
from chalkwatt.scripts.saying import outward, rounded
from chalkwatt.store import write_text
from chalkwatt.wording import units
from chalkwatt.wording.numbers import format_alike, format_input
from chalkwatt.worksheets.page import key_page, student_page

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from chalkwatt.answering.answers import Answer
    from chalkwatt.answering.topic import Topic
    from chalkwatt.planning.plans import Plan

__all__ = ["Printed", "Problem", "Worksheet", "check_seed", "worksheet"]

_MOST_STEPS = 4  # more are a task for a computer
_LEAST_GIVEN, _MOST_GIVEN = 2, 7
_WIDEST = 0.1  # relative; a wider tolerance would take a wrong way for a right one
_REACH = 0.45  # natural logarithm; numbers are drawn so far about the example's
_DIGITS = 3  # of an input or a reversed outcome, as printed
_TRIES = 40
_SEEDS = 2**32  # so many different ones there are
_TURNED = 0.4  # share of the questions that are turned round
_ON_THE_WAY = 0.005  # relative; for intermediate results that a student rounds


@dataclass(frozen=True)
class Printed:
    """A printed number: quantity, text as printed, SI value, and half of its last digit."""

    name: str
    text: str
    si: float
    grain: float


@dataclass(frozen=True)
class Problem:
    """One problem.

    Attributes
    ----------
    wanted : str
    given : tuple of Printed
        What is to be used, in the order in which it is printed.
    taken : tuple of Printed
        Values that hold for every vehicle here: gravity, air, constants.
    conditions : tuple of str
        What is left out of account, such as wind.
    answer : Answer
        Worked out from the printed numbers.
    accept : tuple of two floats
        Between these, in SI units, an answer is right: they cover the rounding of every printed
        number and of results on the way.
    """

    wanted: str
    given: tuple[Printed, ...]
    taken: tuple[Printed, ...]
    conditions: tuple[str, ...]
    answer: Answer
    accept: tuple[float, float]

    def right(self, si: float) -> bool:
        """Say whether an answer, in SI units, is right."""
        return self.accept[0] <= si <= self.accept[1]

    @property
    def accepted(self) -> str:
        """The span of right answers as text."""
        label = self.answer.unit
        low, high = (float(self.answer.quantity.in_unit(one, label)) for one in self.accept)
        # Outwards, so that the text accepts no less than the numbers do.
        ends = " to ".join(format_alike(outward(low, high, _DIGITS), _DIGITS, keep_zeros=True))
        return f"{ends} {label}".strip()


@dataclass(frozen=True)
class Worksheet:
    """Problems of a topic.

    Attributes
    ----------
    topic : Topic
    seed : int
    problems : tuple of Problem
    """

    topic: Topic
    seed: int
    problems: tuple[Problem, ...]

    @property
    def student(self) -> str:
        """The sheet as an HTML page, without any answer."""
        return student_page(self)

    @property
    def key(self) -> str:
        """The key as an HTML page, with full working."""
        return key_page(self)

    @checked_call
    def write(self, path: str | Path) -> tuple[Path, Path]:
        """Write the sheet, and beside it the key.

        Parameters
        ----------
        path : str or Path
            Of the sheet, ending in ``.html``; the key's name ends in ``-key.html``.

        Returns
        -------
        tuple of two Path
            Sheet and key.
        """
        sheet = write_text(path, self.student)
        return sheet, write_text(sheet.with_name(f"{sheet.stem}-key{sheet.suffix}"), self.key)

    @property
    def carries(self) -> dict[str, float]:
        """The quantities whose numbers are printed; of several problems, those of the last."""
        return {one.name: one.si for problem in self.problems for one in problem.given}


def check_seed(seed: int) -> None:
    """Refuse what is no seed: it names the worksheet, and no two of them are the same one.

    Raises
    ------
    ChalkwattError
    """
    if not 0 <= seed < _SEEDS:
        raise ChalkwattError(
            f"seed = {told(seed)} will not do.",
            value=seed,
            limit=(0, _SEEDS - 1),
            advice=f"Give a whole number from 0 to {_SEEDS - 1}.",
        )


@checked_call
def worksheet(topic: Topic, seed: int = 0, *, problems: int = 6) -> Worksheet:
    """Make a worksheet; the same seed makes the same one.

    Parameters
    ----------
    topic : Topic
    seed : int
    problems : int
        How many, 1 to 40.

    Returns
    -------
    Worksheet

    Raises
    ------
    ChalkwattError
        If the seed or the number of problems is none, or the topic has no question that can be worked by hand.

    Examples
    --------
    >>> from chalkwatt import load
    >>> from chalkwatt.worksheets.worksheet import worksheet
    >>> sheet = worksheet(load, seed=7, problems=2)
    >>> len(sheet.problems), sheet.problems[0].right(sheet.problems[0].answer.si)
    (2, True)
    """
    check_seed(seed)
    if not 1 <= problems <= 40:
        raise ChalkwattError(
            f"A worksheet of {problems} problems cannot be made.",
            value=problems,
            limit=(1, 40),
            advice="Ask for 1 to 40.",
        )
    draw = np.random.default_rng([zlib.crc32(topic.name.encode()), seed])
    made: list[Problem] = []
    for _ in range(problems * _TRIES):
        problem = _posed(topic, draw)
        if problem is not None and not any(_alike(problem, one) for one in made):
            made.append(problem)
        if len(made) == problems:
            break
    if not made:
        raise ChalkwattError(f"No question of {topic.name} can be worked by hand in a few steps.")
    # From short to long: a class begins with what takes one step.
    made.sort(key=lambda one: len(one.answer.plan.steps))
    return Worksheet(topic, seed, tuple(made))


@dataclass(frozen=True)
class Question:
    """What a problem asks, without numbers; ``truth`` is the outcome that makes its numbers."""

    wanted: str
    given: tuple[str, ...]
    taken: tuple[str, ...]
    truth: str


def _asked(topic: Topic, draw: np.random.Generator) -> Question | None:
    """Choose a question: the last steps of the way to an outcome, perhaps turned round."""
    inputs = tuple(name for name in topic.example if name != topic.wanted)
    outcomes = [name for name in topic.network.names if name not in inputs]
    outcome = outcomes[int(draw.integers(len(outcomes)))]
    plan = _plan(topic, outcome, inputs)
    if plan is None:
        return None
    needed, included = {outcome}, 0
    most = int(draw.integers(1, _MOST_STEPS + 1))
    for step in reversed(plan.steps):
        if step.find in needed and included < most:
            needed = (needed - {step.find}) | step.needs
            included += 1
    ground = {step.find for step in plan.groundwork} | set(plan.constants)
    ground |= {one.names[0] for one in plan.standing}
    taken = tuple(sorted(needed & ground))
    order = (*inputs, *(step.find for step in plan.steps))
    given = tuple(name for name in order if name in needed and name not in taken)
    if not _LEAST_GIVEN <= len(given) <= _MOST_GIVEN:
        return None
    wanted = outcome
    if draw.random() < _TURNED:
        wanted = given[int(draw.integers(len(given)))]
        given = (*(name for name in given if name != wanted), outcome)
        if look_up(wanted).whole or look_up(outcome).whole:
            return None
    return Question(wanted, given, taken, outcome)


@lru_cache(maxsize=512)
def _plan(topic: Topic, wanted: str, known: tuple[str, ...]) -> Plan | None:
    try:
        return topic.network.plan(wanted, known)
    except ChalkwattError:
        return None


def _posed(topic: Topic, draw: np.random.Generator) -> Problem | None:
    """Choose a question and draw numbers for it; None if they make nothing plausible."""
    question = _asked(topic, draw)
    if question is None:
        return None
    plan = _plan(topic, question.wanted, (*question.given, *_free(question.taken)))
    if plan is None or not 1 <= len(plan.steps) <= _MOST_STEPS:
        return None
    if not all(step.by == "formula" and len(step.relations) == 1 for step in plan.steps):
        return None
    try:
        return _numbered(topic, question, draw)
    except ChalkwattError:
        return None  # no solution at these numbers: others are drawn


def _free(taken: Sequence[str]) -> tuple[str, ...]:
    """Return the names of those that are no constants."""
    return tuple(name for name in taken if look_up(name).constant is None)


def _numbered(topic: Topic, question: Question, draw: np.random.Generator) -> Problem | None:
    inputs = {name: one for name, one in topic.example.items() if name != topic.wanted}
    drawn = {name: _drawn(name, example, draw) for name, example in inputs.items()}
    truth = topic.find(question.truth, **{name: one.text for name, one in drawn.items()})
    if len(truth.solutions) != 1:
        return None
    values = truth.best.values
    given = tuple(
        drawn[name] if name in drawn else _printed(name, float(values[name]))
        for name in question.given
    )
    taken = tuple(_printed(name, float(values[name])) for name in question.taken)
    free = [one for one in taken if look_up(one.name).constant is None]
    answer = topic.find(question.wanted, **{one.name: one.text for one in (*given, *free)})
    if len(answer.solutions) != 1 or not _plausible(answer):
        return None
    best = float(answer.si)
    accept = _accepted(topic, question.wanted, [*given, *free], best)
    if accept is None or accept[1] - accept[0] > 2 * _WIDEST * abs(best):
        return None
    if any(accept[0] <= one.si <= accept[1] for one in given if _same_kind(one.name, answer)):
        return None  # the answer would stand on the sheet
    bounds = answer.quantity.bounds
    conditions = tuple(one.title for one in answer.plan.standing if one.sides[1] == 0)
    spans = max(accept[0], bounds[0]), min(accept[1], bounds[1])
    return Problem(question.wanted, given, taken, conditions, answer, spans)


def _same_kind(name: str, answer: Answer) -> bool:
    return units.same_dimension(look_up(name).unit, answer.quantity.unit)


def _printed(name: str, si: float) -> Printed:
    """Print what no one chose: a constant as it is, anything else to three digits."""
    entry = look_up(name)
    if entry.constant is None:
        return printed_as(name, si, entry.display[0], _DIGITS)
    text = f"{format_input(float(entry.in_unit(si)))} {entry.display[0]}".strip()
    return Printed(name, text, si, 0.0)


def _plausible(answer: Answer) -> bool:
    """Say whether everything on the way lies in the range met in practice, or near it."""
    for name, value in answer.best.values.items():
        entry = look_up(name)
        if entry.constant is not None or name in answer.plan.zeros:
            continue
        low, high = entry.usual
        wide = high - low
        if not low - 0.25 * wide <= float(value) <= high + 0.25 * wide:
            return False
    return bool(answer.si != 0)


def _alike(one: Problem, other: Problem) -> bool:
    return one.wanted == other.wanted and {g.name for g in one.given} == {
        g.name for g in other.given
    }


def _drawn(name: str, example: str, draw: np.random.Generator) -> Printed:
    entry = look_up(name)
    middle = entry.read_one(example)
    label = unit_for(name, entry.label_of(example))
    low, high = sorted((middle * np.exp(-_REACH), middle * np.exp(_REACH)))
    low, high = max(low, min(entry.usual[0], middle)), min(high, max(entry.usual[1], middle))
    si = float(draw.uniform(low, high))
    if entry.whole:
        return Printed(name, str(round(si)), float(round(si)), 0.0)
    return printed_as(name, si, label, 2 if draw.random() < 0.5 else _DIGITS, nice=True)


def printed_as(name: str, si: float, label: str, digits: int, *, nice: bool = False) -> Printed:
    """Round a number as it is to be printed, and read back what is printed.

    Parameters
    ----------
    name : str
    si : float
    label : str
        The unit.
    digits : int
        Significant digits.
    nice : bool
        Whether a third digit is nought or five, as in numbers that people choose.

    Returns
    -------
    Printed

    Examples
    --------
    >>> from chalkwatt.worksheets.worksheet import printed_as
    >>> printed_as("mass", 1183.0, "kg", 3).text
    '1180 kg'
    """
    entry = look_up(name)
    shown = float(entry.in_unit(si, label))
    place = 10.0 ** (np.floor(np.log10(abs(shown))) - digits + 1) if shown else 0.0
    if nice and digits == _DIGITS and place:
        place *= 5
        shown = float(np.round(shown / place)) * place
    text = f"{format_input(rounded(shown, digits))} {label}".strip()
    if "×" in text:
        raise ChalkwattError(f"{text} is no number for a worksheet.", quantity=name)
    return Printed(name, text, float(entry.read(text)), place / 2 * units.unit(label).factor)


def _accepted(
    topic: Topic, wanted: str, given: Sequence[Printed], si: float
) -> tuple[float, float] | None:
    """Stretch an answer by the rounding of every printed number, and of results on the way."""
    names = tuple(one.name for one in given)
    function = topic.compile(wanted, known=names)
    middle = [one.si for one in given]
    reach = abs(si) * _ON_THE_WAY
    for place, one in enumerate(given):
        if not one.grain:
            continue
        ends = []
        for sign in (-1.0, 1.0):
            moved = list(middle)
            moved[place] += sign * one.grain
            ends.append(float(np.asarray(function(*moved))))
        if not all(map(np.isfinite, ends)):
            return None
        reach += max(abs(end - si) for end in ends)
    return si - reach, si + reach
