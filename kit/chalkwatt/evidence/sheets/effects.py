"""Effects: what follows from what, as relations are written, and so what a changed vehicle changes with it.

A relation that has one quantity alone on a side says what makes it: the count of cells is what series and
parallel make. Equations hold both ways, but a change does not: other cells in parallel change the count.
"""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING

from chalkwatt.algebra.trees import names

if TYPE_CHECKING:
    from collections.abc import Collection, Mapping

    from chalkwatt.planning.network import Network

__all__ = ["comes_last", "follow_from"]


def comes_last(network: Network, changed: frozenset[str], wanted: str = "") -> frozenset[str]:
    """Return what gives way first to conditions that change the vehicle.

    Parameters
    ----------
    network : Network
    changed : frozenset of str
        The quantities that are asked for.
    wanted : str
        The quantity that is looked for.

    Returns
    -------
    frozenset of str
        What follows from the changed, and what makes the wanted only by making the changed.

    Examples
    --------
    >>> from chalkwatt.evidence.sheets.effects import comes_last
    >>> from chalkwatt.topics.pack import pack
    >>> late = comes_last(pack.network, frozenset({"cells_in_parallel"}))
    >>> "cell_count" in late, "cells_in_series" in late
    (True, False)
    >>> sorted(comes_last(pack.network, frozenset({"cell_energy"}), "cell_specific_energy"))[:2]
    ['cell_capacity', 'cell_specific_energy']
    """
    here = changed & {*network.names}
    return _comes_last(_Key(network), here, wanted) if here else frozenset()


def follow_from(network: Network, cause: str) -> frozenset[str]:
    """Return all that a quantity makes, directly or by what it makes.

    Parameters
    ----------
    network : Network
    cause : str

    Returns
    -------
    frozenset of str

    Examples
    --------
    >>> from chalkwatt.evidence.sheets.effects import follow_from
    >>> from chalkwatt.topics.climate import climate
    >>> sorted(follow_from(climate.network, "cooling_performance"))
    ['auxiliary_power', 'climate_power']
    """
    # A grade is written as the tangent of its angle; what the angle makes, the grade makes.
    more = _follow_from(_Key(network), "grade_angle") if cause == "grade" else frozenset[str]()
    return _follow_from(_Key(network), cause) | more


class _Key:
    """A network by its identity: one is made a topic, and never changed."""

    def __init__(self, network: Network) -> None:
        self.network = network

    def __hash__(self) -> int:
        return id(self.network)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Key) and other.network is self.network


@lru_cache(maxsize=1024)
def _comes_last(key: _Key, changed: frozenset[str], wanted: str) -> frozenset[str]:
    makers = _makers(key)
    follows = set(changed).union(*(_follow_from(key, cause) for cause in changed))
    cut = {effect: causes for effect, causes in makers.items() if effect not in changed}
    only_through = _walked(makers, {wanted}) - _walked(cut, {wanted})
    return frozenset((follows | only_through) - changed)


@lru_cache(maxsize=1024)
def _follow_from(key: _Key, cause: str) -> frozenset[str]:
    made: dict[str, set[str]] = {}
    for effect, causes in _makers(key).items():
        for one in causes:
            made.setdefault(one, set()).add(effect)
    return frozenset(_walked(made, {cause}) - {cause})


@lru_cache(maxsize=64)
def _makers(key: _Key) -> dict[str, set[str]]:
    makers: dict[str, set[str]] = {}
    for relation in key.network.strong:
        left, right = relation.sides
        effect, causes = (left, right) if isinstance(left, str) else (right, left)
        if isinstance(effect, str):
            makers.setdefault(effect, set()).update(names(causes))
    return makers


def _walked(steps: Mapping[str, Collection[str]], start: Collection[str]) -> set[str]:
    """Return all that is reached, the start included."""
    found, open_ones = {*start}, [*start]
    while open_ones:
        for one in steps.get(open_ones.pop(), ()):
            if one not in found:
                found.add(one)
                open_ones.append(one)
    return found
