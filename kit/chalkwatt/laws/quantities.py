"""Quantities: the named physical things that relations connect.

One name has one meaning in every topic, sheet, board and page. The entries themselves stand in
:mod:`chalkwatt.laws.glossary`, one file a field of the trade.
"""

from __future__ import annotations

import difflib
import importlib
import math
import pkgutil
import re
from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING, TypeVar, overload

import numpy as np

from chalkwatt.errors import NameUnknownError, OutOfBoundsError, UnitError, told
from chalkwatt.laws.values import label_of, to_si
from chalkwatt.wording import units
from chalkwatt.wording.audience import current, is_foreign, ordered
from chalkwatt.wording.given import real
from chalkwatt.wording.numbers import significant_digits, with_unit

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    import pint
    from numpy.typing import NDArray

    from chalkwatt.wording.given import Floats, Given, Truths

Shown = TypeVar("Shown", bound="float | NDArray[np.float64]")

__all__ = [
    "Quantity",
    "constants",
    "digits_of",
    "glossary",
    "labels_for",
    "look_up",
    "named",
    "said",
    "shown",
    "unit_of",
    "unknown",
]

# What people ask for by name and is no quantity: left out, or done otherwise. Names without their underscores.
_ELSEWHERE = {
    re.compile(r"(cross|side|lateral)wind(speed)?|wind(direction|angle)|yaw(angle)?"): (
        "Wind across the road is left out: give the part of it along the road, as headwind."
    ),
    re.compile(r"(drive|driving|test)?(schedule|cycle)(name)?|wltp|wltc|udds|hwfet|nedc|ftp75"): (
        'A schedule is driven over time: cw.drive_schedule("wltc 3b", …) takes the values of the vehicle.'
    ),
}
_CONVERTED = 3  # digits at least, of a value that is read in another unit than it was given in
_ROOM = 0.5  # of the width of what is usual, by which a value beyond it is not yet far from it
_TIMES, _TIMES_IF_NOUGHT = 2.0, 4.0  # the same as a factor
_LONGEST_NAME = 80  # characters; a longer one is nobody's slip for a name of the glossary


