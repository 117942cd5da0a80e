"""Cards of the toolkit's other figures: runs, schedules, trips, energy flows, solar days.

Those figures are drawn for a page. Here they are drawn anew, narrow enough that their smallest letters
are legible on a phone, in the face of all cards, inside the safe area, with no line too thin.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from chalkwatt.calls import checked_call
from chalkwatt.cards.figure_style import as_svg, faces, settings, width_of
from chalkwatt.cards.picture import Card, encode_png, format_of
from chalkwatt.errors import ChalkwattError
from chalkwatt.look.themes import choose

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping
    from pathlib import Path

    from matplotlib.backends.backend_agg import FigureCanvasAgg
    from matplotlib.figure import Figure
    from matplotlib.text import Text

    from chalkwatt.look.themes import Look

__all__ = ["drawn_card"]

_SMALLEST = 9.0  # points; of the letters in figures that are drawn for a page
_LETTER = 36  # units high on a card
_ROUNDING = 1e-6  # pixels; so that a width of 1920 does not become 1919


@checked_call
def drawn_card(
    draw: Callable[..., Figure],
    path: str | Path | None = None,
    *,
    alt: str,
    carries: Mapping[str, float] | None = None,
    size: str | tuple[int, int] = "landscape",
    theme: str = "light",
    ground: str = "clear",
    kind: str | None = None,
) -> Card:
    """Make a card of a figure that the toolkit draws for a page.

    Parameters
    ----------
    draw : callable
        ``draw(theme_name=..., width=...)`` returns a Matplotlib figure; the width is in inches.
    path : str or Path, optional
        Where to write it; without one, nothing is written and a notebook shows the card.
    alt : str
        The picture in words: trend, end points, units.
    carries : mapping of str to float, optional
        Quantities whose numbers it shows, in SI units.
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
    >>> import chalkwatt as cw
    >>> from chalkwatt.figures.trip import schedule_figure
    >>> from chalkwatt.cards.drawn_card import drawn_card
    >>> card = drawn_card(
    ...     lambda **how: schedule_figure(cw.schedules.nedc, **how),
    ...     alt="Speed against time: four times through a town, then a road up to 120 km/h.",
    ... )
    >>> card.size
    (1920, 1080)
    """
    import matplotlib as mpl  # noqa: PLC0415  Matplotlib is slow to import

    if not alt.strip():
        raise ChalkwattError(
            "A card needs its picture in words.", advice="Give alt=…, one sentence."
        )
    look = choose(size, theme, ground)
    form = format_of(path, kind)
    dots = _LETTER * look.unit * 72 / _SMALLEST
    wide, high = look.frame.width, look.frame.height
    left, top, right, bottom = look.frame.safe
    # Text is text here too, and files are the same again.
    rules: Any = {name: settings(look)[name] for name in _RULES}
    with mpl.rc_context(rules):
        figure = draw(theme_name=theme, width=(right - left) / dots)
        figure.set_dpi(dots)
        figure.set_size_inches((wide + _ROUNDING) / dots, (high + _ROUNDING) / dots)
        figure.set_layout_engine("constrained")
        engine: Any = figure.get_layout_engine()
        engine.set(
            rect=(left / wide, 1 - bottom / high, (right - left) / wide, (bottom - top) / high)
        )
        figure.set_facecolor(look.ground or "none")
        _enlarge(figure, look, dots)
        _rewrap(figure, look)
        _check(figure, look)
        data = _png(figure, alt) if form == "png" else as_svg(figure, look, alt)
    card = Card(data, form, (wide, high), alt, dict(carries or {}))
    return card if path is None else card.write(path)


_RULES = ("text.parse_math", "svg.fonttype", "svg.hashsalt")


def _enlarge(figure: Figure, look: Look, dots: float) -> None:
    """Set every letter in the face of all cards, and no letter or line too small."""
    from matplotlib.lines import Line2D  # noqa: PLC0415  Matplotlib is slow to import
    from matplotlib.text import Text  # noqa: PLC0415  Matplotlib is slow to import

    thin = look.line * 72 / dots
    for one in figure.findobj():
        if isinstance(one, Text):
            one.set_fontfamily(faces())
            one.set_fontweight("normal")
            one.set_fontsize(max(float(one.get_fontsize()), _SMALLEST))
        elif hasattr(one, "set_linewidth") and hasattr(one, "get_linewidth"):
            widths = np.atleast_1d(np.asarray(one.get_linewidth(), dtype=float))
            thick = np.where(widths > 0, np.maximum(widths, thin), widths)
            one.set_linewidth(float(thick[0]) if thick.size == 1 else thick)
            if isinstance(one, Line2D):  # of a tick, this is the line
                one.set_markeredgewidth(max(float(one.get_markeredgewidth()), thin))


def _canvas(figure: Figure) -> FigureCanvasAgg:
    from matplotlib.backends.backend_agg import FigureCanvasAgg  # noqa: PLC0415  Matplotlib is slow to import

    canvas = FigureCanvasAgg(figure)
    canvas.draw()  # type: ignore[no-untyped-call]  # the library leaves it so
    return canvas


def _texts(figure: Figure) -> list[Text]:
    from matplotlib.text import Text  # noqa: PLC0415  Matplotlib is slow to import

    unseen: set[Any] = set()
    for axes in figure.axes:
        for axis in (axes.xaxis, axes.yaxis):
            low, high = sorted(axis.get_view_interval())
            for tick in axis.get_major_ticks():
                if not low <= float(tick.get_loc()) <= high:
                    unseen |= {tick.label1, tick.label2}
    found: list[Any] = figure.findobj(Text)
    return [
        one for one in found if one.get_visible() and one.get_text().strip() and one not in unseen
    ]


def _rewrap(figure: Figure, look: Look) -> None:
    """Break titles at the edge of the safe area, and upright names of axes at their axes' height."""
    _canvas(figure)
    _, _, right, _ = look.frame.safe
    for axes in figure.axes:
        tall = axes.get_window_extent().height
        name = axes.yaxis.label
        if name.get_text() and name.get_window_extent().height > tall:
            name.set_text(_folded(name, tall))
    for one in _texts(figure):
        box = one.get_window_extent()
        if box.x1 > right and " " in one.get_text() and not one.get_rotation():
            one.set_text(_folded(one, right - box.x0))


