"""Planning: the ordered way from what is known to what is wanted.

Planning is structural: it looks at which relation holds which quantity, never at values.

1. Relations are matched to unknown quantities (`scipy.sparse.csgraph`). What an alternating path from
   an unmatched quantity reaches is not determined (Dulmage and Mendelsohn, 1958).
2. If the wanted is not determined, standing values are taken in, one at a time and only for
   quantities that nothing given determines; a standing nought is folded away.
3. The matched pairs are ordered into blocks; a block of one is turned round, a larger block is torn:
   one quantity is solved for, the others follow from it.
4. Whatever the wanted does not need is left out.
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass, field
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from chalkwatt.errors import ChalkwattError, TooLittleKnownError
from chalkwatt.folding import fold
from chalkwatt.isolate import isolate
from chalkwatt.quantities import look_up
from chalkwatt.relations import Relation, symbol
from chalkwatt.trees import Tree, names, substitute

if TYPE_CHECKING:
    from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence

__all__ = ["Network", "Plan", "Step"]

_VARIANTS_FOR_ADVICE = 8  # an error may take a moment, not seconds
_ZERO_ONLY_AT_ZERO = frozenset({"sin", "tan", "asin", "atan", "sinh", "asinh", "tanh", "sqrt", "cbrt", "-"})


@dataclass(frozen=True, eq=False)
class Step:
    """One step of a plan: how one quantity follows from those before it.

    ``by`` is ``"formula"`` (``forms``: a tree per branch), ``"quadratic"`` or ``"cubic"`` (``forms``: the
    coefficients a, b, c of ``a t² + b t = c`` or ``a t³ + b t = c``) or ``"roots"``; the last three keep
    the equation solved in ``residual`` (left, right), and the last the derivative of left minus right
    in ``slope``.
    """

    find: str
    relations: tuple[Relation, ...]
    by: str
    forms: tuple[Tree, ...]
    residual: tuple[Tree, Tree] | None = None
    slope: Tree = 0
    where: tuple[Tree, ...] = ()

    @cached_property
    def needs(self) -> frozenset[str]:
        """Names of the quantities that must be known before this step."""
        found: set[str] = set()
        for tree in (*self.forms, *(self.residual or ()), *self.where):
            found.update(names(tree))
        return frozenset(found - {self.find})


@dataclass(frozen=True, eq=False)
class Plan:
    """The ordered way from the known quantities to the wanted one.

    ``assumed`` holds the names of the standing values and constants that it uses; ``standing`` the
    standing relations they come from; ``groundwork`` the steps that depend on nothing but those, and
    ``steps`` the rest.
    """

    topic: str
    known: tuple[str, ...]
    wanted: str
    steps: tuple[Step, ...]
    groundwork: tuple[Step, ...] = ()
    standing: tuple[Relation, ...] = ()
    constants: tuple[str, ...] = ()
    zeros: tuple[str, ...] = ()

    @property
    def relations(self) -> tuple[Relation, ...]:
        """Every relation used, in order of use."""
        found = [one for step in (*self.groundwork, *self.steps) for one in step.relations]
        return tuple(dict.fromkeys(found))


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
    """

    name: str
    relations: tuple[Relation, ...]
    dependent: tuple[tuple[Relation, ...], ...] = ()
    _plans: dict[tuple[frozenset[str], str], Plan] = field(default_factory=dict, repr=False)

    @cached_property
    def names(self) -> tuple[str, ...]:
        """Every quantity of the network except constants, in order of first use."""
        every = dict.fromkeys(one for relation in self.relations for one in relation.names)
        return tuple(one for one in every if look_up(one).constant is None)

    @cached_property
    def constants(self) -> frozenset[str]:
        """The constants that its relations use."""
        return frozenset(
            one for relation in self.relations for one in relation.names if look_up(one).constant is not None
        )

    @cached_property
    def strong(self) -> tuple[Relation, ...]:
        """The relations that always hold."""
        return tuple(one for one in self.relations if not one.standing)

    @cached_property
    def standing(self) -> tuple[Relation, ...]:
        """The standing values, in the order in which they are taken in."""
        return tuple(one for one in self.relations if one.standing)

    def plan(self, wanted: str, known: Iterable[str]) -> Plan:
        """Find the way from the known quantities to the wanted one.

        Parameters
        ----------
        wanted : str
        known : iterable of str

        Returns
        -------
        Plan

        Raises
        ------
        NameUnknownError
            If a name is none of this network.
        TooLittleKnownError
            If the known quantities do not determine the wanted one.

        Examples
        --------
        >>> from chalkwatt import load
        >>> [step.find for step in load.network.plan("air_force", ["speed", "drag_area", "air_density"]).steps]
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
            self._plans[key] = self._made(wanted, given)
        return self._plans[key]

    def _variants(self, known: Iterable[str]) -> Iterator[tuple[Relation, ...]]:
        """Every set of relations without a dependent one; the author's own choice first.

        A relation whose quantities are all given is a fact to check, never the one to leave out. A
        group is reshuffled only where that can help: where the relation left out holds something
        determined and something that is not.
        """
        fixed = {*known, *self.constants}
        orders = [self._order(group, fixed) for group in self.dependent]
        usual = tuple(order[0] for order in orders)
        first = self._without(usual)
        yield first
        settled = fixed | System(first, tuple(known), self.constants, ()).determined
        open_orders = [
            order if 0 < len(settled.intersection(order[0].names)) < len(order[0].names) else order[:1]
            for order in orders
        ]
        choices = sorted(
            itertools.product(*open_orders),
            key=lambda chosen: sum(one is not other for one, other in zip(chosen, usual, strict=True)),
        )
        for left_out in choices[1:]:
            if len(set(left_out)) == len(left_out):
                yield self._without(left_out)

    @staticmethod
    def _order(group: tuple[Relation, ...], fixed: set[str]) -> tuple[Relation, ...]:
        free = tuple(one for one in reversed(group) if not fixed.issuperset(one.names))
        return free or tuple(reversed(group))

    def _without(self, left_out: Collection[Relation]) -> tuple[Relation, ...]:
        return tuple(one for one in self.strong if one not in left_out)

    def _made(self, wanted: str, known: tuple[str, ...]) -> Plan:
        for standing in ((), self.standing):
            for variant in self._variants(known):
                system = System(variant, known, self.constants, standing, keep=wanted)
                if wanted in system.determined:
                    return system.plan(self.name, wanted)
        raise self._too_little(wanted, known)

    def _too_little(self, wanted: str, known: tuple[str, ...]) -> TooLittleKnownError:
        unlocks: list[str] = []
        candidates = [one for one in self.names if one not in known and one != wanted]
        for variant in itertools.islice(self._variants(known), _VARIANTS_FOR_ADVICE):
            unlocks = [
                one
                for one in candidates
                if wanted in System(variant, (*known, one), self.constants, self.standing, keep=wanted).determined
            ]
            if unlocks:
                break
        given = ", ".join(known) or "nothing"
        advice = (
            f"Any one of these would unlock it: {', '.join(unlocks)}."
            if unlocks
            else "At least two more quantities are needed; give what you have of "
            + ", ".join(one for one in self._neighbours(wanted) if one not in known)
            + "."
        )
        return TooLittleKnownError(
            f"Too little is known for {wanted}: {given} and the standing values of {self.name} do not determine it.",
            quantity=wanted,
            unlocks=unlocks,
            advice=advice,
        )

    def _neighbours(self, wanted: str) -> list[str]:
        near = [one for relation in self.strong if wanted in relation.names for one in relation.names]
        return [one for one in dict.fromkeys(near) if one != wanted and one not in self.constants]

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
            system = System(variant, given, self.constants, ())
            for one in self.names:
                if one in system.determined and one not in found:
                    found[one] = system.plan(self.name, one)
        return found


    def surplus(self, known: Iterable[str]) -> list[tuple[Relation, dict[str, Plan]]]:
        """Return the relations that the known quantities meet twice over, to be checked for agreement.

        Parameters
        ----------
        known : iterable of str

        Returns
        -------
        list of (Relation, dict of str to Plan)
            Each relation with a plan for every quantity in it that is not given.
        """
        given = tuple(known)
        for variant in self._variants(given):
            system = System(variant, given, self.constants, ())
            fixed = {*given, *self.constants}
            return [
                (one, {name: system.plan(self.name, name) for name in one.names if name not in fixed})
                for one in system.surplus()
            ]
        return []


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
    ) -> None:
        self.given = tuple(known)
        self.constants = frozenset(constants)
        self.zeros: dict[str, tuple[Relation, ...]] = {}
        self.taken: list[Relation] = []
        self.relations = list(relations)
        self._arrange()
        for one in standing:
            target = one.names[0]
            if keep in self.determined:
                break
            if target in self.given or target == keep or target in self.determined:
                continue
            self.taken.append(one)
            if one.sides[1] == 0:
                self.zeros[target] = (one,)
            else:
                self.relations.append(one)
            self._arrange()

    def _arrange(self) -> None:
        """Fold zeros, match relations to unknowns, and find what is determined."""
        self._fold()
        fixed = {*self.given, *self.constants, *self.zeros}
        self.held = {
            relation: tuple(one for one in dict.fromkeys([*names(left), *names(right)]) if one not in fixed)
            for relation, (left, right) in self.sides.items()
        }
        self.rows = [one for one in self.sides if self.held[one]]
        self.empty = [one for one in self.sides if not self.held[one]]
        self.unknowns = list(dict.fromkeys(one for relation in self.rows for one in self.held[relation]))
        self.match = _matching(self.rows, self.unknowns, self.held)
        self.determined = set(self.unknowns) - self._undetermined()
        self.determined |= set(self.zeros) - set(self.given)

    def _fold(self) -> None:
        self.sides = {one: one.sides for one in self.relations}
        if not self.zeros:
            return
        changed = True
        while changed:
            changed = False
            for relation in self.relations:
                origins = {one: self.zeros[one] for one in relation.names if one in self.zeros}
                if not origins or relation not in self.sides:
                    continue
                left, right = (fold(side, self.zeros) for side in relation.sides)
                self.sides[relation] = left, right
                if {left, right} == {0}:
                    del self.sides[relation]
                alone = left if right == 0 else right if left == 0 else None
                if isinstance(alone, tuple) and alone[0] in _ZERO_ONLY_AT_ZERO:
                    alone = alone[1]
                if isinstance(alone, str) and alone not in self.zeros and alone not in self.given:
                    self.zeros[alone] = tuple(dict.fromkeys(o for group in origins.values() for o in group))
                    self.sides.pop(relation, None)
                    changed = True

    def _undetermined(self) -> set[str]:
        by_unknown: dict[str, list[Relation]] = {}
        for relation in self.rows:
            for one in self.held[relation]:
                by_unknown.setdefault(one, []).append(relation)
        owner = {relation: unknown for unknown, relation in self.match.items()}
        stack = [one for one in self.unknowns if one not in self.match]
        reached = set(stack)
        while stack:
            for relation in by_unknown.get(stack.pop(), ()):
                unknown = owner.get(relation)
                if unknown is not None and unknown not in reached:
                    reached.add(unknown)
                    stack.append(unknown)
        return reached

    def surplus(self) -> list[Relation]:
        """Return the relations that are not needed because everything in them is known without them."""
        used = set(self.match.values())
        return [*self.empty, *(one for one in self.rows if one not in used)]

    def plan(self, topic: str, wanted: str) -> Plan:
        """Order the blocks that lead to a determined quantity."""
        if wanted in self.zeros:
            standing = self.zeros[wanted]
            step = Step(wanted, standing, "formula", (0,))
            return Plan(topic, self.given, wanted, (step,), standing=standing)
        steps: list[Step] = []
        for block in self._blocks(wanted):
            steps.extend(self._solved(block, wanted))
        needed = {wanted}
        kept: list[Step] = []
        for step in reversed(steps):
            if step.find in needed:
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
        rest = self._readable(rest, {*self.given, *resting, *self.zeros})
        used = {relation for step in steps for relation in step.relations}
        folded = dict.fromkeys(
            origin
            for relation in self.relations
            if relation in used
            for one in relation.names
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
        )

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

    def _blocks(self, wanted: str) -> list[list[str]]:
        """Return the strongly connected blocks that the wanted needs, in order of solution."""
        from scipy.sparse import csr_array  # noqa: PLC0415  slow to import, and only a new plan needs it
        from scipy.sparse.csgraph import connected_components  # noqa: PLC0415

        needed: list[str] = []
        stack = [wanted]
        while stack:
            one = stack.pop()
            if one not in needed:
                needed.append(one)
                stack.extend(self.held[self.match[one]])
        # Author's order, so that the working reads as the topic file does.
        needed.sort(key=lambda one: self.rows.index(self.match[one]))
        place = {one: index for index, one in enumerate(needed)}
        arrows = np.zeros((len(needed), len(needed)))
        for one in needed:
            for other in self.held[self.match[one]]:
                arrows[place[one], place[other]] = 1
        count, label = connected_components(csr_array(arrows), connection="strong")
        blocks = [[one for one in needed if label[place[one]] == number] for number in range(count)]
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

    def _solved(self, block: list[str], wanted: str) -> list[Step]:
        relations = [self.match[one] for one in block]
        if len(block) == 1:
            return [self._turned(block[0], relations[0])]
        tried = sorted(block, key=lambda one: one != wanted)
        best: tuple[int, list[Step]] | None = None
        for tear in tried:
            found = self._torn(tear, block, relations)
            if found and (best is None or found[0] < best[0]):
                best = found
        if best is None:
            titles = ", ".join(one.title for one in relations)
            raise ChalkwattError(
                f"{wanted} needs these relations solved together, which one unknown at a time cannot do: {titles}.",
                quantity=wanted,
                advice="Give one more of " + ", ".join(block) + ".",
            )
        return best[1]

    def _turned(self, name: str, relation: Relation) -> Step:
        left, right = self.sides[relation]
        way = isolate(left, right, name, symbol, positive=look_up(name).positive)
        residual = None if way.by == "formula" else (left, right)
        return Step(name, (relation,), way.by, way.forms, residual, way.slope, relation.conditions)

    def _torn(self, tear: str, block: list[str], relations: list[Relation]) -> tuple[int, list[Step]] | None:
        """Express everything in a block by one of its quantities; the last relation then fixes that one."""
        expressed: dict[str, Tree] = {}
        after: list[Step] = []
        left = list(relations)
        while len(left) > 1:
            for relation in left:
                open_names = [one for one in self.held[relation] if one in block and one != tear and one not in expressed]
                if len(open_names) == 1:
                    step = self._turned(open_names[0], relation)
                    if step.by == "formula" and len(step.forms) == 1:
                        break
            else:
                return None
            expressed[step.find] = substitute(step.forms[0], expressed)
            after.append(step)
            left.remove(relation)
        sides = tuple(substitute(side, expressed) for side in self.sides[left[0]])
        if not {tear} & {*names(sides[0]), *names(sides[1])}:
            return None
        way = isolate(sides[0], sides[1], tear, symbol, positive=look_up(tear).positive)
        used = (left[0], *(step.relations[0] for step in after))
        where = tuple(substitute(one, expressed) for relation in used for one in relation.conditions)
        first = Step(tear, used, way.by, way.forms, (sides[0], sides[1]), way.slope, where)
        rank = {"formula": 0, "quadratic": 1, "cubic": 1, "roots": 2}[way.by]
        return rank, [first, *after]


def _matching(
    rows: Sequence[Relation], unknowns: Sequence[str], held: Mapping[Relation, tuple[str, ...]]
) -> dict[str, Relation]:
    from scipy.sparse import csr_array  # noqa: PLC0415  slow to import, and only a new plan needs it
    from scipy.sparse.csgraph import maximum_bipartite_matching  # noqa: PLC0415

    if not rows:
        return {}
    column = {one: place for place, one in enumerate(unknowns)}
    table = np.zeros((len(rows), len(unknowns)))
    for place, relation in enumerate(rows):
        for one in held[relation]:
            table[place, column[one]] = 1
    found = maximum_bipartite_matching(csr_array(table), perm_type="row")
    return {one: rows[found[place]] for one, place in column.items() if found[place] >= 0}
