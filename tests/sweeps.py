"""Sweeps: very many cases of one kind, of which a run takes a share.

A test that is marked ``@pytest.mark.sweep(share)`` runs that share of its cases, at least one, chosen by a seed that
the run shows and that changes from day to day; of cases that are numbered within a kind (``topic-3``) at least one
of every kind. ``--sweep-seed`` takes the same cases again, and ``--every-case`` takes all of them.
"""

from __future__ import annotations

import math
import random
import re
from collections import defaultdict
from typing import TYPE_CHECKING, TypeVar

if TYPE_CHECKING:
    from collections.abc import Sequence

    import pytest

Case = TypeVar("Case")
_NUMBERED = re.compile(r"^(.*\D)-\d+$")


def a_share(cases: Sequence[Case], share: float, seed: str) -> list[Case]:
    """Choose a share of some cases, at least one, in their order."""
    count = min(len(cases), max(1, math.ceil(share * len(cases))))
    places = random.Random(seed).sample(range(len(cases)), count)  # noqa: S311  no secret
    return [cases[place] for place in sorted(places)]


def chosen(items: Sequence[pytest.Item], seed: int) -> list[pytest.Item]:
    """Choose among the cases of sweeps; all other tests stay, and the order is kept."""
    kinds: dict[str, list[pytest.Item]] = defaultdict(list)
    shares: dict[str, float] = {}
    for item in items:
        mark = item.get_closest_marker("sweep")
        if mark is None:
            continue
        test, _, case = item.nodeid.rstrip("]").partition("[")
        numbered = _NUMBERED.match(case)
        kind = f"{test}[{numbered[1] if numbered else ''}"
        kinds[kind].append(item)
        shares[kind] = mark.args[0]
    swept = {item for every in kinds.values() for item in every}
    kept = {
        item
        for kind, every in kinds.items()
        for item in a_share(every, shares[kind], f"{seed} {kind}")
    }
    return [item for item in items if item not in swept or item in kept]
