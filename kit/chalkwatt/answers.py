"""Answers: every solution of a question, with the plan that led there and its working."""

from __future__ import annotations

import math
from functools import cached_property, partial
from typing import TYPE_CHECKING, Any

import numpy as np

from chalkwatt import units
from chalkwatt.errors import ChalkwattError, NoSolutionError, OutOfBoundsError, UnitError, told
from chalkwatt.nothing import given_behind, place_of
from chalkwatt.quantities import look_up
from chalkwatt.rendering.limits import binding_notes, left_out, refusal, remarks
from chalkwatt.rendering.numbers import format_number, result_digits, with_unit
from chalkwatt.rendering.numpy_function import best_of, compile_plan
from chalkwatt.solving import search_grid
from chalkwatt.stretches import any_fits, stretch_notes
from chalkwatt.trees import names
from chalkwatt.wording import with_article

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

    from numpy.typing import NDArray

    from chalkwatt.planning import Plan
    from chalkwatt.quantities import Quantity
    from chalkwatt.rendering.numpy_function import Branch, Ending, PlanFunction
    from chalkwatt.rendering.working import Working
    from chalkwatt.topic import Topic

__all__ = ["Answer", "explain_nothing"]

_MOST_TOPS = 6  # of a curve; each costs some forty evaluations
_FAR, _NEAR_NOUGHT = (
    9e3,
    9e8,
)  # of the usual range: the search ends at 1e4 times it, and 1e9 parts of it
_FURTHER = (1e2, 1e4)


