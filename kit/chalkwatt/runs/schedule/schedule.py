"""A schedule: speed against time, linear between its points, in one or several phases."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, NamedTuple, Unpack

import numpy as np

from chalkwatt.answering.showing import show
from chalkwatt.calls import checked_call, checked_class
from chalkwatt.errors import ChalkwattError, UnitError, told
from chalkwatt.laws.quantities import said, shown
from chalkwatt.runs.schedule.integration import Integrals
from chalkwatt.runs.schedule.points import check_points, table
from chalkwatt.wording import units
from chalkwatt.wording.given import real
from chalkwatt.wording.numbers import with_unit

if TYPE_CHECKING:
    from collections.abc import Sequence

    import pint
    from matplotlib.figure import Figure
    from numpy.typing import NDArray

    from chalkwatt.answering.showing import FigureOptions
    from chalkwatt.runs.schedule.parts import Part, Parts
    from chalkwatt.wording.given import Given

__all__ = ["Phase", "Schedule", "chain", "in_si"]


@checked_class
@dataclass(frozen=True)
class Phase:
    """Where a part of a schedule begins and ends, and its name.

    Parameters
    ----------
    name : str
    first, last : int
        Its points are those from ``first`` to ``last``, both included.
    """

    name: str
    first: int
    last: int


class Segments(NamedTuple):
    """The different steps of a schedule, each listed once.

    ``start``, ``end`` (speeds) and ``duration`` hold a number a step, ``often`` its occurrences
    in each phase: a row a step, a column a phase.
    """

    start: NDArray[np.float64]
    end: NDArray[np.float64]
    duration: NDArray[np.float64]
    often: NDArray[np.float64]


class Schedule:
    """Speed against time.

    Parameters
    ----------
    name : str
    times : sequence of float
        Seconds, rising.
    speeds : sequence of float
        Metres per second, not negative.
    phases : sequence of Phase, optional
        One phase with the schedule's own name if left out.
    source : str
        Where it was published, or who wrote it.
    notes : sequence of str, optional
        What to say beside its numbers.

    Attributes
    ----------
    times, speeds : ndarray, shape (points,)
        In seconds and metres per second; they cannot be written to.

    Raises
    ------
    ChalkwattError
        If there are fewer than two points, time does not rise, or a speed is negative; it names the
        point.

    Examples
    --------
    >>> from chalkwatt.runs.schedule.schedules import Schedule
    >>> Schedule("hop", [0, 10, 20], [0, 8, 0])
    <schedule hop: 20.00 s, 0.08000 km, mean 14.40 km/h, top 28.80 km/h>
    """

    @checked_call
    def __init__(
        self,
        name: str,
        times: Sequence[float] | NDArray[np.float64],
        speeds: Sequence[float] | NDArray[np.float64],
        *,
        phases: Sequence[Phase | Part] = (),
        source: str = "",
        notes: Sequence[str] = (),
    ) -> None:
        self.name = name
        self.times = real(times, "times").copy()
        self.speeds = real(speeds, "speeds").copy()
        self.source = source
        self.notes = tuple(notes)
        check_points(name, self.times, self.speeds)
        for one in (self.times, self.speeds):
            one.setflags(write=False)  # schedules are shared, and what was summed up must stay true
        self._spans = tuple((one.name, one.first, one.last) for one in phases) or (
            (name, 0, len(self.times) - 1),
        )

    @cached_property
    def phases(self) -> Parts:
        """The parts of the schedule, each a schedule of its own, by place or by name.

        Examples
        --------
        >>> from chalkwatt.runs.schedule.schedules import nedc
        >>> nedc.phases["EUDC"]
        <schedule EUDC: 400.0 s, 6.955 km, mean 62.59 km/h, top 120.0 km/h>
        >>> [phase.name for phase in nedc.phases[:2]]
        ['ECE-15 (1)', 'ECE-15 (2)']
        """
        from chalkwatt.runs.schedule.parts import Part, Parts  # noqa: PLC0415  it builds on this page

        return Parts(self.name, [Part(self, *one) for one in self._spans])

    @property
    def durations(self) -> NDArray[np.float64]:
        """Seconds from each point to the next."""
        return np.diff(self.times)

    @cached_property
    def segments(self) -> Segments:
        """The different steps of the schedule and how often each comes in each phase."""
        steps = np.column_stack([self.speeds[:-1], self.speeds[1:], self.durations.round(9)])
        different, which = np.unique(steps, axis=0, return_inverse=True)
        count = np.zeros((len(different), len(self._spans)))
        for column, (_, first, last) in enumerate(self._spans):
            np.add.at(count[:, column], which.reshape(-1)[first:last], 1.0)
        return Segments(different[:, 0], different[:, 1], different[:, 2], count)

    @cached_property
    def integrals(self) -> Integrals:
        """What the schedule gives to every vehicle that drives it."""
        return Integrals(self.segments)

    @property
    def duration(self) -> pint.Quantity[float]:
        """Time from beginning to end, in seconds."""
        return units.quantity(float(self.times[-1] - self.times[0]), "s", "s")

    @property
    def distance(self) -> pint.Quantity[float]:
        """Distance driven, in kilometres."""
        return shown("trip_distance", self._metres)

    @property
    def _metres(self) -> float:
        return float(((self.speeds[1:] + self.speeds[:-1]) / 2) @ self.durations)

    @property
    def mean_speed(self) -> pint.Quantity[float]:
        """Distance over time, standstill included, in km/h."""
        return shown("speed", self._metres / float(self.times[-1] - self.times[0]))

    @property
    def top_speed(self) -> pint.Quantity[float]:
        """Highest speed, in km/h."""
        return shown("speed", float(self.speeds.max()))

    @property
    def idle_time(self) -> pint.Quantity[float]:
        """Time at standstill, in seconds."""
        still = (self.speeds[1:] == 0) & (self.speeds[:-1] == 0)
        return units.quantity(float(self.durations[still].sum()), "s", "s")

    @checked_call
    def part(self, *names: str) -> Schedule:
        """Return one phase, or several driven one after the other, as a schedule of its own.

        Parameters
        ----------
        *names : str

        Returns
        -------
        Schedule
            Its time begins at nought.

        Raises
        ------
        ChalkwattError
            If there is no phase of that name, or one does not begin at the speed at which the one
            before it ends.

        Examples
        --------
        >>> from chalkwatt.runs.schedule.schedules import nedc
        >>> nedc.part("EUDC").duration.magnitude
        400.0
        >>> nedc.part("ECE-15 (1)", "EUDC").duration.magnitude
        595.0
        """
        if not names:
            raise ChalkwattError(
                "No phase was named.", advice=f"The phases are {', '.join(self.phases.names)}."
            )
        parts = [self.phases[name] for name in names]
        return parts[0] if len(parts) == 1 else chain(f"{self.name} {' + '.join(names)}", parts)

    @checked_call
    def then(self, other: Schedule, name: str | None = None) -> Schedule:
        """Drive another schedule after this one.

        Parameters
        ----------
        other : Schedule
            It must begin at the speed at which this one ends.
        name : str, optional

        Returns
        -------
        Schedule
            With the phases of both; a name that comes again is numbered.

        Raises
        ------
        ChalkwattError
            If the speeds do not meet.

        Examples
        --------
        >>> from chalkwatt.runs.schedule.schedules import ece_15, eudc
        >>> ece_15.then(eudc, name="short").duration.magnitude
        595.0
        """
        return chain(name or f"{self.name} + {other.name}", (self, other))

    @checked_call
    def figure(self, **options: Unpack[FigureOptions]) -> Figure:
        """Draw speed against time; see :func:`chalkwatt.figures.trip.schedule_figure`."""
        made: Figure = show(self, "figure", **options)
        return made

    def __repr__(self) -> str:
        """Show name, duration, distance, mean and top speed."""
        shown = [
            with_unit(self.duration.magnitude, "s"),
            said("trip_distance", float(self.distance.to("m").magnitude)),
            f"mean {said('speed', float(self.mean_speed.to('m/s').magnitude))}",
            f"top {said('speed', float(self.speeds.max()))}",
        ]
        notes = "".join(f"; {note[:1].lower()}{note[1:].rstrip('.')}" for note in self.notes)
        return f"<schedule {self.name}: {', '.join(shown)}{notes}>"

    def _repr_html_(self) -> str:
        return table(self)


@checked_call
def chain(name: str, parts: Sequence[Schedule], *, source: str = "") -> Schedule:
    """Drive several schedules one after the other.

    Parameters
    ----------
    name : str
    parts : sequence of Schedule
    source : str, optional

    Returns
    -------
    Schedule

    Raises
    ------
    ChalkwattError
        If one does not begin at the speed at which the one before it ends.
    """
    times = [np.zeros(1)]
    speeds = [parts[0].speeds[:1]]
    phases: list[Phase] = []
    parts = list(parts)
    count = {one.name: 0 for part in parts for one in part.phases}
    total = dict(count)
    for part in parts:
        for one in part.phases:
            total[one.name] += 1
    start, now = 0, 0.0
    for part in parts:
        if part.speeds[0] != speeds[-1][-1]:
            raise ChalkwattError(
                f"{name}: {part.name} begins at {part.speeds[0]:g} m/s, "
                f"but the part before it ends at {speeds[-1][-1]:g} m/s.",
                quantity="speed",
                value=float(part.speeds[0]),
                unit="m/s",
                limit=float(speeds[-1][-1]),
                advice="Add a ramp between them.",
            )
        for one in part.phases:
            count[one.name] += 1
            label = f"{one.name} ({count[one.name]})" if total[one.name] > 1 else one.name
            phases.append(Phase(label, one.first + start, one.last + start))
        times.append(part.times[1:] - part.times[0] + now)
        speeds.append(part.speeds[1:])
        start += len(part.times) - 1
        now = float(times[-1][-1])
    return Schedule(
        name,
        np.concatenate(times),
        np.concatenate(speeds),
        phases=phases,
        source=source or "; ".join(dict.fromkeys(part.source for part in parts if part.source)),
        notes=tuple(dict.fromkeys(note for part in parts for note in part.notes)),
    )


def in_si(value: Given, unit: str, si_unit: str, what: str = "") -> float:
    """Read text with a unit, a pint quantity, or a bare number in ``unit``, and return it in SI.

    Parameters
    ----------
    value : number, str or pint quantity
    unit : str
        Of a bare number.
    si_unit : str
    what : str
        What is read, for the message of an error.

    Returns
    -------
    float

    Raises
    ------
    UnitError
        If it is no number, or its unit measures something else.
    """
    given: object = value
    label = unit
    said = f"{what} = {told(value)}: " if what else ""
    if isinstance(value, str):
        given, label = units.read(value)
        label = label or unit
    elif hasattr(value, "magnitude") and hasattr(value, "units"):
        given, label = value.magnitude, str(value.units)
    if isinstance(value, bool | np.bool_):
        raise UnitError(
            f"{said}{value!r} is not a number of {unit}.",
            quantity=what or None,
            value=value,
            unit=unit,
            advice=f'Give a number, or text like "10 {unit}".',
        )
    if not units.same_dimension(label, si_unit):
        raise UnitError(
            f"{said}{label} does not measure what {unit} does.",
            quantity=what or None,
            value=value,
            unit=label,
            limit=unit,
            advice=f"Use {unit}, or a unit like it.",
        )
    known = units.unit(label)
    try:
        number = real(given, what)
    except UnitError as cause:
        raise _no_number(said, value, unit, what) from cause
    if number.ndim:
        raise _no_number(said, value, unit, what)
    return float(number) * known.factor + known.offset


def _no_number(said: str, value: object, unit: str, what: str) -> UnitError:
    return UnitError(
        f"{said}{told(value)} is not a number of {unit}.",
        quantity=what or None,
        value=value,
        unit=unit,
        advice=f'Give a number, or text like "10 {unit}".',
    )
