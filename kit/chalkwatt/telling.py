"""Telling: verdicts as sentences that claim no more than the sheet allows."""

from __future__ import annotations

from typing import TYPE_CHECKING

from chalkwatt.quantities import look_up
from chalkwatt.rendering.numbers import with_unit

if TYPE_CHECKING:
    from collections.abc import Collection, Mapping

    from chalkwatt.claims import Claim
    from chalkwatt.finding import Finding
    from chalkwatt.verdicts import Verdict

__all__ = ["cases", "circumstances", "idle", "tell"]

_AT = frozenset({"speed", "air_temperature", "altitude"})


def circumstances(claim: Claim) -> str:
    """Return the conditions of a claim as they are spoken, with a space before them.

    Examples
    --------
    >>> from chalkwatt import Claim
    >>> from chalkwatt.telling import circumstances
    >>> circumstances(Claim("range", "480 km", speed="90 km/h", auxiliary_power="2 kW"))
    ' at 90 km/h with an auxiliary power of 2 kW'
    """
    return _under({name: said for name, said in claim.conditions_said.items() if said})


def _under(conditions: Mapping[str, str]) -> str:
    at = " and ".join(said for name, said in conditions.items() if name in _AT)
    rest = " and ".join(
        f"{_article(look_up(name).words)} of {said}"
        for name, said in conditions.items()
        if name not in _AT
    )
    return (f" at {at}" if at else "") + (f" with {rest}" if rest else "")


def _article(words: str) -> str:
    return f"{'an' if words[0] in 'aeio' else 'a'} {words}"  # a usable fraction


def cases(chance: float, count: int) -> str:
    """Say a chance as cases out of a hundred, never more exactly than draws can tell.

    Examples
    --------
    >>> from chalkwatt.telling import cases
    >>> cases(0.123, 8192), cases(0.0, 8192), cases(0.998, 8192)
    ('about 12 cases out of 100', 'none of the 8192 cases tried', 'more than 99 cases out of 100')
    """
    if chance == 0:
        return f"none of the {count} cases tried"
    if chance == 1:
        return f"all of the {count} cases tried"
    if chance < 0.01:
        return "fewer than 1 case out of 100"
    if chance > 0.99:
        return "more than 99 cases out of 100"
    return f"about {100 * chance:.0f} case{'' if round(100 * chance) == 1 else 's'} out of 100"


def tell(verdict: Verdict) -> str:
    """Say a verdict.

    Parameters
    ----------
    verdict : Verdict

    Returns
    -------
    str
    """
    claim, finding = verdict.claim, verdict.finding
    words = look_up(claim.quantity).words
    # A condition that nothing was reckoned with must not seem to stand behind the number.
    under = {name: said for name, said in claim.conditions_said.items() if name in finding.facts}
    start = f"By what is known of the {verdict.sheet.name}, its {words}{_under(under)} is "
    named = f"The claim of {claim.sense} {claim.text} ({claim.said_by})"
    rests = _rests(finding) + idle(claim, finding.facts)
    if finding.interval is None:
        value = with_unit(float(finding.quantity.in_unit(finding.si, claim.unit)), claim.unit, 3)
        given = f"{start}about {value}; none of the values behind it has a stated range."
        return f"{given} {named} is {'' if verdict.met else 'not '}met by these values. {rests}"
    given = f"{start}{finding.interval.text_in(claim.unit)} in {_level(finding)}, if the stated ranges are right."
    return f"{given} {named} {_outcome(verdict)} {rests}"


def idle(claim: Claim, used: Collection[str]) -> str:
    """Say which conditions of a claim nothing was reckoned with, with a space before it.

    Parameters
    ----------
    claim : Claim
    used : collection of str
        Names of the quantities that were reckoned with.

    Returns
    -------
    str
        Empty if all of them were.

    Examples
    --------
    >>> from chalkwatt import Claim
    >>> from chalkwatt.telling import idle
    >>> idle(Claim("range", "480 km", speed="90 km/h", air_temperature="-5 degC"), {"speed", "mass"})
    ' The air temperature of −5 °C plays no part in this: nothing here was reckoned with it.'
    """
    left = {name: said for name, said in claim.conditions_said.items() if name not in used}
    if not left:
        return ""
    told = " and ".join(f"the {look_up(name).words} of {said}" for name, said in left.items())
    plays, it = ("plays", "it") if len(left) == 1 else ("play", "them")
    return f" T{told[1:]} {plays} no part in this: nothing here was reckoned with {it}."


def _level(finding: Finding) -> str:
    level = finding.draws.level
    return "nine cases out of ten" if level == 0.9 else f"{100 * level:.3g} of 100 cases"


def _outcome(verdict: Verdict) -> str:
    told = cases(verdict.chance, verdict.finding.spread.values.size)
    word = verdict.word
    if word == "holds":
        return f"holds: it is met in {told}."
    if word == "out of reach":
        return f"is out of reach: it is met in {told}, and would not be with every value at its kindest end."
    if word == "hardly within reach":
        return f"is hardly within reach: it is met in {told}, and takes nearly every value at its kindest end."
    if word == "needs favourable values":
        return f"is met in {told}, those with favourable values, above all {_kind(verdict)}."
    return f"is met in {told}; what matters most is the {look_up(verdict.powerful[0]).words}."


def _kind(verdict: Verdict) -> str:
    """Name the most powerful input and the end of its range that helps."""
    name = verdict.powerful[0]
    swing = next(one for one in verdict.finding.tornado if one.name == name)
    high = (swing.at_high > swing.at_low) == (verdict.claim.sense == "at least")
    return f"a {'high' if high else 'low'} {look_up(name).words}"


def _rests(finding: Finding) -> str:
    facts = [fact for fact in finding.facts.values() if fact.origin != "asked"]
    soft = [fact for fact in facts if fact.origin in {"assumed", "estimated"}]
    if not soft:
        return f"All {len(facts)} values behind this were measured, counted or quoted."
    return f"Of the {len(facts)} values behind this, {len(soft)} are estimated or assumed."
