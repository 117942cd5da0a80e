"""Layouts drawn to scale: every cell a circle, every group in parallel told apart by its fill."""

from __future__ import annotations

from typing import TYPE_CHECKING

from chalkwatt.figures.plot import Plot
from chalkwatt.wording.numbers import format_input

if TYPE_CHECKING:
    from chalkwatt.evidence.layouts.pack_layouts import Layout, Layouts

__all__ = ["layouts_figure"]

_WIDTH = 360
_MOST = 3
_PITCH = 1.06  # cell diameters between centres, as drawn
_GAP = 1.6  # cell diameters between modules
_BREAK = 4000  # cells; beyond that one module stands for all


def layouts_figure(layouts: Layouts) -> str:
    """Draw the first layouts, one below the other, at one scale.

    Parameters
    ----------
    layouts : Layouts

    Returns
    -------
    str
        SVG.
    """
    shown = layouts[:_MOST]
    sizes = [_size(one) for one in shown]
    scale = (_WIDTH - 4) / max(width for width, _ in sizes)
    head, foot = 24.0, 26.0
    height = sum(head + tall * scale + foot / 2 for _, tall in sizes) + foot + 28
    plot = Plot(_WIDTH, height, (0, 1), (0, 1), (2, 2, 2, 2))
    top = 0.0
    for place, (layout, (_, tall)) in enumerate(zip(shown, sizes, strict=True), start=1):
        plot.text(
            2,
            top + 15,
            f"{place}. {layout.name}, {layout.pack_voltage:.0f} V",
            kind="acc" if place == 1 else "",
        )
        _drawn(plot, layout, top + head, scale)
        top += head + tall * scale + foot / 2
    _bar(plot, top + 12, scale, layouts.cell_diameter)
    return plot.svg("; ".join(one.text for one in shown))


def _modules(layout: Layout) -> int:
    every = layout.modules_in_series * layout.modules_in_parallel
    return every if layout.cells_in_series * layout.cells_in_parallel <= _BREAK else 1


def _upright(layout: Layout) -> tuple[int, int]:
    """Rows and columns of one module, the longer side across."""
    return layout.rows, layout.columns


def _size(layout: Layout) -> tuple[float, float]:
    """Width and height of all modules in cell diameters, as many side by side as make a wide picture."""
    rows, columns = _upright(layout)
    beside, down = _arranged(layout)
    return (
        beside * columns * _PITCH + (beside - 1) * _GAP + 1,
        down * rows * _PITCH + (down - 1) * _GAP + 1,
    )


def _arranged(layout: Layout) -> tuple[int, int]:
    modules = _modules(layout)
    rows, columns = _upright(layout)
    best = min(
        range(1, modules + 1),
        key=lambda one: (
            abs(one * columns - 2.2 * rows * -(-modules // one)) + (-modules % one) * 12
        ),
    )
    return best, -(-modules // best)


def _drawn(plot: Plot, layout: Layout, top: float, scale: float) -> None:
    rows, columns = _upright(layout)
    beside, _ = _arranged(layout)
    group = layout.parallel_in_module
    for module in range(_modules(layout)):
        left = 2 + (module % beside) * (columns * _PITCH + _GAP) * scale
        head = top + (module // beside) * (rows * _PITCH + _GAP) * scale
        plot.box(
            left, head, (columns * _PITCH + 0.3) * scale, (rows * _PITCH + 0.3) * scale, "case"
        )
        along = _along_columns(layout)
        places: dict[str, list[tuple[float, float]]] = {"group": [], "cell": []}
        for cell in range(rows * columns):
            row, column = (cell % rows, cell // rows) if along else divmod(cell, columns)
            x = left + (column + 0.65) * _PITCH * scale
            y = head + (row + 0.65) * _PITCH * scale
            places["group" if (cell // group) % 2 == 0 else "cell"].append((x, y))
        for kind, points in places.items():
            plot.dots(points, 0.5 * scale, kind)


def _along_columns(layout: Layout) -> bool:
    """Whether groups run down the columns, which they do where that fills whole columns."""
    group = layout.parallel_in_module
    return group % layout.columns != 0 and (group % layout.rows == 0 or layout.rows % group == 0)


def _bar(plot: Plot, top: float, scale: float, diameter: float | None) -> None:
    """Draw a scale: a round length, or ten cells where no diameter was given."""
    if diameter is None:
        length, words = 10 * scale, "10 cells across"
    else:
        target = 0.25 * _WIDTH / scale * diameter
        round_one = min((0.05, 0.1, 0.2, 0.25, 0.5, 1.0, 2.0), key=lambda one: abs(one - target))
        length, words = round_one / diameter * scale, f"{format_input(round_one)} m"
    plot.line([(2, top), (2 + length, top)], "axis")
    for end in (2, 2 + length):
        plot.line([(end, top - 4), (end, top + 4)], "axis")
    plot.text(length + 10, top + 4.5, words, kind="q")
    plot.text(2, top + 24, "in colour, in grey: one group in parallel after another", kind="q")
