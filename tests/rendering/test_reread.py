"""Ten thousand rendered lines, read back by a reader of its own, give the value of their numbers."""

# ruff: noqa: C901, PLR0911  one case an operation

import math
import random
from functools import cache

import numpy as np
import pytest

from chalkwatt.algebra.trees import names
from chalkwatt.laws.quantities import look_up
from chalkwatt.laws.relations import symbol
from chalkwatt.planning.isolating import isolate
from chalkwatt.rendering.printers import LatexPrinter, MathmlPrinter, TextPrinter
from chalkwatt.rendering.working import Working
from tests.points import TOPICS
from tests.rendering.reading import latex_value, mathml_value, text_value

LINES = 10_000
READERS = {
    "text": (TextPrinter, text_value),
    "latex": (LatexPrinter, latex_value),
    "mathml": (MathmlPrinter, mathml_value),
}
LEAVES = [
    "speed", "headwind", "grade", "grade_angle", "mass", "drag_area", "air_force", "grade_force",
    "consumption", "usable_energy", "air_temperature", "temperature_coefficient", "wheel_power",
    "drive_efficiency", "cells_in_series", "coast_down_square", "range", "pack_resistance",
]  # fmt: skip


def random_tree(chance, depth):
    """Any tree that a relation could hold; small arguments for what grows or turns fast."""
    if depth == 0 or chance.random() < 0.15:
        kind = chance.random()
        if kind < 0.75:
            return chance.choice(LEAVES)
        if kind < 0.85:
            return chance.choice([2, 3, 10, 1000, -1, -7])
        if kind < 0.95:
            return chance.choice([0.5, 0.0065, -2.5, 1e-9, 3.2e8, 6356766.0])
        return ("/", 1, 2)

    def part():
        return random_tree(chance, depth - 1)

    kind = chance.choice(["+", "+", "*", "*", "/", "/", "^", "-", "abs", "sqrt", "cbrt", "f"])
    if kind in {"+", "*"}:
        return (kind, *(part() for _ in range(chance.choice([2, 2, 3]))))
    if kind == "/":
        return ("/", part(), part())
    if kind == "^":
        return ("^", part(), chance.choice([2, 3, 2, -1, -2, 4]))
    if kind == "f":
        name = chance.choice(["sin", "cos", "tan", "exp", "atan", "min", "max", "sign", "asinh"])
        if name in {"min", "max"}:
            return (name, part(), part())
        return (name, chance.choice(["grade_angle", "grade", ("*", 2, "grade"), ("-", "grade")]))
    if kind == "sqrt":
        return ("sqrt", ("abs", part()))
    return (kind, part())


OPERATIONS = {
    "-": lambda a: -a, "abs": abs, "sqrt": math.sqrt, "cbrt": math.cbrt, "exp": math.exp,
    "log": math.log, "sin": math.sin, "cos": math.cos, "tan": math.tan, "asin": math.asin,
    "acos": math.acos, "atan": math.atan, "asinh": math.asinh, "sinh": math.sinh,
    "sign": lambda a: float(np.sign(a)),
}  # fmt: skip


def value_and_condition(tree, leaf):
    """Value of a tree, and how many times a last bit of its leaves is magnified in it."""
    if isinstance(tree, str):
        return leaf(tree), 1.0
    if not isinstance(tree, tuple):
        return float(f"{tree:.6g}"), 1.0
    operation, *parts = tree
    made = [value_and_condition(part, leaf) for part in parts]
    values, conditions = zip(*made, strict=True)
    if operation == "+":
        value = math.fsum(values)
        size = sum(abs(one) * condition for one, condition in made)
        return value, size / abs(value) if value else math.inf
    if operation == "*":
        return math.prod(values), sum(conditions)
    if operation == "/":
        return values[0] / values[1], sum(conditions)
    if operation == "^":
        return values[0] ** values[1], conditions[0] * abs(values[1])
    if operation in {"min", "max"}:
        return {"min": min, "max": max}[operation](values), max(conditions)
    value = OPERATIONS[operation](values[0])
    magnified = 1.0
    if operation in {"sin", "cos", "tan", "asin", "acos", "exp", "log", "sinh"} and value:
        magnified = max(1.0, abs(values[0]), 1 / abs(value)) ** 2
    return value, conditions[0] * magnified


