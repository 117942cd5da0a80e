"""A standing start that has been run: times, speeds, distances, energies, and what limited it."""

from __future__ import annotations

import math
from functools import cached_property
from html import escape
from typing import TYPE_CHECKING, NamedTuple, TypedDict, Unpack

import numpy as np

from chalkwatt.answering.showing import show
from chalkwatt.calls import checked_call
from chalkwatt.errors import NoSolutionError, OutOfBoundsError, TooLittleKnownError
from chalkwatt.laws.quantities import look_up, said, shown
from chalkwatt.runs.start.energies import energies, terminal_voltage
from chalkwatt.runs.start.integration import DISTANCE, SPEED, Integration
from chalkwatt.runs.start.inversion import required_power
from chalkwatt.topics.launch import CAUTION
from chalkwatt.wording import units
from chalkwatt.wording.audience import current
from chalkwatt.wording.numbers import with_unit

if TYPE_CHECKING:
    import pint
    from matplotlib.figure import Figure
    from numpy.typing import NDArray

    from chalkwatt.answering.showing import FigureOptions
    from chalkwatt.runs.equations import Equations
    from chalkwatt.runs.start.vehicle import StartVehicle
    from chalkwatt.wording.given import Given

__all__ = ["StartRun", "Stretch"]

_QUARTER_MILE = 402.336  # m
# Who is told of which: nobody in particular of both.
_SPRINTS = (
    ("0 to 60 mph", 60 * 0.44704, {"", "us", "uk"}),
    ("0 to 100 km/h", 100 / 3.6, {"", "metric"}),
)
_POINTS = 401


class Stretch(NamedTuple):
    """A stretch of a run with one limit: its words, and times (s) and speeds (m/s) at its ends."""

    limit: str
    start: float
    end: float
    slowest: float
    fastest: float


class State(TypedDict):
    """What a start has come to at a time, and what limits it there."""

    speed: pint.Quantity[float]
    distance: pint.Quantity[float]
    acceleration: pint.Quantity[float]
    limit: str


