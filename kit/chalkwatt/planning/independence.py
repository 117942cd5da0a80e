"""Independence: which relations still say something new once some quantities are known.

Planning is structural, and structure can be fooled: two relations that both hold the sum of
rolling and grade force look like two equations for two unknowns, and are one said twice. So the
gradients of the relations are compared at one point at which all of them hold. The point is
arbitrary, and generic: what is independent there is independent almost everywhere.
"""

from __future__ import annotations

import math
from functools import lru_cache
from typing import TYPE_CHECKING, Any

import numpy as np

from chalkwatt.algebra.numpy_tree import compile_tree
from chalkwatt.algebra.trees import count, names
from chalkwatt.laws.quantities import constants, look_up

if TYPE_CHECKING:
    from collections.abc import Collection, Sequence

    from numpy.typing import NDArray

    from chalkwatt.algebra.trees import Tree
    from chalkwatt.laws.relations import Relation

__all__ = ["Gradients"]

_STEP = 1e-5  # relative, of the central difference; its error is about 1e-10
_NEW = 1e-6  # a gradient with less than this share outside the span of others says nothing new
_FIXED = 1e-9  # square of the share of a direction below which it moves nothing
_GENERIC = (
    1e-5  # share of its gradient that a quantity has; with less of it, a point is no generic one
)
_CLOSE = 1e-11  # relative; the relations hold at the point
_STARTS = 20
_ROUNDS = 12