@dataclass(frozen=True)
class Quantity:
    """A named physical thing.

    Parameters
    ----------
    name : str
        Long snake_case name in the trade's standard terms; also the keyword, sheet key and trait.
    symbol : str
        Base and, after an underscore, subscript: ``"C_d"``, ``"F_air"``, ``"η_drive"``.
    unit : str
        SI unit, empty for a plain number.
    offered : tuple of str
        Unit labels offered to people, the trade's own first; see `display`.
    bounds : tuple of two floats
        Physical bounds in SI units; infinite where there is none.
    usual : tuple of two floats
        The range met in practice, in SI units: the span of a slider, a band in a curve.
    sentence : str
        What it is, in one sentence.
    open_bounds : tuple of two bools
        Whether the bound itself is excluded.
    whole : bool
        True for a count.
    constant : float or None
        The value of a natural or conventional constant; a constant is always known.
    source : str
        Where the constant, or the usual range, comes from.
    less_is_better : bool
        Whether a claim of it is the bolder the smaller it is: a time that something takes, a
        consumption, a loss, a mass. A claim of it is then one of "at most".
    limited_by : str
        What sets the bounds where they are none of physics: a model that covers no more.
    said : str
        The name as people say it, where that is more than the name without its underscores:
        ``"maximum station power"``.
    """

    name: str
    symbol: str
    unit: str
    offered: tuple[str, ...]
    bounds: tuple[float, float]
    usual: tuple[float, float]
    sentence: str
    open_bounds: tuple[bool, bool] = (False, False)
    whole: bool = False
    constant: float | None = None
    source: str = ""
    less_is_better: bool = False
    limited_by: str = ""
    said: str = ""

    @property
    def display(self) -> tuple[str, ...]:
        """Unit labels as the audience is offered them; the first is the default.

        Examples
        --------
        >>> import chalkwatt as cw
        >>> from chalkwatt.laws.quantities import look_up
        >>> look_up("speed").display
        ('km/h', 'mph', 'm/s')
        >>> with cw.audience(units="us"):
        ...     look_up("speed").display
        ('mph', 'km/h', 'm/s')
        """
        return ordered(self.offered, current().units)

    @property
    def words(self) -> str:
        """The name as people say it.

        Examples
        --------
        >>> from chalkwatt.laws.quantities import look_up
        >>> look_up("drag_area").words, look_up("station_power_max").words
        ('drag area', 'maximum station power')
        """
        return self.said or self.name.replace("_", " ")

    @property
    def symbol_parts(self) -> tuple[str, str]:
        """Base and subscript of the symbol."""
        base, _, subscript = self.symbol.partition("_")
        return base, subscript

    @property
    def positive(self) -> bool:
        """Whether no physical value lies below zero."""
        return self.bounds[0] >= 0

    def read(self, value: Given) -> Floats:
        """Turn what a person gives into SI, and check it.

        Parameters
        ----------
        value : number, str, pint.Quantity, or an array or sequence of them
            Numbers are taken as SI; text carries its unit. A consumption may be given as a distance per
            energy (``"4 mi/kWh"``) and the other way round: the number is turned upside down.

        Returns
        -------
        float or ndarray
            The value in SI units.

        Raises
        ------
        UnitError
            If the unit cannot be read or measures something else; if it is no real number, or a
            masked one; or if a bare number was hardly meant in SI: a temperature below 100 K, or a
            C-rate above 36 per hour.
        OutOfBoundsError
            If the value, or one of them, lies outside the physical bounds.

        Examples
        --------
        >>> from chalkwatt.laws.quantities import look_up
        >>> look_up("usable_energy").read("38 kWh")
        136800000.0
        >>> look_up("consumption").read("4 mi/kWh") == look_up("consumption").read("25 kWh/100 mi")
        True
        >>> look_up("speed").read(["90 km/h", "100 km/h"]).round(2).tolist()
        [25.0, 27.78]
        """
        si = to_si(self, value)
        self.check(si)
        return si

    def read_one(self, value: Given) -> float:
        """Turn what a person gives into one number in SI, and check it; as :meth:`read`.

        Raises
        ------
        UnitError
            If it holds several numbers, too.
        """
        si = self.read(value)
        if not isinstance(si, float):
            raise UnitError(
                f"{self.name} = {told(value)} is a list, and one value is needed.",
                quantity=self.name,
                value=value,
                advice="Give a single number; for several, ask once for each.",
            )
        return si

    def read_bare(self, value: Given) -> float:
        """Turn a bare number into a float, whatever unit it is in; text and lists are refused.

        Raises
        ------
        UnitError
        """
        return float(real(value, self.name))

    def label_of(self, value: object) -> str | None:
        """Return the unit in which a person gave a value, as this quantity can be shown in it.

        Parameters
        ----------
        value : object
            As for :meth:`read`.

        Returns
        -------
        str or None
            None for a bare number. A consumption that was given as a distance per energy, and the
            other way round, is shown the right way up, in the same kind of distance.

        Examples
        --------
        >>> from chalkwatt.laws.quantities import look_up
        >>> look_up("consumption").label_of("4 mi/kWh"), look_up("speed").label_of(25.0)
        ('kWh/100 mi', None)
        """
        return label_of(self, value)

    def inside(self, si: Floats) -> Truths:
        """Say, elementwise, whether SI values lie within the physical bounds."""
        low, high = self.bounds
        above = np.greater(si, low) if self.open_bounds[0] else np.greater_equal(si, low)
        below = np.less(si, high) if self.open_bounds[1] else np.less_equal(si, high)
        return above & below

    def check(self, si: Floats) -> None:
        """Raise an error unless every SI value is finite and within the physical bounds."""
        numbers = np.asarray(si, dtype=float)
        if not np.isfinite(numbers).all():
            bad = float(numbers[~np.isfinite(numbers)].flat[0])
            raise OutOfBoundsError(
                f"{self.name} = {bad} is not a finite number.",
                quantity=self.name,
                value=bad,
                unit=self.display[0],
                advice="Give a number, or leave the quantity out.",
            )
        good = np.asarray(self.inside(numbers))
        if good.all():
            return
        bad = float(numbers[~good].flat[0])
        low = bad <= self.bounds[0]
        limit = self.bounds[0] if low else self.bounds[1]
        shown = self.in_unit(bad), self.in_unit(limit)
        open_bound = self.open_bounds[0] if low else self.open_bounds[1]
        word = ("above" if low else "below") if open_bound else ("at least" if low else "at most")
        label = f" {self.display[0]}" if self.display[0] else ""
        raise OutOfBoundsError(
            f"{self.name} = {shown[0]:.6g}{label} is outside "
            f"{f'what {self.limited_by} covers here' if self.limited_by else 'its physical bounds'}: "
            f"it must be {word} {shown[1]:.6g}{label}.",
            quantity=self.name,
            value=shown[0],
            unit=self.display[0],
            limit=shown[1],
            advice="Check the number and its unit.",
        )

    def far_from_usual(self, si: float, low: float = math.inf, high: float = -math.inf) -> bool:
        """Say whether a value lies so far from what is usual that nobody would think of it.

        That is below half the least usual value or above twice the greatest; of what may be nought,
        below a quarter. Where a usual end is nought, or the scale begins elsewhere, half the width of
        what is usual counts.

        Parameters
        ----------
        si : float
            In SI units.
        low, high : float
            What else counts as usual, such as the range that somebody states.

        Returns
        -------
        bool

        Examples
        --------
        >>> from chalkwatt.laws.quantities import look_up
        >>> look_up("cell_count").far_from_usual(27793.0)
        True
        >>> look_up("cell_count").far_from_usual(12000.0)
        False
        """
        low, high = min(low, self.usual[0]), max(high, self.usual[1])
        room = _ROOM * (high - low)
        scaled = self.unit != "K" and self.positive
        floor, ceiling = low - room, high + room
        if scaled:
            floor = min(low, max(low / (_TIMES if self.open_bounds[0] else _TIMES_IF_NOUGHT), 0.0))
            ceiling = _TIMES * high
        return not floor <= si <= ceiling

    @overload
    def in_unit(self, si: float, label: str | None = ...) -> float: ...
    @overload
    def in_unit(self, si: NDArray[np.float64], label: str | None = ...) -> NDArray[np.float64]: ...
    def in_unit(self, si: Floats, label: str | None = None) -> Floats:
        """Convert an SI number to a display unit (the first one by default).

        A distance per energy is a unit of an energy per distance, too, and the other way round: who
        uses no energy goes without limit.

        Examples
        --------
        >>> from chalkwatt.laws.quantities import look_up
        >>> float(look_up("stop_wheel_consumption").in_unit(0.0, "mi/kWh"))
        inf
        """
        if label and units.inverse(label, self.unit):
            with np.errstate(divide="ignore"):
                # Nought has a sign in a float, and none on a road.
                return np.divide(1.0, si * units.unit(label).factor + 0.0)[()]
        known = units.unit(self.display[0] if label is None else label)
        return (si - known.offset) / known.factor


