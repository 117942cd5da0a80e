"""Driven how: what an answer on the road takes for granted, said the same way wherever it is said.

"How far" means nothing without it: the answers of this toolkit are for one steady speed on a level
road without wind, unless something else was given. Verdicts, scripts, captions and pages ask here.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from chalkwatt.laws.quantities import digits_of, look_up, unit_of
from chalkwatt.rendering.phrases import at, listed
from chalkwatt.wording.numbers import format_alike, with_unit

if TYPE_CHECKING:
    from chalkwatt.answering.answers import Answer
    from chalkwatt.wording.given import Floats

__all__ = [
    "COVERED",
    "as_line",
    "how_driven",
    "how_far",
    "model_of",
    "model_words",
    "on_the_road",
    "with_drive",
]

# The conditions that the clause says; a caller says any others.
COVERED = frozenset(
    {"speed", "grade", "headwind", "auxiliary_power", "air_temperature", "altitude"}
)
_ROAD = frozenset({"road_force", "air_force", "rolling_force", "coast_down_square"})
_DRIVE = frozenset({"battery_power", "consumption", "wheel_power", *_ROAD})
_BATTERY = frozenset({"usable_energy", "pack_energy", "cell_energy"})
_WITHOUT = "without "
_TIMES = frozenset({"driving_time"})  # how long it goes says how far it goes
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
    >>> from chalkwatt.answering.driven import how_driven
    >>> how_driven(load.find("range", **load.example))
    ' at a steady 100 km/h on a level road, without wind or heater'
    >>> how_driven(load.find("range", **load.example | {"grade": -0.01, "auxiliary_power": "2 kW"}))
    ' at a steady 100 km/h down a grade of 1 %, without wind, with 2 kW for all that does not drive'
    >>> how_driven(load.find("range", **load.example), along="speed")
    ' at a steady speed on a level road, without wind or heater'
    >>> how_driven(load.find("range", **load.example | {"altitude": "2000 m"}))
    ' at a steady 100 km/h and an altitude of 2000 m on a level road, without wind or heater'
    """
    names = _names(answer)
    derived = [getattr(one, "driven", "") for one in getattr(answer, "facts", {}).values()]
    if any(derived):
        told = next(one for one in derived if one)
        # What the road asks for there is that of a steady drive; what is made of it need not be.
        return told if _steady(answer) else told.replace("a steady ", "", 1)
    if "consumption" in answer.known and not names & _ROAD:
        return " by the stated consumption (at whatever speed and in whatever weather that holds)"
    if not names & _DRIVE or "speed" not in names:
        return ""
    speed = f"a{_steady(answer)} speed" if along == "speed" else _speed(answer)
    told = [one for one in (speed, *_weather(answer, along)) if one]
    return (f" at {listed(told)}" if told else "") + (_road(answer, along) if names & _ROAD else "")


def on_the_road(answer: Answer) -> str:
    """Say for which road, wind and load an answer holds whose speed is told elsewhere, with a space before it.

    Parameters
    ----------
    answer : Answer

    Returns
    -------
    str

    Examples
    --------
    >>> from chalkwatt import load
    >>> from chalkwatt.answering.driven import on_the_road
    >>> on_the_road(load.find("range", **load.example))
    ' on a level road, without wind or heater'
    """
    return _road(answer, "speed")


