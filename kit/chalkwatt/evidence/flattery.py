"""Flattery: standing values that nobody stated and that make a number kinder than it may be."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from chalkwatt.answering.driven import how_driven
from chalkwatt.errors import ChalkwattError
from chalkwatt.laws.quantities import look_up
from chalkwatt.planning.evaluation import compile_plan
from chalkwatt.rendering.assumed import assumptions_of
from chalkwatt.topics.launch import launch
from chalkwatt.wording.numbers import format_input

if TYPE_CHECKING:
    from collections.abc import Iterable

    from chalkwatt.evidence.finding import Finding
    from chalkwatt.laws.relations import Relation

__all__ = ["flattered"]

_SLACK = 1e-9  # relative; less than that is rounding
_ROUNDED = 1e-12  # relative; solutions so near to each other are one, as an answer has it
_SHARES = (1e-4, 1e-3, 0.01, 0.03, 0.1, 0.2, 0.35, 0.5, 0.65, 0.8, 1.0)  # of the way to an end
# What drag and tyres make worse of a start, and the words of the relations that leave them out.
_HELD_BACK = frozenset(
    {
        "time_to_speed",
        "time_over_distance",
        "exit_speed",
        "mean_acceleration",
        "power_bound_time",
        "power_exit_speed",
        "power_time_over_distance",
    }
)
_NO_RESISTANCE = frozenset({"without drag", "without rolling resistance"})
_NOBODYS = frozenset({"gravity"})  # favour: it is the same for all who drive
# What the words for a drive say already.
_SAID = frozenset({"headwind", "grade", "climate_power"})


def flattered(finding: Finding, sense: str = "") -> tuple[str, ...]:
    """Say which standing values speak in favour of a finding.

    A standing value does so if the usual values of its quantity make the number worse on one side and
    better on none: an average charging power that never falls below the highest, say. Of several solutions
    each is followed by itself; where they part, or where one cannot be followed, nothing is said.

    Parameters
    ----------
    finding : Finding
    sense : {"at least", "at most"}, optional
        What counts as better; by the quantity if left out.

    Returns
    -------
    tuple of str
        At most one sentence.

    Examples
    --------
    >>> from chalkwatt import Sheet
    >>> from chalkwatt.evidence.flattery import flattered
    >>> sheet = Sheet.parse('''
    ... [vehicle]
    ... name = "Demo"
    ... [values.usable_energy]
    ... value = "40 kWh"
    ... origin = "quoted"
    ... ''')
    >>> flattered(sheet.find("charging_time", station_power_max="50 kW",
    ...                      state_of_charge_from="10 %", state_of_charge_to="80 %"))
    ('Taken for granted in its favour: constant power (taper factor 100 %).',)
    """
    better = sense or ("at most" if finding.quantity.less_is_better else "at least")
    shown = {name for name, *_ in assumptions_of(finding.plan)}
    told = [
        f"{one.title[0].lower()}{one.title[1:]} ({look_up(one.names[0]).words} {_value(one)})"
        for one in finding.plan.standing
        if one.names[0] in shown - _NOBODYS
        and not (one.names[0] in _SAID and how_driven(finding))
        and not isinstance(one.sides[1], tuple | str)
        and _flatters(finding, one, better)
    ]
    if _unresisted(finding, better):
        told.insert(0, "no drag and no rolling resistance")
    return (f"Taken for granted in its favour: {'; '.join(told)}.",) if told else ()


def _unresisted(finding: Finding, better: str) -> bool:
    """Say whether a start is reckoned without what holds it back, and that makes the number better."""
    words = {one for relation in finding.plan.relations for one in relation.model}
    own = "at most" if finding.quantity.less_is_better else "at least"
    starts = finding.topic.name == launch.name and finding.wanted in _HELD_BACK
    return starts and better == own and words.issuperset(_NO_RESISTANCE)


def _value(standing: Relation) -> str:
    entry = look_up(standing.names[0])
    unit = entry.display[0]
    return f"{format_input(float(entry.in_unit(float(standing.right), unit)))} {unit}".rstrip()


def _flatters(finding: Finding, standing: Relation, better: str) -> bool:
    """Say whether every root of a finding gets worse wherever it is followed, and never better."""
    sign = 1 if better == "at least" else -1
    told = [
        [sign * (there - root) / (max(abs(there), abs(root)) or 1.0) for there in numbers]
        for root, numbers in _followed(finding, standing).items()
    ]
    return bool(told) and all(
        any(gain < -_SLACK for gain in gains) and all(gain <= _SLACK for gain in gains)
        for gains in told
    )


def _followed(finding: Finding, standing: Relation) -> dict[float, list[float]]:
    """Follow each root of a finding from the standing value to either end of what is usual.

    A root is followed in small steps, to the nearest of the next ones. Where a root begins, ends or comes
    as near to another as a step carries it, which is which is not clear, and nothing is returned.
    """
    name = standing.names[0]
    known = {one: fact.si for one, fact in finding.facts.items()}
    try:
        plan = finding.topic.network.plan_if_any(finding.wanted, (*known, name))
    except ChalkwattError:  # in no order that can be walked: nothing is compared
        plan = None
    if plan is None:
        return {}
    function = compile_plan(plan)
    stands = float(standing.right)

    def roots(value: float) -> list[float]:
        return _apart(
            float(one.values[finding.wanted]) for one in function.branches(known | {name: value})
        )

    start = roots(stands)
    shown = finding.solutions_si
    if len(start) != len(shown) or not np.allclose(start, shown, rtol=1e-6, atol=0.0):
        return {}  # another way to the number, of which the standing value says nothing
    ways = []
    for end in look_up(name).usual:
        if end != stands:
            on_the_way = _walked(start, (roots(stands + one * (end - stands)) for one in _SHARES))
            if not on_the_way:
                return {}
            ways.extend(on_the_way)
    return {root: [numbers[place] for numbers in ways] for place, root in enumerate(start)}


def _apart(found: Iterable[float]) -> list[float]:
    """Return the solutions that differ, in rising order."""
    made: list[float] = []
    for one in sorted(found):
        if math.isfinite(one) and not (made and one - made[-1] <= _ROUNDED * abs(one)):
            made.append(one)
    return made


def _walked(start: list[float], steps: Iterable[list[float]]) -> list[list[float]]:
    """Return the roots at every step as far as there are any; none where they cannot be followed."""
    made: list[list[float]] = []
    last = start
    for found in steps:
        if not found:
            break  # beyond that there is no answer, better or worse
        if not _follows(last, found):
            return []
        made.append(found)
        last = found
    return made


def _follows(last: list[float], found: list[float]) -> bool:
    """Say whether each root is nearer to its own place than to that of any other."""
    if len(last) != len(found):
        return False
    return all(
        min(range(len(last)), key=lambda place: abs(last[place] - there)) == own
        for own, there in enumerate(found)
    )