class Answer:
    """The solutions of a question.

    Attributes
    ----------
    topic : Topic
    plan : Plan
    known : dict of str to float or ndarray
        The given values, in SI units.
    assumed : dict of str to float
        Standing values and constants that were used, in SI units.
    labels : dict of str to str
        The unit in which a person gave each value.
    """

    def __init__(
        self,
        topic: Topic,
        plan: Plan,
        known: Mapping[str, Any],
        *,
        branches: Sequence[Branch],
        labels: Mapping[str, str | None],
        assumed: Mapping[str, float],
    ) -> None:
        self.topic = topic
        self.plan = plan
        self.wanted = plan.wanted
        self.quantity = look_up(plan.wanted)
        self.known = dict(known)
        self.branches = tuple(branches)
        self.labels = {name: label for name, label in labels.items() if label is not None}
        self.assumed = {
            name: value
            for name, value in assumed.items()
            if name in {*plan.constants, *self._standing_names(plan)}
        }

    @staticmethod
    def _standing_names(plan: Plan) -> set[str]:
        return {one.names[0] for one in plan.standing}

    @cached_property
    def si(self) -> Any:  # noqa: ANN401  float, or an array when an input was one
        """The best solution in SI: the largest within the usual range, or else the largest."""
        found = [branch.values[self.wanted] for branch in self.branches]
        best = best_of(self.wanted, found) if found else np.nan
        shape = np.broadcast_shapes(*(np.shape(one) for one in self.known.values()), np.shape(best))
        return float(best) if shape == () else np.broadcast_to(best, shape).copy()

    @property
    def unit(self) -> str:
        """Label of the unit in which the answer is shown."""
        return self.quantity.display[0]

    @property
    def value(self) -> Any:  # noqa: ANN401  a pint quantity
        """The best solution as a pint quantity in its first display unit."""
        return units.quantity(self.si, self.quantity.unit, self.unit)

    def to(self, label: str) -> Any:  # noqa: ANN401  float, or an array when an input was one
        """Return the best solution in a unit.

        Parameters
        ----------
        label : str
            For example ``"km/h"``; for a consumption ``"mi/kWh"``, too.

        Returns
        -------
        float or ndarray
            Of several solutions the largest within the usual range; an array when an input was one.

        Raises
        ------
        UnitError
            If the unit measures something else.

        Examples
        --------
        >>> from chalkwatt import load
        >>> load.find("drag_area", drag_coefficient=0.25, frontal_area="2 m^2").to("cm^2")
        5000.0
        """
        label = units.as_label(label)
        if units.inverse(label, self.quantity.unit):
            made = self.quantity.in_unit(self.si, label)
            return float(made) if np.ndim(made) == 0 else made
        if not units.same_dimension(label, self.quantity.unit):
            own = [one or "''" for one in self.quantity.display]
            raise UnitError(
                f"{told(label)[1:-1] or 'A plain number'} does not measure {self.wanted}.",
                quantity=self.wanted,
                unit=label,
                limit=self.quantity.unit,
                advice=f"Use {' or '.join(own)}.",
            )
        made = units.quantity(self.si, self.quantity.unit, label).magnitude
        return float(made) if np.ndim(made) == 0 else made

    @cached_property
    def solutions_si(self) -> tuple[Any, ...]:
        """Every physical solution in SI units, in rising order.

        When an input was an array, each is an array, with not-a-number where there is no such
        solution.
        """
        found = [branch.values[self.wanted] for branch in self.branches]
        if not found:
            return ()
        if all(np.ndim(one) == 0 for one in found):
            distinct: list[float] = []
            for one in sorted(float(one) for one in found):
                if not distinct or abs(one - distinct[-1]) > 1e-12 * abs(one):
                    distinct.append(one)
            return tuple(distinct)
        return tuple(np.sort(np.stack(np.broadcast_arrays(*found)), axis=0))

    @cached_property
    def solutions(self) -> tuple[Any, ...]:
        """Every physical solution as a pint quantity, in rising order; arrays as in SI."""
        return tuple(
            units.quantity(one, self.quantity.unit, self.unit) for one in self.solutions_si
        )

    @cached_property
    def best(self) -> Branch:
        """The branch of the best solution, for scalar input."""
        if np.ndim(self.si):
            raise ChalkwattError(
                f"{self.wanted} is an array of {np.size(self.si)} values, and a working shows one.",
                quantity=self.wanted,
                advice="Ask again with single numbers.",
            )
        return next(one for one in self.branches if float(one.values[self.wanted]) == self.si)

    @property
    def notes(self) -> tuple[str, ...]:
        """What has to be said beside the number."""
        said = [note for branch in self.branches for note in branch.notes]
        if self.branches and not np.ndim(self.si):
            said += remarks(self.plan, self.best.values)
            said += binding_notes(self.plan, self.best.values)
            said += stretch_notes(self.topic, self.plan, self.known, float(self.si))
        said += left_out(self.plan)
        said += self.topic.ways.said_of(self.plan)
        return tuple(dict.fromkeys(said))

    @cached_property
    def working(self) -> Working:
        """The shown steps, as ``.text``, ``.latex``, ``.mathml`` and ``.spoken``."""
        from chalkwatt.rendering.working import Working

        return Working.of(self)

    @cached_property
    def neighbours(self) -> tuple[tuple[int, dict[str, float]], ...]:
        """For a count: its two whole neighbours, and what each would make of one given quantity.

        Returns
        -------
        tuple of (int, dict of str to float)
            The dict holds SI values, by name; empty when the wanted is no count.
        """
        if not self.quantity.whole or np.ndim(self.si):
            return ()
        low = int(np.floor(self.si + 1e-9))
        wholes = [low] if abs(self.si - low) < 1e-9 else [low, low + 1]
        made = []
        for whole in wholes:
            follows: dict[str, float] = {}
            for name in self.known:
                if look_up(name).whole:
                    continue
                others = {one: value for one, value in self.known.items() if one != name}
                plan = self.topic.network.plan(name, (*others, self.wanted))
                follows[name] = float(compile_plan(plan)(**others, **{self.wanted: float(whole)}))
                break
            made.append((whole, follows))
        return tuple(made)

    def __repr__(self) -> str:
        """Show the number, as a saved notebook without a front end would."""
        if np.ndim(self.si):
            values = np.asarray(self.quantity.in_unit(self.si)).ravel()
            shown = ", ".join(format_number(float(one)) for one in values[:4])
            more = f", … ({values.size} values)" if values.size > 4 else ""
            return f"{self.wanted} = [{shown}{more}] {self.unit}".rstrip()
        shown = " or ".join(
            self._shown(float(self.quantity.in_unit(one))) for one in self.solutions_si
        )
        return f"{self.wanted} = {shown}"

    def _shown(self, value: float) -> str:
        return with_unit(value, self.unit, result_digits(value, whole=self.quantity.whole))

    def _repr_mimebundle_(
        self,
        include: object = None,  # noqa: ARG002  Jupyter names them
        exclude: object = None,  # noqa: ARG002  as above
    ) -> dict[str, str]:
        """Give every front end what it can show."""
        bundle = {"text/plain": repr(self)}
        if not np.ndim(self.si):
            # No text/html: a notebook would prefer it, and strip its MathML when it is not trusted.
            bundle["text/latex"] = f"$$\\displaystyle {self.working.latex}$$"
        return bundle

    def card(self, *args: Any, **options: Any) -> Any:  # noqa: ANN401  a Card; its module is slow to import
        """Make a picture of the equation; see :func:`chalkwatt.publish.card.equation_card`."""
        from chalkwatt.publish.card import equation_card

        return equation_card(self, *args, **options)


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
