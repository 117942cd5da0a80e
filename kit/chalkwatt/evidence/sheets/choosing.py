"""Choosing: which facts of a sheet a question rests on.

A sheet may say one thing twice. Facts are taken in this order, and one that those before it already
determine is set aside as a check:

1. the conditions of the question, which take the place of the sheet's own values;
2. what a question that does not mention it takes for granted: no wind, a level road, standard gravity,
   no force that grows with speed, nothing recovered, no losses beside the drive's efficiency.
   Without these, any consumption at all agrees with any road, given
   the wind for it;
3. the facts by trust: measured, counted, quoted, estimated, assumed, and narrower ranges first. So of
   a set of facts that say one thing twice, the least trusted is the one set aside, and an answer
   follows the way of the others. A quoted consumption does not outdo a measured road; a measured
   consumption outdoes an assumed tyre.

An *assumed* fact that the conditions determine gives way to them: an assumed density of the air to a
temperature or an altitude that is asked for. Of the standing values only what a question takes for
granted and the air's help in that: any other stands in for what nobody stated, such as a climate that
is switched off, and nothing that is stated gives way to it. Any other fact stands, and
:mod:`chalkwatt.sheets.conflicts` says so where the conditions would have it otherwise.

Where a topic knows several ways that exclude each other, such as direct and alternating current, the
question chooses one and the sheet's facts of the others are left out; where it does not, a way that the
sheet states something of is assumed, and that is told.

The choice is structural: values play no part in it.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from functools import lru_cache
from typing import TYPE_CHECKING

from chalkwatt.rendering.limits import left_out
from chalkwatt.sheets.facts import ORIGINS, Fact
from chalkwatt.spread import Question
from chalkwatt.topics.vehicle import vehicle

if TYPE_CHECKING:
    from collections.abc import Collection, Iterable, Mapping

    from chalkwatt.planning import Network
    from chalkwatt.plans import Plan
    from chalkwatt.topic import Topic
    from chalkwatt.ways import Way

__all__ = [
    "CIRCUMSTANCES",
    "GRANTED",
    "Choice",
    "Order",
    "by_trust",
    "choose",
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
)
# Standing values of the air, which with a condition determine what else is stated of it.
_AIR = ("altitude", "air_temperature")
# What a drive meets. Anything else that is asked for changes the vehicle, and what the sheet says of the
# vehicle cannot contradict that.
_NEVER = frozenset({""})
CIRCUMSTANCES = frozenset(
    {
        "speed",
        "headwind",
        "grade",
        "altitude",
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
        Assumed facts that the conditions determine, and those conditions.
    stands : dict of str to tuple of str
        Other facts of which the same holds; they are taken all the same.
    way : Way or None
        Of several ways to do a thing, the one that was taken.
    way_assumed : bool
        Whether the question left the way open.
    """

    taken: tuple[str, ...]
    granted: tuple[str, ...]
    aside: tuple[str, ...]
    gave_way: dict[str, tuple[str, ...]] = field(default_factory=dict)
    stands: dict[str, tuple[str, ...]] = field(default_factory=dict)
    way: Way | None = None
    way_assumed: bool = False


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
    """Return the names of facts, the most trustworthy and narrowest first, those derived elsewhere last."""

    def rank(name: str) -> tuple[int, float]:
        fact = facts[name]
        stated = fact.origin in ORIGINS
        return (ORIGINS.index(fact.origin) if stated else len(ORIGINS), fact.width)

    return tuple(sorted((name for name in facts if name in topic.network.names), key=rank))


def put_in_order(
    facts: Mapping[str, Fact],
    conditions: Iterable[str] = (),
    wanted: str = "",
    *,
    topic: Topic = vehicle,
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

    Returns
    -------
    Order

    Raises
    ------
    TooMuchKnownError
        If conditions and wanted belong to ways that exclude each other.

    Examples
    --------
    >>> from chalkwatt.sheets.choosing import put_in_order
    >>> from chalkwatt.sheets.facts import make_fact
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
    order = _sorted(asked, by_trust(own, topic), assumed, wanted, topic)
    return order if way is None else replace(order, way=way, way_assumed=way_assumed)


@lru_cache(maxsize=2048)
def _sorted(
    asked: tuple[str, ...],
    names: tuple[str, ...],
    assumed: frozenset[str],
    wanted: str,
    topic: Topic,
) -> Order:
    walk = _Walk(topic, asked, names)
    for name in asked:
        walk.take(name)
    for name in _grantable(topic, {*asked, *names}, wanted):
        walk.grant(name)
    for name in names:
        walk.state(name, assumed=name in assumed)
    return Order(
        tuple(walk.taken), tuple(walk.granted), tuple(walk.aside), walk.gave_way, walk.stands
    )


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
def _helped(topic: Topic) -> Network:
    """Return a topic's network with the standing values that help a condition against a fact."""
    return topic.network.with_standing({*GRANTED, *_AIR})


class _Walk:
    """One pass over names in the order in which they are taken."""

    def __init__(self, topic: Topic, asked: tuple[str, ...], stated: tuple[str, ...]) -> None:
        self.topic, self.asked = topic, {*asked}
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
        needed = self.needed(name)
        told = tuple(one for one in needed if one in self.asked)
        air = self.asked | CIRCUMSTANCES
        if told and assumed and (new or air.issuperset(needed)):
            self.gave_way[name] = told
        elif new:
            self.taken.append(name)
            if told:
                self.stands[name] = told
        else:
            self.aside.append(name)

    def needed(self, name: str) -> tuple[str, ...]:
        """Return what determines a fact before it is heard, standing values helping."""
        if not self.asked:
            return ()
        network = _helped(self.topic)
        if name not in network.reach(sorted(self.known), standing=True):
            return ()
        plan = network.plan_if_any(name, tuple(self.taken))
        if plan is None or any(one.names[0] in self.stated for one in plan.standing):
            return ()
        return needed_of(plan)


def needed_of(plan: Plan) -> tuple[str, ...]:
    """Return the known quantities that a plan does not do without."""
    needed = {name for step in (*plan.groundwork, *plan.steps) for name in step.needs}
    return tuple(name for name in plan.known if name in needed)


def choose(
    facts: Mapping[str, Fact],
    wanted: str,
    conditions: Mapping[str, Fact],
    topic: Topic = vehicle,
) -> Choice:
    """Choose the facts that a question rests on.

    Parameters
    ----------
    facts, conditions : mapping of str to Fact
        A condition takes the place of the sheet's own value.
    wanted : str
    topic : Topic

    Returns
    -------
    Choice

    Raises
    ------
    TooLittleKnownError
        If the sheet and the conditions do not determine the wanted.
    """
    order = put_in_order(facts, conditions, wanted, topic=topic)
    plan = topic.network.plan(wanted, order.taken)
    unsaid = left_out(plan)
    used = tuple(name for name in order.taken if name in needed_of(plan))
    if used != order.taken:
        plan = topic.network.plan(wanted, used)
    every = {**facts, **conditions}
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
