"""The style of figure cards: Matplotlib with letters and lines that a phone can show.

One point is one pixel here (72 dots per inch), so every length below is in pixels.
"""

from __future__ import annotations

import functools
import io
import re
from contextlib import contextmanager
from dataclasses import dataclass
from html import escape
from typing import TYPE_CHECKING, Any

import numpy as np

from chalkwatt.cards.picture import encode_png, printable
from chalkwatt.cards.typesetting import font_file, set_words
from chalkwatt.look.themes import CUES
from chalkwatt.wording.numbers import format_input

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from matplotlib.axes import Axes
    from matplotlib.figure import Figure
    from matplotlib.text import Text

    from chalkwatt.look.themes import Look

__all__ = ["Sheet", "nice_limits", "nice_ticks", "styled"]

_SALT = "chalkwatt"
_SPARE = "DejaVu Sans"  # comes with Matplotlib, for letters that a maths font lacks
_PAD = 0.35  # em between an axis and its numbers
_TICK = 14  # units long
_CURVE = 8  # units wide


@functools.cache
def _face() -> str:
    from matplotlib import font_manager  # noqa: PLC0415  Matplotlib is slow to import

    font_manager.fontManager.addfont(font_file())
    return str(font_manager.FontProperties(fname=font_file()).get_name())


def faces() -> list[str]:
    """Return the face of all cards, and the one for letters that it lacks."""
    return [_face(), _SPARE]


@functools.cache
def _letters() -> frozenset[int]:
    from matplotlib import font_manager  # noqa: PLC0415  Matplotlib is slow to import

    files = font_file(), font_manager.findfont(_SPARE)
    return frozenset(code for one in files for code in font_manager.get_font(one).get_charmap())


def legible(text: str) -> str:
    r"""Return text as one line, with a mark in place of every letter that no font at hand has.

    Examples
    --------
    >>> from chalkwatt.cards.figure_style import legible
    >>> legible("range,\tkm")
    'range, km'
    """
    return "".join(one if ord(one) in _letters() else "\ufffd" for one in " ".join(text.split()))


def settings(look: Look) -> Any:  # noqa: ANN401  the library types its settings one by one
    """Return Matplotlib's settings for a look.

    Parameters
    ----------
    look : Look

    Returns
    -------
    dict of str to object
        For ``matplotlib.rc_context``.

    Examples
    --------
    >>> from chalkwatt.cards.figure_style import settings
    >>> from chalkwatt.look.themes import choose
    >>> settings(choose("landscape", "light", "clear"))["axes.linewidth"]
    4.0
    """
    from cycler import cycler  # noqa: PLC0415  Matplotlib is slow to import

    unit, tone = look.unit, look.theme
    dashes = [(0, tuple(2.0 * one for one in cue[0])) if cue[0] else "-" for cue in CUES]
    return {
        "font.family": faces(),
        "font.size": look.text,
        "axes.labelsize": look.text,
        "axes.titlesize": look.text,
        "xtick.labelsize": look.text,
        "ytick.labelsize": look.text,
        "legend.fontsize": look.text,
        "figure.dpi": 72,
        "savefig.dpi": 72,
        "figure.facecolor": look.ground or "none",
        "savefig.facecolor": look.ground or "none",
        "axes.facecolor": "none",
        "text.color": tone.ink,
        "axes.labelcolor": tone.ink,
        "axes.edgecolor": tone.quiet,
        "xtick.color": tone.quiet,
        "ytick.color": tone.quiet,
        "xtick.labelcolor": tone.ink,
        "ytick.labelcolor": tone.ink,
        "axes.linewidth": look.line,
        "grid.linewidth": look.line,
        "grid.color": tone.hair,
        "xtick.major.width": look.line,
        "ytick.major.width": look.line,
        "xtick.major.size": _TICK * unit,
        "ytick.major.size": _TICK * unit,
        "xtick.major.pad": _PAD * look.text * 0.6,
        "ytick.major.pad": _PAD * look.text * 0.6,
        "lines.linewidth": _CURVE * unit,
        "lines.markersize": 22 * unit,
        "lines.markeredgewidth": 6 * unit,
        "lines.solid_capstyle": "round",
        "patch.linewidth": look.line,
        "hatch.linewidth": look.line,
        "axes.spines.top": False,
        "axes.spines.right": False,
        "axes.prop_cycle": cycler(color=tone.series) + cycler(linestyle=dashes[: len(tone.series)]),
        "axes.unicode_minus": True,
        "text.parse_math": False,  # a label is text, whatever signs of money are in it
        "text.usetex": False,
        "svg.fonttype": "path",
        "svg.hashsalt": _SALT,
        "path.simplify": True,
    }


