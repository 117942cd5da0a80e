"""Owning: which topic answers for a quantity, and what it needs of the rest of the vehicle.

A sheet states the whole vehicle, and its own network holds pack and road. A time to a speed, a charging
time, a lifetime or a range on a label belongs to another topic: that one is asked with what the sheet
states and with what follows for pack and road (mass, usable energy, consumption), draw by draw.
"""

from __future__ import annotations

import copy
from dataclasses import dataclass, field
from functools import cache, partial
from typing import TYPE_CHECKING, cast

import numpy as np

from chalkwatt.answering.driven import how_driven, model_words
from chalkwatt.errors import (
    ChalkwattError,
    NameUnknownError,
    NoSolutionError,
    OutOfBoundsError,
    TooLittleKnownError,
    TooMuchKnownError,
)
from chalkwatt.evidence.finding import find
from chalkwatt.evidence.remarks import nothing_recovered, what_gave_way
from chalkwatt.evidence.sheets.choosing import (
    DRIVEN,
    Choice,
    Order,
    at_home,
    choose,
    distrust,
    needed_of,
    put_in_order,
    reach,
)
from chalkwatt.evidence.sheets.cold_cells import with_warm_cells
from chalkwatt.evidence.sheets.conflicts import collisions_about, said_once
from chalkwatt.evidence.sheets.effects import follow_from
from chalkwatt.evidence.sheets.elsewhere import clashes_in
from chalkwatt.evidence.sheets.facts import Fact
from chalkwatt.evidence.sheets.granting import GRANT
from chalkwatt.evidence.sheets.limiting import beyond_a_limit, outdone
from chalkwatt.evidence.spread.draws import Question
from chalkwatt.laws.quantities import look_up, said
from chalkwatt.planning.plans import Plan
from chalkwatt.topics.load import load
from chalkwatt.topics.pack import pack
from chalkwatt.topics.registry import topics_in_turn
from chalkwatt.topics.vehicle import vehicle

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from numpy.typing import NDArray

    from chalkwatt.answering.topic import Apart, Topic
    from chalkwatt.evidence.finding import Draws, Finding
    from chalkwatt.evidence.sheets.conflicts import Conflict
    from chalkwatt.evidence.sheets.sheet import Sheet
    from chalkwatt.wording.given import Floats, Truths

__all__ = ["Derived", "ask", "clashes_of_others", "is_firmer", "owners_of", "state"]

# What a start in closed form answers, without drag: times, distances, and the speeds at their end.
_SPEEDS_OF_A_START = frozenset({"exit_speed", "power_exit_speed"})
_OF_A_START = _SPEEDS_OF_A_START | {
    "time_to_speed",
    "distance_to_speed",
    "power_bound_time",
    "mean_acceleration",
}
_SAME_SPEED = 1e-6  # relative

# These are asked first, in this order; all others after them, in the order of their names.
_FIRST = (vehicle.name, "launch", "charge", "economy", "ageing", "sun", "drive")


def owners_of(wanted: str) -> Iterator[Topic]:
    """Yield the topics that answer for a quantity, the vehicle's own network first.

    None is loaded before it is its turn.

    Parameters
    ----------
    wanted : str

    Yields
    ------
    Topic

    Examples
    --------
    >>> from chalkwatt.evidence.sheets.owning import owners_of
    >>> [one.name for one in owners_of("charging_time")], [one.name for one in owners_of("range")][:1]
    (['charge'], ['vehicle'])
    """
    for topic in topics_in_turn(*_FIRST):
        if wanted in topic.network.names and (topic is vehicle or topic not in _parts()):
            yield topic


@cache
def _parts() -> frozenset[Topic]:
    """Return the topics of which the vehicle's network is made: what they know, it knows."""
    every = {*vehicle.relations}
    return frozenset(one for one in (load, pack) if every.issuperset(one.relations))


