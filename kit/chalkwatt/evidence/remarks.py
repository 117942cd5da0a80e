"""Remarks: what has to be said beside a number from a sheet, each as a sentence."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from chalkwatt.errors import ChalkwattError
from chalkwatt.evidence.flattery import flattered
from chalkwatt.evidence.sheets.choosing import distrust
from chalkwatt.evidence.sheets.cold_cells import TakenWarm
from chalkwatt.evidence.sheets.facts import ORIGINS
from chalkwatt.evidence.spread.boxes import extremes
from chalkwatt.laws.quantities import look_up
from chalkwatt.rendering.phrases import agreeing, amount, listed, no_part
from chalkwatt.wording.numbers import format_input, with_unit

if TYPE_CHECKING:
    from collections.abc import Collection, Iterable, Mapping

    from chalkwatt.evidence.finding import Finding
    from chalkwatt.evidence.sheets.facts import Fact

__all__ = [
    "beside_most",
    "broken_counts",
    "cabin_left_out",
    "gave_way",
    "notes_on",
    "nothing_recovered",
    "remarks_on",
    "stated_itself",
    "taken_warm",
    "turned_round",
    "unheard",
    "what_behind",
    "what_gave_way",
    "which_way",
    "without_limit",
]

_SAME_TO_A_READER = 0.01  # relative
_LEANS = 1 / 3  # of a range; a value nearer to an end than that leaves most of it on the other side
_MOST = 0.65  # of the draws on one side of what the stated values make
_WHOLE = 1e-6  # relative; nearer to a whole number than this is rounding


def notes_on(finding: Finding) -> tuple[str, ...]:
    """Say all that a number from a sheet needs beside it: what stands behind it, and what does not.

    Parameters
    ----------
    finding : Finding

    Returns
    -------
    tuple of str
    """
    return (
        *what_behind(finding),
        *(one.clash for one in finding.conflicts),
        *unheard(finding),
        *_of_no_sheet(finding),
    )


def what_behind(finding: Finding, sense: str = "") -> tuple[str, ...]:
    """Say of what stands behind a number which way is meant, what gave way and which counts are none.

    This is all that an answer and a verdict have to say alike. What contradicts, and what nothing was
    reckoned with, either says in its own words.

    Parameters
    ----------
    finding : Finding
    sense : {"at least", "at most"}, optional
        What counts as better; by the quantity if left out.

    Returns
    -------
    tuple of str
    """
    return (
        *which_way(finding),
        *taken_warm(finding.facts.values()),
        *finding.choice.left_out,
        *flattered(finding, sense),
        *turned_round(finding),
        *stated_itself(finding),
        *cabin_left_out(finding),
        *nothing_recovered(finding),
        *what_gave_way(finding),
        *broken_counts(finding),
    )


def _of_no_sheet(finding: Finding) -> tuple[str, ...]:
    """Say of what standing values alone make that it says nothing of this vehicle."""
    if finding.facts:
        return ()
    return ("Nothing of the sheet and nothing asked stands behind this: standing values alone do.",)


def unheard(finding: Finding) -> tuple[str, ...]:
    """Say which conditions nothing was reckoned with, nothing was checked by, and what would let them count.

    Parameters
    ----------
    finding : Finding

    Returns
    -------
    tuple of str
    """
    left = {name: _text(finding.asked[name]) for name in finding.unheard}
    return (no_part(left), *finding.remedies) if left else ()


def taken_warm(facts: Iterable[Fact]) -> tuple[str, ...]:
    """Say which values of the battery are taken as those at 25 °C, because its cells are cold here.

    Parameters
    ----------
    facts : iterable of Fact

    Returns
    -------
    tuple of str
    """
    behind = [one for fact in facts for one in (fact, *getattr(fact, "behind", ()))]
    return tuple(dict.fromkeys(one.sentence for one in behind if isinstance(one, TakenWarm)))


def nothing_recovered(finding: Finding) -> tuple[str, ...]:
    """Say that the wheels give power back, and that none of it is taken as recovered, where nobody said how much.

    Parameters
    ----------
    finding : Finding

    Returns
    -------
    tuple of str
        Empty where the wheels give nothing back, or where it was said what comes of it.
    """
    if "recovery_efficiency" not in {one.names[0] for one in finding.plan.standing}:
        return ()
    values = finding.best.values
    back = -float(values.get("wheel_power", 0.0)), float(values.get("braking_energy", 0.0))
    if max(back) <= 0:
        return ()
    said = (
        "The wheels give power back here, and none of it is taken as recovered "
        "(recovery efficiency 0 %), for nobody states how much."
    )
    return (said,)


def which_way(finding: Finding) -> tuple[str, ...]:
    """Say which of several ways a finding goes, and whether that was only assumed.

    Parameters
    ----------
    finding : Finding

    Returns
    -------
    tuple of str
        Empty where it goes none of them.
    """
    order = finding.choice.order
    said = finding.topic.ways.said_of(finding.plan)
    if not order.way_assumed or order.way is None or not said:
        return said
    words = order.way.words.rstrip(".")
    told = (
        f"{words}, is assumed, for the sheet states something of it and the question does not say."
    )
    for other in finding.topic.ways.every:
        stated = sorted(other.quantities & {*finding.choice.facts})
        if other is not order.way and stated:
            told += (
                f" Of {other.name} it states the {listed([look_up(one).words for one in stated])}: "
            )
            told += f"give {stated[0]} for that."
    return (told,)


def turned_round(finding: Finding) -> tuple[str, ...]:
    """Say what the sheet itself makes of a quantity that was found from what it makes.

    Parameters
    ----------
    finding : Finding

    Returns
    -------
    tuple of str
        Empty where the question turned nothing round.
    """
    own = finding.own
    if own is None:
        return ()
    by = " and ".join(
        amount(one, _text(finding.choice.conditions[one]), "the")
        for one in finding.choice.order.turned
    )
    # What follows from pack and road for a topic, as a rolling force, is no value that the sheet states.
    every = (one for fact in own.facts.values() for one in getattr(fact, "behind", ()) or (fact,))
    stated = dict.fromkeys(one.name for one in every if one.origin in ORIGINS)
    made = listed([look_up(name).words for name in stated]) or "other values"
    roots = [
        with_unit(float(own.quantity.in_unit(one, own.unit)), own.unit) for one in own.solutions_si
    ]
    shown = own.text if len(roots) < 2 else " or ".join(roots)
    words = finding.quantity.words
    return (
        (
            f"This is what {by} asked for {'takes' if len(finding.choice.order.turned) == 1 else 'take'}. "
            f"By the {made} of the sheet the {words} would be {shown}."
        ),
    )


def stated_itself(finding: Finding) -> tuple[str, ...]:
    """Say what the sheet itself states of a quantity that other facts make, where they are apart.

    Parameters
    ----------
    finding : Finding

    Returns
    -------
    tuple of str
        Empty where it states nothing, the same, or what a conflict names already. Where what it states
        decides, it is said what the others make.
    """
    if finding.other is not None:
        return _made_of_others(finding, finding.other)
    fact = finding.choice.facts.get(finding.wanted)
    if fact is None or fact.origin not in ORIGINS or finding.wanted in finding.facts:
        return ()
    near = _SAME_TO_A_READER * max(abs(fact.si), abs(finding.si))
    told = any(one.quantity == finding.wanted for one in finding.conflicts)
    if told or fact.low - near <= finding.si <= fact.high + near:
        return ()
    return (f"The sheet itself states {fact.text} ({fact.origin}), on which this does not rest.",)


def _made_of_others(finding: Finding, other: Finding) -> tuple[str, ...]:
    near = _SAME_TO_A_READER * max(abs(other.si), abs(finding.si))
    if finding.conflicts or abs(other.si - finding.si) <= near:
        return ()
    fact = finding.facts[finding.wanted]
    least = max(other.facts.values(), key=distrust)
    soft = max(getattr(least, "behind", ()) or (least,), key=distrust)
    told = (
        f"The other values of the sheet make it {other.text}; of these the {look_up(soft.name).words} is "
        f"{soft.origin}, and what was {fact.origin} decides."
    )
    return (told,)


def cabin_left_out(finding: Finding) -> tuple[str, ...]:
    """Say that a stated load stands for all, where the air is asked for and the sheet knows of a heated cabin.

    Parameters
    ----------
    finding : Finding

    Returns
    -------
    tuple of str
        Empty where the cabin is reckoned with, or the sheet does not know one.
    """
    stated, load = finding.choice.facts, finding.facts.get("auxiliary_power")
    cabin = {"cabin_temperature", "heat_loss_coefficient"}
    if load is None or load.origin not in ORIGINS or "air_temperature" not in finding.asked:
        return ()
    if not cabin <= {*stated} or cabin & {*finding.facts}:
        return ()
    way = (
        "Leave it out" if "electronics_power" in stated else "State electronics_power in its place"
    )
    return (
        (
            f"The cabin of the sheet is neither heated nor cooled here: the auxiliary power of {load.text} "
            f"({load.origin}) stands for all that does not drive. {way} for the cabin to count."
        ),
    )


def what_gave_way(finding: Finding) -> tuple[str, ...]:
    """Say which facts gave way to conditions, here and where what this rests on was found.

    Parameters
    ----------
    finding : Finding

    Returns
    -------
    tuple of str
    """
    choice = finding.choice
    here = {**finding.gave_way, **finding.displaced}
    if finding.own is not None:  # what the sheet makes of the wanted is told with all that makes it
        here = {name: asked for name, asked in here.items() if name not in finding.own.facts}
    before = (one for fact in finding.facts.values() for one in getattr(fact, "told", ()))
    facts, conditions = {**finding.stated, **choice.facts}, {**finding.asked, **choice.conditions}
    return tuple(dict.fromkeys((*before, *gave_way(here, facts, conditions))))


def gave_way(
    what: Mapping[str, tuple[str, ...]],
    facts: Mapping[str, Fact],
    conditions: Mapping[str, Fact],
) -> tuple[str, ...]:
    """Say which facts gave way to which conditions.

    Examples
    --------
    >>> from chalkwatt.evidence.remarks import gave_way
    >>> from chalkwatt.evidence.sheets.facts import make_fact
    >>> assumed = {"air_density": make_fact("air_density", "1.2 kg/m^3", origin="assumed")}
    >>> asked = {"air_temperature": make_fact("air_temperature", "-10 degC")}
    >>> gave_way({"air_density": ("air_temperature",)}, assumed, asked)
    ('The assumed air density of 1.2 kg/m³ gives way to the air temperature of −10 °C asked for.',)
    """
    return tuple(
        f"{amount(name, _text(facts[name]), f'The {facts[name].origin}')} "
        f"{agreeing(look_up(name).words, 'gives', 'give')} way to "
        + " and ".join(amount(one, _text(conditions[one]), "the") for one in asked)
        + " asked for."
        for name, asked in what.items()
    )


def _text(fact: Fact) -> str:
    return fact.text_of(fact.si)


def broken_counts(finding: Finding, among: Collection[str] | None = None) -> tuple[str, ...]:
    """Say which counts came out as no whole numbers, and what their neighbours would make.

    Parameters
    ----------
    finding : Finding
    among : collection of str, optional
        Only these.

    Returns
    -------
    tuple of str
    """
    return tuple(
        f"No pack has {format_input(si, 6)} as its {look_up(name).words}: {_neighbours(finding, name, si)}."
        for name, si in _counts(finding).items()
        if (among is None or name in among) and not _may_be_whole(finding, name, si)
    )


def _may_be_whole(finding: Finding, name: str, si: float) -> bool:
    """Say whether a count is whole, or can be within the stated ranges."""
    low = high = si
    if not finding.certain:
        try:
            plan = finding.topic.network.plan(name, tuple(finding.facts))
        except ChalkwattError:
            return True
        low, high = extremes(plan, list(finding.facts.values()))
    slack = _WHOLE * max(abs(si), 1.0)
    return math.floor(high + slack) >= math.ceil(low - slack)


def _counts(finding: Finding) -> dict[str, float]:
    try:
        values = finding.best.values
    except (ChalkwattError, StopIteration):
        return {}
    return {
        name: float(si)
        for name, si in values.items()
        if look_up(name).whole and name not in finding.facts and math.isfinite(float(si))
    }


def _neighbours(finding: Finding, name: str, si: float) -> str:
    near = f"the nearest whole ones are {math.floor(si)} and {math.ceil(si)}"
    try:
        made = finding.neighbours if name == finding.wanted else ()
    except ChalkwattError:
        return near
    told = [
        f"{whole} would make the {look_up(one).words} {_shown(finding, one, value)}"
        for whole, follows in made
        for one, value in follows.items()
        if math.isfinite(value)
    ]
    return f"{near}; {' and '.join(told)}" if told else near


def _shown(finding: Finding, name: str, si: float) -> str:
    return finding.facts[name].text_of(si, 4)


def remarks_on(finding: Finding) -> tuple[str, ...]:
    """Say where the draws tell another story than the stated values.

    Parameters
    ----------
    finding : Finding

    Returns
    -------
    tuple of str
        They take the draws, which notes do without.
    """
    if finding.certain:
        return ()
    made = [
        f"The draws of the {look_up(fact.name).words} centre on "
        f"{fact.text_of((fact.low + fact.high) / 2, 4)} and not on the stated "
        f"{fact.text_of(fact.si, 4)}: its range is uniform and the value is not in its middle."
        for fact in finding.facts.values()
        if fact.forgotten and not fact.exact
    ]
    interval = finding.interval
    if interval is not None and not interval.low <= finding.si <= interval.high:
        ends = [
            look_up(fact.name).words
            for fact in finding.facts.values()
            if not fact.exact and fact.si in {fact.low, fact.high}
        ]
        why = (
            f", for what is stated of the {' and '.join(ends)} is an end of its range"
            if ends
            else ""
        )
        made.append(f"The stated values give a number outside most of the draws{why}.")
    elif not made:
        made += beside_most(finding)
    made += without_limit(finding)
    rest = finding.spread.unsolved - finding.endless
    if rest > _WHOLE:
        made.append(f"{_share(rest)} of the draws have no solution.")
    return tuple(made)


def beside_most(finding: Finding) -> tuple[str, ...]:
    """Say where most draws lie on one side of what the stated values make, since a range reaches further there.

    Parameters
    ----------
    finding : Finding

    Returns
    -------
    tuple of str
    """
    if finding.certain:
        return ()
    leaning = [
        look_up(fact.name).words
        for fact in finding.facts.values()
        if fact.shape == "triangular"
        and min(fact.high - fact.si, fact.si - fact.low) < _LEANS * (fact.high - fact.low)
    ]
    drawn, edge = finding.spread.solved, 1e-9 * abs(finding.si)
    # What a limit holds at the stated value is on neither side of it.
    more, less = (
        float(np.mean(one)) for one in (drawn > finding.si + edge, drawn < finding.si - edge)
    )
    share, side = (more, "more") if more > less else (less, "less")
    if not leaning or share < _MOST:
        return ()
    words = " and the ".join(leaning)
    one = len(leaning) == 1
    verb = agreeing(words, "is", "are") if one else "are"
    place = "in the middle of its range" if one else "in the middle of their ranges"
    return (
        (
            f"{_share(share)} of the draws make it {side} than the stated values do, for the {words} "
            f"{verb} not stated {place}."
        ),
    )


def without_limit(finding: Finding) -> tuple[str, ...]:
    """Say in how many draws nothing limits the wanted or, where nothing does at the stated values, something.

    Parameters
    ----------
    finding : Finding

    Returns
    -------
    tuple of str
        Empty where every draw is as the stated values are.
    """
    if finding.certain or not finding.endless:
        return ()
    words = finding.quantity.words
    if not finding.branches:
        limited = 1 - finding.spread.unsolved
        return (f"{_draws(limited)} something limits the {words}.",) if limited > _WHOLE else ()
    rest = "" if finding.interval is None else "; the interval is that of the others"
    return (f"{_draws(finding.endless)} nothing limits the {words}{rest}.",)


def _draws(share: float) -> str:
    told = _share(share)
    return f"In {told[0].lower()}{told[1:]} of the draws"


def _share(share: float) -> str:
    return f"{format_input(100 * share, 2)} %" if share >= 0.001 else "Fewer than 0.1 %"
