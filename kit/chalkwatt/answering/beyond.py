"""Beyond a limit: a given value that a given limit does not allow.

Where a relation says that a quantity is the least of several, a known one of them bounds it. A question that
knows the quantity by another way does without that relation, and nothing would notice that the limit is passed:
a charging current of the pack's capacity an hour, at a station that gives half of that.

Two products are compared without what stands in both: of a current and a greatest current the voltage need not be
known. A share that nobody stated is at most one.
"""

from __future__ import annotations

import functools
import math
from functools import lru_cache
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from chalkwatt.algebra.numpy_tree import compile_tree
from chalkwatt.algebra.trees import names
from chalkwatt.errors import TooMuchKnownError
from chalkwatt.laws.quantities import constants, look_up
from chalkwatt.planning.network import Network
from chalkwatt.rendering.limits import least_of
from chalkwatt.wording.numbers import as_percent, with_unit

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping

    from chalkwatt.algebra.trees import Tree
    from chalkwatt.answering.topic import Topic
    from chalkwatt.laws.relations import Relation
    from chalkwatt.planning.plans import Plan
    from chalkwatt.wording.given import Floats, Truths

    _Product = dict[str, float]  # the power of each of its factors
    _Factors = frozenset[tuple[str, float]]

__all__ = ["check_limits"]

_SAME = 1e-3  # relative; nobody states a limit, or a value, more exactly than that
_FEW = 5  # elements of an array that a note names
_DEEP = 3  # relations that a product is written by


class _Limited(NamedTuple):
    """A relation by which a quantity is the least of several, or a share of that."""

    relation: Relation
    whole: str
    # What each of the several bounds the quantity to, and which of its names belong to it alone.
    bounds: tuple[tuple[Tree, frozenset[str]], ...]
    # With all of these known another one says it better.
    unless: frozenset[str] = frozenset()
    declared: bool = False


class _Known(NamedTuple):
    """What a quantity can be, and the given ones that this rests on."""

    low: Floats
    high: Floats
    behind: tuple[str, ...]


def check_limits(
    topic: Topic,
    wanted: str,
    known: frozenset[str],
    ends: Callable[[str | Plan], tuple[Floats, Floats]],
) -> tuple[Truths, str, frozenset[str]]:
    """Refuse a question in which a known value is beyond a known limit.

    Parameters
    ----------
    topic : Topic
    wanted : str
        Its own standing value is no help, nor one that follows from it: what it is, the question asks.
    known : frozenset of str
    ends : callable
        Takes a known quantity, or a plan for another, and returns its least and its greatest value.

    Returns
    -------
    ndarray of bool
        Of arrays: which elements are beyond a limit.
    str
        What is to be said of those; empty where there are none.
    frozenset of str
        The given values that this rests on.

    Raises
    ------
    TooMuchKnownError
        If the least possible value is beyond the greatest possible limit, of arrays everywhere.
    """
    asked = _in_question(topic, wanted, known)
    over: list[_Over] = []
    for one in _limited(topic):
        without = (one.relation, *asked)
        settled = _settled(topic, without, known)
        network = _network_without(topic, without)
        if one.unless and settled.issuperset(one.unless):
            continue

        @functools.cache
        def met(
            name: str,
            network: Network = network,
            settled: frozenset[str] = settled,
            one: _Limited = one,
        ) -> _Known | None:
            found = _known(network, name, known, ends) if name in settled else None
            # What rests on standing values alone nobody said: it may stand beside what is, on a level road.
            standing = one.declared and name != one.whole
            return found if found and (found.behind or standing) else None

        for bound in one.bounds:
            over += _compared(one, bound, met, _products(topic, without))
    beyond = [one for one in over if np.any(one.where)]
    if not beyond:
        return np.False_, "", frozenset()
    every = functools.reduce(np.logical_or, (one.where for one in beyond))
    if np.all(every):
        raise beyond[0].error()
    notes = " ".join(dict.fromkeys(one.note() for one in beyond))
    return every, notes, frozenset(name for one in beyond for name in one.involved)


