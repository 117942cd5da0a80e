"""Nothing: what to say where a question has no number for an answer, and not by anybody's mistake."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING, Any

import numpy as np

from chalkwatt.algebra.numpy_tree import compile_tree
from chalkwatt.algebra.solving import search_grid
from chalkwatt.algebra.trees import names
from chalkwatt.answering.stretches import any_fits
from chalkwatt.errors import ChalkwattError, NoSolutionError, OutOfBoundsError
from chalkwatt.laws.quantities import constants, look_up
from chalkwatt.planning.evaluation import PlanFunction, compile_plan
from chalkwatt.rendering.limits import refusal, told_of
from chalkwatt.rendering.phrases import agreeing, amount
from chalkwatt.wording.numbers import with_unit

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping, Sequence

    from numpy.typing import NDArray

    from chalkwatt.answering.topic import Topic
    from chalkwatt.laws.quantities import Quantity
    from chalkwatt.laws.relations import Remark
    from chalkwatt.planning.evaluation import Ending
    from chalkwatt.planning.plans import Plan
    from chalkwatt.wording.given import Floats, Truths

__all__ = ["explain_nothing", "given_behind", "place_of"]

_MOST_TOPS = 6  # of a curve; each costs some forty evaluations
# Of the usual range: the search ends at 1e4 times it, and 1e9 parts of it.
_FAR, _NEAR_NOUGHT = 9e3, 9e8
_FURTHER = (1e2, 1e4)
_TRIED = 17  # values of a quantity about the given one
_NOTICED = 0.05  # of a refused state; what moves it less does not help
_NOTHING = 1e-9  # of what the state can be moved by; rounding moves it no further
_BY_RECOVERY = " Nothing flows back into the battery unless recovery_efficiency is given, too."
_NEAR = 1e-3  # of the usual range: nearer to a bound than this is at the bound


def explain_nothing(
    topic: Topic, plan: Plan, values: Mapping[str, Any], endings: Sequence[Ending]
) -> ChalkwattError:
    """Say why a question has no answer: out of bounds, or nothing real, and what can be reached."""
    # What is worked out forwards gives nothing: the given values alone say why there is none.
    outcomes = () if plan.forwards else tuple(one for one in topic.outcomes if one in values)
    beyond = [one for one in endings if one.reason == "bounds"]
    said = _in_words(topic, plan, values, endings) or _reachable(topic, plan, values, outcomes)
    if said is not None:
        return said
    if beyond:
        # Of several roots, the one that is too great: one below nought solves the equation and nothing else.
        return _out_of_bounds(max(beyond, key=_too_great), plan)
    tried = [_with_what_follows(topic, values, one) for one in endings]
    said, unmet = _refused(plan, tried), _unmet(plan, values, endings)
    # Of several equations that were made one, nobody knows which of them it is that does not hold.
    if unmet is not None and not any(len(one.step.relations) > 1 for one in endings):
        said = said or unmet
    if said is None:
        # No outcome explains it; another given value may be one that the wanted cannot make.
        others = () if plan.forwards else tuple(o for o in values if o not in topic.outcomes)
        said = _reachable(topic, plan, values, others, searches=False)
    return said or unmet or _nothing_real(plan, values, endings)


def _in_words(
    topic: Topic, plan: Plan, values: Mapping[str, Any], endings: Sequence[Ending]
) -> NoSolutionError | None:
    """Say why in a relation's own words, or that the wanted has no say in what is given."""
    # What can be reached says more than that a value which was tried is refused.
    before = [replace(one, values=_without(one.values, one.step.find)) for one in endings]
    said = _refused(plan, before)
    if said is not None or plan.forwards:
        return said
    words = any_fits(topic, plan, values)
    behind = given_behind(plan, {one for step in plan.steps for one in step.needs})
    return _nothing_of(plan.wanted, words, behind) if words else None


