"""Nothing: what to say where a question has no number for an answer, and not by anybody's mistake."""

from __future__ import annotations

import math
from functools import partial
from typing import TYPE_CHECKING, Any

import numpy as np

from chalkwatt.errors import ChalkwattError, NoSolutionError, OutOfBoundsError
from chalkwatt.quantities import look_up
from chalkwatt.rendering.limits import refusal
from chalkwatt.rendering.numbers import with_unit
from chalkwatt.rendering.numpy_function import compile_plan
from chalkwatt.solving import search_grid
from chalkwatt.stretches import any_fits
from chalkwatt.trees import names
from chalkwatt.wording import with_article

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping, Sequence

    from numpy.typing import NDArray

    from chalkwatt.plans import Plan
    from chalkwatt.quantities import Quantity
    from chalkwatt.rendering.numpy_function import Ending, PlanFunction
    from chalkwatt.topic import Topic

__all__ = ["explain_nothing", "given_behind", "place_of"]

_MOST_TOPS = 6  # of a curve; each costs some forty evaluations
# Of the usual range: the search ends at 1e4 times it, and 1e9 parts of it.
_FAR, _NEAR_NOUGHT = 9e3, 9e8
_FURTHER = (1e2, 1e4)
_NEAR = 1e-3  # of the usual range: nearer to a bound than this is at the bound


def explain_nothing(
    topic: Topic, plan: Plan, values: Mapping[str, Any], endings: Sequence[Ending]
) -> ChalkwattError:
    """Say why a question has no answer: out of bounds, or nothing real, and what can be reached."""
    wanted = look_up(plan.wanted)
    said = _in_words(topic, plan, values, endings)
    if said is not None:
        return said
    reach = _reachable(topic, plan, values, [one for one in topic.outcomes if one in values])
    if reach is not None:
        return reach
    for ending in endings:
        if ending.reason == "bounds":
            return _out_of_bounds(ending, plan)
    unmet = next((one.step for one in endings if one.reason == "condition"), None)
    if unmet is not None:
        title, held = unmet.relations[0].title, " ".join(unmet.relations[0].assumptions)
        return NoSolutionError(
            f"No {wanted.name} fits: “{title}” does not hold here. It assumes: {held}",
            quantity=wanted.name,
            unit=wanted.display[0],
            advice=f"Change one of {', '.join(values)}.",
        )
    # No outcome explains it; another given value may be one that the wanted cannot make.
    reach = _reachable(topic, plan, values, [one for one in values if one not in topic.outcomes])
    if reach is not None:
        return reach
    last = endings[-1] if endings else None
    where = (
        f" “{last.step.relations[0].title}” has no real solution for {last.step.find}."
        if last
        else ""
    )
    given = ", ".join(values)
    return NoSolutionError(
        f"No real {wanted.name} fits.{where}",
        quantity=wanted.name,
        unit=wanted.display[0],
        advice=f"Change one of {given}.",
    )


def _in_words(
    topic: Topic, plan: Plan, values: Mapping[str, Any], endings: Sequence[Ending]
) -> NoSolutionError | None:
    """Say why in a relation's own words, or that the wanted has no say in what is given."""
    wanted = look_up(plan.wanted)
    for ending in endings:
        refused = refusal(ending.step, ending.values)
        if refused is not None:
            # Only what makes the state in which it is refused can mend it.
            words, behind = refused.words, given_behind(plan, names(refused.tree))
            break
    else:
        words, behind = any_fits(topic, plan, values), tuple(values)
    if not words:
        return None
    return NoSolutionError(
        words,
        quantity=wanted.name,
        unit=wanted.display[0],
        advice=f"Change {'one of ' if len(behind) > 1 else ''}{', '.join(behind)}.",
    )


def _out_of_bounds(ending: Ending, plan: Plan) -> OutOfBoundsError:
    entry = look_up(ending.step.find)
    given = given_behind(plan, ending.step.needs)
    label = entry.display[0]
    shown = float(entry.in_unit(ending.value))
    low = ending.value <= entry.bounds[0]
    limit = float(entry.in_unit(entry.bounds[0] if low else entry.bounds[1]))
    side = "above" if low else "below"
    return OutOfBoundsError(
        f"{entry.name} would have to be {with_unit(shown, label)}, outside its physical bounds: "
        f"it must be {side} {with_unit(limit, label)}.",
        quantity=entry.name,
        value=shown,
        unit=label,
        limit=limit,
        advice=f"The given values do not go together; check {', '.join(given)}.",
    )


