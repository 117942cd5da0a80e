"""Systems: one choice of relations and known quantities, matched, ordered into blocks, and torn.

A relation is matched to each unknown quantity by a maximum matching. What an alternating path
from an unmatched quantity reaches is not determined (Dulmage and Mendelsohn, 1958); the rest
falls into strongly connected blocks. A block of one is turned round; in a larger one, one
quantity is solved for and the others follow from it (tearing).
"""

from __future__ import annotations

import dataclasses
import math
from functools import lru_cache
from typing import TYPE_CHECKING

from chalkwatt.algebra.graphs import augment, components, maximum_matching
from chalkwatt.algebra.operations import FUNCTIONS
from chalkwatt.algebra.trees import Tree, count, magnitude, names, negative, substitute
from chalkwatt.errors import ChalkwattError
from chalkwatt.laws.quantities import look_up
from chalkwatt.laws.relations import Relation, symbol
from chalkwatt.planning.folding import fold
from chalkwatt.planning.isolating import isolate
from chalkwatt.planning.plans import Plan, Step
from chalkwatt.planning.signs import never_negative, settled

if TYPE_CHECKING:
    from collections.abc import Collection, Iterator, Sequence

__all__ = ["System", "TogetherError"]

_NOUGHT = 1e-9  # of the terms of a sum; what is less is their rounding


class TogetherError(ChalkwattError):
    """Relations that have to be solved together, and cannot be by one unknown at a time."""


def _zero_only_at_zero(operation: str) -> bool:
    return operation == "-" or (operation in FUNCTIONS and FUNCTIONS[operation].zero_only_at_zero)


