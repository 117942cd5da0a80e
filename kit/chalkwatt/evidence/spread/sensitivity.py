"""Sensitivity: which of the uncertain values an answer depends on most."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from chalkwatt.errors import ChalkwattError

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from numpy.typing import NDArray

    from chalkwatt.evidence.sheets.facts import Fact
    from chalkwatt.evidence.spread.draws import Question

__all__ = ["Indices", "Swing", "sobol_indices", "tornado"]


@dataclass(frozen=True)
class Swing:
    """What one fact alone does to an answer, from one end of its range to the other, in SI units."""

    name: str
    at_low: float
    at_high: float

    @property
    def size(self) -> float:
        """How far the answer goes."""
        return abs(self.at_high - self.at_low)


def tornado(question: Question, facts: Mapping[str, Fact]) -> tuple[Swing, ...]:
    """Move each fact alone through its range, the others at their stated values.

    Parameters
    ----------
    question : Question
    facts : mapping of str to Fact

    Returns
    -------
    tuple of Swing
        The largest swing first.
    """
    names = [name for name in question.known if not facts[name].exact]
    if not names:
        return ()
    ends = {
        name: np.asarray(
            [
                facts[name].si if one != name else end
                for one in names
                for end in (facts[one].low, facts[one].high)
            ]
        )
        for name in names
    }
    values = {name: facts[name].si if facts[name].exact else ends[name] for name in question.known}
    made = np.asarray(question(**values), dtype=float).reshape(len(names), 2)
    swings = [
        Swing(name, float(low), float(high)) for name, (low, high) in zip(names, made, strict=True)
    ]
    return tuple(
        sorted(swings, key=lambda one: -one.size if math.isfinite(one.size) else -math.inf)
    )


@dataclass(frozen=True)
class Indices:
    """Sobol' indices: the share of an answer's variance that each input explains.

    Attributes
    ----------
    names : tuple of str
    first : tuple of float
        By the input alone.
    total : tuple of float
        With everything it does together with others.
    """

    names: tuple[str, ...]
    first: tuple[float, ...]
    total: tuple[float, ...]

    def ranked(self) -> tuple[tuple[str, float, float], ...]:
        """Name, first-order and total index, the largest total first."""
        rows = zip(self.names, self.first, self.total, strict=True)
        return tuple(sorted(rows, key=lambda row: -row[2]))


def sobol_indices(
    function: Callable[..., Any], inputs: Mapping[str, Any], *, draws: int = 1024, seed: int = 0
) -> Indices:
    """Return first-order and total Sobol' indices.

    Parameters
    ----------
    function : callable
        Takes every input by name, as an array.
    inputs : mapping of str to Fact or distribution
        Anything with a method ``ppf``.
    draws : int
        Size of each of the two samples; a power of two.
    seed : int

    Returns
    -------
    Indices

    Raises
    ------
    ChalkwattError
        If some draws have no solution, so that there is no variance to share out.

    Notes
    -----
    `scipy.stats.sobol_indices` with the estimators of Saltelli et al., Comput. Phys. Commun. 181 (2010) 259.

    Examples
    --------
    >>> from scipy.stats import uniform
    >>> from chalkwatt.evidence.spread.sensitivity import sobol_indices
    >>> made = sobol_indices(lambda a, b: 2 * a + b, {"a": uniform(), "b": uniform()})
    >>> [round(one, 2) for one in made.first]
    [0.8, 0.2]
    """
    from scipy import stats  # noqa: PLC0415  SciPy is slow to import

    names = tuple(inputs)
    if len(names) == 1:
        # All the variance there is; scipy's estimator needs a second input to tell it from.
        return Indices(names, (1.0,), (1.0,))

    def rows(table: NDArray[np.float64]) -> NDArray[np.float64]:
        made = np.asarray(function(**dict(zip(names, table, strict=True))), dtype=float)
        if not np.isfinite(made).all():
            raise ChalkwattError(
                "Some draws have no solution, so there is no variance to share out.",
                advice="Narrow the ranges of the sheet until every draw has one.",
            )
        return np.array(np.broadcast_to(made, table.shape[1:]))

    found = stats.sobol_indices(
        func=rows, n=draws, dists=list(inputs.values()), rng=np.random.default_rng(seed)
    )
    first, total = (
        np.atleast_1d(np.squeeze(one)) for one in (found.first_order, found.total_order)
    )
    return Indices(names, tuple(float(one) for one in first), tuple(float(one) for one in total))