class Gradients:
    """The gradients of relations at a point at which all of them hold.

    Parameters
    ----------
    strong : sequence of Relation
        Relations that hold at the point.
    standing : sequence of Relation
        Relations whose gradients are wanted too, although they do not hold there.
    names : sequence of str
        The quantities, constants left out.

    Attributes
    ----------
    point : dict of str to float, or None
        The point, in SI units; None if none was found, and then nothing is ever held dependent.
    """

    def __init__(
        self, strong: Sequence[Relation], standing: Sequence[Relation], names: Sequence[str]
    ) -> None:
        self._names = tuple(names)
        self._place = {name: place for place, name in enumerate(self._names)}
        self._strong = tuple(strong)
        self.point = self._found()
        self._rows: dict[Relation, NDArray[np.float64]] = {}
        self._found_ways: dict[tuple[Relation, ...], NDArray[np.float64]] = {}
        self._unheard = np.zeros(len(self._names))  # of a relation that is no equation: no limit
        if self.point is not None:
            with np.errstate(all="ignore"):
                for one in (*strong, *standing):
                    self._rows[one] = self._gradient(one, self.point)[1]

    def kept(self, relations: Sequence[Relation], known: Collection[str]) -> tuple[Relation, ...]:
        """Return the relations without those that follow from earlier ones and what is known.

        A relation that holds known quantities only is kept: it is a fact to check.
        """
        if self.point is None:
            return tuple(relations)
        free = np.array([name not in known for name in self._names])
        if self._all_new(relations, free):
            return tuple(relations)
        span = np.empty((0, int(free.sum())))
        kept: list[Relation] = []
        for one in relations:
            row = self._rows.get(one, self._unheard)[free]
            size = float(np.linalg.norm(row))
            if size == 0:
                kept.append(one)
                continue
            new = row / size
            for _ in range(2):  # once leaves rounding errors of the size of what is looked for
                new = new - span.T @ (span @ new)
            left = float(np.linalg.norm(new))
            if left > _NEW:
                kept.append(one)
                span = np.vstack([span, new / left])
        return tuple(kept)

    def determined(
        self,
        relations: Sequence[Relation],
        known: Collection[str],
        standing: Sequence[Relation] = (),
    ) -> frozenset[str] | None:
        """Return what the relations and the known quantities determine; None if there is no point.

        A quantity is determined if no direction that keeps to all relations moves it. Standing
        relations are taken in one after the other, each where its quantity is not yet determined.
        """
        if self.point is None:
            return None
        ways = self._ways(tuple(relations))
        for name in known:
            if name in self._place:
                ways = _narrowed(ways, ways[self._place[name]])
        for one in standing:
            if not all(name in known or self._unmoved(ways, name) for name in one.only_with):
                continue
            if any(
                names and all(name in known or self._unmoved(ways, name) for name in names)
                for names in (one.names[:1], one.unless, *((name,) for name in one.unless_any))
            ):
                continue
            if not {*relations}.isdisjoint(one.instead_of):
                left = [other for other in relations if other not in one.instead_of]
                return self.determined(left, known, standing)
            row = self._rows.get(one, self._unheard)
            ways = _narrowed(ways, ways.T @ row / (np.linalg.norm(row) or 1.0))
        still = np.square(ways).sum(axis=1) < _FIXED
        return frozenset(
            name for name, one in zip(self._names, still, strict=True) if one and name not in known
        )

    def _unmoved(self, ways: NDArray[np.float64], name: str) -> bool:
        """Say whether no direction moves a quantity."""
        place = self._place.get(name)
        return place is not None and bool(np.square(ways[place]).sum() < _FIXED)

    def _ways(self, relations: tuple[Relation, ...]) -> NDArray[np.float64]:
        """Return the directions that keep to all relations, one a column; found once."""
        if relations not in self._found_ways:
            rows = [self._rows.get(one, self._unheard) for one in relations]
            table = np.array([row / (np.linalg.norm(row) or 1.0) for row in rows])
            _, sizes, directions = np.linalg.svd(table.reshape(-1, len(self._names)))
            self._found_ways[relations] = directions[int((sizes > _NEW).sum()) :].T
        return self._found_ways[relations]

    def _all_new(self, relations: Sequence[Relation], free: NDArray[np.bool_]) -> bool:
        """Say, in one go, whether every relation says something new: the usual case."""
        rows = np.array([self._rows.get(one, self._unheard)[free] for one in relations])
        size = np.linalg.norm(rows, axis=1)
        rows = rows[size > 0] / size[size > 0, None]
        if len(rows) > rows.shape[1]:
            return False
        return bool((np.abs(np.diag(np.linalg.qr(rows.T, mode="r"))) > _NEW).all())

    def _found(self) -> dict[str, float] | None:
        """Find a point at which every quantity counts: where wind and speed cancel, no drag area does."""
        best: tuple[float, dict[str, float]] | None = None
        for seed in range(_STARTS):
            values = self._start(np.random.default_rng(seed))
            with np.errstate(all="ignore"):
                if not self._walked(values):
                    continue
                share = self._least_share(values)
            if best is None or share > best[0]:
                best = share, values
            if share >= _GENERIC:
                break
        return None if best is None else best[1]

    def _least_share(self, values: dict[str, float]) -> float:
        """Return the least share that any quantity has in the gradient of a relation that holds it."""
        shares = [1.0]
        for one in self._strong:
            sizes = np.abs(self._gradient(one, values)[1])
            heard = sizes[sizes > 0]
            if heard.size:
                shares.append(float(heard.min() / np.linalg.norm(sizes)))
        return min(shares)

    def _start(self, chance: np.random.Generator) -> dict[str, float]:
        """Choose usual values, and let the relations that give a quantity outright give it."""
        values = dict(constants())
        for name in self._names:
            low, high = look_up(name).usual
            values[name] = low + chance.uniform(0.35, 0.65) * (high - low) or 1.0
        settled: set[str] = set()
        for one in self._strong:
            left, right = one.sides
            if isinstance(left, str) and left not in settled and left in self._place:
                with np.errstate(all="ignore"):
                    made = float(compile_tree(_blended(right))(values))
                if np.isfinite(made) and made != 0:
                    values[left] = made
                settled.update(one.names)
        return values

    def _walked(self, values: dict[str, float]) -> bool:
        """Walk to the nearest point at which all relations hold (Newton's steps of least size)."""
        size = {name: abs(values[name]) for name in self._names}
        for _ in range(_ROUNDS):
            rows = [self._gradient(one, values) for one in self._strong]
            off = np.array([row[0] for row in rows])
            slopes = np.array([row[1] for row in rows])
            if not (np.isfinite(off).all() and np.isfinite(slopes).all()):
                return False
            if np.abs(off).max() < _CLOSE:
                return True
            move, *_ = np.linalg.lstsq(slopes, -off, rcond=1e-6)
            move *= min(1.0, 1 / float(np.abs(move).max()))
            for name, part in zip(self._names, move, strict=True):
                if look_up(name).positive:
                    values[name] *= math.exp(part)
                else:
                    # The slope is by relative change: a negative quantity grows downwards.
                    reach = max(abs(values[name]), 1e-3 * size[name])
                    values[name] += part * math.copysign(reach, values[name])
        return False

    def _gradient(
        self, relation: Relation, values: dict[str, float]
    ) -> tuple[float, NDArray[np.float64]]:
        """Return how far apart the sides are, and the slope by relative change; both scaled."""
        free = [name for name in relation.names if name in self._place]
        shifts = _STEP * np.eye(len(free))
        sign = np.concatenate([shifts, -shifts, np.zeros((1, len(free)))])
        here: dict[str, Any] = dict(values)
        for place, name in enumerate(free):
            here[name] = values[name] * (1 + sign[:, place])
        left, right = (
            np.broadcast_to(compile_tree(_blended(side))(here), len(sign))
            for side in relation.sides
        )
        scale = max(abs(float(left[-1])), abs(float(right[-1]))) or 1.0
        # Products are straight lines to a logarithm.
        alike = bool((left * right > 0).all())
        apart = np.log(left / right) if alike else (left - right) / scale
        row = np.zeros(len(self._names))
        for place, name in enumerate(free):
            row[self._place[name]] = (apart[place] - apart[place + len(free)]) / (2 * _STEP)
        return float(apart[-1]), row


@lru_cache(maxsize=4096)
def _blended(tree: Tree) -> Tree:
    """Put a mixture for every smallest and greatest, so that each quantity in it counts.

    Any of several limits may be the least. Of the greatest of several the author writes the usual case
    first, such as wheels that take power: what is dependent there is dependent. What stands in the other
    cases alone counts, too, as a factor.
    """
    if not isinstance(tree, tuple):
        return tree
    parts = [_blended(part) for part in tree[1:]]
    if tree[0] == "min":
        return ("+", *(("/", part, place + 2) for place, part in enumerate(parts)))
    if tree[0] == "max":
        usual, *others = parts
        alone = dict.fromkeys(n for one in others for n in names(one) if not count(usual, n))
        return ("*", usual, *(("+", 1, name) for name in alone))
    return (tree[0], *parts)


def _narrowed(ways: NDArray[np.float64], along: NDArray[np.float64]) -> NDArray[np.float64]:
    """Take out of a space the one direction in which something would change (Householder, 1958)."""
    size = float(np.linalg.norm(along))
    if size * size < _FIXED:
        return ways
    mirror = along / size
    mirror[0] += 1.0 if mirror[0] >= 0 else -1.0
    turned = ways - np.outer(ways @ mirror, mirror) * (2 / float(mirror @ mirror))
    return turned[:, 1:]
