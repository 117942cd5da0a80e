"""Driven how: what an answer on the road takes for granted, said the same way wherever it is said.

"How far" means nothing without it: the answers of this toolkit are for one steady speed on a level
road without wind, unless something else was given. Verdicts, scripts, captions and pages ask here.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from chalkwatt.quantities import look_up
from chalkwatt.rendering.numbers import format_input, with_unit
from chalkwatt.sheets.facts import unit_of

if TYPE_CHECKING:
    from chalkwatt.answers import Answer

__all__ = ["COVERED", "how_driven", "model_of", "with_drive"]

# The conditions that the clause says; a caller says any others.
COVERED = frozenset(
    {"speed", "grade", "headwind", "auxiliary_power", "air_temperature", "altitude"}
)
_ROAD = frozenset({"road_force", "air_force", "rolling_force", "coast_down_square"})
_DRIVE = frozenset({"battery_power", "consumption", "wheel_power", *_ROAD})
_BATTERY = frozenset({"usable_energy", "pack_energy", "cell_energy"})
_HEATER = 500.0  # W; a heater takes more than that, and all else on board less: common practice, no source


def how_driven(answer: Answer, *, along: str = "") -> str:
    """Say for which drive an answer holds, with a space before it.

    Parameters
    ----------
    answer : Answer
    along : str
        A quantity that runs along an axis and so has no one value.

    Returns
    -------
    str
        Empty for an answer that has nothing to do with the road.

    Examples
    --------
    >>> from chalkwatt import load
    >>> from chalkwatt.driven import how_driven
    >>> how_driven(load.find("range", **load.example))
    ' at a steady 100 km/h on a level road, without wind or heater'
    >>> how_driven(load.find("range", **load.example | {"grade": -0.01, "auxiliary_power": "2 kW"}))
    ' at a steady 100 km/h down a grade of 1 %, without wind, with 2 kW for all that does not drive'
    >>> how_driven(load.find("range", **load.example), along="speed")
    ' at a steady speed on a level road, without wind or heater'
    """
    names = _names(answer)
    derived = [getattr(one, "driven", "") for one in getattr(answer, "facts", {}).values()]
    if any(derived):
        return next(one for one in derived if one)
    if "consumption" in answer.known and not names & _ROAD:
        return " by the stated consumption (at whatever speed and in whatever weather that holds)"
    if not names & _DRIVE or "speed" not in names:
        return ""
    speed = "a steady speed" if along == "speed" else _speed(answer)
    at = " and ".join(one for one in (speed, *_weather(answer, along)) if one)
    return (f" at {at}" if at else "") + (_road(answer, along) if names & _ROAD else "")


def with_drive(text: str, answer: Answer, *, along: str = "") -> str:
    """Add to a picture in words for which drive it holds.

    Parameters
    ----------
    text : str
    answer : Answer
    along : str
        A quantity that runs along an axis.

    Returns
    -------
    str

    Examples
    --------
    >>> from chalkwatt import load
    >>> from chalkwatt.driven import with_drive
    >>> with_drive("It rises.", load.find("range", **load.example))
    'It rises. Reckoned for a drive at a steady 100 km/h on a level road, without wind or heater.'
    """
    clause = how_driven(answer, along=along)
    return f"{text} Reckoned for a drive{clause}." if clause else text


def model_of(answer: Answer) -> str:
    """Say in a bracket what the model of an answer leaves out, or nothing for an answer off the road.

    Examples
    --------
    >>> from chalkwatt import load
    >>> from chalkwatt.driven import model_of
    >>> model_of(load.find("range", **load.example))
    '(steady, level, windless, with a fresh and warm battery)'
    """
    names = _names(answer)
    if not names & _ROAD or "speed" not in names:
        return ""
    words = ["steady"]
    words += [] if _given(answer, "grade") else ["level"]
    words += [] if _given(answer, "headwind") else ["windless"]
    words += ["with a fresh and warm battery"] if names & _BATTERY else []
    return f"({', '.join(words)})"


def _names(answer: Answer) -> set[str]:
    steps = (*answer.plan.groundwork, *answer.plan.steps)
    return {answer.wanted, *(one for step in steps for one in (step.find, *step.needs))}


def _value(answer: Answer, name: str) -> Any:  # noqa: ANN401  float, array or None
    """Return what an answer was reckoned with, also where it is a nought that was folded away."""
    if name in answer.known:
        return answer.known[name]
    if np.ndim(answer.si):
        return None
    return answer.best.values.get(name, answer.assumed.get(name))


def _given(answer: Answer, name: str) -> bool:
    value = _value(answer, name)
    return value is not None and bool(np.any(np.asarray(value) != 0))


def _spans(answer: Answer, name: str) -> bool:
    """Say whether a given quantity has several values."""
    fact = getattr(answer, "facts", {}).get(name)
    return bool(np.ndim(_value(answer, name))) or (fact is not None and not fact.exact)


def _said(answer: Answer, name: str, value: Any) -> str:  # noqa: ANN401
    """Write a value, or a span of them, in the unit in which it was given."""
    entry = look_up(name)
    unit = unit_of(name, answer.labels.get(name, ""))
    fact = getattr(answer, "facts", {}).get(name)
    ends = [value]
    if fact is not None and not fact.exact and name in answer.known:
        ends = [fact.low, fact.high]
    elif np.ndim(value):
        ends = [np.min(value), np.max(value)]
    shown = " to ".join(format_input(float(entry.in_unit(one, unit)), 4) for one in ends)
    return f"{shown} {unit}".rstrip()


def _speed(answer: Answer) -> str:
    if answer.wanted == "speed":
        return ""
    value = _value(answer, "speed")
    if value is None:
        return "a steady speed"
    if "speed" in answer.known:
        return f"a steady {_said(answer, 'speed', value)}"
    unit = look_up("speed").display[0]
    return f"a steady {with_unit(float(look_up('speed').in_unit(value, unit)), unit, 3)}"


def _weather(answer: Answer, along: str) -> list[str]:
    return [
        _said(answer, name, answer.known[name])
        for name in ("air_temperature", "altitude")
        if name in answer.known and name in _names(answer) and name != along
    ]


def _road(answer: Answer, along: str) -> str:
    open_names = {
        answer.wanted,
        along,
    }  # of these nothing is said: they have no one value, or are asked
    grade, wind = _value(answer, "grade"), _value(answer, "headwind")
    if open_names & {"grade", "grade_angle"}:
        road = ""
    elif not _given(answer, "grade"):
        road = " on a level road"
    elif _spans(answer, "grade"):
        road = f" on a grade of {_said(answer, 'grade', grade)}"
    else:
        side = "down" if float(grade) < 0 else "up"
        road = f" {side} a grade of {_said(answer, 'grade', abs(grade))}"
    without, given = [], []
    if "headwind" in open_names:
        pass
    elif not _given(answer, "headwind"):
        without.append("wind")
    elif _spans(answer, "headwind"):
        given.append(f"with a head wind of {_said(answer, 'headwind', wind)}")
    else:
        kind = "against a head" if float(wind) > 0 else "with a tail"
        given.append(f"{kind} wind of {_said(answer, 'headwind', abs(wind))}")
    load = _value(answer, "auxiliary_power")
    if load is not None and "auxiliary_power" not in open_names:
        # Little heating is heating: where the cabin was reckoned with, its own power says whether.
        if np.max(load) < _HEATER and not _given(answer, "climate_power"):
            without.append("heater")
        else:
            shown = _said(answer, "auxiliary_power", load)
            given.append(f"with {shown} for all that does not drive")
    told = [f"without {' or '.join(without)}"] if without else []
    return ", ".join([road, *told, *given])