class _Over(NamedTuple):
    """A value beside what a limit allows of it."""

    relation: Relation
    name: str
    value: Floats
    limit: Floats
    words: tuple[str, ...]
    involved: tuple[str, ...]

    @property
    def where(self) -> Truths:
        return np.asarray(self.value > self.limit * (1 + _SAME))

    def _said(self) -> tuple[float, float, str]:
        """Return the first value that is beyond the limit, that limit, and which of several it is."""
        value, limit, where = np.broadcast_arrays(self.value, self.limit, self.where)
        first = int(np.argmax(where))
        return float(value.ravel()[first]), float(limit.ravel()[first]), str(first + 1)

    def _sentence(self) -> str:
        value, limit, _ = self._said()
        entry = look_up(self.name)
        unit = entry.display[0]
        shown, top = (with_unit(float(entry.in_unit(si)), unit) for si in (value, limit))
        words = " and ".join(self.words)
        return (
            f"the {entry.words} would be {shown}, and the {words} "
            f"{'allow' if len(self.words) > 1 else 'allows'} no more than {top} (“{self.relation.title}”)"
        )

    def note(self) -> str:
        """Say which elements of an array are beyond the limit."""
        places = [str(place + 1) for place in np.flatnonzero(np.ravel(self.where))]
        few = f"{', '.join(places[:_FEW])}{' …' if len(places) > _FEW else ''}"
        return (
            f"Of {np.size(self.where)} values {len(places)} {'are' if len(places) > 1 else 'is'} beyond a limit "
            f"and left out (number {few}): {self._sentence()}."
        )

    def error(self) -> TooMuchKnownError:
        value, limit, _ = self._said()
        entry = look_up(self.name)
        return TooMuchKnownError(
            f"Too much is known, and it disagrees: {self._sentence()}: "
            f"{as_percent(1 - limit / value, 3)} apart.",
            quantity=self.name,
            value=float(entry.in_unit(value)),
            unit=entry.display[0],
            limit=float(entry.in_unit(limit)),
            relation=self.relation.title,
            disagreement=1 - limit / value,
            involved=self.involved,
            advice=f"Leave out one of {', '.join(self.involved)}, or correct it.",
        )


def _compared(
    one: _Limited,
    bound: tuple[Tree, frozenset[str]],
    met: Callable[[str], _Known | None],
    products: Mapping[str, tuple[_Product, ...]],
) -> Iterator[_Over]:
    """Yield a value beside what one bound allows of it, by numbers or, where some are not known, by products."""
    tree, own = bound
    found = {name: met(name) for name in dict.fromkeys((one.whole, *names(tree)))}
    here = {name: each for name, each in found.items() if each is not None}
    here_or_constant = {*here, *constants()}
    if here_or_constant.issuperset(found):
        limit = compile_tree(tree)({**constants(), **{n: k.high for n, k in here.items()}})
        words = tuple(
            look_up(name).words
            for name in dict.fromkeys(names(tree))
            if name in own - {*constants()}
        )
        involved = dict.fromkeys(name for each in here.values() for name in each.behind)
        yield _Over(one.relation, one.whole, here[one.whole].low, limit, words, tuple(involved))
        return
    top = _product(tree)
    if top is None:
        return
    limits = [(_unknown(made, met), made) for made in _written(top, met, products)]
    for value in _written({one.whole: 1.0}, met, products):
        left = _unknown(value, met)
        meets = {unknown: _can_be_left_out(left, unknown) for unknown, _ in limits}
        for unknown, limit_of in limits:
            over = _by_products(one, value, limit_of, met) if meets[unknown] else None
            if over is not None:
                yield over
                return


def _unknown(product: _Product, met: Callable[[str], _Known | None]) -> _Factors:
    """Return the factors of which nothing is known."""
    return frozenset(
        (name, power)
        for name, power in product.items()
        if met(name) is None and name not in constants()
    )


def _is_share(name: str) -> bool:
    """Say whether a quantity is a share or a factor, whose greatest value needs no statement."""
    entry = look_up(name)
    return entry.unit == "" and math.isfinite(entry.bounds[1])


