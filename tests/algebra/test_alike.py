"""Roots of many alike sets: the same as a thorough search finds, also for the sets that are not alike."""

import numpy as np
import pytest

from chalkwatt.algebra.alike import alike_roots
from chalkwatt.algebra.solving import bracketed_roots, cubic_roots

SIZE = 5000
GRID = np.linspace(-10, 10, 401)


def cubic(a, b, c):
    return (
        lambda t, pick: (a[pick] * t * t + b[pick]) * t - c[pick],
        lambda t, pick: 3 * a[pick] * t * t + b[pick],
    )


def same(function, slope, grid=GRID):
    made = alike_roots(function, slope, SIZE, grid)
    expected = bracketed_roots(function, slope, SIZE, grid)
    rows = max(len(made), len(expected))
    shown = [np.full((rows, SIZE), np.nan) for _ in range(2)]
    shown[0][: len(made)], shown[1][: len(expected)] = made, expected
    np.testing.assert_allclose(shown[0], shown[1], rtol=1e-12, atol=1e-14)
    return shown[1]


@pytest.mark.parametrize("c", [(-0.5, 0.5), (2.0, 3.0), (-3.0, 3.0)])
def test_alike_and_unlike_cubics(c):
    """Within the first span all have three roots, within the second one, within the third some of both."""
    chance = np.random.default_rng(3)
    parts = [chance.uniform(*span, SIZE) for span in ((0.9, 1.1), (-2.2, -1.8), c)]
    same(*cubic(*parts))


def test_one_stray_set_among_thousands():
    """It has roots where no other has any, and none where all others have one."""
    a, b, c = np.full(SIZE, 1.0), np.full(SIZE, -2.0), np.linspace(2.5, 2.6, SIZE)
    a[1234], b[1234], c[1234] = 1.0, -40.0, 3.0
    expected = same(*cubic(a, b, c))
    assert np.isfinite(expected[:, 1234]).sum() == 3


def test_a_stray_root_beyond_the_cluster():
    shift = np.linspace(0.9, 1.1, SIZE)
    far = np.full(SIZE, 50.0)
    far[77] = 8.0
    far[78] = 1.3  # beside its first root, where all others have one
    same(
        lambda t, pick: (t - shift[pick]) * (t - far[pick]),
        lambda t, pick: 2 * t - shift[pick] - far[pick],
    )


def test_a_pole_is_no_root():
    at = np.linspace(0.5, 0.6, SIZE)
    poles = np.full(SIZE, 30.0)
    poles[99] = 0.55
    roots = np.full(SIZE, 0.55)
    roots[99] = 5.0
    same(
        lambda t, pick: (t - roots[pick] - 0 * at[pick]) / (t - poles[pick]),
        lambda t, pick: (roots[pick] - poles[pick]) / (t - poles[pick]) ** 2,
    )


def test_a_slow_root():
    """Newton's iteration crawls towards a root of high order, and another way has to finish."""
    at = np.linspace(0.9, 1.1, SIZE)
    same(lambda t, pick: (t - at[pick]) ** 5, lambda t, pick: 5 * (t - at[pick]) ** 4)


def test_no_root_and_few_sets():
    none = np.ones(SIZE)
    made = alike_roots(
        lambda t, pick: t * t + none[pick], lambda t, pick: 2 * t + 0 * none[pick], SIZE, GRID
    )
    assert np.isnan(made).all()
    few = np.array([1.0, 4.0])
    made = alike_roots(
        lambda t, pick: t * t - few[pick], lambda t, pick: 2 * t + 0 * few[pick], 2, GRID
    )
    np.testing.assert_allclose(made[1], [1.0, 2.0])


def test_three_roots_to_the_last_digit():
    """Roots are chosen, and the coefficients made from them; they come back."""
    chance = np.random.default_rng(4)
    inner = chance.uniform(-0.9, 0.9, SIZE) * 10.0 ** chance.integers(-9, 1, SIZE)
    outer = chance.uniform(1.0, 3.0, SIZE)
    # t³ + b t = c has roots that add up to nought.
    roots = np.sort(np.stack([inner, outer, -inner - outer]), axis=0)
    b = roots[0] * roots[1] + roots[1] * roots[2] + roots[2] * roots[0]
    c = roots[0] * roots[1] * roots[2]
    apart = np.diff(roots, axis=0).min(axis=0)
    made = cubic_roots(np.ones(SIZE), b, c)
    good = apart > 0.05
    np.testing.assert_allclose(made[:, good], roots[:, good], rtol=2e-13)
