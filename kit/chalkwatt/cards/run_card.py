"""Run cards: the speed of a simulated run against time, whole or up to a moment."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from chalkwatt.calls import checked_call
from chalkwatt.cards.alt_text import describe_curve
from chalkwatt.cards.axes_layout import Span, label_point, lay_out
from chalkwatt.cards.figure_card import Curve, Limits, draw_curves, finished
from chalkwatt.cards.figure_style import nice_limits, styled
from chalkwatt.cards.picture import Card, format_of
from chalkwatt.errors import ChalkwattError
from chalkwatt.laws.quantities import look_up
from chalkwatt.look.themes import choose
from chalkwatt.wording.numbers import format_number

if TYPE_CHECKING:
    from pathlib import Path

    from chalkwatt.cards.scenes import Moving

__all__ = ["run_card"]


@checked_call
def run_card(
    run: Moving,
    path: str | Path | None = None,
    *,
    until: float | None = None,
    unit: str = "km/h",
    limits: Limits | None = None,
    size: str | tuple[int, int] = "landscape",
    theme: str = "light",
    ground: str = "clear",
    kind: str | None = None,
) -> Card:
    """Draw the speed of a simulated run against time.

    Parameters
    ----------
    run : object
        With ``time`` in seconds and ``speed`` in metres per second, arrays of the same length.
    path : str or Path, optional
    until : float, optional
        Draw the run up to this time only; the axes are those of the whole run.
    unit : str
        Of speed.
    limits, size, theme, ground, kind
        As for :func:`curve_card`.

    Returns
    -------
    Card

    Raises
    ------
    ChalkwattError
        If the run has no two points, or a unit or a choice is none.

    Examples
    --------
    >>> import chalkwatt as cw
    >>> run = cw.standing_start(mass=1500, motor_power=120e3, friction=0.9,
    ...     driven_weight_share=0.5, rolling_coefficient=0.01, drag_area=0.6, air_density=1.2)
    >>> cw.run_card(run, kind="svg").kind
    'svg'
    """
    time = np.asarray(run.time, dtype=float)
    speed = np.asarray(look_up("speed").in_unit(np.asarray(run.speed, dtype=float), unit))
    if time.ndim != 1 or time.shape != speed.shape or time.size < 2:
        raise ChalkwattError(
            f"A run of {time.size} times and {speed.size} speeds cannot be drawn.",
            advice="Give arrays time and speed of the same length, at least two points.",
        )
    (left, right), (low, high) = limits or (
        (float(time[0]), float(time[-1])),
        nice_limits(min(0.0, float(speed.min())), float(speed.max())),
    )
    end = float(time[-1]) if until is None else min(max(until, float(time[0])), float(time[-1]))
    here = float(np.interp(end, time, speed))
    seen = time < end
    x, y = np.append(time[seen], end), np.append(speed[seen], here)
    look = choose(size, theme, ground)
    with styled(look) as sheet:
        draw_curves(sheet.axes, [Curve("", x, (y,), (end, here))], look)
        lay_out(sheet, Span(left, right, "time", "s"), Span(low, high, "speed", unit))
        text = f"{format_number(here, 3)} {unit} after {end:.1f} s"
        label_point(sheet, (end, here), text, [(x, y)])
        alt = describe_curve(x, y, ("time", "speed"), ("s", unit))
        return finished(sheet, format_of(path, kind), alt, {}, path)