@cache
def glossary() -> dict[str, Quantity]:
    """Return every quantity by name.

    Returns
    -------
    dict of str to Quantity

    Examples
    --------
    >>> from chalkwatt.laws.quantities import glossary
    >>> glossary()["drag_area"].unit
    'm^2'
    """
    package = importlib.import_module("chalkwatt.laws.glossary")
    entries: dict[str, Quantity] = {}
    for module in pkgutil.iter_modules(package.__path__):
        for entry in importlib.import_module(f"chalkwatt.laws.glossary.{module.name}").QUANTITIES:
            if entry.name in entries:
                message = f"two glossary entries are called {entry.name}"
                raise ValueError(message)
            entries[entry.name] = entry
    return entries


def look_up(name: str, among: Iterable[str] | None = None) -> Quantity:
    """Find a quantity by name.

    Parameters
    ----------
    name : str
    among : iterable of str, optional
        Only these names count, for example those of one topic.

    Returns
    -------
    Quantity

    Raises
    ------
    NameUnknownError
        If there is none of that name; the nearest names are suggested.

    Examples
    --------
    >>> from chalkwatt.laws.quantities import look_up
    >>> look_up("frontal_area").words
    'frontal area'
    """
    known = glossary()
    names = known.keys() if among is None else set(among)
    if named(name) not in names or name not in known:
        why, nearest = unknown(name, names)
        raise NameUnknownError(
            f"There is no quantity called {told(name)} here.{why}", nearest=nearest, quantity=name
        )
    return known[name]


def unknown(name: str, among: Iterable[str]) -> tuple[str, list[str]]:
    """Say what is done about something that is no quantity, or else which names are near.

    Parameters
    ----------
    name : str
    among : iterable of str
        Names that count.

    Returns
    -------
    tuple of str and list of str
        Words to follow a sentence, empty where there are none; and the nearest names, best first.

    Examples
    --------
    >>> from chalkwatt.laws.quantities import unknown
    >>> unknown("rang", ["mass", "range"])
    ('', ['range'])
    >>> unknown("crosswind", ["road_wind"])[0]
    ' Wind across the road is left out: give the part of it along the road, as headwind.'
    """
    plain = re.sub(r"[\W_]+", "", name[:_LONGEST_NAME]).lower()
    for asked, words in _ELSEWHERE.items():
        if asked.fullmatch(plain):
            return f" {words}", []
    return "", difflib.get_close_matches(name[:_LONGEST_NAME], sorted(among), n=3)


def named(name: object) -> str:
    """Return the name of a quantity; what is no text names nothing.

    Raises
    ------
    NameUnknownError
    """
    if not isinstance(name, str):
        raise NameUnknownError(
            f"{told(name)} is not the name of a quantity, which is text such as 'range'.",
            quantity=told(name),
        )
    return name


