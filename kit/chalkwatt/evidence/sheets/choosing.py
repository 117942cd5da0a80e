"""Choosing: which facts of a sheet a question rests on.

A sheet may say one thing twice. Facts are taken in this order, and one that those before it already
determine is set aside as a check:

1. the conditions of the question, which take the place of the sheet's own values;
2. what a question that does not mention it takes for granted: no wind, a level road, standard gravity,
   no force that grows with speed, nothing recovered, no losses beside the drive's efficiency, braking to a stop.
   Without these, any consumption at all agrees with any road, given
   the wind for it;
3. the facts by trust: measured, counted, quoted, estimated, assumed, and narrower ranges first. So of
   a set of facts that say one thing twice, the least trusted is the one set aside, and an answer
   follows the way of the others. A quoted consumption does not outdo a measured road; a measured
   consumption outdoes an assumed tyre.

A condition that changes the vehicle takes the place of what contradicts it. What follows from it
comes last, so that it is set aside: the count of the cells, where other cells in parallel are asked for. So
does what bears on the wanted only through it: the resistance of the pack, where the loss in the pack is
asked for.

An *assumed* fact that the conditions determine gives way to them: an assumed density of the air to a
temperature or an altitude that is asked for. For pack and road, of the standing values only what a
question takes for granted and the air's help in that: any other stands in for what nobody stated, such as
a climate that is switched off, and nothing that is stated gives way to it. In other topics all of them
help with what follows from a condition: an assumed label consumption gives way to one in the city and one
on the highway, whatever their shares. Any other fact stands, also against the air that is asked for, and
:mod:`chalkwatt.evidence.sheets.conflicts` says so where the conditions would have it otherwise.

What would silence a condition gives way, too, where what remains, with all standing values, can be
reckoned with: an auxiliary load to a cabin and its losses, an estimated tyre to the temperature asked for.
It follows from the condition as relations are written. To speed, weather and road only what is estimated
or assumed gives way, for a firmer value may hold for those; so it is in topics other than pack and road, but
for what they mean otherwise: the consumption of a drive gives way to that on a label.
A result that is stated, such as a consumption, is that of one drive. Where a speed, a wind or a slope is asked for
that the sheet does not state itself, it gives way, whatever its origin, to what makes it there.
A condition that could only turn a stated load back into weather, road or speed is not heard: it is left out,
and said to play no part.

A question may turn round what the wanted makes: which drag area would make a range true. Where the sheet's
other facts make the wanted, too, and the condition would then count for nothing, those facts come last: the
condition is what is asked about, and what the sheet itself makes of the wanted is told beside the answer.

Where a topic knows several ways that exclude each other, such as direct and alternating current, the
question chooses one and the sheet's facts of the others are left out; where it does not, a way that the
sheet states something of is assumed, and that is told.

The choice is structural: values play no part in it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace
from functools import lru_cache
from typing import TYPE_CHECKING

from chalkwatt.evidence.sheets.effects import comes_last, follow_from
from chalkwatt.evidence.sheets.facts import ORIGINS, Fact
from chalkwatt.evidence.spread.draws import Question
from chalkwatt.rendering.limits import left_out
from chalkwatt.topics.vehicle import vehicle

if TYPE_CHECKING:
    from collections.abc import Collection, Iterable, Mapping

    from chalkwatt.answering.topic import Topic
    from chalkwatt.planning.network import Network
    from chalkwatt.planning.plans import Plan
    from chalkwatt.planning.ways import Way

__all__ = [
    "CIRCUMSTANCES",
    "DRIVEN",
    "GRANTED",
    "Choice",
    "Order",
    "at_home",
    "by_trust",
    "choose",
    "distrust",
    "needed_of",
    "put_in_order",
    "reach",
    "take_in_turn",
]

# Standing values that a question takes for granted unless it says otherwise. Other standing values, such
# as sea level, stand in for what nobody stated, and anything that is stated is better.
GRANTED = (
    "headwind",
    "grade",
    "coast_down_linear",
    "recovery_efficiency",
    "drive_idle_loss",
    "drive_square_loss",
    "pack_loss",
    "gravity",
    "end_speed",
)
# Standing values of the air, which with a condition determine what else is stated of it.
_AIR = ("altitude", "air_temperature")
# Of these an asked one never takes the place of a stated one: both are told.
_OF_THE_AIR = frozenset({*_AIR, "air_pressure", "air_density"})
# What a drive meets. Anything else that is asked for changes the vehicle, and what the sheet says of the
# vehicle cannot contradict that.
_NEVER = frozenset({""})
# At another of these a stated result, such as a consumption, is another.
DRIVEN = frozenset({"speed", "headwind", "grade", "grade_angle"})
# Of these nought is what a drive has of which nothing is said.
_NOUGHT = DRIVEN - {"speed"}
# Such a value may hold for the speed and the weather that are asked for; one from elsewhere is no estimate.
_FIRM = frozenset({"measured", "counted", "quoted", "derived"})
# Of these a stated load does not tell, where another condition makes that load.
_MET = frozenset({"speed", "headwind", "grade", "grade_angle", "altitude", "air_temperature"})
CIRCUMSTANCES = frozenset(
    {
        "speed",
        "headwind",
        "grade",
        "grade_angle",
        "altitude",
        "geopotential_altitude",
        "air_temperature",
        "air_pressure",
        "air_density",
        "gravity",
        "auxiliary_power",
    }
)


@dataclass(frozen=True)
class Order:
    """Facts and conditions sorted by what they say that is new.

    Attributes
    ----------
    taken : tuple of str
        What a question may rest on.
    granted : tuple of str
        What it takes for granted beside them.
    aside : tuple of str
        What the taken and the granted determine already.
    gave_way : dict of str to tuple of str
        Assumed facts that the conditions determine, facts that would silence a condition, and those conditions.
    stands : dict of str to tuple of str
        Other facts of which the same holds; they are taken all the same.
    way : Way or None
        Of several ways to do a thing, the one that was taken.
    way_assumed : bool
        Whether the question left the way open.
    turned : tuple of str
        Conditions that the wanted makes, and from which it was found.
    """

    taken: tuple[str, ...]
    granted: tuple[str, ...]
    aside: tuple[str, ...]
    gave_way: dict[str, tuple[str, ...]] = field(default_factory=dict)
    stands: dict[str, tuple[str, ...]] = field(default_factory=dict)
    way: Way | None = None
    way_assumed: bool = False
    turned: tuple[str, ...] = ()


@dataclass(frozen=True)
class Choice:
    """What a question rests on: its plan, the facts used, and those that were not.

    ``facts`` and ``conditions`` are all that there was to choose from; ``order`` is how it was sorted.
    ``left_out`` says which limits are left out although the sheet knows some of what makes them.
    """

    question: Question
    plan: Plan
    used: dict[str, Fact]
    order: Order
    facts: Mapping[str, Fact] = field(default_factory=dict)
    conditions: Mapping[str, Fact] = field(default_factory=dict)
    topic: Topic = vehicle
    left_out: tuple[str, ...] = ()

    @property
    def set_aside(self) -> tuple[str, ...]:
        """Facts that serve as checks."""
        return self.order.aside


@lru_cache(maxsize=4096)
def reach(
    known: frozenset[str], *, standing: bool = False, topic: Topic = vehicle
) -> frozenset[str]:
    """Return what known quantities of a topic determine; each set is worked out once."""
    return topic.network.reach(sorted(known), standing=standing)


def by_trust(facts: Mapping[str, Fact], topic: Topic = vehicle) -> tuple[str, ...]:
    """Return the names of facts, the most trustworthy and narrowest first.

    Of what is derived elsewhere the least trustworthy fact behind it counts; it comes after what is stated.
    """

    def rank(name: str) -> tuple[int, bool, float]:
        fact = facts[name]
        return (distrust(fact), fact.origin not in ORIGINS, fact.width)

    return tuple(sorted((name for name in facts if name in topic.network.names), key=rank))


def distrust(fact: Fact) -> int:
    """Return where the origin of a fact stands among all, or of what is derived the last of those behind it.

    Examples
    --------
    >>> from chalkwatt.evidence.sheets.choosing import distrust
    >>> from chalkwatt.evidence.sheets.facts import make_fact
    >>> distrust(make_fact("mass", "900 kg", origin="measured"))
    0
    """
    behind = getattr(fact, "behind", ()) or (fact,)
    ranks = [ORIGINS.index(one.origin) for one in behind if one.origin in ORIGINS]
    return max(ranks, default=len(ORIGINS))


def at_home(facts: Mapping[str, Fact], conditions: Mapping[str, Fact]) -> tuple[str, ...]:
    """Return the conditions at which the sheet states its own values.

    Parameters
    ----------
    facts, conditions : mapping of str to Fact

    Returns
    -------
    tuple of str
        Those that ask for what the sheet states or, where it states nothing, for no wind and a level road.

    Examples
    --------
    >>> from chalkwatt.evidence.sheets.choosing import at_home
    >>> from chalkwatt.evidence.sheets.facts import condition, make_fact
    >>> speed = {"speed": make_fact("speed", "90 km/h", origin="quoted")}
    >>> asked = {"speed": condition("speed", "25 m/s"), "grade": condition("grade", "0 %")}
    >>> at_home(speed, asked)
    ('speed', 'grade')
    """
    slope = {"grade", "grade_angle"}

    def states(name: str, one: Fact) -> bool:
        if name in facts:
            return one.same(facts[name])
        others = slope if name in slope else set()
        return name in _NOUGHT and one.si == 0 and others.isdisjoint(facts)

    return tuple(name for name, one in conditions.items() if states(name, one))


def put_in_order(
    facts: Mapping[str, Fact],
    conditions: Iterable[str] = (),
    wanted: str = "",
    *,
    topic: Topic = vehicle,
    at_home: Collection[str] = (),
) -> Order:
    """Sort facts and conditions by what they say that is new.

    Parameters
    ----------
    facts : mapping of str to Fact
        Names that are conditions or the wanted are passed over.
    conditions : iterable of str
        Their names.
    wanted : str
    topic : Topic
    at_home : collection of str
        Conditions at which the sheet states its own values: those hold there.

    Returns
    -------
    Order

    Raises
    ------
    TooMuchKnownError
        If conditions and wanted belong to ways that exclude each other.

    Examples
    --------
    >>> from chalkwatt.evidence.sheets.choosing import put_in_order
    >>> from chalkwatt.evidence.sheets.facts import make_fact
    >>> said = {"drag_area": "0.34 m^2", "frontal_area": "1.7 m^2", "drag_coefficient": 0.2}
    >>> facts = {name: make_fact(name, value, origin="quoted") for name, value in said.items()}
    >>> put_in_order(facts).aside
    ('drag_coefficient',)
    """
    asked = tuple(conditions)
    own = {name: fact for name, fact in facts.items() if name not in asked and name != wanted}
    way = topic.ways.of((*asked, wanted))
    way_assumed = way is None
    if way is None:
        way = next((one for one in topic.ways.every if one.quantities & {*own}), None)
    if way is not None:
        # A taper that is stated belongs to a fast charge, unless nobody says which charge it is.
        left_out = topic.ways.others(way.quantities, example=not way_assumed)
        own = {name: fact for name, fact in own.items() if name not in left_out}
    assumed = frozenset(name for name, fact in own.items() if fact.origin == "assumed")
    late = comes_last(topic.network, frozenset(asked) - CIRCUMSTANCES, wanted)
    names = sorted(by_trust(own, topic), key=lambda name: name in late)
    if wanted in topic.network.names and any(name in topic.network.names for name in asked):
        stated = tuple((name, own[name].origin) for name in names)
        moved = tuple(name for name in asked if name in DRIVEN and name not in at_home)
        stated, displaced = _at_another(asked, stated, wanted, topic, moved)
        order = _turned(_with_room(asked, stated, wanted, topic), asked, stated, wanted, topic)
        if displaced:
            order = replace(order, gave_way={**order.gave_way, **displaced})
    else:
        order = _sorted(asked, tuple(names), assumed, wanted, topic)
    return order if way is None else replace(order, way=way, way_assumed=way_assumed)


@lru_cache(maxsize=2048)
def _sorted(
    asked: tuple[str, ...],
    names: tuple[str, ...],
    assumed: frozenset[str],
    wanted: str,
    topic: Topic,
) -> Order:
    walk = _Walk(topic, asked, names, wanted)
    for name in asked:
        walk.take(name)
    for name in _grantable(topic, {*asked, *names}, wanted):
        walk.grant(name)
    for name in names:
        walk.state(name, assumed=name in assumed)
    return Order(
        tuple(walk.taken), tuple(walk.granted), tuple(walk.aside), walk.gave_way, walk.stands
    )


@lru_cache(maxsize=2048)
def _at_another(
    asked: tuple[str, ...],
    stated: tuple[tuple[str, str], ...],
    wanted: str,
    topic: Topic,
    moved: tuple[str, ...],
) -> tuple[tuple[tuple[str, str], ...], dict[str, tuple[str, ...]]]:
    """Leave out results that are stated, at another drive or at none, where the rest makes the wanted at the one asked.

    A consumption, a range, a power or a force is that of a speed; nobody who asks for another means it.
    """
    gone: dict[str, tuple[str, ...]] = {}
    if topic is not vehicle or not moved:
        return stated, gone
    made = {name: follow_from(topic.network, name) for name in moved}
    kept, needed = stated, set[str]()
    used = _used(_with_room(asked, kept, wanted, topic), wanted, topic)
    while True:
        results = (one for one, _ in kept if one in {*used} - needed)
        one = next((one for one in results if any(one in made[name] for name in moved)), None)
        if one is None:
            break
        out = [one]
        while True:
            less = tuple(other for other in kept if other[0] not in out)
            trial = _used(_with_room(asked, less, wanted, topic), wanted, topic)
            new = {*trial} - {*used} - {*asked}
            # Another result, such as a range for a consumption, is that of another drive as well.
            more = [
                name
                for name, _ in less
                if name in new
                and any(name in effects for effects in made.values())
                and one not in follow_from(topic.network, name)
            ]
            if not more:
                break
            out += more
        # What comes in its place must be what makes it: a tyre, for a consumption.
        makes = all(one in follow_from(topic.network, other) for other in new)
        heard = tuple(name for name in moved if one in made[name] and name in trial)
        if makes and heard:
            kept, used = less, trial
            gone |= dict.fromkeys(out, heard)
        else:
            needed.add(one)
    return kept, gone


@lru_cache(maxsize=2048)
def _with_room(
    asked: tuple[str, ...], stated: tuple[tuple[str, str], ...], wanted: str, topic: Topic
) -> Order:
    """Sort facts, and let those give way that would silence a condition, if what remains will do without."""

    def sort(some: tuple[tuple[str, str], ...]) -> Order:
        assumed = frozenset(name for name, origin in some if origin == "assumed")
        return _sorted(asked, tuple(name for name, _ in some), assumed, wanted, topic)

    order = sort(stated)
    for name in asked:
        firm = _FIRM if name in CIRCUMSTANCES or topic is not vehicle else _NEVER
        # What is stated of another thing by the same name, such as a drive's consumption, is no word on a label.
        otherwise = _NEVER if name in CIRCUMSTANCES else frozenset(topic.apart)
        kept, trial, made = stated, order, follow_from(topic.network, name)
        gone: dict[str, tuple[str, ...]] = {}
        while (used := _used(trial, wanted, topic)) and not _heard(
            name, trial, asked, wanted, topic
        ):
            silencing = {
                one: (name,)
                for one, origin in kept
                if one in used
                and one in made
                and (origin not in firm or (one in otherwise and origin != "derived"))
            }
            if not silencing:
                break
            gone |= silencing
            kept = tuple(one for one in kept if one[0] not in gone)
            trial = sort(kept)
        if gone and _heard(name, trial, asked, wanted, topic):
            stated, told = kept, {**order.gave_way, **trial.gave_way, **gone}
            order = replace(trial, gave_way=told)
        if firm is _NEVER:
            # Nor may what was stated of another vehicle serve to find the air that nobody stated.
            for one in reversed(stated):
                if one[0] in made and one[0] in _used(order, wanted, topic):
                    kept = tuple(other for other in stated if other != one)
                    trial = sort(kept)
                    again = _helped(topic, _in_question(topic, wanted)).reach(
                        sorted(trial.taken), standing=True
                    )
                    # Where facts alone say the same, nothing is turned back into air: either of them will do.
                    again -= reach(frozenset((*trial.taken, *trial.granted)), topic=topic)
                    still = one[0] in again and _used(trial, wanted, topic)
                    if still and _heard(name, trial, asked, wanted, topic):
                        stated, told = kept, {**order.gave_way, **trial.gave_way, one[0]: (name,)}
                        order = replace(trial, gave_way=told)
    return _without_turned(order, asked, wanted, topic)


def _turned(
    order: Order,
    asked: tuple[str, ...],
    stated: tuple[tuple[str, str], ...],
    wanted: str,
    topic: Topic,
) -> Order:
    """Find the wanted from what it makes, where that is asked for and other facts would leave it unheard."""
    made = follow_from(topic.network, wanted)
    turned: list[str] = []
    for name in asked:
        used = _used(order, wanted, topic)
        if name not in made or not used:
            continue
        if name in used:
            order, stated = _freed(name, order, asked, stated, wanted=wanted, topic=topic)
            turned.append(name)
            continue
        late = comes_last(topic.network, frozenset({wanted}), name)
        kept = tuple(sorted(stated, key=lambda one: one[0] in late))
        gone: list[str] = []
        while True:
            trial = _with_room(asked, kept, wanted, topic)
            now = _used(trial, wanted, topic)
            if {name, *turned} <= {*now}:
                order, stated = replace(trial, aside=(*trial.aside, *gone)), kept
                order, stated = _freed(name, order, asked, stated, wanted=wanted, topic=topic)
                turned.append(name)
                break
            # Where standing values have to help, as those of the air, coming last does not set it aside.
            making = [one for one, _ in kept if one in late and one in now]
            if not making:
                break
            gone.append(making[-1])
            kept = tuple(one for one in kept if one[0] not in gone)
    return replace(order, turned=tuple(turned)) if turned else order


def _freed(
    name: str,
    order: Order,
    asked: tuple[str, ...],
    stated: tuple[tuple[str, str], ...],
    *,
    wanted: str,
    topic: Topic,
) -> tuple[Order, tuple[tuple[str, str], ...]]:
    """Leave out what was assumed of that which the wanted itself makes: an air of 1 °C has its own density.

    Nor does an estimated load stand where a cabin is asked for; an estimated density does.
    """
    used, made = _used(order, wanted, topic), follow_from(topic.network, wanted)
    others = [one for one in asked if one != name]
    follows = topic.network.reach([wanted, *others], standing=True)
    loose = [
        one
        for one, origin in stated
        if one in made & follows
        and (origin == "assumed" or (origin not in _FIRM and one not in _OF_THE_AIR))
    ]
    loose = loose if {*loose} & {*used} else []
    kept = tuple(one for one in stated if one[0] not in loose)
    trial = _with_room(asked, kept, wanted, topic) if loose else order
    if not loose or name not in _used(trial, wanted, topic):
        return order, stated
    return replace(trial, aside=(*trial.aside, *loose)), kept


def _without_turned(order: Order, asked: tuple[str, ...], wanted: str, topic: Topic) -> Order:
    """Leave out conditions by which a load would be turned back into weather, where an answer remains."""
    for name in asked:
        if name in order.taken and _turns_back(name, order, asked, wanted, topic):
            less = replace(order, taken=tuple(one for one in order.taken if one != name))
            order = less if _used(less, wanted, topic) else order
    return order


def _turns_back(name: str, order: Order, asked: tuple[str, ...], wanted: str, topic: Topic) -> bool:
    """Say whether a condition serves to find weather, road or speed out of what all of them cause.

    A load that was stated says nothing of how cold it is where the cabin is asked for: other cabins have
    other loads. A load that is asked for, too, is that of this very drive.
    """
    plan = topic.network.plan_if_any(wanted, order.taken)
    if plan is None or name not in needed_of(plan):
        return False
    behind: dict[str, frozenset[str]] = {}
    mine = follow_from(topic.network, name)
    for step in (*plan.groundwork, *plan.steps):
        known = (behind.get(one, frozenset({one})) for one in step.needs)
        behind[step.find] = frozenset[str]().union(*known)
        if step.find in _MET and step.find != wanted and name in behind[step.find]:
            both = mine & follow_from(topic.network, step.find)
            if both & ({*order.taken} - {*asked}) & behind[step.find]:
                return True
    return False


def _used(order: Order, wanted: str, topic: Topic) -> tuple[str, ...]:
    plan = topic.network.plan_if_any(wanted, order.taken)
    return () if plan is None else needed_of(plan)


def _heard(name: str, order: Order, asked: tuple[str, ...], wanted: str, topic: Topic) -> bool:
    """Say whether a condition is reckoned with, takes a fact's place, or is compared with one that stands."""
    used = _used(order, wanted, topic)
    if _turns_back(name, order, asked, wanted, topic):
        return False
    told = [*order.gave_way.values()]
    if name in CIRCUMSTANCES:
        # What is stated of another vehicle does not stand against a change: it would only silence it.
        told += [order.stands.get(one, ()) for one in used]
    return name in used or name in order.aside or any(name in names for names in told)


