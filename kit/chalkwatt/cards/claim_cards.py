"""Figure cards that only a sheet can give: where the energy goes, a claim, and what decides it."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, TypedDict, Unpack

import numpy as np

from chalkwatt.answering.driven import as_line, how_driven, on_the_road, with_drive
from chalkwatt.cards.alt_text import describe_bars, said, said_span
from chalkwatt.cards.axes_layout import (
    Span,
    cut,
    label_point,
    lay_out,
    lay_out_bars,
    write_below,
    write_right,
)
from chalkwatt.cards.figure_card import finished
from chalkwatt.cards.figure_style import nice_limits, styled
from chalkwatt.cards.picture import Card, format_of
from chalkwatt.errors import ChalkwattError
from chalkwatt.evidence.claims.telling import cases
from chalkwatt.laws.quantities import look_up
from chalkwatt.look.themes import CUES, choose
from chalkwatt.wording.audience import current, for_whom_it_was_made, ordered
from chalkwatt.wording.numbers import format_alike, format_input

if TYPE_CHECKING:
    from pathlib import Path

    from numpy.typing import NDArray

    from chalkwatt.cards.figure_style import Sheet
    from chalkwatt.evidence.claims.verdicts import Verdict
    from chalkwatt.evidence.finding import Finding
    from chalkwatt.look.themes import Look

__all__ = ["claim_card", "losses_card", "part_unit", "parts_of_consumption", "sway_card"]

_UNITS = ("Wh/km", "Wh/mi")
_BINS = 40
_MOST_ROWS = 5


def part_unit() -> str:
    """Return the unit in which the audience reads a part of a consumption.

    Examples
    --------
    >>> from chalkwatt.cards.claim_cards import part_unit
    >>> part_unit()
    'Wh/km'
    """
    return ordered(_UNITS, current().units)[0]


def parts_of_consumption(finding: Finding) -> dict[str, float]:
    """Share out the consumption of a finding, in joules per metre, by what takes it.

    Parameters
    ----------
    finding : Finding
        Of ``consumption``.

    Returns
    -------
    dict of str to float
        The parts add up to the consumption; what is nought is left out.

    Raises
    ------
    ChalkwattError
        If the finding does not come by way of the forces.
    """
    values = {name: float(one) for name, one in finding.best.values.items()}
    values |= {name: float(one) for name, one in finding.known.items()}
    needed = ("speed", "battery_power", "auxiliary_power", "wheel_power", "air_force")
    if not {*needed, "rolling_force"} <= set(values) or not values["speed"] > 0:
        raise ChalkwattError(
            "This consumption does not come by way of the forces, so it cannot be shared out.",
            quantity="consumption",
            advice="State drag area, mass and rolling coefficient.",
        )
    speed, auxiliary = values["speed"], values["auxiliary_power"]
    lost = values["battery_power"] - auxiliary - values["wheel_power"]
    parts = {
        "air drag": values["air_force"],
        "rolling": values["rolling_force"],
        "climbing": values.get("grade_force", 0.0),
        "lost in the drive": lost / speed,
        "auxiliary load": auxiliary / speed,
    }
    return {name: one for name, one in parts.items() if abs(one) > 1e-9 * abs(values["air_force"])}


class LookOptions(TypedDict, total=False):
    """How a card looks, as :func:`chalkwatt.cards.card.equation_card` explains it."""

    size: str | tuple[int, int]
    theme: str
    ground: str
    kind: str | None


@for_whom_it_was_made
def losses_card(
    finding: Finding, path: str | Path | None = None, **look: Unpack[LookOptions]
) -> Card:
    """Draw where the energy of a kilometre goes.

    Parameters
    ----------
    finding : Finding
        Of ``consumption``, with speed and forces behind it.
    path : str or Path, optional
    **look
        ``size``, ``theme``, ``ground`` and ``kind``, as for
        :func:`chalkwatt.cards.card.equation_card`.

    Returns
    -------
    Card
        It carries the consumption, and each part as ``part: air drag`` and so on.

    Raises
    ------
    ChalkwattError
        If the finding does not come by way of the forces, or a choice is none.
    """
    parts = parts_of_consumption(finding)
    entry = look_up("consumption")
    unit = part_unit()
    shown = {name: float(entry.in_unit(one, unit)) for name, one in parts.items()}
    total = float(entry.in_unit(finding.si, unit))
    speed = _at(finding, "speed")
    title = f"Where {said(total, unit)} go at a steady {speed}"
    with styled(_look(look)) as sheet:
        limits = nice_limits(min(0.0, *shown.values()), max(shown.values()))
        bars = {name: (one, said(one, unit)) for name, one in shown.items()}
        lay_out_bars(
            sheet,
            bars,
            (min(0.0, limits[0]), max(shown.values())),
            title,
            as_line(on_the_road(finding)),
        )
        alt = with_drive(describe_bars(title, shown, unit), finding)
        carries = {"consumption": float(finding.si), **_named(parts)}
        carries["speed"] = float(finding.best.values["speed"])
        return finished(sheet, format_of(path, look.get("kind")), alt, carries, path)


def _named(parts: dict[str, float]) -> dict[str, float]:
    return {f"part: {name}": one for name, one in parts.items()}


def _at(finding: Finding, name: str) -> str:
    label = finding.facts[name].unit if name in finding.facts else look_up(name).display[0]
    si = float(finding.best.values[name])
    return f"{format_input(float(look_up(name).in_unit(si, label)), 4)} {label}".rstrip()


@for_whom_it_was_made
def claim_card(
    verdict: Verdict, path: str | Path | None = None, **look: Unpack[LookOptions]
) -> Card:
    """Draw how a claimed quantity spreads by the sheet, and where the claim stands.

    Parameters
    ----------
    verdict : Verdict
        With a spread.
    path : str or Path, optional
    **look
        As for :func:`losses_card`.

    Returns
    -------
    Card

    Raises
    ------
    ChalkwattError
        If nothing behind the claim has a range, or a choice is none.
    """
    from matplotlib.patches import Rectangle  # noqa: PLC0415  Matplotlib is slow to import

    finding, claim = verdict.finding, verdict.claim
    drawn, unit = _drawn(finding, claim.unit), claim.unit
    claimed = float(finding.quantity.in_unit(claim.si, unit))
    counts, edges = np.histogram(drawn, _BINS, tuple(np.quantile(drawn, [0.001, 0.999])))
    heights = 100 * counts / drawn.size
    chosen = _look(look)
    tone = chosen.theme
    with styled(chosen) as sheet:
        axes = sheet.axes
        across = nice_limits(min(float(edges[0]), claimed), max(float(edges[-1]), claimed))
        upward = nice_limits(0.0, float(heights.max()) * 1.15)
        axes.stairs(heights, edges, fill=True, color=tone.band)
        met = axes.stairs(
            heights, edges, fill=True, facecolor=tone.band, edgecolor=tone.series[0], hatch="/"
        )
        end = across[1] if claim.sense == "at least" else across[0]
        side = Rectangle((claimed, 0.0), end - claimed, upward[1], transform=axes.transData)
        met.set_clip_path(side)
        axes.stairs(heights, edges, color=tone.series[0], linewidth=8 * chosen.unit)
        axes.axvline(claimed, color=tone.ink, linewidth=2 * chosen.line, linestyle=(0, CUES[1][0]))
        foot = write_below(sheet, as_line(how_driven(finding)))
        spans = Span(*across, finding.quantity.words, unit), Span(*upward, "cases", "%")
        lay_out(sheet, *spans, foot=foot)
        middles = (edges[:-1] + edges[1:]) / 2
        line = np.linspace(0.0, upward[1], 60)
        clear = [(middles, heights), (np.full(60, claimed), line)]
        label_point(sheet, (claimed, 0.93 * upward[1]), f"claim: {claim.text}", clear, marked=False)
        write_right(sheet, f"met in {_briefly(verdict.chance)}")
        alt = with_drive(
            _claim_words(verdict, unit, float(edges[0]), float(edges[-1])), verdict.finding
        )
        return finished(sheet, format_of(path, look.get("kind")), alt, _carried(verdict), path)


def _drawn(finding: Finding, unit: str) -> NDArray[np.float64]:
    if finding.certain or finding.spread.solved.size < 2:
        raise ChalkwattError(
            f"Nothing behind this {finding.quantity.words} has a range, so nothing spreads.",
            quantity=finding.wanted,
            advice="Give ranges in the sheet.",
        )
    return np.asarray(finding.quantity.in_unit(finding.spread.solved, unit), dtype=float)


def _briefly(chance: float) -> str:
    """Say a chance in a few letters, never more exactly than draws can tell."""
    if chance in {0.0, 1.0}:
        return "no case tried" if chance == 0 else "every case tried"
    if chance < 0.01:
        return "under 1 % of cases"
    return "over 99 % of cases" if chance > 0.99 else f"{100 * chance:.0f} % of cases"


def _claim_words(verdict: Verdict, unit: str, low: float, high: float) -> str:
    finding, claim = verdict.finding, verdict.claim
    told = cases(verdict.chance, finding.spread.values.size)
    return (
        f"How the {finding.quantity.words} spreads by the sheet: nearly all cases lie between "
        f"{said_span(low, high, unit, ' and ')}. Marked: the claim of {claim.said}, "
        f"met in {told}."
    )


def _carried(verdict: Verdict) -> dict[str, float]:
    return {
        verdict.finding.wanted: float(verdict.finding.si),
        "claim": float(verdict.claim.si),
        "chance": verdict.chance,
    }


@for_whom_it_was_made
def sway_card(
    verdict: Verdict, path: str | Path | None = None, **look: Unpack[LookOptions]
) -> Card:
    """Draw what each value behind a claim does alone, from one end of its range to the other.

    Parameters
    ----------
    verdict : Verdict
        With a spread.
    path : str or Path, optional
    **look
        As for :func:`losses_card`.

    Returns
    -------
    Card

    Raises
    ------
    ChalkwattError
        If nothing behind the claim has a range, or a choice is none.
    """
    finding, unit = verdict.finding, verdict.claim.unit
    chosen = _look(look)
    swings = [one for one in finding.tornado if math.isfinite(one.size)]
    if not swings:
        _drawn(finding, unit)  # says what is missing
    rows = []
    for one in swings[:_MOST_ROWS]:
        ends = [float(finding.quantity.in_unit(si, unit)) for si in (one.at_low, one.at_high)]
        fact = finding.facts[one.name]
        entry = look_up(one.name)
        span = " to ".join(
            format_alike([float(entry.in_unit(si, fact.unit)) for si in (fact.low, fact.high)], 4)
        )
        rows.append((f"{look_up(one.name).words}, {span} {fact.unit}".rstrip(), ends[0], ends[1]))
    middle = float(finding.quantity.in_unit(finding.si, unit))
    with styled(chosen) as sheet:
        claimed = float(finding.quantity.in_unit(verdict.claim.si, unit))
        kept = _sway(
            sheet,
            rows,
            middle,
            (claimed, verdict.claim.text),
            Span(0, 1, finding.quantity.words, unit),
            below=as_line(how_driven(finding)),
        )
        listed = "; ".join(
            f"{name}: {said_span(low, high, unit)}" for name, low, high in rows[:kept]
        )
        alt = (
            f"What each value alone does to the {finding.quantity.words}, from the lower end of its "
            f"range (hatched) to the upper, about {said(middle, unit)}. {listed}."
        )
        alt = with_drive(alt, finding)
        carries = _carried(verdict) | {
            one.name: finding.facts[one.name].si for one in swings[:kept]
        }
        return finished(sheet, format_of(path, look.get("kind")), alt, carries, path)


def _sway(
    sheet: Sheet,
    rows: list[tuple[str, float, float]],
    middle: float,
    claim: tuple[float, str],
    span: Span,
    *,
    below: str,
) -> int:
    """Draw as many rows as there is room for, the most telling first, and return how many."""
    look, em, axes = sheet.look, sheet.look.text, sheet.axes
    left, top, _, bottom = look.frame.safe
    foot = write_below(sheet, below)
    bottom -= foot
    room = bottom - top - 4.6 * em
    kept = max(1, min(len(rows), int(room / (2.0 * em))))
    every = [middle, *(end for _, *ends in rows[:kept] for end in ends)]
    low, high = min(every), max(every)
    reach = high - low or abs(middle) * 0.1 or 1.0
    near = low - reach / 2 <= claim[0] <= high + reach / 2
    low, high = (min(low, claim[0]), max(high, claim[0])) if near else (low, high)
    # What has a range need not move it, as where another limit binds: an axis has a length all the same.
    margin = 0.06 * (high - low) or reach / 2
    lay_out(
        sheet,
        Span(low - margin, high + margin, span.words, span.label),
        Span(0.0, kept, "", ""),
        foot=foot,
    )
    axes.set_ylim(kept, 0)
    axes.set_yticks([])
    axes.spines["left"].set_visible(False)
    x1 = axes.get_window_extent().x1
    y0, y1 = top + 1.7 * em, bottom - 2.75 * em
    # In from the edge by what the first number of the axis may hang over.
    sheet.frame(left + 1.1 * em, y0, x1, y1)
    each = (y1 - y0) / kept
    for place, (name, at_low, at_high) in enumerate(rows[:kept]):
        thick = min(0.8 * em, 0.35 * each) / each
        base = place + 1 - thick / 2 - 0.16 * em / each
        for end, hatch, fill in (
            (at_low, "/", look.theme.band),
            (at_high, "", look.theme.series[0]),
        ):
            axes.barh(
                base, end - middle, left=middle, height=thick, facecolor=fill, hatch=hatch,
                edgecolor=look.theme.series[0], linewidth=look.line,
            )  # fmt: skip
        sheet.write(
            left,
            y0 + each * (base - thick / 2) - 0.42 * em,
            cut(name, x1 - left, em),
            va="baseline",
        )
        if near:
            # Beside the bars only, so that no line runs through the words.
            reach_of = [base - 0.7 * thick, base + 0.6 * thick]
            axes.plot([claim[0]] * 2, reach_of, "-", color=look.theme.ink, linewidth=2 * look.line)
    arrow = "" if near else " →" if claim[0] > high else " ←"
    sheet.write(left, top + 0.82 * em, "hatched: lower end", va="baseline", ha="left")
    write_right(sheet, f"claim: {claim[1]}{arrow}")
    return kept


def _look(look: LookOptions) -> Look:
    return choose(
        look.get("size", "landscape"), look.get("theme", "light"), look.get("ground", "clear")
    )
