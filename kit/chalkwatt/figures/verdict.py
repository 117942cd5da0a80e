"""The figures of a verdict: the spread and the claim, what each input does, what it takes, the frontier."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from chalkwatt.answering.driven import with_drive
from chalkwatt.figures.plot import Plot, padded
from chalkwatt.laws.quantities import look_up, unit_of
from chalkwatt.wording.audience import for_whom_it_was_made
from chalkwatt.wording.numbers import format_alike

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from chalkwatt.evidence.claims.claims import Claim
    from chalkwatt.evidence.claims.verdicts import Frontier, Need, Verdict
    from chalkwatt.evidence.finding import Finding

__all__ = ["frontier_figure", "need_strip", "spread_figure", "tornado_figure"]

WIDTH = 360
_BINS = 48
_BESIDE = 8  # units; a spot further across than this from a line's end lies beside it


def _shown(finding: Finding, si: float, label: str) -> float:
    return finding.quantity.in_unit(si, label)


@for_whom_it_was_made
def spread_figure(finding: Finding, claim: Claim | None = None) -> str:
    """Draw the spread of a finding with its interval, and the claimed value.

    Parameters
    ----------
    finding : Finding
        With a spread.
    claim : Claim, optional

    Returns
    -------
    str
        SVG.
    """
    unit = claim.unit if claim else finding.unit
    drawn = finding.quantity.in_unit(finding.spread.solved, unit)
    claimed = [float(_shown(finding, claim.si, unit))] if claim else []
    low, high = np.quantile(drawn, [0.0005, 0.9995])
    plot = Plot(WIDTH, 190, padded([float(low), float(high), *claimed]), (0, 1), (14, 46, 14, 44))
    counts, edges = np.histogram(drawn, bins=_BINS, range=(float(low), float(high)))
    smooth = np.convolve(np.pad(counts, 2, mode="edge"), [0.1, 0.2, 0.4, 0.2, 0.1], mode="valid")
    heights = smooth / smooth.max()
    middles = (edges[:-1] + edges[1:]) / 2
    interval = finding.interval
    if interval is not None:
        ends = interval.to(unit)
        left, right = (plot.across(one) for one in ends)
        plot.box(left, plot.top, right - left, plot.bottom - plot.top, "band")
        words = f"{100 * interval.level:.3g} % of draws"
        plot.text(
            min(max((left + right) / 2, 60), WIDTH - 60),
            plot.top - 6,
            words,
            kind="q",
            anchor="middle",
        )
    outline = [
        (plot.across(one), plot.upward(0.96 * tall))
        for one, tall in zip(middles, heights, strict=True)
    ]
    plot.line(
        [(outline[0][0], plot.bottom), *outline, (outline[-1][0], plot.bottom)], "area", closed=True
    )
    if claim:
        place = plot.across(claimed[0])
        plot.line([(place, plot.top - 18), (place, plot.bottom)], "claim")
        side = "end" if place > WIDTH / 2 else "start"
        plot.text(
            place + (-6 if side == "end" else 6),
            plot.top - 24,
            f"claim: {claim.text}",
            kind="bad",
            anchor=side,
        )
    label = f"{finding.quantity.words} in {unit}" if unit else finding.quantity.words
    plot.axis(label)
    told = f"Spread of the {finding.quantity.words}: {interval.text_in(unit) if interval else finding.text}"
    told += f"; claimed: {claim.text}" if claim else ""
    return plot.svg(with_drive(f"{told}.", finding))


@for_whom_it_was_made
def tornado_figure(finding: Finding, claim: Claim | None = None, most: int = 8) -> str:
    """Draw what each input alone does to the finding.

    Parameters
    ----------
    finding : Finding
    claim : Claim, optional
    most : int
        How many inputs are shown.

    Returns
    -------
    str
        SVG.
    """
    unit = claim.unit if claim else finding.unit
    swings = [one for one in finding.tornado if math.isfinite(one.size)][:most]
    middle = float(_shown(finding, finding.si, unit))
    ends = [
        [float(_shown(finding, one, unit)) for one in (swing.at_low, swing.at_high)]
        for swing in swings
    ]
    every = [middle, *(one for pair in ends for one in pair)]
    claimed = float(_shown(finding, claim.si, unit)) if claim else middle
    reach = max(every) - min(every)
    near = claim is not None and min(every) - reach / 2 <= claimed <= max(every) + reach / 2
    row = 40
    height = 30 + row * len(swings) + 44
    plot = Plot(
        WIDTH, height, padded([*every, claimed] if near else every), (0, 1), (14, 26, 14, 44)
    )
    for place, (swing, pair) in enumerate(zip(swings, ends, strict=True)):
        y = plot.top + row * place
        start = plot.across(middle)
        for end, kind in zip(pair, ("soft", "bar"), strict=True):
            plot.box(start, y + 17, plot.across(end) - start, 13, kind)
        # Only beside the bar, so that no line runs through the words.
        plot.line([(start, y + 14), (start, y + 33)], "axis")
        fact = finding.facts[swing.name]
        plot.text(
            plot.left,
            y + 12,
            f"{look_up(swing.name).words}: {_ends(fact.low, fact.high, swing.name, fact.unit)}",
        )
    if near and claim is not None:
        along = plot.across(claimed)
        # Only beside the bars, so that no line runs through the words.
        for foot in range(len(swings)):
            y = plot.top + row * foot
            plot.line([(along, y + 14), (along, y + 33)], "claim")
        plot.line([(along, plot.bottom - 6), (along, plot.bottom)], "claim")
        plot.text(
            along,
            plot.top - 11,
            f"claim: {claim.text}",
            kind="bad",
            anchor="end" if along > WIDTH / 2 else "start",
        )
    plot.axis(f"{finding.quantity.words} in {unit}" if unit else finding.quantity.words)
    told = ", ".join(
        f"{look_up(swing.name).words} {' to '.join(format_alike(sorted(pair), 3))} {unit}"
        for swing, pair in zip(swings, ends, strict=True)
    )
    told = f"What each input alone does to the {finding.quantity.words}: {told}."
    return plot.svg(with_drive(told, finding))


def _ends(low: float, high: float, name: str, unit: str) -> str:
    entry = look_up(name)
    shown = " to ".join(format_alike([float(entry.in_unit(one, unit)) for one in (low, high)], 4))
    return f"{shown} {unit}".rstrip()


def need_strip(need: Need) -> str:
    """Draw the stated range of one input, its stated value, and the value that the claim needs.

    Parameters
    ----------
    need : Need

    Returns
    -------
    str
        SVG, a strip that fits a row of a table.
    """
    fact = need.fact
    width = (fact.high - fact.low) or 0.1 * abs(fact.si) or 1.0
    limits = (fact.low - 1.25 * width, fact.high + 1.25 * width)
    plot = Plot(180, 26, limits, (0, 1), (4, 4, 4, 4))
    plot.line([(plot.left, 13), (plot.right, 13)], "tick")
    if not fact.exact:
        plot.box(
            plot.across(fact.low), 8, plot.across(fact.high) - plot.across(fact.low), 10, "soft"
        )
    plot.circle(plot.across(fact.si), 13, 3.5, "dot")
    told = f"{look_up(need.name).words}: stated {fact.text}; "
    if need.value is None:
        return plot.svg(told + "no value of it alone would do")
    if not need.within_reach:
        return plot.svg(told + need.text)
    if limits[0] <= need.value <= limits[1]:
        place = plot.across(need.value)
        plot.line([(place, 2), (place, 24)], "claim")
    else:
        right = need.value > limits[1]
        tip, back = (plot.right, plot.right - 8) if right else (plot.left, plot.left + 8)
        plot.line([(back, 6), (tip, 13), (back, 20)], "claim")
    return plot.svg(told + need.text)


@for_whom_it_was_made
def frontier_figure(verdict: Verdict, frontier: Frontier) -> str:
    """Draw where the claim is just met for the two most powerful inputs.

    Parameters
    ----------
    verdict : Verdict
    frontier : Frontier

    Returns
    -------
    str
        SVG.
    """
    across, upward = frontier.across, frontier.upward
    units = unit_of(across.name, across.label), unit_of(upward.name, upward.label)

    def in_x(si: float) -> float:
        return look_up(across.name).in_unit(si, units[0])

    def in_y(si: float) -> float:
        return look_up(upward.name).in_unit(si, units[1])

    x = (float(in_x(frontier.x[0])), float(in_x(frontier.x[-1])))
    tall = upward.high - upward.low
    y = (float(in_y(upward.low - 0.75 * tall)), float(in_y(upward.high + 0.75 * tall)))
    plot = Plot(WIDTH, 300, x, y, (56, 40, 16, 44))
    left, right = (plot.across(float(in_x(one))) for one in (across.low, across.high))
    foot, head = (plot.upward(float(in_y(one))) for one in (upward.low, upward.high))
    plot.box(left, head, right - left, foot - head, "band")
    xs = look_up(across.name).in_unit(frontier.x, units[0])
    ys = look_up(upward.name).in_unit(frontier.y, units[1])
    plot.curve(xs, ys, "claim")
    plot.circle(plot.across(float(in_x(across.si))), plot.upward(float(in_y(upward.si))), 4, "dot")
    met = "met" if frontier.met_above else "not met"
    other = "not met" if frontier.met_above else "met"
    inside = np.isfinite(ys) & (ys >= y[0]) & (ys <= y[1])
    if inside.sum() > 2:
        _sides(plot, xs[inside], ys[inside], (met, other))
    else:
        word = "met" if verdict.met else "not met"
        plot.text(plot.right, plot.top + 12, f"{word} everywhere here", kind="bad", anchor="end")
    plot.text((left + right) / 2, foot + 15, "stated ranges", kind="q", anchor="middle")
    plot.axis(f"{look_up(across.name).words}{f' in {units[0]}' if units[0] else ''}")
    plot.side(f"{look_up(upward.name).words}{f' in {units[1]}' if units[1] else ''}")
    told = (
        f"Where the claim of {verdict.claim.text} is just met, for {look_up(across.name).words} "
        f"and {look_up(upward.name).words}; {met} above the line."
    )
    return plot.svg(with_drive(told, verdict.finding))


def _sides(
    plot: Plot, x: NDArray[np.float64], y: NDArray[np.float64], words: tuple[str, str]
) -> None:
    """Write on each side of a line which it is, where there is most room around the words."""
    line = [
        (plot.across(float(one)), plot.upward(float(other)))
        for one, other in zip(x, y, strict=True)
    ]
    band = plot.boxes[0]
    best: dict[bool, tuple[float, float, float]] = {}
    for across in np.linspace(plot.left + 30, plot.right - 28, 9):
        for down in np.linspace(plot.top + 14, plot.bottom - 10, 9):
            free = min(math.hypot(across - one, (down - other) * 1.6) for one, other in line)
            if (
                band[0] - 34 < across < band[0] + band[2] + 34
                and band[1] - 6 < down < band[1] + band[3] + 16
            ):
                continue
            above = _above(line, float(across), float(down))
            if free > best.get(above, (0.0, 0.0, 0.0))[0]:
                best[above] = (free, float(across), float(down))
    for above, word in zip((True, False), words, strict=True):
        if above in best:
            plot.text(best[above][1], best[above][2] + 4, word, kind="bad", anchor="middle")


def _above(line: list[tuple[float, float]], across: float, down: float) -> bool:
    """Say whether a spot lies above a line that runs through the figure, or beside it on that side."""
    places = np.asarray(line)
    nearest = places[np.argmin(np.abs(places[:, 0] - across))]
    if abs(nearest[0] - across) <= _BESIDE:
        return bool(down < nearest[1])
    nearest = places[np.argmin(np.abs(places[:, 1] - down))]
    falling = (line[-1][1] - line[0][1]) * (line[-1][0] - line[0][0]) > 0
    return bool((across < nearest[0]) != falling)
