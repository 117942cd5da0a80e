"""Planning: the ordered way from what is known to what is wanted.

Planning looks at which relation holds which quantity, never at the values given.

1. Relations that say nothing new beside others and the known quantities are set aside.
2. The rest are matched to unknown quantities (augmenting paths). What an alternating path
   from an unmatched quantity reaches is not determined (Dulmage and Mendelsohn, 1958).
3. If the wanted is not determined, standing values are taken in, one at a time and only for
   quantities that nothing given determines; a standing nought is folded away.
4. The matched pairs are ordered into blocks; a block of one is turned round, a larger block is
   torn: one quantity is solved for, the others follow from it.
5. Whatever the wanted does not need is left out.
"""

from __future__ import annotations

import itertools
import math
from contextlib import suppress
from dataclasses import dataclass, field
from functools import cached_property
from typing import TYPE_CHECKING

from chalkwatt.algebra import trees
from chalkwatt.errors import ChalkwattError, TooLittleKnownError
from chalkwatt.laws.quantities import look_up
from chalkwatt.planning.folding import fold
from chalkwatt.planning.independence import Gradients
from chalkwatt.planning.plans import Plan, Step
from chalkwatt.planning.systems import System, TogetherError

if TYPE_CHECKING:
    from collections.abc import Collection, Iterable, Iterator, Sequence

    from chalkwatt.laws.relations import Relation

__all__ = ["Network", "Plan", "Step"]

_FEW_TRIED = 8  # of those that hardly help
_MOST_TRIED = 40  # choices of relations that are looked at where the usual ones determine nothing


