"""Matching and components against SciPy's, on random graphs."""

import random

import numpy as np
import pytest
from scipy.sparse import csr_array
from scipy.sparse.csgraph import connected_components, maximum_bipartite_matching

from chalkwatt.algebra.graphs import components, maximum_matching


@pytest.mark.parametrize("seed", range(60))
def test_a_matching_is_one_and_as_large_as_scipys(seed):
    chance = random.Random(seed)  # noqa: S311  no secret
    rows, columns = chance.randint(1, 30), chance.randint(1, 30)
    held = {
        row: [column for column in range(columns) if chance.random() < 0.12] for row in range(rows)
    }
    match = maximum_matching(list(held), held)
    assert all(column in held[row] for column, row in match.items())
    assert len(set(match.values())) == len(match)
    table = np.zeros((rows, columns))
    for row, some in held.items():
        table[row, some] = 1
    theirs = maximum_bipartite_matching(csr_array(table), perm_type="row")
    assert len(match) == int((theirs >= 0).sum())


@pytest.mark.parametrize("seed", range(60))
def test_components_are_scipys_and_come_after_what_they_point_to(seed):
    chance = random.Random(seed)  # noqa: S311  no secret
    size = chance.randint(1, 30)
    arrows = {
        one: [other for other in range(size) if chance.random() < 0.06] for one in range(size)
    }
    found = components(list(arrows), arrows)
    table = np.zeros((size, size))
    for one, others in arrows.items():
        table[one, others] = 1
    count, label = connected_components(csr_array(table), connection="strong")
    assert len(found) == count
    assert all(len({label[one] for one in block}) == 1 for block in found)
    place = {one: index for index, block in enumerate(found) for one in block}
    assert all(place[other] <= place[one] for one, others in arrows.items() for other in others)