@cache
def constants() -> dict[str, float]:
    """Return the value of every constant of the glossary, in SI units."""
    return {
        name: entry.constant for name, entry in glossary().items() if entry.constant is not None
    }


def shown(name: str, si: Shown) -> pint.Quantity[Shown]:
    """Return SI numbers of a quantity as a pint quantity in the unit that the audience reads.

    Examples
    --------
    >>> import chalkwatt as cw
    >>> from chalkwatt.laws.quantities import shown
    >>> with cw.audience(units="us"):
    ...     f"{shown('trip_distance', 16_093.44):.1f~}"
    '10.0 mi'
    """
    entry = look_up(name)
    return units.quantity(si, entry.unit, entry.display[0])


def said(name: str, si: float, digits: int = 4) -> str:
    """Write an SI number of a quantity with the unit that the audience reads.

    Examples
    --------
    >>> from chalkwatt.laws.quantities import said
    >>> said("speed", 25.0), said("trip_distance", 16_093.44, 3)
    ('90.00 km/h', '16.1 km')
    """
    entry = look_up(name)
    return with_unit(float(entry.in_unit(si)), entry.display[0], digits)


def labels_for(names: Iterable[str], given: Mapping[str, str]) -> dict[str, str]:
    """Return the units in which the present audience is shown quantities, to be kept with a result.

    Who asks in miles is answered in miles, also when the answer is printed later.

    Parameters
    ----------
    names : iterable of str
        Of all that will be shown.
    given : mapping of str to str
        The units in which values were given; one that the audience does not read is left out.

    Returns
    -------
    dict of str to str
        Nothing but what was given, where nobody chose an audience.

    Examples
    --------
    >>> import chalkwatt as cw
    >>> from chalkwatt.laws.quantities import labels_for
    >>> with cw.audience(units="us"):
    ...     labels_for(("speed", "range", "wheel_power"), {"speed": "km/h", "wheel_power": "W"})
    {'wheel_power': 'W', 'speed': 'mph', 'range': 'mi'}
    """
    system = current().units
    if not system:
        return dict(given)
    made = {
        name: label
        for name, label in given.items()
        if not is_foreign(label, look_up(name).offered, system)
    }
    for name in names:
        entry = look_up(name)
        if name not in made and entry.display != entry.offered:
            made[name] = entry.display[0]
    return made


def unit_of(name: str, label: str = "", system: str | None = None) -> str:
    """Return the unit label in which to show a quantity.

    Parameters
    ----------
    name : str
    label : str
        The one that somebody used; our own spelling of it is preferred, and where the audience reads
        another one of the same thing, that one.
    system : str, optional
        Units of another audience than the present one; empty for nobody's, which are those of the label.

    Returns
    -------
    str

    Examples
    --------
    >>> import chalkwatt as cw
    >>> from chalkwatt.laws.quantities import unit_of
    >>> unit_of("speed", "m/s"), unit_of("mass", "lbs"), unit_of("range", "kWh")
    ('m/s', 'lb', 'km')
    >>> with cw.audience(units="us"):
    ...     unit_of("speed", "m/s"), unit_of("speed", "ft/s")
    ('mph', 'ft/s')
    """
    entry = look_up(name)
    system = current().units if system is None else system
    offered = ordered(entry.offered, system)
    if label and units.inverse(label, entry.unit):
        label = units.counterpart(label, entry.unit)
    if not label or not units.same_dimension(label, entry.unit):
        return offered[0]
    if is_foreign(label, entry.offered, system):
        return offered[0]
    if label in offered:
        return label
    known = units.unit(label)
    return next((one for one in offered if units.unit(one)[1:] == known[1:]), label)


def digits_of(name: str, si: float, label: str = "") -> int | None:
    """Return how many digits a given value keeps where the audience reads it in another unit.

    Parameters
    ----------
    name : str
    si : float
    label : str
        The unit in which it was given.

    Returns
    -------
    int or None
        As many as were given, and three at least; None where it is read as it was given.

    Examples
    --------
    >>> import chalkwatt as cw
    >>> from chalkwatt.laws.quantities import digits_of
    >>> digits_of("speed", 25.0, "km/h")
    >>> with cw.audience(units="us"):
    ...     digits_of("speed", 25.0, "km/h"), digits_of("mass", 1234.0, "kg")
    (3, 4)
    """
    given = unit_of(name, label, "")
    if unit_of(name, label) == given:
        return None
    return max(_CONVERTED, significant_digits(float(look_up(name).in_unit(si, given))))