def how_far(answer: Answer, *, along: str = "") -> str:
    """Say of an answer to "how far" what it holds for, with a space before it.

    For which drive, or what its model leaves out where no steady drive makes it; nothing of what is no length
    and no time of a drive. It stands beside the bare number, which means nothing without it.

    Parameters
    ----------
    answer : Answer
    along : str
        A quantity that runs along an axis.

    Returns
    -------
    str

    Examples
    --------
    >>> from chalkwatt import load
    >>> from chalkwatt.answering.driven import how_far
    >>> how_far(load.find("range", **load.example))
    ' at a steady 100 km/h on a level road, without wind or heater'
    >>> how_far(load.find("consumption", **load.example))
    ''
    """
    if look_up(answer.wanted).unit != "m" and answer.wanted not in _TIMES:
        return ""
    clause = how_driven(answer, along=along)
    model = "" if clause else model_of(answer)
    return clause or (f" {model}" if model else "")


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
    >>> from chalkwatt.answering.driven import with_drive
    >>> with_drive("It rises.", load.find("range", **load.example))
    'It rises. Reckoned for a drive at a steady 100 km/h on a level road, without wind or heater.'
    """
    clause = how_driven(answer, along=along)
    return f"{text} Reckoned for a drive{clause}." if clause else text


def as_line(clause: str) -> str:
    """Write a clause of this module as a line that stands alone.

    Examples
    --------
    >>> from chalkwatt.answering.driven import as_line
    >>> as_line(" at a steady 100 km/h"), as_line("")
    ('At a steady 100 km/h', '')
    """
    told = clause.strip()
    return told[:1].upper() + told[1:]


def model_of(answer: Answer) -> str:
    """Say in a bracket what the model of an answer leaves out, or nothing where it leaves out nothing.

    Examples
    --------
    >>> from chalkwatt import launch, load
    >>> from chalkwatt.answering.driven import model_of
    >>> model_of(load.find("range", **load.example | {"air_density": 1.2}))
    '(steady, level, windless, with a fresh and warm battery)'
    >>> model_of(launch.find("power_bound_time", target_speed="100 km/h", mass=1180, wheel_power="80 kW"))
    '(without drag, rolling resistance or a slope, with tyres that hold any force)'
    """
    words = model_words(answer)
    less = [one.removeprefix(_WITHOUT) for one in words if one.startswith(_WITHOUT)]
    first = [one for one in words if " " not in one]
    rest = [one for one in words if one not in first and not one.startswith(_WITHOUT)]
    told = [*first, *([f"{_WITHOUT}{_either(less)}"] if less else []), *rest]
    return f"({', '.join(told)})" if told else ""


def model_words(answer: Answer) -> tuple[str, ...]:
    """Return what the model of an answer leaves out, also of what follows elsewhere for it.

    By the relations on its way (:attr:`chalkwatt.laws.relations.Relation.model`), the slope and the wind
    that were taken as none, and the state of the battery.

    Parameters
    ----------
    answer : Answer

    Returns
    -------
    tuple of str
        Such as "steady" and "without drag".
    """
    # A relation that is solved together with others has quantities that no step finds.
    names = _names(answer).union(*(one.names for one in answer.plan.relations))
    own = [one for relation in answer.plan.relations for one in relation.model]
    words = [one for one in own if one == "steady"]
    words += [
        word
        for name, word in (("grade", "level"), ("headwind", "windless"))
        if (name in answer.assumed or name in names) and not _given(answer, name)
        if name != answer.wanted
    ]
    words += own
    for fact in getattr(answer, "facts", {}).values():
        words += getattr(fact, "model", ())
    if names & _BATTERY and (words or names & _ROAD):
        state = "fresh" if _given(answer, "cell_temperature") else "fresh and warm"
        words.append(f"with a {state} battery")
    return tuple(dict.fromkeys(words))


def _either(words: list[str]) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} or {words[-1]}"


def _names(answer: Answer) -> set[str]:
    steps = (*answer.plan.groundwork, *answer.plan.steps)
    return {answer.wanted, *(one for step in steps for one in (step.find, *step.needs))}


def _value(answer: Answer, name: str) -> Floats | None:
    """Return what an answer was reckoned with, also where it is a nought that was folded away."""
    if name in answer.known:
        given: Floats = answer.known[name]
        return given
    if np.ndim(answer.si):
        return None
    found = (
        answer.best.values if answer.branches else {}
    )  # a question without an answer is asked of a drive, too
    return found.get(name, answer.assumed.get(name))


def _known(answer: Answer, name: str) -> Floats:
    """Return what an answer was reckoned with where there is something."""
    value = _value(answer, name)
    return 0.0 if value is None else value


def _given(answer: Answer, name: str) -> bool:
    value = _value(answer, name)
    return value is not None and bool(np.any(np.asarray(value) != 0))


def _spans(answer: Answer, name: str) -> bool:
    """Say whether a given quantity has several values."""
    fact = getattr(answer, "facts", {}).get(name)
    several = isinstance(_value(answer, name), np.ndarray)
    return several or (fact is not None and not fact.exact)


def _said(answer: Answer, name: str, value: Floats) -> str:
    """Write a value, or a span of them, in the unit in which it was given."""
    entry = look_up(name)
    unit = unit_of(name, answer.labels.get(name, ""))
    fact = getattr(answer, "facts", {}).get(name)
    ends = [value]
    if fact is not None and not fact.exact and name in answer.known:
        ends = [fact.low, fact.high]
    elif np.ndim(value):
        ends = [np.min(value), np.max(value)]
    given = answer.given_labels.get(name, "")
    digits = digits_of(name, float(ends[-1]), given) or 4
    shown = " to ".join(format_alike([float(entry.in_unit(one, unit)) for one in ends], digits))
    return f"{shown} {unit}".rstrip()


def _steady(answer: Answer) -> str:
    """Return the word for a speed that lasts, with a space before it; none where the vehicle speeds up or slows."""
    gains = any(look_up(name).unit == "m/s^2" and name != "gravity" for name in _names(answer))
    return "" if gains else " steady"


def _speed(answer: Answer) -> str:
    if answer.wanted == "speed":
        return ""
    value, steady = _value(answer, "speed"), _steady(answer)
    if value is None:
        return f"a{steady} speed"
    unit = look_up("speed").display[0]
    said = (
        _said(answer, "speed", value)
        if "speed" in answer.known
        else with_unit(float(look_up("speed").in_unit(value, unit)), unit, 3)
    )
    return f"a{steady} {said}" if steady else said


def _weather(answer: Answer, along: str) -> list[str]:
    return [
        at(name, _said(answer, name, answer.known[name]))
        for name in ("air_temperature", "altitude")
        if name in answer.known and name in _names(answer) and name != along
    ]


def _road(answer: Answer, along: str) -> str:
    open_names = {
        answer.wanted,
        along,
    }  # of these nothing is said: they have no one value, or are asked
    grade, wind = _known(answer, "grade"), _known(answer, "headwind")
    if open_names & {"grade", "grade_angle"}:
        road = ""
    elif not _given(answer, "grade"):
        road = " on a level road"
    elif _spans(answer, "grade"):
        road = f" on a grade of {_said(answer, 'grade', grade)}"
    else:
        side = "down" if float(grade) < 0 else "up"
        road = f" {side} a grade of {_said(answer, 'grade', abs(float(grade)))}"
    without, given = [], []
    if "headwind" in open_names:
        pass
    elif not _given(answer, "headwind"):
        without.append("wind")
    elif _spans(answer, "headwind"):
        given.append(f"with a head wind of {_said(answer, 'headwind', wind)}")
    else:
        kind = "against a head" if float(wind) > 0 else "with a tail"
        given.append(f"{kind} wind of {_said(answer, 'headwind', abs(float(wind)))}")
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