@dataclass
class Sheet:
    """A figure the size of a card, with one pair of axes inside the safe area."""

    look: Look
    figure: Figure
    axes: Axes

    def frame(self, left: float, top: float, right: float, bottom: float) -> None:
        """Place the axes, in pixels from the top left."""
        wide, high = self.look.frame.width, self.look.frame.height
        self.axes.set_position(
            (left / wide, 1 - bottom / high, (right - left) / wide, (bottom - top) / high)
        )

    def write(self, x: float, y: float, text: str, **how: Any) -> Text:  # noqa: ANN401  the library's own
        """Write text at a place given in pixels from the top left."""
        place = (x / self.look.frame.width, 1 - y / self.look.frame.height)
        return self.figure.text(*place, legible(text), **how)

    def png(self, alt: str) -> bytes:
        """Draw the figure as PNG with real alpha."""
        from matplotlib.backends.backend_agg import FigureCanvasAgg  # noqa: PLC0415  Matplotlib is slow to import

        canvas: Any = FigureCanvasAgg(self.figure)
        canvas.draw()
        return encode_png(np.asarray(canvas.buffer_rgba()), alt)

    def svg(self, alt: str) -> bytes:
        """Write the figure as SVG, text as paths, without date or maker."""
        return as_svg(self.figure, self.look, alt)


def as_svg(figure: Figure, look: Look, alt: str) -> bytes:
    """Write a figure as SVG in whole pixels, with the picture in words, without date or maker."""
    file = io.BytesIO()
    nothing = {"Date": None, "Creator": None, "Format": None, "Type": None}
    figure.savefig(file, format="svg", metadata=nothing)
    text = file.getvalue().decode()
    points = " ".join(f"{72 * one:.4f}".rstrip("0").rstrip(".") for one in figure.get_size_inches())
    head = (
        '<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" '
        f'width="{look.frame.width}" height="{look.frame.height}" viewBox="0 0 {points}" role="img">'
        f"\n<title>{escape(printable(alt))}</title>"
    )
    body = text[text.index("<svg") :]
    return re.sub(r"^<svg[^>]*>", lambda _: head, _numbered_clips(body), count=1).encode()


def _numbered_clips(text: str) -> str:
    """Number the clips in order: Matplotlib names some of them after an address in memory."""
    names = dict.fromkeys(re.findall(r"url\(#(p[0-9a-f]{10})\)", text))
    for place, name in enumerate(names):
        text = text.replace(name, f"clip{place}")
    return text


@contextmanager
def styled(look: Look) -> Iterator[Sheet]:
    """Open a figure in a look; Matplotlib's own settings are as before afterwards.

    Parameters
    ----------
    look : Look

    Yields
    ------
    Sheet
    """
    import matplotlib as mpl  # noqa: PLC0415  Matplotlib is slow to import
    from matplotlib.figure import Figure  # noqa: PLC0415  Matplotlib is slow to import

    with mpl.rc_context(settings(look)):
        figure = Figure(figsize=(look.frame.width / 72, look.frame.height / 72))
        yield Sheet(look, figure, figure.add_axes((0.1, 0.1, 0.8, 0.8)))


def nice_ticks(low: float, high: float, most: int) -> list[float]:
    """Return a few round numbers within limits.

    Examples
    --------
    >>> from chalkwatt.cards.figure_style import nice_ticks
    >>> nice_ticks(0.0, 160.0, 4)
    [0.0, 50.0, 100.0, 150.0]
    """
    from matplotlib.ticker import MaxNLocator  # noqa: PLC0415  Matplotlib is slow to import

    locator = MaxNLocator(nbins=max(most, 2), steps=[1, 2, 2.5, 5, 10], min_n_ticks=2)
    slack = 1e-9 * (high - low)
    found = [float(one) for one in locator.tick_values(low, high)]
    return [0.0 if abs(one) < slack else one for one in found if low - slack <= one <= high + slack]


def nice_limits(low: float, high: float) -> tuple[float, float]:
    """Return limits that hold the values: from nought where that shows the proportions.

    Parameters
    ----------
    low, high : float
        The least and the greatest value.

    Returns
    -------
    tuple of two floats

    Examples
    --------
    >>> from chalkwatt.cards.figure_style import nice_limits
    >>> nice_limits(180.0, 920.0)
    (0.0, 1000.0)
    """
    from matplotlib.ticker import MaxNLocator  # noqa: PLC0415  Matplotlib is slow to import

    if 0 < low < 0.5 * high:
        low = 0.0
    elif 0.5 * low < high < 0:
        high = 0.0
    if high - low <= 1e-12 * max(abs(low), abs(high), 1e-300):
        apart = abs(low) * 0.1 or 1.0
        low, high = low - apart, high + apart
    found = MaxNLocator(nbins=5, steps=[1, 2, 2.5, 5, 10]).tick_values(low, high)
    return float(found[0]), float(found[-1])


def tick_texts(ticks: Sequence[float]) -> list[str]:
    """Write the numbers of an axis, all with as many digits after the point."""
    texts = [format_input(one) for one in ticks]
    if any("×" in one for one in texts):
        return texts
    places = max(len(one.partition(".")[2]) for one in texts)
    made = []
    for one in texts:
        whole, _, rest = one.partition(".")
        made.append(f"{whole}.{rest.ljust(places, '0')}" if places else whole)
    return made


def width_of(text: str, em: float) -> float:
    """Return how wide text stands, in pixels."""
    lines = set_words(text)
    return (lines[0].width if lines else 0.0) * em * 1.02