def take_in_turn(
    topic: Topic,
    wanted: str,
    names: tuple[str, ...],
    asked: Collection[str],
    origins: Mapping[str, str],
) -> tuple[str, ...]:
    """Return which of the rows that a board could start with it takes: those that say something new.

    Parameters
    ----------
    topic : Topic
    wanted : str
    names : tuple of str
        In the order in which they are offered, the asked ones anywhere among them.
    asked : collection of str
    origins : mapping of str to str
        Of those that a sheet states.

    Returns
    -------
    tuple of str
    """
    rows = tuple(name for name in names if name != wanted)
    assumed = frozenset(name for name in rows if origins.get(name) == "assumed")
    first = tuple(name for name in rows if name in asked)
    rest = tuple(name for name in rows if name not in asked)
    return _sorted(first, rest, assumed, wanted, topic).taken


def _grantable(topic: Topic, stated: set[str], wanted: str) -> tuple[str, ...]:
    """Return what may be taken for granted, without what the question itself is about."""
    targets = {one.names[0] for one in topic.network.standing}
    # What the facts themselves make, as the pack's loss where its resistance is known.
    follows = {one.names[0]: {*one.unless} for one in topic.network.standing if one.unless}
    # The question's own answer counts as known: how many cells there are makes their resistance, too.
    here = frozenset((stated | {wanted}) & {*topic.network.names})
    made = here | (reach(here, topic=topic) if follows and here else frozenset())
    return tuple(
        name
        for name in GRANTED
        if name in targets
        and name not in stated
        and name != wanted
        and not follows.get(name, _NEVER) <= made
        and wanted not in reach(frozenset({name}), topic=topic)
    )


