"""How a picture looks: sizes, safe area, themes, and a second cue beside every colour.

Everything is measured in units of a 1080th of the shorter side, so that a card in four times the
pixels is the same card.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from chalkwatt.errors import ChalkwattError

__all__ = ["CUES", "SIZES", "THEMES", "Frame", "Look", "Theme", "choose", "frame"]

SIZES = {
    "landscape": (1920, 1080),
    "portrait": (1080, 1920),
    "square": (1080, 1080),
    "double": (3840, 2160),
}
# Pixels a side: below, no text would be legible, above, no raster fits in memory.
_LEAST, _MOST = 270, 16_384
_REFERENCE = 1080
# EBU R 95 (2017), "Safe areas for 16:9 television production": graphics stay 5 % off every edge.
_SAFE = 0.05
# Upright video is shown under a player's own buttons: common practice, no source.
_SAFE_UPRIGHT = 0.12

SMALLEST_TEXT = 56  # units of em; a digit is then 36 units high, measured on the drawn outline
SMALLEST_LINE = 4  # units


@dataclass(frozen=True)
class Theme:
    """Colours for a light or a dark ground.

    ``series`` are told apart with normal sight, with each of the three colour-vision deficiencies,
    and in grey; still, no colour stands without one of :data:`CUES`.
    """

    name: str
    ink: str
    quiet: str
    hair: str
    band: str
    paper: str
    accent: str
    series: tuple[str, ...]


THEMES = {
    "light": Theme(
        "light", "#1c1f1e", "#4d5351", "#8b928f", "#dfe5e2", "#ffffff", "#0b6a54",
        ("#0b6a54", "#e96b00", "#1a0087", "#752805"),
    ),
    "dark": Theme(
        "dark", "#f2f0eb", "#c3c8c4", "#7d8480", "#2c3330", "#111111", "#5fd3ae",
        ("#5fd3ae", "#f1ffa7", "#d65557", "#8f00f2"),
    ),
}  # fmt: skip

# (dashes in line widths, marker, hatching): the second cue of each colour, in the same order.
CUES: tuple[tuple[tuple[float, ...], str, str], ...] = (
    ((), "o", ""),
    ((4.0, 1.6), "s", "/"),
    ((1.2, 1.4), "^", "."),
    ((5.0, 1.4, 1.2, 1.4), "D", "x"),
)


@dataclass(frozen=True)
class Frame:
    """A picture's size in pixels, and what follows from it.

    ``unit`` is a 1080th of the shorter side; ``safe`` is left, top, right, bottom of the part that
    no screen cuts off.
    """

    width: int
    height: int

    @property
    def unit(self) -> float:
        """Pixels in a unit."""
        return min(self.width, self.height) / _REFERENCE

    @property
    def safe(self) -> tuple[float, float, float, float]:
        """Left, top, right and bottom of the safe area, in pixels from the top left."""
        across = _SAFE * self.width
        down = (_SAFE_UPRIGHT if self.height > self.width else _SAFE) * self.height
        return across, down, self.width - across, self.height - down


def frame(size: str | tuple[int, int]) -> Frame:
    """Read a picture's size.

    Parameters
    ----------
    size : str or tuple of two ints
        A name out of :data:`SIZES`, text such as ``"1280x720"``, or width and height in pixels.

    Returns
    -------
    Frame

    Raises
    ------
    ChalkwattError
        If it is no size, or one that no picture can have.

    Examples
    --------
    >>> from chalkwatt.look.themes import frame
    >>> frame("landscape").safe
    (96.0, 54.0, 1824.0, 1026.0)
    """
    pixels = SIZES.get(size) or _numbers(size) if isinstance(size, str) else tuple(size)
    whole = pixels is not None and len(pixels) == 2 and all(type(one) is int for one in pixels)
    if pixels is None or not whole:
        raise ChalkwattError(
            f"{size!r} is no size of a picture.",
            value=size,
            unit="px",
            advice=f'Use {", ".join(SIZES)}, text like "1280x720", or (width, height) in pixels.',
        )
    if not all(_LEAST <= one <= _MOST for one in pixels):
        raise ChalkwattError(
            f"A picture of {pixels[0]} × {pixels[1]} pixels is outside the limits.",
            value=size,
            unit="px",
            limit=(_LEAST, _MOST),
            advice=f"Give {_LEAST} to {_MOST} pixels a side.",
        )
    return Frame(*pixels)


def _numbers(text: str) -> tuple[int, int] | None:
    found = re.fullmatch(r"\s*([0-9]{1,6})\s*[x×]\s*([0-9]{1,6})\s*", text)
    return None if found is None else (int(found[1]), int(found[2]))


def theme(name: str) -> Theme:
    """Find a theme by name.

    Raises
    ------
    ChalkwattError
        If there is none of that name.

    Examples
    --------
    >>> from chalkwatt.look.themes import theme
    >>> theme("dark").paper
    '#111111'
    """
    if name not in THEMES:
        raise ChalkwattError(
            f"There is no theme called {name!r}.", value=name, advice=f"Use {' or '.join(THEMES)}."
        )
    return THEMES[name]


@dataclass(frozen=True)
class Look:
    """What is the same on every card of a series; a clear ground is None."""

    frame: Frame
    theme: Theme
    ground: str | None

    @property
    def unit(self) -> float:
        """Pixels in a unit."""
        return self.frame.unit

    @property
    def line(self) -> float:
        """Width of the thinnest line, in pixels."""
        return SMALLEST_LINE * self.frame.unit

    @property
    def text(self) -> float:
        """Em of the smallest text, in pixels."""
        return SMALLEST_TEXT * self.frame.unit


def choose(size: str | tuple[int, int], theme_name: str, ground: str) -> Look:
    """Read size, theme and ground together.

    Parameters
    ----------
    size : str or tuple of two ints
        As for :func:`frame`.
    theme_name : str
        ``"light"`` or ``"dark"``.
    ground : str
        ``"clear"`` for a transparent picture, ``"paper"`` for the ground of the theme.

    Returns
    -------
    Look

    Raises
    ------
    ChalkwattError
        If a choice is none.

    Examples
    --------
    >>> from chalkwatt.look.themes import choose
    >>> choose("square", "light", "paper").ground
    '#ffffff'
    """
    look = theme(theme_name)
    if ground not in {"clear", "paper"}:
        raise ChalkwattError(
            f"There is no ground called {ground!r}.",
            value=ground,
            advice="Use clear (transparent) or paper.",
        )
    return Look(frame(size), look, look.paper if ground == "paper" else None)
