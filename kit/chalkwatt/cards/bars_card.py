"""Bars and spreads as pictures: shares side by side, and how far a number may be trusted."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

import numpy as np

from chalkwatt.answering.driven import as_line, how_driven, with_drive
from chalkwatt.calls import checked_call
from chalkwatt.cards.alt_text import describe_bars, said, said_span
from chalkwatt.cards.axes_layout import Span, label_point, lay_out, lay_out_bars, write_right
from chalkwatt.cards.figure_card import Limits, finished
from chalkwatt.cards.figure_style import nice_limits, styled
from chalkwatt.cards.picture import Card, format_of
from chalkwatt.errors import ChalkwattError
from chalkwatt.laws.quantities import look_up
from chalkwatt.look.themes import CUES, choose
from chalkwatt.rendering.working import unit_for
from chalkwatt.wording.audience import for_whom_it_was_made

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from numpy.typing import ArrayLike

    from chalkwatt.answering.answers import Answer

__all__ = ["bars_card", "spread_card"]


@for_whom_it_was_made
@checked_call
def bars_card(
    answers: Mapping[str, Answer] | Sequence[Answer],
    path: str | Path | None = None,
    *,
    title: str = "",
    unit: str | None = None,
    limits: tuple[float, float] | None = None,
    size: str | tuple[int, int] = "landscape",
    theme: str = "light",
    ground: str = "clear",
    kind: str | None = None,
) -> Card:
    """Draw answers of one kind as bars, each with its name and its number.

    Parameters
    ----------
    answers : mapping of str to Answer, or sequence of Answer
        By name; answers alone are named by their quantities.
    path : str or Path, optional
    title : str
        Stands above; what the bars have in common.
    unit : str, optional
        The unit shown; that of the first answer if left out.
    limits : tuple of two floats, optional
        From where to where the bars' axis goes, in the unit shown.
    size, theme, ground, kind
        As for :func:`curve_card`.

    Returns
    -------
    Card

    Raises
    ------
    ChalkwattError
        If there is nothing to draw, or the answers measure different things.

    Examples
    --------
    >>> import chalkwatt as cw
    >>> speeds = {"town": "50 km/h", "motorway": "120 km/h"}
    >>> forces = {
    ...     name: cw.load.find("air_force", speed=speed, drag_area=0.6, air_density=1.2)
    ...     for name, speed in speeds.items()
    ... }
    >>> cw.bars_card(forces, title="Air drag", kind="svg").kind
    'svg'
    """
    named = (
        dict(answers)
        if isinstance(answers, Mapping)
        else {one.quantity.words: one for one in answers}
    )
    if not named:
        raise ChalkwattError("There is nothing to draw.", advice="Give at least one answer.")
    first = next(iter(named.values()))
    label = first.unit if unit is None else unit
    values = {name: float(one.to(label)) for name, one in named.items()}
    low, high = limits or nice_limits(min(0.0, *values.values()), max(0.0, *values.values()))
    look = choose(size, theme, ground)
    drives = {how_driven(one) for one in named.values()}
    shared = drives.pop() if len(drives) == 1 else ""
    with styled(look) as sheet:
        lay_out_bars(
            sheet,
            {name: (value, said(value, label)) for name, value in values.items()},
            (low, high),
            title,
            as_line(shared),
        )
        alt = describe_bars(title or "Bars", values, label)
        if shared:
            alt = with_drive(alt, first)
        carries = {one.wanted: float(one.si) for one in named.values()}
        return finished(sheet, format_of(path, kind), alt, carries, path)


@for_whom_it_was_made
@checked_call
def spread_card(
    samples: ArrayLike,
    quantity: str,
    path: str | Path | None = None,
    *,
    share: float = 0.9,
    unit: str | None = None,
    limits: Limits | None = None,
    size: str | tuple[int, int] = "landscape",
    theme: str = "light",
    ground: str = "clear",
    kind: str | None = None,
) -> Card:
    """Draw how a quantity spreads, with the part that holds most of it marked.

    Parameters
    ----------
    samples : array-like
        Values in SI units; what is not a number is left out.
    quantity : str
        Name of the quantity.
    path : str or Path, optional
    share : float
        Share of the samples between the marks, in the middle; 0 to 1.
    unit : str, optional
        The unit shown.
    limits, size, theme, ground, kind
        As for :func:`curve_card`.

    Returns
    -------
    Card
        It carries the median.

    Raises
    ------
    ChalkwattError
        If there are no two samples, or the share is none.

    Examples
    --------
    >>> import numpy as np
    >>> import chalkwatt as cw
    >>> cw.spread_card(np.linspace(300e3, 400e3, 101), "range", kind="svg").carries
    {'range': 350000.0}
    """
    entry = look_up(quantity)
    label = unit_for(quantity, unit)
    values = np.asarray(entry.in_unit(np.asarray(samples, dtype=float).ravel(), label))
    values = values[np.isfinite(values)]
    if values.size < 2 or not 0 < share < 1:
        raise ChalkwattError(
            f"{values.size} samples and a share of {share:g} make no spread.",
            quantity=quantity,
            advice="Give at least two samples, and a share between 0 and 1.",
        )
    low, middle, high = np.quantile(values, [(1 - share) / 2, 0.5, (1 + share) / 2])
    counts, edges = np.histogram(values, bins=40, range=tuple(np.quantile(values, [0.001, 0.999])))
    heights = 100 * counts / values.size
    (left, right), (bottom, top) = limits or (
        nice_limits(float(edges[0]), float(edges[-1])),
        nice_limits(0.0, float(heights.max())),
    )
    look = choose(size, theme, ground)
    with styled(look) as sheet:
        axes = sheet.axes
        axes.stairs(heights, edges, fill=True, color=look.theme.band)
        axes.stairs(heights, edges, color=look.theme.series[0], linewidth=8 * look.unit)
        for place, dash in ((low, CUES[1][0]), (middle, ()), (high, CUES[1][0])):
            axes.axvline(
                place,
                color=look.theme.ink,
                linewidth=look.line,
                linestyle=(0, dash) if dash else "-",
            )
        lay_out(
            sheet, Span(left, right, entry.words, label), Span(bottom, top, "share of cases", "%")
        )
        top_of = (float(middle), float(heights.max()))
        label_point(
            sheet, top_of, said(float(middle), label), [(edges[:-1], heights)], marked=False
        )
        ends = said_span(float(low), float(high), label, " and ")
        write_right(sheet, f"{100 * share:.0f} % between {ends}")
        alt = (
            f"How {entry.words} spreads: half of the cases lie below {said(float(middle), label)}, "
            f"and {100 * share:.0f} % between {ends}."
        )
        carries = {quantity: float(np.nanmedian(np.asarray(samples, dtype=float)))}
        return finished(sheet, format_of(path, kind), alt, carries, path)
