"""Where things stand on a figure card: axes within the safe area, labels that cover nothing."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from chalkwatt.cards.figure_style import nice_ticks, tick_texts, width_of
from chalkwatt.cards.typesetting import set_words
from chalkwatt.look.themes import CUES

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from numpy.typing import NDArray

    from chalkwatt.cards.figure_style import Sheet

__all__ = [
    "Span",
    "cut",
    "label_ends",
    "label_point",
    "lay_out",
    "lay_out_bars",
    "write_across",
    "write_below",
    "write_right",
]

_LEADING = 1.25  # em from line to line
_PER_TICK = 3.4  # em of width for each number along an axis
_SPARE = 0.2  # of the height, that words at the foot may take
_WIDE = 1.2  # width over height from which names stand beside their curves


@dataclass(frozen=True)
class Span:
    """An axis: limits and unit as shown, and what it measures."""

    low: float
    high: float
    words: str
    label: str

    @property
    def title(self) -> str:
        """What is written at the axis."""
        return (
            f"{self.words}, {self.label}" if self.label and self.words else self.words or self.label
        )


def write_below(sheet: Sheet, text: str) -> float:
    """Write at the foot what a picture holds for, whole or not at all, and return the height that it takes.

    Parameters
    ----------
    sheet : Sheet
    text : str
        Empty for nothing.

    Returns
    -------
    float
        In pixels; nought where it would take more of the picture than there is to spare. Its words say it all
        the same.
    """
    left, top, right, bottom = sheet.look.frame.safe
    em = sheet.look.text
    lines: list[str] = []
    for word in text.split():
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and width_of(longer, em) <= right - left:
            lines[-1] = longer
        else:
            lines.append(word)
    high = len(lines) * _LEADING * em
    if not lines or high > _SPARE * (bottom - top):
        return 0.0
    for place, line in enumerate(reversed(lines)):
        at = bottom - (0.28 + place * _LEADING) * em
        sheet.write(left, at, line, color=sheet.look.theme.quiet, ha="left", va="baseline")
    return high


def lay_out(
    sheet: Sheet, across: Span, upward: Span, key: Sequence[str] = (), *, foot: float = 0.0
) -> None:
    """Set limits, round numbers and titles, and place the axes, all within the safe area.

    Parameters
    ----------
    sheet : Sheet
    across, upward : Span
    key : sequence of str
        Names of curves for which room is to be kept.
    foot : float
        Height in pixels that something else takes at the foot.
    """
    axes, em = sheet.axes, sheet.look.text
    left, top, right, bottom = sheet.look.frame.safe
    bottom -= foot
    axes.set_xlim(across.low, across.high)
    axes.set_ylim(upward.low, upward.high)
    most = max(int((bottom - top) / (2.6 * em)), 2)
    ups = nice_ticks(upward.low, upward.high, min(most, 5))
    ups_text = tick_texts(ups)
    axes.set_yticks(ups, ups_text)
    inset = max(width_of(one, em) for one in ups_text) + 0.75 * em
    x0 = left + inset
    wide = sheet.look.frame.width > _WIDE * sheet.look.frame.height
    beside = max((_name_width(one, em) for one in key), default=0.0) if wide else 0.0
    along = nice_ticks(
        across.low, across.high, max(min(int((right - x0) / (_PER_TICK * em)), 6), 2)
    )
    along_text = tick_texts(along)
    x1 = right - max(beside + (0.4 * em if beside else 0.0), width_of(along_text[-1], em) / 2)
    axes.set_xticks(along, along_text)
    y0 = top + 1.85 * em
    if key and not wide:
        y0 += _key(sheet, key, left, y0)
    y1 = bottom - 2.75 * em
    sheet.frame(x0, y0, x1, y1)
    axes.set_xlabel("")
    axes.set_ylabel("")
    ink = sheet.look.theme.ink
    sheet.write(
        left,
        top + 0.82 * em,
        cut(upward.title, right - left, em),
        color=ink,
        ha="left",
        va="baseline",
    )
    sheet.write(
        x1,
        bottom - 0.28 * em,
        cut(across.title, x1 - left, em),
        color=ink,
        ha="right",
        va="baseline",
    )


def write_right(sheet: Sheet, text: str) -> None:
    """Write a remark at the top right, across from the title of the upward axis."""
    left, top, right, _ = sheet.look.frame.safe
    em = sheet.look.text
    shown = cut(text, 0.6 * (right - left), em)
    sheet.write(
        right, top + 0.82 * em, shown, color=sheet.look.theme.ink, ha="right", va="baseline"
    )


def write_across(sheet: Sheet, text: str, title: str) -> None:
    """Write at the top right what a curve holds for, whole or not at all: cut short it would say something else."""
    left, top, right, _ = sheet.look.frame.safe
    em = sheet.look.text
    if width_of(text, em) + width_of(title, em) + em <= right - left:
        tone = sheet.look.theme.quiet
        sheet.write(right, top + 0.82 * em, text, color=tone, ha="right", va="baseline")


def cut(text: str, width: float, em: float) -> str:
    """Shorten a title that is wider than its place; whole words only, with a mark that says so."""
    lines = set_words(text, width / em)
    if len(lines) <= 1 and (not lines or lines[0].width * em <= width):
        return text
    kept = ""
    for letter in text:
        if width_of(kept + letter + "…", em) > width:
            break
        kept += letter
    return kept.rstrip() + "…"


def _name_width(name: str, em: float) -> float:
    return max((line.width for line in set_words(name, 6.5)), default=0.0) * em * 1.02


def _key(sheet: Sheet, names: Sequence[str], left: float, top: float) -> float:
    """Write a key line by line above upright figures, and return how much height it takes."""
    from matplotlib.lines import Line2D  # noqa: PLC0415  Matplotlib is slow to import

    look, em = sheet.look, sheet.look.text
    wide, high = look.frame.width, look.frame.height
    for place, (name, colour, (dash, marker, _)) in enumerate(
        zip(names, look.theme.series, CUES, strict=False)
    ):
        y = top + (place + 0.35) * _LEADING * em
        ends = [one / wide for one in (left + 6 * look.unit, left + 1.1 * em, left + 2.2 * em)]
        sheet.figure.add_artist(
            Line2D(
                ends,
                [1 - y / high] * 3,
                markevery=[1],
                color=colour,
                linestyle=(0, dash) if dash else "-",
                marker=marker,
                transform=sheet.figure.transFigure,
            )
        )
        room = look.frame.safe[2] - left - 2.7 * em
        sheet.write(left + 2.7 * em, y + 0.33 * em, cut(name, room, em), va="baseline", ha="left")
    return len(names) * _LEADING * em + 0.5 * em


def label_point(
    sheet: Sheet,
    point: tuple[float, float],
    text: str,
    curves: Sequence[tuple[NDArray[np.float64], NDArray[np.float64]]],
    *,
    marked: bool = True,
) -> None:
    """Write a point's number where it covers the least, and draw its guide lines to both axes.

    Parameters
    ----------
    sheet : Sheet
        Laid out already.
    point : tuple of two floats
        In the units shown.
    text : str
    curves : sequence of (ndarray, ndarray)
        What should stay clear.
    marked : bool
        Whether guide lines are drawn.
    """
    axes, look, em = sheet.axes, sheet.look, sheet.look.text
    if marked:
        style = {
            "color": look.theme.quiet,
            "linewidth": look.line,
            "linestyle": (0, (3, 2.2)),
            "zorder": 1,
        }
        low = axes.get_xlim()[0], axes.get_ylim()[0]
        axes.plot([point[0]] * 2, [low[1], point[1]], **style)  # type: ignore[arg-type]  # fields only
        axes.plot([low[0], point[0]], [point[1]] * 2, **style)  # type: ignore[arg-type]  # fields only
    place = axes.transData.transform(point)
    ink = [axes.transData.transform(np.column_stack(one)) for one in curves]
    lines = np.concatenate([one[np.isfinite(one).all(axis=1)] for one in ink])
    if marked:
        steps = np.linspace(0, 1, 80)[:, None]
        corner = axes.transData.transform(low)
        lines = np.concatenate(
            [
                lines,
                place * steps + (place[0], corner[1]) * (1 - steps),
                place * steps + (corner[0], place[1]) * (1 - steps),
            ]
        )
    wide = width_of(text, em)
    box = axes.get_window_extent()
    best = (math.inf, 0.0, 0.0)
    for gap in (0.5, 0.9, 1.5, 2.3, 3.4, 4.8):
        for right, up in ((1, 1), (-1, 1), (1, -1), (-1, -1), (0, 1), (0, -1)):
            x = place[0] + (right * gap * em if right else -wide / 2) - (wide if right < 0 else 0)
            x = min(max(x, box.x0 + 0.3 * em), look.frame.safe[2] - wide)
            y = place[1] + (up * gap - (0.7 if up < 0 else 0)) * em
            inside = (
                (lines[:, 0] > x - 0.25 * em)
                & (lines[:, 0] < x + wide + 0.25 * em)
                & (lines[:, 1] > y - 0.4 * em)
                & (lines[:, 1] < y + 0.95 * em)
            )
            off = max(box.y0 + 0.4 * em - y, y + 0.75 * em - box.y1 - 0.3 * em, 0.0)
            cost = float(inside.sum()) + 10 * off + gap
            if cost < best[0]:
                best = (cost, x, y)
    sheet.write(
        best[1],
        look.frame.height - best[2],
        text,
        color=look.theme.ink,
        va="baseline",
        ha="left",
    )


def label_ends(
    sheet: Sheet, curves: Sequence[tuple[str, NDArray[np.float64], NDArray[np.float64]]]
) -> None:
    """Write each curve's name at its right end, one above the other where ends are close."""
    look, em = sheet.look, sheet.look.text
    if look.frame.width <= _WIDE * look.frame.height:
        return  # the key has them
    box = sheet.axes.get_window_extent()
    wanted: list[tuple[float, list[str], str]] = []
    for (name, x, y), colour in zip(curves, look.theme.series, strict=False):
        good = np.isfinite(y)
        if not good.any():
            continue
        end = sheet.axes.transData.transform((x[good][-1], y[good][-1]))[1]
        wanted.append((float(end), _lines(name), colour))
    wanted.sort(key=lambda one: one[0])
    floor = box.y0 - 0.2 * em
    tops = []
    for end, lines, colour in wanted:
        tall = len(lines) * _LEADING * em
        low = max(end - tall / 2, floor)
        floor = low + tall
        tops.append((low, lines, colour))
    over = max(floor - box.y1 - 0.6 * em, 0.0)
    for low, lines, colour in tops:
        for number, line in enumerate(lines):
            base = low - over + (len(lines) - 1 - number) * _LEADING * em + 0.3 * em
            sheet.write(
                box.x1 + 0.4 * em, look.frame.height - base, line, color=colour, va="baseline"
            )