@cache
def lines():
    """Trees with numbers in: every solved form of every relation, then trees made by chance."""
    chance = random.Random(31)  # noqa: S311  no secret
    made = []
    for topic in TOPICS.values():
        for relation in topic.network.strong:
            for name in relation.names:
                entry = look_up(name)
                if entry.constant is None:
                    way = isolate(*relation.sides, name, symbol, positive=entry.positive)
                    made += [(form, chance.random()) for form in way.forms]
            made += [(side, chance.random()) for side in relation.sides]
    while len(made) < 3 * LINES:
        made.append((random_tree(chance, chance.choice([1, 2, 3, 3])), chance.random()))
    return made


def quantity_value(name, chance):
    """A value of a quantity in SI, from 1e-12 to 1e12, of either sign where it may have one."""
    entry = look_up(name)
    if name in {"grade", "grade_angle", "stall_angle"}:
        return chance.uniform(-1.2, 1.2)
    size = 10 ** chance.uniform(-12, 12) if chance.random() < 0.5 else 10 ** chance.uniform(-3, 3)
    return -size if not entry.positive and chance.random() < 0.5 else size


def written(tree, seed, kind, reader=None):
    """A line with numbers as the working writes it, and the numbers in it as shown, in SI."""
    chance = random.Random(seed)  # noqa: S311  no secret
    used = list(dict.fromkeys(names(tree)))
    values = {name: quantity_value(name, chance) for name in used}
    known = [name for name in used if chance.random() < 0.5]
    labels = {name: chance.choice(look_up(name).display) for name in used}
    working = Working((), values, wanted="", known=known, labels=labels, roots={}, assumptions=())
    printer = working.printer(kind, numeric=True)
    shown = {}
    for name in used if reader else ():
        # Alone, a number with its unit is read without any rule of binding.
        shown[name] = reader(printer.print(name))
        assert shown[name] == pytest.approx(values[name], rel=6e-3)
    return printer.print(tree), shown


def reread(kind, reader, most=LINES):
    """Count the lines read, and list those that do not give back the value of their numbers."""
    read, wrong = 0, []
    for tree, seed in lines():
        if read == most:
            break
        line, shown = written(tree, seed, kind, reader)
        try:
            expected, condition = value_and_condition(tree, shown.__getitem__)
        except (ZeroDivisionError, OverflowError, ValueError, TypeError):
            continue  # no real number to be shown
        if isinstance(expected, complex) or not 1e-250 < abs(expected) < 1e250 or condition > 100:
            continue
        read += 1
        try:
            found = reader(line)
        except (AssertionError, ArithmeticError, ValueError) as error:
            wrong.append((line, repr(error)))
            continue
        if not abs(found - expected) <= 1e-12 * abs(expected):
            wrong.append((line, f"{found!r} instead of {expected!r}"))
    return read, wrong


@pytest.mark.parametrize("notation", READERS)
def test_every_line_gives_back_its_value(notation):
    read, wrong = reread(*READERS[notation])
    assert wrong[:5] == []
    assert read == LINES


def test_negatives_and_powers_of_ten_are_among_them():
    texts = [written(tree, seed, TextPrinter)[0] for tree, seed in lines()[:LINES]]
    assert sum("(−" in one for one in texts) > 500
    assert sum("×10⁻" in one for one in texts) > 500
    assert sum("×10" in one and "⁻" not in one for one in texts) > 300


# The reader must be able to see a mistake: break each printer once.


def unguarded(printer):
    class Unguarded(printer):
        def amount(self, shown, label, *, guard):  # noqa: ARG002  that is the mistake
            return super().amount(shown, label, guard=False)

    return Unguarded


def unfenced(printer):
    class Unfenced(printer):
        def fence(self, shown):
            return shown

    return Unfenced


def minus_lost(printer):
    class MinusLost(printer):
        def minus(self, part):
            return self.print(part)

    return MinusLost


@pytest.mark.parametrize("notation", READERS)
@pytest.mark.parametrize("broken", [unguarded, unfenced, minus_lost])
def test_a_broken_printer_is_seen(notation, broken):
    printer, reader = READERS[notation]
    _, wrong = reread(broken(printer), reader, most=1500)
    assert wrong
