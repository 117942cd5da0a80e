"""The NumPy rendering of a plan: numbers or arrays in, every solution out, all in SI units."""

from __future__ import annotations

import functools
import operator
from dataclasses import dataclass, field
from functools import cache, cached_property
from typing import TYPE_CHECKING

import numpy as np

from chalkwatt.algebra.alike import alike_roots
from chalkwatt.algebra.numpy_tree import compile_tree
from chalkwatt.algebra.solving import cubic_roots, quadratic_roots, search_grid
from chalkwatt.algebra.trees import magnitude
from chalkwatt.laws.quantities import constants, look_up
from chalkwatt.planning.signs import surely_inside

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from numpy.typing import NDArray

    from chalkwatt.algebra.numpy_tree import Compiled
    from chalkwatt.algebra.trees import Tree
    from chalkwatt.planning.plans import Piece, Plan, Step
    from chalkwatt.wording.given import Floats, Truths

__all__ = ["Branch", "Ending", "PlanFunction", "compile_plan", "inside_bounds"]

_SLACK = 1e-12  # relative; rounding may carry a value that lies on a bound this far beyond it
_ROUNDING = 1e-10  # of the terms of a condition; by so much rounding may make it seem unmet
_SAME = 1e-9  # relative; solutions of two cases this close are one, at the point where they meet
_CHUNK = 8192  # elements; temporaries of this size stay in the processor's cache


@dataclass(frozen=True)
class Ending:
    """Why a branch of a scalar solution ended: at which step, with which value, and why."""

    step: Step
    reason: str
    value: float = float("nan")
    values: Mapping[str, Floats] = field(default_factory=dict)


@dataclass
class Branch:
    """One solution: the value of every quantity on the way, and what was said about it."""

    values: dict[str, Floats]
    notes: tuple[str, ...] = ()


def inside_bounds(name: str, value: Floats) -> Truths:
    """Say, elementwise, whether computed values lie within physical bounds, rounding forgiven."""
    entry = look_up(name)
    slack = _SLACK * max(abs(entry.usual[0]), abs(entry.usual[1]))
    low, high = entry.bounds
    # An open bound is strict: nothing has no mass, not even nearly.
    above = value > low if entry.open_bounds[0] else value >= low - slack
    below = value < high if entry.open_bounds[1] else value <= high + slack
    return above & below


