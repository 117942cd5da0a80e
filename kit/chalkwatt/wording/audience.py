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
from collections.abc import ValuesView
from contextlib import AbstractContextManager, contextmanager
from contextvars import ContextVar
from dataclasses import dataclass
from functools import cached_property, lru_cache, wraps
from types import FunctionType
from typing import TYPE_CHECKING, Any, Generic, ParamSpec, Protocol, TypeVar, overload

from chalkwatt.calls import checked_call
from chalkwatt.errors import CallError, NameUnknownError, told

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator, Sequence

P = ParamSpec("P")
R = TypeVar("R")
T = TypeVar("T")

__all__ = [
    "SYSTEMS",
    "Audience",
    "addressed",
    "audience",
    "current",
    "for_whom_it_was_made",
    "is_foreign",
    "ordered",
    "per_audience",
    "system_of",
]

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


@checked_call
def audience(
    chosen: Audience | None = None, *, units: str | None = None
) -> AbstractContextManager[Audience]:
    """Write for an audience: everything that is asked or made within is in its units.

    Parameters
    ----------
    chosen : Audience, optional
        One that was made before.
    units : str, optional
        ``"metric"``, ``"us"`` or ``"uk"``; empty for each quantity's own first unit.

    Returns
    -------
    context manager
        It gives the audience.

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
    if not isinstance(made, Audience):
        raise CallError(
            f"{told(made)} is no audience.", value=made, advice='Name its units, as units="us".'
        )
    return _spoken_to(made if units is None else Audience(units))


@contextmanager
def _spoken_to(chosen: Audience) -> Iterator[Audience]:
    token = _CHOSEN.set(chosen)
    try:
        yield chosen
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


def addressed(kind: type[T]) -> type[T]:
    """Have the objects of a class speak to whom they were made for, unless somebody else is spoken to.

    Who judges a claim in miles and prints the verdict later reads miles.

    Parameters
    ----------
    kind : type
        Its objects have an ``audience``.

    Returns
    -------
    type
        The same: its properties and methods, but for Python's own other than those that show it.
    """
    for name, member in list(vars(kind).items()):
        made: property | cached_property[Any] | per_audience[Any] | Callable[..., Any] | None = None
        if isinstance(member, property) and member.fget is not None:
            made = property(for_whom_it_was_made(member.fget), doc=member.__doc__)
        elif isinstance(member, cached_property):
            made = cached_property(for_whom_it_was_made(member.func))
        elif isinstance(member, per_audience):
            made = per_audience(for_whom_it_was_made(member.function))
        elif isinstance(member, FunctionType) and (name[:2] != "__" or name in _SHOWING):
            made = for_whom_it_was_made(member)
        if made is not None:
            if isinstance(made, cached_property | per_audience):
                made.__set_name__(kind, name)
            setattr(kind, name, made)
    return kind


_SHOWING = frozenset({"__repr__", "__str__", "__format__"})


def for_whom_it_was_made(function: Callable[P, R]) -> Callable[P, R]:
    """Have a function speak to whom what it is given was made for, unless somebody else is spoken to.

    Parameters
    ----------
    function : callable
        What it is given may have an ``audience``, or be a list or a mapping of such things; the first counts.

    Returns
    -------
    callable
        The same.
    """

    @wraps(function)
    def speaking(*given: P.args, **named: P.kwargs) -> R:
        chosen = _NOBODY if current().units else _made_for((*given, *named.values()))
        if not chosen.units:
            return function(*given, **named)
        with audience(chosen):
            return function(*given, **named)

    return speaking


def system_of(written: Sequence[tuple[str, tuple[str, ...]]]) -> str:
    """Tell the system in which somebody writes.

    Parameters
    ----------
    written : sequence of (str, tuple of str)
        Units that were used, each with those in which the quantity is offered.

    Returns
    -------
    str
        ``"us"`` or ``"uk"`` where more of them are of it than metric ones; else empty.

    Examples
    --------
    >>> from chalkwatt.wording.audience import system_of
    >>> speed, mass = ("km/h", "mph"), ("kg", "lb")
    >>> system_of([("mph", speed), ("lb", mass)]), system_of([("mph", speed), ("kg", mass)])
    ('us', 'uk')
    >>> system_of([("km/h", speed), ("lb", mass), ("kg", mass)])
    ''
    """
    strange = {
        system: sum(is_foreign(label, labels, system) for label, labels in written)
        for system in SYSTEMS
    }
    best = min(("metric", "uk", "us"), key=strange.__getitem__)
    return "" if best == "metric" else best


def _made_for(given: Iterable[object]) -> Audience:
    """Return the first audience of several things."""
    for one in given:
        if isinstance(chosen := getattr(one, "audience", None), Audience):
            return chosen
        several = one.values() if isinstance(one, dict) else one
        for part in several if isinstance(several, ValuesView | list | tuple) else ():
            if isinstance(chosen := getattr(part, "audience", None), Audience):
                return chosen
    return _NOBODY


class _Addressed(Protocol):
    """What knows for whom it was made."""

    audience: Audience


class per_audience(Generic[R]):  # noqa: N801  as cached_property, whose place it takes
    """A property that is worked out once for each audience, since it holds words.

    Parameters
    ----------
    function : callable
        Of the object.
    """

    def __init__(self, function: Callable[[Any], R]) -> None:
        self.function = function
        self.__doc__ = function.__doc__
        self._place = ""

    def __set_name__(self, _: type, name: str) -> None:
        self._place = f"_{name}_per_audience"

    @overload
    def __get__(self, owner: None, kind: type) -> per_audience[R]: ...
    @overload
    def __get__(self, owner: _Addressed, kind: type) -> R: ...
    def __get__(self, owner: _Addressed | None, kind: type) -> R | per_audience[R]:
        """Return what holds for the present audience, or the one that the object was made for."""
        if owner is None:
            return self
        made: dict[Audience, R] = owner.__dict__.setdefault(self._place, {})
        listening = current() if current().units else owner.audience
        if listening not in made:
            made[listening] = self.function(owner)
        return made[listening]
