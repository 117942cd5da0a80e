"""Totals of published schedules, and whether a file is what it says it is.

Totals are those of the agencies' own files and pages, in the units in which they are printed, and a
trace has them if it is as close as their digits say. Kilometres of the US schedules that are printed
elsewhere are not used: 12.07 km of the UDDS are 7.5 miles, a rounded 7.45, and 16.45 km of the HWFET
stand beside 10.26 miles, which are 16.51 km. Neither is its own mean speed times its duration.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from chalkwatt.calls import checked_call
from chalkwatt.errors import NameUnknownError
from chalkwatt.runs.schedule.names import as_schedule, named
from chalkwatt.runs.schedule.wltc import CLASSES
from chalkwatt.wording.numbers import with_unit

if TYPE_CHECKING:
    from chalkwatt.runs.schedule.schedule import Schedule

__all__ = ["TOTALS", "Comparison", "claimed", "compare"]

_PAGES = "secondary pages, quoting the US EPA"
_SLACK = 1e-9  # relative; what converting units may leave


class Totals(NamedTuple):
    """Printed totals: duration in seconds, distance and top speed with their units."""

    duration: str
    distance: str
    top_speed: str
    source: str


TOTALS = {
    "UDDS": Totals("1369", "7.45 mi", "56.7 mph", _PAGES),
    "HWFET": Totals("765", "10.26 mi", "", _PAGES),
    "FTP-75": Totals("1874", "11.04 mi", "56.7 mph", _PAGES),
    "US06": Totals("596", "8.01 mi", "80.3 mph", "memory; the distance as for the others"),
    "JC08": Totals("1204", "8.171 km", "81.6 km/h", "a secondary page"),
}
_OURS = ("NEDC", "EUDC", "ECE-15", *(f"WLTC {one}" for one in CLASSES))
# How the names are written in files; the agency's files end in "col", for "columns".
_WRITTEN = {
    "UDDS": r"udds(?:col)?|la-?4|ftp-?72",
    "HWFET": r"hwfet(?:col)?|hwycol|hfet",
    "FTP-75": r"ftp-?75|ftp(?:col)?",
    "US06": r"us-?06(?:col)?",
    "JC08": r"jc-?08",
    "NEDC": r"nedc",
    "EUDC": r"eudc",
    "ECE-15": r"ece-?15",
    **{f"WLTC {one}": rf"wlt[cp][ _-]*(?:class|cl|c)?[ _-]*{one}" for one in CLASSES},
    "WLTC": r"wlt[cp]",  # of whichever class
}


@dataclass(frozen=True)
class Comparison:
    """Whether a schedule has the totals of a known one.

    Attributes
    ----------
    known : str
        The schedule that it is held against.
    holds : bool
    text : str
        In a sentence, with the totals that differ.
    """

    known: str
    holds: bool
    text: str

    def __repr__(self) -> str:
        """Show the sentence."""
        return self.text


def claimed(name: str) -> str | None:
    """Return the known schedule that a name speaks of, if it speaks of one.

    Parameters
    ----------
    name : str
        Of a file or a schedule.

    Returns
    -------
    str or None

    Examples
    --------
    >>> from chalkwatt.runs.schedule.totals import claimed
    >>> claimed("uddscol"), claimed("wltc_class3b_2021"), claimed("way to school")
    ('UDDS', 'WLTC 3b', None)
    """
    for known, written in _WRITTEN.items():
        if re.search(rf"(?<![a-z0-9])(?:{written})(?![a-z0-9])", name, re.IGNORECASE):
            return known
    return None


@checked_call
def compare(schedule: Schedule | str, known: str) -> Comparison:
    """Hold a schedule against the known totals of another, such as a file against the UDDS.

    Parameters
    ----------
    schedule : Schedule or str
    known : str
        ``"UDDS"``, ``"HWFET"``, ``"FTP-75"``, ``"US06"``, ``"JC08"``, or a schedule that the package
        has, such as ``"WLTC 3b"``: that one is compared second by second, too.

    Returns
    -------
    Comparison
        ``holds`` says whether all are met, ``text`` which are not.

    Raises
    ------
    NameUnknownError
        If no totals of that name are known.

    Examples
    --------
    >>> import chalkwatt as cw
    >>> cw.schedules.compare(cw.schedules.wltc("3b"), "WLTC 3b")
    It has the speeds of the WLTC 3b, point by point.
    >>> cw.schedules.compare(cw.schedules.wltc("3a"), "WLTC 3b").holds
    False
    """
    name = claimed(known)
    if name is None:
        raise NameUnknownError(
            f"No totals of {known!r} are known; there are {', '.join([*TOTALS, *_OURS])}.",
            value=known,
        )
    made = as_schedule(schedule)
    if name in TOTALS:
        return _with_printed(made, name)
    if name in _OURS:
        return _with_ours(made, name)
    every = [_with_ours(made, f"WLTC {one}") for one in CLASSES]
    none = Comparison(name, holds=False, text="It is not the WLTC of any class.")
    return next((one for one in every if one.holds), none)


def _with_printed(schedule: Schedule, name: str) -> Comparison:
    printed = TOTALS[name]
    told = ", ".join(
        one for one in (f"{printed.duration} s", printed.distance, printed.top_speed) if one
    )
    wrong = []
    rest = _rest(schedule)
    length = float(schedule.duration.magnitude)
    due = float(printed.duration)
    # A file may go on at rest: the federal table of the UDDS does, beyond the agency's own file.
    if not length - rest - _half(printed.duration) <= due <= length + _half(printed.duration):
        wrong.append(f"duration {with_unit(length, 's')} for {printed.duration} s")
    for what, text in (("distance", printed.distance), ("top_speed", printed.top_speed)):
        if not text:
            continue
        digits, unit = text.split()
        found = float(getattr(schedule, what).to(unit).magnitude)
        if abs(found - float(digits)) > _half(digits):
            wrong.append(f"{what.replace('_', ' ')} {with_unit(found, unit)} for {text}")
    if wrong:
        said = f"It does not have the totals of the {name}: {', '.join(wrong)}"
    else:
        said = f"It has the totals of the {name}: {told}"
    return Comparison(name, not wrong, f"{said} ({printed.source}).")


def _half(digits: str) -> float:
    """Half a unit of the last printed digit."""
    _, _, decimals = digits.partition(".")
    return 0.5 * 10.0 ** -len(decimals) * (1 + _SLACK) + _SLACK * float(digits)


def _rest(schedule: Schedule) -> float:
    """Seconds at rest at the end."""
    moving = np.flatnonzero(schedule.speeds)
    last = min(int(moving[-1]) + 1, len(schedule.times) - 1) if len(moving) else 0
    return float(schedule.times[-1] - schedule.times[last])


def _with_ours(schedule: Schedule, name: str) -> Comparison:
    ours = named(name)
    wrong = []
    for what, unit in (("duration", "s"), ("distance", "km"), ("top_speed", "km/h")):
        found, due = (float(getattr(one, what).to(unit).magnitude) for one in (schedule, ours))
        # What rounding speeds to a tenth of a km/h may come to.
        slack = {
            "duration": 0.05,
            "distance": 0.05 / 3600 * float(ours.times[-1]),
            "top_speed": 0.05,
        }
        if abs(found - due) > slack[what] * (1 + 1e-6):
            words = what.replace("_", " ")
            wrong.append(f"{words} {with_unit(found, unit)} for {with_unit(due, unit)}")
    if not wrong:
        begun = schedule.times - schedule.times[0]
        off = np.abs(np.interp(ours.times, begun, schedule.speeds) - ours.speeds) * 3.6
        worst = int(off.argmax())
        if off[worst] > 0.05 * (1 + 1e-6):
            wrong.append(f"{with_unit(float(off[worst]), 'km/h')} off at {ours.times[worst]:g} s")
    if wrong:
        said = f"It is not the {name}: {', '.join(wrong)}."
    else:
        said = f"It has the speeds of the {name}, point by point."
    return Comparison(name, not wrong, said)