class System:
    """One choice of relations and known quantities, matched and ordered."""

    def __init__(
        self,
        relations: Sequence[Relation],
        known: Collection[str],
        constants: Collection[str],
        standing: Sequence[Relation],
        *,
        keep: str = "",
        stood_for: frozenset[str] = frozenset(),
        forwards: bool = False,
    ) -> None:
        self.stood_for = stood_for
        self.forwards = forwards
        self.given = tuple(known)
        self.constants = frozenset(constants)
        self.zeros: dict[str, tuple[Relation, ...]] = {}
        self.keep = keep
        self.endless: set[str] = set()
        self.taken: list[Relation] = []
        self.half_known: dict[str, tuple[str, ...]] = {}
        self._proven: set[str] = set()
        # First, so that no other relation makes something else of it.
        self.taken += [one for one in standing if one.firm and one.names[0] not in {keep, *known}]
        self.relations = [*self.taken, *relations]
        self._arrange()
        for one in standing:
            target = one.names[0]
            if keep in self.determined:
                break
            if target in self.given or one in self.taken:
                continue
            # Where limits only limit, what stands for itself is not made of what they allow.
            if target in self.determined and not (forwards and one.sides[1] == 0):
                continue
            if self._needless(one):
                continue
            self._take(one)
        for one in standing:
            # By now nothing can make such a limit any more, so what was given of it serves nothing.
            if keep in self.determined:
                break
            if one.partly and one.names[0] not in {*self.given, *self.determined, *self.endless}:
                self._leave_out(one.names[0], partly=one.partly)
        order = {one: place for place, one in enumerate(standing)}
        self.taken.sort(key=lambda one: order[one])  # as they are told

    def _take(self, one: Relation) -> None:
        """Take a standing value in."""
        target = one.names[0]
        if one.sides[1] == math.inf and target != self.keep:
            self._leave_out(target)
            return
        before = list(self.relations), dict(self.zeros)
        self.relations = self._without(one.instead_of)
        # A standing number is no answer, nor is what only later ones would make of what it takes the
        # place of; a standing value that depends on what is given may be one.
        if target != self.keep or isinstance(one.sides[1], tuple | str):
            self.taken.append(one)
            if one.sides[1] == 0:
                self.zeros[target] = (one,)
            else:
                self.relations.append(one)
                if not one.instead_of and self._join(one):
                    return
        elif not one.instead_of:
            return
        self._arrange()
        if one.sides[1] == 0 and target in self.zeros and self._contradicted():
            self.relations, self.zeros = before
            self.taken.pop()
            self._arrange()

    def _without(self, left_out: Collection[Relation]) -> list[Relation]:
        return [one for one in self.relations if one not in left_out]

    def _needless(self, standing: Relation) -> bool:
        """Say whether what is determined already makes a standing value needless, or untrue."""
        here = {*self.given, *self.determined}
        every, some = standing.unless, standing.unless_any
        # Who asks for a quantity means that it has a say, as much as who gives it.
        asked = {*here, self.keep}
        if not asked.issuperset(standing.only_with):
            return True
        if every and here.issuperset(every):
            return True
        return not (asked - {*self.zeros}).isdisjoint(some)

    def _arrange(self) -> None:
        """Fold zeros, match relations to unknowns, and find what is determined."""
        self._fold()
        self.fixed = fixed = {*self.given, *self.constants, *self.zeros, *self.endless}
        self.held = {
            relation: tuple(one for one in self._named(relation) if one not in fixed)
            for relation in self.sides
        }
        self.rows = [one for one in self.sides if self.held[one]]
        self.empty = [one for one in self.sides if not self.held[one]]
        self.unknowns = list(
            dict.fromkeys(one for relation in self.rows for one in self.held[relation])
        )
        self.offers = {relation: self._offered(relation) for relation in self.rows}
        self.match = maximum_matching(self.rows, self.offers)
        self.holding: dict[str, list[Relation]] = {one: [] for one in self.unknowns}
        for relation in self.rows:
            for one in self.held[relation]:
                self.holding[one].append(relation)
        self._settle()

    def _join(self, relation: Relation) -> bool:
        """Take one relation more in, after all others, unless all would have to be folded anew for it."""
        if not (self.zeros.keys() | self.endless).isdisjoint(relation.names):
            return False
        self.sides[relation] = relation.sides
        self.held[relation] = tuple(one for one in relation.names if one not in self.fixed)
        if not self.held[relation]:
            self.empty.append(relation)
            return True
        self.rows.append(relation)
        for one in self.held[relation]:
            if one not in self.holding:
                self.unknowns.append(one)
                self.holding[one] = []
            self.holding[one].append(relation)
        self.offers[relation] = self._offered(relation)
        augment(relation, self.offers, self.match)
        self._settle()
        return True

    def _offered(self, relation: Relation) -> tuple[str, ...]:
        """Return what a relation may make: no balance makes what standing values make, unless one of it is asked.

        Beside the whole road an economical speed or a top speed says next to nothing of the air, or of a force
        linear in speed; whoever gives it does not mean those.
        """
        held = self.held[relation]
        if self.forwards and relation.limits:
            return tuple(one for one in held if one == relation.finds)
        if not (relation.finds and relation.tacit):
            return held
        other = {*relation.tacit} if self.keep in self.stood_for else self.stood_for
        return tuple(one for one in held if one == self.keep or one not in other)

    def _settle(self) -> None:
        self.determined = set(self.unknowns) - self._undetermined()
        self.determined |= set(self.zeros) - set(self.given)

    def _named(self, relation: Relation) -> Collection[str]:
        """Names in the sides of a relation as they stand here."""
        sides = self.sides[relation]
        if sides is relation.sides:
            return relation.names
        return _names_in(sides)

    def _fold(self) -> None:
        self.sides = {one: one.sides for one in self.relations}
        if self.endless:
            self._unlimited()
        if not self.zeros:
            return
        changed = True
        while changed:
            changed = False
            for relation in self.relations:
                origins = {one: self.zeros[one] for one in relation.names if one in self.zeros}
                if not origins or relation not in self.sides:
                    continue
                absent = frozenset(self.zeros).intersection(relation.names)
                limits = frozenset(self.endless).intersection(relation.names)
                left, right = self.sides[relation] = _folded(relation.sides, absent, limits)
                if {left, right} == {0}:
                    del self.sides[relation]
                alone = left if right == 0 else right if left == 0 else None
                if isinstance(alone, tuple) and _zero_only_at_zero(str(alone[0])):
                    alone = alone[1]
                if isinstance(alone, str) and alone not in self.zeros and alone not in self.given:
                    self.zeros[alone] = tuple(
                        dict.fromkeys(o for group in origins.values() for o in group)
                    )
                    self.sides.pop(relation, None)
                    changed = True

    def _contradicted(self) -> bool:
        """Say whether a standing nought makes something nought that is given, asked or cannot be."""
        return any(
            0 in sides
            and {side != 0 and self._never_nought(side) for side in sides} == {True, False}
            for sides in self.sides.values()
        )

    def _never_nought(self, tree: Tree) -> bool:
        if isinstance(tree, str):
            return tree in {*self.given, self.keep} or not look_up(tree).inside(0.0)
        if not isinstance(tree, tuple):
            return bool(tree)
        return tree[0] in {"*", "/", "sqrt"} and all(self._never_nought(one) for one in tree[1:])

    def _leave_out(self, limit: str, partly: str = "") -> None:
        """Leave a limit out of every least of several, unless something given would go unheard.

        With the name of a limit that may be known in part, it is left out, and kept what of it was given.
        """
        before = set(self.endless)
        self.endless.add(limit)
        self._arrange()
        heard = {name for sides in self.sides.values() for name in _names_in(sides)}
        # What a missing limit is only multiplied by changes nothing, whatever it is.
        dropped = (
            one
            for one in self.relations
            if one not in self.sides
            and (limit in one.sides or any(_count_within(side, limit) for side in one.sides))
        )
        gone = [name for one in dropped for name in one.names if name not in heard]
        lost = [name for name in gone if name in self.given]
        if lost and partly and self.keep not in gone:
            said = (*self.half_known.get(partly, ()), *lost)
            self.half_known[partly] = tuple(dict.fromkeys(said))
        elif lost or self.keep in gone:  # whoever asks for a torque means that it has a say
            self.endless = before
            self._arrange()

    def _unlimited(self) -> None:
        """Take missing limits out of the relations; what follows from one alone goes too."""
        changed = True
        while changed:
            changed = False
            for relation in [one for one in self.sides if self.endless.intersection(one.names)]:
                # What is nought takes with it a missing limit that it multiplies.
                sides = left, right = _folded(
                    relation.sides, frozenset(self.zeros), frozenset(self.endless)
                )
                self.sides[relation] = sides
                if math.inf in sides:
                    del self.sides[relation]
                    rest = right if left == math.inf else left
                    if isinstance(rest, str) and self._only_a_limit(rest):
                        self.endless.add(rest)
                        changed = True

    def _only_a_limit(self, name: str) -> bool:
        """Say whether a quantity does nothing but stand in a least of several."""
        sides = [one for pair in self.sides.values() for one in pair]
        inside = sum(_count_within(one, name) for one in sides)
        return (
            name not in {*self.given, self.keep}
            and inside == sum(count(one, name) for one in sides) > 0
        )

    def _undetermined(self) -> set[str]:
        holding = self.holding
        owner = {relation: unknown for unknown, relation in self.match.items()}
        stack = [one for one in self.unknowns if one not in self.match]
        reached = set(stack)
        while stack:
            for relation in holding[stack.pop()]:
                unknown = owner.get(relation)
                if unknown is not None and unknown not in reached:
                    reached.add(unknown)
                    stack.append(unknown)
        return reached

    def surplus(self) -> list[Relation]:
        """Return the relations that are not needed: all in them is known without them."""
        used = set(self.match.values())
        # One that holds what it may not make, and nothing else makes, is no check either.
        return [
            *self.empty,
            *(
                one
                for one in self.rows
                if one not in used and self.determined.issuperset(self.held[one])
            ),
        ]

    def way(self, wanted: str) -> tuple[set[str], set[str]]:
        """Return what is found on the way to a determined quantity, and what of the given is used there."""
        if wanted in self.zeros:
            return set(), set()
        found = self._behind(wanted)
        return {*found}, self._given_in(found)

    def backwards(self, wanted: str) -> bool:
        """Say whether a least of several limits is turned round on the way, or helps to make what stands for itself.

        What they limit says nothing of those that do not bind.
        """
        if wanted in self.zeros:
            return False
        behind = self._behind(wanted)
        made = {self.match[one]: one for one in behind}
        limits = [one for one in made if one.limits]
        stood = self.stood_for.intersection(behind)
        return any(made[one] != one.finds or stood for one in limits)

    def plan(self, topic: str, wanted: str) -> Plan:
        """Order the blocks that lead to a determined quantity."""
        if wanted in self.zeros:
            standing = self.zeros[wanted]
            step = Step(wanted, standing, "formula", (0,))
            return Plan(topic, self.given, wanted, (step,), standing=standing)
        self._proven = set()
        checks = self._checks(wanted)
        steps: list[Step] = []
        for block in self._blocks(wanted, *checks):
            before = {*self.given, *self.constants, *(step.find for step in steps)}
            steps.extend(self._solved(block, wanted, before))
            self._prove(steps)
        needed = {wanted, *checks}
        granted = {one.names[0] for one in self.taken}
        kept: list[Step] = []
        for step in reversed(steps):
            # What is taken for granted is shown, even where it is substituted into another step.
            if step.find in needed or step.find in granted:
                needed |= step.needs
                kept.append(step)
        return self._split(topic, wanted, kept[::-1], needed)

    def _split(self, topic: str, wanted: str, steps: list[Step], needed: set[str]) -> Plan:
        """Put the steps that rest on standing values and constants alone into the groundwork."""
        ground: list[Step] = []
        rest: list[Step] = []
        resting = set(self.constants)
        for step in steps:
            if step.needs <= resting and step.find != wanted:
                resting.add(step.find)
                ground.append(step)
            else:
                rest.append(step)
        available = {*self.given, *resting, *self.zeros}
        rest = self._met_late(self._readable(rest, {*available}), available)
        used = {relation for step in steps for relation in step.relations}
        folded = dict.fromkeys(
            origin
            for relation in self.relations
            if relation in used
            for one in self._in_play(relation)
            if one in self.zeros
            for origin in self.zeros[one]
        )
        standing = [one for one in self.taken if one in used or one in folded]
        return Plan(
            topic,
            self.given,
            wanted,
            tuple(rest),
            tuple(ground),
            tuple(standing),
            tuple(sorted(needed & self.constants)),
            tuple(self.zeros),
            dict(self.half_known),
        )

    def _in_play(self, relation: Relation) -> list[str]:
        """Names in a relation, without those that only stand in a term that is ruled out here."""
        kept = {n for side in relation.sides for n in names(settled(side, self._proven))}
        return [one for one in relation.names if one in kept]

    def _prove(self, steps: Sequence[Step]) -> None:
        """Note the signed quantities that cannot be negative here, by the steps that find them.

        Only what a step works out counts: of what is given, the sign is not known beforehand.
        """
        for step in steps:
            if step.by == "formula" and all(
                never_negative(one, self._proven) for one in step.forms
            ):
                self._proven.add(step.find)

    def _readable(self, steps: list[Step], available: set[str]) -> list[Step]:
        """Put steps in the author's order of relations as far as what they need allows."""
        place = {relation: index for index, relation in enumerate(self.relations)}
        waiting = sorted(steps, key=lambda step: place[step.relations[0]])
        made: list[Step] = []
        while waiting:
            step = next(one for one in waiting if one.needs <= available)
            waiting.remove(step)
            available.add(step.find)
            made.append(step)
        return made

    def _checks(self, wanted: str) -> tuple[str, ...]:
        """Return what has to be possible beside the wanted, and follows from the same values.

        Only what takes a plain formula each: nobody waits for a search that nobody asked for.
        """
        bound = [
            name
            for one in self.rows
            if one.binds and isinstance(name := one.sides[0], str) and name != wanted
        ]
        own = self._behind(wanted) if bound else []
        used = self._given_in(own)
        made: list[str] = []
        for name in bound:
            if name not in self.match or name not in self.determined:
                continue
            more = self._behind(name)
            inside = name in own
            if not inside and used.isdisjoint(self._given_in(more)):
                continue
            beyond = {*more} - {*own}
            alone = all(
                len(block) == 1 or beyond.isdisjoint(block) for block in self._blocks(wanted, name)
            )
            if alone and all(self._plain(one) for one in beyond):
                made.append(name)
        return tuple(made)

    def _plain(self, name: str) -> bool:
        """Say whether one formula gives a quantity."""
        step = self._turned(name, self.match[name])
        return step.by == "formula" and len(step.forms) == 1

    def _given_in(self, found: Sequence[str]) -> set[str]:
        """Return what was given of all that the relations behind some quantities hold."""
        held = {name for one in found for name in self._named(self.match[one])}
        return held.intersection(self.given)

    def _behind(self, *wanted: str) -> list[str]:
        """Return what some quantities rest on, themselves included."""
        needed: list[str] = []
        stack = [*wanted]
        while stack:
            one = stack.pop()
            if one not in needed:
                needed.append(one)
                stack.extend(self.held[self.match[one]])
        return needed

    def _blocks(self, *wanted: str) -> list[list[str]]:
        """Return the strongly connected blocks that the wanted need, in order of solution."""
        needed = self._behind(*wanted)
        # Author's order, so that the working reads as the topic file does.
        needed.sort(key=lambda one: self.rows.index(self.match[one]))
        arrows = {one: self.held[self.match[one]] for one in needed}
        blocks = components(needed, arrows)
        return self._ordered(blocks)

    def _ordered(self, blocks: list[list[str]]) -> list[list[str]]:
        blocks.sort(key=lambda block: min(self.rows.index(self.match[one]) for one in block))
        done: set[str] = set()
        ordered: list[list[str]] = []
        while blocks:
            for block in blocks:
                inside = {*block, *done}
                if all(other in inside for one in block for other in self.held[self.match[one]]):
                    break
            blocks.remove(block)
            done.update(block)
            ordered.append(block)
        return ordered

    def _solved(self, block: list[str], wanted: str, before: Collection[str]) -> list[Step]:
        relations = [self.match[one] for one in block]
        if len(block) == 1:
            return [self._turned(block[0], relations[0])]
        # In the author's order of quantities, whichever relation the matching gave to each.
        tried = sorted(block, key=lambda one: (one != wanted, self.unknowns.index(one)))
        best: tuple[tuple[int, ...], list[Step]] | None = None
        for tear in tried:
            found = self._torn(tear, block, relations, before)
            if found and (best is None or found[0] < best[0]):
                best = found
        if best is None:
            titles = ", ".join(one.title for one in relations)
            raise TogetherError(
                f"{wanted} needs these relations solved together, "
                f"which one unknown at a time cannot do: {titles}.",
                quantity=wanted,
                advice="Give one more of " + ", ".join(block) + ".",
            )
        return best[1]

    def _turned(self, name: str, relation: Relation, proven: Collection[str] = ()) -> Step:
        left, right = self._settled(relation, proven)
        way = isolate(left, right, name, symbol, positive=look_up(name).positive)
        residual = None if way.by == "formula" else (left, right)
        where = (*self._conditions(relation), *way.conditions(name))
        worth = self._worth(relation, name)
        return Step(
            name, (relation,), way.by, way.forms, residual, way.slope_of, where, way.pieces, worth
        )

    def _settled(self, relation: Relation, proven: Collection[str] = ()) -> tuple[Tree, Tree]:
        """Return the sides without the terms that the signs of their quantities rule out."""
        left, right = self.sides[relation]
        # A solution counts only where the conditions hold, so the sign of a bare one is known, too.
        held = (one for one in relation.conditions if isinstance(one, str))
        known = {*self._proven, *proven, *held}
        return settled(left, known), settled(right, known)

    def _conditions(self, relation: Relation) -> tuple[Tree, ...]:
        """Return what must not be negative, without limits that are not there and terms that are nought."""
        return self._folded_conditions(relation.own_conditions)

    def _abroad(self, relation: Relation) -> tuple[Tree, ...]:
        """Return what must not be negative of quantities that the relation itself does not hold."""
        return self._folded_conditions(relation.conditions_abroad)

    def _folded_conditions(self, conditions: tuple[Tree, ...]) -> tuple[Tree, ...]:
        absent = {*self.zeros, *self.endless}
        if not absent.intersection(n for one in conditions for n in names(one)):
            return conditions
        folded = (fold(one, self.zeros, self.endless) for one in conditions)
        return tuple(one for one in folded if not isinstance(one, int | float) or one < 0)

    def _met_late(self, steps: list[Step], available: Collection[str]) -> list[Step]:
        """Hold solutions to conditions on other quantities, at the first step after which all of them are known.

        Where a plan does without such a quantity, nothing is known of the condition.
        """
        waiting = [
            (relation, one)
            for step in steps
            for relation in step.relations
            for one in self._abroad(relation)
        ]
        known, seen, made = {*available}, set[Relation](), list[Step]()
        for step in steps:
            known.add(step.find)
            seen.update(step.relations)
            now = [(of, one) for of, one in waiting if of in seen and known.issuperset(names(one))]
            waiting = [one for one in waiting if one not in now]
            where = (*step.where, *(one for _, one in now))
            owners = tuple(of for of, _ in now if of not in step.relations)
            made.append(dataclasses.replace(step, where=where, holds=owners) if now else step)
        return made

    def _worth(self, relation: Relation, name: str) -> Tree | None:
        """Return what is least at the one of several roots that is meant."""
        if relation.meant is None or relation.meant.quantity != name:
            return None
        return fold(relation.meant.tree, self.zeros, self.endless)

    def _one_of_several(self, relation: Relation, name: str, proven: Collection[str]) -> bool:
        """Say whether a quantity stands inside a least of several, which need not be the least."""
        return any(
            _count_within(side, name, ("min", "max")) for side in self._settled(relation, proven)
        )

    def _torn(
        self, tear: str, block: list[str], relations: list[Relation], before: Collection[str]
    ) -> tuple[tuple[int, ...], list[Step]] | None:
        """Express a block by one of its quantities; the last relation then fixes that one.

        The first of the pair returned says how good the choice is: a closed form before a search;
        of two closed forms the one that does not divide by what may be nought, such as a resistance;
        of two searches the one that divides by no difference, which may vanish just where the answer
        lies, and then the one whose equation is shorter to read.
        """
        expressed: dict[str, Tree] = {}
        proven: set[str] = set()
        after: list[Step] = []
        left = list(relations)
        while len(left) > 1:
            for relation in left:
                open_names = [
                    one
                    for one in self.held[relation]
                    if one in block and one != tear and one not in expressed
                ]
                if len(open_names) == 1 and not self._one_of_several(
                    relation, open_names[0], proven
                ):
                    step = self._turned(open_names[0], relation, proven)
                    if step.by == "formula" and len(step.forms) == 1:
                        break
            else:
                return None
            expressed[step.find] = substitute(step.forms[0], expressed)
            if never_negative(expressed[step.find], self._proven):
                proven.add(step.find)
            after.append(step)
            left.remove(relation)
        sides = tuple(
            settled(substitute(side, expressed), self._proven) for side in self.sides[left[0]]
        )
        if not {tear} & {*names(sides[0]), *names(sides[1])}:
            return None
        way = isolate(sides[0], sides[1], tear, symbol, positive=look_up(tear).positive)
        used = (left[0], *(step.relations[0] for step in after))
        where = tuple(
            substitute(one, expressed) for relation in used for one in self._conditions(relation)
        )
        abroad = (substitute(one, expressed) for o in used for one in self._abroad(o))
        held = (one for one in abroad if {tear, *before}.issuperset(names(one)))
        where = (*where, *held, *way.conditions(tear))
        for step in after:
            # What it was multiplied by must not be nought, which solves the product and not the equation.
            below = (one for side in self.sides[step.relations[0]] for one in _divisors(side))
            open_ones = (one for one in below if not {*names(one)}.isdisjoint(block))
            where = (*where, *(_not_nought(substitute(one, expressed)) for one in open_ones))
            where = (*where, *_within_bounds(step.find, expressed[step.find], self._proven))
        both = (sides[0], sides[1])
        worths = (self._worth(relation, tear) for relation in used)
        worth = next((substitute(one, expressed) for one in worths if one is not None), None)
        first = Step(tear, used, way.by, way.forms, both, way.slope_of, where, way.pieces, worth)
        if way.by == "roots":
            length = sum(1 for side in sides for _ in names(side))
            return (2, sum(map(_divided_by_differences, sides)), length), [first, *after]
        rank = 0 if way.by == "formula" else 1
        return (rank, sum(_divided_by_nought(side, tear) for side in sides)), [first, *after]


