"""A vehicle in the sun: what its roof brings, parked and on the move, by the relations of `sun`."""

from __future__ import annotations

from dataclasses import fields, replace
from typing import TYPE_CHECKING, Any

import numpy as np

from chalkwatt.algebra.numpy_tree import compile_tree
from chalkwatt.answering.driven import how_driven, on_the_road
from chalkwatt.errors import ChalkwattError, OutOfBoundsError, TooMuchKnownError
from chalkwatt.laws.quantities import look_up
from chalkwatt.runs.compiled import rate_of, right_of, solution_of
from chalkwatt.runs.sun.equations import STANDING, equations
from chalkwatt.topics.load import load

if TYPE_CHECKING:
    from collections.abc import Mapping

    from numpy.typing import NDArray

    from chalkwatt.runs.equations import Equations
    from chalkwatt.runs.sun.roofs import Roof
    from chalkwatt.runs.sun.sky import Sky
    from chalkwatt.wording.given import Floats

__all__ = ["PANEL", "VEHICLE", "SolarVehicle"]

PANEL = (
    "panel_area",
    "panel_efficiency",
    "rated_power",
    "temperature_coefficient",
    "conversion_efficiency",
)
VEHICLE = (
    "mass",
    "drag_area",
    "rolling_coefficient",
    "drive_efficiency",
    "auxiliary_power",
    "air_density",
    "speed",
)
_CAR = ("mass", "drag_area", "rolling_coefficient", "drive_efficiency")
_STANDARD_IRRADIANCE = 1000.0  # W/m²; IEC 61215
_SETTLED = 1e-9  # m/s between two turns of speed and panel temperature
_TURNS = 60


