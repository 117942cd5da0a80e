"""The bare function of a plan as people get it: what is no real number stops at its door."""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING

import numpy as np

from chalkwatt.planning.evaluation import PlanFunction
from chalkwatt.wording.given import check_shapes, real

if TYPE_CHECKING:
    from chalkwatt.planning.plans import Plan
    from chalkwatt.wording.given import Floats, Given

__all__ = ["CheckedFunction", "checked"]


class CheckedFunction(PlanFunction):
    """A plan as a function of its known quantities, SI in and SI out.

    Numbers and arrays of real numbers go in; text, truth values, complex numbers, bytes and dates
    raise a :class:`~chalkwatt.errors.UnitError`. A masked value counts as not-a-number, as a value
    that is missing does, so that the others are computed and its own place stays empty.
    """

    def __call__(self, *args: Given, **named: Given) -> Floats:
        """Return the best solution for SI numbers or arrays, by name or in the plan's order."""
        names = (*self.plan.known, *(f"argument {place + 1}" for place in range(len(args))))
        placed = [_number(one, name) for one, name in zip(args, names, strict=False)]
        by_name = {name: _number(one, name) for name, one in named.items()}
        try:
            return super().__call__(*placed, **by_name)
        except ValueError:
            check_shapes(dict(zip(names, placed, strict=False)) | by_name)
            raise


def _number(one: object, name: str) -> Floats:
    if isinstance(one, float):
        return one
    if type(one) is np.ndarray and one.dtype == float:
        return one
    made = real(one, name, masked=np.nan, advice="This function takes bare numbers in SI.")
    return made if made.ndim else float(made)


@cache
def checked(plan: Plan) -> CheckedFunction:
    """Return the function of a plan for people; made once for each plan.

    Parameters
    ----------
    plan : Plan

    Returns
    -------
    CheckedFunction

    Examples
    --------
    >>> import numpy as np
    >>> from chalkwatt import load
    >>> drag = load.compile("air_force", known=("speed", "drag_area", "air_density"))
    >>> drag(np.ma.array([20.0, 30.0], mask=[False, True]), 0.5, 1.2).tolist()
    [120.0, nan]
    """
    return CheckedFunction(plan)