@lru_cache(maxsize=64)
def _helped(topic: Topic, without: frozenset[str]) -> Network:
    """Return a topic's network with the standing values that help a condition against a fact."""
    return topic.network.with_standing({*GRANTED, *_AIR} - without)


@lru_cache(maxsize=1024)
def _in_question(topic: Topic, wanted: str) -> frozenset[str]:
    """Return the standing values that would answer for the wanted: what it is, the question asks."""
    alone = topic.network.plan_if_any(wanted, ())
    together = () if alone is None else tuple(one.names[0] for one in alone.standing)
    return frozenset(
        one
        for one in (*GRANTED, *_AIR)
        if one in {wanted, *together} or wanted in reach(frozenset({one}), topic=topic)
    )


class _Walk:
    """One pass over names in the order in which they are taken."""

    def __init__(
        self, topic: Topic, asked: tuple[str, ...], stated: tuple[str, ...], wanted: str
    ) -> None:
        self.topic, self.asked = topic, {*asked}
        self.network = _helped(topic, _in_question(topic, wanted))
        self.stated = {*stated} - {*_AIR}  # the air's facts settle among themselves who gives way
        self.taken: list[str] = []
        self.granted: list[str] = []
        self.aside: list[str] = []
        self.gave_way: dict[str, tuple[str, ...]] = {}
        self.stands: dict[str, tuple[str, ...]] = {}

    @property
    def known(self) -> frozenset[str]:
        return frozenset((*self.taken, *self.granted))

    def new(self, name: str) -> bool:
        return not self.known or name not in reach(self.known, topic=self.topic)

    def take(self, name: str) -> None:
        (self.taken if self.new(name) else self.aside).append(name)

    def grant(self, name: str) -> None:
        if self.new(name):
            self.granted.append(name)

    def state(self, name: str, *, assumed: bool) -> None:
        new = self.new(name)
        needed = self.needed(name, assumed=assumed)
        told = tuple(one for one in needed if one in self.asked)
        air = self.asked | CIRCUMSTANCES
        weather = bool(told) and _OF_THE_AIR.issuperset((name, *needed))
        # A drive efficiency does not follow from a speed, though with a quoted consumption the speed would tell it.
        made = any(name in follow_from(self.topic.network, one) for one in told)
        if told and assumed and ((new and made) or air.issuperset(needed)):
            self.gave_way[name] = told
        elif new or (weather and self.asked.issuperset(needed)):
            self.taken.append(name)
            if told:
                self.stands[name] = told
        else:
            self.aside.append(name)

    def needed(self, name: str, *, assumed: bool) -> tuple[str, ...]:
        """Return what determines a fact before it is heard, standing values helping."""
        if not self.asked:
            return ()
        if assumed and self.topic is not vehicle:
            return self._determined(name)
        if name not in self.network.reach(sorted(self.known), standing=True):
            return ()
        plan = self.network.plan_if_any(name, tuple(self.taken))
        if plan is None or any(one.names[0] in self.stated for one in plan.standing):
            return ()
        return needed_of(plan)

    def _determined(self, name: str) -> tuple[str, ...]:
        """Return what determines an assumed fact, with every standing value or what is stated in its place."""
        network = self.topic.network
        stated = {one.names[0] for one in network.standing} & self.stated - {name}
        plan = network.plan_if_any(name, tuple(dict.fromkeys((*self.taken, *sorted(stated)))))
        # Standing values say what a condition makes, and nothing of what would make it.
        if plan is None or name not in comes_last(network, frozenset(self.asked)):
            return ()
        return needed_of(plan)


