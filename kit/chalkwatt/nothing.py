"""Nothing: what to say where a question has no number for an answer, and not by anybody's mistake."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

from chalkwatt.rendering.numbers import with_unit
from chalkwatt.wording import with_article

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from chalkwatt.plans import Plan
    from chalkwatt.quantities import Quantity

__all__ = ["given_behind", "place_of"]

_NEAR = 1e-3  # of the usual range: nearer to a bound than this is at the bound


def given_behind(plan: Plan, needed: Iterable[str]) -> tuple[str, ...]:
    """Return the given quantities that others rest on: the ones that somebody can change.

    Parameters
    ----------
    plan : Plan
    needed : iterable of str
        Such as what a step needs.

    Returns
    -------
    tuple of str
    """
    behind = set(needed)
    for one in reversed(plan.steps):
        if one.find in behind:
            behind |= one.needs
    return tuple(sorted(name for name in plan.known if name in behind))


def place_of(
    wanted: Quantity,
    at: float,
    back: Any,  # noqa: ANN401  a callable
    others: Mapping[str, Any],
) -> tuple[bool, str]:
    """Say where an extreme is reached, or what it takes to come close to one that is not.

    Parameters
    ----------
    wanted : Quantity
    at : float
        Where it was found, in SI units.
    back : callable
        The given result as a function of the wanted.
    others : mapping of str to float

    Returns
    -------
    bool
        Whether it is reached.
    str
    """
    there = f"at {with_article(wanted.words)} of {_shown(wanted, at)}"
    for low, bound in zip((True, False), wanted.bounds, strict=True):
        reach = abs(wanted.usual[0 if low else 1]) or wanted.usual[1] - wanted.usual[0]
        if math.isinf(bound):
            if low == (at < 0) and abs(at) > reach / _NEAR:
                return False, f"the {'smaller' if low else 'greater'} the {wanted.words}"
        elif abs(at - bound) <= _NEAR * reach:
            if bool(wanted.inside(bound)) and math.isfinite(
                float(back(**others, **{wanted.name: bound}))
            ):
                end = "least" if low else "greatest"
                return (
                    True,
                    f"at {with_article(wanted.words)} of {_shown(wanted, bound)}, the {end} there can be",
                )
            edge = _shown(wanted, bound) if bound else "nought"
            return False, f"the nearer the {wanted.words} comes to {edge}"
    return True, there


def _shown(wanted: Quantity, si: float) -> str:
    return with_unit(float(wanted.in_unit(si)), wanted.display[0])
