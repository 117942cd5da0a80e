"""The vehicle of a standing start: which force it can have at which speed, and what limits it."""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from chalkwatt.errors import ChalkwattError, NoSolutionError, TooLittleKnownError

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

__all__ = ["StartVehicle"]

_AXLES = {"rear": 1.0, "front": -1.0, "all": 0.0}
_GEOMETRY = ("wheelbase", "centre_of_gravity_height")
_TORQUE = ("motor_torque", "gear_ratio", "wheel_radius")
_FASTEST = 1e6  # m/s; where the search for a top speed ends


@dataclass(frozen=True)
class StartVehicle:
    """A vehicle in SI units, and its forces.

    Parameters
    ----------
    values : mapping of str to float
        By the names of the quantities; those that are not there limit nothing.
    axle : str or None
        Which wheels are driven: ``"rear"``, ``"front"``, ``"all"``, or None where nothing is said.
    """

    values: Mapping[str, float]
    axle: str | None = None

    def __post_init__(self) -> None:
        """Check that what belongs together is there."""
        if self.axle is not None and self.axle not in _AXLES:
            raise ChalkwattError(
                f"driven_axle = {self.axle!r} is no axle.",
                quantity="driven_axle",
                value=self.axle,
                advice=f"Use {', '.join(_AXLES)}, or leave it out.",
            )
        for together in (_GEOMETRY, _TORQUE):
            there = [name for name in together if name in self.values]
            if there and len(there) < len(together):
                self._lacks([name for name in together if name not in there], " and ".join(there))
        if _GEOMETRY[0] in self.values and self.axle is None:
            self._lacks(["driven_axle"], "load transfer (rear, front or all)")
        if "friction" in self.values and "driven_weight_share" not in self.values:
            self._lacks(["driven_weight_share"], "the limit of the tyres")
        if "friction" not in self.values and "motor_torque" not in self.values:
            self._lacks(["friction"], "a start; at rest a power alone allows any force")
        battery = [name for name in self.values if name.startswith("pack_")]
        if battery:
            lacking = [one for one in ("pack_voltage", "pack_resistance") if one not in battery]
            if lacking:
                self._lacks(lacking, "the limit of the battery")

    @staticmethod
    def _lacks(names: list[str], purpose: str) -> None:
        raise TooLittleKnownError(
            f"{' and '.join(names)} must be known for {purpose}.",
            quantity=names[0],
            unlocks=names,
            advice=f"Give {', '.join(names)}.",
        )

    def changed(self, **values: float) -> StartVehicle:
        """Return the vehicle with some quantities changed."""
        return StartVehicle({**self.values, **values}, self.axle)

    # What resists ---------------------------------------------------------------------------------
    @cached_property
    def effective_mass(self) -> float:
        """Mass that resists acceleration, turning parts included."""
        return self.values["rotating_mass_factor"] * self.values["mass"]

    @cached_property
    def rolling_force(self) -> float:
        """Rolling resistance on a level road, in newtons."""
        car = self.values
        return car["rolling_coefficient"] * car["mass"] * car["gravity"]

    @cached_property
    def air_factor(self) -> float:
        """Air drag per square of speed."""
        return 0.5 * self.values["air_density"] * self.values["drag_area"]

    def resistance(self, speed: float) -> float:
        """Drag and rolling together."""
        return self.rolling_force + self.air_factor * speed * speed

    # What drives ----------------------------------------------------------------------------------
    @cached_property
    def battery_current(self) -> tuple[float, str]:
        """Largest current of the battery, and what sets it."""
        car = self.values
        voltage, resistance = car["pack_voltage"], car["pack_resistance"]
        # Beyond half the voltage more current brings less power.
        found = [(voltage / (2 * resistance) if resistance else math.inf, "battery's resistance")]
        if "pack_current_max" in car:
            found.append((car["pack_current_max"], "battery's current"))
        if "pack_voltage_min" in car:
            least = (
                (voltage - car["pack_voltage_min"]) / resistance if resistance else math.inf,
                "battery's lowest voltage",
            )
            found.append(least)
        return min(found)

    @cached_property
    def motor_limit(self) -> tuple[float, str]:
        """Largest power of the motor, as the battery allows it, and what sets it."""
        car = self.values
        found = [(car.get("motor_power", math.inf), "motor's power")]
        if "pack_voltage" in car:
            current, words = self.battery_current
            power = math.inf
            if math.isfinite(current):
                power = (car["pack_voltage"] - current * car["pack_resistance"]) * current
            if power <= car["auxiliary_power"]:
                raise NoSolutionError(
                    "The battery gives no more than the auxiliary load takes.",
                    quantity="auxiliary_power",
                    value=car["auxiliary_power"],
                    unit="W",
                    limit=power,
                    advice="Lower auxiliary_power, or allow the battery more current.",
                )
            found.append((power - car["auxiliary_power"], words))
        power, words = min(found)
        if not math.isfinite(power):
            self._lacks(["motor_power"], "the limit of power")
        return power, words

    @cached_property
    def wheel_power(self) -> float:
        """Largest power at the wheels, in watts."""
        return self.values["drive_efficiency"] * self.motor_limit[0]

    @cached_property
    def load_transfer(self) -> float:
        """Force added on the driven wheels per force that accelerates."""
        if _GEOMETRY[0] not in self.values:
            return 0.0
        ratio = self.values["centre_of_gravity_height"] / self.values["wheelbase"]
        return _AXLES[self.axle or "all"] * ratio

    @cached_property
    def limits(self) -> dict[str, Callable[[float], float]]:
        """Every limit in words, with the force that it allows at a speed."""
        car = self.values
        made: dict[str, Callable[[float], float]] = {}
        if "friction" in car:
            made |= self._tyres()
        if "motor_torque" in car:
            force = car["motor_torque"] * car["gear_ratio"] / car["wheel_radius"]
            made["motor's torque"] = lambda _speed: force
        power, words = self.wheel_power, self.motor_limit[1]
        made[words] = lambda speed: power / speed if speed > 0 else math.inf
        if "taper_speed" in car:
            taper = power * car["taper_speed"]
            made["tapering power"] = lambda speed: (
                taper / (speed * speed) if speed > 0 else math.inf
            )
        return made

    def _tyres(self) -> dict[str, Callable[[float], float]]:
        car = self.values
        friction, share = car["friction"], car["driven_weight_share"]
        mass, gravity, transfer = car["mass"], car["gravity"], self.load_transfer
        weight = mass * gravity
        # F = µ (w m g + κ m a) with a = (F − R) / m_eff, solved for F.
        gain = 1 - friction * transfer / car["rotating_mass_factor"]
        made: dict[str, Callable[[float], float]] = {}
        if gain > 0:
            moved = transfer / car["rotating_mass_factor"]

            def tyres(speed: float) -> float:
                return friction * (share * weight - moved * self.resistance(speed)) / gain

            made["tyres"] = tyres
        if transfer > 0:
            lifting = self.effective_mass * (1 - share) * gravity / transfer
            made["lifting front wheels"] = lambda speed: lifting + self.resistance(speed)
        return made

    def limit(self, speed: float) -> tuple[float, str]:
        """Return the force that drives at a speed, and what limits it."""
        return min((force(speed), words) for words, force in self.limits.items())

    def acceleration(self, speed: float) -> float:
        """Return the gain of speed per time at a speed."""
        return (self.limit(speed)[0] - self.resistance(speed)) / self.effective_mass

    @cached_property
    def top_speed(self) -> float:
        """Speed at which nothing is left to accelerate; infinite where nothing resists."""
        from scipy.optimize import brentq

        if self.acceleration(0.0) <= 0:
            force, words = self.limit(0.0)
            raise NoSolutionError(
                f"The vehicle does not move: {words} allow {force:.4g} N, "
                f"and rolling takes {self.rolling_force:.4g} N.",
                value=force,
                unit="N",
                limit=self.rolling_force,
                advice="Raise friction, motor_torque or driven_weight_share, or lower mass.",
            )
        low = 0.0
        for step in range(-8, 100):
            high = 1.3 ** (step + 8) * 0.1
            if high > _FASTEST:
                return math.inf
            if self.acceleration(high) <= 0:
                return float(brentq(self.acceleration, low, high, xtol=1e-12, rtol=1e-14))
            low = high
        return math.inf

    @cached_property
    def switches(self) -> tuple[float, ...]:
        """Speeds below top speed at which another limit takes over, in rising order."""
        from scipy.optimize import brentq

        highest = min(self.top_speed, _FASTEST)
        steps = 120
        speeds = [highest * (step / steps) ** 2 for step in range(steps + 1)]
        found = []
        for low, high in itertools.pairwise(speeds):
            first, second = self.limit(low)[1], self.limit(high)[1]
            if first != second:
                one, other = self.limits[first], self.limits[second]

                def apart(
                    speed: float,
                    one: Callable[[float], float] = one,
                    other: Callable[[float], float] = other,
                ) -> float:
                    return min(one(speed), 1e300) - min(other(speed), 1e300)

                found.append(float(brentq(apart, low, high, xtol=1e-13, rtol=1e-14)))
        return tuple(one for one in found if 0 < one < highest)
