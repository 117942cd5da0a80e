"""Scenes: what moves in a motion, frame by frame; axes, letters and curve stay where they are.

What stands still is drawn once; each frame adds what moves. A frame depends on its number alone, so
a motion that was stopped goes on as if it had not been.
"""

from __future__ import annotations

import hashlib
import json
from contextlib import ExitStack
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Protocol, Self

import numpy as np

from chalkwatt.answering.driven import with_drive
from chalkwatt.cards.alt_text import describe_curve
from chalkwatt.cards.axes_layout import Span, lay_out
from chalkwatt.cards.figure_style import nice_limits, styled, width_of
from chalkwatt.cards.picture import encode_png
from chalkwatt.errors import ChalkwattError
from chalkwatt.laws.quantities import look_up
from chalkwatt.look.themes import CUES, Look
from chalkwatt.rendering.working import unit_for

if TYPE_CHECKING:
    from types import TracebackType

    from numpy.typing import ArrayLike, NDArray

    from chalkwatt.answering.answers import Answer

__all__ = ["Scene", "run_scene", "sweep_scene"]

_POINTS = 361
_MOST_FRAMES = 36_000


@dataclass
class Scene:
    """A curve, a point that moves along it, and a readout; a context in which frames are drawn.

    Attributes
    ----------
    look : Look
    spans : tuple of two Span
    along, up : ndarray of shape (n,)
        The curve, in the units shown.
    places : ndarray of shape (frames,)
        Where along the point is in each frame.
    growing : bool
        Whether the curve is drawn up to the point only.
    formats : tuple of two str
        How the readout writes the numbers along and up.
    alt : str
    carries : dict of str to float
    """

    look: Look
    spans: tuple[Span, Span]
    along: NDArray[np.float64]
    up: NDArray[np.float64]
    places: NDArray[np.float64]
    growing: bool
    formats: tuple[str, str]
    alt: str
    carries: dict[str, float]

    @property
    def count(self) -> int:
        """How many frames there are."""
        return len(self.places)

    @property
    def fingerprint(self) -> str:
        """What tells this scene from any other."""
        digest = hashlib.sha256()
        for array in (self.along, self.up, self.places):
            digest.update(np.ascontiguousarray(array, dtype="<f8").tobytes())
        rest = [repr(self.look), repr(self.spans), self.growing, self.formats]
        digest.update(json.dumps(rest).encode())
        return digest.hexdigest()

    def __enter__(self) -> Self:
        """Draw what stands still."""
        from matplotlib.backends.backend_agg import FigureCanvasAgg  # noqa: PLC0415  Matplotlib is slow to import

        self._stack = ExitStack()
        sheet = self._stack.enter_context(styled(self.look))
        tone, axes, em = self.look.theme, sheet.axes, self.look.text
        lay_out(sheet, *self.spans)
        if not self.growing:
            axes.plot(self.along, self.up, color=tone.series[0], zorder=3)
        canvas: Any = FigureCanvasAgg  # the library leaves it untyped
        self._canvas = canvas(sheet.figure)
        self._canvas.draw()
        self._still = self._canvas.copy_from_bbox(sheet.figure.bbox)
        guide = {"color": tone.quiet, "linewidth": self.look.line, "linestyle": (0, (3, 2.2))}
        (self._line,) = axes.plot([], [], color=tone.series[0], zorder=3)
        (self._down,) = axes.plot([], [], **guide)  # type: ignore[arg-type]  # fields only
        (self._back,) = axes.plot([], [], **guide)  # type: ignore[arg-type]  # fields only
        (self._point,) = axes.plot([], [], color=tone.series[0], marker=CUES[0][1], clip_on=False)
        right, top = self.look.frame.safe[2], self.look.frame.safe[1]
        widest = max((self._text(one) for one in (0, self.count // 2, self.count - 1)), key=len)
        self._readout = sheet.write(
            right - width_of(widest, em) * 1.03, top + 0.82 * em, "", color=tone.ink, va="baseline"
        )
        self._axes, self._figure = axes, sheet.figure
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        """Give Matplotlib its own settings back."""
        self._stack.__exit__(kind, error, trace)

    def _text(self, number: int) -> str:
        x, y = self._at(number)
        shown = [
            f"{one:{how}}".replace("-", "−") for one, how in zip((x, y), self.formats, strict=True)
        ]
        return f"{shown[1]} {self.spans[1].label} at {shown[0]} {self.spans[0].label}"

    def _at(self, number: int) -> tuple[float, float]:
        x = float(self.places[number])
        return x, float(np.interp(x, self.along, self.up))

    def frame(self, number: int) -> bytes:
        """Draw one frame as PNG with real alpha."""
        x, y = self._at(number)
        left, low = self._axes.get_xlim()[0], self._axes.get_ylim()[0]
        if self.growing:
            seen = self.along < x
            self._line.set_data([*self.along[seen], x], [*self.up[seen], y])
        self._down.set_data([x, x], [low, y])
        self._back.set_data([left, x], [y, y])
        self._point.set_data([x], [y])
        text = self._text(number)
        self._readout.set_text(text)
        self._canvas.restore_region(self._still)
        for artist in (self._down, self._back, self._line, self._point, self._readout):
            self._figure.draw_artist(artist)
        return encode_png(np.asarray(self._canvas.buffer_rgba()), text)


class Moving(Protocol):
    """What moves: times in seconds, and the speeds at them in metres per second."""

    @property
    def time(self) -> ArrayLike:
        """The times."""

    @property
    def speed(self) -> ArrayLike:
        """The speeds."""


def run_scene(
    run: Moving,
    look: Look,
    *,
    rate: float,
    unit: str = "km/h",
    hold: float = 1.0,
) -> Scene:
    """Make the scene of a run in real time: speed against time, growing.

    Parameters
    ----------
    run : object
        With ``time`` in seconds and ``speed`` in metres per second.
    look : Look
    rate : float
        Frames per second.
    unit : str
        Of speed.
    hold : float
        Seconds for which the end stands.

    Returns
    -------
    Scene

    Raises
    ------
    ChalkwattError
        If the run has no two points, or the motion would be too long.
    """
    time = np.asarray(run.time, dtype=float)
    speed = np.asarray(look_up("speed").in_unit(np.asarray(run.speed, dtype=float), unit))
    if time.ndim != 1 or time.shape != speed.shape or time.size < 2:
        raise ChalkwattError(
            f"A run of {time.size} times and {speed.size} speeds does not move.",
            advice="Give arrays time and speed of the same length, at least two points.",
        )
    places = time[0] + np.arange(_frames(float(time[-1] - time[0]), rate)) / rate
    places = np.append(np.minimum(places, time[-1]), np.full(_frames(hold, rate), time[-1]))
    spans = (
        Span(float(time[0]), float(time[-1]), "time", "s"),
        Span(*nice_limits(min(0.0, float(speed.min())), float(speed.max())), "speed", unit),
    )
    alt = describe_curve(time, speed, ("time", "speed"), ("s", unit))
    return Scene(
        look, spans, time, speed, places, growing=True, formats=(".1f", ".0f"), alt=alt, carries={}
    )


def sweep_scene(
    answer: Answer,
    look: Look,
    *,
    of: str,
    span: tuple[Any, Any] | None,
    seconds: float,
    rate: float,
) -> Scene:
    """Make the scene of a sweep: the wanted as one known quantity goes from end to end.

    Parameters
    ----------
    answer : Answer
    look : Look
    of : str
        Name of a known quantity.
    span : tuple of two, optional
        From where to where, downwards too; the usual range if left out.
    seconds : float
        How long it takes.
    rate : float
        Frames per second.

    Returns
    -------
    Scene

    Raises
    ------
    ChalkwattError
        If the quantity is none of the known ones, there is no value at some place, or the motion
        would be too long.
    """
    if of not in answer.known:
        raise ChalkwattError(
            f"{of} is no known value of this answer.",
            quantity=of,
            advice=f"Sweep one of {', '.join(answer.known)}.",
        )
    entry = look_up(of)
    start, end = (entry.read_one(one) for one in (span or entry.usual))
    others = {name: value for name, value in answer.known.items() if name != of}
    grid = np.linspace(min(start, end), max(start, end), _POINTS)
    swept = np.asarray(answer.topic.find(answer.wanted, **others, **{of: grid}).si, dtype=float)
    if start == end or not np.isfinite(swept).all():
        raise ChalkwattError(
            f"{answer.wanted} has no value at every place of this sweep of {of}.",
            quantity=of,
            advice="Give another span.",
        )
    labels = unit_for(of, answer.labels.get(of)), answer.unit
    along = np.asarray(entry.in_unit(grid, labels[0]))
    up = np.asarray(answer.quantity.in_unit(swept, labels[1]))
    ends = (float(entry.in_unit(start, labels[0])), float(entry.in_unit(end, labels[0])))
    # Slow at both ends, so that an eye can rest there.
    share = (1 - np.cos(np.pi * np.linspace(0, 1, max(_frames(seconds, rate), 2)))) / 2
    words = entry.words, answer.quantity.words
    spans = (
        Span(float(along[0]), float(along[-1]), words[0], labels[0]),
        Span(*nice_limits(float(up.min()), float(up.max())), words[1], labels[1]),
    )
    alt = with_drive(describe_curve(along, up, words, labels), answer, along=of)
    places = ends[0] + (ends[1] - ends[0]) * share
    carries = {name: float(value) for name, value in others.items()}
    formats = _decimals(along), _decimals(up)
    return Scene(
        look, spans, along, up, places, growing=False, formats=formats, alt=alt, carries=carries
    )


def _decimals(values: NDArray[np.float64]) -> str:
    """Choose decimals for a readout: three digits at the largest value, and as many at any other."""
    largest = float(np.abs(values).max())
    return f".{max(2 - int(np.floor(np.log10(largest))), 0) if largest else 0}f"


def _frames(seconds: float, rate: float) -> int:
    if not 1 <= rate <= 240 or not 0 <= seconds * rate <= _MOST_FRAMES:
        raise ChalkwattError(
            f"{seconds:g} s at {rate:g} frames a second cannot be made.",
            value=(seconds, rate),
            limit=_MOST_FRAMES,
            advice=f"Take 1 to 240 frames a second and at most {_MOST_FRAMES} frames.",
        )
    return int(np.ceil(seconds * rate))
