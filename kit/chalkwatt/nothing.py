"""Nothing: what to say where a question has no number for an answer, and not by anybody's mistake."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

import numpy as np

from chalkwatt.errors import OutOfBoundsError
from chalkwatt.quantities import look_up
from chalkwatt.rendering.numbers import with_unit
from chalkwatt.rendering.numpy_function import compile_plan
from chalkwatt.wording import with_article

if TYPE_CHECKING:
    from collections.abc import Mapping

    from chalkwatt.planning import Plan
    from chalkwatt.plans import Step
    from chalkwatt.quantities import Quantity
    from chalkwatt.rendering.numpy_function import Ending
    from chalkwatt.topic import Topic

__all__ = ["given_behind", "not_drained", "nought_of", "place_of"]

_ON_A_CHARGE = frozenset({"range", "driving_time", "consumption"})
_NEAR = 1e-3  # of the usual range: nearer to a bound than this is at the bound


def not_drained(topic: Topic, plan: Plan, values: Mapping[str, Any]) -> OutOfBoundsError | None:
    """Say that a drive which takes nothing from the battery has no range for the battery to limit.

    Parameters
    ----------
    topic : Topic
    plan : Plan
    values : mapping of str to float
        SI values.

    Returns
    -------
    OutOfBoundsError or None
        None where the battery is drained, or the question is about something else.
    """
    if plan.wanted not in _ON_A_CHARGE or any(np.ndim(one) for one in values.values()):
        return None
    power = _power(topic, values)
    if not power <= 0:
        return None
    words = look_up(plan.wanted).words
    entry = look_up("battery_power")
    shown = with_unit(float(entry.in_unit(abs(power))), entry.display[0], 3)
    does = "gives nothing" if power == 0 else f"takes in {shown}"
    start = (
        "The battery is not drained"
        if plan.wanted == "consumption"
        else f"The {words} is not limited by the battery"
    )
    return OutOfBoundsError(
        f"{start}: {_driver(values)}, and the battery {does}.",
        quantity=plan.wanted,
        unit=look_up(plan.wanted).display[0],
        advice="Ask for battery_power, or give a drive that takes something from the battery.",
    )


def _power(topic: Topic, values: Mapping[str, Any]) -> float:
    if "battery_power" in values:
        return float(values["battery_power"])
    if "battery_power" not in topic.network.names:
        return math.nan
    plan = topic.network.plan_if_any("battery_power", tuple(values))
    return math.nan if plan is None else float(compile_plan(plan)(**values))


def _driver(values: Mapping[str, Any]) -> str:
    """Name what drives in the battery's stead."""
    slope = values.get("grade", values.get("grade_angle", 0.0)) < 0
    wind = values.get("headwind", 0.0) < 0
    if slope and wind:
        return "slope and tail wind drive"
    if slope or wind:
        return "the slope drives" if slope else "the tail wind drives"
    return "nothing holds the vehicle back"


def nought_of(ending: Ending) -> str:
    """Say what a value beyond its bounds means where that is no contradiction; empty where it is one.

    Parameters
    ----------
    ending : Ending

    Returns
    -------
    str
    """
    if ending.value > 0:
        return ""
    if ending.step.find == "economical_speed":
        return (
            "There is no most economical speed without an auxiliary load: the slower the better, "
            "as close to nought as you like."
        )
    if ending.step.find == "consumption":
        return "The battery is not drained here, so that no distance takes energy from it."
    if ending.step.find == "air_share":
        return (
            "Air drag takes no share here: the tail wind is faster than the vehicle and pushes it."
        )
    return ""


def given_behind(plan: Plan, step: Step) -> tuple[str, ...]:
    """Return the given quantities that a step rests on: the ones that somebody can change.

    Parameters
    ----------
    plan : Plan
    step : Step

    Returns
    -------
    tuple of str
    """
    behind = set(step.needs)
    for one in reversed(plan.steps):
        if one.find in behind:
            behind |= one.needs
    return tuple(sorted(name for name in plan.known if name in behind))


def place_of(
    wanted: Quantity,
    at: float,
    back: Any,  # noqa: ANN401  a callable
    others: Mapping[str, Any],
) -> tuple[bool, str]:
    """Say where an extreme is reached, or what it takes to come close to one that is not.

    Parameters
    ----------
    wanted : Quantity
    at : float
        Where it was found, in SI units.
    back : callable
        The given result as a function of the wanted.
    others : mapping of str to float

    Returns
    -------
    bool
        Whether it is reached.
    str
    """
    there = f"at {with_article(wanted.words)} of {_shown(wanted, at)}"
    for low, bound in zip((True, False), wanted.bounds, strict=True):
        reach = abs(wanted.usual[0 if low else 1]) or wanted.usual[1] - wanted.usual[0]
        if math.isinf(bound):
            if low == (at < 0) and abs(at) > reach / _NEAR:
                return False, f"the {'smaller' if low else 'greater'} the {wanted.words}"
        elif abs(at - bound) <= _NEAR * reach:
            if bool(wanted.inside(bound)) and math.isfinite(
                float(back(**others, **{wanted.name: bound}))
            ):
                end = "least" if low else "greatest"
                return (
                    True,
                    f"at {with_article(wanted.words)} of {_shown(wanted, bound)}, the {end} there can be",
                )
            edge = _shown(wanted, bound) if bound else "nought"
            return False, f"the nearer the {wanted.words} comes to {edge}"
    return True, there


def _shown(wanted: Quantity, si: float) -> str:
    return with_unit(float(wanted.in_unit(si)), wanted.display[0])
