"""Verdicts: what a sheet says of a claim, and how sure one may sound.

=====================  =========================================================================
word                   when
=====================  =========================================================================
holds                  met in at least 95 of 100 draws
probably holds         in at least 60
could go either way    in at least 40
needs favourable       in at least 2: only with several values at their kinder ends; or with a usual
values                 value of what nobody stated
hardly within reach    in fewer, or only with every value at its kindest end
out of reach           not even then
disputed               met in at least 60 by the facts that were followed, but not by others of the
                       sheet that contradict them; or met in at most 40, but by those others
=====================  =========================================================================

Where facts that a claim rests on contradict each other beyond their ranges, no claim holds. Which way is
followed is decided by trust (:mod:`chalkwatt.evidence.sheets.choosing`); both values are told. Where the followed
facts deserve more trust than the others, they decide, and what holds by them holds one word less. Where
both deserve the same, or what is asked for decided and not trust, a claim that one side meets and the
other does not is disputed, whichever was followed.

Where the stated values have no answer, the draws that have one decide
(:mod:`chalkwatt.evidence.claims.unsolved`): a draw without an answer meets no claim.

A draw is one choice of a value from every range of the sheet. The words speak of the sheet, not of the
vehicle: they are no better than its ranges.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Any

import numpy as np

from chalkwatt.errors import ChalkwattError, NoSolutionError, OutOfBoundsError, TooLittleKnownError
from chalkwatt.evidence.claims.endless import EndlessVerdict
from chalkwatt.evidence.claims.routes import Route, other_routes
from chalkwatt.evidence.claims.shown import ShownVerdict
from chalkwatt.evidence.claims.telling import ON_A_DRIVE, stood_in, tell
from chalkwatt.evidence.claims.unsolved import UnsolvedVerdict
from chalkwatt.evidence.claims.valueless import LADDER, ValuelessVerdict
from chalkwatt.evidence.sheets.choosing import at_home
from chalkwatt.evidence.sheets.facts import Fact, condition
from chalkwatt.evidence.sheets.granting import GRANT
from chalkwatt.evidence.sheets.hearing import refuse_unheard
from chalkwatt.evidence.sheets.owning import ask, is_firmer, state
from chalkwatt.evidence.spread.boxes import extremes
from chalkwatt.laws.quantities import look_up
from chalkwatt.planning.evaluation import compile_plan
from chalkwatt.rendering.phrases import holds_for
from chalkwatt.wording.audience import addressed, current
from chalkwatt.wording.numbers import format_alike

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from numpy.typing import NDArray

    from chalkwatt.evidence.claims.claims import Claim
    from chalkwatt.evidence.finding import Draws, Finding
    from chalkwatt.evidence.sheets.conflicts import Conflict
    from chalkwatt.evidence.sheets.sheet import Sheet
    from chalkwatt.evidence.spread.draws import Interval
    from chalkwatt.wording.given import Floats

__all__ = ["Frontier", "Need", "Verdict", "judge"]

_HOLDS, _PROBABLY = (least for least, _ in LADDER[:2])
_BEYOND = 0.75  # of a range's width, that a frontier is drawn beyond it
_POINTS = 81
_DIGITS = 3  # of what an input would have to be
_SLACK = 1e-9  # relative; for rounding in the arithmetic


@dataclass(frozen=True)
class Need:
    """What one input alone would have to be for the claim to be just met, all others as stated.

    Attributes
    ----------
    fact : Fact
        The input.
    value : float or None
        In SI units; None where no value of it would do.
    inside : bool
        Whether that lies in its stated range.
    met : bool
        Whether the claim is met at the stated values, so that this is how far the input may go.
    other : float or None
        A second such value, where the claim is met only between two or only outside them.
    """

    fact: Fact
    value: float | None
    inside: bool
    met: bool
    other: float | None = None

    @property
    def name(self) -> str:
        """The quantity."""
        return self.fact.name

    @property
    def within_reach(self) -> tuple[float, ...]:
        """What it would have to be, or may go to, in SI units: without what is far from any usual value."""
        entry, fact = look_up(self.name), self.fact
        ends = sorted(one for one in (self.value, self.other) if one is not None)
        return tuple(one for one in ends if not entry.far_from_usual(one, fact.low, fact.high))

    @property
    def text(self) -> str:
        """The need in words."""
        words = look_up(self.name).words
        if self.within_reach:
            return f"{words} {self.alone}"
        return f"no {'' if self.value is None else 'usual '}{words} alone {self.alone}"

    @property
    def alone(self) -> str:
        """The need in words, without the name of the input."""
        near = self.within_reach
        if self.value is None or (self.met and not near):
            return "would undo it" if self.met else "would do"
        ends = sorted(one for one in (self.value, self.other) if one is not None)
        up = [one > self.fact.si for one in ends]
        across = len(ends) == 2 and up == [False, True]
        # Towards which side the claim is met, seen from each end.
        above = [up[0] != self.met] if len(ends) == 1 else [across == self.met, across != self.met]
        numbers = self._said(ends, above)
        told = dict(zip(ends, numbers, strict=True))
        if not near:
            # How far off a claim is, is worth a number, however absurd.
            nearest = min(ends, key=lambda one: abs(one - self.fact.si))
            side = "least" if dict(zip(ends, above, strict=True))[nearest] else "most"
            return f"would do: it would have to be at {side} {told[nearest]}"
        if self.met:
            moves = [f"{'rise' if one > self.fact.si else 'fall'} to {told[one]}" for one in near]
            return f"may {' or '.join(moves)}"
        if len(near) == 2 and not across:
            return f"would have to be between {numbers[0]} and {numbers[1]}"
        met_above = dict(zip(ends, above, strict=True))
        sides = [f"at {'least' if met_above[one] else 'most'} {told[one]}" for one in near]
        return f"would have to be {' or '.join(sides)}"

    def _said(self, ends: Sequence[float], above: Sequence[bool]) -> list[str]:
        """Round so that what is said still meets the claim, and write all in one notation."""
        entry = look_up(self.name)
        rounded = []
        for si, up in zip(ends, above, strict=True):
            shown = float(entry.in_unit(si, self.fact.unit))
            step = 10.0 ** (math.floor(math.log10(abs(shown))) - _DIGITS + 1) if shown else 1.0
            if entry.whole:
                step = 1.0
            slack = -_SLACK if up else _SLACK
            count = (math.ceil if up else math.floor)(
                shown / step + slack * max(abs(shown / step), 1.0)
            )
            rounded.append(count * step)
        numbers = format_alike(rounded, 12 if entry.whole else _DIGITS)
        return [f"{number} {self.fact.unit}".rstrip() for number in numbers]


@dataclass(frozen=True, eq=False)
class Frontier:
    """Where a claim is just met, for two inputs at once; the others as stated.

    Attributes
    ----------
    across, upward : Fact
        The two inputs.
    x, y : ndarray, shape (n,)
        Points of the frontier in SI units; not-a-number where there is none.
    met_above : bool
        Whether the claim is met above the line.
    """

    across: Fact
    upward: Fact
    x: NDArray[np.float64]
    y: NDArray[np.float64]
    met_above: bool


@addressed
class Verdict(ShownVerdict):
    """What a sheet says of a claim.

    Attributes
    ----------
    sheet : Sheet
    claim : Claim
    finding : Finding
        What the sheet gives for the quantity, with working, tornado and Sobol' indices.
    """

    FEW = LADDER[-1][0]  # fewer draws than these meet a claim only at the edge of all ranges

    def __init__(self, sheet: Sheet, claim: Claim, finding: Finding) -> None:
        self.audience = current()
        self.sheet = sheet
        self.claim = claim
        self.finding = finding

    @cached_property
    def met(self) -> bool:
        """Whether the claim is met at the stated values."""
        return bool(self.claim.met(self.finding.si))

    @cached_property
    def chance(self) -> float:
        """Share of the draws in which the claim is met."""
        if self.finding.certain:
            return float(self.met)
        return self.finding.share(self.claim.met)

    @property
    def interval(self) -> Interval | None:
        """What the sheet gives; None where nothing has a range."""
        return self.finding.interval

    @cached_property
    def reach(self) -> tuple[float, float]:
        """The least and the greatest value within all ranges, in SI units."""
        return extremes(self.finding.plan, list(self.finding.facts.values()))

    @property
    def kindest(self) -> float:
        """The value with every input at its kindest end, in SI units."""
        return self.reach[1] if self.claim.sense == "at least" else self.reach[0]

    @property
    def harshest(self) -> float:
        """The value with every input at its harshest end, in SI units."""
        return self.reach[0] if self.claim.sense == "at least" else self.reach[1]

    @property
    def conflicts(self) -> tuple[Conflict, ...]:
        """Where facts behind the claim contradict others of the sheet, or what the claim is made for."""
        return self.finding.conflicts

    @cached_property
    def routes(self) -> tuple[Route, ...]:
        """What the contradicting facts make of the claimed quantity."""
        return other_routes(self.finding)

    @property
    def word(self) -> str:
        """The verdict in a word or two; the table of this module says when."""
        if self.conflicts:
            if self._disputed:
                return "disputed"
            if self.mostly_met:
                return "probably holds" if self.chance >= _HOLDS else "could go either way"
        for least, word in LADDER:
            if self.chance >= least:
                return word
        if self.unstated is not None:
            return "needs favourable values"
        within = self.chance > 0 or bool(self.claim.met(self.kindest))
        return "hardly within reach" if within else "out of reach"

    @property
    def mostly_met(self) -> bool:
        """Whether the claim is met in most of the draws."""
        return self.chance >= _PROBABLY

    @property
    def _disputed(self) -> bool:
        """Whether facts that deserve as much trust as those that were followed would have it the other way."""
        if not (self.mostly_met or self.chance <= 1 - _PROBABLY):
            return False
        if not self.routes:
            return any(one.kind == "impossible" for one in self.conflicts)
        even = (one for one in self.routes if not one.outdone)
        return any(bool(self.claim.met(one.si)) != self.mostly_met for one in even)

    @cached_property
    def needs(self) -> tuple[Need, ...]:
        """For each input alone, the value that would just make the claim true.

        Inputs that matter most come first, then those without a range, then the conditions.
        """
        order = [one.name for one in self.finding.tornado]
        rest = [name for name in self.finding.facts if name not in order]
        rest.sort(key=lambda name: self.finding.facts[name].origin == "asked")
        return tuple(self._need(name) for name in (*order, *rest))

    @cached_property
    def unstated(self) -> Need | None:
        """What a value that stands in for what nobody stated would have to be, if that occurs; None of a met claim."""
        if self.met:
            return None
        for name, si in stood_in(self.finding).items():
            low, high = look_up(name).usual
            need = self._need_of(Fact(name, si, min(low, si), max(high, si), origin=GRANT))
            if need.inside:
                return need
        return None

    def _need(self, name: str) -> Need:
        return self._need_of(self.finding.facts[name])

    def _need_of(self, fact: Fact) -> Need:
        name = fact.name
        others = {one.name: one.si for one in self.finding.facts.values() if one.name != name}
        others[self.claim.quantity] = self.claim.si
        try:
            branches = compile_plan(self.finding.topic.network.plan(name, tuple(others))).branches(
                others
            )
        except ChalkwattError:
            branches = []
        found = [float(one.values[name]) for one in branches if math.isfinite(one.values[name])]
        if name == self.claim.quantity:
            found = [self.claim.si]  # the sheet states it itself
        if not found:
            return Need(fact, None, inside=False, met=self.met)
        slack = 1e-9 * abs(fact.si)
        value = min(found, key=lambda one: abs(one - fact.si))
        inside = fact.low - slack <= value <= fact.high + slack
        return Need(fact, value, inside=inside, met=self.met, other=self._other(fact, value, found))

    def _other(self, fact: Fact, value: float, found: list[float]) -> float | None:
        """Return the second bound of what would do, where the claim is met on one side of it only."""
        up = value > fact.si
        across = [one for one in found if (one > fact.si) != up]
        beyond = [
            one for one in found if (one > fact.si) == up and abs(one - value) > _SLACK * abs(value)
        ]
        if not across and (self.met or not beyond):
            return None
        return min(across or beyond, key=lambda one: abs(one - fact.si))

    @cached_property
    def powerful(self) -> tuple[str, ...]:
        """The inputs with a range, those that explain most of the variance first."""
        try:
            return tuple(name for name, _, _ in self.finding.indices.ranked())
        except ChalkwattError:
            # Some draws have no solution: the tornado still ranks.
            return tuple(one.name for one in self.finding.tornado)

    @cached_property
    def frontier(self) -> Frontier | None:
        """The frontier of the two most powerful inputs; None where fewer than two have a range."""
        if len(self.powerful) < 2:
            return None
        across, upward = (self.finding.facts[name] for name in self.powerful[:2])
        margin = _BEYOND * (across.high - across.low)
        x = np.linspace(across.low - margin, across.high + margin, _POINTS)
        x = x[look_up(across.name).inside(x)]
        others = {
            one.name: one.si
            for one in self.finding.facts.values()
            if one.name not in {across.name, upward.name}
        }
        known = (*others, self.claim.quantity, across.name)
        try:
            plan = self.finding.topic.network.plan(upward.name, known)
        except ChalkwattError:
            return None
        along: dict[str, Floats] = {self.claim.quantity: self.claim.si, across.name: x}
        y = compile_plan(plan)(**others, **along)
        y = np.broadcast_to(np.asarray(y, dtype=float), x.shape)
        return Frontier(across, upward, x, y, met_above=self._rising(upward.name))

    def _rising(self, name: str) -> bool:
        swing = next(one for one in self.finding.tornado if one.name == name)
        return (swing.at_high > swing.at_low) == (self.claim.sense == "at least")

    @property
    def sentence(self) -> str:
        """A few sentences fit to be said on air: they claim no more than the sheet allows."""
        return tell(self)


def judge(sheet: Sheet, claim: Claim, draws: Draws) -> Verdict | ValuelessVerdict:
    """Test a claim against a sheet; :meth:`Sheet.judge` calls this.

    Parameters
    ----------
    sheet : Sheet
    claim : Claim
    draws : Draws

    Returns
    -------
    Verdict, EndlessVerdict or UnsolvedVerdict
        The second where nothing limits the claimed quantity, the third where the stated values have no answer.

    Raises
    ------
    TooLittleKnownError
        If the sheet does not decide it, or knows too little of what a condition changes; it says what
        would be needed.
    OutOfBoundsError
        If a condition is none that can be.
    """
    conditions: dict[str, Any] = {
        name: condition(name, value) for name, value in claim.conditions.items()
    }
    # What the sheet states of itself, it states at its own conditions.
    away = conditions.keys() - {*at_home(sheet.facts, conditions)}
    try:
        finding = ask(sheet, claim.quantity, conditions, draws)
    except TooLittleKnownError as cause:
        if claim.quantity in sheet.facts and not away:
            # The rest of the sheet cannot test it, but the sheet states it.
            return Verdict(sheet, claim, state(sheet, claim.quantity, draws))
        raise _needed(claim, cause) from cause
    except (NoSolutionError, OutOfBoundsError) as cause:
        if isinstance(cause, NoSolutionError) and claim.quantity in cause.endless:
            return EndlessVerdict(sheet, claim, cause, _decides(sheet, conditions, draws))
        return _unsolved(sheet, claim, cause, conditions)
    _refuse_unheard(sheet, claim, finding, conditions)
    stated = sheet.facts.get(claim.quantity)
    # A condition that plays no part changes nothing: the mass that was measured is that at any speed.
    if stated is not None and away <= {*finding.unheard}:
        # Its own conditions are facts of the sheet, and as firm as it states them.
        rest = {name: one for name, one in conditions.items() if name in away}
        own = finding if rest == conditions else ask(sheet, claim.quantity, rest, draws)
        if is_firmer(stated, own):
            return Verdict(sheet, claim, state(sheet, claim.quantity, draws, own))
    if conditions and not finding.facts:
        words, asked = (
            look_up(claim.quantity).words,
            " and the ".join(look_up(one).words for one in conditions),
        )
        raise TooLittleKnownError(
            f"Too little is known for the {words}: neither the sheet nor the {asked} of the claim says anything "
            f"of it, and {finding.text} is what standing values alone make.",
            quantity=claim.quantity,
            advice=f"State more of the vehicle, so that the {words} follows from the {asked}.",
        )
    return Verdict(sheet, claim, finding)


def _unsolved(
    sheet: Sheet,
    claim: Claim,
    cause: NoSolutionError | OutOfBoundsError,
    conditions: Mapping[str, Fact],
) -> UnsolvedVerdict:
    """Judge by the draws where the stated values have no answer; raise the cause where those tell nothing."""
    asked: Finding | None = cause.asked
    if isinstance(cause, NoSolutionError) and cause.decided:
        return UnsolvedVerdict(sheet, claim, cause)
    if asked is None:
        raise cause
    on_the_way = asked.wanted != claim.quantity
    if on_the_way and not asked.certain and asked.spread.solved.size:
        raise cause  # some draws have what it rests on, and what they make of the claim was not asked
    if not on_the_way:
        _refuse_unheard(sheet, claim, asked, conditions)
    return UnsolvedVerdict(sheet, claim, cause)


def _refuse_unheard(
    sheet: Sheet, claim: Claim, finding: Finding, conditions: Mapping[str, Fact]
) -> None:
    idle = {name: claim.conditions_said[name] for name in finding.unheard}
    refuse_unheard(idle, sheet.facts, conditions, finding.plan, topic=finding.topic)


def _decides(sheet: Sheet, conditions: Mapping[str, Any], draws: Draws) -> Finding | None:
    """Return the power of the battery, which decides whether anything limits a drive; None where a drive has many."""
    try:
        return ask(sheet, "battery_power", conditions, draws)
    except ChalkwattError:
        return None


def _needed(claim: Claim, cause: TooLittleKnownError) -> TooLittleKnownError:
    """Say what a claim needs: of one on the road that names no drive, the drive."""
    words = look_up(claim.quantity).words
    if "speed" in claim.conditions:
        return cause
    give = 'Give it conditions = { speed = "90 km/h" }'
    if claim.quantity in ON_A_DRIVE:
        return TooLittleKnownError(
            f"{holds_for(words, 'a drive')}, and this claim names none: it needs a speed, or a schedule.",
            quantity=claim.quantity,
            unlocks=("speed",),
            advice=f"{give}, or drive a schedule with the values of the sheet and compare.",
        )
    if "speed" in cause.unlocks:
        return TooLittleKnownError(
            f"{holds_for(words, 'a speed')}, and this claim names none.",
            quantity=claim.quantity,
            unlocks=("speed",),
            advice=f"{give}.",
        )
    return cause
