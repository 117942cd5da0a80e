"""What a script may ask of a sheet: whether a quantity follows from it, and how its claims fare."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from chalkwatt.answering.driven import how_driven
from chalkwatt.errors import ChalkwattError, NoSolutionError
from chalkwatt.evidence.claims.claims import Claim
from chalkwatt.evidence.claims.telling import assumed, circumstances, unjudged
from chalkwatt.laws.quantities import look_up
from chalkwatt.scripts.saying import Said
from chalkwatt.scripts.stated import stated

if TYPE_CHECKING:
    from collections.abc import Callable

    from chalkwatt.scripts.stated import Asked
    from chalkwatt.wording.given import Given

__all__ = [
    "Judged",
    "Sentence",
    "endless_of",
    "giver",
    "judged",
    "knower",
    "readable",
    "setting",
    "spoken_notes",
    "spoken_setting",
]

_STEADY = {"speed": "90 km/h"}


@dataclass(frozen=True)
class Sentence(Said):
    """A sentence that carries a number: the verdict on a claim, with the finding behind it."""

    words: str = ""

    @property
    def text(self) -> str:
        """The sentence."""
        return self.words


@dataclass(frozen=True)
class Judged:
    """A claim of a sheet, as a script may say it.

    Attributes
    ----------
    said_by, quantity, sense, conditions : str
        Who claims, what, "at least" or "at most", and for which conditions (" at 90 km/h").
    claimed : Said
        The claimed value.
    word, sentence : str or Said
        The verdict; "cannot be judged", and why, where there is none.
    """

    said_by: str
    quantity: str
    sense: str
    conditions: str
    claimed: Said
    word: str
    sentence: Said | str


def judged(sheet: Asked, as_words: Callable[[str], str]) -> tuple[Judged, ...]:
    """Judge every claim of a sheet; of one that cannot be judged, say why.

    Parameters
    ----------
    sheet : Sheet
    as_words : callable
        Fences text of the sheet, so that it stays text.

    Returns
    -------
    tuple of Judged
    """
    made = []
    for claim in sheet.claims:
        try:
            verdict = sheet.judge(claim)
        except ChalkwattError as cause:
            made.append(_unjudged(sheet, claim, cause, as_words))
            continue
        number = stated(claim.quantity, claim.value)
        told = readable(as_words(verdict.sentence))
        finding = getattr(verdict, "finding", None)
        made.append(
            Judged(
                as_words(claim.said_by),
                look_up(claim.quantity).words,
                claim.said_sense,
                _spoken(circumstances(claim), as_words),
                Sentence(number, number.label, words=claim.text),
                verdict.word,
                told
                if finding is None
                else Sentence(stated(claim.quantity, finding), finding.unit, words=told),
            )
        )
    return tuple(made)


def _unjudged(
    sheet: Asked,
    claim: Claim,
    cause: ChalkwattError,
    as_words: Callable[[str], str],
) -> Judged:
    number = stated(claim.quantity, claim.value)
    return Judged(
        as_words(claim.said_by),
        look_up(claim.quantity).words,
        claim.said_sense,
        _spoken(circumstances(claim), as_words),
        Sentence(number, number.label, words=claim.text),
        "cannot be judged",
        readable(as_words(unjudged(sheet, claim, cause))),
    )


def setting(sheet: Asked) -> dict[str, Any]:
    """Return the conditions for which an episode asks its questions.

    Those of the first claim of the sheet that make a range, or none if it states a speed, or a steady
    90 km/h; where no range has a limit, the first of them for which that can be
    said. A stated consumption needs no speed, and with one it is compared with the road.

    Parameters
    ----------
    sheet : Sheet

    Returns
    -------
    dict of str to (str or number)
    """
    offers: list[dict[str, Any]] = [
        dict(one.conditions) for one in sheet.claims if one.conditions and not one.variant
    ]
    known = knower(sheet)
    steady: dict[str, Any] = dict(_STEADY)
    for conditions in (*offers, *([{}, steady] if "speed" in sheet.facts else [steady, {}])):
        if "range" not in conditions and known("range", **conditions):
            return conditions
    unlimited = endless_of(sheet, str)
    for conditions in (*offers, *([{}] if "speed" in sheet.facts else [steady])):
        if "range" not in conditions and unlimited("range", **conditions):
            return conditions
    return {}


def spoken_setting(sheet: Asked, as_words: Callable[[str], str]) -> str:
    """Say for which drive an episode asks, as " at a steady 90 km/h on a level road, without wind"."""
    conditions = setting(sheet)
    claimed = circumstances(Claim("range", 1.0, **conditions))
    try:
        finding = sheet.find("range", **conditions)
    except ChalkwattError:
        return _spoken(claimed, as_words)
    return _spoken(how_driven(finding) or claimed, as_words)


def spoken_notes(sheet: Asked, as_words: Callable[[str], str]) -> tuple[str, ...]:
    """Return what has to be said beside the range of an episode."""
    try:
        finding = sheet.find("range", **setting(sheet))
    except ChalkwattError:
        return ()
    return tuple(readable(as_words(one)) for one in (*finding.notes, *assumed(finding)))


def readable(fenced: str) -> str:
    r"""Take out the fences that prose does not need where it does not begin a line.

    Brackets and braces, stars and the signs of HTML stay fenced, so that no link and no markup comes
    of it.

    Examples
    --------
    >>> from chalkwatt.scripts.judged import readable
    >>> print(readable(r"0\.5 \(half\), \[no\]"))
    0.5 (half), \[no\]
    """
    for plain in ".-()+":
        fenced = fenced.replace(f"\\{plain}", plain)
    return fenced


def _spoken(text: str, as_words: Callable[[str], str]) -> str:
    return f" {readable(as_words(text))}" if text.strip() else ""


def knower(sheet: Asked) -> Callable[..., bool]:
    """Return a function that says whether a quantity follows from a sheet."""

    def known(wanted: str, **conditions: Given) -> bool:
        try:
            sheet.find(wanted, **conditions)
        except ChalkwattError:
            return False
        return True

    return known


def giver(sheet: Asked) -> Callable[[str], bool]:
    """Return a function that says whether a sheet states a quantity itself."""

    def given(wanted: str) -> bool:
        return wanted in sheet.facts

    return given


def endless_of(sheet: Asked, as_words: Callable[[str], str]) -> Callable[..., str]:
    """Return a function that says why nothing limits a quantity; nothing where something does."""

    def endless(wanted: str, **conditions: Given) -> str:
        try:
            sheet.find(wanted, **conditions)
        except NoSolutionError as cause:
            if wanted in cause.endless:
                return readable(as_words(str(cause).removesuffix(cause.advice).strip()))
        except ChalkwattError:
            return ""
        return ""

    return endless