@dataclass(frozen=True)
class Derived(Fact):
    """A value that follows from pack and road for another topic, draw by draw.

    Attributes
    ----------
    values : ndarray
        Its draws.
    behind : tuple of Fact
        What it rests on.
    driven : str
        For which drive it holds.
    model : tuple of str
        What the model behind it leaves out.
    told : tuple of str
        What gave way where it was found.
    limitless : mapping of str to ndarray
        For each draw, whether nothing limits a quantity there.
    """

    values: NDArray[np.float64] | None = field(default=None, compare=False, repr=False)
    behind: tuple[Fact, ...] = ()
    driven: str = ""
    model: tuple[str, ...] = ()
    told: tuple[str, ...] = ()
    limitless: Mapping[str, Truths] = field(default_factory=dict, compare=False, repr=False)

    def ppf(self, share: Floats) -> Floats:
        """Return the value below which a share of its draws lies."""
        if self.exact or self.values is None:
            return self.si
        drawn: Floats = np.quantile(self.values, np.asarray(share))[()]
        return drawn


@dataclass(frozen=True)
class Itself(Question):
    """The question for what a sheet states itself."""

    def __call__(self, **values: Floats) -> Floats:
        """Return the stated value."""
        return values[self.wanted]


def ask(sheet: Sheet, wanted: str, conditions: Mapping[str, Fact], draws: Draws) -> Finding:
    """Ask the topic that owns a quantity.

    Parameters
    ----------
    sheet : Sheet
    wanted : str
    conditions : mapping of str to Fact
    draws : Draws

    Returns
    -------
    Finding

    Raises
    ------
    NameUnknownError
        If a condition is none of the topic, nor of pack and road.
    TooMuchKnownError
        If the question mixes ways that exclude each other, such as direct and alternating current.
    TooLittleKnownError
        If no topic can answer; of several the first says what it would take.
    NoSolutionError, OutOfBoundsError
        If the stated values have no answer.
    """
    look_up(wanted)
    sheet = with_warm_cells(sheet, conditions, wanted)
    # Whether a topic can answer is seen at once; why it cannot takes long to find out.
    owner = _able(sheet, wanted, conditions) or _hearing(wanted, conditions)
    if owner is None:
        raise TooLittleKnownError(
            f"No topic answers for the {look_up(wanted).words}: only a run over time does.",
            quantity=wanted,
            advice="Make the run with the values of the sheet, and compare.",
        )
    made = _asked(sheet, owner, wanted, conditions, draws)
    _refuse_beyond_top_speed(sheet, made, conditions, draws)
    return made


def _refuse_beyond_top_speed(
    sheet: Sheet, made: Finding, conditions: Mapping[str, Fact], draws: Draws
) -> None:
    """Refuse a start, whose closed form knows no drag, to a speed that drag never lets the vehicle reach."""
    if made.wanted in _SPEEDS_OF_A_START:
        speed = made.si
    elif made.wanted in _OF_A_START and "target_speed" in made.known:
        speed = float(made.known["target_speed"])
    else:
        return
    road = {
        one: fact for one, fact in conditions.items() if _is_of(one, vehicle) and one != "speed"
    }
    try:
        top = ask(sheet, "top_speed", road, draws)
        most = float(top.si if top.certain else np.nanmax(top.spread.values))
        told = top.interval.text if top.interval else top.text
    except ChalkwattError:
        if "top_speed" not in sheet.facts:
            return
        fact = sheet.facts["top_speed"]
        most, told = fact.high, fact.text
    if not speed > most * (1 + _SAME_SPEED):
        return
    never = NoSolutionError(
        f"{said('speed', speed, 3)} is never reached: without drag the start would go on, but the top speed is "
        f"{told}.",
        quantity=made.wanted,
        value=speed,
        unit="m/s",
        limit=most,
        nearest=most,
        advice="Ask for a lower speed, or a shorter distance.",
    )
    never.decided = True
    raise never


def _able(sheet: Sheet, wanted: str, conditions: Mapping[str, Fact]) -> Topic | None:
    """Return the first owner of a quantity that can answer."""
    able = (
        one
        for one in owners_of(wanted)
        if all(_is_of(name, one) or _is_of(name, vehicle) for name in conditions)
        and _enough(sheet, one, wanted, conditions)
    )
    return next(able, None)


