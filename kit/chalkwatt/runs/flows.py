"""Where a kilowatt-hour goes: from the battery through the drive to air and road, adding up."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Unpack

import numpy as np

from chalkwatt.answering.showing import show
from chalkwatt.calls import checked_call
from chalkwatt.errors import ChalkwattError
from chalkwatt.laws.quantities import look_up
from chalkwatt.wording import units
from chalkwatt.wording.numbers import format_input, with_unit

if TYPE_CHECKING:
    from collections.abc import Mapping

    from matplotlib.figure import Figure

    from chalkwatt.answering.showing import FigureOptions
    from chalkwatt.runs.schedule.trip import Trip
    from chalkwatt.wording.given import Given

__all__ = ["EnergyFlow", "Part", "energy_flow", "whole_watt_hours"]

_ADDS_UP = 1e-9
_NOTHING = 1e-12  # of the whole: rounding in the last digits, such as speed gained on a round trip
_TITLE = "Where a kilowatt-hour goes"


@dataclass(frozen=True)
class Part:
    """A part of the energy.

    Parameters
    ----------
    words : str
        For the reader.
    share : float
        Of the battery's energy.
    kind : str
        ``"auxiliary"``, ``"lost"`` on the way, or ``"road"`` for what moving took.
    """

    words: str
    share: float
    kind: str


class EnergyFlow:
    """The parts of a kilowatt-hour, in the order in which they leave it.

    Parameters
    ----------
    parts : tuple of Part
        Their shares add up to one.
    title : str
    conditions : str
        What they hold for, in a few words.

    Raises
    ------
    ChalkwattError
        If a part is negative, or they do not add up.
    """

    @checked_call
    def __init__(
        self, parts: tuple[Part, ...], *, title: str = _TITLE, conditions: str = ""
    ) -> None:
        for part in parts:
            if not part.share >= -_ADDS_UP:
                raise ChalkwattError(
                    f"The part “{part.words}” is {100 * part.share:.4g} %, less than nothing.",
                    value=part.share,
                    limit=0.0,
                    advice="Ask where vehicles take energy from the battery: not downhill, not "
                    "slowing down.",
                )
        total = sum(part.share for part in parts)
        if abs(total - 1) > _ADDS_UP:
            raise ChalkwattError(
                f"The parts make {100 * total:.10g} % together.",
                value=total,
                limit=1.0,
                advice="Leave none out and count none twice.",
            )
        self.parts = parts
        self.title = title
        self.conditions = conditions

    @classmethod
    @checked_call
    def of_trip(cls, trip: Trip) -> EnergyFlow:
        """Make the flow of a driven schedule.

        Parameters
        ----------
        trip : Trip
            One vehicle's.

        Returns
        -------
        EnergyFlow

        Raises
        ------
        ChalkwattError
            If the trip is of many vehicles, or takes nothing from the battery.

        Examples
        --------
        >>> import chalkwatt as cw
        >>> trip = cw.drive_schedule(
        ...     cw.schedules.nedc, mass=900, drag_area=0.5, rolling_coefficient=0.01,
        ...     drive_efficiency=0.85, recovery_efficiency=0.6, auxiliary_power=300,
        ... )
        >>> [part.words for part in cw.EnergyFlow.of_trip(trip).parts]
        ['auxiliary load', 'lost in the drive', 'lost in braking', 'air drag', 'rolling']
        """
        if np.ndim(trip.si("battery_energy")):
            raise ChalkwattError(
                "This trip is of many vehicles, and a flow shows one.",
                advice="Drive the schedule with single numbers.",
            )
        total = float(trip.si("battery_energy"))
        if not total > 0:
            raise ChalkwattError(
                f"{trip.name} takes {total / 3.6e6:.4g} kWh from the battery, so there is nothing "
                "to share out.",
                quantity="battery_energy",
                value=total / 3.6e6,
                unit="kWh",
                limit=0.0,
                advice="Take a schedule that does not live on the speed it begins with.",
            )
        kinds = {
            "auxiliary load": "auxiliary",
            "lost in the drive": "lost",
            "lost in braking": "lost",
            "gained in speed": "road",
            "air drag": "road",
            "rolling": "road",
        }
        balance = trip.balance
        parts = tuple(
            Part(words, float(balance[words]) * 3.6e6 / total, kind)
            for words, kind in kinds.items()
            if abs(float(balance[words])) * 3.6e6 > _NOTHING * total
        )
        return cls(parts, conditions=trip.name)

    @property
    def watt_hours(self) -> dict[str, int]:
        """The parts of 1000 Wh in whole watt-hours, rounded so that they still add up."""
        rounded = whole_watt_hours([part.share for part in self.parts])
        return {part.words: one for part, one in zip(self.parts, rounded, strict=True)}

    @checked_call
    def figure(self, **options: Unpack[FigureOptions]) -> Figure:
        """Draw it; see :func:`chalkwatt.figures.flow.flow_figure`."""
        made: Figure = show(self, "figure", **options)
        return made

    def __repr__(self) -> str:
        """Show every part in watt-hours of a thousand."""
        shown = ", ".join(f"{words} {one}" for words, one in self.watt_hours.items())
        return f"1000 Wh = {shown} Wh"


def _power(si: float) -> str:
    entry = look_up("wheel_power")
    return with_unit(float(entry.in_unit(si)), entry.display[0])


def whole_watt_hours(shares: list[float], total: int = 1000) -> list[int]:
    """Round shares to whole parts of ``total`` that add up to it: the largest remainders go up.

    Parameters
    ----------
    shares : list of float
        They add up to one.
    total : int

    Returns
    -------
    list of int

    Examples
    --------
    >>> from chalkwatt.runs.flows import whole_watt_hours
    >>> whole_watt_hours([1 / 3, 1 / 3, 1 / 3])
    [334, 333, 333]
    """
    exact = [share * total for share in shares]
    made = [int(np.floor(one)) for one in exact]
    order = sorted(range(len(shares)), key=lambda place: (made[place] - exact[place], place))
    for place in order[: total - sum(made)]:
        made[place] += 1
    return made


@checked_call
def energy_flow(**known: Given) -> EnergyFlow:
    """Say where a kilowatt-hour goes at a steady speed.

    Parameters
    ----------
    **known : number, str or pint quantity
        Quantities of the topic ``drive``: speed, vehicle and the efficiencies of the chain, or
        whatever else determines them.

    Returns
    -------
    EnergyFlow

    Raises
    ------
    TooLittleKnownError, TooMuchKnownError, UnitError, OutOfBoundsError
        As for ``drive.find``.
    ChalkwattError
        If a value is an array, or if the vehicle takes nothing from the battery.

    Examples
    --------
    >>> import chalkwatt as cw
    >>> cw.energy_flow(
    ...     speed="90 km/h", mass=980, drag_area=0.42, rolling_coefficient=0.0085,
    ...     auxiliary_power=350, battery_efficiency=0.97, inverter_efficiency=0.97,
    ...     motor_efficiency=0.93, gear_efficiency=0.97, tyre_efficiency=0.99, air_density=1.2,
    ... )
    1000 Wh = auxiliary load 47, battery 29, inverter 28, motor 63, gears 25, tyre slip 8, ...
    """
    from chalkwatt.topics.drive import LINKS, drive  # noqa: PLC0415  SymPy is slow to import

    def power(name: str) -> float:
        if name in known:
            return look_up(name).read_one(known[name])
        return float(drive.find(name, **known).si)

    if any(np.ndim(one) for one in drive.read(known).values()):
        raise ChalkwattError("A flow shows one vehicle.", advice="Give single numbers.")
    total = power("battery_power")
    wheels = power("wheel_power")
    if not total > 0 or wheels < 0:
        raise ChalkwattError(
            f"The road drives the vehicle here: the wheels take {_power(wheels)} and the battery gives "
            f"{_power(total)}, so there is nothing to share out.",
            quantity="wheel_power",
            value=wheels,
            unit="W",
            limit=0.0,
            advice="Take a level road or a climb.",
        )
    listed: list[tuple[str, str, str]] = [("auxiliary load", "auxiliary_power", "auxiliary")]
    listed += [(words, loss, "lost") for words, _, loss in LINKS]
    listed += [
        ("air drag", "air_power", "road"),
        ("rolling", "rolling_power", "road"),
        ("climbing", "climbing_power", "road"),
    ]
    powers = [(words, power(name), kind) for words, name, kind in listed]
    # What does not grow in proportion to power passes the links of the chain by; nought unless said.
    values = {**drive.read(known)}
    if "driving_power" not in known:
        values |= drive.find("driving_power", **known).best.values
    powers[1:1] = [
        ("pack's resistance", float(values.get("pack_loss", 0.0)), "lost"),
        ("drive at any load", float(values.get("drive_idle_loss", 0.0)), "lost"),
        (
            "drive by square of load",
            float(values.get("drive_square_loss", 0.0)) * wheels**2,
            "lost",
        ),
    ]
    parts = tuple(
        Part(words, one / total, kind)
        for words, one, kind in powers
        if one != 0 or words in {"air drag", "rolling"}
    )
    return EnergyFlow(parts, conditions=_conditions(drive.read(known)))


def _conditions(values: Mapping[str, Any]) -> str:
    speed = values.get("speed")
    if speed is None:
        return ""
    label = look_up("speed").display[0]
    return f"at a steady {format_input(float(speed) / units.unit(label).factor)} {label}"