def _lines(name: str) -> list[str]:
    """Break a name into the lines in which it is set."""
    lines: list[str] = []
    for word in name.split():
        if lines and set_words(f"{lines[-1]} {word}")[0].width <= 6.5:
            lines[-1] += f" {word}"
        else:
            lines.append(word)
    return lines


def lay_out_bars(
    sheet: Sheet,
    bars: Mapping[str, tuple[float, str]],
    limits: tuple[float, float],
    title: str,
    below: str = "",
) -> None:
    """Draw bars with their names above them and their numbers at their ends.

    Parameters
    ----------
    sheet : Sheet
    bars : mapping of str to (float, str)
        Length and text of each, by name.
    limits : tuple of two floats
        Of the bars' axis.
    title : str
    below : str
        What they hold for, written at the foot where there is room.
    """
    axes, look, em = sheet.axes, sheet.look, sheet.look.text
    left, top, right, bottom = look.frame.safe
    bottom -= write_below(sheet, below)
    if title:
        sheet.write(left, top + 0.82 * em, cut(title, right - left, em), va="baseline", ha="left")
    y0 = top + (1.6 * em if title else 0.0)
    beside = max(width_of(text, em) for _, text in bars.values()) + 0.5 * em
    axes.set_xlim(*limits)
    axes.set_ylim(len(bars), 0)
    axes.set_xticks([])
    axes.set_yticks([])
    for side in ("left", "bottom"):
        axes.spines[side].set_visible(False)
    sheet.frame(left, y0, right - beside, bottom)
    each = (bottom - y0) / len(bars)
    high = look.frame.height
    for place, (name, (value, text)) in enumerate(bars.items()):
        thick = max(min(each - 1.6 * em, 1.3 * em), 0.3 * em) / each
        base = place + 0.5 * (1 + 1.25 * em / each)
        axes.barh(
            base,
            value,
            height=thick,
            color=look.theme.series[0],
            edgecolor=look.ground or look.theme.paper,
            hatch=CUES[1][2] if value < 0 else "",
            linewidth=0,
        )
        sheet.write(
            left,
            y0 + place * each + each * (base - place - thick / 2) - 0.35 * em,
            cut(name, right - left, em),
            va="baseline",
        )
        end = axes.transData.transform((max(value, 0.0), base))
        sheet.write(end[0] + 0.4 * em, high - end[1] + 0.33 * em, text, va="baseline")
    if limits[0] < 0:
        axes.axvline(0, color=look.theme.quiet, linewidth=look.line)