def _folded(text: Text, room: float) -> str:
    em = float(text.get_fontsize()) * float(text.figure.dpi) / 72
    lines: list[str] = []
    for word in text.get_text().split():
        if lines and width_of(f"{lines[-1]} {word}", em) <= room:
            lines[-1] += f" {word}"
        else:
            lines.append(word)
    return "\n".join(lines)


def _check(figure: Figure, look: Look) -> None:
    """Refuse a figure whose letters lie on each other or outside the safe area."""
    _canvas(figure)
    left, top, right, bottom = look.frame.safe
    high = look.frame.height
    boxes = [(one.get_text(), one.get_window_extent()) for one in _texts(figure)]
    slack = 0.25 * _LETTER * look.unit
    seen = [one for one in boxes if one[1].x1 > 0 and one[1].y1 > 0]
    for place, (text, box) in enumerate(seen):
        outside = (
            box.x0 < left - slack
            or box.x1 > right + slack
            or box.y0 < high - bottom - slack
            or box.y1 > high - top + slack
        )
        other = next(
            (
                words
                for words, near in seen[place + 1 :]
                if min(box.x1, near.x1) - max(box.x0, near.x0) > slack
                and min(box.y1, near.y1) - max(box.y0, near.y0) > slack
            ),
            None,
        )
        if outside or other is not None:
            where = "leaves the safe area" if other is None else f"lies on {other!r}"
            raise ChalkwattError(
                f"At a legible size, {text!r} {where} on {look.frame.width} × {high} pixels.",
                value=(look.frame.width, high),
                unit="px",
                advice="Take another size, or draw fewer things at once.",
            )


def _png(figure: Figure, alt: str) -> bytes:
    return encode_png(
        np.asarray(_canvas(figure).buffer_rgba()),  # type: ignore[no-untyped-call]  # as above
        alt,
    )
