"""Roots against an independent method: mpmath at fifty digits, and roots known beforehand."""

import itertools
import math
import random

import mpmath
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from chalkwatt.algebra.solving import bracketed_roots, cubic_roots, quadratic_roots, search_grid

ULPS = 4 * 2.0**-53
# 8 sizes of a and b and 9 of c, both signs: far beyond what a vehicle asks for.
SIZES = [0.0, 1e-12, 1e-7, 1e-3, 1.0, 1e3, 1e7, 1e12]
EXTREME = [
    (sign * a, other * b, c)
    for a, b in itertools.product(SIZES, SIZES)
    for c in (*SIZES, -3.7e5)
    for sign, other in ((1, 1), (1, -1), (-1, 1))
    if a or b
]


def real_roots(coefficients):
    """Real roots by mpmath's Durand-Kerner iteration at fifty digits, largest powers first."""
    while coefficients and coefficients[0] == 0:
        coefficients = coefficients[1:]
    if len(coefficients) < 2:
        return []
    zeros = 0
    while coefficients[-1] == 0:
        coefficients, zeros = coefficients[:-1], zeros + 1
    found = [0.0] * zeros
    if len(coefficients) > 1:
        with mpmath.workdps(60):
            # Scaled so that the roots are near one: the iteration starts there.
            exact = [mpmath.mpf(one) for one in coefficients]
            degree = len(exact) - 1
            scale = max(
                (abs(one / exact[0]) ** (mpmath.mpf(1) / place))
                for place, one in enumerate(exact)
                if place and one
            )
            scaled = [one / exact[0] / scale**place for place, one in enumerate(exact)]
            roots = mpmath.polyroots(scaled, maxsteps=500, extraprec=300)
            assert len(roots) == degree
            found += [
                float(root.real * scale)
                for root in roots
                if abs(root.imag) <= mpmath.mpf(10) ** -25 * abs(root)
            ]
    return sorted(found)


def finite(roots):
    return [float(one) for one in np.ravel(roots) if not math.isnan(one)]


def test_there_are_more_than_288_extreme_cases():
    assert len(EXTREME) >= 288


@pytest.mark.parametrize("sign", ["both positive", "of both signs"])
def test_cubic_over_extreme_coefficients(sign):
    worst = 0.0
    cases = [one for one in EXTREME if (one[0] > 0 and one[1] > 0) == (sign == "both positive")]
    for a, b, c in cases:
        expected = real_roots([a, 0.0, b, -c])
        found = finite(cubic_roots(a, b, c))
        assert len(set(found)) == len(set(expected)), (a, b, c, found, expected)
        for one, other in zip(sorted(set(found)), sorted(set(expected)), strict=True):
            off = abs(one - other) / abs(other) if other else abs(one)
            worst = max(worst, off)
            assert off <= ULPS, (a, b, c, found, expected)
    assert worst > 0  # a comparison with itself would give nothing at all


def test_the_array_gives_what_the_single_number_gives():
    a, b, c = (np.array(column) for column in zip(*EXTREME, strict=True))
    together = cubic_roots(a, b, c)
    for place, case in enumerate(EXTREME):
        alone = sorted(set(finite(cubic_roots(*case))))
        np.testing.assert_allclose(sorted(set(finite(together[:, place]))), alone, rtol=1e-15)


@settings(derandomize=True, max_examples=200)
@given(
    st.floats(-12, 12),
    st.floats(-12, 12),
    st.floats(-12, 12),
    st.sampled_from([1, -1]),
    st.sampled_from([1, -1]),
)
def test_cubic_by_chance(a, b, c, first, second):
    a, b, c = 10**a, first * 10**b, second * 10**c
    expected = real_roots([a, 0.0, b, -c])
    # Near a double root the last bits of the coefficients decide whether there is one at all.
    discriminant = 4 * (b / a) ** 3 + 27 * (c / a) ** 2
    if abs(discriminant) < 1e-6 * abs(4 * (b / a) ** 3):
        return
    found = finite(cubic_roots(a, b, c))
    assert len(found) == len(expected)
    np.testing.assert_allclose(found, expected, rtol=2 * ULPS)


def test_a_double_root_of_a_cubic():
    # (t − 1)² (t + 2) = t³ − 3 t + 2
    # Its place is known to half the digits only: a last bit of a coefficient moves it by 1e-8.
    low, *double = finite(cubic_roots(1.0, -3.0, -2.0))
    assert low == -2.0
    np.testing.assert_allclose(double, 1.0, rtol=1e-8)