@dataclass
class Network:
    """Relations, and what is known of how they hang together.

    Parameters
    ----------
    name : str
        Name of the topic.
    relations : tuple of Relation
        Standing relations among them are used only where nothing else determines their left side.
    dependent : tuple of tuples of Relation
        Groups in which any one relation follows from the others; the last is left out unless it is
        needed.
    forwards : bool
        Whether a least of several limits makes nothing but what it finds.
    """

    name: str
    relations: tuple[Relation, ...]
    dependent: tuple[tuple[Relation, ...], ...] = ()
    forwards: bool = False
    _plans: dict[tuple[frozenset[str], str], Plan | None] = field(default_factory=dict, repr=False)
    _torn: dict[tuple[frozenset[str], str], TogetherError] = field(default_factory=dict, repr=False)
    _one_way: list[Network] = field(default_factory=list, repr=False)
    _narrower: dict[frozenset[str], Network] = field(default_factory=dict, repr=False)
    _reasons: dict[tuple[frozenset[str], str], tuple[str, ...]] = field(
        default_factory=dict, repr=False
    )

    @cached_property
    def names(self) -> tuple[str, ...]:
        """Every quantity of the network except constants, in order of first use."""
        every = dict.fromkeys(one for relation in self.relations for one in relation.names)
        return tuple(one for one in every if look_up(one).constant is None)

    @cached_property
    def constants(self) -> frozenset[str]:
        """The constants that its relations use."""
        return frozenset(
            one
            for relation in self.relations
            for one in relation.names
            if look_up(one).constant is not None
        )

    @cached_property
    def strong(self) -> tuple[Relation, ...]:
        """The relations that always hold."""
        return tuple(one for one in self.relations if not one.standing)

    @cached_property
    def standing(self) -> tuple[Relation, ...]:
        """The standing values, in the order in which they are taken in."""
        return tuple(one for one in self.relations if one.standing)

    def with_standing(self, targets: Collection[str]) -> Network:
        """Return the same network with these standing values only.

        Parameters
        ----------
        targets : collection of str
            The quantities whose standing values are kept.

        Returns
        -------
        Network

        Examples
        --------
        >>> from chalkwatt import load
        >>> [one.title for one in load.network.with_standing({"grade"}).standing]
        ['Level road']
        """
        kept = tuple(one for one in self.relations if not one.standing or one.names[0] in targets)
        return Network(self.name, kept, self.dependent, self.forwards)

    def plan(self, wanted: str, known: Iterable[str], *, reason: bool = True) -> Plan:
        """Find the way from the known quantities to the wanted one.

        Parameters
        ----------
        wanted : str
        known : iterable of str
        reason : bool
            Whether a refusal says what would do, which takes long to find out.

        Returns
        -------
        Plan

        Raises
        ------
        NameUnknownError
            If a name is none of this network.
        TooLittleKnownError
            If the known quantities do not determine the wanted one, or not one step after another. So it is
            where some are given, none of them bears on it, and all that is left is what is taken for granted
            without them.

        Examples
        --------
        >>> from chalkwatt import load
        >>> plan = load.network.plan("air_force", ["speed", "drag_area", "air_density"])
        >>> [step.find for step in plan.steps]
        ['air_force']
        """
        given = tuple(known)
        key = frozenset(given), wanted
        if key not in self._plans:
            for one in (wanted, *given):
                look_up(one, self.names)
        if wanted in given:
            raise ChalkwattError(
                f"{wanted} is both wanted and given.",
                quantity=wanted,
                advice="Leave it out of the known quantities, or want another.",
            )
        plan = self.plan_if_any(wanted, given)
        if plan is None or (given and not plan.heard and not self._made_nought(plan)):
            # Whoever gives values asks what they make of it, and takes what stands without them for that.
            if not reason:
                raise TooLittleKnownError(f"Too little is known for {wanted}.", quantity=wanted)
            raise self._torn.get(key) or self._too_little(wanted, given, plan)
        return plan

    def plan_if_any(self, wanted: str, known: Iterable[str]) -> Plan | None:
        """Find the way, or None: for callers that need no reason, which takes long to find.

        Parameters
        ----------
        wanted : str
        known : iterable of str

        Returns
        -------
        Plan or None

        Examples
        --------
        >>> from chalkwatt import load
        >>> load.network.plan_if_any("air_force", ["speed"]) is None
        True
        """
        given = tuple(known)
        key = frozenset(given), wanted
        if key not in self._plans:
            way = None if wanted in given else self._way(wanted, given)
            plan = None
            try:
                plan = None if way is None else self._walked(way, wanted, given)
            except TogetherError as torn:
                self._torn[key] = torn.with_traceback(None)
            self._plans[key] = plan if plan is None else self._hearing(plan)
        return self._plans[key]

    def _made_nought(self, plan: Plan) -> bool:
        """Say whether what is known makes the wanted, but for a standing nought: the weight, of a force uphill."""
        if plan.final.forms != (0,):
            return False
        made = {*plan.known, *self.reach(plan.known)}
        return any(
            plan.wanted in one.sides and not made.isdisjoint(one.names) for one in self.strong
        )

    def _hearing(self, plan: Plan) -> Plan:
        """Prefer to what standing values alone make a plan that does without some of them and hears what is known."""
        if not plan.known or plan.heard:
            return plan
        every = {one.names[0] for one in self.standing}
        taken = [one.names[0] for one in reversed(plan.standing)]
        # These take the place of what the wanted is a part of: a cabin of which nothing is said is not heated.
        needless = {
            one.names[0]
            for one in self.standing
            if any(plan.wanted in other.names for other in one.instead_of)
        }
        for count in range(1, len(taken) + 1):
            for without in itertools.combinations(taken, count):
                for more in dict.fromkeys((frozenset(needless), frozenset[str]())):
                    fewer = self._standing_by(frozenset(every - {*without} - more))
                    other = fewer.plan_if_any(plan.wanted, plan.known)
                    if other is not None and other.heard:
                        return other
        return plan

    def _standing_by(self, targets: frozenset[str]) -> Network:
        if targets not in self._narrower:
            self._narrower[targets] = self.with_standing(targets)
        return self._narrower[targets]

    def _walked(self, way: System, wanted: str, known: tuple[str, ...]) -> Plan:
        """Put a way in order. Where no order can be walked, a dependent relation in another's place may help."""
        try:
            return way.plan(self.name, wanted)
        except TogetherError:
            # Those that differ least come first, and one far down was never of use.
            for variant in itertools.islice(self._variants(known, every=True), _MOST_TRIED):
                other = self._system(variant, known, self._firm, keep=wanted)
                if wanted not in other.determined:
                    other = self._standing_system(variant, known, wanted)
                # What stands for what nobody gave stays the same: only the order may differ.
                same = {*other.taken} == {*way.taken} and {*other.endless} == {*way.endless}
                if same and wanted in other.determined:
                    with suppress(TogetherError):
                        return other.plan(self.name, wanted)
            raise

    def _variants(
        self,
        known: Iterable[str],
        *,
        nearly: bool = False,
        every: bool = False,
        standing: Sequence[Relation] = (),
    ) -> Iterator[tuple[Relation, ...]]:
        """Every set of relations without a dependent one; the author's own choice first.

        A relation whose quantities are all given is a fact to check, never the one to leave out. A
        group is reshuffled only where that can help: where the relation left out holds something
        determined and something that is not; with ``nearly``, where but one quantity in it is open.
        With ``standing``, what standing values determine counts as determined; with ``every``, every group is
        reshuffled.
        """
        fixed = {*known, *self.constants}
        orders = [self._order(group, fixed) for group in self.dependent]
        usual = tuple(order[0] for order in orders)
        first = self._new(self._without(usual), fixed)
        yield first
        settled = fixed | self._system(first, tuple(known), standing).determined
        targets = {one.names[0] for one in self.standing if one.sides[1] != math.inf}
        zeros = {one.names[0] for one in self.standing if one.sides[1] == 0} - settled
        # What stands only beside something else may be what the relation is there to find.
        beside = {one.names[0] for one in self.standing if one.only_with}

        def helps(relation: Relation) -> bool:
            open_names = {*relation.names} - settled
            if nearly:
                # What a standing nought switches off need not be known.
                sides = (fold(side, zeros) for side in relation.sides)
                open_names &= {name for side in sides for name in trees.names(side)}
                left = open_names - targets  # a missing limit is no value
                return len(left) == 1 or (not left and not open_names.isdisjoint(beside))
            return 0 < len(open_names) < len(relation.names)

        open_orders = [order if every or helps(order[0]) else order[:1] for order in orders]
        choices = sorted(
            itertools.product(*open_orders),
            key=lambda chosen: sum(
                one is not other for one, other in zip(chosen, usual, strict=True)
            ),
        )
        for left_out in choices[1:]:
            if len(set(left_out)) == len(left_out):
                yield self._new(self._without(left_out), fixed)

    @staticmethod
    def _order(group: tuple[Relation, ...], fixed: set[str]) -> tuple[Relation, ...]:
        free = tuple(one for one in reversed(group) if not fixed.issuperset(one.names))
        return free or tuple(reversed(group))

    def _without(self, left_out: Collection[Relation]) -> tuple[Relation, ...]:
        return tuple(one for one in self.strong if one not in left_out)

    def _new(self, relations: Sequence[Relation], fixed: Collection[str]) -> tuple[Relation, ...]:
        """Leave out what says nothing new once these quantities are fixed."""
        return self._gradients.kept(relations, fixed)

    @cached_property
    def _firm(self) -> tuple[Relation, ...]:
        """The standing values that stand whatever else is known."""
        return tuple(one for one in self.standing if one.firm)

    def _system(
        self,
        relations: tuple[Relation, ...],
        known: tuple[str, ...],
        standing: Sequence[Relation],
        *,
        keep: str = "",
    ) -> System:
        return System(
            relations,
            known,
            self.constants,
            standing,
            keep=keep,
            stood_for=self._stood_for,
            forwards=self.forwards,
        )

    @cached_property
    def _stood_for(self) -> frozenset[str]:
        """What standing values make where nothing at all is known."""
        return self._gradients.determined(self.strong, (), self.standing) or frozenset()

    @cached_property
    def _gradients(self) -> Gradients:
        values = [one for one in self.standing if one.sides[1] != math.inf]
        return Gradients(self.strong, values, self.names)

    def _standing_system(
        self, variant: tuple[Relation, ...], known: tuple[str, ...], wanted: str
    ) -> System:
        """Take standing values in, and leave out the relations that say nothing new beside them."""
        standing = self.standing
        system = self._system(variant, known, standing, keep=wanted)
        instead = [one for one in system.taken if one.instead_of]
        for count in range(1, len(instead) + 1):
            # What gave way to a standing value may tell more, and take less for granted.
            for without in itertools.combinations(instead, count):
                fewer = tuple(one for one in self.standing if one not in without)
                other = self._system(variant, known, fewer, keep=wanted)
                # One that says when it is needless gives way to that alone, or to a shorter way.
                shorter = len(other.taken) < len(system.taken) and all(o.unless for o in without)
                if wanted in other.determined and (wanted not in system.determined or shorter):
                    standing, system = fewer, other
        while wanted in system.zeros:
            # Nothing given has a say in a nought that is taken for granted: look for another way.
            standing = tuple(one for one in standing if one not in system.zeros[wanted])
            other = self._system(variant, known, standing, keep=wanted)
            if wanted not in other.determined:
                return system
            system = other
        new = self._new((*system.taken, *variant), {*known, *self.constants})
        if len(new) < len(system.taken) + len(variant):
            left = tuple(one for one in variant if one in new)
            system = self._system(left, known, standing, keep=wanted)
        return system

    def _way(self, wanted: str, known: tuple[str, ...], *, deep: bool = True) -> System | None:
        way = self._any_way(wanted, known, deep=deep)
        if way is not None and way.backwards(wanted):
            way = self._limits_forwards(way, wanted, known)
        used = {*known} if way is None else way.way(wanted)[1]
        results = used & self._balanced
        if not results or wanted in self._stood_for:
            return way
        # What a balance finds, given beside what makes it, is no word on what is taken for granted there.
        rest = tuple(name for name in known if name not in results)
        other = self._any_way(wanted, rest, deep=False)
        if other is None or wanted in other.zeros:
            return way
        found, used = other.way(wanted)
        if not used or found & results:
            return way
        other.given = known
        return other

    def _limits_forwards(self, way: System, wanted: str, known: tuple[str, ...]) -> System:
        """Prefer a way on which a least of several limits is not turned round, and no standing value is made of it.

        A charging power or a C-rate that is given beside limits which allow more says nothing of the pack's
        voltage or resistance. What is given decides, then the least of the limits.
        """
        if self.forwards:
            return way
        if not self._one_way:
            rest = tuple(one for one in self.relations if not one.limits)
            self._one_way += [
                Network(self.name, one, self.dependent, forwards=True)
                for one in (rest, self.relations)
            ]
        for network in self._one_way:
            other = network._any_way(wanted, known, deep=False)  # noqa: SLF001  of its own kind
            if other is not None and wanted not in other.zeros and not other.backwards(wanted):
                return other
        return way

    @cached_property
    def _balanced(self) -> frozenset[str]:
        """What balances of power are there to find, and what is made of that: an equilibrium, a top speed."""
        made = {one.finds for one in self.strong if one.finds and one.tacit}
        while True:
            more = {
                side
                for one in self.strong
                if not one.finds
                for side, other in (one.sides, one.sides[::-1])
                if isinstance(side, str) and not made.isdisjoint(trees.names(other))
            }
            if more <= made:
                return frozenset(made)
            made |= more

    def _any_way(self, wanted: str, known: tuple[str, ...], *, deep: bool = True) -> System | None:
        # Where no choice of relations determines it, the author's own is looked at, and not hundreds of others.
        made = self._gradients.determined(self.strong, known, self._firm)
        most = 1 if made is not None and wanted not in made else None
        for variant in itertools.islice(self._variants(known), most):
            system = self._system(variant, known, self._firm, keep=wanted)
            if wanted in system.determined:
                return system
        # What not even all relations together determine, a choice among them hardly ever does: where a standing
        # value takes the place of one.
        whole = wanted in self._standing_system(self.strong, known, wanted).determined
        nearly = self._variants(known, nearly=True)
        ways = self._ways(wanted, known, nearly if whole else itertools.islice(nearly, _FEW_TRIED))
        if deep and not ways and self._within_reach(wanted, known):
            # It is determined, but not in this choice of relations: look at the others, too.
            # Those that differ least come first, and one far down was never of use.
            most = _MOST_TRIED if whole else _FEW_TRIED
            helpful = self._standing_for(wanted)
            others = itertools.islice(self._variants(known, standing=helpful), most)
            ways = self._ways(wanted, known, others)
            if not ways:  # where standing values say a thing twice over, any choice may be the one
                others = itertools.islice(self._variants(known, every=True), most)
                ways = self._ways(wanted, known, others)
        # The way that leaves out fewest limits, then the one that takes least for granted; of
        # equals the author's own.
        return min(ways, key=lambda one: (len(one.endless), len(one.taken)), default=None)

    def _ways(
        self, wanted: str, known: tuple[str, ...], variants: Iterable[tuple[Relation, ...]]
    ) -> list[System]:
        systems = (self._standing_system(variant, known, wanted) for variant in variants)
        return [one for one in systems if wanted in one.determined]

    def _too_little(
        self, wanted: str, known: tuple[str, ...], granted: Plan | None = None
    ) -> TooLittleKnownError:
        """Say what more it takes; ``granted`` is a plan that rests on standing values alone."""
        key = frozenset(known), wanted
        if key not in self._reasons:  # asked again and again while a page of a sheet is made
            self._reasons[key] = tuple(
                one
                for one in self.names
                if one not in known
                and one != wanted
                and (
                    self.hears(wanted, known, (one,))
                    if granted
                    else self._unlocks(wanted, known, one)
                )
            )
        unlocks_it = self._reasons[key]
        given = f"{', '.join(known)} and the" if known else "the"
        alone = "" if known else " alone"
        advice = (
            f"Any one of these would unlock it: {', '.join(unlocks_it)}."
            if unlocks_it
            else "At least two more quantities are needed; give what you have of "
            + ", ".join(one for one in self._neighbours(wanted) if one not in known)
            + "."
        )
        said = f"{given} standing values of {self.name}{alone} do not determine it."
        if granted:
            titles = "; ".join(one.title for one in granted.standing)
            said = (
                f"nothing is reckoned with {', '.join(known)}, and standing values alone make it."
            )
            advice += f" Without any value it is taken for granted ({titles})."
        return TooLittleKnownError(
            f"Too little is known for {wanted}: {said}",
            quantity=wanted,
            unlocks=unlocks_it,
            advice=advice,
        )

    def hears(self, wanted: str, known: Iterable[str], more: Iterable[str] = ()) -> bool:
        """Say whether, with more quantities, something of what is known bears on the wanted.

        Parameters
        ----------
        wanted : str
        known : iterable of str
        more : iterable of str

        Returns
        -------
        bool

        Examples
        --------
        >>> from chalkwatt import load
        >>> load.network.hears("air_density", ["speed"]), load.network.hears("grade_force", ["mass"], ["grade"])
        (False, True)
        """
        given, every = {*known}, (*known, *more)
        granted = self.plan_if_any(wanted, ())
        if granted is not None and given:
            # It is determined without any of them: what they make of it takes the place of something granted.
            # That is soon seen, and a plan takes long; what is seen is in no order that can be walked, perhaps.
            left = (
                [one for one in self._standing_for(wanted) if one is not other]
                for other in granted.standing
            )
            made = (self._gradients.determined(self.strong, every, one) for one in left)
            if not any(one is None or wanted in one for one in made):
                return False
        plan = self.plan_if_any(wanted, every)
        return plan is not None and not given.isdisjoint(plan.heard)

    def _unlocks(self, wanted: str, known: tuple[str, ...], one: str) -> bool:
        more = (*known, one)
        if self._within_reach(wanted, more):
            # It may be determined in no order that can be walked. Where it was so before, not every
            # choice of relations is looked at, for an error must not take minutes.
            deep = not self._within_reach(wanted, known)
            return self._way(wanted, more, deep=deep) is not None
        # A missing limit is no value, so that reach does not see what the given ones come to.
        beside = any(
            one in relation.names and not {*known}.isdisjoint(relation.names)
            for relation in self.strong
        )
        return self.limited and beside and self._way(wanted, more) is not None

    def _standing_for(self, wanted: str) -> list[Relation]:
        """Return the standing values without a number of the wanted itself, which is no answer."""
        return [
            one
            for one in self.standing
            if one.names[0] != wanted or isinstance(one.sides[1], tuple | str)
        ]

    def _within_reach(self, wanted: str, known: tuple[str, ...]) -> bool:
        """Say whether the wanted is determined, by more than a standing number of its own."""
        made = self._gradients.determined(self.strong, known, self._standing_for(wanted))
        return wanted in (self.determined(known) if made is None else made)

    @cached_property
    def limited(self) -> bool:
        """Whether it has limits of which nothing need be said: what follows without them :meth:`reach` does not see."""
        return any(one.sides[1] == math.inf and not one.unless_any for one in self.standing)

    def _neighbours(self, wanted: str) -> list[str]:
        near = [
            one for relation in self.strong if wanted in relation.names for one in relation.names
        ]
        return [one for one in dict.fromkeys(near) if one != wanted and one not in self.constants]

    def reach(
        self, known: Iterable[str], *, standing: bool = False, without: Collection[Relation] = ()
    ) -> frozenset[str]:
        """Return the names of all that the known quantities determine, themselves left out.

        Parameters
        ----------
        known : iterable of str
        standing : bool
            Whether standing values help.
        without : collection of Relation
            Those that are left out.

        Returns
        -------
        frozenset of str

        Examples
        --------
        >>> from chalkwatt import load
        >>> sorted(load.network.reach(["drag_coefficient", "frontal_area"]))
        ['drag_area']
        """
        given = tuple(known)
        strong, taken = self.strong, self.standing if standing else ()
        if without:
            strong = tuple(one for one in strong if one not in without)
            taken = tuple(one for one in taken if one not in without)
        made = self._gradients.determined(strong, given, taken)
        return frozenset(self.determined(given)) if made is None else made

    def determined(self, known: Iterable[str]) -> dict[str, Plan]:
        """Return a plan for every quantity that the known ones determine without standing values.

        Parameters
        ----------
        known : iterable of str

        Returns
        -------
        dict of str to Plan
        """
        given = tuple(known)
        found: dict[str, Plan] = {}
        for variant in self._variants(given):
            system = self._system(variant, given, ())
            for one in self.names:
                if one in system.determined and one not in found:
                    found[one] = system.plan(self.name, one)
        return found

    def surplus(
        self, known: Iterable[str], *, firm: bool = False
    ) -> list[tuple[Relation, dict[str, Plan]]]:
        """Return the relations that the known quantities meet twice over, to be checked.

        Parameters
        ----------
        known : iterable of str
        firm : bool
            Whether the standing values that stand whatever is known count as known.

        Returns
        -------
        list of (Relation, dict of str to Plan)
            Each relation with a plan for every quantity in it that is not given.
        """
        given = tuple(known)
        stand = self._firm if firm else ()
        held = (*given, *(name for one in stand if (name := one.names[0]) not in given))
        # Independent beside all that is held: of two relations with the same product of two unknowns in them,
        # one is the check, and no equation for the other unknown.
        variant = next(iter(self._variants(held)))
        system = self._system(variant, given, stand)
        fixed = {*given, *self.constants}
        # The one left out of a dependent group follows from the others; these do not.
        usual = {self._order(group, fixed)[0] for group in self.dependent}
        said_twice = [
            one
            for one in self._without(usual)
            if one not in variant and system.determined.issuperset({*one.names} - fixed)
        ]
        return [
            (
                one,
                {name: system.plan(self.name, name) for name in one.names if name not in fixed},
            )
            for one in dict.fromkeys((*system.surplus(), *said_twice))
        ]
