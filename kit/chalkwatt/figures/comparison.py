"""Several vehicles in one figure: for every quantity a small axis with a range for each vehicle."""

from __future__ import annotations

from typing import TYPE_CHECKING

from chalkwatt.figures.plot import Plot
from chalkwatt.quantities import look_up

if TYPE_CHECKING:
    from chalkwatt.comparison import Comparison

__all__ = ["comparison_figure"]


_WIDTH = 360
_NAMES = 96  # room for the vehicles' names
_ROW = 20
_LONGEST = 14


def comparison_figure(comparison: Comparison) -> str:
    """Draw a comparison.

    Parameters
    ----------
    comparison : Comparison

    Returns
    -------
    str
        SVG. Stated values are dots, derived ones rings; a bar is the range. Every axis begins at nought.
    """
    known = [
        name
        for name in comparison.quantities
        if any(cell.high is not None for cell in comparison.cells[name])
    ]
    block = 24 + _ROW * len(comparison.sheets) + 44
    whole = Plot(_WIDTH, block * len(known) + 22, (0, 1), (0, 1), (0, 0, 0, 0))
    parts = [_block(comparison, name, block * place) for place, name in enumerate(known)]
    whole.add("".join(parts))
    whole.circle(8, block * len(known) + 8, 4, "dot")
    whole.text(18, block * len(known) + 12, "stated", kind="q")
    whole.circle(78, block * len(known) + 8, 4, "ring")
    whole.text(88, block * len(known) + 12, "derived", kind="q")
    told = "; ".join(
        f"{look_up(name).words}: "
        + ", ".join(
            f"{sheet.name} {cell.text}"
            for sheet, cell in zip(comparison.sheets, comparison.cells[name], strict=True)
        )
        for name in known
    )
    return whole.svg(told)


def _block(comparison: Comparison, name: str, top: float) -> str:
    entry = look_up(name)
    unit = entry.display[0]
    cells = comparison.cells[name]
    most = max(float(entry.in_unit(cell.high, unit)) for cell in cells if cell.high is not None)
    foot = 24 + _ROW * len(cells)
    plot = Plot(_WIDTH, foot + 44, (0, 1.08 * most or 1.0), (0, 1), (_NAMES, 24, 14, 44))
    plot.text(0, 14, entry.words)
    for place, (sheet, cell) in enumerate(zip(comparison.sheets, cells, strict=True)):
        y = 24 + _ROW * (place + 0.5)
        short = sheet.name if len(sheet.name) <= _LONGEST else sheet.name[: _LONGEST - 1] + "…"
        plot.text(_NAMES - 8, y + 4.5, short, kind="q", anchor="end")
        if cell.si is None or cell.low is None or cell.high is None:
            plot.text(_NAMES + 6, y + 4.5, "unknown", kind="q")
            continue
        low, middle, high = (
            plot.across(float(entry.in_unit(one, unit))) for one in (cell.low, cell.si, cell.high)
        )
        plot.box(low, y - 4, max(high - low, 0.5), 8, "soft")
        plot.circle(middle, y, 4, "ring" if cell.origin == "derived" else "dot")
    plot.axis(unit or "plain number", most=4)
    return f'<g transform="translate(0 {top:g})">{plot.body}</g>'