class PlanFunction:
    """A plan as a function of its known quantities.

    Parameters
    ----------
    plan : Plan

    Notes
    -----
    Calling it gives the best solution: of those inside the usual range the largest, and if none is
    inside, the largest; not-a-number where there is none. :meth:`branches` gives every solution.
    """

    def __init__(self, plan: Plan) -> None:
        self.plan = plan
        self._runs = [_Run(step) for step in plan.steps]
        used = {plan.wanted}.union(*(step.needs for step in plan.steps))
        self._beside = [step.find for step in plan.steps if step.find not in used]
        self.direct = all(step.by == "formula" and len(step.forms) == 1 for step in plan.steps)

    @cached_property
    def assumed(self) -> dict[str, float]:
        """Standing values, constants and what follows from them alone, in SI units."""
        made = dict(constants())
        made.update(dict.fromkeys(self.plan.zeros, 0.0))
        for step in self.plan.groundwork:
            made[step.find] = float(compile_tree(step.forms[0])(made))
        return made

    def __repr__(self) -> str:
        """Show what goes in and what comes out."""
        return f"<{self.plan.wanted} from {', '.join(self.plan.known) or 'nothing'}; SI>"

    def __call__(self, *args: Floats, **named: Floats) -> Floats:
        """Return the best solution for SI numbers or arrays, by name or in the plan's order."""
        given = dict(zip(self.plan.known, args, strict=False)) | named
        missing = [one for one in self.plan.known if one not in given]
        if len(given) != len(self.plan.known) or len(args) + len(named) != len(given) or missing:
            takes, lacks = ", ".join(self.plan.known), ", ".join(missing) or "none"
            spare = ", ".join(one for one in named if one not in self.plan.known)
            message = f"this plan takes {takes}; missing: {lacks}"
            raise TypeError(message + (f"; unknown: {spare}" if spare else ""))
        shape = np.broadcast_shapes(*(np.shape(one) for one in given.values()))
        size = int(np.prod(shape))
        if size <= _CHUNK:
            return self._best(given)
        return self._in_chunks(given, shape, size)

    def _in_chunks(
        self, given: Mapping[str, Floats], shape: tuple[int, ...], size: int
    ) -> NDArray[np.float64]:
        flat = {
            name: one if np.ndim(one) == 0 else np.broadcast_to(one, shape).reshape(size)
            for name, one in given.items()
        }
        made = np.empty(size)
        for start in range(0, size, _CHUNK):
            part = slice(start, start + _CHUNK)
            made[part] = self._best(
                {
                    name: one[part] if isinstance(one, np.ndarray) and one.ndim else one
                    for name, one in flat.items()
                }
            )
        return made.reshape(shape)

    def _best(self, given: Mapping[str, Floats]) -> Floats:
        wanted = self.plan.wanted
        if self.direct and not any(step.where for step in self.plan.steps):
            values = {**self.assumed, **given}
            good: Truths = np.True_
            with np.errstate(all="ignore"):
                for run in self._runs:
                    made = values[run.step.find] = run.forms[0](values)
                    if not (run.sure or run.inside(made)):
                        good = good & inside_bounds(run.step.find, made) & np.isfinite(made)
            made = values[wanted]
            if np.all(good):
                return made
            return np.where(good, made, np.nan)[()]
        found = [branch.values[wanted] for branch in self.branches(given)]
        if not found:
            shape = np.broadcast_shapes(*(np.shape(one) for one in given.values()))
            return np.full(shape, np.nan)[()]
        return best_of(wanted, found)

    def branches(
        self, given: Mapping[str, Floats], endings: list[Ending] | None = None
    ) -> list[Branch]:
        """Return every solution.

        Parameters
        ----------
        given : mapping of str to float or ndarray
            SI values of the known quantities; they broadcast.
        endings : list, optional
            Filled with the reasons why branches ended, for scalar input.

        Returns
        -------
        list of Branch
            For arrays, a branch holds not-a-number wherever it has no solution.
        """
        branches = [Branch({**self.assumed, **given})]
        with np.errstate(all="ignore"):
            for run in self._runs:
                branches = [new for branch in branches for new in run(branch, endings)]
        return self._possible(branches) if self._beside else branches

    def _possible(self, branches: list[Branch]) -> list[Branch]:
        """Leave out, elementwise, what is only possible but for something that no later step uses."""
        wanted = self.plan.wanted
        made = []
        for branch in branches:
            good = functools.reduce(
                operator.and_, (np.isfinite(branch.values[one]) for one in self._beside)
            )
            value = branch.values[wanted]
            if not np.all(good):
                value = np.where(good, value, np.nan)[()]
            if np.any(np.isfinite(value)):
                made.append(Branch({**branch.values, wanted: value}, branch.notes))
        return made


def best_of(name: str, found: list[Floats]) -> Floats:
    """Choose, elementwise, the largest solution within the usual range, or else the largest."""
    if len(found) == 1:
        return found[0]
    stack = np.stack(np.broadcast_arrays(*found))
    low, high = look_up(name).usual
    usual = np.where((stack >= low) & (stack <= high), stack, -np.inf).max(axis=0)
    largest = np.where(np.isnan(stack), -np.inf, stack).max(axis=0)
    made = np.where(np.isfinite(usual), usual, largest)
    return np.where(np.isfinite(made), made, np.nan)[()]


class _Condition:
    """What must not be negative, beyond what rounding can have done to its terms."""

    def __init__(self, tree: Tree) -> None:
        self.value = compile_tree(tree)
        self.size = compile_tree(magnitude(tree))

    def met(self, values: Mapping[str, Floats]) -> Truths:
        """Say, elementwise, whether it holds."""
        value = self.value(values)
        good = value >= 0
        return good if np.all(good) else value >= -_ROUNDING * self.size(values)


