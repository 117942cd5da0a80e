"""Figure cards: a figure as a picture for a video or an article.

Axes keep their place and their span over a series when it is given the same ``limits``. Beside
every colour stands a second cue: a dash, a marker, a hatching, and the name at the thing itself.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from chalkwatt.answering.answers import Answer
from chalkwatt.answering.driven import how_far, with_drive
from chalkwatt.calls import checked_call
from chalkwatt.cards.alt_text import describe_curve, said
from chalkwatt.cards.axes_layout import Span, label_ends, label_point, lay_out, write_across
from chalkwatt.cards.figure_style import Sheet, nice_limits, styled
from chalkwatt.cards.picture import Card, format_of
from chalkwatt.errors import ChalkwattError
from chalkwatt.laws.quantities import look_up
from chalkwatt.look.themes import CUES, choose
from chalkwatt.rendering.working import unit_for
from chalkwatt.wording.audience import for_whom_it_was_made

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence
    from pathlib import Path

    from matplotlib.axes import Axes
    from numpy.typing import NDArray

    from chalkwatt.look.themes import Look

__all__ = [
    "Curve",
    "Limits",
    "curve_card",
    "draw_curves",
    "figure_card",
    "finished",
    "shared_limits",
]

Limits = tuple[tuple[float, float], tuple[float, float]]
_POINTS = 241
_SAME = 1e-9  # relative; solutions nearer than this are one


@dataclass(frozen=True)
class Curve:
    """One curve: its name, and the rows of points that it consists of, in the units shown.

    ``point`` is the answer on it, ``further`` the other solutions at the same place.
    """

    name: str
    x: NDArray[np.float64]
    rows: tuple[NDArray[np.float64], ...]
    point: tuple[float, float] | None = None
    further: tuple[float, ...] = ()


@checked_call
def figure_card(
    draw: Callable[[Axes], object],
    path: str | Path | None = None,
    *,
    alt: str,
    carries: Mapping[str, float] | None = None,
    x: Span | None = None,
    y: Span | None = None,
    size: str | tuple[int, int] = "landscape",
    theme: str = "light",
    ground: str = "clear",
    kind: str | None = None,
) -> Card:
    """Make a card of any figure that Matplotlib can draw, in the style of all cards.

    Parameters
    ----------
    draw : callable
        ``draw(axes)`` puts the figure on a pair of axes; colours, dashes and widths are set.
    path : str or Path, optional
        Where to write it; without one, nothing is written and a notebook shows the card.
    alt : str
        The picture in words: trend, end points, units.
    carries : mapping of str to float, optional
        Quantities whose numbers it shows, in SI units.
    x, y : Span, optional
        Limits, name and unit of the axes; what ``draw`` leaves is used if left out.
    size, theme, ground, kind
        As for :func:`chalkwatt.cards.card.equation_card`.

    Returns
    -------
    Card

    Raises
    ------
    ChalkwattError
        If a choice is none, or there is no alt text.

    Examples
    --------
    >>> from chalkwatt.cards.figure_card import figure_card
    >>> figure_card(lambda axes: axes.plot([0, 1], [0, 2]), alt="A line rises.", kind="svg").kind
    'svg'
    """
    if not alt.strip():
        raise ChalkwattError(
            "A card needs its picture in words.", advice="Give alt=…, one sentence."
        )
    look = choose(size, theme, ground)
    with styled(look) as sheet:
        draw(sheet.axes)
        across = x or Span(*sheet.axes.get_xlim(), sheet.axes.get_xlabel(), "")
        upward = y or Span(*sheet.axes.get_ylim(), sheet.axes.get_ylabel(), "")
        lay_out(sheet, across, upward)
        return finished(sheet, format_of(path, kind), alt, carries or {}, path)


def finished(
    sheet: Sheet, kind: str, alt: str, carries: Mapping[str, float], path: str | Path | None
) -> Card:
    """Draw a laid-out figure, and write it if a path is given."""
    data = sheet.png(alt) if kind == "png" else sheet.svg(alt)
    size = (sheet.look.frame.width, sheet.look.frame.height)
    card = Card(data, kind, size, alt, dict(carries))
    return card if path is None else card.write(path)


@for_whom_it_was_made
@checked_call
def curve_card(
    answer: Answer | Mapping[str, Answer],
    path: str | Path | None = None,
    *,
    against: str,
    span: tuple[Any, Any] | None = None,
    limits: Limits | None = None,
    size: str | tuple[int, int] = "landscape",
    theme: str = "light",
    ground: str = "clear",
    kind: str | None = None,
) -> Card:
    """Draw the wanted of an answer against one of its known quantities.

    Parameters
    ----------
    answer : Answer, or mapping of str to Answer
        Several answers to the same question, by name, are drawn together.
    path : str or Path, optional
        Where to write it; without one, nothing is written and a notebook shows the card.
    against : str
        Name of a known quantity.
    span : tuple of two, optional
        From where to where, in SI or as text with units; the usual range if left out, and the given
        value.
    limits : tuple of two tuples of two floats, optional
        Of both axes, in the units shown, the same over a series; see :func:`shared_limits`.
    size, theme, ground, kind
        As for :func:`chalkwatt.cards.card.equation_card`.

    Returns
    -------
    Card

    Raises
    ------
    ChalkwattError
        If the quantity is none of the known ones, the answers are to different questions, or there
        is nothing to draw.

    Examples
    --------
    >>> from chalkwatt import load
    >>> from chalkwatt.cards.figure_card import curve_card
    >>> card = curve_card(load.find("range", **load.example), against="speed", kind="svg")
    >>> card.alt.partition(":")[0]
    'Range against speed'
    """
    answers = {"": answer} if isinstance(answer, Answer) else dict(answer)
    curves = _curves(answers, against, span)
    first = next(iter(answers.values()))
    labels = unit_for(against, first.labels.get(against)), first.unit
    names = against, first.wanted
    words = look_up(against).words, look_up(first.wanted).words
    (left, right), (low, high) = limits or _limits(curves)
    look = choose(size, theme, ground)
    with styled(look) as sheet:
        draw_curves(sheet.axes, curves, look)
        spans = Span(left, right, words[0], labels[0]), Span(low, high, words[1], labels[1])
        lay_out(sheet, *spans, key=[one.name for one in curves if len(curves) > 1])
        if len(curves) == 1 and curves[0].point is not None:
            at = curves[0].point
            text = f"{said(at[1], labels[1])} at {said(at[0], labels[0])}"
            label_point(sheet, at, text, [(curves[0].x, row) for row in curves[0].rows])
        elif len(curves) > 1:
            label_ends(sheet, [(one.name, one.x, one.rows[-1]) for one in curves])
        clauses = {how_far(one, along=against).strip() for one in answers.values()}
        if len(clauses) == 1 and (clause := clauses.pop()):
            write_across(sheet, clause, f"{words[1]}, {labels[1]}")
        alt = " ".join(_describe(one, words, labels) for one in curves)
        alt = with_drive(alt, first, along=against) if len(answers) == 1 else alt
        carries = {
            name: float(value) for one in answers.values() for name, value in one.known.items()
        }
        if not np.ndim(first.si):
            carries[names[1]] = float(first.si)
        return finished(sheet, format_of(path, kind), alt, carries, path)


def shared_limits(
    answers: Sequence[Answer], against: str, span: tuple[Any, Any] | None = None
) -> Limits:
    """Return limits that hold the curves of a whole series, to draw each of its cards alike.

    Parameters
    ----------
    answers : sequence of Answer
    against : str
    span : tuple of two, optional
        As for :func:`curve_card`.

    Returns
    -------
    tuple of two tuples of two floats
        Along and up, in the units shown.
    """
    return _limits(_curves({str(place): one for place, one in enumerate(answers)}, against, span))


def _curves(
    answers: Mapping[str, Answer], against: str, span: tuple[Any, Any] | None
) -> list[Curve]:
    if not answers or len(answers) > len(CUES):
        raise ChalkwattError(
            f"A card shows one to {len(CUES)} curves, not {len(answers)}.",
            limit=len(CUES),
            advice="More cannot be told apart; make several cards with the same limits.",
        )
    wanted = {one.wanted for one in answers.values()}
    if len(wanted) > 1:
        raise ChalkwattError(
            f"Answers to different questions share no axis: {', '.join(sorted(wanted))}.",
            advice="Draw answers for the same wanted quantity.",
        )
    entry = look_up(against)
    ends = _ends(list(answers.values()), against, span)
    label = unit_for(against, next(iter(answers.values())).labels.get(against))
    made = []
    for name, answer in answers.items():
        grid = np.linspace(*ends, _POINTS)
        others = {one: value for one, value in answer.known.items() if one != against}
        swept = answer.topic.find(answer.wanted, **others, **{against: grid})
        rows = tuple(
            np.asarray(answer.quantity.in_unit(one, answer.unit), dtype=float)
            for one in swept.solutions_si
        )
        if not any(np.isfinite(row).any() for row in rows):
            raise ChalkwattError(
                f"{answer.wanted} has no value anywhere between these ends of {against}.",
                quantity=against,
                advice="Give another span.",
            )
        at = (
            float(entry.in_unit(answer.known[against], label)),
            float(answer.quantity.in_unit(answer.si, answer.unit)),
        )
        every = [float(one.magnitude) for one in answer.solutions]
        further = tuple(one for one in every if abs(one - at[1]) > _SAME * abs(at[1]))
        made.append(Curve(name, np.asarray(entry.in_unit(grid, label)), rows, at, further))
    return made


def _ends(
    answers: Sequence[Answer], against: str, span: tuple[Any, Any] | None
) -> tuple[float, float]:
    entry = look_up(against)
    for answer in answers:
        if against not in answer.known or np.ndim(answer.known[against]):
            single = [one for one, value in answer.known.items() if not np.ndim(value)]
            raise ChalkwattError(
                f"{against} is no single known value of this answer.",
                quantity=against,
                advice=f"Draw it against one of {', '.join(single)}.",
            )
    if span is not None:
        low, high = (entry.read_one(one) for one in span)
    else:
        given = [float(one.known[against]) for one in answers]
        low, high = min(entry.usual[0], *given), max(entry.usual[1], *given)
    if not low < high:
        raise ChalkwattError(
            f"A span from {low:g} to {high:g} {entry.unit} has no room for a curve.",
            quantity=against,
            unit=entry.unit,
            advice="Give the lower end first.",
        )
    return low, high


def _limits(curves: Sequence[Curve]) -> Limits:
    values = np.concatenate([row for one in curves for row in one.rows])
    values = values[np.isfinite(values)]
    across = (min(float(one.x.min()) for one in curves), max(float(one.x.max()) for one in curves))
    return across, nice_limits(float(values.min()), float(values.max()))


def draw_curves(axes: Axes, curves: Sequence[Curve], look: Look) -> None:
    """Draw curves, each with its colour, its dash and its marker."""
    for curve, colour, (dash, marker, _) in zip(curves, look.theme.series, CUES, strict=False):
        for row in curve.rows:
            axes.plot(curve.x, row, color=colour, linestyle=(0, dash) if dash else "-", zorder=3)
        if curve.point is not None:
            axes.plot(
                *curve.point, marker=marker, color=colour, linestyle="none", zorder=4, clip_on=False
            )
            for one in curve.further:  # an open point: the second cue of a second solution
                axes.plot(
                    curve.point[0],
                    one,
                    marker=marker,
                    color=colour,
                    markerfacecolor=look.ground or look.theme.paper,
                    zorder=4,
                    clip_on=False,
                )


def _describe(curve: Curve, words: tuple[str, str], labels: tuple[str, str]) -> str:
    text = " ".join(describe_curve(curve.x, row, words, labels, curve.name) for row in curve.rows)
    if curve.point is None:
        return text
    also = "".join(f", and {said(one, labels[1])}" for one in curve.further)
    here = f"{said(curve.point[1], labels[1])}{also} at {said(curve.point[0], labels[0])}"
    return f"{text} Marked: {here}."
