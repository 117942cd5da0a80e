"""The browser rendering: plans as data that the front end runs without a kernel.

The program holds, for every row of a board, the plan that solves for it while all the other rows
are known, as ordered trees in JSON. The front end turns the trees into closures; nothing is
evaluated as code.
"""

from __future__ import annotations

import json
import math
from itertools import combinations
from typing import TYPE_CHECKING, Any, Protocol

from chalkwatt.algebra.operations import written_otherwise
from chalkwatt.algebra.trees import names as names_in
from chalkwatt.algebra.trees import operations
from chalkwatt.errors import ChalkwattError
from chalkwatt.laws.quantities import constants, look_up
from chalkwatt.planning.evaluation import compile_plan
from chalkwatt.rendering.assumed import assumptions_of, exact_names
from chalkwatt.rendering.coherent import plain_units
from chalkwatt.rendering.limits import idle, idle_notes, least_of, left_out
from chalkwatt.rendering.spoken_printer import SpokenPrinter
from chalkwatt.rendering.working import unit_for
from chalkwatt.wording import units
from chalkwatt.wording.speech import say_unit

if TYPE_CHECKING:
    from collections.abc import Collection, Iterable, Mapping, Sequence

    from chalkwatt.algebra.trees import Tree
    from chalkwatt.laws.relations import Relation, Remark
    from chalkwatt.planning.network import Network
    from chalkwatt.planning.plans import Piece, Plan, Step
    from chalkwatt.planning.ways import Ways

__all__ = ["VERSION", "Told", "program"]

VERSION = 1  # of the program: goes up where a reader of the old shape would misread the new one


class Told(Protocol):
    """What a program tells of a topic: that stands in a room above this one."""

    name: str
    title: str
    caution: str
    outcomes: tuple[str, ...]
    ways: Ways
    network: Network


def program(
    topic: Told,
    cast: Sequence[str],
    wanted: str,
    values: Mapping[str, float],
    labels: Mapping[str, str] | None = None,
) -> dict[str, Any]:
    """Make the program of a board.

    Parameters
    ----------
    topic : Topic
    cast : sequence of str
        The rows in order; exactly one of them is the wanted.
    wanted : str
    values : mapping of str to float
        SI values of the known rows.
    labels : mapping of str to str, optional
        The unit in which each row is first shown.

    Returns
    -------
    dict
        JSON-serialisable: trees, conversions, bounds, plans, sources.

    Raises
    ------
    TooLittleKnownError
        If the cast does not determine the wanted.

    Examples
    --------
    >>> from chalkwatt import load
    >>> from chalkwatt.rendering.browser_program import program
    >>> made = program(load, ["drag_coefficient", "frontal_area", "drag_area"], "drag_area",
    ...                {"drag_coefficient": 0.2, "frontal_area": 2.0})
    >>> made["plans"]["frontal_area"]["steps"][0]["forms"]
    [['/', 'drag_area', 'drag_coefficient']]
    """
    plans = _plans(topic, cast, wanted)
    relations: list[Relation] = []
    for plan in plans.values():
        relations += [one for one in (*plan.relations, *plan.standing) if one not in relations]
    place = {relation: index for index, relation in enumerate(relations)}
    shown = dict.fromkeys(cast)
    assumed: dict[str, float] = {}
    for plan in plans.values():
        shown.update(dict.fromkeys(name for relation in plan.relations for name in relation.names))
        shown.update(dict.fromkeys(name for one in plan.standing for name in one.names))
        assumed |= compile_plan(plan).assumed
        # What is said beside a value may speak of constants that its equation does without.
        told = {name for tree in _told(plan) for name in names_in(tree)}
        assumed |= {name: value for name, value in constants().items() if name in told}
        shown.update(dict.fromkeys(name for name in constants() if name in told))
    names = [name for name in shown if name not in cast]
    entries = {name: _quantity(name, (labels or {}).get(name)) for name in (*cast, *names)}
    chosen = {
        name: _chosen(name, entries[name]["units"], (labels or {}).get(name)) for name in cast
    }
    used = {*names}
    here = {*cast, *names}
    return {
        "version": VERSION,
        "topic": topic.name,
        "written": _written(plans.values()),
        "title": topic.title,
        "caution": topic.caution or None,
        "cast": list(cast),
        "wanted": wanted,
        "outcomes": [one for one in topic.outcomes if one in cast],
        "values": {
            name: _typed(value, entries[name]["units"][chosen[name]])
            for name, value in values.items()
            if name in cast and name != wanted
        },
        "chosen_units": chosen,
        "quantities": entries,
        "plain": {si: _plain(si) for si in sorted({one["si"] for one in entries.values()})},
        "assumed": {name: value for name, value in assumed.items() if name in used},
        "relations": [_relation(one) for one in relations],
        "plans": {name: _plan(plan, place, topic, here) for name, plan in plans.items()},
    }