def _refused(plan: Plan, endings: Sequence[Ending]) -> NoSolutionError | None:
    """Say why in the own words of the first relation that refuses."""
    for ending in endings:
        if ending.reason == "worth":
            behind = given_behind(plan, ending.step.needs)
            return _nothing_of(plan.wanted, ending.step.below_nought, behind)
        refused = refusal(ending.step, ending.values)
        if refused is not None:
            # Only what makes the state in which it is refused can mend it.
            behind = given_behind(plan, names(refused.tree))
            behind = behind and _helping(plan, ending, refused, behind)
            # Of a quantity that the plan never works out, what the step rests on.
            behind = behind or given_behind(plan, ending.step.needs)
            every = {**constants(), **ending.values}
            words = told_of(refused, every)
            said = _nothing_of(plan.wanted, words, behind, refused.endless)
            if refused.place is not None:
                said.nearest = float(compile_tree(refused.place)(every))
            return said
    return None


def _with_what_follows(topic: Topic, values: Mapping[str, Any], ending: Ending) -> Ending:
    """Add to a solution that meets no condition what the conditions speak of and a plan never works out."""
    relations = (*ending.step.relations, *ending.step.holds)
    conditions = [one for relation in relations for one in relation.conditions_abroad]
    open_names = {name for one in conditions for name in names(one)} - {*ending.values}
    if ending.reason != "condition" or not open_names:
        return ending
    known = {**values, ending.step.find: ending.value}
    made = dict(ending.values)
    for name in sorted(open_names):
        way = topic.network.plan_if_any(name, tuple(known))
        if way is not None:
            # Whatever conditions it meets: the point is that one is not met.
            steps = tuple(replace(one, where=()) for one in way.steps)
            given = {one: known[one] for one in way.known}
            number = float(PlanFunction(replace(way, steps=steps))(**given))
            made |= {name: number} if math.isfinite(number) else {}
    return replace(ending, values=made)


def _unmet(
    plan: Plan, values: Mapping[str, Any], endings: Sequence[Ending]
) -> NoSolutionError | None:
    """Say which relation does not hold, and what it assumes."""
    ended = next((one for one in endings if one.reason == "condition"), None)
    if ended is None:
        return None
    unmet = ended.step
    title, held = unmet.relations[0].title, " ".join(unmet.relations[0].assumptions)
    words = f"No {look_up(plan.wanted).words} fits: “{title}” does not hold here." + (
        f" It assumes: {held}" if held else ""
    )
    return _nothing_of(plan.wanted, words, given_behind(plan, unmet.needs) or tuple(values))


def _nothing_real(
    plan: Plan, values: Mapping[str, Any], endings: Sequence[Ending]
) -> NoSolutionError:
    """Say which equation has no solution."""
    behind: Sequence[str] = ()
    where = ""
    if endings:
        last = endings[-1].step
        behind = given_behind(plan, last.needs)
        where = (
            f" “{last.relations[0].title}” has no real solution for the {look_up(last.find).words}."
        )
    return _nothing_of(
        plan.wanted, f"No real {look_up(plan.wanted).words} fits.{where}", behind or tuple(values)
    )


def _nothing_of(
    name: str, words: str, behind: Sequence[str], endless: Sequence[str] = ()
) -> NoSolutionError:
    advice = f"Change {'one of ' if len(behind) > 1 else ''}{', '.join(behind)}."
    return NoSolutionError(
        words,
        quantity=name,
        unit=look_up(name).display[0],
        advice=advice if behind else "",
        endless=endless,
    )


def _without(values: Mapping[str, Any], name: str) -> dict[str, Any]:
    return {one: value for one, value in values.items() if one != name}


def _too_great(ending: Ending) -> bool:
    return ending.value >= look_up(ending.step.find).bounds[1]


def _helping(
    plan: Plan, ending: Ending, refused: Remark, behind: tuple[str, ...]
) -> tuple[str, ...]:
    """Return what of the given mends a refused state, or moves it that way; all of it if nothing does.

    A quantity may enter the state and yet have no say in its sign, as the cells have by what the pack loses.
    """
    steps = plan.steps[: plan.steps.index(ending.step)]
    state = compile_tree(refused.tree)
    function = PlanFunction(replace(plan, steps=steps, wanted=steps[-1].find)) if steps else None

    def best(name: str, low: float, high: float) -> float:
        tried, entry = np.linspace(low, high, _TRIED), look_up(name)
        known = {one: ending.values[one] for one in plan.known}
        known[name] = tried[np.asarray(entry.inside(tried))]
        ways = [known] if function is None else [one.values for one in function.branches(known)]
        with np.errstate(all="ignore"):
            made = [np.ravel(state({**ending.values, **way})) for way in ways]
        return max((float(one) for part in made for one in part if np.isfinite(one)), default=here)

    with np.errstate(all="ignore"):
        here = float(state(ending.values))
    usual = {name: best(name, *look_up(name).usual) for name in behind}
    beside = dict(usual)
    for name in behind:
        now = float(ending.values[name])
        if look_up(name).positive and now > 0:
            # About what is given: one that takes another vehicle to help is not worth a word.
            beside[name] = best(name, now / 2, 2 * now)
    widest = max(one - here for one in (*usual.values(), *beside.values()))
    least = max(_NOTICED * abs(here), _NOTHING * widest)
    helps = {name for name, one in beside.items() if one - here > least}
    helps |= {name for name, one in usual.items() if one > _NOTHING * widest}
    return tuple(name for name in behind if name in helps) or behind


