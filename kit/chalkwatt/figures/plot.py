"""A small drawing surface: SVG text whose colours come from the page around it.

A figure is drawn for a column of 360 units and scaled to the width that it gets, so that its letters
are readable in 320 pixels. Every number on it is also in the text beside it.
"""

from __future__ import annotations

import re
from functools import cache
from html import escape
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from chalkwatt.look.drawing import ticks
from chalkwatt.wording.numbers import format_input

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from numpy.typing import NDArray

__all__ = ["Plot", "padded", "style", "unbroken"]


_BEFORE_UNIT = re.compile(
    r"(?<=\d) (?=[A-Za-zµΩ°%])(?!to |and |or |of |cases|case |in |values|is )"
)


@cache
def style() -> str:
    """Return the stylesheet of every figure, as an element."""
    css = (Path(__file__).parent / "plot.css").read_text(encoding="utf-8")
    return f"<style>{css}</style>"


def unbroken(words: str) -> str:
    """Keep each number and its unit on one line, by spaces that do not break."""
    return _BEFORE_UNIT.sub("\u00a0", words)


class Plot:
    """An SVG figure with data scales.

    Parameters
    ----------
    width, height : float
        Of the whole figure.
    x, y : pair of float
        Data limits.
    margins : left, top, right, bottom
    """

    def __init__(
        self,
        width: float,
        height: float,
        x: tuple[float, float],
        y: tuple[float, float],
        margins: tuple[float, float, float, float],
    ) -> None:
        self.width, self.height = width, height
        self.left, self.top = margins[0], margins[1]
        self.right, self.bottom = width - margins[2], height - margins[3]
        self._x, self._y = x, y
        self._parts: list[str] = []
        self.boxes: list[tuple[float, float, float, float]] = []

    def across(self, value: float) -> float:
        """Place a data value across the figure."""
        low, high = self._x
        return self.left + (value - low) / (high - low) * (self.right - self.left)

    def upward(self, value: float) -> float:
        """Place a data value up the figure."""
        low, high = self._y
        return self.bottom - (value - low) / (high - low) * (self.bottom - self.top)

    def line(
        self, points: Iterable[tuple[float, float]], kind: str, *, closed: bool = False
    ) -> None:
        """Draw a line through points of the figure."""
        path = " ".join(f"{x:.1f},{y:.1f}" for x, y in points)
        name = "polygon" if closed else "polyline"
        self._parts.append(f'<{name} class="{kind}" points="{path}"/>')

    def curve(self, x: NDArray[np.float64], y: NDArray[np.float64], kind: str) -> None:
        """Draw a line through data, broken where it leaves the figure."""
        low, high = self._y
        run: list[tuple[float, float]] = []
        for one, other in zip(x, y, strict=True):
            if np.isfinite(other) and low <= other <= high:
                run.append((self.across(one), self.upward(other)))
                continue
            if len(run) > 1:
                self.line(run, kind)
            run = []
        if len(run) > 1:
            self.line(run, kind)

    def box(self, x: float, y: float, width: float, height: float, kind: str) -> None:
        """Draw a rectangle; a negative width runs to the left."""
        left = min(x, x + width)
        self.boxes.append((left, y, abs(width), height))
        self._parts.append(
            f'<rect class="{kind}" x="{left:.1f}" y="{y:.1f}" width="{abs(width):.1f}" height="{height:.1f}"/>'
        )

    def circle(self, x: float, y: float, radius: float, kind: str) -> None:
        """Draw a circle."""
        self._parts.append(f'<circle class="{kind}" cx="{x:.1f}" cy="{y:.1f}" r="{radius:.2f}"/>')

    def dots(self, points: Iterable[tuple[float, float]], radius: float, kind: str) -> None:
        """Draw many circles as one path: lines of no length with round ends."""
        path = "".join(f"M{x:.1f} {y:.1f}h0" for x, y in points)
        self._parts.append(
            f'<path class="{kind} dots" stroke-width="{2 * radius:.2f}" d="{path}"/>'
        )

    def text(
        self, x: float, y: float, words: str, *, kind: str = "", anchor: str = "start"
    ) -> None:
        """Write words."""
        self._parts.append(
            f'<text class="{kind}" x="{x:.1f}" y="{y:.1f}" text-anchor="{anchor}">{escape(words)}</text>'
        )

    def axis(self, label: str, *, most: int = 5) -> None:
        """Draw the axis at the foot, with few round ticks; the label stands below."""
        self.line([(self.left, self.bottom), (self.right, self.bottom)], "axis")
        for tick in ticks(*self._x, most):
            place = self.across(tick)
            self.line([(place, self.bottom), (place, self.bottom + 4)], "tick")
            self.text(place, self.bottom + 18, format_input(tick), kind="q", anchor="middle")
        self.text((self.left + self.right) / 2, self.bottom + 36, label, kind="q", anchor="middle")

    def side(self, label: str, *, most: int = 5) -> None:
        """Draw the axis at the left; the label stands above it."""
        self.line([(self.left, self.top), (self.left, self.bottom)], "axis")
        for tick in ticks(*self._y, most):
            place = self.upward(tick)
            self.line([(self.left - 4, place), (self.left, place)], "tick")
            self.text(self.left - 8, place + 4.5, format_input(tick), kind="q", anchor="end")
        self.text(max(self.left - 40, 0), self.top - 12, label, kind="q")

    def add(self, markup: str) -> None:
        """Add what another plot has drawn."""
        self._parts.append(markup)

    @property
    def body(self) -> str:
        """All that is drawn, without the frame."""
        return "".join(self._parts)

    def svg(self, told: str) -> str:
        """Return the figure; ``told`` says in words what it shows."""
        said = escape(told)
        return (
            f'<svg viewBox="0 0 {self.width:g} {self.height:g}" role="img" aria-label="{said}">'
            f"{self.body}</svg>"
        )


def padded(values: Sequence[float], share: float = 0.06) -> tuple[float, float]:
    """Return limits that leave some air around values."""
    low, high = min(values), max(values)
    air = (high - low) * share or abs(high) * share or 1.0
    return low - air, high + air
