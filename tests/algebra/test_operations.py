"""The rows of the operations: everybody who walks a tree agrees with each of them.

What a function is worth is told by SymPy and by SciPy, which know nothing of the rows.
"""

import math

import numpy as np
import pytest
import sympy
from hypothesis import given
from hypothesis import strategies as st

from chalkwatt.algebra.numpy_tree import compile_tree
from chalkwatt.algebra.operations import CHAINS, FUNCTIONS, OPERATIONS
from chalkwatt.algebra.scalar_tree import compile_scalar
from chalkwatt.algebra.trees import from_sympy, to_sympy
from chalkwatt.errors import UnitError
from chalkwatt.laws.relations import Relation, check_dimensions, symbol
from chalkwatt.planning.isolating import isolate
from chalkwatt.rendering.printers import LatexPrinter, MathmlPrinter, TextPrinter
from chalkwatt.rendering.spoken_printer import SpokenPrinter
from tests.boards.loaded import load

# Where each function is defined and can be undone without a second value.
WHERE = {
    "sqrt": (0.0, 50.0),
    "cbrt": (0.0, 50.0),  # SymPy takes the complex root of a negative number
    "log": (1e-3, 50.0),
    "log10": (1e-3, 50.0),
    "sin": (-1.5, 1.5),
    "tan": (-1.5, 1.5),
    "cos": (0.0, 3.1),
    "asin": (-1.0, 1.0),
    "acos": (-1.0, 1.0),
    "acosh": (1.0, 50.0),
    "atanh": (-0.99, 0.99),
    "tanh": (-3.0, 3.0),
    "sinh": (-20.0, 20.0),
    "cosh": (-20.0, 20.0),
    "exp": (-20.0, 20.0),
}
ANYWHERE = (-50.0, 50.0)


def inside(name, share):
    low, high = WHERE.get(name, ANYWHERE)
    return low + share * (high - low)


@pytest.mark.parametrize("name", FUNCTIONS)
@given(share=st.floats(0, 1))
def test_a_function_is_that_of_sympy(name, share):
    at = inside(name, share)
    tree = (name, "speed")
    told = to_sympy(tree, sympy.Symbol)
    expected = float(sympy.re(sympy.N(told.subs("speed", sympy.Float(at, 30)), 30)))
    for found in (compile_tree(tree)({"speed": at}), compile_scalar(tree)({"speed": at})):
        assert found == pytest.approx(expected, rel=1e-13, abs=1e-300)


@pytest.mark.parametrize("name", FUNCTIONS)
def test_a_tree_goes_to_sympy_and_back(name):
    tree = (name, ("+", "speed", "headwind"))
    assert from_sympy(to_sympy(tree, sympy.Symbol), ["speed", "headwind"]) == tree


@pytest.mark.parametrize("name", FUNCTIONS)
@given(share=st.floats(0.02, 0.98))
def test_its_slope_is_a_tree_and_right(name, share):
    at = inside(name, share)
    if FUNCTIONS[name].kinked and abs(at) < 1e-3:
        return
    symbol = sympy.Symbol("speed", real=True)
    told = to_sympy((name, "speed"), lambda _name: symbol)
    slope = compile_tree(from_sympy(sympy.diff(told, symbol), ["speed"]))({"speed": at})
    step = 1e-5 * max(abs(at), 1e-2)
    function = OPERATIONS[name].array
    rise = (function(at + step) - function(at - step)) / (2 * step)
    assert float(slope) == pytest.approx(float(rise), rel=2e-5, abs=1e-7)