def _out_of_bounds(ending: Ending, plan: Plan) -> OutOfBoundsError:
    entry = look_up(ending.step.find)
    given = given_behind(plan, ending.step.needs)
    label = entry.display[0]
    shown = float(entry.in_unit(ending.value))
    low = ending.value <= entry.bounds[0]
    limit = float(entry.in_unit(entry.bounds[0] if low else entry.bounds[1]))
    side = "above" if low else "below"
    # A root that is too great contradicts nothing: the equation holds there, and what it is made for ends before.
    beyond = ending.step.by != "formula" and not low
    why = "No relation here is made for that" if beyond else "The given values do not go together"
    return OutOfBoundsError(
        f"The {entry.words} would have to be {with_unit(shown, label)}, outside "
        f"{f'what {entry.limited_by} covers here' if entry.limited_by else 'its physical bounds'}: "
        f"it must be {side} {with_unit(limit, label)}.",
        quantity=entry.name,
        value=shown,
        unit=label,
        limit=limit,
        advice=f"{why}; check {', '.join(given)}.",
    )


def _reachable(
    topic: Topic,
    plan: Plan,
    values: Mapping[str, Any],
    results: Sequence[str],
    *,
    searches: bool = True,
) -> NoSolutionError | None:
    """Find a given result that no value of the wanted reaches, and the nearest one that can be.

    What has to be searched for at each value that is tried takes a minute where many are: without ``searches`` it is
    left out.
    """
    wanted = look_up(plan.wanted)
    for outcome in results:
        others = {name: value for name, value in values.items() if name != outcome}
        way = topic.network.plan_if_any(outcome, (*others, wanted.name))
        if way is None or not (searches or all(step.by != "roots" for step in way.steps)):
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

        def height(
            t: float,
            b: PlanFunction = back,
            o: Mapping[str, float] = others,
            s: float = sign,
        ) -> float:
            with np.errstate(all="ignore"):
                return s * float(b(**o, **{wanted.name: t}))

        at, extreme = max(
            (_refine(height, grid, place) for place in _tops(sign * curve)), key=lambda one: one[1]
        )
        at, extreme = _beyond(height, wanted, at, extreme)
        if extreme >= sign * target:
            continue  # it can be reached, so this is not what is wrong
        extreme *= sign
        at, onwards = _first(curve, grid, at, extreme, partial(_at, back, others, wanted.name))
        entry = look_up(outcome)
        shown = [
            with_unit(float(entry.in_unit(one)), entry.display[0]) for one in (target, extreme)
        ]
        reached, there = place_of(wanted, at, back, others)
        if onwards:
            there = f"at {amount(wanted.name, _shown(wanted, at))} or any {onwards} one"
            reached = True
        elif reached and not there.endswith("there can be") and wanted.far_from_usual(at):
            there = f"where the {wanted.words} {agreeing(wanted.words, 'is', 'are')} far from usual"
        missed = _missed(topic, way, values, outcome, (wanted, grid))
        unlocks = dict.fromkeys((*missed, *_endless(topic, plan, values)))
        back_to_it = target < 0 and any(
            one.names[0] == "recovery_efficiency" for one in plan.standing
        )
        behind = given_behind(way, {outcome})
        in_play = [one for one in others if one in behind]
        word = ("greatest", "Lower") if sign > 0 else ("least", "Raise")
        return NoSolutionError(
            f"No {wanted.words} {agreeing(wanted.words, 'gives', 'give')} {amount(outcome, shown[0])}: "
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
            + (f", or change one of {', '.join(in_play)}" if in_play else "")
            + "".join(f", or give {one}" for one in unlocks)
            + "."
            + (_BY_RECOVERY if back_to_it and "recovery_efficiency" not in unlocks else ""),
        )
    return None


