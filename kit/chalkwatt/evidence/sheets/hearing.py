"""Hearing: conditions of a claim that nothing was reckoned with, and whether more facts would change that.

=====================  =========================================================================
a condition            what becomes of a claim that is made under it
=====================  =========================================================================
was reckoned with      judged; so it is where a fact gave way to it, or stands against it
cannot matter          judged, and it is told that it plays no part: nothing leads from it to what
                       is claimed, or what is asked for stands in the way, or all that it takes is known
                       and it still counts for nothing. So does what was measured, counted or quoted stand in
                       the way of speed, weather and road: it may hold for those. Of a changed vehicle, or of
                       another cabin, it says nothing
is the sheet's own     judged: what is claimed is claimed of the vehicle that the sheet describes
would matter           refused, with what it would take: what holds without the condition says
                       nothing of the claim. So is what would count if a stated value were left out, and
                       what matters elsewhere to a value that the topic means otherwise: to the test
                       behind a label; and what a relation of the answer leaves out although it
                       matters: the slope, the air and the tyres, of a start in closed form. So is what
                       matters although no relation holds it: cold air to cells that charge
=====================  =========================================================================

Whether something leads from one quantity to another is read off the relations: what stands alone on one side
follows from what stands on the other, and by a balance what it is there to find. What the answer itself found
from what, counts too.
"""

from __future__ import annotations

from collections import deque
from functools import lru_cache
from itertools import islice
from typing import TYPE_CHECKING, NamedTuple

from chalkwatt.errors import TooLittleKnownError
from chalkwatt.evidence.sheets.choosing import CIRCUMSTANCES, needed_of, put_in_order, reach
from chalkwatt.evidence.sheets.cold_cells import names_when_warm
from chalkwatt.evidence.sheets.effects import follow_from
from chalkwatt.evidence.sheets.facts import Fact
from chalkwatt.evidence.spread.boxes import stretched
from chalkwatt.laws.quantities import look_up
from chalkwatt.rendering.limits import beside
from chalkwatt.rendering.phrases import amount, listed, several
from chalkwatt.topics.vehicle import vehicle

if TYPE_CHECKING:
    from collections.abc import Collection, Mapping, Sequence

    from chalkwatt.answering.topic import Topic
    from chalkwatt.laws.relations import Relation
    from chalkwatt.planning.plans import Plan

__all__ = ["refuse_unheard", "remedy", "would_take"]

_FEW = 2  # ways that a reader still tells apart
_FIRM = frozenset({"measured", "counted", "quoted"})
_ROUNDING = 1e-9  # relative
# As closed forms of a start or a stop say of themselves.
_NO_ROAD = frozenset({"without drag", "without rolling resistance"})


def refuse_unheard(
    said: Mapping[str, str],
    facts: Mapping[str, Fact],
    conditions: Mapping[str, Fact],
    plan: Plan,
    *,
    topic: Topic = vehicle,
    wanted: str = "",
) -> None:
    """Refuse a claim under a condition that would matter if more were known.

    Parameters
    ----------
    said : mapping of str to str
        The conditions that nothing was reckoned with, in words.
    facts : mapping of str to Fact
        Of the sheet.
    conditions : mapping of str to Fact
        All of them.
    plan : Plan
        Of the answer.
    topic : Topic
        That answered.
    wanted : str
        What is claimed, where that is not what was solved for.

    Raises
    ------
    TooLittleKnownError
        With what it would take.
    """
    asked = tuple(conditions)
    for name, value in said.items():
        if name in facts and name in conditions and _alike(facts[name], conditions[name]):
            continue
        ways = would_take(name, facts, asked, plan, topic=topic, wanted=wanted)
        if not ways:
            _refuse_left_out(name, value, conditions, plan, wanted or plan.wanted)
            _refuse_meant_otherwise(name, value, asked, topic, wanted or plan.wanted)
            nought = name in conditions and conditions[name].si == 0
            if not nought:  # a level road is what a closed form knows, and no rollout takes no time
                _refuse_beyond_relations(name, value, plan, topic, wanted or plan.wanted)
            continue
        if () in ways:
            _refuse_silenced(name, value, ways[()], facts, wanted or plan.wanted)
        ways = dict(islice(ways.items(), _FEW))
        words = ", or ".join(f"the {_words(way)}" for way in ways)
        instead = tuple(dict.fromkeys(one for soft in ways.values() for one in soft))
        place = f" in place of the {_words(instead)}" if instead else ""
        advice = _advice(ways)
        it = "them" if several((name,)) else "it"
        raise TooLittleKnownError(
            f"The claim is made for {amount(name, value, 'the')}, and nothing can be reckoned with {it}: "
            f"it would take {words}{place}.",
            quantity=wanted or plan.wanted,
            unheard=(name,),
            advice=f"{advice}, or claim without {name}.",
        )


