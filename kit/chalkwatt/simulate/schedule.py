"""A schedule: speed against time, linear between its points, in one or several phases."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np

from chalkwatt import units
from chalkwatt.errors import ChalkwattError, OutOfBoundsError, UnitError
from chalkwatt.simulate.schedule_integration import Integrals

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

__all__ = ["Phase", "Schedule", "chain", "in_si"]


@dataclass(frozen=True)
class Phase:
    """A part of a schedule with a name.

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

    Raises
    ------
    ChalkwattError
        If there are fewer than two points, time does not rise, or a speed is negative; it names the
        point.

    Examples
    --------
    >>> from chalkwatt.simulate.schedules import Schedule
    >>> Schedule("hop", [0, 10, 20], [0, 8, 0])
    <schedule hop: 20.00 s, 0.08000 km, mean 14.40 km/h, top 28.80 km/h>
    """

    def __init__(
        self,
        name: str,
        times: Sequence[float] | NDArray[np.float64],
        speeds: Sequence[float] | NDArray[np.float64],
        *,
        phases: Sequence[Phase] = (),
        source: str = "",
    ) -> None:
        self.name = name
        self.times = np.array(times, dtype=float)
        self.speeds = np.array(speeds, dtype=float)
        self.source = source
        _check(name, self.times, self.speeds)
        for one in (self.times, self.speeds):
            one.setflags(write=False)  # schedules are shared, and what was summed up must stay true
        self.phases = tuple(phases) or (Phase(name, 0, len(self.times) - 1),)

    @property
    def durations(self) -> NDArray[np.float64]:
        """Seconds from each point to the next."""
        return np.diff(self.times)

    @cached_property
    def segments(self) -> Segments:
        """The different steps of the schedule and how often each comes in each phase."""
        steps = np.column_stack([self.speeds[:-1], self.speeds[1:], self.durations.round(9)])
        different, which = np.unique(steps, axis=0, return_inverse=True)
        count = np.zeros((len(different), len(self.phases)))
        for column, phase in enumerate(self.phases):
            np.add.at(count[:, column], which.reshape(-1)[phase.first : phase.last], 1.0)
        return Segments(different[:, 0], different[:, 1], different[:, 2], count)

    @cached_property
    def integrals(self) -> Integrals:
        """What the schedule gives to every vehicle that drives it."""
        return Integrals(self.segments)

    @property
    def duration(self) -> Any:  # noqa: ANN401  a pint quantity
        """Time from beginning to end, in seconds."""
        return units.quantity(float(self.times[-1] - self.times[0]), "s", "s")

    @property
    def distance(self) -> Any:  # noqa: ANN401
        """Distance driven, in kilometres."""
        return units.quantity(self._metres, "m", "km")

    @property
    def _metres(self) -> float:
        return float(((self.speeds[1:] + self.speeds[:-1]) / 2) @ self.durations)

    @property
    def mean_speed(self) -> Any:  # noqa: ANN401
        """Distance over time, standstill included, in km/h."""
        return units.quantity(self._metres / float(self.times[-1] - self.times[0]), "m/s", "km/h")

    @property
    def top_speed(self) -> Any:  # noqa: ANN401
        """Highest speed, in km/h."""
        return units.quantity(float(self.speeds.max()), "m/s", "km/h")

    @property
    def idle_time(self) -> Any:  # noqa: ANN401
        """Time at standstill, in seconds."""
        still = (self.speeds[1:] == 0) & (self.speeds[:-1] == 0)
        return units.quantity(float(self.durations[still].sum()), "s", "s")

    def part(self, name: str) -> Schedule:
        """Return one phase as a schedule of its own, its time beginning at nought.

        Parameters
        ----------
        name : str

        Returns
        -------
        Schedule

        Raises
        ------
        ChalkwattError
            If there is no phase of that name.

        Examples
        --------
        >>> from chalkwatt.simulate.schedules import nedc
        >>> nedc.part("EUDC").duration.magnitude
        400.0
        """
        for phase in self.phases:
            if phase.name == name:
                points = slice(phase.first, phase.last + 1)
                times = self.times[points] - self.times[phase.first]
                return Schedule(name, times, self.speeds[points], source=self.source)
        raise ChalkwattError(
            f"{self.name} has no phase {name!r}.",
            value=name,
            advice=f"Its phases are {', '.join(phase.name for phase in self.phases)}.",
        )

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
        >>> from chalkwatt.simulate.schedules import ece_15, eudc
        >>> ece_15.then(eudc, name="short").duration.magnitude
        595.0
        """
        return chain(name or f"{self.name} + {other.name}", (self, other))

    def figure(self, **options: Any) -> Any:  # noqa: ANN401  a Matplotlib figure
        """Draw speed against time; see :func:`chalkwatt.figures.trip.schedule_figure`."""
        from chalkwatt.figures.trip import schedule_figure  # Matplotlib is slow to import

        return schedule_figure(self, **options)

    def __repr__(self) -> str:
        """Show name, duration, distance, mean and top speed."""
        from chalkwatt.rendering.numbers import with_unit

        shown = [
            with_unit(self.duration.magnitude, "s"),
            with_unit(self.distance.magnitude, "km"),
            f"mean {with_unit(self.mean_speed.magnitude, 'km/h')}",
            f"top {with_unit(self.top_speed.magnitude, 'km/h')}",
        ]
        return f"<schedule {self.name}: {', '.join(shown)}>"


def _check(name: str, times: NDArray[np.float64], speeds: NDArray[np.float64]) -> None:
    if times.ndim != 1 or times.shape != speeds.shape or len(times) < 2:
        raise ChalkwattError(
            f"{name}: {times.size} times and {speeds.size} speeds do not make a schedule.",
            advice="Give two lists of equal length, two points at least.",
        )
    if not (np.isfinite(times).all() and np.isfinite(speeds).all()):
        place = int(np.flatnonzero(~(np.isfinite(times) & np.isfinite(speeds)))[0])
        raise ChalkwattError(
            f"{name}: point {place + 1} is not a finite number.", advice="Mend it, or leave it out."
        )
    if (speeds < 0).any():
        place = int(np.flatnonzero(speeds < 0)[0])
        raise OutOfBoundsError(
            f"{name}: the speed at point {place + 1} is {speeds[place]:g} m/s.",
            quantity="speed",
            value=float(speeds[place]),
            unit="m/s",
            limit=0.0,
            advice="A schedule drives forwards; give speeds of 0 or more.",
        )
    steps = np.diff(times)
    if (steps <= 0).any():
        place = int(np.flatnonzero(steps <= 0)[0])
        raise ChalkwattError(
            f"{name}: time goes from {times[place]:g} s to {times[place + 1]:g} s "
            f"at point {place + 2}.",
            quantity="time",
            value=float(times[place + 1]),
            unit="s",
            limit=float(times[place]),
            advice="Time must rise from point to point.",
        )


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
    )


def in_si(value: Any, unit: str, si_unit: str, what: str = "") -> float:  # noqa: ANN401
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
    given, label = value, unit
    said = f"{what} = {value!r}: " if what else ""
    if isinstance(value, str):
        given, label = units.read(value)
        label = label or unit
    elif hasattr(value, "magnitude"):
        given, label = value.magnitude, str(value.units)
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
        return float(given) * known.factor + known.offset
    except (TypeError, ValueError) as cause:
        raise UnitError(
            f"{said}{value!r} is not a number of {unit}.",
            quantity=what or None,
            value=value,
            unit=unit,
            advice=f'Give a number, or text like "10 {unit}".',
        ) from cause
