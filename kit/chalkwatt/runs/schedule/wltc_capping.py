"""Capping: the WLTC of a vehicle that is strong enough for it, but not as fast.

Where the cycle is faster than the vehicle can be, it drives at its top speed, and so much longer that
the distance of each phase is met to the nearest second. All of it comes from memory of paragraph 9 of
UN GTR No. 15, Annex 1; it applies where a country's law says so.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from chalkwatt.errors import ChalkwattError, OutOfBoundsError
from chalkwatt.runs.schedule.schedule import Phase, in_si
from chalkwatt.runs.schedule.wltc import Wltc
from chalkwatt.wording.numbers import with_unit

if TYPE_CHECKING:
    from chalkwatt.wording.given import Given

__all__ = ["capped"]


def capped(cycle: Wltc, top_speed: Given) -> Wltc:
    """Cap a cycle at a vehicle's top speed.

    Parameters
    ----------
    cycle : Wltc
        As it is printed, or downscaled.
    top_speed : number (m/s), str or pint quantity
        Below the cycle's, and above that of its low phase.

    Returns
    -------
    Wltc
        Each capped phase is longer by the seconds at the top speed that make up for its distance.
        A vehicle that is fast enough gets the cycle as it is.

    Raises
    ------
    UnitError
        If it is not a speed.
    OutOfBoundsError
        If the vehicle is not even as fast as the low phase.
    ChalkwattError
        If the cycle is capped already.

    Examples
    --------
    >>> import chalkwatt as cw
    >>> cycle = cw.schedules.wltc("3a")
    >>> cycle.capped("110 km/h")
    <schedule WLTC 3a, capped at 110.0 km/h: 1815 s, 23.19 km, mean 46.01 km/h, top 110.0 km/h>
    """
    cap = in_si(top_speed, "m/s", "m/s", "top_speed")
    if cycle.capped_at:
        raise ChalkwattError(
            f"{cycle.name} is capped already.", advice="Begin with the cycle of the class."
        )
    least = float(cycle.phases["low"].speeds.max())
    if not cap > least:
        raise OutOfBoundsError(
            f"top_speed = {with_unit(cap * 3.6, 'km/h')} is not above the "
            f"{with_unit(least * 3.6, 'km/h')} of the low phase.",
            quantity="top_speed",
            value=cap,
            unit="m/s",
            limit=least,
            advice=f"Such a vehicle cannot drive the {cycle.name}.",
        )
    if cap >= cycle.speeds.max():
        return cycle
    speeds: list[float] = []
    phases = []
    for phase in cycle.phases:
        part = _capped(np.array(phase.speeds), cap)
        begin = max(len(speeds) - 1, 0)
        speeds += part if not speeds else part[1:]
        phases.append(Phase(phase.name, begin, len(speeds) - 1))
    return Wltc(
        cycle.vehicle_class,
        f"{cycle.name}, capped at {with_unit(cap * 3.6, 'km/h')}",
        speeds,
        phases,
        notes=cycle.notes,
        factor=cycle.factor,
        capped_at=cap,
    )


def _capped(speeds: np.ndarray[Any, np.dtype[np.float64]], cap: float) -> list[float]:
    """Cap one phase, and go on at the cap after its last second there."""
    lower = np.minimum(speeds, cap)
    missing = float(np.trapezoid(speeds - lower))
    added = int(np.floor(missing / cap + 0.5))
    if not added:
        return [float(one) for one in lower]
    last = int(np.flatnonzero(lower == cap)[-1])
    return [float(one) for one in np.insert(lower, last + 1, np.full(added, cap))]