def _hearing(wanted: str, conditions: Mapping[str, Fact]) -> Topic | None:
    """Return the first owner of a quantity that knows all conditions, or that pack and road know for it.

    Raises
    ------
    NameUnknownError
        If there are owners, and none knows them all.
    """
    owners = tuple(owners_of(wanted))
    for one in owners:
        if all(_is_of(name, one) or _is_of(name, vehicle) for name in conditions):
            return one
    if not owners:
        return None
    known = {name for one in owners for name in one.network.names}
    foreign = [name for name in conditions if name not in known] or list(conditions)
    words = " and the ".join(look_up(one).words for one in foreign)
    said = look_up(wanted).words
    raise NameUnknownError(
        f"No topic holds the {said} together with the {words}, so that the one could be found from the "
        f"other. Leave {foreign[0]} out; where it follows from {wanted}, ask for {foreign[0]} at several values "
        "of that, and see which fits.",
        quantity=foreign[0],
    )


def state(sheet: Sheet, wanted: str, draws: Draws, other: Finding | None = None) -> Finding:
    """Return what a sheet states itself as a finding, for a claim that nothing firmer can test.

    Parameters
    ----------
    sheet : Sheet
    wanted : str
    draws : Draws
    other : Finding, optional
        What the other facts make of it; where they contradict what is stated, so they do here.

    Returns
    -------
    Finding
    """
    fact = sheet.facts[wanted]
    plan = Plan(vehicle.name, (wanted,), wanted, ())
    question = Itself(vehicle.name, wanted, (wanted,))
    choice = Choice(question, plan, {wanted: fact}, Order((wanted,), (), ()), {wanted: fact})
    told = None if other is None else lambda _: other.conflicts
    made = find(choice, sheet.columns, draws, elsewhere=told)
    made.other = other
    return made


def is_firmer(fact: Fact, finding: Finding) -> bool:
    """Say whether a fact was measured or counted, and a finding rests on one that deserves less trust.

    Parameters
    ----------
    fact : Fact
    finding : Finding

    Returns
    -------
    bool
    """
    rests = [distrust(one) for one in finding.facts.values()]
    return fact.origin in {"measured", "counted"} and max(rests, default=0) > distrust(fact)


def _enough(sheet: Sheet, topic: Topic, wanted: str, conditions: Mapping[str, Fact]) -> bool:
    if not _hopeful(sheet, topic, wanted, conditions):
        return False
    facts = _gathered(sheet, topic, wanted, conditions)
    order = put_in_order(
        facts, [one for one in conditions if _is_of(one, topic)], wanted, topic=topic
    )
    here = frozenset(order.taken)
    if wanted not in reach(here, standing=True, topic=topic):
        return topic.network.limited and topic.network.plan_if_any(wanted, order.taken) is not None
    if topic is vehicle:
        return True
    # What standing values alone make says nothing of this vehicle.
    alone = reach(frozenset(), standing=True, topic=topic)
    return wanted not in alone or wanted in reach(here, topic=topic)


def _hopeful(sheet: Sheet, topic: Topic, wanted: str, conditions: Mapping[str, Fact]) -> bool:
    """Say whether a topic could answer if all followed for it that may: seen without sorting the facts."""
    said = {*sheet.facts, *conditions} - {wanted}
    follows = reach(frozenset(said & {*vehicle.network.names}), standing=True)
    offered = (said | follows) & {*topic.network.names} - {wanted}
    return topic.network.limited or wanted in reach(frozenset(offered), standing=True, topic=topic)


def _is_of(name: str, topic: Topic) -> bool:
    return name in topic.network.names


def _gathered(
    sheet: Sheet, topic: Topic, wanted: str, conditions: Mapping[str, Fact]
) -> dict[str, Fact]:
    """Return the facts that a topic can use: stated ones, and names of what would follow for it."""
    stated = {name: fact for name, fact in sheet.facts.items() if _is_of(name, topic)}
    if topic is vehicle:
        return stated
    asked = {name: fact for name, fact in conditions.items() if _is_of(name, vehicle)}
    # A consumption that is quoted is not that of the drive which is asked for, if better facts make one.
    aside = put_in_order(sheet.facts, asked).aside if asked else ()
    kept = {
        name: fact
        for name, fact in stated.items()
        if name not in aside and not _at_another(sheet.facts, name, asked)
    }
    others = _without(sheet, wanted)
    follows = {
        name: Derived(name, 1.0, 1.0, 1.0, origin="derived", behind=_behind(others, name, asked))
        for name in topic.network.names
        if name not in kept
        and name not in conditions
        and name != wanted
        and _follows(others, name, wanted, asked, topic.apart.get(name))
    }
    return {**stated, **follows}


