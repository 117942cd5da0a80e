"""Schedules: speed against time, as regulations print them, as people write or record them.

Between two points of a schedule speed is linear, so acceleration is constant there.

=====================  =========================================================================
name                   what it is
=====================  =========================================================================
`ece_15`, `eudc`       the urban cycle and the extra-urban part of UN Regulation No. 83
`nedc`                 four times `ece_15`, then `eudc`
`wltc`                 the cycle of a class of vehicles, of UN Regulation No. 154
`wltc_class`           which class a vehicle is of
`names`, `named`       what can be asked for by name, and the schedule of a name
`ramps`                a schedule written by hand, one line a ramp
`trapezoid`            from standstill up to a speed, along, and down again
`read`                 a recorded or published trace from a text file of columns
`compare`              whether a schedule has the totals of a known one
=====================  =========================================================================
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from chalkwatt.calls import checked_call
from chalkwatt.errors import OutOfBoundsError
from chalkwatt.runs.schedule import traces
from chalkwatt.runs.schedule.names import named, names
from chalkwatt.runs.schedule.schedule import Phase, Schedule, chain, in_si
from chalkwatt.runs.schedule.totals import compare
from chalkwatt.runs.schedule.wltc import wltc, wltc_class

if TYPE_CHECKING:
    from collections.abc import Iterable
    from pathlib import Path

    from chalkwatt.wording.given import Given

__all__ = [
    "Phase",
    "Schedule",
    "chain",
    "compare",
    "ece_15",
    "eudc",
    "named",
    "names",
    "nedc",
    "ramps",
    "read",
    "trapezoid",
    "wltc",
    "wltc_class",
]


@checked_call
def ramps(
    name: str,
    lines: Iterable[tuple[Any, Any]],
    *,
    unit: str = "km/h",
    start: Given = 0.0,
    source: str = "written by hand",
) -> Schedule:
    """Write a schedule by hand: each line the speed to reach and the time it takes.

    Parameters
    ----------
    name : str
    lines : iterable of (speed, time)
        Text with units, pint quantities, or bare numbers: speeds in ``unit``, times in seconds. A
        line that repeats the speed before it drives along, or waits.
    unit : str
        Unit of bare speeds.
    start : number, str or pint quantity
        Speed at the beginning.
    source : str

    Returns
    -------
    Schedule

    Raises
    ------
    UnitError
        If a unit cannot be read or measures something else.
    ChalkwattError
        If a time is not above nought or a speed is negative.

    Examples
    --------
    >>> from chalkwatt.runs import schedules
    >>> schedules.ramps("block", [(50, 8), ("50 km/h", "20 s"), (0, "7 s"), (0, 10)])
    <schedule block: 45.00 s, 0.3819 km, mean 30.56 km/h, top 50.00 km/h>
    """
    times = [0.0]
    speeds = [in_si(start, unit, "m/s")]
    for speed, time in lines:
        times.append(times[-1] + in_si(time, "s", "s"))
        speeds.append(in_si(speed, unit, "m/s"))
    return Schedule(name, times, speeds, source=source)


@checked_call
def trapezoid(
    *,
    top_speed: Given,
    acceleration: Given,
    cruising: Given,
    deceleration: Given | None = None,
    idle: Given = 0.0,
    name: str = "trapezoid",
) -> Schedule:
    """Drive from standstill up to a speed, along, down again, and wait.

    Parameters
    ----------
    top_speed : str, pint quantity or number
        Bare numbers are metres per second.
    acceleration, deceleration : str, pint quantity or number
        Both above nought; bare numbers are m/s². They are equal if one is left out.
    cruising, idle : str, pint quantity or number
        Time along at the top, and at standstill at the end; bare numbers are seconds.
    name : str

    Returns
    -------
    Schedule

    Raises
    ------
    UnitError
        If a unit cannot be read or measures something else.
    OutOfBoundsError
        If a rate or the speed is not above nought.

    Examples
    --------
    >>> from chalkwatt.runs import schedules
    >>> schedules.trapezoid(top_speed="54 km/h", acceleration=1.5, cruising="1 min", idle=10)
    <schedule trapezoid: 90.00 s, 1.050 km, mean 42.00 km/h, top 54.00 km/h>
    """
    top = in_si(top_speed, "m/s", "m/s")
    up = in_si(acceleration, "m/s^2", "m/s^2")
    down = up if deceleration is None else in_si(deceleration, "m/s^2", "m/s^2")
    for word, one, unit in (
        ("top_speed", top, "m/s"),
        ("acceleration", up, "m/s²"),
        ("deceleration", down, "m/s²"),
    ):
        if not one > 0:
            raise OutOfBoundsError(
                f"{word} = {one:g} {unit} does not make a trapezoid.",
                quantity=word,
                value=one,
                unit=unit,
                limit=0.0,
                advice="Give a number above nought.",
            )
    lines = [(top, top / up), (top, in_si(cruising, "s", "s")), (0.0, top / down)]
    if in_si(idle, "s", "s") != 0:
        lines.append((0.0, in_si(idle, "s", "s")))
    return ramps(name, [line for line in lines if line[1] != 0], unit="m/s")


@checked_call
def read(
    path: str | Path,
    *,
    name: str | None = None,
    speed_unit: str | None = None,
    time_unit: str | None = None,
    claims: str | None = None,
    longest_step: Given | None = None,
) -> Schedule:
    r"""Read a trace of speed against time from a text file of columns.

    Parameters
    ----------
    path : str or Path
        Semicolons, tabs, commas or blanks part its columns. Its header names time and speed with
        their units, like ``time (s),speed (km/h)``; title and comment lines may stand above.
    name : str, optional
        The file's name if left out.
    speed_unit, time_unit : str, optional
        Units of the columns, needed where the header does not name them; none is guessed.
    claims : str, optional
        The schedule that it is said to be, such as ``"UDDS"`` or ``"HWFET"``; its totals must be
        the known ones. If left out, a name that speaks of a known schedule is taken as the claim,
        and a trace that does not fit is read with a warning.
    longest_step : str, pint quantity or number of seconds, optional
        A longer step is a gap. If left out, and more than half of the steps are equal, as in a
        recording, a step half as long again is a gap; otherwise any step is allowed.

    Returns
    -------
    Schedule
        Its ``notes`` say whether it has the totals of the schedule that it is called after.

    Raises
    ------
    TraceError
        If the file cannot be opened, a unit is missing or unknown, a cell is no number, time runs
        back or stands still, a speed is negative or beyond what a vehicle can do, there is a gap, or
        the totals are not those of ``claims``; it names file and line.
    NameUnknownError
        If the totals of ``claims`` are not known.

    Examples
    --------
    >>> from pathlib import Path
    >>> from tempfile import TemporaryDirectory
    >>> import chalkwatt as cw
    >>> with TemporaryDirectory() as folder:
    ...     file = Path(folder) / "yard.csv"
    ...     _ = file.write_text("time (min),speed (km/h)\n0,0\n1,12\n2,0\n")
    ...     cw.schedules.read(file)
    ...     _ = file.write_text("0\t0\n1\t7,5\n2\t0\n")
    ...     cw.schedules.read(file, time_unit="min", speed_unit="mph")
    <schedule yard: 120.0 s, 0.2000 km, mean 6.000 km/h, top 12.00 km/h>
    <schedule yard: 120.0 s, 0.2012 km, mean 6.035 km/h, top 12.07 km/h>
    """
    return traces.read(
        path,
        name=name,
        speed_unit=speed_unit,
        time_unit=time_unit,
        claims=claims,
        longest_step=longest_step,
    )


_R83 = (
    "UN Regulation No. 83, Type I test; rows in part from memory, all totals close on the printed"
)

# Each pair is the speed to reach in km/h and the seconds that it takes.
ece_15 = ramps(
    "ECE-15",
    [
        *[(0, 11), (15, 4), (15, 8), (10, 2), (0, 3), (0, 21)],
        *[(15, 5), (15, 2), (32, 5), (32, 24), (10, 8), (0, 3), (0, 21)],
        *[(15, 5), (15, 2), (35, 9), (35, 2), (50, 8), (50, 12), (35, 8), (35, 13), (32, 2)],
        *[(10, 7), (0, 3), (0, 7)],
    ],
    source=_R83,
)
eudc = ramps(
    "EUDC",
    [
        *[(0, 20), (15, 5), (15, 2), (35, 9), (35, 2), (50, 8), (50, 2), (70, 13), (70, 50)],
        *[(50, 8), (50, 69), (70, 13), (70, 50), (100, 35), (100, 30), (120, 20), (120, 10)],
        *[(80, 16), (50, 8), (0, 10), (0, 20)],
    ],
    source=_R83,
)
nedc = chain("NEDC", (ece_15, ece_15, ece_15, ece_15, eudc))
