"""Flattery: standing values that nobody stated and that make a number kinder than it may be."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from chalkwatt.driven import how_driven
from chalkwatt.errors import ChalkwattError
from chalkwatt.quantities import look_up
from chalkwatt.rendering.assumed import assumptions_of
from chalkwatt.rendering.numbers import format_input
from chalkwatt.rendering.numpy_function import compile_plan

if TYPE_CHECKING:
    from collections.abc import Iterator

    from chalkwatt.finding import Finding
    from chalkwatt.relations import Relation

__all__ = ["flattered"]

_NOBODYS = frozenset({"gravity"})  # favour: it is the same for all who drive
# What the words for a drive say already.
_SAID = frozenset({"headwind", "grade", "climate_power"})


def flattered(finding: Finding, sense: str = "") -> tuple[str, ...]:
    """Say which standing values speak in favour of a finding.

    A standing value does so if the usual values of its quantity make the number worse on one side and
    better on none: an average charging power that never falls below the highest, say.

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
    >>> from chalkwatt.flattery import flattered
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
    return (f"Taken for granted in its favour: {'; '.join(told)}.",) if told else ()


def _value(standing: Relation) -> str:
    entry = look_up(standing.names[0])
    unit = entry.display[0]
    return f"{format_input(float(entry.in_unit(float(standing.right), unit)))} {unit}".rstrip()


def _flatters(finding: Finding, standing: Relation, better: str) -> bool:
    here = float(finding.si)
    slack = 1e-9 * abs(here)
    sign = 1 if better == "at least" else -1
    gains = [sign * (there - here) for there in _elsewhere(finding, standing)]
    return any(gain < -slack for gain in gains) and all(gain <= slack for gain in gains)


def _elsewhere(finding: Finding, standing: Relation) -> Iterator[float]:
    """Yield the number at either end of what is usual in place of a standing value."""
    name = standing.names[0]
    known = {one: fact.si for one, fact in finding.facts.items()}
    try:
        plan = finding.topic.network.plan_if_any(finding.wanted, (*known, name))
    except ChalkwattError:  # in no order that can be walked: nothing is compared
        plan = None
    if plan is None:
        return
    function = compile_plan(plan)
    for end in look_up(name).usual:
        branches = function.branches(known | {name: end})
        numbers = [float(one.values[finding.wanted]) for one in branches]
        yield from [one for one in numbers if math.isfinite(one)][:1]