def remedy(
    name: str,
    facts: Mapping[str, Fact],
    conditions: Mapping[str, Fact],
    plan: Plan,
    *,
    topic: Topic = vehicle,
) -> str:
    """Return what to do for a condition to count that nothing was reckoned with.

    Parameters
    ----------
    name : str
    facts, conditions : mapping of str to Fact
    plan : Plan
        Of the answer.
    topic : Topic

    Returns
    -------
    str
        Such as "State electronics_power and leave out auxiliary_power"; empty where it cannot matter, where
        the sheet says the same, or where more than one value is missing.
    """
    if name in facts and _alike(facts[name], conditions[name]):
        return ""
    ways = would_take(name, facts, tuple(conditions), plan, topic=topic)
    # What lacks more than one value is no slip that a note could mend.
    ways = {more: instead for more, instead in ways.items() if len(more) <= 1}
    return _advice({(): ways[()]} if () in ways else dict(islice(ways.items(), _FEW)))


def _advice(ways: Mapping[tuple[str, ...], tuple[str, ...]]) -> str:
    instead = tuple(dict.fromkeys(one for soft in ways.values() for one in soft))
    state = f"State {', or '.join(listed(way) for way in ways if way)}" if any(ways) else ""
    leave = f"leave out {listed(instead)}" if instead else ""
    made = " and ".join(one for one in (state, leave) if one)
    return f"{made[:1].upper()}{made[1:]}"


def _alike(stated: Fact, asked: Fact) -> bool:
    """Say whether a condition asks for what the sheet states: within its range, or the rounding of both."""
    low, high = stretched(stated)
    floor, ceiling = stretched(asked)
    slack = _ROUNDING * max(abs(stated.si), abs(asked.si))
    return floor <= high + slack and ceiling >= low - slack


def _refuse_silenced(
    name: str, value: str, instead: Sequence[str], facts: Mapping[str, Fact], wanted: str
) -> None:
    """Refuse a condition that would count if a stated value, which stands in its way, were left out."""
    kinds = listed(tuple(dict.fromkeys(facts[one].origin for one in instead if one in facts)))
    many, it = several(instead), "them" if several((name,)) else "it"
    raise TooLittleKnownError(
        f"The claim is made for {amount(name, value, 'the')}, and nothing can be reckoned with {it} while the "
        f"{kinds} {_words(instead)} {'stand' if many else 'stands'} in the way.",
        quantity=wanted,
        unheard=(name,),
        advice=f"Leave out {listed(instead)}, or claim without {name}.",
    )


def _refuse_left_out(
    name: str, value: str, conditions: Mapping[str, Fact], plan: Plan, wanted: str
) -> None:
    """Refuse a condition that matters and that a relation of the answer knows nothing of."""
    if name in conditions and conditions[name].si == 0:
        return
    left = beside(plan, {name: value})
    if left:
        raise TooLittleKnownError(
            f"The claim is made for {amount(name, value, 'the')}, and nothing can be reckoned with "
            f"{'them' if several((name,)) else 'it'}. {left}",
            quantity=wanted,
            unheard=(name,),
            advice=f"Claim without {name}.",
        )


def _refuse_meant_otherwise(
    name: str, value: str, asked: Collection[str], topic: Topic, wanted: str
) -> None:
    """Refuse a condition of which another value by the same name depends, and not the one that is meant.

    The consumption of a drive has a speed and a mass, and the label's has those of its test.
    """
    meant = {one: apart for one, apart in topic.apart.items() if apart.through}
    if name in topic.network.names or not meant:
        return
    ahead = (*_hops(topic), *_hops(vehicle))
    blocked = {*asked} - {name}
    for first in ahead:
        path = _way(name, wanted, first, ahead, blocked)
        through = next((hop.makes for hop in path if hop.makes in meant), None)
        if through is not None:
            words = meant[through].words
            it = "them" if several((name,)) else "it"
            raise TooLittleKnownError(
                f"The claim is made for {amount(name, value, 'the')}, and nothing can be reckoned with {it}. "
                f"{words}",
                quantity=wanted,
                unheard=(name,),
                advice=f"Claim without {name}.",
            )