@lru_cache(maxsize=65536)
def _can_be_left_out(value: _Factors, limit: _Factors) -> bool:
    """Say whether what is unknown in two products stands in both, or has a greatest value."""
    powers = dict(limit)
    for name, power in value:
        powers[name] = powers.get(name, 0.0) - power
    return all(power == 0 or (power > 0 and _is_share(name)) for name, power in powers.items())


def _by_products(
    one: _Limited, value: _Product, limit: _Product, met: Callable[[str], _Known | None]
) -> _Over | None:
    """Compare two products without what stands in both, and with shares at their greatest."""
    powers = {
        name: limit.get(name, 0.0) - value.get(name, 0.0)
        for name in dict.fromkeys((*value, *limit))
        if limit.get(name, 0.0) != value.get(name, 0.0)
    }
    most: Floats = 1.0
    behind: dict[str, None] = {}
    for name, power in powers.items():
        each = met(name)
        if each is not None:
            end = each.high if power > 0 else each.low
            behind |= dict.fromkeys(each.behind)
        elif name in constants():
            end = constants()[name]
        else:
            if power < 0 or not _is_share(name):
                return None
            end = look_up(name).bounds[1]
        with np.errstate(all="ignore"):
            most = most * np.asarray(end) ** power
    judged = [name for name, power in powers.items() if power == -1 and met(name) is not None]
    allowing = [name for name, power in powers.items() if power > 0 and met(name) is not None]
    if not judged or not allowing:
        return None
    name = one.whole if one.whole in judged else judged[0]
    here = met(name)
    if here is None:
        return None
    words = tuple(look_up(each).words for each in allowing)
    return _Over(one.relation, name, here.low, here.low * most, words, tuple(behind))


def _written(
    product: _Product,
    met: Callable[[str], _Known | None],
    products: Mapping[str, tuple[_Product, ...]],
) -> list[_Product]:
    """List a product, and the same with what is not known in it written by what makes that; each once."""
    made: dict[frozenset[tuple[str, float]], _Product] = {}
    fresh = [(product, frozenset[str]())]
    while fresh:
        one, passed = fresh.pop(0)
        key = frozenset(one.items())
        if key in made:
            continue
        made[key] = one
        for name, power in one.items():
            if name in passed or len(passed) >= _DEEP or met(name) is not None:
                continue
            for other in products.get(name, ()):
                more = {each: p for each, p in one.items() if each != name}
                for part, p in other.items():
                    more[part] = more.get(part, 0.0) + p * power
                fresh.append((more, passed | {name}))
    return list(made.values())


@lru_cache(maxsize=64)
def _products(topic: Topic, without: tuple[Relation, ...]) -> dict[str, tuple[_Product, ...]]:
    """Return what is a product of others, by each of the relations that say so."""
    made: dict[str, tuple[_Product, ...]] = {}
    for relation in topic.network.strong:
        sides = [_product(side) for side in relation.sides]
        if relation in without or sides[0] is None or sides[1] is None:
            continue
        both = dict(sides[0])
        for name, power in sides[1].items():
            both[name] = both.get(name, 0.0) - power
        for name, power in both.items():
            if abs(power) == 1 and look_up(name).constant is None:
                rest = {one: -p / power for one, p in both.items() if one != name}
                made[name] = (*made.get(name, ()), rest)
    return made


def _product(tree: Tree) -> _Product | None:
    """Return the powers of which a tree is a plain product, if it is one."""
    if isinstance(tree, str):
        return {tree: 1.0}
    if not isinstance(tree, tuple) or tree[0] not in {"*", "/"}:
        return None
    made: _Product = {}
    for place, part in enumerate(tree[1:]):
        inner = _product(part)
        if inner is None:
            return None
        for name, power in inner.items():
            sign = -1 if tree[0] == "/" and place else 1
            made[name] = made.get(name, 0.0) + sign * power
    return made


def _known(
    network: Network,
    name: str,
    known: frozenset[str],
    ends: Callable[[str | Plan], tuple[Floats, Floats]],
) -> _Known | None:
    """Return what a quantity can be."""
    if name in known:
        return _Known(*ends(name), (name,))
    plan = network.plan_if_any(name, sorted(known))
    if plan is None:
        stands = (one.sides[1] for one in network.standing if one.names[0] == name)
        return next((_Known(one, one, ()) for one in stands if isinstance(one, int | float)), None)
    low, high = ends(plan)
    needed = {part for step in (*plan.groundwork, *plan.steps) for part in step.needs}
    behind = tuple(part for part in plan.known if part in needed)
    return _Known(low, high, behind) if np.any(np.isfinite(low)) else None