@lru_cache(maxsize=1 << 14)
def _names_in(sides: tuple[Tree, Tree]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(one for side in sides for one in names(side)))


@lru_cache(maxsize=1 << 14)
def _folded(
    sides: tuple[Tree, Tree], zeros: frozenset[str], endless: frozenset[str]
) -> tuple[Tree, Tree]:
    """Fold both sides; a network is arranged hundreds of times, a relation in a few ways only."""
    left, right = (fold(side, zeros, endless) for side in sides)
    return left, right


def _divisors(tree: Tree) -> Iterator[Tree]:
    """Yield the quantities, and the sums of them, that something is divided by as they stand."""
    if isinstance(tree, tuple):
        below = tree[2] if tree[0] == "/" else 0
        if isinstance(below, str) or (isinstance(below, tuple) and below[0] == "+"):
            yield below
        for one in tree[1:]:
            yield from _divisors(one)


def _not_nought(tree: Tree) -> Tree:
    """Return what is negative, or no number, where a tree is nought, for all that its rounding shows."""
    if not isinstance(tree, tuple) or tree[0] != "+":
        return "/", tree, tree
    return "+", ("abs", tree), ("-", ("*", _NOUGHT, magnitude(tree)))


def _within_bounds(name: str, tree: Tree, proven: Collection[str]) -> Iterator[Tree]:
    """Yield what must not be negative for a quantity that is never worked out by itself to be possible."""
    low, high = look_up(name).bounds
    if math.isfinite(low) and (low or not never_negative(tree, proven)):
        yield ("+", tree, ("-", low)) if low else tree
    if math.isfinite(high):
        yield "+", high, negative(tree)