@pytest.mark.parametrize(
    ("a", "b", "c", "expected"),
    [
        (1.0, -1e8, -1.0, [1.00000000000000010e-8, 1e8]),
        (1.0, 1e8, 1.0, [-1e8, 9.9999999999999990e-9]),
        (1e-20, 1.0, 1.0, [-1e20, 1.0]),
        (0.0, 2.0, 3.0, [1.5]),
        (1.0, 0.0, 4.0, [-2.0, 2.0]),
        (1.0, 0.0, -4.0, []),
        (1.0, -2.0, -1.0, [1.0]),
        (1.0, -5.0, 0.0, [0.0, 5.0]),
    ],
)
def test_quadratic_without_cancellation(a, b, c, expected):
    found = sorted(set(finite(quadratic_roots(a, b, c))))
    np.testing.assert_allclose(found, expected, rtol=ULPS)


def test_quadratic_by_chance_against_mpmath():
    chance = random.Random(5)  # noqa: S311  no secret
    for _ in range(300):
        a, b, c = (chance.choice([-1, 1]) * 10 ** chance.uniform(-9, 9) for _ in range(3))
        inside = mpmath.mpf(b) ** 2 + 4 * mpmath.mpf(a) * mpmath.mpf(c)
        if abs(inside) < 1e-6 * b * b:
            continue
        np.testing.assert_allclose(
            finite(quadratic_roots(a, b, c)), real_roots([a, b, -c]), rtol=4 * ULPS
        )


# Searched roots.


def searched(function, slope, bounds=(-math.inf, math.inf), usual=(0.0, 10.0), size=1):
    return bracketed_roots(function, slope, size, search_grid(bounds, usual))


@pytest.mark.parametrize(
    "roots",
    [
        [1.0],
        [0.5, 3.0, 9.0],
        [0.001, 0.5, 4.0, 4.7, 8.25],
        [1e-6, 3.0, 5e3],
        [2.0, 2.001],
        [2.0, 2.0000001],
        [-7.0, -0.25, 6.5],
    ],
)
def test_polynomials_with_known_roots(roots):
    poly = np.polynomial.Polynomial.fromroots(roots)
    found = searched(lambda t, _: poly_value(roots, t), lambda t, _: poly.deriv()(t))
    np.testing.assert_allclose(finite(found), roots, rtol=1e-9)


def poly_value(roots, t):
    return np.prod([t - one for one in roots], axis=0)


def test_roots_are_full_precision():
    found = searched(lambda t, _: np.exp(t) - 20.0, lambda t, _: np.exp(t))
    assert abs(finite(found)[0] - math.log(20.0)) <= np.spacing(math.log(20.0))


def test_a_double_root_is_one_root():
    found = searched(lambda t, _: (t - 3.3) ** 2, lambda t, _: 2 * (t - 3.3))
    assert len(set(np.round(finite(found), 6))) == 1
    assert finite(found)[0] == pytest.approx(3.3, rel=1e-7)


@pytest.mark.parametrize(
    ("off", "count"), [(0, 1), (1e-13, 1), (-1e-13, 2), (3e-10, 0), (-3e-10, 2)]
)
@pytest.mark.parametrize("scale", [1e-9, 1.0, 1e12])
def test_where_two_roots_of_a_parabola_meet(off, count, scale):
    """t² − 2 p t + p² (1 + off) = 0: by so much less than rounding shows, the roots are one."""
    p = 3.3 * scale
    found = finite(quadratic_roots(1.0, -2 * p, -p * p * (1 + off)))
    assert len(set(found)) == count or (off == 0 and len(set(found)) <= 2)
    np.testing.assert_allclose(found, p, rtol=1e-4)


@pytest.mark.parametrize(("off", "count"), [(0, 2), (1e-13, 2), (3e-10, 1)])
@pytest.mark.parametrize("side", [-1.0, 1.0])
@pytest.mark.parametrize("scale", [1e-9, 1.0, 1e12])
def test_where_two_roots_of_a_cubic_meet(off, count, side, scale):
    """t³ − 3 p² t = ± 2 p³ (1 + off): the two at ∓p are one, or there is none but the third."""
    p = 3.3 * scale
    found = finite(cubic_roots(1.0, -3 * p * p, side * 2 * p**3 * (1 + off)))
    assert len({round(one / p, 6) for one in found}) == count
    assert max(found, key=abs) == pytest.approx(side * 2 * p, rel=1e-9)
    if count == 2:
        assert min(found, key=abs) == pytest.approx(-side * p, rel=2e-8)


@pytest.mark.parametrize(("off", "count"), [(0, 1), (1e-14, 1), (1e-11, 0)])
@pytest.mark.parametrize("terms", [1.0, 1e6])
def test_what_of_two_roots_rounding_hides_is_a_share_of_the_terms(off, count, terms):
    """A function that is no further from nought than a small share of what it is the difference of."""
    found = bracketed_roots(
        lambda t, _: (t - 3.3) ** 2 + off * terms,
        lambda t, _: 2 * (t - 3.3),
        1,
        search_grid((-math.inf, math.inf), (0.0, 10.0)),
        size_of=lambda t, _: terms + 0 * t,
    )
    assert len(finite(found)) == count
    np.testing.assert_allclose(finite(found), 3.3, rtol=1e-6)