def _refuse_beyond_relations(name: str, value: str, plan: Plan, topic: Topic, wanted: str) -> None:
    """Refuse a condition that matters to a thing as it is, and that no relation brings to what is claimed."""
    why = _beyond_relations(name, plan, topic, wanted)
    if why:
        raise TooLittleKnownError(
            f"The claim is made for {amount(name, value, 'the')}, and nothing can be reckoned with "
            f"{'them' if several((name,)) else 'it'}: {why}",
            quantity=wanted,
            unheard=(name,),
            advice=f"Claim without {name}.",
        )


def _beyond_relations(name: str, plan: Plan, topic: Topic, wanted: str) -> str:
    """Say what no relation of an answer knows of although a condition bears on it; empty where there is nothing."""
    if name in plan.known:
        return ""
    told = {one for relation in plan.relations for one in relation.model}
    caused = follow_from(vehicle.network, name) if name in vehicle.network.names else frozenset()
    # The speed of a start is the one that it ends at, or all of them.
    if name != "speed" and _NO_ROAD & told and {"air_force", "rolling_force"} & {*caused, name}:
        return f"what finds the {look_up(wanted).words} here knows no road, {' and '.join(sorted(_NO_ROAD & told))}."
    apart = topic.apart.get(wanted)
    if apart and name not in topic.network.names and "driving_current" in caused:
        return f"{apart.words[0].lower()}{apart.words[1:]}"
    if name in {"rollout", "rollout_time"} and "rollout" in topic.network.names:
        return (
            f"the {look_up(wanted).words} counts from rest, and what a clock does not see of it is a time of its "
            "own, the rollout time."
        )
    cells = "cell_power_limit"
    cold = cells in topic.network.names and name == "air_temperature"
    if cold and wanted in {cells, *follow_from(topic.network, cells)}:
        return "how much less the cells take in cold or heat no relation here knows."
    return ""


def _words(names: Sequence[str]) -> str:
    return listed([look_up(one).words for one in names])


def would_take(
    name: str,
    facts: Mapping[str, Fact],
    asked: Collection[str],
    plan: Plan,
    *,
    topic: Topic = vehicle,
    wanted: str = "",
) -> dict[tuple[str, ...], tuple[str, ...]]:
    """Return what more it would take for a condition to count, in each of the ways that take least.

    Parameters
    ----------
    name : str
    facts : mapping of str to Fact
    asked : collection of str
    plan : Plan
    topic : Topic
    wanted : str

    Returns
    -------
    dict of tuple of str to tuple of str
        What is missing, with the facts whose place it would take: nothing, where it would do to leave those
        out. Empty where the condition cannot matter.
    """
    goal = wanted or plan.wanted
    warm = names_when_warm(facts) if name == "cell_temperature" else {}
    origins = {
        warm.get(one, one): fact.origin
        for one, fact in facts.items()
        if one not in asked and one != goal
    }
    stands = _FIRM if name in CIRCUMSTANCES else frozenset[str]()
    firm = {one for one, origin in origins.items() if origin in stands} | {*asked} - {name}
    blocked = (firm | _determined(firm, topic, standing=False)) - {goal}
    ahead = [*_ahead(topic), *(_Hop(step.needs, step.find) for step in plan.steps)]
    found = {one for step in plan.steps for one in (step.find, *step.needs)}
    offers: dict[tuple[str, ...], tuple[frozenset[str], tuple[str, ...], list[_Hop]]] = {}
    for first in ahead:
        path = _way(name, goal, first, ahead, blocked)
        passed = {one.makes for one in path}
        instead = tuple(one for one in origins if one in passed)
        left = ({*origins} - passed) | {*asked}
        # What the answer itself took or found is there, unless it rests on what has to give way.
        there = set() if instead else found
        known = left
        missing: dict[str, None] = {}
        for hop in path:
            for need in sorted(hop.needs):
                have = known | there | _determined(known, topic, standing=True)
                if need not in have and look_up(need).constant is None:
                    root = _root(need, have | {hop.makes}, ahead)
                    missing.setdefault(root)
                    known = known | {root}
            known = known | {hop.makes}
        if path:
            offers.setdefault(tuple(missing), (frozenset(left), instead, path))
    made: dict[tuple[str, ...], tuple[str, ...]] = {}
    for more in sorted(offers, key=len):
        if made and len(more) >= min(map(len, made)):
            break
        rest, instead, path = offers[more]
        here = {now: facts[one] for one in facts if (now := warm.get(one, one)) in rest}
        here |= {one: Fact(one, 1.0, 1.0, 1.0, origin="quoted") for one in more}
        named = _named(name, goal, here, asked, path=path, topic=topic)
        if named is not None and (more or named or instead):
            made[*more, *named] = instead
    # Where no formula alone would do, the shortest way is still the best that can be said.
    made = made or {one: instead for one, (_, instead, _) in offers.items() if one}
    least = min((len(one) for one in made), default=0)
    return {one: soft for one, soft in made.items() if len(one) == least}


