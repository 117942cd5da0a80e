"""The scalar rendering of a tree is the twin of the NumPy rendering."""

from __future__ import annotations

import math
import random
from typing import Any

import numpy as np
import pytest

from chalkwatt.algebra.numpy_tree import compile_tree
from chalkwatt.algebra.operations import CHAINS, FUNCTIONS
from chalkwatt.algebra.scalar_tree import compile_scalar, settle
from chalkwatt.algebra.trees import names

INF, NAN = math.inf, math.nan
ULP = 2.0**-52
EXTREME = [
    *(0.0, -0.0, 5e-324, -5e-324, 1e-300, 1e-12, 0.3, 0.5, 1.0, 1.5, 2.0, 3.0, 7.25, 100.0, 710.0),
    *(-1e-300, -1e-12, -0.3, -0.5, -1.0, -1.5, -2.0, -3.0, -7.25, -100.0, -710.0),
    *(1e16, -1e16, 1e154, -1e155, 1e300, -1e300, 1.7e308, -1.7e308, INF, -INF, NAN),
]
BINARY = [*CHAINS, "/", "^"]
UNARY = [*FUNCTIONS, "-"]
# These are correctly rounded everywhere, so that whole trees of them agree to the last bit.
EXACT = ["+", "*", "/", "-", "min", "max", "abs", "sign", "sqrt", "square", "cube"]
NAMES = ["u", "v", "w"]


def by_numpy(tree: Any, values: dict[str, float]) -> float:
    compile_tree.cache_clear()  # to a cache, a number and its minus nought are one key
    with np.errstate(all="ignore"):
        return float(compile_tree(tree)(values))


def both_ways(tree: Any, values: dict[str, float]) -> float:
    """The value by name, which must be the one by place."""
    named = compile_scalar(tree)(values)
    places = {name: place for place, name in enumerate(values)}
    listed = compile_scalar(tree, places)(list(values.values()))
    assert named == listed or (math.isnan(named) and math.isnan(listed))
    assert isinstance(named, float)
    return named


def alike(first: float, second: float, ulps: float = 4) -> bool:
    if math.isnan(first) or math.isnan(second):
        return math.isnan(first) and math.isnan(second)
    if first == second:
        return True
    apart = ulps * ULP * max(abs(first), abs(second), 2.3e-308)
    return math.isfinite(first) and math.isfinite(second) and abs(first - second) <= apart


@pytest.mark.parametrize("operation", UNARY)
def test_an_operation_on_one_number(operation: str) -> None:
    # Far out, the sine of a number is a matter of how it is reduced, not of the rendering.
    wide = operation not in {"sin", "cos", "tan"}
    for number in EXTREME:
        if not wide and 1e6 < abs(number) < INF:
            continue
        values = {"u": number}
        expected, found = by_numpy((operation, "u"), values), both_ways((operation, "u"), values)
        assert alike(found, expected), (operation, number, found, expected)
        folded = compile_scalar((operation, number))({})
        assert alike(folded, by_numpy((operation, number), {})), (operation, number)


@pytest.mark.parametrize("operation", BINARY)
def test_an_operation_on_two_numbers(operation: str) -> None:
    for first in EXTREME:
        for second in EXTREME:
            if (operation, first, second) == ("^", -INF, 0.5):
                continue  # a root to one release of NumPy, a power (inf) to another
            values = {"u": first, "v": second}
            for tree in ((operation, "u", "v"), (operation, "u", second), (operation, first, "v")):
                expected, found = by_numpy(tree, values), both_ways(tree, values)
                assert alike(found, expected), (tree, values, found, expected)


def test_the_sign_of_an_infinity() -> None:
    for over, under, exponent in ((1.0, -0.0, -3), (-1.0, 0.0, -2), (-1.0, -0.0, -1)):
        values = {"u": over, "v": under}
        for tree in (("/", "u", "v"), ("^", "v", exponent)):
            assert both_ways(tree, values) == by_numpy(tree, values), (tree, values)


def grown(draw: random.Random, depth: int, operations: list[str]) -> Any:
    if depth == 0 or draw.random() < 0.15:
        return draw.choice([*NAMES, draw.choice([2, 3, 0.5, -1.25, 1e-3, -4e5])])
    operation = draw.choice(operations)
    inner = grown(draw, depth - 1, operations)
    if operation == "square":
        return ("^", inner, 2)
    if operation == "cube":
        return ("^", inner, 3)
    if operation in CHAINS:
        count = draw.randint(1, 3)
        return (operation, inner, *(grown(draw, depth - 1, operations) for _ in range(count)))
    if operation in {"/", "^"}:
        return (operation, inner, grown(draw, depth - 1, operations))
    return (operation, inner)


def drawn(draw: random.Random) -> dict[str, float]:
    def one() -> float:
        if draw.random() < 0.2:
            return draw.choice(EXTREME)
        return draw.choice([-1, 1]) * 10 ** draw.uniform(-6, 6)

    return {name: one() for name in NAMES}


def test_random_trees_of_exact_operations_agree_to_the_last_bit() -> None:
    draw = random.Random(6)  # noqa: S311  no secret
    finite = 0
    for _ in range(3000):
        tree, values = grown(draw, 4, EXACT), drawn(draw)
        expected, found = by_numpy(tree, values), both_ways(tree, values)
        assert alike(found, expected, ulps=0), (tree, values, found, expected)
        finite += math.isfinite(found)
    assert finite > 1500


def test_random_trees_of_all_operations_agree() -> None:
    draw = random.Random(7)  # noqa: S311  no secret
    compared = 0
    for _ in range(6000):
        tree, values = grown(draw, 3, [*UNARY, *BINARY, "square"]), drawn(draw)
        expected, found = by_numpy(tree, values), both_ways(tree, values)
        # Where a last bit of the input turns the result round, two libraries may differ.
        nearby = [
            by_numpy(tree, {name: one * (1 + turn) for name, one in values.items()})
            for turn in (-1e-13, 1e-13)
        ]
        if all(alike(one, expected, ulps=1e-9 / ULP) for one in nearby):
            compared += 1
            # Of what is nearly 1, a logarithm keeps as many places, not as many digits.
            near = "log" in repr(tree) and abs(found - expected) < 1e-14
            assert near or alike(found, expected, ulps=1e-8 / ULP), (tree, values, found, expected)
    assert compared > 4000


def test_settling_changes_no_value() -> None:
    draw = random.Random(8)  # noqa: S311  no secret
    for _ in range(2000):
        tree, values = grown(draw, 4, EXACT), drawn(draw)
        known = {name: values[name] for name in NAMES if draw.random() < 0.6}
        rest = settle(tree, known)
        assert not known.keys() & set(names(rest))
        assert alike(compile_scalar(rest)(values), both_ways(tree, values), ulps=0), (tree, values)
        if len(known) == len(NAMES):
            assert isinstance(rest, float | int)


def test_a_name_without_a_place() -> None:
    with pytest.raises(KeyError, match="mass"):
        compile_scalar(("*", "mass", "speed"), {"speed": 0})
