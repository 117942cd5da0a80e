"""Unsolved: a claim for which the stated values have no answer, judged by the draws that have one."""

from __future__ import annotations

from functools import cached_property
from typing import TYPE_CHECKING

from chalkwatt.evidence.claims.telling import cases, circumstances, idle, rests_on
from chalkwatt.evidence.claims.valueless import ValuelessVerdict
from chalkwatt.evidence.sheets.choosing import CIRCUMSTANCES
from chalkwatt.evidence.spread.boxes import extremes
from chalkwatt.wording.audience import addressed

if TYPE_CHECKING:
    from chalkwatt.evidence.sheets.facts import Fact

__all__ = ["UnsolvedVerdict"]


@addressed
class UnsolvedVerdict(ValuelessVerdict):
    """What a sheet says of a claim that its stated values cannot meet: nothing makes the condition true.

    A range of 500 km may be more than any speed gives. Then the claim is out of reach, or met only in those
    draws that have an answer. A draw without one meets no claim, whether "at least" or "at most".
    """

    @cached_property
    def answered(self) -> float:
        """Share of the draws that have an answer, those in which nothing limits the quantity included."""
        if self.asked is None or self.asked.certain or not self._of_the_claim:
            return 0.0
        return 1.0 - self.asked.spread.unsolved + self.asked.endless

    @property
    def _of_the_claim(self) -> bool:
        """Whether what has no answer is the claimed quantity, and not one on the way to it."""
        return self.asked is not None and self.asked.wanted == self.claim.quantity

    @property
    def word(self) -> str:
        """The verdict in a word or two."""
        if self._itself is not None and self.claim.met(self._itself.si):
            return "disputed"
        word = super().word
        return "hardly within reach" if self.chance == 0 and self._kindest_meets else word

    @property
    def _itself(self) -> Fact | None:
        """What the sheet states of the quantity itself: its other facts leave no value, and that contradicts it.

        None where the claim itself asks for what leaves none, and not only for a drive.
        """
        asked = {*self.claim.conditions} - CIRCUMSTANCES
        return None if asked else self.sheet.facts.get(self.claim.quantity)

    @cached_property
    def _kindest_meets(self) -> bool:
        """Whether the claim is met somewhere within the ranges, though in no draw."""
        asked = self.asked
        if asked is None or asked.certain or not self._of_the_claim:
            return False
        ends = extremes(asked.plan, list(asked.facts.values()))
        return any(bool(self.claim.met(one)) for one in ends)

    @property
    def sentence(self) -> str:
        """A few sentences fit to be said on air."""
        claim, asked = self.claim, self.asked
        under = circumstances(claim)
        start = (
            f"By what is known of the {self.sheet.name},{under}{',' if under else ''} "
            f"{self.why[0].lower()}{self.why[1:]}"
        )
        named = f"The claim of {claim.said_sense} {claim.text} ({claim.said_by})"
        if claim.meant:
            named += f", which is {claim.meant},"
        stated = self._with_what_is_stated(start, named)
        if stated:
            made = stated
        elif asked is None or asked.certain:
            # Of what it rests on no range is stated; what else the claim rests on may have one.
            none = ", none of which has a stated range," if self._of_the_claim else ""
            made = f"{start} {named} is out of reach: the values behind it{none} leave no answer."
        else:
            made = f"{start} {self._shared(named, asked.spread.values.size)}"
        if asked is None or not self._of_the_claim:
            return made
        left = idle(claim, asked.heard, asked.checked_with)
        return f"{made}{rests_on(asked, claim)}{self.against}{left}"

    def _with_what_is_stated(self, start: str, named: str) -> str:
        fact = self._itself
        if fact is None:
            return ""
        told = "would be met" if self.claim.met(fact.si) else "would not be met either"
        return (
            f"{start} {named} is {self.word}: the sheet itself states {fact.text} ({fact.origin}), with which it "
            f"{told}, and its other facts contradict that."
        )

    def _shared(self, named: str, count: int) -> str:
        told = f"is met in {cases(self.chance, count)}"
        if not self.answered:
            told = f"{cases(0.0, count)} has an answer"
        alone = (
            ""
            if not self.answered
            else (
                "That is so at the stated values; there is an answer in "
                f"{cases(self.answered, count)}. "
            )
        )
        if self.chance:
            return f"{alone}{named} {told}; where there is no answer, it is not met."
        end = "would be met" if self._kindest_meets else "would not be met"
        if not self._of_the_claim:
            return f"{named} is {self.word}: {told}."
        it = "it " if self.answered else ""
        return (
            f"{alone}{named} is {self.word}: {it}{told}, and it {end} with every value at its "
            "kindest end."
        )
