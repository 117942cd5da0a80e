"""For whom numbers are written: the units that they read, chosen once and asked everywhere.

A unit is of a system only where another one of the same thing is of another: a kilowatt is everybody's. So a
unit is told by the miles, feet, pounds and degrees in its label, and everything else is metric.

==========  =====================================================================================
``units``   first of the units that a quantity is offered in
==========  =====================================================================================
``""``      the first of its list, as the trade writes it: label economies in miles per kilowatt-hour
``metric``  one without miles, feet, pounds, gallons and degrees Fahrenheit
``us``      one with them
``uk``      one with miles, for distances, speeds and consumption; else a metric one
==========  =====================================================================================
"""

from __future__ import annotations

import re
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

from chalkwatt.errors import NameUnknownError, told

if TYPE_CHECKING:
    from collections.abc import Iterator

__all__ = ["SYSTEMS", "Audience", "audience", "current", "is_foreign", "ordered"]

SYSTEMS = ("metric", "us", "uk")

_CUSTOMARY = re.compile(r"(?<![A-Za-z])(?:mi|mph|ft|in|lb|lbf|gal)(?![A-Za-z])|°F")
_MILES = re.compile(r"(?<![A-Za-z])(?:mi|mph)(?![A-Za-z])")
_GALLONS = re.compile(r"(?<![A-Za-z])gal(?![A-Za-z])")  # those of the USA


@dataclass(frozen=True)
class Audience:
    """For whom numbers are written.

    Attributes
    ----------
    units : str
        ``"metric"``, ``"us"``, ``"uk"``, or empty where nobody chose.
    """

    units: str = ""

    def __post_init__(self) -> None:
        """Refuse units of which nothing is known.

        Raises
        ------
        NameUnknownError
        """
        if self.units not in {"", *SYSTEMS}:
            raise NameUnknownError(
                f"{told(self.units)} are no units of an audience; those are {', '.join(SYSTEMS)}.",
                value=self.units,
            )


_NOBODY = Audience()
_CHOSEN: ContextVar[Audience] = ContextVar("audience", default=_NOBODY)


def current() -> Audience:
    """Return the audience that is written for.

    Examples
    --------
    >>> from chalkwatt.wording.audience import audience, current
    >>> with audience(units="us"):
    ...     current().units
    'us'
    """
    return _CHOSEN.get()


@contextmanager
def audience(chosen: Audience | None = None, *, units: str | None = None) -> Iterator[Audience]:
    """Write for an audience: everything that is asked or made within is in its units.

    Parameters
    ----------
    chosen : Audience, optional
        One that was made before.
    units : str, optional
        ``"metric"``, ``"us"`` or ``"uk"``; empty for each quantity's own first unit.

    Yields
    ------
    Audience

    Raises
    ------
    NameUnknownError
        If the units are none of these.

    Examples
    --------
    >>> import chalkwatt as cw
    >>> with cw.audience(units="us"):
    ...     print(cw.load.find("range", **cw.load.example))
    range = 238.0 mi at a steady 62.1 mph on a level road, without wind or heater
    """
    made = chosen if chosen is not None else current()
    if units is not None:
        made = Audience(units)
    token = _CHOSEN.set(made)
    try:
        yield made
    finally:
        _CHOSEN.reset(token)


@lru_cache(4096)
def ordered(labels: tuple[str, ...], system: str) -> tuple[str, ...]:
    """Return unit labels in the order in which an audience is offered them.

    Examples
    --------
    >>> from chalkwatt.wording.audience import ordered
    >>> ordered(("km/h", "mph", "m/s"), "us"), ordered(("mi/kWh", "km/kWh"), "metric")
    (('mph', 'km/h', 'm/s'), ('km/kWh', 'mi/kWh'))
    """
    return tuple(sorted(labels, key=lambda one: _strange(one, system))) if system else labels


def _strange(label: str, system: str) -> int:
    """Return how far a unit is from a system."""
    customary = bool(_CUSTOMARY.search(label))
    if system == "us":
        return 0 if customary else 1
    if system == "uk" and _MILES.search(label) and not _GALLONS.search(label):
        return 0
    return 2 if customary else 1


def is_foreign(label: str, labels: tuple[str, ...], system: str) -> bool:
    """Say whether an audience reads another one of some units.

    Parameters
    ----------
    label : str
        The unit that somebody used.
    labels : tuple of str
        What the quantity is offered in.
    system : str
        Of the audience; nothing is foreign to nobody.

    Examples
    --------
    >>> from chalkwatt.wording.audience import is_foreign
    >>> is_foreign("km", ("km", "mi"), "us"), is_foreign("kW", ("kW", "W"), "us"), is_foreign("ft", ("m", "ft"), "uk")
    (True, False, True)
    """
    if not system:
        return False
    return _strange(label, system) > _strange(ordered(labels, system)[0], system)
