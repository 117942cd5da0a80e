"""Change each relation on purpose, one place at a time, and say which outside test notices.

Both sides are changed, what must hold for it to hold, and where a quantity rests by definition.

    python -m tests.mutations.relations                    every change of every relation
    python -m tests.mutations.relations --only "launch"    those whose topic or title matches
    python -m tests.mutations.relations --sample 12        some of them, chosen by a seed

Prints a table: relation, what was changed, and the test that fails, or SURVIVED; the exit code is 1
if any survived. Only tests that owe nothing to the package's own formulas are asked: published
values (tests/external) and other ways of computing (tests/independent). What is marked as a
regression number is not asked.

A change is made in a forked copy of this process, in memory: nothing is written.
"""

import argparse
import contextlib
import functools
import gc
import os
import random
import re
import signal
import sys
import time
from collections import Counter
from dataclasses import dataclass, field
from pathlib import Path
from typing import Self

import numpy as np
import pytest
from _pytest.runner import runtestprotocol

from chalkwatt.algebra.numpy_tree import compile_tree
from chalkwatt.algebra.trees import Tree, names
from chalkwatt.laws.quantities import constants, look_up
from chalkwatt.laws.relations import Relation
from chalkwatt.planning import network as planning
from chalkwatt.planning.network import Network
from tests.mutations.changes import OFF, Change, changes
from tests.points import TOPICS

ROOT = Path(__file__).parents[2]
ASKED = ("tests/external", "tests/independent")
PATIENCE = 60  # seconds; a changed relation may send a search in circles
SLOW = 0.5  # seconds; what takes longer is asked last


@dataclass(frozen=True)
class Mutant:
    """One change of one relation, or of one constant.

    What is changed of a relation is a side; or a condition, which is left out where the change has no tree;
    or the surplus without which it rests.
    """

    topic: str
    title: str
    change: Change
    relation: Relation | None = None
    side: int = 1
    constant: str = ""
    part: str = "sides"

    def __str__(self) -> str:
        return f"{self.topic}: {self.title} | {self.change.words}"

    def apply(self) -> None:
        """Change the relation in this process, for good."""
        if self.relation is None:
            constants()[self.constant] = self.change.tree
        elif self.part == "rest":
            self.relation.rest.__dict__["tree"] = self.change.tree
        else:
            trees = list(getattr(self.relation, self.part))
            trees[self.side : self.side + 1] = (
                [] if self.change.tree is None else [self.change.tree]
            )
            self.relation.__dict__[self.part] = tuple(trees)
            for sorted_out in ("own_conditions", "conditions_abroad"):
                self.relation.__dict__.pop(sorted_out, None)
        forget_plans()


CACHED = ("chalkwatt.runs", "chalkwatt.evidence")


@functools.cache
def made_of_relations() -> list:
    """What remembers something that was made of relations: networks their plans, runs their rates."""
    return [
        one
        for one in gc.get_objects()
        if isinstance(one, Network)
        or (isinstance(one, functools._lru_cache_wrapper) and one.__module__.startswith(CACHED))
    ]


def forget_plans() -> None:
    for one in made_of_relations():
        if isinstance(one, Network):
            one._plans.clear()
            one._reasons.clear()
        else:
            one.cache_clear()


def relations() -> dict[Relation, str]:
    """Every relation once, with the first topic that holds it."""
    found: dict[Relation, str] = {}
    for name, topic in TOPICS.items():
        for relation in topic.relations:
            found.setdefault(relation, name)
    return found


def mutants() -> list[Mutant]:
    """Every change of every relation, then of every constant that relations use."""
    made: list[Mutant] = []
    for relation, topic in relations().items():
        if relation.standing and isinstance(relation.sides[1], int | float):
            change = standing(relation.names[0], relation.sides[1])
            made.append(Mutant(topic, relation.title, change, relation))
            continue
        for side, tree in enumerate(relation.sides):
            found = {str(one.tree): one for one in reversed([*changes(tree, whole=side == 1)])}
            made += [
                Mutant(topic, relation.title, one, relation, side)
                for one in reversed(found.values())
                if one.kind not in {"factor", "exponent"} or differs(tree, one.tree)
            ]
        made += of_conditions(relation, topic)
    made += once_unnoticed()
    used = {name for topic in TOPICS.values() for name in topic.network.constants}
    for name in sorted(used):
        value = constants()[name]
        change = Change("factor", f"{value:g} × {OFF}", OFF * value)
        made.append(Mutant("constant", look_up(name).words, change, constant=name))
    return made


