"""A trip: what driving a schedule took."""

from __future__ import annotations

from functools import cached_property
from typing import TYPE_CHECKING, Any, Unpack

import numpy as np

from chalkwatt.answering.showing import show
from chalkwatt.calls import checked_call
from chalkwatt.errors import ChalkwattError
from chalkwatt.laws.glossary.charging import ASSUMED_EFFICIENCY, LOSSES
from chalkwatt.laws.quantities import look_up, said, shown
from chalkwatt.runs.schedule.laws import laws_of
from chalkwatt.runs.schedule.peak import peak
from chalkwatt.wording import units
from chalkwatt.wording.audience import current
from chalkwatt.wording.numbers import format_alike, with_unit

if TYPE_CHECKING:
    from collections.abc import Mapping

    import pint
    from matplotlib.figure import Figure
    from numpy.typing import NDArray

    from chalkwatt.answering.showing import FigureOptions
    from chalkwatt.runs.equations import Equations
    from chalkwatt.runs.schedule.parts import Part
    from chalkwatt.runs.schedule.schedule import Phase, Schedule
    from chalkwatt.wording.given import Floats

__all__ = ["Trip"]

_GALLON = 33.705 * 3.6e6  # J; figure of the US EPA as widely quoted, its primary text was not seen


class Trip:
    """What driving a schedule took, as a whole and phase by phase.

    Attributes
    ----------
    name : str
        Name of the schedule or of the phase.
    schedule : Schedule
        What was driven.
    phase : Phase or Part or None
        Of the schedule, where the trip is a part of it.
    values : dict of str to float or ndarray
        The vehicle, in SI units.
    """

    def __init__(
        self,
        schedule: Schedule,
        values: Mapping[str, Any],
        by_phase: Mapping[str, NDArray[np.float64]],
        shown: Equations,
        phase: Phase | Part | None = None,
    ) -> None:
        self.schedule = schedule
        self.phase = phase
        self.name = phase.name if phase else schedule.name
        self._shown = shown
        self.values = dict(values)
        self._by_phase = by_phase
        self._cache: dict[str, Floats] = {}

    @checked_call
    def si(self, name: str) -> Floats:
        """Return a quantity of the trip in SI units.

        Parameters
        ----------
        name : str
            Such as ``"battery_energy"``, ``"distance"`` or ``"consumption"``.

        Returns
        -------
        float or ndarray

        Raises
        ------
        ChalkwattError
            If a trip has no such quantity.
        """
        if name not in self._cache:
            self._cache[name] = self._made(name)
        return self._cache[name]

    def _made(self, name: str) -> Floats:
        if name in self._by_phase:
            whole: Floats = self._by_phase[name].sum(axis=-1)[()]
            return whole
        one = self.si
        ways = {
            "battery_energy": lambda: self._result(
                name, "wheel_energy", "auxiliary_energy", "recovered_energy"
            ),
            "consumption": lambda: self._result(name, "battery_energy"),
            "wall_consumption": lambda: one("consumption") / self._charging_efficiency,
            "drive_loss": lambda: (
                one("battery_energy")
                - one("auxiliary_energy")
                + one("recovered_energy")
                - one("wheel_energy")
            ),
            "braking_loss": lambda: one("braking_energy") - one("recovered_energy"),
            "peak_wheel_power": lambda: self._peak[0],
            "peak_time": lambda: self._peak[1],
            "peak_battery_power": lambda: laws_of(self._shown).battery_power(
                self.values, one("peak_wheel_power")
            ),
        }
        if name in ways:
            return ways[name]()
        raise ChalkwattError(f"A trip has no {name!r}.", value=name)

    def _result(self, name: str, *energies: str) -> Floats:
        """Work out a line that follows from the energies."""
        # A phase may stand still throughout: nothing per nothing is not a number.
        with np.errstate(all="ignore"):
            here = {**self.values, "trip_distance": self.si("distance")}
            here |= {one: self.si(one) for one in energies}
            return np.asarray(laws_of(self._shown).result(name, here))[()]

    @cached_property
    def _peak(self) -> tuple[Floats, Floats]:
        steps = slice(self.phase.first, self.phase.last) if self.phase else slice(None)
        return peak(self.schedule, steps, self.values, laws_of(self._shown))

    def _energy(self, name: str) -> pint.Quantity[Floats]:
        return units.quantity(self.si(name), "J", "kWh")

    @property
    def distance(self) -> pint.Quantity[Floats]:
        """Distance driven, in kilometres."""
        made = self.si("distance")
        alike = np.ndim(made) and np.ptp(made) == 0
        return shown("trip_distance", float(np.ravel(made)[0]) if alike else made)

    @property
    def wheel_energy(self) -> pint.Quantity[Floats]:
        """Energy that the wheels put into driving, in kWh; braking is counted apart."""
        return self._energy("wheel_energy")

    @property
    def braking_energy(self) -> pint.Quantity[Floats]:
        """Energy that slowing down takes out at the wheels, in kWh."""
        return self._energy("braking_energy")

    @property
    def recovered_energy(self) -> pint.Quantity[Floats]:
        """Part of the braking energy that returns to the battery, in kWh."""
        return self._energy("recovered_energy")

    @property
    def battery_energy(self) -> pint.Quantity[Floats]:
        """Energy drawn from the battery less what returned to it, in kWh."""
        return self._energy("battery_energy")

    @property
    def drag_energy(self) -> pint.Quantity[Floats]:
        """Energy that went into the air, in kWh."""
        return self._energy("drag_energy")

    @property
    def rolling_energy(self) -> pint.Quantity[Floats]:
        """Energy that went into rolling, in kWh."""
        return self._energy("rolling_energy")

    @property
    def kinetic_energy(self) -> pint.Quantity[Floats]:
        """Energy in speed at the end less that at the beginning, in kWh."""
        return self._energy("kinetic_energy")

    @property
    def auxiliary_energy(self) -> pint.Quantity[Floats]:
        """Energy for everything that does not drive, in kWh."""
        return self._energy("auxiliary_energy")

    @property
    def drive_loss(self) -> pint.Quantity[Floats]:
        """Energy lost between battery and wheels while driving, in kWh."""
        return self._energy("drive_loss")

    @property
    def braking_loss(self) -> pint.Quantity[Floats]:
        """Braking energy that did not return to the battery, in kWh."""
        return self._energy("braking_loss")

    @property
    def peak_wheel_power(self) -> pint.Quantity[Floats]:
        """Largest power at the wheels, in kW; `peak_time` says when."""
        return units.quantity(self.si("peak_wheel_power"), "W", "kW")

    @property
    def peak_battery_power(self) -> pint.Quantity[Floats]:
        """Largest power that the battery gives, auxiliary load included, in kW.

        Examples
        --------
        >>> import chalkwatt as cw
        >>> trip = cw.drive_schedule(
        ...     cw.schedules.nedc, mass="1180 kg", drag_area="0.62 m^2", rolling_coefficient=0.0085,
        ...     air_density="1.2 kg/m^3", drive_efficiency=0.87, auxiliary_power="350 W",
        ... )
        >>> print(f"{trip.peak_battery_power:.1f~P} at {trip.peak_time:.0f~P}")
        32.5 kW at 1116 s
        """
        return units.quantity(self.si("peak_battery_power"), "W", "kW")

    @property
    def peak_time(self) -> pint.Quantity[Floats]:
        """When power is largest, at the wheels and at the battery, in seconds from the beginning."""
        return units.quantity(self.si("peak_time"), "s", "s")

    @property
    def consumption(self) -> pint.Quantity[Floats]:
        """Battery energy per distance, in kWh/100 km."""
        return shown("consumption", self.si("consumption"))

    @property
    def consumption_per_mile(self) -> pint.Quantity[Floats]:
        """Battery energy per distance, in Wh/mi."""
        return units.quantity(self.si("consumption"), "J/m", "Wh/mi")

    @property
    def economy(self) -> pint.Quantity[Floats]:
        """Distance per battery energy, in mi/kWh: without limit where nothing is drawn over the whole trip."""
        with np.errstate(all="ignore"):
            turned = np.divide(1.0, self.si("consumption") + 0.0)[()]
        return units.quantity(turned, "m/J", "mi/kWh")

    @property
    def equivalent_economy(self) -> pint.Quantity[Floats]:
        """Distance on the energy of a gallon of gasoline (33.705 kWh), in mi/gal.

        Counted at the outlet, as on a label: what charging loses counts as driven with. The charging
        efficiency is that of `drive_schedule`, or else the one in :attr:`assumed`.
        """
        with np.errstate(all="ignore"):
            gallons = np.divide(_GALLON, self.si("wall_consumption"))[()]  # m a gallon
        return units.quantity(
            gallons * units.unit("mi/gal").factor / units.unit("mi").factor, "m^-2", "mi/gal"
        )

    @property
    def wall_consumption(self) -> pint.Quantity[Floats]:
        """Energy from the outlet per distance, charging loss included, in kWh/100 km.

        What a label counts: `city_consumption` and `highway_consumption` of `chalkwatt.economy` want
        this one. The charging efficiency is as for :attr:`equivalent_economy`.
        """
        return shown("wall_consumption", self.si("wall_consumption"))

    @property
    def assumed(self) -> dict[str, float]:
        """What was taken for granted where nothing was given, by name, in SI units."""
        if "charging_efficiency" in self.values:
            return {}
        return {"charging_efficiency": ASSUMED_EFFICIENCY}

    @property
    def _charging_efficiency(self) -> Floats:
        given: Floats = {**self.assumed, **self.values}["charging_efficiency"]
        return given

    @property
    def notes(self) -> tuple[str, ...]:
        """What has to be said beside the numbers."""
        if not self.assumed:
            return ()
        share = with_unit(100 * ASSUMED_EFFICIENCY, "%", 2)
        said = (
            "What is counted at the outlet (wall_consumption, equivalent_economy) assumes that "
            f"{share} arrives in the battery ({LOSSES}); give charging_efficiency for another share."
        )
        return (said,)

    @cached_property
    def phases(self) -> dict[str, Trip]:
        """The phases of the schedule by name, each a trip of its own.

        What a phase gains or loses in speed is in its ``kinetic_energy``.
        """
        return {
            phase.name: Trip(
                self.schedule,
                self.values,
                {name: one[..., [place]] for name, one in self._by_phase.items()},
                self._shown,
                phase,
            )
            for place, phase in enumerate(self.schedule.phases)
        }

    @property
    def balance(self) -> dict[str, Floats]:
        """Where the battery's energy went, in kWh; the parts add up to ``battery_energy``.

        Returns
        -------
        dict of str to float or ndarray
            By words for the reader, in the order of a chain from the battery outwards.
        """
        parts = {
            "auxiliary load": "auxiliary_energy",
            "lost in the drive": "drive_loss",
            "air drag": "drag_energy",
            "rolling": "rolling_energy",
            "lost in braking": "braking_loss",
            "gained in speed": "kinetic_energy",
        }
        return {words: self.si(name) / 3.6e6 for words, name in parts.items()}

    @property
    def equations(self) -> Equations:
        """The governing equations, as ``.text``, ``.latex``, ``.mathml`` and ``.spoken``."""
        return self._shown

    @property
    def caution(self) -> str:
        """What to say beside the numbers."""
        return (
            "Figures for explanation. A schedule belongs on a test bench: on public roads, limits, "
            "traffic and weather decide how fast to drive."
        )

    @checked_call
    def figure(self, **options: Unpack[FigureOptions]) -> Figure:
        """Draw speed, power and where the energy went; see `chalkwatt.figures.trip.trip_figure`."""
        made: Figure = show(self, "figure", **options)
        return made

    def __repr__(self) -> str:
        """Show distance and consumption."""
        distance = said("trip_distance", float(np.ravel(self.si("distance"))[0]))
        consumption = np.asarray(self.consumption.magnitude)
        unit = look_up("consumption").display[0]
        if consumption.ndim:
            low, high = format_alike(
                [float(consumption.min()), float(consumption.max())], 4, keep_zeros=True
            )
            return (
                f"{self.name}: {distance}, consumption of {consumption.size} vehicles "
                f"{low} to {high} {unit}"
            )
        # To nobody in particular both are told.
        per_mile = with_unit(float(self.consumption_per_mile.magnitude), "Wh/mi")
        also = "" if current().units else f" ({per_mile})"
        return f"{self.name}: {distance}, consumption {with_unit(float(consumption), unit)}{also}"