def needed_of(plan: Plan) -> tuple[str, ...]:
    """Return the known quantities that a plan does not do without."""
    return plan.heard


def _firmest(
    plan: Plan, order: Order, facts: Mapping[str, Fact], asked: set[str], topic: Topic
) -> Plan:
    """Take what deserves more trust where it says the same, with no more standing values than before.

    Of a motor's power and a top speed neither determines the other without standing values, so that both count
    as new; what rests on the power still takes it from the measured one, and not from the quoted speed.
    """
    ranks = {name: distrust(facts[name]) for name in order.taken if name not in asked}
    for name in sorted(ranks, key=lambda one: -ranks[one]):
        used = {*needed_of(plan)}
        firmer = {one for one in ranks if ranks[one] < ranks[name]}
        if name not in used or firmer <= used:
            continue
        left = tuple(one for one in plan.known if one != name)
        if plan.wanted not in reach(frozenset(left), standing=True, topic=topic):
            continue
        way = topic.network.plan_if_any(plan.wanted, left)
        if way is None or way.half_known.keys() - plan.half_known.keys():
            continue
        new = {*needed_of(way)} - used
        if new and new <= firmer and _stood_in(way) <= _stood_in(plan):
            plan = way
    return plan


def _stood_in(plan: Plan) -> frozenset[str]:
    """Return what stands in for what nobody stated; a limit of which nothing is said is none."""
    return frozenset(one.names[0] for one in plan.standing if one.sides[1] != math.inf)


