"""The curve of a still board as SVG text, drawn from the plan that gave the answer."""

from __future__ import annotations

import math
from html import escape
from typing import TYPE_CHECKING

import numpy as np

from chalkwatt.laws.quantities import look_up
from chalkwatt.planning.evaluation import compile_plan
from chalkwatt.rendering.working import unit_for
from chalkwatt.wording.numbers import format_input

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from chalkwatt.answering.answers import Answer

__all__ = ["curve", "ticks"]

_WIDTH, _HEIGHT = 520, 300
_POINTS = 121
_LEFT, _TOP, _RIGHT, _BOTTOM = 64, 30, _WIDTH - 14, _HEIGHT - 46
_STYLE = (
    "text{font:13px system-ui,sans-serif;fill:#5c6360}"
    ".l{fill:none;stroke:#0b6a54;stroke-width:2.25}"
    ".a{fill:none;stroke:#5c6360}.g{fill:none;stroke:#1c1f1e;stroke-dasharray:2 4}.b{fill:#f0f2f0}"
    ".p{fill:#0b6a54}.o{fill:#fff;stroke:#0b6a54;stroke-width:2}"
)
_NAMES = {
    "a": "cw-axis",
    "l": "cw-line",
    "g": "cw-guide",
    "b": "cw-band",
    "p": "cw-point",
    "o": "cw-further",
}


def ticks(low: float, high: float, most: int = 5) -> list[float]:
    """Return few round numbers between two limits.

    Examples
    --------
    >>> from chalkwatt.look.drawing import ticks
    >>> ticks(0.0, 430.0)
    [0.0, 100.0, 200.0, 300.0, 400.0]
    """
    raw = (high - low) / most
    power = 10.0 ** math.floor(math.log10(raw))
    step = next(one * power for one in (1, 2, 2.5, 5, 10) if one * power >= raw * 0.999)
    first = math.ceil(low / step - 1e-9)
    return [
        float(f"{place * step:.12g}") for place in range(first, math.floor(high / step + 1e-9) + 1)
    ]


def against(answer: Answer) -> str:
    """Return the known along the curve: a given result of the topic, or the first that matters."""
    used = {name for step in answer.plan.steps for name in step.needs}
    useful = [name for name in answer.known if name in used] or list(answer.known)
    outcomes = answer.topic.outcomes
    given = [name for name in outcomes if name in useful and answer.wanted not in outcomes]
    return (given or useful)[0]


def curve(answer: Answer, name: str | None = None, *, alone: bool = True) -> str:
    """Draw the wanted of an answer against one of its knowns.

    Parameters
    ----------
    answer : Answer
        To scalar input.
    name : str, optional
        The known along the horizontal axis; the first that matters if left out.
    alone : bool
        Whether it is a picture with its own paper; else a board's stylesheet gives its colours.

    Returns
    -------
    str
        An SVG element.
    """
    name = against(answer) if name is None else name
    across, up = look_up(name), look_up(answer.wanted)
    labels = {one.name: unit_for(one.name, answer.labels.get(one.name)) for one in (across, up)}
    x_si = _span(answer, name)
    branches = compile_plan(answer.plan).branches({**answer.known, name: x_si}, None)
    xs = np.asarray(across.in_unit(x_si, labels[name]))
    lines = [
        np.broadcast_to(
            np.asarray(up.in_unit(one.values[up.name], labels[up.name]), dtype=float), xs.shape
        )
        for one in branches
    ]
    point = (
        float(across.in_unit(answer.known[name], labels[name])),
        float(up.in_unit(answer.si, labels[up.name])),
    )
    solutions = [float(up.in_unit(one, labels[up.name])) for one in answer.solutions_si]
    further = [one for one in solutions if not math.isclose(one, point[1], rel_tol=1e-9)]
    usual = [float(across.in_unit(one, labels[name])) for one in across.usual]
    titles = [
        f"{one.words} in {labels[one.name]}" if labels[one.name] else one.words
        for one in (across, up)
    ]
    drawn = _svg(xs, lines, point=point, further=further, usual=usual, titles=titles)
    return drawn if alone else _in_a_page(drawn, f"Curve of {up.words} against {across.words}")


def _in_a_page(svg: str, told: str) -> str:
    """Give a picture the names that a board's stylesheet knows, and take its own colours away."""
    _, _, body = svg.partition("</style>")
    body = body[body.index("/>") + 2 :]  # the paper
    for short, name in _NAMES.items():
        body = body.replace(f'class="{short}"', f'class="{name}"')
    size = f'viewBox="-12 -10 {_WIDTH + 24} {_HEIGHT + 20}"'
    return f'<svg class="cw-plot" width="{_WIDTH + 24}" {size} role="img" aria-label="{escape(told)}">{body}'


