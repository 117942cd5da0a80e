"""Equations and words as outlines: MathML in, glyphs with their places out.

``ziamath`` does the layout with the STIX Two Math font that it carries; no TeX and no browser is
needed. All lengths are in em, so that one layout serves every size.
"""

from __future__ import annotations

import functools
import re
import warnings
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any
from xml.etree import ElementTree as ET

import numpy as np

from chalkwatt.errors import ChalkwattError

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator
    from types import ModuleType

    from numpy.typing import NDArray

__all__ = ["Bar", "Glyph", "Setting", "font_file", "outline", "set_math", "set_words"]

_SIZE = 1000.0  # layout is done at this size and divided by it
_GAP = 0.25  # em; a space between words
_SMALLEST = 0.65  # em; scripts of scripts shrink no further, or a phone shows a smudge
_CROSS = "0.19em"  # beside a cross between numbers, which the library would set tight
# Characters that XML 1.0 forbids would stop the parser; they are shown as "no such character".
_FORBIDDEN = re.compile("[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
# An operator that grows with its row needs that row kept.
_GROWING = frozenset("()[]{}|‖⌊⌋⌈⌉")


@dataclass(frozen=True)
class Glyph:
    """An outline of the font at a place: ``x`` rightwards, ``y`` below the baseline, in em."""

    index: int
    x: float
    y: float
    size: float


@dataclass(frozen=True)
class Bar:
    """A rule, such as that of a fraction, by its top left corner, in em."""

    x: float
    y: float
    width: float
    height: float


@dataclass(frozen=True)
class Setting:
    """A laid-out line: its pieces, and its box about the baseline, in em."""

    glyphs: tuple[Glyph, ...]
    bars: tuple[Bar, ...]
    width: float
    above: float
    below: float

    @property
    def smallest(self) -> float:
        """Size of the smallest glyph, in em."""
        return min((one.size for one in self.glyphs), default=1.0)

    def moved(self, x: float, y: float = 0.0) -> Setting:
        """Return the same line further right and down."""
        return replace(
            self,
            glyphs=tuple(replace(one, x=one.x + x, y=one.y + y) for one in self.glyphs),
            bars=tuple(replace(one, x=one.x + x, y=one.y + y) for one in self.bars),
            width=self.width + x,
            above=self.above - y,
            below=self.below + y,
        )


def beside(settings: Iterable[Setting], gap: float = 0.0) -> Setting:
    """Put lines side by side on one baseline."""
    glyphs: list[Glyph] = []
    bars: list[Bar] = []
    x = above = below = 0.0
    for place, one in enumerate(settings):
        x += gap if place else 0.0
        here = one.moved(x)
        glyphs += here.glyphs
        bars += here.bars
        x += one.width
        above, below = max(above, one.above), max(below, one.below)
    return Setting(tuple(glyphs), tuple(bars), x, above, below)


@functools.lru_cache(maxsize=512)
def set_math(mathml: str) -> Setting:
    """Lay out the inside of a ``math`` element as one display line.

    Parameters
    ----------
    mathml : str
        Presentation MathML without the ``math`` element itself.

    Returns
    -------
    Setting

    Raises
    ------
    ChalkwattError
        If the layout library is not installed.

    Examples
    --------
    >>> from chalkwatt.cards.typesetting import set_math
    >>> line = set_math("<mi>v</mi><mo>=</mo><mn>3</mn>")
    >>> len(line.glyphs), line.smallest
    (3, 1.0)
    """
    text = _FORBIDDEN.sub("\ufffd", mathml)
    root = ET.fromstring(f'<math display="block">{text}</math>')  # noqa: S314  our own printers wrote it
    _flatten(root)
    return _laid_out(root)


@functools.lru_cache(maxsize=512)
def _set_word(word: str) -> Setting:
    root = ET.Element("math")
    ET.SubElement(root, "mtext").text = _FORBIDDEN.sub("\ufffd", word).replace("-", "\u2010")
    return _laid_out(root)


def _laid_out(root: ET.Element) -> Setting:
    library = _library()
    usual = library.config.minsizefraction
    library.config.minsizefraction = _SMALLEST  # the library knows no other way to say it
    try:
        return _setting(library.Math(root, size=_SIZE).node)
    finally:
        library.config.minsizefraction = usual


def set_words(text: str, width: float = float("inf")) -> tuple[Setting, ...]:
    """Lay out words, in as many lines as the width asks for.

    Parameters
    ----------
    text : str
        Plain text; nothing in it is markup.
    width : float
        Of a line, in em. A word longer than that stands on a line of its own.

    Returns
    -------
    tuple of Setting

    Examples
    --------
    >>> from chalkwatt.cards.typesetting import set_words
    >>> len(set_words("how far a charge goes", width=5))
    2
    """
    lines: list[list[Setting]] = [[]]
    long = 0.0
    for word in text.split():
        made = _set_word(word)
        if lines[-1] and long + _GAP + made.width > width:
            lines.append([])
            long = 0.0
        long += made.width + (_GAP if lines[-1] else 0.0)
        lines[-1].append(made)
    return tuple(beside(line, _GAP) for line in lines if line)


@functools.cache
def outline(index: int) -> tuple[NDArray[np.float64], NDArray[np.uint8]]:
    """Return a glyph's outline in em, upwards: points, and Matplotlib's path codes."""
    font = _font()
    points: list[tuple[float, float]] = []
    codes: list[int] = []
    kinds = {"Moveto": 1, "Lineto": 2, "Quad": 3, "Cubic": 4}
    em = font.info.layout.unitsperem
    for piece in font.glyph_fromid(index).operators:
        code = kinds[type(piece).__name__]
        if code == 1 and codes:
            _close(points, codes)
        ends = [getattr(piece, name) for name in ("p", "p1", "p2", "p3") if hasattr(piece, name)]
        points += [(end.x / em, end.y / em) for end in ends]
        codes += [code] * len(ends)
    if codes:
        _close(points, codes)
    return np.array(points, dtype=float).reshape(-1, 2), np.array(codes, dtype=np.uint8)


def _close(points: list[tuple[float, float]], codes: list[int]) -> None:
    points.append(points[-1])
    codes.append(79)  # Matplotlib's code for a closed outline


def font_file() -> str:
    """Return where the maths font is, for whoever draws text in the same face."""
    return str(_font().info.filename)


def _library() -> ModuleType:
    try:
        with warnings.catch_warnings():
            # The library finds its own font in a way that Python 3.11 calls dated.
            warnings.simplefilter("ignore", DeprecationWarning)
            import ziamath  # noqa: PLC0415  an extra
    except ImportError as cause:
        raise ChalkwattError(
            "Pictures of equations need the library ziamath, which is not installed.",
            advice="Install it with: pip install 'chalkwatt[publish]'",
        ) from cause
    return ziamath


@functools.cache
def _font() -> Any:  # noqa: ANN401  the library has no types
    return _library().Math("<math><mn>0</mn></math>", size=_SIZE).font


def _flatten(element: ET.Element) -> None:
    """Dissolve rows that hold nothing together: the library lays out each nested row twice over."""
    for child in list(element):
        _flatten(child)
    if element.tag not in {"math", "mrow", "msqrt", "mstyle"}:
        return
    flat: list[ET.Element] = []
    for child in list(element):
        if child.tag == "mo" and child.text == "×":
            child.set("lspace", _CROSS)
            child.set("rspace", _CROSS)
        loose = child.tag == "mrow" and not any(
            one.tag == "mo" and (one.text or "") in _GROWING for one in child
        )
        flat += list(child) if loose else [child]
    element[:] = flat


def _setting(node: Any) -> Setting:  # noqa: ANN401  as above
    glyphs: list[Glyph] = []
    bars: list[Bar] = []
    for kind, x, y, piece in _pieces(node, 0.0, 0.0):
        if kind == "Glyph":
            glyphs.append(Glyph(piece.glyph.index, x / _SIZE, y / _SIZE, piece.size / _SIZE))
        else:
            long, thick = (piece.length, piece.lw) if kind == "HLine" else (piece.lw, piece.height)
            bars.append(Bar(x / _SIZE, y / _SIZE, long / _SIZE, thick / _SIZE))
    box = node.bbox
    width = max(box.xmax, *(0.0, *(_right(one) * _SIZE for one in glyphs)))
    return Setting(tuple(glyphs), tuple(bars), width / _SIZE, box.ymax / _SIZE, -box.ymin / _SIZE)


def _right(glyph: Glyph) -> float:
    points, _ = outline(glyph.index)
    return glyph.x + (float(points[:, 0].max()) * glyph.size if len(points) else 0.0)


def _pieces(node: Any, x: float, y: float) -> Iterator[tuple[str, float, float, Any]]:  # noqa: ANN401  as above
    kind = type(node).__name__
    if kind in {"Glyph", "HLine", "VLine"}:
        if not node.phantom:
            yield kind, x, y, node
        return
    for (right, down), inner in zip(getattr(node, "nodexy", ()), node.nodes, strict=False):
        yield from _pieces(inner, x + right, y + down)