# Conditions that the equation and the bounds of its quantities imply: no value can tell them from none.
# They say to a reader, and to who turns the equation round, what holds.
IMPLIED = {
    (
        "Acceleration at which the tyres slip",
        0,
    ): "a quotient above nought has a denominator above it",
    ("Rear wheels driven", 0): "the denominator is so great that the wheels do not lift",
    ("Front wheels braked", 0): "the denominator is so great that the wheels do not lift",
    ("Braking distance", 0): "no distance is below nought",
    ("Rolling coefficient by speed and temperature", 0): "no coefficient is below nought",
    ("Cold and speed", 0): "no coefficient is below nought",
}
# Beyond a surplus the road always has a speed that takes it, so that it does not rest there either way.
RESTS_ALIKE = {"rest: sign of solar_power", "rest: solar_power left out"}


def of_conditions(relation: Relation, topic: str) -> list[Mutant]:
    """Every change of what must hold for a relation to hold, and of where a quantity rests.

    Only the sign of these counts: a change that never turns it is none.
    """
    made = []
    for place, tree in enumerate(relation.conditions):
        if (relation.title, place) in IMPLIED:
            continue
        which = "where" if len(relation.conditions) == 1 else f"where {place + 1}"
        gone = Change("condition", f"{which}: left out", None)
        made.append(Mutant(topic, relation.title, gone, relation, place, part="conditions"))
        made += [
            Mutant(topic, relation.title, one, relation, place, part="conditions")
            for one in turning(tree, which)
        ]
    if relation.rest is not None:
        never = Change("condition", "rest: never", 1)
        made += [
            Mutant(topic, relation.title, one, relation, part="rest")
            for one in (never, *turning(relation.rest.tree, "rest"))
            if one.words not in RESTS_ALIKE
        ]
    return made


def turning(tree: Tree, which: str) -> list[Change]:
    """Return the changes of a condition that turn its sign somewhere."""
    found = {str(one.tree): one for one in reversed([*changes(tree)])}
    return [
        Change(one.kind, f"{which}: {one.words}", one.tree)
        for one in reversed(found.values())
        if turns(tree, one.tree)
    ]


def turns(tree: Tree, changed: Tree, often: float = 0.01) -> bool:
    """Say whether a change turns the sign of a condition, at more than a hundredth of many points.

    A quantity that may be nought or below is so at some of them.
    """
    chance = np.random.default_rng(1)
    values = dict(constants())
    for name in sorted(names(tree)):
        if name in values:
            continue
        entry = look_up(name)
        low, high = entry.usual
        drawn = chance.uniform(low if entry.positive else -high, high, 4000)
        if not (entry.positive and entry.open_bounds[0]):
            drawn[chance.random(4000) < 0.15] = 0.0
        values[name] = drawn
    with np.errstate(all="ignore"):
        before, after = (compile_tree(one)(values) >= 0 for one in (tree, changed))
    return bool(np.mean(before != after) > often)


def once_unnoticed() -> list[Mutant]:
    """Changes of more than one place, each of which published values alone once let pass."""
    minus = ("-", "pack_voltage_min")
    gained = ("^", ("+", "target_speed", ("-", "crossover_speed")), 2)
    squares = ("+", ("^", "target_speed", 2), ("-", ("^", "crossover_speed", 2)))
    found = []
    for title, words, old, new in (
        (
            "From battery to wheel",
            "half the auxiliary load",
            ("-", "auxiliary_power"),
            ("-", ("/", "auxiliary_power", 2)),
        ),
        (
            "Power at the lowest voltage",
            "U for U_min",
            ("*", "pack_voltage_min", ("+", "pack_voltage", minus)),
            ("*", "pack_voltage", ("+", "pack_voltage", minus)),
        ),
        ("Time to a speed", "(v − v_x)² for v² − v_x²", squares, gained),
    ):
        for relation, topic in relations().items():
            tree = put(relation.sides[1], old, new)
            if relation.title == title and tree != relation.sides[1]:
                found.append(Mutant(topic, title, Change("form", words, tree), relation))
    return found