def test_a_near_miss_is_none():
    assert finite(searched(lambda t, _: (t - 3.3) ** 2 + 1e-9, lambda t, _: 2 * (t - 3.3))) == []


def test_a_pole_is_no_root():
    found = searched(lambda t, _: 1 / (t - 3.37), lambda t, _: -1 / (t - 3.37) ** 2)
    assert finite(found) == []


def test_a_root_beside_a_pole_is_found():
    # Sign changes twice between two neighbours of the grid.
    grid = search_grid((0.0, math.inf), (0.0, 10.0))
    low, high = next((u, v) for u, v in itertools.pairwise(grid) if u > 4 and v - u > 0.2)
    pole, root = low + 0.3 * (high - low), low + 0.7 * (high - low)
    found = searched(
        lambda t, _: (t - root) / (t - pole),
        lambda t, _: (root - pole) / (t - pole) ** 2,
        bounds=(0.0, math.inf),
    )
    np.testing.assert_allclose(finite(found), [root], rtol=1e-14)


def test_many_sets_of_parameters_at_once():
    targets = np.linspace(0.5, 60.0, 500)
    found = searched(lambda t, pick: t**2 - targets[pick], lambda t, _: 2 * t, (0.0, 1e3), size=500)
    np.testing.assert_allclose(found[0], np.sqrt(targets), rtol=1e-15)


def test_roots_lie_within_bounds_only():
    found = searched(lambda t, _: np.sin(t), lambda t, _: np.cos(t), (1.0, 7.0), (1.0, 7.0))
    np.testing.assert_allclose(finite(found), [math.pi, 2 * math.pi], rtol=1e-15)


@settings(derandomize=True, max_examples=60)
@given(st.lists(st.floats(0.05, 9.5), min_size=1, max_size=4, unique=True))
def test_polynomials_by_chance(roots):
    roots = sorted(roots)
    if any(v - u < 1e-3 for u, v in itertools.pairwise(roots)):
        return
    slope = np.polynomial.Polynomial.fromroots(roots).deriv()
    found = searched(lambda t, _: poly_value(roots, t), lambda t, _: slope(t))
    np.testing.assert_allclose(finite(found), roots, rtol=1e-9)


@pytest.mark.parametrize(
    ("bounds", "usual"),
    [
        ((0.0, math.inf), (5.0, 45.0)),
        ((-math.inf, math.inf), (-15.0, 15.0)),
        ((1.0, math.inf), (12.0, 220.0)),
    ],
)
def test_the_grid_rises_within_bounds(bounds, usual):
    grid = search_grid(bounds, usual)
    assert (np.diff(grid) > 0).all()
    assert grid[0] >= bounds[0]
    assert grid[-1] <= bounds[1]
    assert ((grid >= usual[0]) & (grid <= usual[1])).sum() >= 33


def test_a_kink_that_turns_beside_another_between_two_points():
    """Three roots between two points of the grid, two of them about a kink that lies within another."""

    def kink(t, pick):
        return np.abs(t - 5) - 0.5 - 0 * pick

    def function(t, pick):
        return np.maximum(1e-3 - np.abs(kink(t, pick)), t - 5.6)

    def slope(t, pick):
        inside = -np.sign(kink(t, pick)) * np.sign(t - 5)
        return np.where(1e-3 - np.abs(kink(t, pick)) > t - 5.6, inside, 1.0)

    found = bracketed_roots(
        function,
        slope,
        3,
        np.array([0.0, 4.0, 10.0]),
        kinks=[kink, lambda t, pick: t - 5 - 0 * pick],
    )
    for one in found.T:
        assert one == pytest.approx([4.499, 4.501, 5.499, 5.501, 5.6], rel=1e-12)


def test_where_a_function_has_no_end_it_is_not_nought():
    """Down a slope nothing is drawn, and the time to empty is endless all the way to the edge of that."""
    edge = 40.4

    def drawn(t):
        return np.maximum(0.05 * (t - edge) * t, 0.0)

    def function(t, pick):
        with np.errstate(all="ignore"):
            return 20.0 - 1000.0 / drawn(t) + 0.0 * pick

    found = bracketed_roots(
        function,
        lambda t, pick: 1000.0 * 0.05 * (2 * t - edge) / drawn(t) ** 2 + 0.0 * pick,
        1,
        np.linspace(0.0, 100.0, 200),
        size_of=lambda t, _: 20.0 + 1000.0 / drawn(t),
        kinks=[lambda t, _: t - edge],
    )
    truth = (edge + np.sqrt(edge**2 + 4 * 50 / 0.05)) / 2
    assert found[:, 0] == pytest.approx([truth], rel=1e-6)