def _missed(
    topic: Topic,
    way: Plan,
    values: Mapping[str, Any],
    outcome: str,
    search: tuple[Quantity, NDArray[np.float64]],
) -> list[str]:
    """Return what was taken for granted and, at an end of what is usual, would let a result be reached."""
    wanted, grid = search
    known = {name: value for name, value in values.items() if name != outcome}
    found = []
    for standing in way.standing:
        name = standing.names[0]
        if name in {wanted.name, outcome} or isinstance(standing.sides[1], tuple | str):
            continue
        other = topic.network.plan_if_any(outcome, (*known, wanted.name, name))
        if other is None or not math.isfinite(float(standing.right)):
            continue
        back = compile_plan(other)
        for end in look_up(name).usual:
            tried: dict[str, Any] = {**known, wanted.name: grid, name: end}
            made = np.asarray(back(**tried), dtype=float)
            if np.isfinite(made).any() and np.nanmin(made) <= values[outcome] <= np.nanmax(made):
                found.append(name)
                break
    return found


def _endless(topic: Topic, plan: Plan, values: Mapping[str, Any]) -> list[str]:
    """Return what was taken for granted and, at an end of what is usual, would leave the wanted without limit."""
    found = []
    for standing in plan.standing:
        name = standing.names[0]
        if name in values or isinstance(standing.sides[1], tuple | str):
            continue
        other = topic.network.plan_if_any(plan.wanted, (*values, name))
        if other is None:
            continue
        for end in look_up(name).usual:
            endings: list[Ending] = []
            compile_plan(other).branches({**values, name: end}, endings)
            refused = (refusal(one.step, one.values) for one in endings)
            if any(one is not None and plan.wanted in one.endless for one in refused):
                found.append(name)
                break
    return found


def _at(function: PlanFunction, others: Mapping[str, Any], name: str, value: float) -> float:
    return float(function(**others, **{name: value}))


def _first(
    curve: NDArray[np.float64],
    grid: NDArray[np.float64],
    at: float,
    extreme: float,
    function: Callable[[float], float],
) -> tuple[float, str]:
    """Return where an extreme is first reached, and which way all that lies beyond reaches it, too.

    Beyond is away from nought: the nearer end of a stretch is the one that somebody can reach.
    """

    def same(value: Floats) -> Truths:
        return np.abs(value - extreme) <= 1e-12 * abs(extreme)

    flat = np.flatnonzero(same(curve))
    if len(flat) < 2 or len(flat) < flat[-1] - flat[0] + 1:
        return at, ""
    ends = []
    for inside, step, onwards in ((flat[0], -1, "higher"), (flat[-1], 1, "lower")):
        if not 0 <= inside + step < len(grid):
            continue  # it reaches to the end of the search
        reached, missed = float(grid[inside]), float(grid[inside + step])
        for _ in range(60):
            middle = (reached + missed) / 2
            reached, missed = (middle, missed) if same(function(middle)) else (reached, middle)
        ends.append((reached, onwards))
    if not ends:
        return at, ""
    nearest, onwards = min(ends, key=lambda one: abs(one[0]))
    # A stretch with two ends does not go on for ever.
    return nearest, onwards if len(ends) == 1 else ""


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
    from scipy.optimize import minimize_scalar  # noqa: PLC0415  SciPy is slow to import

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
    back: Callable[..., Floats],
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
    there = f"at {amount(wanted.name, _shown(wanted, at))}"
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
                    f"at {amount(wanted.name, _shown(wanted, bound))}, the {end} there can be",
                )
            edge = _shown(wanted, bound) if bound else "nought"
            return (
                False,
                f"the nearer the {wanted.words} {agreeing(wanted.words, 'comes', 'come')} to {edge}",
            )
    return True, there


def _shown(wanted: Quantity, si: float) -> str:
    return with_unit(float(wanted.in_unit(si)), wanted.display[0])
