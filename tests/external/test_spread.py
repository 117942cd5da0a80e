"""Indices of sensitivity against functions whose indices are known; the values stand in spread.toml.

Ishigami's function with the usual constants is in tests/spread, where its row is asked, too.
"""

import math
from functools import cache

import numpy as np
import pytest
from scipy import stats

from chalkwatt.evidence.spread.sensitivity import sobol_indices
from tests.external import published

DRAWS = 2**13
EIGHT = (0.0, 1.0, 4.5, 9.0, 99.0, 99.0, 99.0, 99.0)


def each(*found):
    cases = [case for row in found for case in published("spread", row)]
    return pytest.mark.parametrize("case", cases, ids=lambda case: f"{case.id} {case.quantity}")


@cache
def ishigami(a, b):
    def function(x1, x2, x3):
        return np.sin(x1) + a * np.sin(x2) ** 2 + b * x3**4 * np.sin(x1)

    around = stats.uniform(-math.pi, 2 * math.pi)
    return sobol_indices(function, dict.fromkeys(("x1", "x2", "x3"), around), draws=DRAWS)


def check(case, made):
    kind, _, place = case.quantity.rpartition("_")
    case.check({"first_order": made.first, "total": made.total}[kind][int(place) - 1])


@each("ishigami-total", "ishigami-other-b")
def test_ishigami(case):
    check(case, ishigami(case.given["a"], case.given["b"]))


@cache
def g_function(every=EIGHT):
    def function(**x):
        parts = [
            (np.abs(4 * one - 2) + a) / (1 + a) for one, a in zip(x.values(), every, strict=True)
        ]
        return np.prod(parts, axis=0)

    unit = stats.uniform(0, 1)
    names = [f"x{place}" for place in range(1, len(every) + 1)]
    return sobol_indices(function, dict.fromkeys(names, unit), draws=DRAWS)


@each("sobol-g")
def test_sobol_g(case):
    check(case, g_function())


@each("sobol-g-of-3", "sobol-g-of-4")
def test_sobol_g_of_fewer(case):
    check(case, g_function(tuple(float(one) for one in case.given["a"].split(","))))


@each("linear-model")
def test_linear_model(case):
    unit = stats.uniform(0, 1)
    made = sobol_indices(lambda x1, x2: 2 * x1 + x2, {"x1": unit, "x2": unit}, draws=DRAWS)
    check(case, made)
