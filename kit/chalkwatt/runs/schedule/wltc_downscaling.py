"""Downscaling: the WLTC of a vehicle that is too weak for it.

Around the second that asks for the most power, accelerations are made smaller by a share, the
downscaling factor; the deceleration after the top is flattened so that the cycle is met again.
The factor grows with the power needed at that second over the rated power.

What comes from where: the seconds, speeds and accelerations of the table below were written down
from memory and then found in the printed speeds (each is tested); the coefficients of classes 1
and 3 were read in secondary places, those of class 2 come from memory, and all three give a factor
of nought at their limit; the rest of paragraph 8 of the annex comes from memory.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from chalkwatt.calls import checked_call
from chalkwatt.errors import ChalkwattError, OutOfBoundsError, UnitError
from chalkwatt.runs.schedule.schedule import in_si
from chalkwatt.runs.schedule.wltc import Wltc
from chalkwatt.wording import units
from chalkwatt.wording.numbers import format_input, with_unit

if TYPE_CHECKING:
    import pint
    from numpy.typing import NDArray

    from chalkwatt.wording.given import Given

__all__ = ["Downscaling", "downscaled", "downscaling"]

_LEAST = 0.010  # a factor has to exceed it, or nothing is changed
_ROTATING = 1.03  # mass that inertia shows over the test mass


class _Row(NamedTuple):
    """Paragraph 8 of the annex, of one class."""

    first: int  # seconds: accelerations are made smaller from here ...
    top: int  # ... to here, decelerations ...
    end: int  # ... to here, where the printed speed is met again
    asking: int  # the second that asks for the most power
    acceleration: float  # m/s², in that second
    limit: float  # of the ratio of powers
    slope: float
    constant: float


_CLASS_3 = _Row(1533, 1724, 1763, 1566, 0.50, 0.867, 0.588, -0.510)
ROWS = {
    "1": _Row(651, 848, 907, 764, 0.22, 0.978, 0.680, -0.665),
    "2": _Row(1520, 1725, 1743, 1574, 0.36, 0.866, 0.606, -0.525),
    "3a": _CLASS_3,
    "3b": _CLASS_3,
}


@dataclass(frozen=True)
class Downscaling:
    """Whether a vehicle is too weak for a cycle, and what it drives instead.

    Attributes
    ----------
    cycle : Wltc
        The cycle of its class.
    ratio : float
        Power needed in the second that asks for the most, over the rated power.
    factor : float
        Downscaling factor, rounded to three decimals; nought where the ratio is below its limit.
    """

    cycle: Wltc
    needed: float
    rated: float

    @property
    def required_power(self) -> pint.Quantity[float]:
        """Power at the wheels in the second that asks for the most, in kW."""
        return units.quantity(self.needed, "W", "kW")

    @property
    def ratio(self) -> float:
        """Power needed over rated power."""
        return self.needed / self.rated

    @property
    def factor(self) -> float:
        """The downscaling factor, to three decimals."""
        row = ROWS[self.cycle.vehicle_class]
        if self.ratio < row.limit:
            return 0.0
        # Mathematically rounded, as the text says: a half goes up.
        return math.floor(1000 * (row.slope * self.ratio + row.constant) + 0.5) / 1000

    @property
    def applies(self) -> bool:
        """Whether the cycle is changed: whether the factor exceeds 0.010, and can be carried out."""
        return self.factor > _LEAST and not self.too_weak

    @property
    def too_weak(self) -> bool:
        """Whether the factor is more than the cycle can be downscaled by."""
        return self.factor >= _most(self.cycle)

    @cached_property
    def schedule(self) -> Wltc:
        """What the vehicle drives: the cycle downscaled, or as it is printed.

        Raises
        ------
        OutOfBoundsError
            If the vehicle is too weak for downscaling, too.
        """
        if self.applies or self.too_weak:
            return downscaled(self.cycle, self.factor)
        return self.cycle

    @property
    def reason(self) -> str:
        """In a sentence, why it is downscaled or not."""
        row = ROWS[self.cycle.vehicle_class]
        asks = (
            f"Second {row.asking} asks for {with_unit(self.needed / 1000, 'kW')} at the wheels, "
            f"{format_input(self.ratio, 4)} of the rated {with_unit(self.rated / 1000, 'kW')}"
        )
        if self.ratio < row.limit:
            return f"{asks}, which is below {row.limit}: not downscaled."
        if self.too_weak:
            return (
                f"{asks}: too weak for this cycle, for the factor of {self.factor:.3f} is more than the "
                f"{_most(self.cycle):.3f} by which it can be downscaled."
            )
        if not self.applies:
            return f"{asks}: a factor of {self.factor:.3f} does not exceed {_LEAST:.3f}, so the cycle stays."
        return f"{asks}: downscaled by a factor of {self.factor:.3f}."

    def __repr__(self) -> str:
        """Show the cycle and the reason."""
        return f"{self.cycle.name}: {self.reason}"


@checked_call
def downscaling(cycle: Wltc, /, *, rated_power: Given, mass: Given, **road: Given) -> Downscaling:
    """Find out whether a vehicle is too weak for a cycle.

    Parameters
    ----------
    cycle : Wltc
        That of its class, not downscaled.
    rated_power : number (W), str or pint quantity
    mass : number (kg), str or pint quantity
        Test mass.
    **road
        What `chalkwatt.load` needs for ``road_force``: ``drag_area`` (or ``drag_coefficient`` and
        ``frontal_area``) and ``rolling_coefficient``, or the coast-down coefficients; also
        ``air_density``.

    Returns
    -------
    Downscaling
        With ``applies``, ``too_weak``, ``factor``, ``reason`` and the ``schedule`` to drive.

    Raises
    ------
    UnitError, OutOfBoundsError
        If a unit or a value does not fit its quantity.
    TooLittleKnownError
        If the road force cannot be found.

    Notes
    -----
    With f₀, f₁, f₂ of the road load and the test mass m the power needed is
    f₀ v + f₁ v² + f₂ v³ + 1.03 m a v (UN GTR No. 15, Annex 1, paragraph 8; from memory).

    Examples
    --------
    >>> import chalkwatt as cw
    >>> made = cw.schedules.wltc("3b").downscaling(
    ...     rated_power="28 kW", mass="1400 kg", drag_area="0.8 m^2", rolling_coefficient=0.01,
    ... )
    >>> print(made.reason)
    Second 1566 asks for 41.39 kW at the wheels, 1.478 of the rated 28.00 kW: downscaled by a factor of 0.359.
    >>> made.schedule
    <schedule WLTC 3b, downscaled by 0.359: 1800 s, ...>
    """
    from chalkwatt.topics.load import load  # noqa: PLC0415  SymPy is slow to import

    row = ROWS[_printed(cycle).vehicle_class]
    speed = float(cycle.speeds[row.asking])
    rated = in_si(rated_power, "W", "W", "rated_power")
    if not 0 < rated < np.inf:
        raise OutOfBoundsError(
            f"rated_power = {rated:g} W drives nothing.",
            quantity="rated_power",
            value=rated,
            unit="W",
            limit=0.0,
            advice="Give a number above nought.",
        )
    heavy = float(load.quantities["mass"].read(mass))
    force = load.find("road_force", speed=speed, mass=heavy, **road).si
    if np.ndim(force):
        raise UnitError("Downscaling is of one vehicle.", advice="Give single numbers.")
    return Downscaling(cycle, (float(force) + _ROTATING * heavy * row.acceleration) * speed, rated)


def downscaled(cycle: Wltc, factor: float) -> Wltc:
    """Downscale a cycle by a factor.

    Parameters
    ----------
    cycle : Wltc
        As it is printed.
    factor : float or str
        Above 0.010, and small enough that the top stays above the speed at which the change ends.

    Returns
    -------
    Wltc
        With the same seconds and phases. Speeds are not rounded.

    Raises
    ------
    OutOfBoundsError
        If the factor is not in that range.
    ChalkwattError
        If the cycle is downscaled already.

    Notes
    -----
    UN GTR No. 15, Annex 1, paragraph 8.2, from memory. The upper limit is ours: beyond it the
    regulation's correction would turn a deceleration into an acceleration.

    Examples
    --------
    >>> import chalkwatt as cw
    >>> cw.schedules.wltc("3b").downscaled(0.359).phases["extra high"]
    <schedule extra high: 323.0 s, 7.128 km, mean 79.44 km/h, top 105.7 km/h>
    """
    row = ROWS[_printed(cycle).vehicle_class]
    factor = in_si(factor, "", "", "factor")
    most = _most(cycle)
    if not _LEAST < factor < most:
        said = (
            f"A factor of {_LEAST:.3f} or less changes nothing; drive the cycle as it is printed."
            if factor <= _LEAST
            else f"{most:.3f} and more would put the top below the speed at which the change ends: "
            "the vehicle is too weak for this cycle."
        )
        raise OutOfBoundsError(
            f"{cycle.name} cannot be downscaled by {factor:g}.",
            value=factor,
            limit=_LEAST if factor <= _LEAST else most,
            advice=said,
        )
    return Wltc(
        cycle.vehicle_class,
        f"{cycle.name}, downscaled by {factor:g}",
        _speeds(np.array(cycle.speeds), row, factor),
        cycle.phases,
        notes=cycle.notes,
        factor=factor,
    )


def _most(cycle: Wltc) -> float:
    """Return the factor that would put the top at the speed at which the change ends."""
    row = ROWS[cycle.vehicle_class]
    first, top, end = (float(cycle.speeds[one]) for one in (row.first, row.top, row.end))
    return (top - end) / (top - first)


def _speeds(speeds: NDArray[np.float64], row: _Row, factor: float) -> NDArray[np.float64]:
    steps = np.diff(speeds)
    top, end = speeds[row.top], speeds[row.end]
    rising = steps[row.first : row.top] * (1 - factor)
    speeds[row.first + 1 : row.top + 1] = speeds[row.first] + np.cumsum(rising)
    flatter = (speeds[row.top] - end) / (top - end)
    falling = steps[row.top : row.end - 1] * flatter
    speeds[row.top + 1 : row.end] = speeds[row.top] + np.cumsum(falling)
    return speeds


def _printed(cycle: Wltc) -> Wltc:
    if cycle.capped_at:
        raise ChalkwattError(
            f"{cycle.name} is capped already.", advice="Downscale first, cap afterwards."
        )
    if cycle.factor:
        raise ChalkwattError(
            f"{cycle.name} is downscaled already.", advice="Begin with the cycle of the class."
        )
    return cycle
