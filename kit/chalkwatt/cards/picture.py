"""Pictures: outlines and rules on a canvas, as PNG with real alpha or as SVG with text as paths."""

from __future__ import annotations

import struct
import zlib
from dataclasses import dataclass, field
from html import escape
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from chalkwatt.calls import checked_call
from chalkwatt.cards.typesetting import Setting, outline
from chalkwatt.errors import ChalkwattError
from chalkwatt.store import write_bytes

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from numpy.typing import NDArray

    from chalkwatt.look.themes import Look

__all__ = ["Canvas", "Card", "Placed", "encode_png", "format_of", "printable"]

_FORMATS = ("png", "svg")
_QUICK = 3  # of zlib's levels; the next ones take twice as long


@dataclass(frozen=True)
class Card:
    """A picture, ready to be written or shown.

    Attributes
    ----------
    data : bytes
        The file.
    kind : str
        ``"png"`` or ``"svg"``.
    size : tuple of two ints
        Width and height in pixels.
    alt : str
        The picture in words, for those who do not see it; it is inside the file too.
    carries : dict of str to float
        Names of the quantities whose numbers it shows, with their values in SI units.
    path : Path or None
        Where it was written.
    """

    data: bytes = field(repr=False)
    kind: str
    size: tuple[int, int]
    alt: str
    carries: Mapping[str, float]
    path: Path | None = None

    @checked_call
    def write(self, path: str | Path) -> Card:
        """Write the file, whole or not at all, and return the card that knows where it is."""
        place = write_bytes(path, self.data)
        return Card(self.data, self.kind, self.size, self.alt, self.carries, place)

    def _repr_mimebundle_(self, **_ask: object) -> dict[str, Any]:
        """Show the picture in a notebook."""
        shown = (
            {"image/png": self.data}
            if self.kind == "png"
            else {"image/svg+xml": self.data.decode()}
        )
        return {"text/plain": self.alt, **shown}


@dataclass(frozen=True)
class Placed:
    """A line on a canvas: its baseline's start in pixels, pixels per em, and its colour."""

    setting: Setting
    x: float
    y: float
    em: float
    colour: str
    role: str = ""

    @property
    def box(self) -> tuple[float, float, float, float]:
        """Left, top, right and bottom, in pixels."""
        one = self.setting
        return (
            self.x,
            self.y - one.above * self.em,
            self.x + one.width * self.em,
            self.y + one.below * self.em,
        )


@dataclass
class Canvas:
    """Lines and rules to be drawn; nothing is drawn before the end."""

    look: Look
    placed: list[Placed] = field(default_factory=list)

    def add(self, *lines: Placed) -> None:
        """Put lines on the canvas."""
        self.placed += lines

    def rules(self, one: Placed) -> list[tuple[float, float, float, float]]:
        """Return a line's rules as left, top, width, height in pixels, none too thin to be seen."""
        made: list[tuple[float, float, float, float]] = []
        for bar in one.setting.bars:
            left, top = one.x + bar.x * one.em, one.y + bar.y * one.em
            wide, high = bar.width * one.em, bar.height * one.em
            thick = max(min(wide, high), self.look.line)
            if wide >= high:
                made.append((left, round(top + high / 2 - thick / 2), wide, float(round(thick))))
            else:
                made.append((left, top, thick, high))
        return made

    def png(self, alt: str) -> bytes:
        """Draw the picture as PNG."""
        return encode_png(self.pixels(), alt)

    def pixels(self) -> NDArray[np.uint8]:
        """Draw the picture as rows of red, green, blue and alpha, colours not mixed with alpha."""
        from matplotlib.backends import backend_agg  # noqa: PLC0415  Matplotlib is slow to import
        from matplotlib.colors import to_rgba  # noqa: PLC0415  Matplotlib is slow to import
        from matplotlib.path import Path as Outline  # noqa: PLC0415  Matplotlib is slow to import
        from matplotlib.transforms import Affine2D  # noqa: PLC0415  Matplotlib is slow to import

        downwards = Affine2D().scale(1, -1).translate(0, self.look.frame.height)
        draw: Any = backend_agg.RendererAgg  # the library leaves it untyped
        renderer = draw(self.look.frame.width, self.look.frame.height, 72)
        context = renderer.new_gc()
        context.set_linewidth(0)
        context.set_snap(False)
        for one in self.placed:
            points, codes = self._outlines(one)
            if len(points):
                context.set_foreground(one.colour)
                renderer.draw_path(context, Outline(points, codes), downwards, to_rgba(one.colour))
        drawn = np.asarray(renderer.buffer_rgba())
        return _on_ground(drawn, self.look.ground) if self.look.ground else drawn

    def _outlines(self, one: Placed) -> tuple[NDArray[np.float64], NDArray[np.uint8]]:
        points, codes = [], []
        for glyph in one.setting.glyphs:
            shape, kinds = outline(glyph.index)
            if len(shape):
                scale = glyph.size * one.em
                place = (one.x + glyph.x * one.em, one.y + glyph.y * one.em)
                points.append(shape * (scale, -scale) + place)
                codes.append(kinds)
        for left, top, wide, high in self.rules(one):
            right, bottom = left + wide, top + high
            points.append(
                np.array([(left, top), (left, bottom), (right, bottom), (right, top), (left, top)])
            )
            codes.append(np.array([1, 2, 2, 2, 79], dtype=np.uint8))
        if not points:
            return np.empty((0, 2)), np.empty(0, dtype=np.uint8)
        return np.concatenate(points), np.concatenate(codes)

    def svg(self, alt: str) -> bytes:
        """Write the picture as SVG, every letter as a path."""
        wide, high = self.look.frame.width, self.look.frame.height
        box = f'width="{wide}" height="{high}" viewBox="0 0 {wide} {high}"'
        parts = [
            f'<svg xmlns="http://www.w3.org/2000/svg" {box} role="img">',
            f"<title>{escape(printable(alt))}</title>",
        ]
        if self.look.ground:
            parts.append(f'<path fill="{self.look.ground}" d="M0 0H{wide}V{high}H0Z"/>')
        for one in self.placed:
            data = _path_data(*self._outlines(one))
            if data:
                role = f' class="{escape(one.role)}"' if one.role else ""
                parts.append(f'<path{role} fill="{one.colour}" d="{data}"/>')
        return "\n".join([*parts, "</svg>", ""]).encode()

    def card(self, kind: str, alt: str, carries: Mapping[str, float]) -> Card:
        """Draw the picture in a format."""
        data = self.png(alt) if kind == "png" else self.svg(alt)
        return Card(data, kind, (self.look.frame.width, self.look.frame.height), alt, dict(carries))