class SolarVehicle:
    """A panel, and if it is given a vehicle under it.

    Parameters
    ----------
    known : mapping of str to number, str or pint quantity
        Quantities named in `PANEL` and `VEHICLE`.
    roof : Roof
    heading : float
        Direction of travel, in degrees clockwise from north.
    alone : bool
        Whether driving on sun alone is asked, too.
    laws : Equations, optional
        What is computed instead of `solar_equations.equations`.

    Raises
    ------
    NameUnknownError, UnitError, OutOfBoundsError
        If a name, unit or value does not fit.
    ChalkwattError
        If the panel is not determined.
    """

    def __init__(
        self,
        known: Mapping[str, Any],
        roof: Roof,
        heading: float,
        *,
        alone: bool = True,
        laws: Equations | None = None,
    ) -> None:
        values = {
            name: look_up(name, (*PANEL, *VEHICLE)).read_one(value) for name, value in known.items()
        }
        self.roof = roof
        self.heading = heading
        self.panel = self._panel(values)
        self.vehicle = {name: values[name] for name in VEHICLE if name in values}
        self.equations = laws or equations(frozenset({*self.panel, *self.vehicle}), alone=alone)

    @staticmethod
    def _panel(values: Mapping[str, float]) -> dict[str, float]:
        """Return area and efficiency of the panel, or its rated power, and what heat takes."""
        rated = values.get("rated_power")
        both = {"panel_area", "panel_efficiency"} <= values.keys()
        if rated is None and not both:
            raise ChalkwattError(
                "The panel is not determined.",
                quantity="rated_power",
                advice="Give rated_power, or panel_area and panel_efficiency.",
            )
        if rated is not None and both:
            made = _STANDARD_IRRADIANCE * values["panel_area"] * values["panel_efficiency"]
            if abs(made - rated) > 1e-9 * rated:
                raise TooMuchKnownError(
                    f"This area and efficiency are rated {made:.4g} W, not {rated:.4g} W.",
                    quantity="rated_power",
                    value=rated,
                    unit="W",
                    limit=made,
                    involved=("rated_power", "panel_area", "panel_efficiency"),
                    advice="Leave one of them out.",
                )
        of_size = ("panel_area", "panel_efficiency") if both else ("rated_power",)
        of_heat = ("temperature_coefficient", "conversion_efficiency")
        return {name: values[name] for name in (*of_size, *of_heat) if name in values}

    def _solved(self, wanted: str, **given: Floats) -> Floats:
        """Solve the lines for a quantity."""
        find = solution_of(self.equations, wanted, tuple(given), STANDING)
        return find(**{name: given[name] for name in find.plan.known})

    def rate(self, quantity: str, **given: Floats) -> Floats:
        """Return how fast energy or distance grows, by its line."""
        return compile_tree(rate_of(self.equations, quantity))(given)

    def distance(self, energy: Floats) -> Floats:
        """Return how far stored energy goes at the given speed, in metres."""
        here = {"daily_solar_energy": energy, "consumption": self.consumption()}
        return compile_tree(right_of(self.equations, "solar_distance"))(here)

    def power(self, sky: Sky, speed: Floats = 0.0) -> NDArray[np.float64]:
        """Return what the roof brings at every step, in watts.

        Parameters
        ----------
        sky : Sky
        speed : float or ndarray
            Of the vehicle in m/s; with the wind from the side it cools the panel.

        Returns
        -------
        ndarray
        """
        wind = np.hypot(sky.wind_speed, speed)
        total = np.zeros(len(sky.times))
        for share, light in self.roof.irradiances(sky, self.heading):
            made = self._solved(
                "solar_power",
                irradiance=light,
                air_temperature=sky.air_temperature,
                panel_wind=wind,
                **self.panel,
            )
            total += share * made
        return total

    def temperature(self, sky: Sky, speed: Floats = 0.0) -> NDArray[np.float64]:
        """Return the temperature of the cells, averaged over the roof, in kelvin."""
        wind = np.hypot(sky.wind_speed, speed)
        light = self.roof.mean_irradiance(sky, self.heading)
        return np.asarray(
            self._solved(
                "panel_temperature",
                irradiance=light,
                air_temperature=sky.air_temperature,
                panel_wind=wind,
            )
        )

    def _needed(self, *names: str) -> dict[str, float]:
        missing = [name for name in names if name not in self.vehicle]
        if missing:
            raise ChalkwattError(
                f"Speed and distance need the vehicle: {', '.join(missing)} "
                f"{'is' if len(missing) == 1 else 'are'} missing.",
                quantity=missing[0],
                advice="Give mass, drag_area, rolling_coefficient and drive_efficiency too.",
            )
        optional = ("auxiliary_power", "air_density")
        found = {name: self.vehicle[name] for name in names}
        found |= {name: self.vehicle[name] for name in optional if name in self.vehicle}
        found.setdefault("auxiliary_power", 0.0)
        if "air_density" not in found:
            found["air_density"] = float(load.find("air_density").si)  # the standard atmosphere
        return found

    def speed(self, sky: Sky) -> NDArray[np.float64]:
        """Return the speed that the roof alone holds at every step, in m/s.

        Speed cools the panel, and a cooler panel gives more speed: both are found together.

        Parameters
        ----------
        sky : Sky

        Returns
        -------
        ndarray

        Raises
        ------
        ChalkwattError
            If the vehicle is not given.
        """
        car = self._needed(*_CAR)
        lit = sky.horizontal > 0
        bright = _only(sky, lit)
        speed = np.zeros(int(lit.sum()))
        for _ in range(_TURNS):
            before = speed
            power = self.power(bright, speed)
            speed = np.asarray(self._solved("equilibrium_speed", solar_power=power, **car))
            if np.abs(speed - before).max(initial=0.0) < _SETTLED:
                break
        made = np.zeros(len(sky.times))
        made[lit] = speed
        return made

    @property
    def driven(self) -> str:
        """For which drive a distance at the given speed holds, with a space before it."""
        return how_driven(load.solve("consumption", self._needed(*_CAR, "speed")))

    @property
    def driven_alone(self) -> str:
        """For which road and load a speed or distance on sun alone holds, with a space before it."""
        return on_the_road(load.solve("consumption", {"speed": 1.0, **self._needed(*_CAR)}))

    def consumption(self) -> float:
        """Return the energy per distance at the given speed, in J/m.

        Raises
        ------
        ChalkwattError
            If the vehicle or its speed is not given.
        """
        car = self._needed(*_CAR, "speed")
        if not car["speed"] > 0:
            raise OutOfBoundsError(
                "A distance needs a speed above nought.",
                quantity="speed",
                value=car["speed"],
                unit="m/s",
                limit=0.0,
                advice="Give the speed at which the day's energy is driven.",
            )
        return float(self._solved("consumption", **car))


def _only(sky: Sky, chosen: NDArray[np.bool_]) -> Sky:
    """Return the chosen steps of a sky; nights need no solving."""
    arrays = {
        one.name: getattr(sky, one.name)[chosen]
        for one in fields(sky)
        if isinstance(getattr(sky, one.name), np.ndarray)
    }
    return replace(sky, **arrays)
