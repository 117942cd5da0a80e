"""The inversion of a standing start: which motor power a claimed time asks for."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from chalkwatt.errors import NoSolutionError
from chalkwatt.wording import units
from chalkwatt.wording.numbers import with_unit

if TYPE_CHECKING:
    import pint

    from chalkwatt.runs.start.run import StartRun

__all__ = ["required_power"]

_MOST_POWER = 1e15  # W; beyond it the tyres, or the battery, alone decide
_NEVER = 1e9  # s; stands for a speed that is never reached, where a search needs a number


def required_power(
    run: StartRun, time: float, *, speed: float | None = None, distance: float | None = None
) -> pint.Quantity[float]:
    """Find the motor power with which a vehicle keeps a claimed time.

    Parameters
    ----------
    run : StartRun
        Its vehicle, with any motor power.
    time : float
        In seconds.
    speed, distance : float
        What is reached in that time, in SI units; one of the two.

    Returns
    -------
    pint.Quantity
        In kilowatts.

    Raises
    ------
    NoSolutionError
        If no motor power is enough.
    """
    from scipy.optimize import brentq  # noqa: PLC0415  SciPy is slow to import

    def late(logarithm: float) -> float:
        trial = run.with_power(math.exp(logarithm))
        if distance is not None:
            return float(trial.time_over(distance).magnitude) - time
        if speed is None or speed >= trial.top_speed.to("m/s").magnitude:
            return _NEVER
        return float(trial.time_to(speed).magnitude) - time

    least = late(math.log(_MOST_POWER))
    if least > 0:
        raise _impossible(time, least + time)
    high = math.log(1e5)
    while late(high) > 0:
        high += 1.0
    low = high - 1.0
    while late(low) < 0:
        low -= 1.0
    found = brentq(late, low, high, xtol=1e-12, rtol=1e-13)
    return units.quantity(math.exp(float(found)), "W", "kW")


def _impossible(time: float, bound: float) -> NoSolutionError:
    reached = bound < _NEVER / 2
    limits = f"take {with_unit(bound, 's')}" if reached else "never allow it"
    return NoSolutionError(
        f"No motor power is enough for {with_unit(time, 's')}: the other limits alone {limits}.",
        quantity="motor_power",
        value=time,
        unit="s",
        limit=bound if reached else None,
        nearest=bound if reached else None,
        advice="Raise friction, driven_weight_share or the battery's limits, or check the claim.",
    )
