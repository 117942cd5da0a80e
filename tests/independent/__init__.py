"""The same answers by another way: brute scans, quadrature, time steps, linear algebra.

Nothing here imports a formula of the package. Where no published value exists, the physics is done
again from first principles, by a way that shares nothing with the closed form under test: a car is
stepped down a road, a charge is counted cell by cell, a wall is cut into slices. The topics are asked
through `find` only.

`near(answer, value)` says that one of the solutions is that value.
"""

import random

import pytest


def near(answer, value, rel=1e-9):
    """Say that one solution of an answer, in SI units, is this value."""
    found = answer.solutions_si
    assert any(one == pytest.approx(value, rel=rel, abs=1e-12) for one in found), (
        f"{answer.wanted}: {found} and not {value}"
    )


class Chance(random.Random):
    """Random numbers that begin anew for each test: conftest.py sees to it."""

    def __init__(self, words):
        self.words = words
        super().__init__(words)

    def again(self):
        self.seed(self.words)


def chances(seed, count):
    """Random numbers for `count` cases, the same every time."""
    return [Chance(f"{seed} {place}") for place in range(count)]
