"""Telling: verdicts as sentences that claim no more than the sheet allows."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from chalkwatt.answering.driven import COVERED, how_driven, model_of
from chalkwatt.errors import TooLittleKnownError
from chalkwatt.evidence.claims.routes import trust_of
from chalkwatt.evidence.flattery import flattered
from chalkwatt.evidence.remarks import (
    taken_warm,
    what_behind,
    what_gave_way,
    which_way,
)
from chalkwatt.evidence.sheets.choosing import GRANTED, needed_of
from chalkwatt.evidence.sheets.conflicts import raw_value
from chalkwatt.evidence.sheets.facts import ORIGINS
from chalkwatt.evidence.sheets.owning import owners_of
from chalkwatt.laws.quantities import look_up
from chalkwatt.rendering.phrases import (
    agreeing,
    amount,
    at,
    holds_for,
    listed,
    no_part,
    ranked,
    several,
)
from chalkwatt.wording.numbers import format_input, with_unit

if TYPE_CHECKING:
    from collections.abc import Collection, Mapping

    from chalkwatt.answering.showing import Stating
    from chalkwatt.errors import ChalkwattError
    from chalkwatt.evidence.claims.claims import Claim
    from chalkwatt.evidence.claims.verdicts import Need, Verdict
    from chalkwatt.evidence.finding import Finding
    from chalkwatt.evidence.sheets.conflicts import Conflict

__all__ = [
    "ON_A_DRIVE",
    "assumed",
    "cases",
    "circumstances",
    "idle",
    "rests_on",
    "stood_in",
    "tell",
    "unjudged",
]

# What a speed or a schedule makes; of anything else on the road only a speed does.
ON_A_DRIVE = frozenset({"range", "consumption", "driving_time", "battery_power"})
_AT = frozenset({"speed", "air_temperature", "altitude"})
_IN_THE_MODEL = frozenset({"altitude", "air_temperature", "cell_temperature"})
_ROUNDING = 1e-9  # relative; a value that changes a result by less has no say in it
_SPAN = {"state_of_charge_from": "from", "state_of_charge_to": "to"}


def circumstances(claim: Claim) -> str:
    """Return the conditions of a claim as they are spoken, with a space before them.

    Examples
    --------
    >>> from chalkwatt import Claim
    >>> from chalkwatt.evidence.claims.telling import circumstances
    >>> circumstances(Claim("range", "480 km", speed="90 km/h", auxiliary_power="2 kW"))
    ' at 90 km/h with an auxiliary power of 2 kW'
    >>> circumstances(Claim("range", "480 km", speed="90 km/h", altitude="2000 m"))
    ' at 90 km/h and an altitude of 2000 m'
    """
    return _under({name: said for name, said in claim.conditions_said.items() if said})


def _under(conditions: Mapping[str, str]) -> str:
    told = [at(name, said) for name, said in conditions.items() if name in _AT]
    span = " ".join(f"{_SPAN[name]} {said}" for name, said in conditions.items() if name in _SPAN)
    rest = " and ".join(
        amount(name, said)
        for name, said in conditions.items()
        if name not in _AT and name not in _SPAN
    )
    made = (f"at {listed(told)}" if told else "", span, f"with {rest}" if rest else "")
    return "".join(f" {one}" for one in made if one)


def cases(chance: float, count: int) -> str:
    """Say a chance as cases out of a hundred, never more exactly than draws can tell.

    Examples
    --------
    >>> from chalkwatt.evidence.claims.telling import cases
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
    verb = agreeing(finding.quantity.words, "is", "are")
    start = f"By what is known of the {verdict.sheet.name}, its {told_of(finding, claim)} {verb} "
    named = f"The claim of {claim.said_sense} {claim.text} ({claim.said_by})"
    if claim.meant:
        named += f", which is {claim.meant},"
    rests = "".join(
        [
            _rests(finding),
            _unstated(finding, claim.sense, verdict.unstated),
            _endless(finding),
            *(f" {one}" for one in what_behind(finding, claim.sense)),
            _dispute(verdict),
        ]
    )
    # What is stated holds at the sheet's own conditions, with which the rest of it was reckoned.
    own = finding.other.heard if finding.other is not None else ()
    rests += idle(claim, {*finding.heard, *own}, finding.checked_with)
    if finding.interval is None:
        value = with_unit(float(finding.quantity.in_unit(finding.si, claim.unit)), claim.unit, 3)
        exact = f", with the model {model_of(finding)} taken as exact" if model_of(finding) else ""
        given = f"{start}about {value}{exact}; {_ranges(finding)}."
        would = "" if verdict.met else _would(verdict)
        return (
            f"{given} {named} is {'' if verdict.met else 'not '}met by these values{would}. {rests}"
        )
    exact = f" and the model {model_of(finding)} is exact" if model_of(finding) else ""
    given = (
        f"{start}{finding.interval.text_in(claim.unit)} in {_level(finding)}, "
        f"if the stated ranges are right{exact}."
    )
    return f"{given} {named} {_outcome(verdict)} {rests}"


