"""The largest power that a schedule asks for, and when."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Mapping

    from chalkwatt.runs.schedule.laws import Laws
    from chalkwatt.runs.schedule.schedule import Schedule

__all__ = ["peak"]

_CHUNK = 1_000_000  # powers looked at in one go


def peak(
    schedule: Schedule, steps: slice, values: Mapping[str, Any], laws: Laws
) -> tuple[Any, Any]:
    """Find the largest power at the wheels.

    It is at an end of a step: within one, power against speed is a cubic that bends upwards.

    Parameters
    ----------
    schedule : Schedule
    steps : slice
        Which steps to look at.
    values : mapping of str to float or ndarray
        The vehicles, in SI units.
    laws : Laws

    Returns
    -------
    tuple of two floats or ndarrays
        Power in watts, and seconds from the beginning of the schedule; a number a vehicle. Of times with
        the same power it is the first.
    """
    slope = (np.diff(schedule.speeds) / schedule.durations)[steps]
    # The first and the last of each step, in the order of time.
    times = np.column_stack([schedule.times[:-1], schedule.times[1:]])[steps].ravel()
    speeds = np.column_stack([schedule.speeds[:-1], schedule.speeds[1:]])[steps].ravel()
    slopes = np.repeat(slope, 2)
    shape = np.broadcast_shapes(*(np.shape(one) for one in values.values()))
    size = int(np.prod(shape))
    columns = {
        name: np.broadcast_to(one, shape).reshape(size, 1)
        for name, one in values.items()
        if np.ndim(one)
    }
    power, when = np.empty(size), np.empty(size)
    rows = max(_CHUNK // len(times), 1)
    for first in range(0, size, rows):
        some = {name: one[first : first + rows] for name, one in columns.items()}
        made = np.atleast_2d(laws.wheel_power({**values, **some}, speeds, slopes))
        made = np.broadcast_to(made, (min(rows, size - first), len(times)))
        place = made.argmax(axis=1)
        power[first : first + rows] = made[np.arange(len(made)), place]
        when[first : first + rows] = times[place] - schedule.times[0]
    return power.reshape(shape)[()], when.reshape(shape)[()]
