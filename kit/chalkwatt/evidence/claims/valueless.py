"""Valueless: what a sheet says of a claim where its stated values give no number for the claimed quantity."""

from __future__ import annotations

from typing import TYPE_CHECKING

from chalkwatt.evidence.claims.shown import ShownVerdict
from chalkwatt.wording.audience import addressed, current

if TYPE_CHECKING:
    from chalkwatt.errors import NoSolutionError, OutOfBoundsError
    from chalkwatt.evidence.claims.claims import Claim
    from chalkwatt.evidence.finding import Finding
    from chalkwatt.evidence.sheets.conflicts import Conflict
    from chalkwatt.evidence.sheets.sheet import Sheet
    from chalkwatt.evidence.spread.draws import Interval

__all__ = ["LADDER", "ValuelessVerdict"]

# The least share of the draws that meet a claim, and the word for it.
LADDER = (
    (0.95, "holds"),
    (0.6, "probably holds"),
    (0.4, "could go either way"),
    (0.02, "needs favourable values"),
)

# Where facts behind a claim contradict each other, no claim holds: one word less is said.
_LESS = {"holds": "probably holds", "probably holds": "could go either way"}


@addressed
class ValuelessVerdict(ShownVerdict):
    """What a sheet says of a claim of a quantity that has no value at the stated values.

    Attributes
    ----------
    sheet : Sheet
    claim : Claim
    why : str
        Why it has none, as a sentence.
    asked : Finding or None
        What was asked, without a solution at the stated values: some of its draws may have one.
    needs : dict
        Empty: no single value is known that would make it true.
    """

    def __init__(
        self, sheet: Sheet, claim: Claim, cause: NoSolutionError | OutOfBoundsError
    ) -> None:
        self.audience = current()
        self.sheet = sheet
        self.claim = claim
        self.why = str(cause).removesuffix(cause.advice).strip()
        self.asked: Finding | None = cause.asked
        self.needs: dict[str, Finding] = {}

    @property
    def met(self) -> bool:
        """Whether the claim is met at the stated values."""
        return False

    @property
    def chance(self) -> float:
        """Share of the draws in which the claim is met; a draw without an answer meets none."""
        if self.asked is None or self.asked.certain or self.asked.wanted != self.claim.quantity:
            return 0.0
        return self.asked.share(self.claim.met)

    @property
    def conflicts(self) -> tuple[Conflict, ...]:
        """Where facts behind the claim contradict others of the sheet."""
        return () if self.asked is None else self.asked.conflicts

    @property
    def against(self) -> str:
        """Where the facts behind the claim contradict each other, as sentences with a space before them."""
        clashes = " ".join(one.clash for one in self.conflicts)
        return f" But the facts contradict each other: {clashes}" if clashes else ""

    @property
    def interval(self) -> Interval | None:
        """None: what has no value at the stated ones has no interval about it."""
        return None

    @property
    def word(self) -> str:
        """The verdict in a word or two."""
        for least, word in LADDER:
            if self.chance >= least:
                return _LESS.get(word, word) if self.conflicts else word
        return "hardly within reach" if self.chance > 0 else "out of reach"

    @property
    def sentence(self) -> str:
        """A few sentences fit to be said on air."""
        return self.why