def format_of(path: str | Path | None, kind: str | None) -> str:
    """Choose the format: what is asked for, or what the file's name ends in, or PNG.

    Raises
    ------
    ChalkwattError
        If it is neither PNG nor SVG.

    Examples
    --------
    >>> from chalkwatt.cards.picture import format_of
    >>> format_of("range.svg", None)
    'svg'
    """
    chosen = kind or (Path(path).suffix.removeprefix(".") if path is not None else "") or "png"
    if chosen.lower() not in _FORMATS:
        raise ChalkwattError(
            f"A card cannot be written as {chosen!r}.",
            value=chosen,
            limit=_FORMATS,
            advice="End the file's name in .png or .svg.",
        )
    return chosen.lower()


def encode_png(pixels: NDArray[np.uint8], alt: str) -> bytes:
    """Encode red, green, blue and alpha as PNG, with the picture in words inside and no date.

    Rows are left unfiltered: in flat pictures a filter gains nothing, and choosing one for every row, as
    imaging libraries do, takes twice the time of all the rest (PNG Specification, third edition, 12.7).
    """
    height, width = pixels.shape[:2]
    rows = np.zeros((height, 1 + 4 * width), dtype=np.uint8)  # a nought before each row: no filter
    rows[:, 1:] = np.ascontiguousarray(pixels).reshape(height, 4 * width)
    packer = zlib.compressobj(_QUICK, zlib.DEFLATED, 15, 9)
    header = struct.pack(">IIBBBBB", width, height, 8, 6, 0, 0, 0)  # eight bits, with alpha
    words = b"Description\x00\x00\x00\x00\x00" + printable(alt).encode()
    parts = [
        (b"IHDR", header),
        (b"iTXt", words),
        (b"IDAT", packer.compress(rows.tobytes()) + packer.flush()),
        (b"IEND", b""),
    ]
    made = [
        struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))
        for name, data in parts
    ]
    return b"\x89PNG\r\n\x1a\n" + b"".join(made)


def _on_ground(drawn: NDArray[np.uint8], colour: str) -> NDArray[np.uint8]:
    from matplotlib.colors import to_rgb  # noqa: PLC0415  Matplotlib is slow to import

    share = drawn[..., 3:].astype(np.float32) / 255
    ground = np.array(to_rgb(colour), dtype=np.float32) * 255
    mixed = np.empty_like(drawn)
    mixed[..., :3] = np.rint(drawn[..., :3] * share + ground * (1 - share))
    mixed[..., 3] = 255
    return mixed


def _path_data(points: Iterable[NDArray[np.float64]], codes: Iterable[int]) -> str:
    letters = {1: "M", 2: "L", 3: "Q", 4: "C", 79: "Z"}
    made: list[str] = []
    inside = 0  # further points of the curve at hand
    for (x, y), code in zip(points, codes, strict=True):
        if code == 79:
            made.append("Z")
            continue
        pair = f"{x:.2f} {y:.2f}"
        if inside:
            made.append(f" {pair}")
            inside -= 1
        else:
            made.append(letters[int(code)] + pair)
            inside = {3: 1, 4: 2}.get(int(code), 0)
    return "".join(made)


def printable(text: str) -> str:
    r"""Put a mark in place of what no file of text may hold.

    Examples
    --------
    >>> from chalkwatt.cards.picture import printable
    >>> printable("nul\x00").endswith("\ufffd")
    True
    """
    return "".join(one if one.isprintable() or one in "\n " else "\ufffd" for one in text)