def _ranges(finding: Finding) -> str:
    """Say why a number has no interval: no value has a range, or those that have one do not change it."""
    if finding.certain:
        return "none of the values behind it has a stated range"
    return f"in {_level(finding)} the stated ranges of the values behind it change nothing of that"


def _endless(finding: Finding) -> str:
    """Say in how many draws nothing limits what is claimed, with a space before it."""
    if finding.certain or not finding.endless:
        return ""
    told = cases(finding.endless, finding.spread.values.size)
    rest = "" if finding.interval is None else ", and the interval is that of the others"
    return f" In {told} nothing limits it{rest}."


def told_of(finding: Finding, claim: Claim) -> str:
    """Name the claimed quantity with the drive and the other conditions that it was reckoned for."""
    others = {
        name: said
        for name, said in claim.conditions_said.items()
        # A condition that nothing was reckoned with must not seem to stand behind the number.
        if name in finding.facts and not (how_driven(finding) and name in COVERED)
    }
    driven = how_driven(finding)
    return f"{look_up(claim.quantity).words}{_under(others)}{driven}{',' if ',' in driven else ''}"


def _dispute(verdict: Verdict) -> str:
    """Say where facts contradict each other, what either way gives, and what would reconcile them."""
    finding, unit = verdict.finding, verdict.claim.unit
    if not finding.conflicts:
        return ""
    words = look_up(finding.wanted).words
    clashes = " ".join(one.clash for one in finding.conflicts)
    kept = (
        finding.interval.text_in(unit)
        if finding.interval is not None
        else with_unit(float(finding.quantity.in_unit(finding.si, unit)), unit, 3)
    )
    ways = [
        f"by the {listed([look_up(name).words for name in route.through])} "
        f"the {words} would be {route.text_in(unit)}"
        for route in verdict.routes
        if route.through != (finding.wanted,)  # that is what the clash says
    ]
    told = "; ".join(ways)
    told = f" {told[0].upper()}{told[1:]}." if ways else ""
    trusted = all(_trusts(finding, one) for one in finding.conflicts)
    why = " of the facts that deserve at least as much trust" if trusted else ""
    return (
        f" But the facts contradict each other: {clashes}{told} This verdict keeps to the {kept}{why}."
        f"{_reconciled(finding)}"
    )


def _trusts(finding: Finding, conflict: Conflict) -> bool:
    """Say whether of the facts that collide the least trustworthy followed one is as good as the best other."""
    followed, others = trust_of(finding, conflict)
    return bool(followed and others) and max(followed) <= min(others)


def _reconciled(finding: Finding) -> str:
    """Say with which wind or on which slope both would be true."""
    granted = [
        move for one in finding.conflicts for move in one.moves if move.fact.origin == "granted"
    ]
    told = []
    for move in granted:
        if move.needed is None or move.far or move.fact.name not in {"headwind", "grade"}:
            continue
        amount = move.fact.text_of(abs(move.needed), 3)
        if move.fact.name == "headwind":
            told.append(f"with a {'tail' if move.needed < 0 else 'head'} wind of {amount}")
        else:
            told.append(f"{'down' if move.needed < 0 else 'up'} a grade of {amount}")
    if told:
        return f" Both could be true only {' or '.join(dict.fromkeys(told))}."
    weather = [move for move in granted if move.fact.name in {"headwind", "grade"}]
    if any(move.far for move in weather):
        return " No usual wind and no usual slope would make both true."
    return " No wind and no slope would make both true." if weather else ""


def _either(words: list[str]) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} or {words[-1]}"