def _at_another(facts: Mapping[str, Fact], name: str, asked: Mapping[str, Fact]) -> bool:
    """Say whether a stated result gives way to a drive that is asked for, since the rest makes it there."""
    home = at_home(facts, asked)
    moved = [one for one in asked if one in DRIVEN and one not in home]
    if not any(name in follow_from(vehicle.network, one) for one in moved):
        return False
    others = {one: fact for one, fact in facts.items() if one != name}
    plan = vehicle.network.plan_if_any(name, put_in_order(others, asked, name).taken)
    return plan is not None and not {*moved}.isdisjoint(needed_of(plan))


def _behind(facts: Mapping[str, Fact], name: str, asked: Mapping[str, Fact]) -> tuple[Fact, ...]:
    """Return the stated facts from which a quantity follows for pack and road."""
    plan = vehicle.network.plan_if_any(name, put_in_order(facts, asked, name).taken)
    used = () if plan is None else needed_of(plan)
    return tuple(facts[one] for one in used if one in facts and one not in asked)


def _without(sheet: Sheet, wanted: str) -> dict[str, Fact]:
    """Leave out what is asked for: nothing that rests on it can test it."""
    return {name: fact for name, fact in sheet.facts.items() if name != wanted}


def _follows(
    facts: Mapping[str, Fact],
    name: str,
    wanted: str,
    asked: Mapping[str, Fact],
    apart: Apart | None = None,
) -> bool:
    """Say whether a quantity follows for pack and road, from more than standing values, as it is meant."""
    if not _is_of(name, vehicle) or name in reach(frozenset(), standing=True):
        return False
    taken = put_in_order(facts, asked, name).taken
    otherwise = apart is not None and not apart.through
    if otherwise or name not in reach(frozenset(taken), standing=True):
        return False
    meant = apart is not None and bool(apart.through)
    # What follows from taking the wanted for granted, or what the wanted makes, cannot tell what the wanted
    # is: a load without a heated cabin says nothing of the cabin.
    about = {wanted, *follow_from(vehicle.network, wanted)}
    taken_for_granted = about & {one.names[0] for one in vehicle.network.standing}
    if not (meant or taken_for_granted):
        return True
    plan = vehicle.network.plan_if_any(name, taken)
    if plan is None:
        return not taken_for_granted
    if any(one.names[0] in taken_for_granted for one in plan.standing):
        return False
    return apart is None or apart.through.isdisjoint(needed_of(plan))


def _asked(
    sheet: Sheet, topic: Topic, wanted: str, conditions: Mapping[str, Fact], draws: Draws
) -> Finding:
    here = {name: fact for name, fact in conditions.items() if _is_of(name, topic)}
    if topic is vehicle:
        choice = choose(sheet.facts, wanted, conditions)
        more = partial(_of_other_topics, sheet, conditions, draws)
        return find(choice, sheet.columns, draws, asked=conditions, elsewhere=more)
    road = {name: fact for name, fact in conditions.items() if _is_of(name, vehicle)}
    for name in conditions:
        if name not in here and name not in road:
            look_up(name, {*topic.network.names, *vehicle.network.names})  # raises the error
    gathered = _gathered(sheet, topic, wanted, conditions)
    asked = _Asked(sheet, wanted, here, road, draws)
    beyond: list[Conflict] = []
    while True:
        choice, order = asked.chosen(gathered, topic)
        made: Finding | None = None
        refused: ChalkwattError | None = None
        told: Conflict | None = None
        try:
            made = find(
                choice,
                sheet.columns,
                draws,
                {name: one for name, one in asked.drawn.items() if name in choice.used},
                asked=conditions,
                stated=sheet.facts,
                elsewhere=partial(_in_its_topic, asked, order, tuple(beyond)),
            )
        except TooMuchKnownError as clash:
            refused, told = clash, beyond_a_limit(choice, clash)
        except (NoSolutionError, OutOfBoundsError) as nothing:
            refused, told = nothing, outdone(choice)
        else:
            told = outdone(choice)
        left = "" if told is None else told.moves[0].fact.name
        rest = {name: fact for name, fact in gathered.items() if name != left}
        if told is None or topic.network.plan_if_any(wanted, (*rest, *here)) is None:
            if made is None and refused is not None:
                raise refused
            return cast("Finding", made)
        gathered = rest
        beyond.append(told)


