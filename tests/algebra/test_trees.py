"""Trees: the author's order, and nothing lost on the way to SymPy and back."""

import math
import random

import pytest
import sympy

from chalkwatt.algebra.numpy_tree import compile_tree
from chalkwatt.algebra.trees import (
    count,
    difference,
    from_sympy,
    names,
    negative,
    plus,
    quotient,
    substitute,
    times,
    to_sympy,
)
from chalkwatt.planning.folding import fold

VALUES = {"a": 1.7, "b": -0.6, "c": 2.9, "d": 0.31}


def value(tree, values=VALUES):
    return float(compile_tree(tree)(values))


def random_tree(chance, depth=3):
    if depth == 0 or chance.random() < 0.2:
        return chance.choice([*VALUES, *VALUES, 2, 3, 0.5, -1, ("/", 1, 2)])
    kind = chance.choice(["+", "*", "/", "-", "^", "sin", "abs", "exp"])
    if kind in {"+", "*"}:
        return (kind, *(random_tree(chance, depth - 1) for _ in range(chance.choice([2, 3]))))
    if kind == "/":
        return ("/", random_tree(chance, depth - 1), random_tree(chance, depth - 1))
    if kind == "^":
        return ("^", random_tree(chance, depth - 1), chance.choice([2, 3]))
    if kind in {"sin", "exp"}:
        return (kind, chance.choice(list(VALUES)))
    return (kind, random_tree(chance, depth - 1))


def some_trees(number):
    chance = random.Random(11)  # noqa: S311  no secret
    return [random_tree(chance) for _ in range(number)]


@pytest.mark.parametrize("place", range(4))
def test_combining_keeps_the_value(place):
    trees = some_trees(400)
    for one, other in zip(trees[place::4], trees[(place + 1) % 4 :: 4], strict=False):
        u, v = (math.nan, math.nan)
        try:
            u, v = value(one), value(other)
        except ZeroDivisionError:
            continue
        if not (math.isfinite(u) and math.isfinite(v)) or v == 0 or max(abs(u), abs(v)) > 1e6:
            continue
        close = {"rel": 1e-9, "abs": 1e-9}
        assert value(plus([one, other])) == pytest.approx(u + v, **close)
        assert value(times([one, other])) == pytest.approx(u * v, **close)
        assert value(difference(one, [other])) == pytest.approx(u - v, **close)
        assert value(negative(one)) == pytest.approx(-u, **close)
        if abs(v) > 1e-3:
            assert value(quotient(one, other)) == pytest.approx(u / v, **close)


def test_to_sympy_and_back_keeps_the_value():
    for tree in some_trees(250):
        before = compile_tree(tree)(VALUES)
        if not math.isfinite(before) or abs(before) > 1e9:
            continue
        expression = to_sympy(tree, lambda name: sympy.Symbol(name, real=True))
        if expression.has(sympy.zoo, sympy.nan):
            continue
        back = from_sympy(expression, list(VALUES))
        assert value(back) == pytest.approx(float(before), rel=1e-9, abs=1e-9), tree


def test_the_authors_order_survives():
    with sympy.evaluate(False):  # noqa: FBT003  SymPy's own signature
        z, y, x = sympy.symbols("z y x")
        tree = from_sympy(z + y * x - x**2 / (2 * z))
    assert tree == ("+", "z", ("*", "y", "x"), ("-", ("/", ("^", "x", 2), ("*", 2, "z"))))


def test_half_stays_a_fraction():
    with sympy.evaluate(False):  # noqa: FBT003  as above
        tree = from_sympy(sympy.S.Half * sympy.Symbol("x"))
    assert tree == ("*", ("/", 1, 2), "x")


@pytest.mark.parametrize(
    ("made", "expected"),
    [
        (negative(("-", "a")), "a"),
        (negative(3), -3),
        (plus([0, "a"]), "a"),
        (plus([]), 0),
        (plus([("+", "a", "b"), "c"]), ("+", "a", "b", "c")),
        (times([1, "a"]), "a"),
        (times([]), 1),
        (times([("-", "a"), ("-", "b")]), ("*", "a", "b")),
        (times([("/", "a", "b"), "c"]), ("/", ("*", "a", "c"), "b")),
        (quotient("a", 1), "a"),
        (quotient(("/", "a", "b"), ("/", "c", "d")), ("/", ("*", "d", "a"), ("*", "b", "c"))),
        (quotient("a", ("*", ("/", 1, 2), "b")), ("/", ("*", 2, "a"), "b")),
        (quotient(("-", "a"), ("-", "b")), ("/", "a", "b")),
        (difference("a", [("+", "b", ("-", "c"))]), ("+", "a", ("-", "b"), "c")),
    ],
)
def test_small_forms(made, expected):
    assert made == expected


def test_names_and_counts():
    tree = ("+", "a", ("*", "b", "a"), ("sin", "c"))
    assert list(names(tree)) == ["a", "b", "a", "c"]
    assert count(tree, "a") == 2
    assert substitute(tree, {"a": ("*", "d", 2)}) == (
        "+", ("*", "d", 2), ("*", "b", "d", 2), ("sin", "c"),
    )  # fmt: skip


def test_what_no_relation_can_hold_is_said():
    with pytest.raises(TypeError, match="relations cannot hold"):
        from_sympy(sympy.Derivative(sympy.Function("f")(sympy.Symbol("x")), sympy.Symbol("x")))


@pytest.mark.parametrize(
    ("tree", "zeros"),
    [
        (("+", "mass", ("*", "grade", "speed")), {"grade"}),
        (("*", "mass", ("cos", "grade_angle")), {"grade_angle"}),
        (("*", ("abs", ("+", "speed", "headwind")), ("+", "speed", "headwind")), {"headwind"}),
        (("/", ("sin", "grade_angle"), "mass"), {"grade_angle"}),
        (("exp", ("-", "grade")), {"grade"}),
        (("^", "mass", "grade"), {"grade"}),
        (("^", "grade", 2), {"grade"}),
        (
            (
                "-",
                "mass",
            ),
            {"grade"},
        ),
        (("min", "mass", "grade"), {"grade"}),
        (("sqrt", "grade"), {"grade"}),
    ],
)
def test_folding_keeps_the_value(tree, zeros):
    values = {"mass": 2.5, "speed": 3.5, "headwind": 1.5, "grade": 0.2, "grade_angle": 0.3}
    values |= dict.fromkeys(zeros, 0.0)
    folded = fold(tree, zeros)
    assert value(folded, values) == pytest.approx(value(tree, values), rel=1e-15)
    assert not zeros & set(names(folded))