def idle(claim: Claim, used: Collection[str], checked: Collection[str] = ()) -> str:
    """Say which conditions of a claim nothing was reckoned with, with a space before it.

    Parameters
    ----------
    claim : Claim
    used : collection of str
        Names of the quantities that were reckoned with.
    checked : collection of str
        Names of those that were used to check the others, which agree.

    Returns
    -------
    str
        Empty if all of them were used.

    Examples
    --------
    >>> from chalkwatt import Claim
    >>> from chalkwatt.evidence.claims.telling import idle
    >>> idle(Claim("range", "480 km", speed="90 km/h", air_temperature="-5 degC"), {"speed", "mass"})
    ' The air temperature of −5 °C plays no part in this: nothing here was reckoned with it.'
    """
    left = {name: said for name, said in claim.conditions_said.items() if name not in used}
    return _left(left, checked, inside=True) + _left(left, checked, inside=False)


def _left(left: Mapping[str, str], checked: Collection[str], *, inside: bool) -> str:
    here = {name: said for name, said in left.items() if (name in checked) == inside}
    if not here:
        return ""
    if not inside:
        return f" {no_part(here)}"
    told = " and ".join(amount(name, said, "the") for name, said in here.items())
    serves = "serve" if several(tuple(here)) else "serves"
    return f" T{told[1:]} {serves} only as a check, in which the facts agree."


def unjudged(sheet: Stating, claim: Claim, cause: ChalkwattError) -> str:
    """Say why a claim cannot be judged, and what it would take, in words for those who listen.

    Parameters
    ----------
    sheet : Sheet
    claim : Claim
    cause : ChalkwattError
        What :meth:`Sheet.judge` raised.

    Returns
    -------
    str
    """
    start = f"What is known of the {sheet.name} does not decide this claim."
    if isinstance(cause, TooLittleKnownError) and not cause.unheard:
        return f"{start} {_it_takes(claim, cause)}"
    return f"{start} {str(cause).removesuffix(getattr(cause, 'advice', '') or '').strip()}"


def _it_takes(claim: Claim, cause: TooLittleKnownError) -> str:
    """Say what it would take to judge a claim."""
    words = look_up(claim.quantity).words
    if tuple(cause.unlocks) == ("speed",):
        drive = claim.quantity in ON_A_DRIVE
        what, takes = ("drive", "speed, or the schedule,") if drive else ("speed", "one")
        return f"{holds_for(words, f'a {what}')}: it would take the {takes} that is meant."
    some = [look_up(one).words for one in cause.unlocks[:3]]
    if some:
        return f"It would take one more value, such as {' or '.join(some)}."
    if next(owners_of(claim.quantity), None) is None:
        return f"No formula gives the {words}: it would take a run over time."
    return "It would take at least two more values."


def _level(finding: Finding) -> str:
    level = finding.draws.level
    return "nine cases out of ten" if level == 0.9 else f"{100 * level:.3g} of 100 cases"


def _outcome(verdict: Verdict) -> str:
    told = cases(verdict.chance, verdict.finding.spread.values.size)
    known = {
        "holds": f"holds: it is met in {told}.",
        "disputed": f"is met in {told}{_against(verdict)}.",
        "out of reach": f"is out of reach: it is met in {told}, "
        "and would not be with every value at its kindest end.",
        "hardly within reach": f"is hardly within reach: it is met in {told}, "
        "and would be with every value at its kindest end.",
    }
    if verdict.word in known:
        return known[verdict.word]
    if verdict.chance < verdict.FEW and verdict.unstated is not None:
        return f"is met in {told}{_would(verdict)}."
    if verdict.word == "needs favourable values":
        return f"is met in {told}, those with favourable values, above all {_kind(verdict)}."
    return f"is met in {told}; what matters most is the {look_up(verdict.powerful[0]).words}."


def _against(verdict: Verdict) -> str:
    """Say which way a disputed claim is met, and which way it is not."""
    if not verdict.routes:
        return ", but by facts that cannot all be true"
    if verdict.mostly_met:
        return " by the facts that were followed, but not by others of the sheet"
    return " by the facts that were followed, but by others of the sheet it would be met"


def _would(verdict: Verdict) -> str:
    """Say what would do of a value that only stands in for what nobody stated, with a colon before it."""
    need = verdict.unstated
    if need is None:
        return ""
    words, text = look_up(need.name).words, need.fact.text_of(need.fact.si, 3)
    return f": the {words}, assumed as {text} for nobody stated it, {need.alone}, and that occurs"


def _kind(verdict: Verdict) -> str:
    """Name the most powerful input and the end of its range that helps."""
    name = verdict.powerful[0]
    swing = next(one for one in verdict.finding.tornado if one.name == name)
    high = (swing.at_high > swing.at_low) == (verdict.claim.sense == "at least")
    return ranked(look_up(name).words, high=high)