def _written(plans: Iterable[Plan]) -> dict[str, str]:
    """Return how functions are written that have another name in trees, as far as these plans have them."""
    equations = (side for plan in plans for one in plan.relations for side in one.sides)
    steps = [step for plan in plans for step in plan.steps]
    forms = (tree for step in steps for tree in (*step.forms, *(step.residual or ())))
    used = {one for tree in (*equations, *forms) for one in operations(tree)}
    return {name: one for name, one in written_otherwise().items() if name in used}


def _plans(topic: Told, cast: Sequence[str], wanted: str) -> dict[str, Plan]:
    plans: dict[str, Plan] = {}
    for name in cast:
        known = tuple(one for one in cast if one != name)
        try:
            plans[name] = topic.network.plan(name, known)
        except ChalkwattError:
            # A row that cannot be turned round stays a given one; the wanted must be solvable.
            if name == wanted:
                raise
    return plans


def _quantity(name: str, label: str | None) -> dict[str, Any]:
    entry = look_up(name)
    labels = list(entry.display)
    extra = unit_for(name, label) if label is not None else labels[0]
    # What only this row was given in is no unit that a line of numbers may be turned into.
    offered = len(labels)
    if extra not in labels:
        labels.append(extra)
    return {
        "words": entry.words,
        "symbol": list(entry.symbol_parts),
        "units": [_unit(one) for one in labels],
        "offered": offered,
        "si": entry.unit,
        "bounds": [_finite(one) for one in entry.bounds],
        "open": list(entry.open_bounds),
        "usual": list(entry.usual),
        "whole": entry.whole,
        "sentence": entry.sentence,
    }


def _unit(label: str) -> list[Any]:
    known = units.unit(label)
    return [label, known.factor, known.offset, say_unit(label)]


def _plain(si_unit: str) -> list[list[Any]]:
    """List the units that a line of numbers may need beside those of its quantities."""
    return [[one, units.unit(one).factor] for one in plain_units(si_unit)]


def _finite(value: float) -> float | None:
    return value if math.isfinite(value) else None


def _chosen(name: str, listed: Sequence[Sequence[Any]], label: str | None) -> int:
    wanted = unit_for(name, label)
    return next((place for place, one in enumerate(listed) if one[0] == wanted), 0)


def _typed(si: float, unit: Sequence[Any]) -> float:
    """Return the number as a person typed it: the shortest one that gives the same SI value."""
    exact = (si - unit[2]) / unit[1]
    for digits in range(1, 17):
        short = float(f"{exact:.{digits}g}")
        if short * unit[1] + unit[2] == si:
            return short
    return float(exact)


def _relation(relation: Relation) -> dict[str, Any]:
    return {
        "title": relation.title,
        "equation": [_json(side) for side in relation.sides],
        "source": relation.source,
        "assumptions": list(relation.assumptions),
        "standing": relation.standing,
    }


def _told(plan: Plan) -> list[Tree]:
    """Return the trees that decide what is said beside a value, in place of one, and where it rests."""
    return [
        one.tree
        for relation in plan.relations
        for one in (*relation.remarks, *relation.refusals, relation.rest)
        if one is not None
    ]