class _Case:
    """One way to work out a step: formulas, or the coefficients of an equation that has some."""

    def __init__(self, case: Step | Piece) -> None:
        self.by = case.by
        self.forms = [compile_tree(form) for form in case.forms]
        self.where = [_Condition(one) for one in case.where]

    def values(self, values: Mapping[str, Floats]) -> list[Floats]:
        made = [form(values) for form in self.forms]
        if self.by == "cubic":
            return list(cubic_roots(*made))
        return list(quadratic_roots(*made)) if self.by == "quadratic" else made


class _Run:
    """One step, compiled."""

    def __init__(self, step: Step) -> None:
        self.step = step
        self.case = _Case(step)
        self.bounds = look_up(step.find).bounds
        self.sure = step.by == "formula" and all(
            surely_inside(step.find, one) for one in step.forms
        )
        self.forms = self.case.forms
        self.where = self.case.where
        self.pieces = [_Case(piece) for piece in step.pieces]
        if step.by == "roots" and step.residual is not None:
            self.left, self.right = (compile_tree(side) for side in step.residual)
            self.slope = compile_tree(step.slope)
            self.kinks = [compile_tree(one) for one in step.kinks]
            self.size = compile_tree(("+", *(magnitude(side) for side in step.residual)))
            entry = look_up(step.find)
            self.grid = search_grid(entry.bounds, entry.usual)
        self.worth = None if step.worth is None else compile_tree(step.worth)
        self.floor = _Condition(0 if step.worth is None else step.worth)
        self.rests = [
            (compile_tree(one.tree), one.value, one.words)
            for one in (relation.rest for relation in step.relations)
            if one is not None and one.quantity == step.find
        ]

    def inside(self, value: Floats) -> bool:
        """Say whether all values are well within their bounds, at the least cost: not-a-number is not."""
        low, high = self.bounds
        if not isinstance(value, np.ndarray):
            return bool(low < value < high)
        return bool(value.size and value.min() > low and value.max() < high)

    def __call__(self, branch: Branch, endings: list[Ending] | None) -> list[Branch]:
        made: list[Branch] = []
        candidates = self._candidates(branch.values)
        for value in candidates:
            kept, reason = self._kept(value, branch.values)
            if np.any(np.isfinite(kept)):
                made.append(Branch({**branch.values, self.step.find: kept}, branch.notes))
            elif endings is not None and reason and np.ndim(value) == 0:
                # A state in which nothing is said to fit may be one of the value that does not.
                tried = {self.step.find: value} if reason == "condition" else {}
                endings.append(Ending(self.step, reason, float(value), {**branch.values, **tried}))
        if self.worth is not None and len(made) > 1:
            made = self._least(made, self.worth)
        if self.step.below_nought:
            made = self._above_nought(made, endings)
        if self.rests:
            made = self._rested(branch, made, candidates)
        if (
            endings is not None
            and not made
            and not any(np.any(np.isfinite(one)) for one in candidates)
        ):
            endings.append(Ending(self.step, "no root", values=branch.values))
        return made

    def _candidates(self, values: Mapping[str, Floats]) -> list[Floats]:
        if self.step.by == "roots":
            return self._searched(values)
        return self._by_cases(values) if self.pieces else self.case.values(values)

    def _by_cases(self, values: Mapping[str, Floats]) -> list[Floats]:
        """Solve case by case; a solution counts where its case is the case, and once."""
        made: list[Floats] = []
        for piece in self.pieces:
            for value in piece.values(values):
                here = {**values, self.step.find: value}
                good = np.isfinite(value)
                for one in piece.where:
                    good = good & one.met(here)
                for other in made:
                    good = good & ~(np.abs(value - other) <= _SAME * np.abs(value))
                if np.any(good):
                    made.append(value if np.all(good) else np.where(good, value, np.nan)[()])
        return made

    def _searched(self, values: Mapping[str, Floats]) -> list[Floats]:
        used = [one for one in self.step.needs if np.ndim(values[one])]
        shape = np.broadcast_shapes(*(np.shape(values[one]) for one in used)) if used else ()
        size = int(np.prod(shape))
        flat = {one: np.broadcast_to(values[one], shape).reshape(size) for one in used}
        find = self.step.find

        def at(tree: Compiled) -> Callable[[Floats, NDArray[np.int_]], Floats]:
            def evaluated(t: Floats, pick: NDArray[np.int_]) -> Floats:
                made = tree({**values, **{one: part[pick] for one, part in flat.items()}, find: t})
                return np.broadcast_to(made, np.shape(t)) if not flat else made

            return evaluated

        def residual(t: Floats, pick: NDArray[np.int_]) -> Floats:
            return at(self.left)(t, pick) - at(self.right)(t, pick)

        roots = alike_roots(
            residual,
            at(self.slope),
            size,
            self.grid,
            size_of=at(self.size),
            kinks=[at(one) for one in self.kinks],
        )
        return [row.reshape(shape)[()] for row in roots]

    def _kept(self, value: Floats, values: Mapping[str, Floats]) -> tuple[Floats, str]:
        finite = np.isfinite(value)
        good = inside_bounds(self.step.find, value)
        reason = "" if not np.any(finite) else "bounds"
        if self.where and np.any(good):
            here = {**values, self.step.find: value}
            for one in self.where:
                good = good & one.met(here)
            reason = "condition"
        return (value if np.all(good) else np.where(good, value, np.nan)[()]), reason

    def _least(
        self, made: list[Branch], worth_of: Callable[[Mapping[str, Floats]], Floats]
    ) -> list[Branch]:
        """Keep of several solutions those at which the worth is least."""
        find = self.step.find
        shape = np.broadcast_shapes(*(np.shape(one.values[find]) for one in made))
        table = np.stack([np.broadcast_to(worth_of(one.values), shape) for one in made])
        least = np.nanmin(np.where(np.isnan(table).all(axis=0), np.inf, table), axis=0)
        kept = []
        for one, worth in zip(made, table, strict=True):
            value = np.where(worth - least <= _SAME * np.abs(least), one.values[find], np.nan)[()]
            if np.any(np.isfinite(value)):
                kept.append(Branch({**one.values, find: value}, one.notes))
        return kept

    def _above_nought(self, made: list[Branch], endings: list[Ending] | None) -> list[Branch]:
        """Drop solutions at which even the least worth is below nought: no other is meant in their place."""
        find = self.step.find
        kept = []
        for one in made:
            value = np.where(self.floor.met(one.values), one.values[find], np.nan)[()]
            if np.any(np.isfinite(value)):
                kept.append(Branch({**one.values, find: value}, one.notes))
            elif endings is not None and np.ndim(value) == 0:
                endings.append(Ending(self.step, "worth", float(one.values[find]), one.values))
        return kept

    def _rested(self, branch: Branch, made: list[Branch], candidates: list[Floats]) -> list[Branch]:
        """Put the value by definition where there is no surplus and no root beyond it.

        Where there is no surplus, rest itself solves the balance, but a root beyond it says that
        something else moves the vehicle: then it does not rest, not even where that root is
        beyond all bounds.
        """
        find = self.step.find
        low, high = look_up(find).usual
        for surplus, value, words in self.rests:
            near = value + _SAME * max(abs(low), abs(high))
            short = np.asarray(surplus(branch.values) <= 0)
            beyond = [np.nan_to_num(one, nan=value) > near for one in candidates]
            resting = short & ~np.any(beyond, axis=0) if beyond else short
            moving = []
            for one in made:
                there = one.values[find]
                left = np.where(resting | (short & (there <= near)), np.nan, there)[()]
                if np.any(np.isfinite(left)):
                    moving.append(Branch({**one.values, find: left}, one.notes))
            made = moving
            if resting.any():
                still = np.where(resting, value, np.nan)[()]
                notes = (*branch.notes, words)
                made = [Branch({**branch.values, find: still}, notes), *moving]
        return made


@cache
def compile_plan(plan: Plan) -> PlanFunction:
    """Return the NumPy function of a plan; made once for each plan.

    Parameters
    ----------
    plan : Plan

    Returns
    -------
    PlanFunction
        Takes SI numbers or arrays, returns SI.

    Examples
    --------
    >>> from chalkwatt import load
    >>> drag = load.compile("air_force", known=("speed", "drag_area", "air_density"))
    >>> float(drag(20.0, 0.5, 1.2))
    120.0
    """
    return PlanFunction(plan)
