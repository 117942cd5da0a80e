"""Equation cards: one step of a working as a picture for a video or an article.

The equation stands in symbols, with its numbers and with its result, on a canvas whose layout does
not depend on how much of it is shown, so that an editor can lay one file over the other.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from chalkwatt.answering.driven import how_far, with_drive
from chalkwatt.calls import checked_call
from chalkwatt.cards.equation_lines import Line, broken, line_of
from chalkwatt.cards.picture import Canvas, Card, Placed, format_of
from chalkwatt.cards.typesetting import set_words
from chalkwatt.errors import ChalkwattError
from chalkwatt.evidence.claims.telling import assumed
from chalkwatt.evidence.finding import Finding
from chalkwatt.evidence.flattery import flattered
from chalkwatt.evidence.remarks import notes_on
from chalkwatt.look.themes import Look, choose
from chalkwatt.wording.audience import for_whom_it_was_made

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from chalkwatt.answering.answers import Answer
    from chalkwatt.cards.typesetting import Setting
    from chalkwatt.rendering.working import Shown, WorkingStep

__all__ = ["PARTS", "equation_build", "equation_card"]

PARTS = ("symbols", "numbers", "result")
_SIZES = (120, 108, 96, 88, 80, 72, 66, 60)  # units of em, largest first
_BETWEEN = 0.62  # em between the boxes of two lines
_TITLE_GAP = 0.9  # em between title and equation
_FOOT_GAP = 0.5  # em between the result and what it holds for
_WIDEST_MARGIN = 4.0  # em; a broken line does not start further in
_LEAST_ABOVE, _LEAST_BELOW = 0.72, 0.24  # em; a line without tall or deep letters is no smaller


@dataclass(frozen=True)
class _Row:
    """One line on a card: a part of the working or the title, with its place in pixels."""

    part: str
    placed: tuple[Placed, ...]


@for_whom_it_was_made
@checked_call
def equation_card(
    answer: Answer,
    path: str | Path | None = None,
    *,
    show: str | Iterable[str] = PARTS,
    step: str | None = None,
    size: str | tuple[int, int] = "landscape",
    theme: str = "light",
    ground: str = "clear",
    title: bool | str = True,
    kind: str | None = None,
) -> Card:
    """Make a picture of one step of an answer's working.

    Parameters
    ----------
    answer : Answer
    path : str or Path, optional
        Where to write it; without one, nothing is written and a notebook shows the card.
    show : str or iterable of str
        Any of ``"symbols"``, ``"numbers"`` and ``"result"``; what is left out keeps its place.
    step : str, optional
        Name of the quantity that the step finds; the wanted one if left out.
    size : str or tuple of two ints
        ``"landscape"`` (1920 × 1080), ``"portrait"``, ``"square"``, ``"double"`` (3840 × 2160),
        text such as ``"1280x720"``, or width and height in pixels.
    theme : str
        ``"light"``, for a light ground, or ``"dark"``.
    ground : str
        ``"clear"`` for a transparent picture, ``"paper"`` for the ground of the theme.
    title : bool or str
        Whether the name of the relation stands above, or another text.
    kind : str, optional
        ``"png"`` or ``"svg"``; the file's name decides if left out.

    Returns
    -------
    Card
        Its data, its path, the picture in words, and the quantities whose numbers it shows.

    Raises
    ------
    ChalkwattError
        If the equation does not fit at a legible size, or a choice is none.

    Examples
    --------
    >>> from chalkwatt import load
    >>> drag = load.find("air_force", speed="72 km/h", drag_area="0.5 m^2", air_density=1.2)
    >>> card = drag.card(show="result")
    >>> card.size, dict(card.carries)
    ((1920, 1080), {'air_force': 120.0})
    """
    chosen, find = _chosen(show), step or answer.wanted
    look = choose(size, theme, ground)
    rows = _layout(answer, [find], look, title=title)[0]
    head = title if isinstance(title, str) else ""
    canvas = Canvas(look, _placed(rows, chosen))
    card = _drawn(answer, find, chosen, canvas, format_of(path, kind), head=head)
    return card if path is None else card.write(path)


@for_whom_it_was_made
@checked_call
def equation_build(
    answer: Answer,
    folder: str | Path | None = None,
    *,
    steps: Iterable[str] | None = None,
    size: str | tuple[int, int] = "landscape",
    theme: str = "light",
    ground: str = "clear",
    title: bool | str = True,
    kind: str = "png",
) -> tuple[Card, ...]:
    """Make the pictures that build an equation up: symbols, then numbers, then the result.

    Every file has the same canvas, the same size of letters and each line in the same place, over
    all steps, so that nothing jumps.

    Parameters
    ----------
    answer : Answer
    folder : str or Path, optional
        Where to write them, as ``air_force-1.png`` and so on; nothing is written without one.
    steps : iterable of str, optional
        Names of the quantities whose steps are shown; the wanted one if left out.
    size, theme, ground, title, kind
        As for :func:`equation_card`.

    Returns
    -------
    tuple of Card

    Raises
    ------
    ChalkwattError
        If an equation does not fit at a legible size, or a choice is none.

    Examples
    --------
    >>> from chalkwatt import load
    >>> drag = load.find("air_force", speed="72 km/h", drag_area="0.5 m^2", air_density=1.2)
    >>> from chalkwatt.cards.card import equation_build
    >>> [len(card.carries) for card in equation_build(drag, kind="svg")]
    [0, 4, 4]
    """
    names = list(steps) if steps is not None else [answer.wanted]
    look, form = choose(size, theme, ground), format_of(None, kind)
    head = title if isinstance(title, str) else ""
    cards = []
    for name, rows in zip(names, _layout(answer, names, look, title=title), strict=True):
        for number in range(1, len(PARTS) + 1):
            shown = PARTS[:number]
            card = _drawn(answer, name, shown, Canvas(look, _placed(rows, shown)), form, head=head)
            cards.append(
                card if folder is None else card.write(Path(folder) / f"{name}-{number}.{form}")
            )
    return tuple(cards)


def _placed(rows: Iterable[_Row], chosen: Sequence[str]) -> list[Placed]:
    return [one for row in rows if row.part in {"title", *_parts(chosen)} for one in row.placed]


def _parts(chosen: Sequence[str]) -> tuple[str, ...]:
    return (*chosen, "conversion") if "numbers" in chosen else tuple(chosen)


def _chosen(show: str | Iterable[str]) -> tuple[str, ...]:
    given = (show,) if isinstance(show, str) else tuple(show)
    wrong = [one for one in given if one not in PARTS]
    if wrong or not given:
        raise ChalkwattError(
            f"A card cannot show {wrong[0]!r}." if wrong else "A card that shows nothing is none.",
            value=show,
            limit=PARTS,
            advice=f"Choose among {', '.join(PARTS)}.",
        )
    return tuple(one for one in PARTS if one in given)


def _step(answer: Answer, name: str) -> WorkingStep:
    steps = {one.find: one for one in answer.working.steps}
    if name not in steps:
        raise ChalkwattError(
            f"The working of {answer.wanted} has no step that finds {name!r}.",
            quantity=name,
            advice=f"Its steps find {', '.join(steps)}.",
        )
    return steps[name]


def _drawn(
    answer: Answer, name: str, chosen: Sequence[str], canvas: Canvas, kind: str, *, head: str
) -> Card:
    step = _step(answer, name)
    words = _words(head or step.title, step, chosen)
    if name == answer.wanted and "result" in chosen:
        words = with_drive(words, answer)
        if isinstance(answer, Finding):
            words = " ".join((words, *notes_on(answer), *assumed(answer)))
    return canvas.card(kind, words, _carried(answer, step, chosen))


def _carried(answer: Answer, step: WorkingStep, chosen: Sequence[str]) -> dict[str, float]:
    """Say which quantities the shown lines carry, in SI units."""
    values = answer.best.values
    shown: list[str] = []
    if "numbers" in chosen:
        plan_step = next(one for one in answer.plan.steps if one.find == step.find)
        shown += sorted(plan_step.needs)
    if {"numbers", "result"} & set(chosen):
        shown.append(step.find)
    return {one: float(values[one]) for one in shown}


def _lines(step: WorkingStep, *, converted: bool = True) -> list[tuple[str, Shown]]:
    """List the lines of a card and the part that each belongs to; a conversion comes with the numbers."""
    said = [("conversion", one.shown) for one in step.uses] if converted else []
    return [
        ("symbols", step.symbols),
        *said,
        ("numbers", step.numbers),
        ("result", step.result),
    ]


def _taken(answer: Answer) -> str:
    """Say which standing values a number of a sheet rests on: it must not pass for a stated one."""
    return " ".join((*flattered(answer), *assumed(answer))) if isinstance(answer, Finding) else ""


def _words(head: str, step: WorkingStep, chosen: Sequence[str]) -> str:
    head = head.rstrip(" ,;:–—-")
    said = [head if head.endswith((".", "?", "!")) else f"{head}."] if head else []
    for _, shown in (one for one in _lines(step) if one[0] in _parts(chosen)):
        said.append(f"{shown.spoken[:1].upper()}{shown.spoken[1:]}.")
    return " ".join(said)


def _layout(
    answer: Answer, names: Sequence[str], look: Look, *, title: bool | str
) -> list[list[_Row]]:
    """Lay out several steps with letters of one size, the largest at which all of them fit."""
    steps = [_step(answer, name) for name in names]
    left, _, right, _ = look.frame.safe
    titles = [title if isinstance(title, str) else step.title if title else "" for step in steps]
    heads = [set_words(one, (right - left) / look.text) for one in titles]
    clause = how_far(answer).strip() or _taken(answer)
    under = set_words(clause, (right - left) / look.text) if clause else []
    feet = [under if name == answer.wanted else [] for name in names]
    # A picture too small for the conversions goes without, and one too small for what it holds for without that,
    # too: they are said in its words.
    ways = ((True, False), (True, True), (False, False), (False, True))
    for footed, (converted, breaking) in (
        *((True, way) for way in ways),
        *((False, way) for way in ways if clause),
    ):
        blocks = [
            [(part, line_of(one.mathml)) for part, one in _lines(step, converted=converted)]
            for step in steps
        ]
        fits = []
        for units in _SIZES:
            tried = [
                _fit(
                    block, head, foot if footed else [], units * look.unit, look, breaking=breaking
                )
                for block, head, foot in zip(blocks, heads, feet, strict=True)
            ]
            rows = [one for one in tried if one is not None]
            if len(rows) == len(blocks):
                fits.append(rows)
            if fits and not breaking:
                break  # the largest, for every line is whole
        if fits:
            # A break reads worse than small letters: fewest breaks first, then the largest letters.
            return min(fits, key=lambda found: sum(len(rows) for rows in found))
    size = look.frame
    raise ChalkwattError(
        f"{steps[0].title} does not fit on {size.width} × {size.height} pixels "
        "at a size that can be read.",
        value=(size.width, size.height),
        unit="px",
        limit=f"{_SIZES[-1]} px of em at 1080 px",
        advice='Take a wider picture, such as "landscape", or a step with a shorter equation.',
    )


def _fit(
    block: Sequence[tuple[str, Line]],
    head: Sequence[Setting],
    foot: Sequence[Setting],
    em: float,
    look: Look,
    *,
    breaking: bool,
) -> list[_Row] | None:
    """Place title, lines and what they hold for in the middle of the safe area, or return None if they do not fit."""
    left, top, right, bottom = look.frame.safe
    wide, high = right - left, bottom - top
    margin = _margin(block)
    if breaking and margin > _WIDEST_MARGIN:
        margin = 0.0
    lines: list[tuple[str, float, Setting]] = []  # part, indent in em, line
    first = ""
    for part, line in block:
        same = line.left_text == first
        first = first or line.left_text
        pieces = (
            broken(line, margin, wide / em, repeat_left=not same)
            if breaking
            else [line.whole(margin, repeat_left=not same)]
        )
        if pieces is None:
            return None
        lines += [(part, indent, one) for indent, one in pieces]
    across = max(indent + one.width for _, indent, one in lines)
    small = look.text
    heights = [max(one.above, _LEAST_ABOVE) + max(one.below, _LEAST_BELOW) for _, _, one in lines]
    tall = (sum(heights) + _BETWEEN * (len(lines) - 1)) * em
    head_tall = (1.25 * len(head) * small + _TITLE_GAP * em) if head else 0.0
    foot_tall = (1.25 * len(foot) * small + _FOOT_GAP * em) if foot else 0.0
    block_wide = max(across * em, *(one.width * small for one in (*head, *foot)), 0.0)
    if block_wide > wide or tall + head_tall + foot_tall > high:
        return None
    x = left + (wide - block_wide) / 2
    y = top + (high - tall - head_tall - foot_tall) / 2
    rows = []
    if head:
        placed = [
            Placed(one, x, y + (0.95 + 1.25 * place) * small, small, look.theme.quiet, "title")
            for place, one in enumerate(head)
        ]
        rows.append(_Row("title", tuple(placed)))
    y += head_tall
    for (part, indent, one), height in zip(lines, heights, strict=True):
        colour = look.theme.accent if part == "result" else look.theme.ink
        base = y + max(one.above, _LEAST_ABOVE) * em
        rows.append(_Row(part, (Placed(one, x + indent * em, base, em, colour, part),)))
        y += (height + _BETWEEN) * em
    y += (_FOOT_GAP - _BETWEEN) * em
    for place, one in enumerate(foot):
        base = y + (0.95 + 1.25 * place) * small
        rows.append(_Row("result", (Placed(one, x, base, small, look.theme.quiet, "clause"),)))
    return rows


def _margin(block: Sequence[tuple[str, Line]]) -> float:
    """Return how far the equals signs stand from the left, in em."""
    return max(line.left.width for _, line in block)