def _count_within(tree: Tree, name: str, extremes: Collection[str] = ("min",)) -> int:
    if not isinstance(tree, tuple):
        return 0
    if tree[0] in extremes:
        return count(tree, name)
    return sum(_count_within(part, name, extremes) for part in tree[1:])


def _divided_by_differences(tree: Tree) -> int:
    if not isinstance(tree, tuple):
        return 0
    inside = sum(map(_divided_by_differences, tree[1:]))
    return inside + (tree[0] == "/" and _has_difference(tree[2]))


def _has_difference(tree: Tree) -> bool:
    if not isinstance(tree, tuple):
        return False
    lessened = tree[0] == "+" and any(isinstance(one, tuple) and one[0] == "-" for one in tree[1:])
    return lessened or any(map(_has_difference, tree[1:]))


def _divided_by_nought(tree: Tree, unknown: str) -> int:
    """Count the quantities below a bar that may be nought; the one solved for is seen to anyway."""
    if not isinstance(tree, tuple):
        return 0
    below = tree[2] if tree[0] == "/" else 0
    risky = sum(
        bool(look_up(one).inside(0.0))
        for one in names(below)
        if one != unknown and look_up(one).positive
    )
    return risky + sum(_divided_by_nought(part, unknown) for part in tree[1:])