def _span(answer: Answer, name: str) -> NDArray[np.float64]:
    entry = look_up(name)
    present = float(answer.known[name])
    margin = (entry.usual[1] - entry.usual[0]) * 0.06
    low = max(min(entry.usual[0], present) - margin, entry.bounds[0])
    high = min(max(entry.usual[1], present) + margin, entry.bounds[1])
    return np.linspace(low, high, _POINTS)


def _limits(lines: Sequence[NDArray[np.float64]], must: Sequence[float]) -> tuple[float, float]:
    every = np.concatenate([*lines, np.asarray(must, dtype=float)])
    every = np.sort(every[np.isfinite(every)])
    low, high = float(every[0]), float(every[-1])
    if high > 0 and high > 4 * abs(float(np.quantile(every, 0.85))):
        high = max(1.6 * float(np.quantile(every, 0.85)), *must)  # a pole must not flatten the rest
    if 0 < low < 0.45 * high:
        low = 0.0
    if high - low <= 1e-9 * max(abs(high), abs(low)):
        room = abs(high) * 0.1 or 1.0
        low, high = low - room, high + room
    marks = ticks(low, high)
    step = marks[1] - marks[0] if len(marks) > 1 else (high - low)
    return math.floor(low / step + 1e-9) * step, math.ceil(high / step - 1e-9) * step


def _label(x: float, y: float, anchor: str, text: str) -> str:
    return f'<text x="{x}" y="{y}" text-anchor="{anchor}">{text}</text>'


def _svg(
    xs: NDArray[np.float64],
    lines: Sequence[NDArray[np.float64]],
    *,
    point: tuple[float, float],
    further: Sequence[float],
    usual: Sequence[float],
    titles: Sequence[str],
) -> str:
    low, high = _limits(lines, [point[1], *further])
    left, right = float(min(xs[0], xs[-1])), float(max(xs[0], xs[-1]))

    def px(value: float) -> float:
        return round(_LEFT + (value - left) / (right - left) * (_RIGHT - _LEFT), 1)

    def py(value: float) -> float:
        return round(_BOTTOM - (value - low) / (high - low) * (_BOTTOM - _TOP), 1)

    band = sorted(min(max(px(one), _LEFT), _RIGHT) for one in usual)
    wide, high_up = f"{band[1] - band[0]:.1f}", _BOTTOM - _TOP
    parts = [f'<rect class="b" x="{band[0]}" y="{_TOP}" width="{wide}" height="{high_up}"/>']
    axes = f"M{_LEFT} {_TOP}V{_BOTTOM}H{_RIGHT}"
    for mark in ticks(left, right, 6):
        axes += f"M{px(mark)} {_BOTTOM}v5"
        parts.append(_label(px(mark), _BOTTOM + 19, "middle", format_input(mark)))
    for mark in ticks(low, high):
        axes += f"M{_LEFT} {py(mark)}h-5"
        parts.append(_label(_LEFT - 9, py(mark) + 4.5, "end", format_input(mark)))
    parts.append(f'<path class="a" d="{axes}"/>')
    for ys in lines:
        inside = np.isfinite(ys) & (ys >= low) & (ys <= high)
        pieces = np.split(np.arange(len(xs)), np.nonzero(np.diff(inside.astype(int)))[0] + 1)
        drawn = "".join(
            "M" + "L".join(f"{px(xs[i])} {py(ys[i])}" for i in piece)
            for piece in pieces
            if inside[piece[0]]
        )
        parts.append(f'<path class="l" d="{drawn}"/>')
    x, y = px(point[0]), py(point[1])
    parts.append(f'<path class="g" d="M{x} {_BOTTOM}V{y}H{_LEFT}"/>')
    parts += [f'<circle class="o" cx="{x}" cy="{py(one)}" r="4.5"/>' for one in further]
    parts.append(f'<circle class="p" cx="{x}" cy="{y}" r="4.5"/>')
    parts.append(_label(_RIGHT, _HEIGHT - 6, "end", escape(titles[0])))
    parts.append(_label(0, 13, "start", escape(titles[1])))
    return (
        # White paper of its own: an image does not learn whether its host is dark.
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{_WIDTH + 24}" height="{_HEIGHT + 20}" '
        f'viewBox="-12 -10 {_WIDTH + 24} {_HEIGHT + 20}"><style>{_STYLE}</style>'
        f'<path fill="#fff" d="M-12-10h{_WIDTH + 24}v{_HEIGHT + 20}h-{_WIDTH + 24}z"/>'
        f"{''.join(parts)}</svg>"
    )