class StartRun:
    """A standing start.

    Attributes
    ----------
    vehicle : StartVehicle
    values : dict of str to float
        The vehicle, in SI units.
    name : str
    """

    def __init__(self, vehicle: StartVehicle, *, name: str = "", tolerance: float = 1e-11) -> None:
        self.vehicle = vehicle
        self.values = dict(vehicle.values)
        self.name = name
        self.tolerance = tolerance
        self._run = Integration(vehicle, tolerance)

    # Times and speeds -----------------------------------------------------------------------------
    @cached_property
    def clock_start(self) -> float:
        """Time from rest, in seconds, at which the rollout ends and the clock starts."""
        return self._run.when(DISTANCE, self.values["rollout"])

    def _time_to(self, speed: float) -> float:
        if speed >= self._run.top_speed:
            top = said("speed", self._run.top_speed)
            asked = said("speed", speed)
            raise NoSolutionError(
                f"{asked} is never reached: the top speed is {top}.",
                quantity="target_speed",
                value=float(shown("speed", speed).magnitude),
                unit=look_up("speed").display[0],
                limit=float(shown("speed", self._run.top_speed).magnitude),
                nearest=self._run.top_speed,
                advice="Ask for a lower speed, or raise motor_power.",
            )
        made = self._run.when(SPEED, speed) - self.clock_start
        if made < 0:
            raise OutOfBoundsError(
                "That speed is passed within the rollout, before the clock starts.",
                quantity="rollout",
                value=self.values["rollout"],
                unit="m",
                advice="Ask for a higher speed, or set rollout to 0.",
            )
        return made

    def _time_over(self, distance: float) -> float:
        return self._run.when(DISTANCE, distance + self.values["rollout"]) - self.clock_start

    @checked_call
    def time_to(self, speed: Given) -> pint.Quantity[float]:
        """Return the time from rest to a speed.

        Parameters
        ----------
        speed : number (m/s), str or pint quantity

        Returns
        -------
        pint.Quantity
            In seconds, counted from the end of the rollout.

        Raises
        ------
        NoSolutionError
            If the speed is never reached; it says what the top speed is.

        Examples
        --------
        >>> import chalkwatt as cw
        >>> run = cw.standing_start(mass=1500, motor_power=120e3, friction=0.9,
        ...     driven_weight_share=0.5, rolling_coefficient=0.01, drag_area=0.6, air_density=1.2)
        >>> print(f"{run.time_to('100 km/h'):.2f~P}")
        7.20 s
        """
        return self._seconds(self._time_to(_positive("target_speed", speed)))

    @checked_call
    def time_over(self, distance: Given) -> pint.Quantity[float]:
        """Return the time from rest over a distance.

        Parameters
        ----------
        distance : number (m), str or pint quantity

        Returns
        -------
        pint.Quantity
            In seconds; clock and distance both start at the end of the rollout.

        Examples
        --------
        >>> import chalkwatt as cw
        >>> run = cw.standing_start(mass=1500, motor_power=120e3, friction=0.9,
        ...     driven_weight_share=0.5, rolling_coefficient=0.01, drag_area=0.6, air_density=1.2)
        >>> print(f"{run.time_over('0.25 mile'):.2f~P}")
        15.36 s
        >>> print(f"{run.speed_over('0.25 mile').to('mph'):.1f~P}")
        95.6 mph
        """
        return self._seconds(self._time_over(_positive("sprint_distance", distance)))

    @checked_call
    def speed_over(self, distance: Given) -> pint.Quantity[float]:
        """Return the speed at the end of a distance, a pint quantity in km/h; as `time_over`."""
        whole = _positive("sprint_distance", distance) + self.values["rollout"]
        state = self._run.at(self._run.when(DISTANCE, whole))
        return shown("speed", float(state[SPEED]))

    @checked_call
    def at(self, time: Given) -> State:
        """Return speed, distance, acceleration and limit at a time after the clock starts.

        Parameters
        ----------
        time : number (s), str or pint quantity

        Returns
        -------
        dict
            Pint quantities ``speed``, ``distance``, ``acceleration``, and the words ``limit``.
        """
        # At the very start there is a state, too, though no speed is reached in no time.
        after = 0.0 if time in (0, "0 s") else _positive("time_to_speed", time)
        state = self._run.at(after + self.clock_start)
        speed = float(state[SPEED])
        return {
            "speed": shown("speed", speed),
            "distance": units.quantity(float(state[DISTANCE]) - self.values["rollout"], "m", "m"),
            "acceleration": units.quantity(self.vehicle.acceleration(speed), "m/s^2", "m/s²"),
            "limit": self.vehicle.limit(speed)[1],
        }

    @property
    def top_speed(self) -> pint.Quantity[float]:
        """Top speed in km/h; infinite where nothing resists."""
        return shown("speed", self._run.top_speed)

    @staticmethod
    def _seconds(value: float) -> pint.Quantity[float]:
        return units.quantity(value, "s", "s")

    # The whole run --------------------------------------------------------------------------------
    @cached_property
    def _table(self) -> NDArray[np.float64]:
        end = self._run.when(DISTANCE, _QUARTER_MILE + self.values["rollout"])
        times = np.linspace(self.clock_start, end, _POINTS)
        made = np.empty((3, _POINTS))
        made[0] = times - self.clock_start
        made[1:] = np.array([self._run.at(float(one)) for one in times]).T
        return made

    @property
    def time(self) -> NDArray[np.float64]:
        """Times in seconds, evenly from the start of the clock to the end of a quarter mile."""
        made: NDArray[np.float64] = self._table[0]
        return made

    @property
    def speed(self) -> NDArray[np.float64]:
        """Speeds at these times, in metres per second."""
        made: NDArray[np.float64] = self._table[1 + SPEED]
        return made

    @property
    def distance(self) -> NDArray[np.float64]:
        """Distances at these times, in metres from where the clock starts."""
        made: NDArray[np.float64] = self._table[1 + DISTANCE] - self.values["rollout"]
        return made

    @cached_property
    def acceleration(self) -> NDArray[np.float64]:
        """Accelerations at these times, in metres per second squared."""
        return np.array([self.vehicle.acceleration(float(one)) for one in self.speed])

    @checked_call
    def energies(self, time: Given | None = None) -> dict[str, float]:
        """Return where the energy has gone, in joules.

        Parameters
        ----------
        time : number (s), str or pint quantity, optional
            After the clock starts; the end of a quarter mile if left out.

        Returns
        -------
        dict of str to float
            ``wheel_energy`` is the sum of ``drag_energy``, ``rolling_energy`` and
            ``kinetic_energy``; ``motor_energy`` is it over the drive efficiency.
        """
        last = self.time[-1] if time is None else _positive("time_to_speed", time)
        return energies(self._run, float(last) + self.clock_start)

    @property
    def stretches(self) -> tuple[Stretch, ...]:
        """What limited the run, from rest to the end of a quarter mile."""
        end = float(self.time[-1]) + self.clock_start
        made: list[Stretch] = []
        for begin, until, solution, words in self._run.pieces:
            if begin >= end:
                break
            to = min(until, end)
            one = Stretch(
                words, begin, to, float(solution(begin)[SPEED]), float(solution(to)[SPEED])
            )
            if made and made[-1].limit == words:
                one = one._replace(start=made[-1].start, slowest=made[-1].slowest)
                made.pop()
            made.append(one)
        return tuple(made)

    @property
    def limits(self) -> tuple[str, ...]:
        """What limited the run, in words."""
        told = []
        for one in self.stretches:
            speeds = [said("speed", speed, 3) for speed in (one.slowest, one.fastest)]
            verb = "limit" if one.limit in {"tyres", "lifting front wheels"} else "limits"
            told.append(f"From {speeds[0]} to {speeds[1]}: {one.limit} {verb} the start.")
        return tuple(told)

    @checked_call
    def terminal_voltage(self, time: Given) -> pint.Quantity[float]:
        """Return the battery's voltage under load at a time, in volts.

        Raises
        ------
        TooLittleKnownError
            If the battery was not given.
        """
        if "pack_voltage" not in self.values:
            raise TooLittleKnownError(
                "The battery's voltage and resistance were not given.",
                quantity="pack_voltage",
                unlocks=("pack_voltage", "pack_resistance"),
                advice="Give pack_voltage and pack_resistance.",
            )
        speed = float(self._run.at(_positive("time_to_speed", time) + self.clock_start)[SPEED])
        return units.quantity(terminal_voltage(self.vehicle, speed), "V", "V")

    # The inversion --------------------------------------------------------------------------------
    @checked_call
    def required_power(
        self, time: Given, *, to: Given | None = None, over: Given | None = None
    ) -> pint.Quantity[float]:
        """Return the motor power that a claimed time asks for, all else being the same.

        Parameters
        ----------
        time : number (s), str or pint quantity
        to : number (m/s), str or pint quantity
            Speed that is reached in that time.
        over : number (m), str or pint quantity
            Or the distance that is covered in it.

        Returns
        -------
        pint.Quantity
            In kilowatts.

        Raises
        ------
        NoSolutionError
            If no motor power is enough; it says which time the other limits allow.

        Examples
        --------
        >>> import chalkwatt as cw
        >>> run = cw.standing_start(mass=1500, motor_power=120e3, friction=0.9,
        ...     driven_weight_share=0.5, rolling_coefficient=0.01, drag_area=0.6, air_density=1.2)
        >>> print(f"{run.required_power('9 s', to='60 mph'):.1f~P}")
        76.0 kW
        """
        if to is not None and over is None:
            target = _positive("time_to_speed", time)
            return required_power(self, target, speed=_positive("target_speed", to))
        if over is not None and to is None:
            target = _positive("time_to_speed", time)
            return required_power(self, target, distance=_positive("sprint_distance", over))
        raise TooLittleKnownError(
            "A claimed time is to a speed or over a distance.",
            unlocks=("to", "over"),
            advice='Give one of them, like to="60 mph" or over="0.25 mile".',
        )

    @checked_call
    def with_power(self, motor_power: Given) -> StartRun:
        """Return the run of the same vehicle with another motor power."""
        power = _positive("motor_power", motor_power)
        return StartRun(
            self.vehicle.changed(motor_power=power), name=self.name, tolerance=self.tolerance
        )

    # Showing --------------------------------------------------------------------------------------
    @property
    def equations(self) -> Equations:
        """The governing equations, as ``.text``, ``.latex``, ``.mathml`` and ``.spoken``."""
        return self.vehicle.equations

    @property
    def caution(self) -> str:
        """What to say beside the numbers."""
        return CAUTION

    @checked_call
    def figure(self, *others: StartRun, **options: Unpack[FigureOptions]) -> Figure:
        """Draw speed and distance against time; see `chalkwatt.figures.start.start_figure`."""
        made: Figure = show(self, "figure", *others, **options)
        return made

    @property
    def results(self) -> dict[str, str]:
        """The usual results in words; what is never reached is left out."""
        made = {}
        for words, speed, systems in _SPRINTS:
            if speed < self._run.top_speed and current().units in systems:
                made[words] = with_unit(self._time_to(speed), "s", 3)
        quarter = with_unit(self._time_over(_QUARTER_MILE), "s", 3)
        made["quarter mile"] = (
            f"{quarter} at {said('speed', float(self.speed_over(_QUARTER_MILE).to('m/s').magnitude))}"
        )
        if math.isfinite(self._run.top_speed):
            made["top speed"] = said("speed", self._run.top_speed)
        return made

    def __repr__(self) -> str:
        """Show the usual results on a line."""
        said = ", ".join(f"{words} {value}" for words, value in self.results.items())
        return f"{self.name or 'standing start'}: {said}"

    def _repr_html_(self) -> str:
        rows = "".join(
            f"<tr><th scope='row' style='text-align:left'>{escape(words)}</th>"
            f"<td>{escape(value)}</td></tr>"
            for words, value in self.results.items()
        )
        limits = " ".join(self.limits)
        return (
            f"<table><caption>{escape(self.name or 'Standing start')}</caption>{rows}</table>"
            f"<p>{escape(limits)}</p><p>{escape(self.caution)}</p>"
        )


def _positive(name: str, value: Given) -> float:
    return look_up(name).read_one(value)