@dataclass
class _Asked:
    """A question to another topic than pack and road, and what followed from those for it."""

    sheet: Sheet
    wanted: str
    here: Mapping[str, Fact]  # conditions that the topic knows
    road: Mapping[str, Fact]  # conditions that pack and road know
    draws: Draws
    derived: dict[str, Fact] = field(default_factory=dict)
    drawn: dict[str, NDArray[np.float64]] = field(default_factory=dict)

    def follow(self, name: str) -> Fact:
        """Return what follows from pack and road for a quantity."""
        if name not in self.derived:
            self.derived[name], values = _derived(
                self.sheet, name, self.wanted, self.road, self.draws
            )
            if values is not None:
                self.drawn[name] = values
        return self.derived[name]

    def chosen(self, gathered: Mapping[str, Fact], topic: Topic) -> tuple[Choice, Order]:
        """Choose among what was gathered, and how that was sorted."""
        order = put_in_order(gathered, self.here, self.wanted, topic=topic)
        facts = {name: fact for name, fact in gathered.items() if fact.origin != "derived"}
        for name in order.taken:
            if name not in self.here and name not in facts:
                facts[name] = self.follow(name)
        try:
            choice = choose(facts, self.wanted, self.here, topic)
        except TooLittleKnownError as short:
            left = _without(self.sheet, self.wanted)
            raise _meant_otherwise(short, topic, left, self.road) from None
        _refuse_turned_back(choice)
        return choice, order


def _refuse_turned_back(choice: Choice) -> None:
    """Refuse what would be an air density turned back into moisture by air that only stands in.

    Two degrees, or fifty metres, make about as much of a density as all the vapour that air holds at 15 °C.
    """
    plan, air = choice.plan, "air_density"
    stood = [
        one.names[0] for one in plan.standing if one.names[0] in {"altitude", "air_temperature"}
    ]
    turned = any(
        relation.sides[0] == air and step.find != air
        for step in plan.steps
        for relation in step.relations
    )
    if not (turned and stood and air in choice.used):
        return
    words = " and the ".join(look_up(one).words for one in stood)
    raise TooLittleKnownError(
        f"Too little is known for {plan.wanted}: it would be the {choice.used[air].origin} air density turned "
        f"back, and the {words} would only be standing values.",
        quantity=plan.wanted,
        unlocks=("relative_humidity", "dew_point"),
        advice="State or ask for relative_humidity or dew_point, with air_temperature.",
    )


def _in_its_topic(
    question: _Asked, order: Order, beyond: tuple[Conflict, ...], finding: Finding
) -> tuple[Conflict, ...]:
    """Compare what another topic than pack and road rests on, and what the sheet states of the wanted."""
    sheet, road, draws = question.sheet, question.road, question.draws
    topic, wanted = finding.topic, finding.wanted
    facts = {**finding.choice.facts, **finding.choice.conditions}
    names = [one for one in (wanted, *order.taken, *order.aside) if one in facts]
    common = {*vehicle.network.strong}
    for name in order.aside:
        if name in facts:
            continue
        plan = topic.network.plan_if_any(name, order.taken)
        if plan is None or common.issuperset(plan.relations):
            continue  # what pack and road say of it themselves they compare themselves
        try:
            facts[name], _ = _derived(sheet, name, wanted, road, draws)
        except ChalkwattError:
            continue  # of that the stated values make nothing
        names.append(name)
    here = {*finding.facts, wanted}
    found = clashes_in(topic, facts, names, (*order.taken, wanted))
    mine = tuple(one for one in found if here & {*one.involved})
    # What pack and road know, too, the other topics may contradict, whichever of them answers.
    asked = {**road, **finding.choice.conditions}
    more = _of_other_topics(sheet, asked, draws, finding) if _is_of(wanted, vehicle) else ()
    return said_once((*beyond, *mine, *_behind_it(sheet, finding, road, draws), *more))


def _behind_it(
    sheet: Sheet, finding: Finding, road: Mapping[str, Fact], draws: Draws
) -> Iterator[Conflict]:
    """Yield where the facts of pack and road contradict each other on what a finding has of them."""
    left = _without(sheet, finding.wanted)
    for name, fact in finding.facts.items():
        if isinstance(fact, Derived):
            yield from find(choose(left, name, road), sheet.columns, draws, asked=road).conflicts
    # What is stated twice for the whole vehicle, as a mass that body and pack do not add up to.
    stated = {name for name in finding.facts if name in left and _is_of(name, vehicle)} - {*road}
    if stated:
        facts = {name: fact for name, fact in left.items() if _is_of(name, vehicle)}
        yield from collisions_about({**facts, **road}, road, stated)


