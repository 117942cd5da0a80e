"""Endless: a claim of what the model sets no limit to, as of the range of a vehicle that the road drives."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from chalkwatt.evidence.claims.telling import cases, circumstances, idle
from chalkwatt.evidence.claims.valueless import ValuelessVerdict

if TYPE_CHECKING:
    from chalkwatt.errors import NoSolutionError
    from chalkwatt.evidence.claims.claims import Claim
    from chalkwatt.evidence.finding import Finding
    from chalkwatt.evidence.sheets.sheet import Sheet

__all__ = ["EndlessVerdict"]


class EndlessVerdict(ValuelessVerdict):
    """What a sheet says of a claim where the claimed quantity has no limit.

    Any "at least" of it is met and no "at most"; of what is the better the less of it there is, any "at most".

    Attributes
    ----------
    sheet : Sheet
    claim : Claim
    why : str
        What sets no limit, as a sentence.
    asked : Finding or None
        What was asked, without a solution at the stated values: some of its draws may have a limit.
    state : Finding or None
        The quantity that decides it, such as the battery's power: without limit where it is not above zero.
    needs : dict
        Empty: there is nothing that would have to be otherwise.
    """

    def __init__(
        self, sheet: Sheet, claim: Claim, cause: NoSolutionError, state: Finding | None
    ) -> None:
        super().__init__(sheet, claim, cause)
        self.state = state

    @property
    def met(self) -> bool:
        """Whether the claim is met at the stated values."""
        return self.claim.met_without_limit

    @property
    def endless(self) -> float:
        """Share of the draws in which there is no limit."""
        if self.asked is not None and not self.asked.certain:
            return float(np.mean(self.asked.limitless.get(self.claim.quantity, False)))
        return 1.0

    @property
    def chance(self) -> float:
        """Share of the draws in which the claim is met: those without a limit, and those whose limit is beyond it."""
        made = self.endless if self.met else 0.0
        if self.asked is not None and self.asked.wanted == self.claim.quantity:
            made += 0.0 if self.asked.certain else self.asked.spread.share(self.claim.met)
        return made

    @property
    def sentence(self) -> str:
        """A few sentences fit to be said on air."""
        claim = self.claim
        under = circumstances(claim)
        made = (
            f"By what is known of the {self.sheet.name},{under}{',' if under else ''} "
            f"{self.why[0].lower()}{self.why[1:]} "
            f"The claim of {claim.said_sense} {claim.text} ({claim.said_by}) is "
            f"{'' if self.met else 'not '}met by that."
        )
        if self.asked is not None and self.endless < 1:
            count = self.asked.spread.values.size
            made += f" It is so in {cases(self.endless, count)}"
            made += f", and the claim is met in {cases(self.chance, count)}."
        made += self.against
        if self.state is not None:
            made += idle(claim, self.state.heard, self.state.checked_with)
        return made