@lru_cache(maxsize=32)
def _limited(topic: Topic) -> tuple[_Limited, ...]:
    found: dict[str, _Limited] = {}
    for relation in topic.network.strong:
        for whole, side in (relation.sides, relation.sides[::-1]):
            for least in least_of(side) if isinstance(whole, str) else ():
                shared = {*names(_with(side, least, 1.0))}
                bounds = tuple(
                    (_with(side, least, part), frozenset(names(part)) - shared)
                    for part in least[1:]
                )
                found[str(whole)] = _Limited(relation, str(whole), bounds)
    # What a topic says is bounded by what another relation works out, though no relation joins the two.
    standing = {one.names[0] for one in topic.network.standing if one.sides[1] != math.inf}
    declared = [
        _Limited(
            by,
            whole,
            ((tree, frozenset({*names(tree)} & {*by.names} - standing)),),
            unless,
            declared=True,
        )
        for whole, by, tree, unless in topic.limits
    ]
    return tuple(
        one._replace(bounds=tuple(more for bound in one.bounds for more in _deeper(bound, found)))
        for one in (*found.values(), *declared)
    )


def _deeper(
    bound: tuple[Tree, frozenset[str]], found: Mapping[str, _Limited]
) -> Iterator[tuple[Tree, frozenset[str]]]:
    """Yield a bound, and those of what bounds: of a station's several limits one may be known."""
    yield bound
    tree, own = bound
    for name in own & {*found}:
        for other, others in found[name].bounds:
            yield from _deeper((_with(tree, name, other), (own - {name}) | others), found)


def _with(tree: Tree, old: Tree, new: Tree) -> Tree:
    if tree is old or (isinstance(tree, str) and tree == old):
        return new
    if not isinstance(tree, tuple):
        return tree
    return (tree[0], *(_with(part, old, new) for part in tree[1:]))


@lru_cache(maxsize=4096)
def _in_question(topic: Topic, wanted: str, known: frozenset[str]) -> tuple[Relation, ...]:
    """Return the standing values that the wanted would settle in their place, its own among them."""
    there = {*known, *topic.network.constants}
    following = {
        name
        for relation in topic.network.strong
        if wanted in relation.names
        for name in relation.names
        if there.issuperset({*relation.names} - {wanted, name})
    }
    plan = topic.network.plan_if_any(wanted, sorted(known))
    # What the answer itself rests on is no question: a vehicle that brakes comes to rest.
    relied = set() if plan is None else {one.names[0] for one in plan.standing}
    open_to_it = {wanted, *(following - relied)}
    return tuple(one for one in topic.network.standing if one.names[0] in open_to_it)


@lru_cache(maxsize=4096)
def _settled(topic: Topic, without: tuple[Relation, ...], known: frozenset[str]) -> frozenset[str]:
    # A limit of which nothing is said leaves the least of several to the others.
    here = known | _unsaid(topic)
    reached = topic.network.reach(sorted(here), standing=True, without=without)
    return frozenset((*known, *reached, *topic.network.constants))


@lru_cache(maxsize=32)
def _unsaid(topic: Topic) -> frozenset[str]:
    """Return limits that stand in a least of several beside what is no limit: a torque, beside what tyres hold."""
    endless = {one.names[0] for one in topic.network.standing if one.sides[1] == math.inf}
    return frozenset(
        name
        for relation in topic.network.strong
        for side in relation.sides
        for least in least_of(side)
        if any(endless.isdisjoint(names(part)) for part in least[1:])
        for part in least[1:]
        for name in names(part)
        if name in endless
    )


@lru_cache(maxsize=32)
def _network_without(topic: Topic, without: tuple[Relation, ...]) -> Network:
    network = topic.network
    return Network(
        network.name,
        tuple(one for one in network.relations if one not in without),
        tuple(group for group in network.dependent if not {*without} & {*group}),
    )