def _plan(
    plan: Plan, place: Mapping[Relation, int], topic: Told, here: Collection[str]
) -> dict[str, Any]:
    way = " ".join((*left_out(plan), *topic.ways.said_of(plan)))
    return {
        **({"way": way} if way else {}),
        **_idle(plan, topic),
        "assumed": [name for name, _, _ in assumptions_of(plan)],
        "exact": list(exact_names(plan)),
        "standing": [place[one] for one in plan.standing],
        "zeros": list(plan.zeros),
        "steps": [_step(step, place, here) for step in plan.steps],
    }


def _idle(plan: Plan, topic: Told) -> dict[str, Any]:
    """Return what is said of the rows that nothing is reckoned with; a name in braces is its value.

    What matters where it is not nought is said otherwise there: the words go by which of these are not.
    """
    names = idle(topic.network, plan, plan.known)
    if not names:
        return {}
    out = {one for relation in plan.relations for one in relation.leaves_out}
    by = [name for name in names if name in out]
    said = {name: f"{{{name}}}" for name in names}
    words = {
        " ".join(one for one in by if one not in nought): " ".join(idle_notes(plan, said, nought))
        for count in range(len(by) + 1)
        for nought in combinations(by, count)
    }
    return {"idle": {"by": by, "words": words}}


def _step(step: Step, place: Mapping[Relation, int], here: Collection[str]) -> dict[str, Any]:
    made: dict[str, Any] = {
        "find": step.find,
        "relations": [place[one] for one in step.relations],
        **_case(step),
    }
    if step.pieces:
        made["pieces"] = [_case(piece) for piece in step.pieces]
    if step.by == "roots":
        made["slope"] = _json(step.slope)
        made["kinks"] = [_json(one) for one in step.kinks]
    if step.worth is not None:
        made["worth"] = _json(step.worth)
        if step.below_nought:
            made["below_nought"] = step.below_nought
    if step.residual is not None:
        made["residual"] = [_json(side) for side in step.residual]
    made |= _said(step, here)
    return made


def _case(case: Step | Piece) -> dict[str, Any]:
    """Return how a value is worked out, and what must not be negative then."""
    made: dict[str, Any] = {"by": case.by}
    if case.by == "formula":
        made["forms"] = [_json(form) for form in case.forms]
    elif case.by in {"cubic", "quadratic"}:
        made["cubic"] = [_json(form) for form in case.forms]
    if case.where:
        made["where"] = [_json(one) for one in case.where]
    return made


def _said(step: Step, here: Collection[str]) -> dict[str, Any]:
    """Return what has to be said beside a value, or in place of one, as far as it speaks of what is here."""
    made: dict[str, Any] = {}
    silent = any(one.remarks for one in step.relations)
    least = next(
        (one for tree in (*step.forms, *(step.residual or ())) for one in least_of(tree)), ()
    )
    if least and not silent:
        made["least"] = [
            {"tree": _json(part), "words": SpokenPrinter().print(part)} for part in least[1:]
        ]
    rests = [
        one.rest
        for one in step.relations
        if one.rest is not None and one.rest.quantity == step.find
    ]
    if rests:
        made["rest"] = [
            {"surplus": _json(one.tree), "value": one.value, "words": one.words} for one in rests
        ]
    for kind in ("remarks", "refusals"):
        said = [
            one
            for relation in (*step.relations, *(step.holds if kind == "refusals" else ()))
            for one in getattr(relation, kind)
            if all(name in here for name in (*names_in(one.tree), *names_in(one.place or 0)))
        ]
        if said:
            made[kind] = [_remark(one) for one in said]
    return made


def _remark(one: Remark) -> dict[str, Any]:
    made = {"surplus": _json(one.tree), "words": one.words}
    if one.place is not None:
        made |= {"at": _json(one.place), "label": one.label}
    return made


def _json(tree: Tree) -> Any:  # noqa: ANN401  lists come out
    return json.loads(json.dumps(tree))