def put(tree: Tree, old: Tree, new: Tree) -> Tree:
    """Put one tree in the place of another."""
    if tree == old:
        return new
    return (tree[0], *(put(one, old, new) for one in tree[1:])) if isinstance(tree, tuple) else tree


def differs(tree: Tree, changed: Tree) -> bool:
    """Say whether a change changes anything: a unit of one, such as one kelvin, may go anywhere."""
    chance = random.Random(1)  # noqa: S311  no secret
    values = dict(constants())
    for name in names(tree):
        if name not in values:
            low, high = look_up(name).usual
            values[name] = low + chance.uniform(0.3, 0.7) * (high - low) or 1.0
    with np.errstate(all="ignore"):
        before, after = (float(compile_tree(one)(values)) for one in (tree, changed))
    return not abs(after - before) <= 1e-12 * abs(before)


def standing(name: str, value: float) -> Change:
    """Another standing value: for a nought something, for a limit that is not there a low one."""
    if value == 0 or abs(value) == float("inf"):
        low, high = look_up(name).usual
        other = low + 0.37 * (high - low) if value == 0 else 0.01 * low or 0.01 * high
        return Change("standing", f"{value:g} → {other:.3g}", other)
    return Change("factor", f"{value:g} × {OFF}", OFF * value)


@dataclass
class Asked:
    """A test, what it touches and how long it takes."""

    item: pytest.Item
    seconds: float = 0.0
    touches: set[int] = field(default_factory=set)

    @property
    def name(self) -> str:
        return self.item.nodeid.removeprefix("tests/")


class Traced:
    """Remember which relations are used, by plan or directly, while a test runs."""

    def __init__(self) -> None:
        self.seen: set[int] = set()
        self.plan = Network.plan
        self.plan_if_any = Network.plan_if_any
        self.determined = Network.determined

    def note(self, plan: object) -> None:
        if isinstance(plan, planning.Plan):
            self.seen.update(id(one) for one in (*plan.relations, *plan.standing))

    def __enter__(self) -> Self:
        def plan(network, wanted, known):
            made = self.plan(network, wanted, known)
            self.note(made)
            return made

        def plan_if_any(network, wanted, known):
            made = self.plan_if_any(network, wanted, known)
            self.note(made)
            return made

        def determined(network, known):
            made = self.determined(network, known)
            for one in made.values():
                self.note(one)
            return made

        Network.plan, Network.plan_if_any, Network.determined = plan, plan_if_any, determined
        return self

    def __exit__(self, *_: object) -> None:
        Network.plan, Network.plan_if_any = self.plan, self.plan_if_any
        Network.determined = self.determined


class Session:
    """A pytest plugin: instead of running tests once, ask them about every mutant."""

    def __init__(self, chosen: list[Mutant], *, thorough: bool, quiet: bool) -> None:
        self.chosen = chosen
        self.thorough = thorough
        self.quiet = quiet
        self.out = sys.stdout  # pytest takes it over for its own words
        self.killers: dict[Mutant, str | None] = {}
        self.broken: list[str] = []
        self.lately: dict[Relation | None, list[str]] = {}

    @pytest.hookimpl(tryfirst=True)
    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        asked = [Asked(one) for one in session.items if not one.get_closest_marker("regression")]
        with Traced() as traced:
            for one in asked:
                traced.seen = set()
                started = time.perf_counter()
                if failed(one.item):
                    self.broken.append(one.name)
                one.seconds = time.perf_counter() - started
                one.touches = traced.seen
        if self.broken:
            return True
        asked.sort(key=lambda one: (one.seconds > SLOW, one.seconds))
        made_of_relations()
        gc.freeze()  # a forked copy then shares what is here, and copies little
        # The control: with everything forgotten and nothing changed, all of them still pass.
        noticed = in_a_copy(lambda: first_to_fail(None, asked), patience=20 * PATIENCE)
        if noticed:
            self.broken.append(f"{noticed} (when it is run again)")
            return True
        for mutant in self.chosen:
            killer = self.killers[mutant] = self.ask(mutant, asked)
            if killer is None or not self.quiet:
                print(f"{mutant} | {killer or 'SURVIVED'}", file=self.out, flush=True)
        return True

    def ask(self, mutant: Mutant, asked: list[Asked]) -> str | None:
        touched = mutant.relation
        near = [one for one in asked if touched is None or id(touched) in one.touches]
        if not near and touched is not None:
            # A limit that is not there is in no plan: ask what touches its quantity at all.
            holding = {id(one) for one in relations() if touched.names[0] in one.names}
            near = [one for one in asked if not holding.isdisjoint(one.touches)]
        rest = [one for one in asked if one not in near] if self.thorough else []
        # What noticed another change of the same relation is likely to notice this one.
        lately = self.lately.setdefault(touched, [])
        near.sort(key=lambda one: -lately.index(one.name) - 1 if one.name in lately else 0)
        killer = in_a_copy(lambda: first_to_fail(mutant, [*near, *rest]))
        if killer and killer not in lately:
            lately.append(killer)
        return killer