def assumed(finding: Finding) -> tuple[str, ...]:
    """Say which values stand in for what nobody stated, beyond those that speak in favour of a finding.

    Parameters
    ----------
    finding : Finding

    Returns
    -------
    tuple of str
        At most one sentence.

    Examples
    --------
    >>> from chalkwatt import Sheet
    >>> from chalkwatt.evidence.claims.telling import assumed
    >>> sheet = Sheet.parse('''
    ... [vehicle]
    ... name = "Demo"
    ... [values.usable_energy]
    ... value = "40 kWh"
    ... origin = "quoted"
    ... ''')
    >>> assumed(sheet.find("pack_energy"))
    ('The usable fraction of 100 % is assumed: nobody stated it.',)
    """
    told = _unstated(finding, "").strip()
    return (told,) if told else ()


def _unstated(finding: Finding, sense: str, said: Need | None = None) -> str:
    """Name the values that stand in for what nobody stated, with a space before them.

    Without those that are nought, those of air, road and cells, which the model in its bracket names, and
    those of which it is said that they speak in its favour.
    """
    told = {}
    favour = " ".join(flattered(finding, sense))
    for name, si in stood_in(finding).items():
        entry = look_up(name)
        text = f"{format_input(float(entry.in_unit(si)), 3)} {entry.display[0]}".rstrip()
        if f"{entry.words} {text}" not in favour and (said is None or said.name != name):
            told[name] = amount(name, text, "the")
    if not told:
        return ""
    text = listed(tuple(told.values()))
    verb, them = ("are", "them") if several(tuple(told)) else ("is", "it")
    return f" {text[0].upper()}{text[1:]} {verb} assumed: nobody stated {them}."


def stood_in(finding: Finding) -> dict[str, float]:
    """Return the values that stand in for what nobody stated and on which the number hangs, in SI units.

    Parameters
    ----------
    finding : Finding

    Returns
    -------
    dict of str to float
        Without those of air, road and cells, and those that are nought.
    """
    standing = dict.fromkeys(one.names[0] for one in finding.plan.standing)
    values = {name: finding.assumed.get(name, 0.0) for name in standing}
    return {
        name: si
        for name, si in values.items()
        if name not in {*GRANTED, *_IN_THE_MODEL}
        and si
        and math.isfinite(si)
        and _tells(finding, name, si)
    }


def _tells(finding: Finding, name: str, si: float) -> bool:
    """Say whether another standing value would change the result: how well a cabin is cooled does not in winter."""
    used = {one: fact.si for one, fact in finding.facts.items()}
    way = finding.topic.network.plan_if_any(finding.wanted, (*used, name))
    if way is None or name not in needed_of(way):
        return True
    known = {one: used[one] for one in needed_of(way) if one != name}
    here, there = (raw_value(way, {**known, name: si * by}) for by in (1.0, 1.01))
    return not abs(there - here) <= _ROUNDING * abs(here)


def rests_on(finding: Finding, claim: Claim) -> str:
    """Say what stands behind a finding that has no solution at the stated values, with a space before it.

    Parameters
    ----------
    finding : Finding
    claim : Claim

    Returns
    -------
    str
    """
    notes = (*which_way(finding), *taken_warm(finding.facts.values()), *finding.choice.left_out)
    told = (_rests(finding), *notes, *what_gave_way(finding))
    return f" {' '.join(told)}{_unstated(finding, claim.sense)}{_endless(finding)}"


def _rests(finding: Finding) -> str:
    every = [
        one for fact in finding.facts.values() for one in getattr(fact, "behind", ()) or (fact,)
    ]
    # What is asked for, or only stands in for what nobody stated, is none of the sheet's values.
    facts = list({one.name: one for one in every if one.origin in ORIGINS}.values())
    if not facts:
        return "Nothing of the sheet stands behind this."
    soft = [fact for fact in facts if fact.origin in {"assumed", "estimated"}]
    if not soft:
        how = [one for one in ORIGINS if any(fact.origin == one for fact in facts)]
        all_of = "The one value" if len(facts) == 1 else f"All {len(facts)} values"
        verb = "was" if len(facts) == 1 else "were"
        return f"{all_of} behind this {verb} {_either(how)}."
    if len(facts) == 1:
        return f"The one value behind this is {soft[0].origin}."
    verb = "is" if len(soft) == 1 else "are"
    return f"Of the {len(facts)} values behind this, {len(soft)} {verb} estimated or assumed."