def choose(
    facts: Mapping[str, Fact],
    wanted: str,
    conditions: Mapping[str, Fact],
    topic: Topic = vehicle,
    *,
    reason: bool = True,
) -> Choice:
    """Choose the facts that a question rests on.

    Parameters
    ----------
    facts, conditions : mapping of str to Fact
        A condition takes the place of the sheet's own value.
    wanted : str
    topic : Topic
    reason : bool
        Whether a refusal says what is missing, which takes long to find out.

    Returns
    -------
    Choice

    Raises
    ------
    TooLittleKnownError
        If the sheet and the conditions do not determine the wanted.
    """
    home = at_home(facts, conditions)
    order = put_in_order(facts, conditions, wanted, topic=topic, at_home=home)
    every = {**facts, **conditions}
    plan = topic.network.plan_if_any(wanted, order.taken)
    if plan is None or (conditions and not plan.heard):
        # What a sheet states for other questions may go unheard; not what is asked for.
        plan = topic.network.plan(wanted, order.taken, reason=reason)
    plan = _firmest(plan, order, every, {*conditions}, topic)
    unsaid = left_out(plan)
    used = tuple(name for name in order.taken if name in needed_of(plan))
    if used != order.taken:
        plan = topic.network.plan(wanted, used)
    return Choice(
        Question(topic.name, wanted, used),
        plan,
        {name: every[name] for name in used},
        order,
        facts,
        conditions,
        topic,
        unsaid,
    )