def first_to_fail(mutant: Mutant | None, asked: list[Asked]) -> str:
    if mutant is None:
        forget_plans()
    else:
        mutant.apply()
    return next((one.name for one in asked if failed(one.item)), "")


def failed(item: pytest.Item) -> bool:
    reports = runtestprotocol(item, log=False, nextitem=None)
    return any(one.failed for one in reports)


def in_a_copy(work, patience: int = PATIENCE) -> str | None:
    """Run in a forked copy of this process, and return its words."""
    out, into = os.pipe()
    child = os.fork()
    if child == 0:
        os.close(out)
        signal.signal(signal.SIGALRM, signal.SIG_DFL)
        signal.alarm(patience)
        try:
            words = work()
        except BaseException as error:  # noqa: BLE001  whatever a broken relation brings about
            words = f"stopped: {type(error).__name__}"
        with contextlib.suppress(OSError):
            os.write(into, words.encode())
        os._exit(0)
    os.close(into)
    with os.fdopen(out, "rb") as pipe:
        words = pipe.read().decode()
    _, code = os.waitpid(child, 0)
    if code:
        return f"(does not end within {patience} s)"
    return words or None


def ask_all(
    chosen: list[Mutant], tests: list[str], *, thorough: bool, quiet: bool
) -> tuple[dict[Mutant, str | None], list[str]]:
    """Ask the tests about each mutant: the killer, or None; and tests that fail as it is."""
    session = Session(chosen, thorough=thorough, quiet=quiet)
    # No cache, no doctests, no notebooks, every case; warnings are errors, as in any other run.
    options = [
        "-q",
        "-q",
        "--no-header",
        "--every-case",
        "-p",
        "no:cacheprovider",
        "-o",
        "faulthandler_timeout=0",
    ]
    with contextlib.redirect_stdout(sys.stderr):
        pytest.main([*options, "-W", "error", *tests], plugins=[session])
    return session.killers, session.broken


def main(arguments: list[str] | None = None) -> int:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--only", default="", help="topic: title | change, as a regular expression")
    parser.add_argument("--sample", type=int, default=0, help="how many, chosen by chance")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--survivors", action="store_true", help="print survivors only")
    parser.add_argument(
        "--thorough", action="store_true", help="ask tests that do not touch it, too"
    )
    parser.add_argument("tests", nargs="*", default=list(ASKED), help="which tests to ask")
    options = parser.parse_args(arguments)
    chosen = [one for one in mutants() if re.search(options.only, str(one))]
    if options.sample:
        chosen = random.Random(options.seed).sample(chosen, min(options.sample, len(chosen)))  # noqa: S311
    started = time.perf_counter()
    tests = [one for one in options.tests if (ROOT / one.split("::")[0]).exists()]
    killers, broken = ask_all(chosen, tests, thorough=options.thorough, quiet=options.survivors)
    if broken:
        print("These fail with nothing changed:", *broken, sep="\n  ")
        return 2
    survived = sum(one is None for one in killers.values())
    by = Counter((one or "SURVIVED").split("/")[0] for one in killers.values())
    print(
        f"{len(killers)} changes of {len({(m.topic, m.title) for m in killers})} relations and constants "
        f"in {time.perf_counter() - started:.0f} s: "
        + ", ".join(f"{count} {name}" for name, count in by.most_common())
    )
    return 1 if survived else 0


if __name__ == "__main__":
    sys.exit(main())
