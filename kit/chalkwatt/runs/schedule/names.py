"""Schedules by name, wherever one may be given as text."""

from __future__ import annotations

import difflib
import re
from functools import cache

from chalkwatt.calls import checked_call
from chalkwatt.errors import NameUnknownError
from chalkwatt.runs.schedule.schedule import Schedule
from chalkwatt.runs.schedule.wltc import CLASSES, wltc

__all__ = ["as_schedule", "named", "names"]

# Their traces are not part of the package; a file is read and held against the known totals.
_FROM_A_FILE = ("UDDS", "HWFET", "US06", "FTP-75", "JC08")


@checked_call
def names() -> tuple[str, ...]:
    """List the schedules that can be asked for by name.

    Returns
    -------
    tuple of str

    Examples
    --------
    >>> import chalkwatt as cw
    >>> cw.schedules.names()
    ('ECE-15', 'EUDC', 'NEDC', 'WLTC 1', 'WLTC 2', 'WLTC 3a', 'WLTC 3b')
    """
    return ("ECE-15", "EUDC", "NEDC", *(f"WLTC {one}" for one in CLASSES))


@checked_call
def named(name: str) -> Schedule:
    """Return the schedule of a name.

    Parameters
    ----------
    name : str
        One of `names`, in small or capital letters; after it may stand a phase, or ``city`` for
        the low and medium phases of a WLTC.

    Returns
    -------
    Schedule

    Raises
    ------
    NameUnknownError
        If there is no such schedule or phase; it says what there is.

    Examples
    --------
    >>> import chalkwatt as cw
    >>> cw.schedules.named("wltc 3b")
    <schedule WLTC 3b: 1800 s, 23.27 km, mean 46.53 km/h, top 131.3 km/h>
    >>> cw.schedules.named("WLTC 3b extra high")
    <schedule WLTC 3b extra high: 323.0 s, 8.254 km, mean 92.00 km/h, top 131.3 km/h>
    """
    asked = _key(name)
    for known, key in sorted(_keys().items(), key=lambda one: -len(one[1])):
        if asked == key:
            return _schedule(known)
        if asked.startswith(key):
            return _phase(_schedule(known), asked.removeprefix(key), name)
    raise _unknown(name, asked)


def as_schedule(given: object) -> Schedule:
    """Return a schedule as it is, or that of a name.

    Parameters
    ----------
    given : Schedule or str

    Returns
    -------
    Schedule

    Raises
    ------
    NameUnknownError
        If it is neither.

    Examples
    --------
    >>> from chalkwatt.runs.schedule.names import as_schedule
    >>> as_schedule("nedc").name
    'NEDC'
    """
    if isinstance(given, Schedule):
        return given
    if isinstance(given, str):
        return named(given)
    if given is wltc:
        raise NameUnknownError(
            "cw.schedules.wltc alone does not say of which class.",
            nearest=[f'cw.schedules.wltc("{one}")' for one in CLASSES],
        )
    raise NameUnknownError(
        f"{given!r} is not a schedule.",
        nearest=("cw.schedules.nedc", "cw.schedules.read(path)", "cw.schedules.ramps(...)"),
    )


def _key(name: str) -> str:
    """Bring a name down to what tells it apart: WLTC class 3b, wltc-3b and WLTC3B are one."""
    plain = re.sub(r"[^a-z0-9]", "", name.lower())
    return re.sub(r"^wltp", "wltc", plain).replace("wltcclass", "wltc")


@cache
def _keys() -> dict[str, str]:
    return {name: _key(name) for name in names()}


def _schedule(known: str) -> Schedule:
    from chalkwatt.runs.schedule import schedules  # noqa: PLC0415  they ask this page

    kind, _, vehicle_class = known.partition(" ")
    if kind == "WLTC":
        return wltc(vehicle_class)
    made: Schedule = getattr(schedules, known.lower().replace("-", "_"))
    return made


def _phase(whole: Schedule, asked: str, name: str) -> Schedule:
    city = getattr(whole, "city", None)
    if asked == "city" and isinstance(city, Schedule):
        return city
    for part in whole.phases:
        if _key(part.name) == asked:
            return Schedule(
                f"{whole.name} {part.name}", part.times, part.speeds, source=whole.source
            )
    others = ["city"] if city is not None else []
    raise NameUnknownError(
        f"{name!r} is no part of {whole.name}; it has {', '.join([*whole.phases.names, *others])}.",
        value=name,
    )


def _unknown(name: str, asked: str) -> NameUnknownError:
    if asked.startswith("wltc"):
        return NameUnknownError(
            f"{name!r} does not say of which class.", nearest=names()[3:], value=name
        )
    for one in _FROM_A_FILE:
        if asked == _key(one):
            return NameUnknownError(
                f"The trace of the {one} is not part of the package; read the published file with "
                f'cw.schedules.read(path, claims="{one}"), which holds it against the known totals.',
                value=name,
            )
    nearest = difflib.get_close_matches(asked, list(_keys().values()), n=2)
    words = {key: one for one, key in _keys().items()}
    return NameUnknownError(
        f"There is no schedule called {name!r}. There are {', '.join(names())}.",
        nearest=[words[one] for one in nearest],
        value=name,
    )