def _of_other_topics(
    sheet: Sheet, conditions: Mapping[str, Fact], draws: Draws, finding: Finding
) -> tuple[Conflict, ...]:
    """Find where what the sheet states for other topics contradicts a finding of pack and road."""
    way = {one for relation in finding.plan.relations for one in relation.names}
    way |= {*finding.facts, finding.wanted}
    return tuple(
        one
        for one in clashes_of_others(sheet, conditions, draws)
        if any(move.fact.origin == "derived" and move.fact.name in way for move in one.moves)
    )


def clashes_of_others(
    sheet: Sheet, conditions: Mapping[str, Fact], draws: Draws
) -> tuple[Conflict, ...]:
    """Find where what a sheet states for other topics than pack and road contradicts its other facts.

    Parameters
    ----------
    sheet : Sheet
    conditions : mapping of str to Fact
    draws : Draws

    Returns
    -------
    tuple of Conflict
        One a quantity: of several ways to what it would have to be, one is enough.
    """
    told: list[Conflict] = []
    sheet = _with_a_usual_use(sheet, conditions)
    for name in sheet.facts:
        if _is_of(name, vehicle) or name in conditions:
            continue
        try:
            if _able(sheet, name, conditions) is None:
                continue  # why not takes long to find out, and nobody asks
            told += ask(sheet, name, conditions, draws).conflicts
        except ChalkwattError:
            continue  # the other facts make nothing of it, or it is of a way that is not asked for
    return said_once(told)


def _with_a_usual_use(sheet: Sheet, conditions: Mapping[str, Fact]) -> Sheet:
    """Let the cells be used as usual where nothing is said of it: whatever it is, they hold no more than all.

    No number rests on it; what a label draws from the outlet is compared with what the cells hold all the same.
    """
    used, whole, part = "usable_energy", "pack_energy", "usable_fraction"
    said = frozenset({*sheet.facts, *conditions} & {*vehicle.network.names})
    follows = said | reach(said, standing=True)
    if used in follows or part in follows or whole not in follows:
        return sheet
    low, high = look_up(part).usual
    made = copy.copy(sheet)
    made.facts = {**sheet.facts, part: Fact(part, high, low, high, origin=GRANT)}
    made.__dict__.pop("columns", None)  # they follow from the facts
    return made


def _meant_otherwise(
    short: TooLittleKnownError,
    topic: Topic,
    facts: Mapping[str, Fact],
    road: Mapping[str, Fact],
) -> TooLittleKnownError:
    """Say of what would do that pack and road have it, and mean something else by it."""
    words = [
        one.words
        for name, one in topic.apart.items()
        if _follows(facts, name, short.quantity or "", road)
    ]
    if not words:
        return short
    return TooLittleKnownError(
        " ".join((str(short).removesuffix(short.advice).strip(), *words)),
        quantity=short.quantity,
        unlocks=short.unlocks,
        advice=short.advice,
    )


def _derived(
    sheet: Sheet, name: str, wanted: str, asked: Mapping[str, Fact], draws: Draws
) -> tuple[Fact, NDArray[np.float64] | None]:
    made = find(choose(_without(sheet, wanted), name, asked), sheet.columns, draws)
    behind, driven = tuple(made.facts.values()), how_driven(made)
    model, told = model_words(made), (*what_gave_way(made), *nothing_recovered(made))
    if made.certain:
        exact = Derived(
            name,
            made.si,
            made.si,
            made.si,
            origin="derived",
            behind=behind,
            driven=driven,
            model=model,
            told=told,
        )
        return exact, None
    values = made.spread.values
    low, high = float(np.nanmin(values)), float(np.nanmax(values))
    spread = Derived(
        name,
        made.si,
        min(low, made.si),
        max(high, made.si),
        origin="derived",
        values=made.spread.solved,
        behind=behind,
        driven=driven,
        model=model,
        told=told,
        limitless=made.limitless,
    )
    return spread, values
