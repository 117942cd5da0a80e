"""Remarks: what has to be said beside a number from a sheet, each as a sentence."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from chalkwatt.errors import ChalkwattError
from chalkwatt.flattery import flattered
from chalkwatt.quantities import look_up
from chalkwatt.rendering.numbers import format_input
from chalkwatt.sheets.boxes import extremes

if TYPE_CHECKING:
    from collections.abc import Collection, Mapping

    from chalkwatt.finding import Finding
    from chalkwatt.sheets.facts import Fact

__all__ = ["broken_counts", "gave_way", "notes_on", "remarks_on", "which_way"]

_WHOLE = 1e-6  # relative; nearer to a whole number than this is rounding


def notes_on(finding: Finding) -> tuple[str, ...]:
    """Say which way is meant, what gave way, what contradicts, and which counts are none.

    Parameters
    ----------
    finding : Finding

    Returns
    -------
    tuple of str
    """
    return (
        *which_way(finding),
        *finding.choice.left_out,
        *flattered(finding),
        *gave_way(finding.gave_way, finding.choice.facts, finding.choice.conditions),
        *(one.clash for one in finding.conflicts),
        *broken_counts(finding),
    )


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
    return (
        f"{words}, is assumed, for the sheet states something of it and the question does not say.",
    )


def gave_way(
    what: Mapping[str, tuple[str, ...]],
    facts: Mapping[str, Fact],
    conditions: Mapping[str, Fact],
) -> tuple[str, ...]:
    """Say which assumed facts gave way to which conditions.

    Examples
    --------
    >>> from chalkwatt.remarks import gave_way
    >>> from chalkwatt.sheets.facts import make_fact
    >>> assumed = {"air_density": make_fact("air_density", "1.2 kg/m^3", origin="assumed")}
    >>> asked = {"air_temperature": make_fact("air_temperature", "-10 degC")}
    >>> gave_way({"air_density": ("air_temperature",)}, assumed, asked)
    ('The assumed air density of 1.2 kg/m³ gives way to the air temperature of −10 °C asked for.',)
    """
    return tuple(
        f"The assumed {look_up(name).words} of {facts[name].text_of(facts[name].si)} gives way to "
        + " and ".join(
            f"the {look_up(one).words} of {conditions[one].text_of(conditions[one].si)}"
            for one in asked
        )
        + " asked for."
        for name, asked in what.items()
    )


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
    if finding.spread.unsolved:
        made.append(f"{_share(finding.spread.unsolved)} of the draws have no solution.")
    return tuple(made)


def _share(share: float) -> str:
    return f"{format_input(100 * share, 2)} %" if share >= 0.001 else "Fewer than 0.1 %"
