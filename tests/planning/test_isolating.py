"""Turning an equation round: every closed form against mpmath's own search for the root."""

import mpmath
import numpy as np
import pytest
import sympy

from chalkwatt.algebra.numpy_tree import compile_tree
from chalkwatt.algebra.solving import bracketed_roots, cubic_roots, quadratic_roots, search_grid
from chalkwatt.algebra.trees import from_sympy, names, to_sympy
from chalkwatt.laws.quantities import constants, look_up
from chalkwatt.laws.relations import symbol
from chalkwatt.planning.isolating import _slope, isolate
from tests.points import GIVEN, IDLE, TOPICS, point

EACH = [
    pytest.param(name, relation, wanted, id=f"{name}: {relation.title}: {wanted}")
    for name in GIVEN
    for relation in TOPICS[name].network.strong
    for wanted in relation.names
    if look_up(wanted).constant is None and wanted not in IDLE
]
_MP = {
    "sqrt": mpmath.sqrt, "cbrt": mpmath.cbrt, "abs": abs, "exp": mpmath.exp, "log": mpmath.log,
    "sin": mpmath.sin, "cos": mpmath.cos, "tan": mpmath.tan, "atan": mpmath.atan,
    "asin": mpmath.asin, "acos": mpmath.acos, "-": lambda a: -a, "/": lambda a, b: a / b,
    "^": lambda a, b: a**b, "sign": mpmath.sign, "min": min, "max": max,
}  # fmt: skip


def in_mpmath(tree, values):
    """Evaluate a tree with fifty digits; shares nothing with the NumPy rendering."""
    if isinstance(tree, str):
        return mpmath.mpf(values[tree])
    if not isinstance(tree, tuple):
        return mpmath.mpf(tree)
    args = [in_mpmath(part, values) for part in tree[1:]]
    if tree[0] == "+":
        return mpmath.fsum(args)
    if tree[0] == "*":
        return mpmath.fprod(args)
    return _MP[tree[0]](*args)


def searched(left, right, slope, entry, values):
    """The roots that a search between the quantity's bounds finds."""

    def at(tree):
        return lambda t, _pick: np.broadcast_to(
            compile_tree(tree)(values | {entry.name: t}), np.shape(t)
        )

    found = bracketed_roots(
        lambda t, pick: at(left)(t, pick) - at(right)(t, pick),
        at(slope),
        1,
        search_grid(entry.bounds, entry.usual),
    )
    return [float(one) for one in found.ravel()]


def worked_out(case, values):
    """What the formulas of a case, or the coefficients of its equation, come to."""
    forms = [float(compile_tree(form)(values)) for form in case.forms]
    if case.by == "formula":
        return forms
    solve = cubic_roots if case.by == "cubic" else quadratic_roots
    return [float(one) for one in solve(*forms).ravel()]


@pytest.mark.parametrize(("name", "relation", "wanted"), EACH)
def test_every_way_against_a_search_with_fifty_digits(name, relation, wanted):
    values = point(name)
    left, right = relation.sides
    entry = look_up(wanted)
    way = isolate(left, right, wanted, symbol, positive=entry.positive)
    found = (
        searched(left, right, way.slope_of(), entry, values)
        if way.by == "roots"
        else [one for case in way.pieces or (way,) for one in worked_out(case, values)]
    )

    def residual(t):
        here = values | {wanted: t}
        return in_mpmath(left, here) - in_mpmath(right, here)

    truth = values[wanted]
    with mpmath.workdps(50):
        root = float(
            mpmath.findroot(residual, (truth * 0.999, truth * 1.001), tol=1e-60, verify=False)
        )
        # Where a side hardly moves, as the cosine of a small angle, its last digit is many of the root.
        digit = float(abs(in_mpmath(left, values)) / abs(mpmath.diff(residual, root)))
    assert root == pytest.approx(truth, rel=1e-9)
    slack = max(1e-12 * abs(root), 16 * np.finfo(float).eps * digit)
    assert slack <= 1e-9 * abs(root)
    assert min(abs(one - root) for one in found) <= slack


def turned_round_signs(relation, values):
    """Points at which a relation holds with its signed quantities the other way, one by one and all at once."""
    left, right = relation.sides
    slack, made = (left, right) if isinstance(left, str) else (right, left)
    if not isinstance(slack, str) or slack in names(made):
        return
    entries = [look_up(one) for one in dict.fromkeys(names(made))]
    signed = [e.name for e in entries if e.constant is None and e.bounds[0] == -e.bounds[1]]
    for turned in {*((one,) for one in signed), tuple(signed)}:
        here = values | {one: -values[one] for one in turned}
        here[slack] = float(compile_tree(made)(here))
        if look_up(slack).inside(here[slack]) and here[slack] != 0:
            yield here, [one for one in relation.names if one not in {slack, *turned}]


def test_a_signed_quantity_the_other_way_finds_the_same_positive_one_back():
    """Of two roots that differ by their sign, which is the positive one depends on the values."""
    tried = set()
    for name in GIVEN:
        for relation in TOPICS[name].network.strong:
            for values, others in turned_round_signs(relation, point(name) | constants()):
                for wanted in others:
                    entry = look_up(wanted)
                    way = isolate(*relation.sides, wanted, symbol, positive=entry.positive)
                    if not entry.positive or way.by != "formula" or way.where:
                        continue
                    moved = values | {wanted: 1.01 * values[wanted]}
                    if all(
                        compile_tree(s)(values) == compile_tree(s)(moved) for s in relation.sides
                    ):
                        continue  # what the road gives back knows nothing of the way there
                    found = worked_out(way, values)
                    assert min(abs(one / values[wanted] - 1) for one in found) < 1e-6, (
                        relation.title,
                        wanted,
                    )
                    tried.add((relation.title, wanted))
    assert ("Lost in the pack", "pack_voltage") in tried
    assert len(tried) > 40