@pytest.mark.parametrize("name", FUNCTIONS)
@given(share=st.floats(0, 1))
def test_what_undoes_it_gives_back_what_it_was_taken_of(name, share):
    at = inside(name, share)
    way = isolate((name, "speed"), "mass", "speed", sympy.Symbol, positive=False)
    if FUNCTIONS[name].undo is None:
        assert way.by == "roots"
        return
    assert way.by == "formula"
    assert len(way.forms) == (2 if FUNCTIONS[name].even else 1)
    value = float(OPERATIONS[name].array(at))
    back = [float(compile_tree(form)({"mass": value})) for form in way.forms]
    # What is taken of the number to be found loses digits where the function is flat.
    again = [float(OPERATIONS[name].array(one)) for one in back]
    assert all(one == pytest.approx(value, rel=1e-9, abs=1e-12) for one in again)
    wide = 1e-6 * max(1.0, abs(at)) if name not in {"cos", "acos", "cosh"} else 1e-3
    assert min(abs(one - at) for one in back) < wide


@pytest.mark.parametrize("name", FUNCTIONS)
@given(share=st.floats(0, 1))
def test_what_is_told_of_it_is_so(name, share):
    row, at = FUNCTIONS[name], inside(name, share)
    with np.errstate(all="ignore"):
        value, nought = float(row.array(at)), float(row.array(0.0))
        far = [float(row.array(one)) for one in (-1e9, -3.0, -0.5, 0.0, 0.5, 3.0, 1e9)]
    assert not row.never_negative or value >= 0
    assert not row.keeps_sign or at < 0 or value >= 0
    assert not row.above_zero or at <= 0 or value > 0
    assert not row.finite or all(map(math.isfinite, far))
    assert row.finite or not all(map(math.isfinite, far)) or name == "tan"  # which has poles
    assert not row.even or float(row.array(-at)) == value
    if row.at_zero is not None:
        assert nought == row.at_zero
    elif math.isfinite(nought):
        assert nought != round(nought)  # a whole number would have been told
    if row.zero_only_at_zero:
        assert nought == 0
        assert value != 0 or at == 0


@pytest.mark.parametrize("name", FUNCTIONS)
def test_its_dimension(name):
    power = FUNCTIONS[name].size
    if power is None:
        with pytest.raises(UnitError, match=f"{name} needs a plain number"):
            check_dimensions(made("acceleration", (name, "acceleration")))
        check_dimensions(made("drag_coefficient", (name, "rolling_coefficient")))
    else:
        area = ("^", (name, "frontal_area"), 2)
        expected = {0: "drag_coefficient", 1 / 3: None, 1 / 2: "frontal_area", 1: None}[power]
        if expected:
            check_dimensions(made(expected, area))
        with pytest.raises(UnitError):
            check_dimensions(made("mass", area))


def made(left, right):
    return Relation("Invented", symbol(left), to_sympy(right, symbol), source="Invented.")


@pytest.mark.parametrize("name", [*FUNCTIONS, *CHAINS])
def test_each_notation_writes_it_and_no_two_alike(name):
    for printer in (MathmlPrinter(), LatexPrinter(), TextPrinter(), SpokenPrinter()):
        shown = printer.print((name, "speed", "headwind")[: 2 if name in FUNCTIONS else 3])
        assert "{}" not in shown
        others = {printer.print((one, "speed")) for one in FUNCTIONS if one != name}
        assert shown not in others


def test_the_browser_works_out_every_function(page):
    load(page)
    points = {name: [inside(name, share) for share in np.linspace(0, 1, 41)] for name in FUNCTIONS}
    found = page.evaluate(
        """(points) => Object.fromEntries(Object.entries(points).map(([name, all]) => {
            const worth = chalk.compile([name, "speed"], { speed: 0 });
            return [name, all.map((one) => worth([one]))];
        }))""",
        points,
    )
    for name, all_of_it in points.items():
        expected = [float(FUNCTIONS[name].array(one)) for one in all_of_it]
        assert found[name] == pytest.approx(expected, rel=1e-12, abs=1e-15), name


@pytest.mark.parametrize("name", ["random", "nosuch", "PI", "constructor", "toString", "pow"])
def test_the_browser_knows_no_other_function(page, name):
    load(page)
    refused = page.evaluate(
        """(name) => { try { chalk.compile([name, "speed"], { speed: 0 }); } catch (e) { return e.message; } }""",
        name,
    )
    assert refused.startswith("unknown operation")