def _root(name: str, have: Collection[str], ahead: Sequence[_Hop]) -> str:
    """Return what a missing quantity lacks itself, where that is one: the force of a grade lacks the mass.

    What the vehicle's own example states is what people state.
    """
    seen = {name}
    while name not in vehicle.example:
        lacking = (
            {one for one in hop.needs - {*have} if look_up(one).constant is None}
            for hop in ahead
            if hop.makes == name
        )
        below = next((one for one in lacking if len(one) == 1 and not one & seen), None)
        if below is None:
            return name
        (name,) = below
        seen.add(name)
    return name


def _named(
    name: str,
    goal: str,
    facts: Mapping[str, Fact],
    asked: Collection[str],
    *,
    path: Sequence[_Hop],
    topic: Topic,
) -> tuple[str, ...] | None:
    """Return which of the values that stand in for what nobody said has to be said for a condition to count.

    A climate stays switched off until somebody says how cold it is outside. None if that would not do.
    """
    standing = {one.names[0] for one in topic.network.standing}
    needs = {one for hop in path for one in hop.needs & standing} - {*facts, *asked, name}
    conditions = [one for one in asked if one in topic.network.names and one != goal]
    for said in ((), *((need,) for need in sorted(needs))):
        more = {one: Fact(one, 1.0, 1.0, 1.0, origin="quoted") for one in said}
        order = put_in_order({**facts, **more}, conditions, goal, topic=topic)
        plan = topic.network.plan_if_any(goal, order.taken)
        if plan is not None and name in needed_of(plan):
            return said
    return None


class _Hop(NamedTuple):
    """What something follows from."""

    needs: frozenset[str]
    makes: str
    by: Relation | None = None


def _determined(known: Collection[str], topic: Topic, *, standing: bool) -> set[str]:
    here = frozenset(one for one in known if one in vehicle.network.names)
    made = {*reach(here, standing=standing)} if here else set()
    if topic is not vehicle:
        there = frozenset(one for one in {*known, *made} if one in topic.network.names)
        made |= reach(there, standing=standing, topic=topic) if there else frozenset()
    return made


@lru_cache(maxsize=64)
def _ahead(topic: Topic) -> tuple[_Hop, ...]:
    """Return what follows from what by the relations of a topic, and of pack and road.

    What the topic makes itself it takes from nowhere else: the power of a start is not that of a steady drive.
    """
    if topic is vehicle:
        return _hops(vehicle)
    common = {*vehicle.network.strong}
    makes = {one.makes for one in _hops(topic) if one.by not in common} | {*topic.apart}
    return (*_hops(topic), *(one for one in _hops(vehicle) if one.makes not in makes))


@lru_cache(maxsize=64)
def _hops(topic: Topic) -> tuple[_Hop, ...]:
    made = []
    for relation in topic.network.strong:
        alone = [one for one in relation.sides if isinstance(one, str)]
        made += [
            _Hop(frozenset(relation.names) - {one}, one, relation)
            for one in ([relation.finds] if relation.finds else alone[:1])
        ]
    return tuple(made)


def _way(
    start: str, goal: str, first: _Hop, ahead: Sequence[_Hop], blocked: Collection[str]
) -> list[_Hop]:
    """Return a shortest way from one quantity to another that begins with a given hop, if there is any."""
    if start not in first.needs or first.makes in {*blocked, start}:
        return []
    paths = {first.makes: [first]}
    queue = deque(paths)
    while queue:
        here = queue.popleft()
        if here == goal:
            return paths[here]
        for hop in ahead:
            if here in hop.needs and hop.makes not in {*paths, *blocked, start}:
                paths[hop.makes] = [*paths[here], hop]
                queue.append(hop.makes)
    return []
