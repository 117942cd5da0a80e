"""Pictures in words: trend, end points and units, for those who do not see the picture."""

from __future__ import annotations

import itertools
from typing import TYPE_CHECKING

import numpy as np

from chalkwatt.wording.numbers import format_alike, format_number

if TYPE_CHECKING:
    from collections.abc import Mapping

    from numpy.typing import NDArray

__all__ = ["describe_bars", "describe_curve", "turning_points"]

_LEVEL = 0.01  # of the whole span; a smaller rise or fall is none that an eye would see
_SAID = 3  # significant digits; a picture is read no finer


def said(value: float, label: str) -> str:
    """Write a number with its unit as alt text has it, without zeros that say nothing.

    Examples
    --------
    >>> from chalkwatt.cards.alt_text import said
    >>> said(120.0, "km/h"), said(0.0, "N")
    ('120 km/h', '0 N')
    """
    shown = format_number(value, _SAID)
    if "." in shown and "×" not in shown:
        shown = shown.rstrip("0").rstrip(".")
    return f"{shown}{label}" if label == "°" else f"{shown} {label}".rstrip()


def said_span(low: float, high: float, label: str, between: str = " to ") -> str:
    """Write both ends of a span with their unit, in one notation.

    Examples
    --------
    >>> from chalkwatt.cards.alt_text import said_span
    >>> said_span(120.0, 135.5, "km/h")
    '120 to 136 km/h'
    """
    ends = between.join(format_alike((low, high), _SAID))
    return f"{ends}{label}" if label == "°" else f"{ends} {label}".rstrip()


def turning_points(values: NDArray[np.float64]) -> list[int]:
    """Return the places of the ends and of every turn between them.

    Parameters
    ----------
    values : ndarray of shape (n,)
        Finite numbers.

    Returns
    -------
    list of int

    Examples
    --------
    >>> import numpy as np
    >>> from chalkwatt.cards.alt_text import turning_points
    >>> turning_points(np.array([1.0, 3.0, 2.0, 0.0]))
    [0, 1, 3]
    """
    least = _LEVEL * float(np.ptp(values))
    turns = [0]
    high = low = 0
    rising: bool | None = None
    for place, value in enumerate(values):
        if value > values[high]:
            high = place
        if value < values[low]:
            low = place
        if rising is not False and values[high] - value > least and high > turns[-1]:
            turns.append(high)
            rising, low = False, place
        elif rising is not True and value - values[low] > least and low > turns[-1]:
            turns.append(low)
            rising, high = True, place
        elif rising is None and abs(value - values[0]) > least:
            rising = bool(value > values[0])
            high = low = place
        if rising:
            low = place
        elif rising is False:
            high = place
    last = len(values) - 1
    return turns if turns[-1] == last else [*turns, last]


def describe_curve(
    x: NDArray[np.float64],
    y: NDArray[np.float64],
    words: tuple[str, str],
    labels: tuple[str, str],
    name: str = "",
) -> str:
    """Say how one quantity goes with another.

    Parameters
    ----------
    x, y : ndarray of shape (n,)
        In the units shown; points that are not numbers are gaps.
    words : tuple of two str
        What goes along x and along y.
    labels : tuple of two str
        Their units.
    name : str
        Of this curve, where there are several.

    Returns
    -------
    str

    Examples
    --------
    >>> import numpy as np
    >>> from chalkwatt.cards.alt_text import describe_curve
    >>> describe_curve(np.array([0.0, 2.0]), np.array([5.0, 1.0]), ("time", "speed"), ("s", "m/s"))
    'Speed against time: it falls from 5 m/s at 0 s to 1 m/s at 2 s.'
    """
    good = np.isfinite(x) & np.isfinite(y)
    head = f"{_capital(words[1])} against {words[0]}{f', {name}' if name else ''}"
    if not good.any():
        return f"{head}: there is no value to show."
    x, y = x[good], y[good]
    places = turning_points(y)
    at = [f"{said(float(y[one]), labels[1])} at {said(float(x[one]), labels[0])}" for one in places]
    if len(y) == 1:
        return f"{head}: {at[0]}."
    if float(np.ptp(y)) <= 1e-9 * float(np.max(np.abs(y))):
        return (
            f"{head}: it stays at {said(float(y[0]), labels[1])} "
            f"from {said_span(float(x[0]), float(x[-1]), labels[0])}."
        )
    steps = [
        f"{'rises' if y[after] > y[before] else 'falls'} {f'from {at[0]} ' if not number else ''}"
        f"to {at[number + 1]}"
        for number, (before, after) in enumerate(itertools.pairwise(places))
    ]
    return f"{head}: it {', then '.join(steps)}."


def describe_bars(title: str, values: Mapping[str, float], label: str) -> str:
    """Say what a row of bars shows.

    Examples
    --------
    >>> from chalkwatt.cards.alt_text import describe_bars
    >>> describe_bars("Shares", {"air": 60.0, "rolling": 40.0}, "%")
    'Shares: air 60 %, rolling 40 %.'
    """
    listed = ", ".join(f"{name} {said(value, label)}" for name, value in values.items())
    head = title.rstrip(" ,;:.–—-")
    return f"{head}: {listed}." if head else f"{listed}."


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