def test_what_needs_a_search_is_known_by_name():
    need = set()
    for param in EACH:
        _, relation, wanted = param.values
        way = isolate(*relation.sides, wanted, symbol, positive=look_up(wanted).positive)
        if way.by == "roots":
            need.add((relation.title, wanted))
    # Wind, growth and recovery make the most economical speed the longest of all equations, with cases.
    assert {pair for pair in need if pair[0] != "Most economical speed"} == {
        ("Road force at the most economical speed", "economical_speed"),
        ("Coast-down form of the road force", "speed"),
        ("Balance of sun and road", "equilibrium_speed"),
        ("Grade at which it stalls", "stall_angle"),
        ("Grade at which it stalls", "creeping_speed"),
        ("Saturation", "air_temperature"),
        ("Dew point", "dew_point"),
    }


@pytest.mark.parametrize(
    ("left", "right", "wanted", "by", "count"),
    [
        ("wheel_power", ("*", "road_force", "speed"), "speed", "formula", 1),
        ("air_force", ("*", "air_density", ("^", "speed", 2)), "speed", "formula", 1),
        ("air_force", ("*", "air_density", ("^", "headwind", 2)), "headwind", "formula", 2),
        ("mass", ("*", "air_density", ("cos", "grade_angle")), "grade_angle", "formula", 2),
        ("mass", ("*", "speed", ("+", 1, ("*", "speed", "speed"))), "speed", "cubic", 3),
        ("mass", ("+", "speed", ("^", "speed", 2)), "speed", "quadratic", 3),
        ("mass", ("+", "speed", ("/", 1, "speed")), "speed", "quadratic", 3),
        ("mass", ("+", "speed", ("exp", "speed")), "speed", "roots", 0),
        ("mass", ("+", ("*", "speed", "air_density"), "speed"), "speed", "formula", 1),
    ],
)
def test_the_way(left, right, wanted, by, count):
    way = isolate(left, right, wanted, symbol, positive=look_up(wanted).positive)
    assert way.by == by
    assert len(way.forms) == count
    assert wanted not in {name for form in way.forms for name in names(form)}


@pytest.mark.parametrize("sign", [1.0, -1.0])
def test_the_signed_square(sign):
    left = "air_force"
    right = ("*", ("abs", "headwind"), "headwind", "air_density")
    way = isolate(left, right, "headwind", symbol, positive=False)
    (form,) = way.forms
    found = float(compile_tree(form)({"air_force": sign * 8.0, "air_density": 2.0}))
    assert found == pytest.approx(sign * 2.0)


@pytest.mark.parametrize("name", sorted(GIVEN))
def test_slopes_against_finite_differences(name):
    values = {**constants(), **point(name)}
    for relation in TOPICS[name].network.strong:
        for wanted in relation.names:
            left, right = relation.sides
            if isolate(left, right, wanted, symbol, positive=False).by == "formula":
                continue
            both = to_sympy(left, symbol) - to_sympy(right, symbol)
            slope = from_sympy(_slope(both, symbol(wanted)), relation.names)

            def residual(t, left=left, right=right, wanted=wanted):
                here = values | {wanted: t}
                return compile_tree(left)(here) - compile_tree(right)(here)

            t, step = values[wanted], 1e-6 * abs(values[wanted])
            rough = (residual(t + step) - residual(t - step)) / (2 * step)
            assert float(compile_tree(slope)(values)) == pytest.approx(rough, rel=1e-5)


def test_slopes_of_moduli_and_signs_hold_no_dirac_delta():
    left = ("*", ("abs", ("+", "speed", "headwind")), ("sign", ("+", "speed", ("-", "mass"))))
    way = isolate(left, ("exp", "speed"), "speed", symbol, positive=True)
    assert way.by == "roots"
    values = {"speed": 1.3, "headwind": 0.4, "mass": 2.0}
    assert float(compile_tree(way.slope_of())(values)) == pytest.approx(-1 - np.exp(1.3))


def test_leading_coefficients_are_positive_where_signs_can_be_turned():
    way = isolate(
        "wheel_power",
        ("*", ("+", ("*", "coast_down_square", ("^", "speed", 2)), "rolling_force"), "speed"),
        "speed", symbol, positive=True,
    )  # fmt: skip
    assert way.forms == ("coast_down_square", "rolling_force", "wheel_power")


def test_what_divides_by_nought_is_solved_by_nothing():
    nought = ("+", "x", ("-", "x"))
    sides = (("/", "power", nought), ("max", "x", ("*", "x", ("+", "x", "y"))))
    way = isolate(*sides, "x", sympy.Symbol, positive=True)
    assert (way.by, way.forms) == ("roots", ())


@pytest.mark.parametrize("function", ["sqrt", "abs", "exp", "cosh", "acosh", "acos"])
def test_what_has_no_negative_value_is_not_undone_for_one(function):
    way = isolate((function, "mass"), "headwind", "mass", symbol, positive=True)
    assert "headwind" in way.where
    way = isolate((function, "mass"), "speed", "mass", symbol, positive=True)
    assert way.where == ()