def _reachable(
    topic: Topic, plan: Plan, values: Mapping[str, Any], results: Sequence[str]
) -> NoSolutionError | None:
    """Find a given result that no value of the wanted reaches, and the nearest one that can be."""
    wanted = look_up(plan.wanted)
    for outcome in results:
        others = {name: value for name, value in values.items() if name != outcome}
        way = topic.network.plan_if_any(outcome, (*others, wanted.name))
        if way is None:
            continue
        back = compile_plan(way)
        grid = search_grid(wanted.bounds, wanted.usual)
        grid = grid[wanted.inside(grid)]
        # One number for all where the wanted quantity does not matter to it.
        curve = np.broadcast_to(
            np.asarray(back(**others, **{wanted.name: grid}), dtype=float), grid.shape
        )
        if not np.isfinite(curve).any():
            continue
        target = values[outcome]
        high, low = np.nanmax(curve), np.nanmin(curve)
        room = 1e-9 * abs(target)  # what is reached but for rounding is reached
        if low - room <= target <= high + room:
            continue
        sign = 1.0 if target > high else -1.0

        def height(t: float, b: Any = back, o: Any = others, s: float = sign) -> float:  # noqa: ANN401
            with np.errstate(all="ignore"):
                return s * float(b(**o, **{wanted.name: t}))

        at, extreme = max(
            (_refine(height, grid, place) for place in _tops(sign * curve)), key=lambda one: one[1]
        )
        at, extreme = _beyond(height, wanted, at, extreme)
        if extreme >= sign * target:
            continue  # it can be reached, so this is not what is wrong
        extreme *= sign
        at = _first(curve, grid, at, extreme, partial(_at, back, others, wanted.name))
        entry = look_up(outcome)
        shown = [
            with_unit(float(entry.in_unit(one)), entry.display[0]) for one in (target, extreme)
        ]
        reached, there = place_of(wanted, at, back, others)
        word = ("greatest", "Lower") if sign > 0 else ("least", "Raise")
        return NoSolutionError(
            f"No {wanted.words} gives {with_article(entry.words)} of {shown[0]}: "
            + (
                f"the {word[0]} that can be reached is {shown[1]}, {there}."
                if reached
                else f"it comes as close to {shown[1]} as you like, {there}, and no further."
            ),
            quantity=wanted.name,
            value=float(entry.in_unit(target)),
            unit=entry.display[0],
            limit=float(entry.in_unit(extreme)),
            nearest=float(extreme),
            advice=f"{word[1]} {entry.name}"
            + (f", or change one of {', '.join(others)}." if others else "."),
        )
    return None


def _at(function: PlanFunction, others: Mapping[str, Any], name: str, value: float) -> float:
    return float(function(**others, **{name: value}))


def _first(
    curve: NDArray[np.float64],
    grid: NDArray[np.float64],
    at: float,
    extreme: float,
    function: Callable[[float], float],
) -> float:
    """Return where an extreme is first reached, if all that lies beyond reaches it, too."""

    def same(value: Any) -> Any:  # noqa: ANN401  float or array
        return np.abs(value - extreme) <= 1e-12 * abs(extreme)

    flat = np.flatnonzero(same(curve))
    if len(flat) < 2 or flat[0] == 0:
        return at
    low, high = float(grid[flat[0] - 1]), float(grid[flat[0]])
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (low, middle) if same(function(middle)) else (middle, high)
    return high


def _tops(curve: NDArray[np.float64]) -> list[int]:
    """Return the places about which the greatest value may lie: the highest tops of a sampled curve."""
    heights = np.where(np.isfinite(curve), curve, -np.inf)
    padded = np.concatenate([[-np.inf], heights, [-np.inf]])
    top = (heights > -np.inf) & (heights >= padded[:-2]) & (heights >= padded[2:])
    # Beside a place without a value the curve ends between two samples, and may still rise to there.
    ends = (heights > -np.inf) & (np.isinf(padded[:-2]) | np.isinf(padded[2:]))
    places = np.flatnonzero(top | ends)
    return [int(one) for one in places[np.argsort(-heights[places], kind="stable")][:_MOST_TOPS]]


def _refine(
    height: Callable[[float], float], grid: NDArray[np.float64], place: int
) -> tuple[float, float]:
    """Return the greatest value between the neighbours of a place on the grid, and where it is.

    Where a neighbour has no value, the curve ends somewhere before it: that end is found first.
    """
    from scipy.optimize import minimize_scalar

    middle = float(grid[place])
    low, high = (
        _last_with_value(height, middle, float(grid[min(max(other, 0), len(grid) - 1)]))
        for other in (place - 1, place + 1)
    )
    found = [middle, low, high]
    if low < high:
        found.append(
            float(
                minimize_scalar(
                    lambda t: -height(t),
                    bounds=(low, high),
                    method="bounded",
                    options={"xatol": 1e-9 * max(abs(low), abs(high))},
                ).x
            )
        )
    heights = [(height(one), one) for one in found]
    best, at = max(one for one in heights if math.isfinite(one[0]))
    return at, best


def _last_with_value(height: Callable[[float], float], inside: float, outside: float) -> float:
    """Return the point nearest to the second at which there is a value, as there is at the first."""
    if math.isfinite(height(outside)):
        return outside
    while True:
        middle = (inside + outside) / 2
        if middle in {inside, outside}:
            return inside
        if math.isfinite(height(middle)):
            inside = middle
        else:
            outside = middle


def _beyond(
    height: Callable[[float], float], wanted: Quantity, at: float, best: float
) -> tuple[float, float]:
    """Go on where the greatest value lies at an end of the search and not of what is physical."""
    for step in _FURTHER:
        for one in (at * step, at / step):
            outer = abs(at) >= _FAR * max(abs(end) for end in wanted.usual)
            inner = abs(at) <= max(abs(end) for end in wanted.usual) / _NEAR_NOUGHT
            if (outer and abs(one) > abs(at)) or (inner and abs(one) < abs(at)):
                further = height(one) if bool(wanted.inside(one)) else math.nan
                if further > best:
                    at, best = one, further
    return at, best


def given_behind(plan: Plan, needed: Iterable[str]) -> tuple[str, ...]:
    """Return the given quantities that others rest on: the ones that somebody can change.

    Parameters
    ----------
    plan : Plan
    needed : iterable of str
        Such as what a step needs.

    Returns
    -------
    tuple of str
    """
    behind = set(needed)
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
