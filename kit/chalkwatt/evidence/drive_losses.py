"""Losses of a drive from efficiencies at several loads: a constant, a proportional and a square one."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from chalkwatt.calls import checked_call
from chalkwatt.errors import ChalkwattError, NoSolutionError
from chalkwatt.laws.quantities import look_up
from chalkwatt.wording.numbers import with_unit

if TYPE_CHECKING:
    from collections.abc import Iterable

    from numpy.typing import NDArray

__all__ = ["fit_drive_losses"]

_FEWEST = 3
_DUST = 1e-9  # of the power at the battery: what rounding leaves of a loss that is not there


@checked_call
def fit_drive_losses(
    wheel_power: Iterable[Any], effective_drive_efficiency: Iterable[Any]
) -> dict[str, float]:
    """Find what a drive loses at any load, in proportion to it and by its square.

    Efficiency at a load is one over 1/η + P_idle/P + c·P: three points give the three losses, more
    points the ones that come closest (least squares of one over efficiency).

    Parameters
    ----------
    wheel_power : iterable of number (W), str or pint quantity
        Power at the wheels of each point; at least three different ones, above nought.
    effective_drive_efficiency : iterable of number, str or pint quantity
        Efficiency from battery to wheel at each point, the auxiliary load left out.

    Returns
    -------
    dict of str to float
        ``drive_efficiency``, ``drive_idle_loss`` (W) and ``drive_square_loss`` (1/W), to be given
        to a topic.

    Raises
    ------
    ChalkwattError
        If there are fewer than three different loads, or not as many efficiencies.
    NoSolutionError
        If no such losses make these efficiencies: one of them would be less than nought.
    UnitError, OutOfBoundsError
        If a value cannot be read or lies outside its bounds.

    Notes
    -----
    That losses are a constant, a part in proportion and a part by the square of the load is common
    practice for motors, inverters and gears; the constant part and the part by the square are those
    of IEC 60034-2-1 (from memory).

    Examples
    --------
    Three invented points of one drive:

    >>> import chalkwatt as cw
    >>> losses = cw.fit_drive_losses(["2 kW", "15 kW", "60 kW"], ["78 %", "88.5 %", "86.5 %"])
    >>> {name: float(f"{value:.3g}") for name, value in losses.items()}
    {'drive_efficiency': 0.918, 'drive_idle_loss': 381.0, 'drive_square_loss': 1e-06}
    >>> cw.load.find("battery_power", wheel_power="15 kW", auxiliary_power=0, **losses)
    battery_power = 16.95 kW
    """
    power = _read("wheel_power", wheel_power)
    efficiency = _read("effective_drive_efficiency", effective_drive_efficiency)
    _check_points(power, efficiency)
    scale = float(power.max())
    part = power / scale
    table = np.column_stack([np.ones_like(part), 1 / part, part])
    found, *_ = np.linalg.lstsq(table, 1 / efficiency, rcond=None)
    found[np.abs(found) < _DUST] = 0.0
    if abs(found[0] - 1) < _DUST:
        found[0] = 1.0
    proportional, idle, square = (float(one) for one in found)
    _check_losses(proportional, idle * scale, square / scale)
    return {
        "drive_efficiency": 1 / proportional,
        "drive_idle_loss": idle * scale,
        "drive_square_loss": square / scale,
    }


def _read(name: str, values: Iterable[Any]) -> NDArray[np.float64]:
    listed = [values] if isinstance(values, str) or not np.iterable(values) else list(values)
    return np.array([look_up(name).read(one) for one in listed], dtype=float)


def _check_points(power: NDArray[np.float64], efficiency: NDArray[np.float64]) -> None:
    if len(power) != len(efficiency):
        raise ChalkwattError(
            f"There are {len(power)} loads and {len(efficiency)} efficiencies.",
            quantity="effective_drive_efficiency",
            advice="Give one efficiency for each power at the wheels.",
        )
    if power.size and power.min() <= 0:
        worst = float(power.min())
        raise ChalkwattError(
            f"The wheels take no power at {with_unit(worst / 1e3, 'kW')}.",
            quantity="wheel_power",
            value=worst / 1e3,
            unit="kW",
            limit=0.0,
            advice="An efficiency from battery to wheel needs a load above nought.",
        )
    different = len(np.unique(power))
    if different < _FEWEST:
        raise ChalkwattError(
            f"{different} different load{'s' * (different != 1)} cannot tell three losses apart.",
            quantity="wheel_power",
            value=different,
            limit=_FEWEST,
            advice="Give efficiencies at three loads or more: a low, a middling and a high one.",
        )


def _check_losses(proportional: float, idle: float, square: float) -> None:
    wrong = [
        (idle < 0, "drive_idle_loss", f"a loss at any load of {with_unit(idle, 'W')}"),
        (square < 0, "drive_square_loss", f"a loss by the square of {with_unit(square * 1e6, 'W/kW²')}"),
        (proportional < 1, "drive_efficiency", f"losses in proportion of {with_unit(100 * (proportional - 1), '%')}"),
    ]  # fmt: skip
    for is_wrong, name, words in wrong:
        if is_wrong:
            raise NoSolutionError(
                f"These efficiencies would take {words}: less than nothing.",
                quantity=name,
                advice="Check them: a drive is worse at a small load and at a large one than between, "
                "and points close together tell little. A drive efficiency alone may serve.",
            )
