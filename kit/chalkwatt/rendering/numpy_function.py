"""The NumPy rendering of a plan: numbers or arrays in, every solution out, all in SI units."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cache, cached_property
from typing import TYPE_CHECKING, Any

import numpy as np

from chalkwatt.alike import alike_roots
from chalkwatt.quantities import look_up
from chalkwatt.rendering.numpy_tree import compile_tree, constants
from chalkwatt.solving import cubic_roots, quadratic_roots, search_grid

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from numpy.typing import NDArray

    from chalkwatt.planning import Plan, Step

__all__ = ["Branch", "Ending", "PlanFunction", "compile_plan", "inside_bounds"]

_SLACK = 1e-12  # relative; rounding may carry a value that lies on a bound this far beyond it
_CHUNK = 8192  # elements; temporaries of this size stay in the processor's cache


@dataclass(frozen=True)
class Ending:
    """Why a branch of a scalar solution ended: at which step, with which value, and why."""

    step: Step
    reason: str
    value: float = float("nan")
    values: Mapping[str, Any] = field(default_factory=dict)


@dataclass
class Branch:
    """One solution: the value of every quantity on the way, and what was said about it."""

    values: dict[str, Any]
    notes: tuple[str, ...] = ()


def inside_bounds(name: str, value: Any) -> Any:  # noqa: ANN401  float or array
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

    def __call__(self, *args: Any, **named: Any) -> Any:  # noqa: ANN401
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
        self, given: Mapping[str, Any], shape: tuple[int, ...], size: int
    ) -> NDArray[np.float64]:
        flat = {
            name: one if np.ndim(one) == 0 else np.broadcast_to(one, shape).reshape(size)
            for name, one in given.items()
        }
        made = np.empty(size)
        for start in range(0, size, _CHUNK):
            part = slice(start, start + _CHUNK)
            made[part] = self._best(
                {name: one if np.ndim(one) == 0 else one[part] for name, one in flat.items()}
            )
        return made.reshape(shape)

    def _best(self, given: Mapping[str, Any]) -> Any:  # noqa: ANN401
        wanted = self.plan.wanted
        if self.direct and not any(step.where for step in self.plan.steps):
            values = {**self.assumed, **given}
            with np.errstate(all="ignore"):
                for run in self._runs:
                    values[run.step.find] = run.forms[0](values)
            made = values[wanted]
            ok = inside_bounds(wanted, made)
            return made if np.all(ok) else np.where(ok, made, np.nan)[()]
        found = [branch.values[wanted] for branch in self.branches(given)]
        if not found:
            shape = np.broadcast_shapes(*(np.shape(one) for one in given.values()))
            return np.full(shape, np.nan)[()]
        return best_of(wanted, found)

    def branches(
        self, given: Mapping[str, Any], endings: list[Ending] | None = None
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
        return branches


def best_of(name: str, found: list[Any]) -> Any:  # noqa: ANN401  float or array
    """Choose, elementwise, the largest solution within the usual range, or else the largest."""
    if len(found) == 1:
        return found[0]
    stack = np.stack(np.broadcast_arrays(*found))
    low, high = look_up(name).usual
    usual = np.where((stack >= low) & (stack <= high), stack, -np.inf).max(axis=0)
    largest = np.where(np.isnan(stack), -np.inf, stack).max(axis=0)
    made = np.where(np.isfinite(usual), usual, largest)
    return np.where(np.isfinite(made), made, np.nan)[()]


class _Run:
    """One step, compiled."""

    def __init__(self, step: Step) -> None:
        self.step = step
        self.forms = [compile_tree(form) for form in step.forms]
        self.where = [compile_tree(one) for one in step.where]
        if step.by == "roots" and step.residual is not None:
            self.left, self.right = (compile_tree(side) for side in step.residual)
            self.slope = compile_tree(step.slope)
            entry = look_up(step.find)
            self.grid = search_grid(entry.bounds, entry.usual)
        self.rests = [
            (compile_tree(rest_surplus(one)), one.value, one.words)
            for one in (relation.rest for relation in step.relations)
            if one is not None and one.quantity == step.find
        ]

    def __call__(self, branch: Branch, endings: list[Ending] | None) -> list[Branch]:
        made: list[Branch] = []
        candidates = self._candidates(branch.values)
        for value in candidates:
            kept, reason = self._kept(value, branch.values)
            if np.any(np.isfinite(kept)):
                made.append(Branch({**branch.values, self.step.find: kept}, branch.notes))
            elif endings is not None and reason and np.ndim(value) == 0:
                endings.append(Ending(self.step, reason, float(value), branch.values))
        if self.rests:
            made = self._rested(branch, made)
        if (
            endings is not None
            and not made
            and not any(np.any(np.isfinite(one)) for one in candidates)
        ):
            endings.append(Ending(self.step, "no root", values=branch.values))
        return made

    def _candidates(self, values: Mapping[str, Any]) -> list[Any]:
        by = self.step.by
        if by == "formula":
            return [form(values) for form in self.forms]
        if by == "cubic":
            return list(cubic_roots(*(form(values) for form in self.forms)))
        if by == "quadratic":
            return list(quadratic_roots(*(form(values) for form in self.forms)))
        return self._searched(values)

    def _searched(self, values: Mapping[str, Any]) -> list[Any]:
        used = [one for one in self.step.needs if np.ndim(values[one])]
        shape = np.broadcast_shapes(*(np.shape(values[one]) for one in used)) if used else ()
        size = int(np.prod(shape))
        flat = {one: np.broadcast_to(values[one], shape).reshape(size) for one in used}
        find = self.step.find

        def at(tree: Callable[[Mapping[str, Any]], Any]) -> Callable[[Any, Any], Any]:
            def evaluated(t: Any, pick: Any) -> Any:  # noqa: ANN401
                made = tree({**values, **{one: part[pick] for one, part in flat.items()}, find: t})
                return np.broadcast_to(made, np.shape(t)) if not flat else made

            return evaluated

        def residual(t: Any, pick: Any) -> Any:  # noqa: ANN401
            return at(self.left)(t, pick) - at(self.right)(t, pick)

        roots = alike_roots(residual, at(self.slope), size, self.grid)
        return [row.reshape(shape)[()] for row in roots]

    def _kept(self, value: Any, values: Mapping[str, Any]) -> tuple[Any, str]:  # noqa: ANN401
        finite = np.isfinite(value)
        good = inside_bounds(self.step.find, value)
        reason = "" if not np.any(finite) else "bounds"
        if self.where and np.any(good):
            here = {**values, self.step.find: value}
            for one in self.where:
                good = good & (one(here) >= -_SLACK * np.abs(value))
            reason = "condition"
        return (value if np.all(good) else np.where(good, value, np.nan)[()]), reason

    def _rested(self, branch: Branch, made: list[Branch]) -> list[Branch]:
        """Put the value by definition wherever there is no surplus and no root beyond it."""
        find = self.step.find
        for surplus, value, words in self.rests:
            beyond = [np.nan_to_num(one.values[find], nan=value) > value for one in made]
            resting = (
                np.asarray(surplus(branch.values) <= 0) & ~np.any(beyond, axis=0)
                if beyond
                else np.asarray(surplus(branch.values) <= 0)
            )
            if not resting.any():
                continue
            still = Branch(
                {**branch.values, find: np.where(resting, value, np.nan)[()]},
                (*branch.notes, words),
            )
            moving = [
                Branch(
                    {**one.values, find: np.where(resting, np.nan, one.values[find])[()]}, one.notes
                )
                for one in made
            ]
            made = [still, *(one for one in moving if np.any(np.isfinite(one.values[find])))]
        return made


def rest_surplus(rest: Any) -> Any:  # noqa: ANN401  Rest in, tree out
    """Return the surplus of a resting rule as an ordered tree."""
    from chalkwatt.trees import from_sympy

    return from_sympy(rest.surplus)


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
