"""The WLTC: the cycle of a class of vehicles, its phases, and which class a vehicle is of.

The speeds of every second stand in ``wltc.txt`` beside this module, table by table as the
regulation prints them; they are read when a cycle is first asked for.

========  ======================================  ==============================================
class     rated power over unladen mass           phases
========  ======================================  ==============================================
1         up to 22 W/kg                           low, medium, and low once more
2         above 22 and up to 34 W/kg              low, medium, high, extra high
3a        above 34 W/kg, slower than 120 km/h     low, medium, high, extra high
3b        above 34 W/kg, 120 km/h or faster       low, medium, high, extra high
========  ======================================  ==============================================

A vehicle that is too weak for its cycle drives it downscaled (`wltc_downscaling`), one that is too slow
drives it capped (`wltc_capping`).

A vehicle that is tested as an electric one (Annex 8 of UN GTR No. 15, Annex B8 of UN R154) is of
class 3 whatever its power.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Self

import numpy as np

from chalkwatt.calls import checked_call
from chalkwatt.errors import NameUnknownError, OutOfBoundsError, TooLittleKnownError
from chalkwatt.runs.schedule.schedule import Phase, Schedule, in_si
from chalkwatt.wording.numbers import with_unit

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from chalkwatt.runs.schedule.parts import Part
    from chalkwatt.runs.schedule.wltc_downscaling import Downscaling
    from chalkwatt.wording.given import Given

__all__ = ["CLASSES", "Wltc", "WltcClass", "wltc", "wltc_class"]

_SPEEDS = Path(__file__).parent / "wltc.txt"
_SOURCE = "UN GTR No. 15, Annex 1; UN Regulation No. 154, Annex B1"
_TABLES = {
    "1": ("low 1", "medium 1", "low 1"),
    "2": ("low 2", "medium 2", "high 2", "extra high 2"),
    "3a": ("low 3", "medium 3a", "high 3a", "extra high 3"),
    "3b": ("low 3", "medium 3b", "high 3b", "extra high 3"),
}
CLASSES = tuple(_TABLES)

# Limits of the classes, paragraph 2 of the annex: W/kg, and km/h between 3a and 3b.
_CLASS_1_MOST, _CLASS_2_MOST, _CLASS_3B_LEAST = 22.0, 34.0, 120.0
_EXACT = 1e-9  # relative; what arithmetic in other units may leave of a limit
_ELECTRIC = (
    "a vehicle tested as an electric one is of class 3 whatever its power "
    "(UN GTR No. 15, Annex 8; electric=True)"
)


class WltcClass(str):
    """The class of a vehicle, with its reason: a text such as ``"3b"``.

    Attributes
    ----------
    reason : str
    note : str
        What to say beside numbers that rest on this class, or empty.
    """

    __slots__ = ("note", "reason")

    reason: str
    note: str

    def __new__(cls, name: str, reason: str, note: str = "") -> Self:
        """Keep why a vehicle is of this class."""
        made = super().__new__(cls, name)
        made.reason, made.note = reason, note
        return made

    def __repr__(self) -> str:
        """Show class, reason and note."""
        return f"<WLTC class {self}: {self.reason}{'; ' if self.note else ''}{self.note}>"


class Wltc(Schedule):
    """The cycle of one class.

    Parameters
    ----------
    vehicle_class : str
        One of ``CLASSES``.
    name : str
    speeds : ndarray
        In metres per second, one a second.
    phases : sequence of Phase
    notes : sequence of str, optional
    factor : float
        By which it was downscaled; nought for the cycle as it is printed.
    capped_at : float
        Top speed in m/s at which it was capped; nought if it was not.
    """

    def __init__(
        self,
        vehicle_class: str,
        name: str,
        speeds: Sequence[float] | NDArray[np.float64],
        phases: Sequence[Phase | Part],
        *,
        notes: tuple[str, ...] = (),
        factor: float = 0.0,
        capped_at: float = 0.0,
    ) -> None:
        times = np.arange(len(speeds), dtype=float)
        super().__init__(name, times, speeds, phases=phases, source=_SOURCE, notes=notes)
        self.vehicle_class = vehicle_class
        self.factor, self.capped_at = factor, capped_at

    @property
    def city(self) -> Schedule:
        """The low and the medium phase, which the regulation drives as its city cycle.

        Examples
        --------
        >>> from chalkwatt.runs.schedule.schedules import wltc
        >>> wltc("3b").city
        <schedule WLTC 3b city: 1022 s, 7.850 km, mean 27.65 km/h, top 76.60 km/h>
        """
        made = self.part("low", "medium")
        made.name = f"{self.name} city"
        return made

    @checked_call
    def downscaling(self, **known: Given) -> Downscaling:
        """Find out whether a vehicle is too weak for the cycle, and by how much it is downscaled.

        See :func:`chalkwatt.runs.schedule.wltc_downscaling.downscaling`.

        Examples
        --------
        >>> from chalkwatt.runs.schedule.schedules import wltc
        >>> made = wltc("3b").downscaling(
        ...     rated_power="28 kW", mass="1400 kg", drag_area="0.8 m^2", rolling_coefficient=0.01,
        ... )
        >>> made.applies
        True
        """
        from chalkwatt.runs.schedule.wltc_downscaling import downscaling  # noqa: PLC0415  it builds on this page

        return downscaling(self, **known)

    @checked_call
    def downscaled(self, factor: float) -> Wltc:
        """Return the cycle downscaled by a factor.

        See :func:`chalkwatt.runs.schedule.wltc_downscaling.downscaled`.

        Examples
        --------
        >>> from chalkwatt.runs.schedule.schedules import wltc
        >>> wltc("3b").downscaled(0.2)
        <schedule WLTC 3b, downscaled by 0.2: 1800 s, 22.64 km, mean 45.28 km/h, top 117.0 km/h>
        """
        from chalkwatt.runs.schedule.wltc_downscaling import downscaled  # noqa: PLC0415  it builds on this page

        return downscaled(self, factor)

    @checked_call
    def capped(self, top_speed: Given) -> Wltc:
        """Return the cycle of a vehicle that is strong enough for it, but not as fast.

        See :func:`chalkwatt.runs.schedule.wltc_capping.capped`.

        Examples
        --------
        >>> from chalkwatt.runs.schedule.schedules import wltc
        >>> wltc("3a").capped("110 km/h").top_speed.magnitude
        110.0
        """
        from chalkwatt.runs.schedule.wltc_capping import capped  # noqa: PLC0415  it builds on this page

        return capped(self, top_speed)


@checked_call
def wltc(vehicle_class: str | int) -> Wltc:
    """Return the WLTC of a class of vehicles.

    Parameters
    ----------
    vehicle_class : str
        ``"1"``, ``"2"``, ``"3a"`` or ``"3b"``, or what `wltc_class` gives.

    Returns
    -------
    Wltc
        A schedule with the phases ``low``, ``medium``, ``high`` and ``extra high``, and with
        ``city``, its low and medium phase. Class 1 is low, medium, and low once more, which is
        named ``low (2)``.

    Raises
    ------
    NameUnknownError
        If there is no such class.

    Notes
    -----
    Speeds are those of UN GTR No. 15, Annex 1, and UN Regulation No. 154, Annex B1, to the last
    printed digit. The extra high phase of class 2 may be left out where a country has chosen so:
    ``wltc("2").part("low", "medium", "high")``.

    Examples
    --------
    >>> import chalkwatt as cw
    >>> cycle = cw.schedules.wltc("3b")
    >>> cycle
    <schedule WLTC 3b: 1800 s, 23.27 km, mean 46.53 km/h, top 131.3 km/h>
    >>> for phase in cycle.phases:
    ...     print(f"{phase.name}: {phase.duration:g~P}, {phase.distance.magnitude:.3f} km")
    low: 589 s, 3.095 km
    medium: 433 s, 4.756 km
    high: 455 s, 7.162 km
    extra high: 323 s, 8.254 km
    """
    name = str(vehicle_class).strip().lower().removeprefix("class").strip()
    if name not in _TABLES:
        third = "Class 3 has two cycles, by top speed. " if name == "3" else ""
        raise NameUnknownError(
            f"There is no WLTC of class {str(vehicle_class)!r}. {third}".strip(),
            nearest=[f"wltc({one!r})" for one in CLASSES if third == "" or one[0] == "3"],
            value=vehicle_class,
        )
    made = _cycle(name)
    note = getattr(vehicle_class, "note", "")
    if note:
        return Wltc(name, made.name, made.speeds, made.phases, notes=(note,))
    return made


@cache
def _cycle(vehicle_class: str) -> Wltc:
    speeds: list[int] = []
    phases: list[Phase] = []
    for table in _TABLES[vehicle_class]:
        new = _tables()[table]
        # A low phase that is driven again begins at rest, in the second in which the last one ended.
        again = any(table.startswith(phase.name) for phase in phases)
        begin = max(len(speeds) - 1, 0)
        speeds += new[1:] if again else new
        name = table.rpartition(" ")[0]
        phases.append(Phase(f"{name} (2)" if again else name, begin, len(speeds) - 1))
    return Wltc(vehicle_class, f"WLTC {vehicle_class}", np.array(speeds) / 36, phases)


@cache
def _tables() -> dict[str, list[int]]:
    """Read the tables: tenths of km/h, a number a second."""
    made: dict[str, list[int]] = {}
    name = ""
    for line in _SPEEDS.read_text(encoding="utf-8").splitlines():
        if line.startswith("["):
            name = line.strip("[]")
            made[name] = []
        elif not line.startswith("#"):
            made[name] += map(int, line.split())
    return made


@checked_call
def wltc_class(
    *,
    rated_power: Given,
    unladen_mass: Given,
    top_speed: Given | None = None,
    electric: bool = False,
) -> WltcClass:
    """Say of which class a vehicle is, and so which WLTC it drives.

    Parameters
    ----------
    rated_power : number (W), str or pint quantity
        Rated power of its engine or motor.
    unladen_mass : number (kg), str or pint quantity
        Mass in running order less the 75 kg of the driver.
    top_speed : number (m/s), str or pint quantity, optional
        Needed for class 3 only. What the vehicle can do, not what a limiter allows.
    electric : bool
        Whether it is tested as an electric vehicle (battery-electric, hybrid, fuel cell), which is
        class 3 whatever the power. If not, the class goes by power over mass, and says so.

    Returns
    -------
    WltcClass
        A text, such as ``"3b"``, to give to `wltc`; its ``reason`` is in words.

    Raises
    ------
    UnitError, OutOfBoundsError
        If a unit does not fit, or a value is not above nought.
    TooLittleKnownError
        If the vehicle is of class 3 and its top speed is not given.

    Notes
    -----
    Limits: UN GTR No. 15, Annex 1, paragraph 2, read in its working document WLTP-11-7e; UN
    Regulation No. 154, Annex B1. The 75 kg come from memory.

    Examples
    --------
    >>> import chalkwatt as cw
    >>> cw.schedules.wltc_class(
    ...     rated_power="60 kW", unladen_mass="1500 kg", top_speed="135 km/h"
    ... )
    <WLTC class 3b: 40.00 W/kg are above 34 W/kg, and 135.0 km/h are not below 120 km/h>
    >>> cw.schedules.wltc_class(
    ...     rated_power="9 kW", unladen_mass="450 kg", top_speed="100 km/h", electric=True
    ... )
    <WLTC class 3a: tested as an electric vehicle, and 100.0 km/h are below 120 km/h>
    """
    power = _positive("rated_power", rated_power, "W")
    mass = _positive("unladen_mass", unladen_mass, "kg")
    ratio = power / mass
    shown = f"{with_unit(ratio, 'W/kg')} are"
    least, middle = (f"{one:g} W/kg" for one in (_CLASS_1_MOST, _CLASS_2_MOST))
    if not electric and ratio <= _CLASS_1_MOST * (1 + _EXACT):
        return WltcClass("1", f"{shown} not above {least}", _ELECTRIC)
    if not electric and ratio <= _CLASS_2_MOST * (1 + _EXACT):
        return WltcClass("2", f"{shown} above {least} and not above {middle}", _ELECTRIC)
    why = "tested as an electric vehicle" if electric else f"{shown} above {middle}"
    if top_speed is None:
        raise TooLittleKnownError(
            f"The vehicle is of class 3 ({why}); its top speed decides between 3a and 3b.",
            unlocks=["top_speed"],
            advice='Give top_speed, such as "130 km/h".',
        )
    top = _positive("top_speed", top_speed, "m/s") * 3.6
    limit = f"{_CLASS_3B_LEAST:g} km/h"
    if top < _CLASS_3B_LEAST * (1 - _EXACT):
        return WltcClass("3a", f"{why}, and {with_unit(top, 'km/h')} are below {limit}")
    return WltcClass("3b", f"{why}, and {with_unit(top, 'km/h')} are not below {limit}")


def _positive(name: str, value: Given, unit: str) -> float:
    si = in_si(value, unit, unit, name)
    if not 0 < si < np.inf:
        raise OutOfBoundsError(
            f"{name} = {si:g} {unit} says nothing of a vehicle.",
            quantity=name,
            value=si,
            unit=unit,
            limit=0.0,
            advice="Give a number above nought.",
        )
    return si
