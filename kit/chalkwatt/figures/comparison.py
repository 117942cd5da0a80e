"""Several vehicles in one figure: for every quantity a small axis with a range for each vehicle."""

from __future__ import annotations

from textwrap import wrap
from typing import TYPE_CHECKING

from chalkwatt.figures.plot import Plot
from chalkwatt.laws.quantities import look_up
from chalkwatt.wording.audience import for_whom_it_was_made

if TYPE_CHECKING:
    from chalkwatt.evidence.comparison import Comparison

__all__ = ["comparison_figure"]


_WIDTH = 360
_NAMES = 96  # room for the vehicles' names
_ROW = 20
_LONGEST = 14
_LINE = 50  # characters in the width of the figure
_LEADING = 17


@for_whom_it_was_made
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
        if any(cell.origin != "unknown" for cell in comparison.cells[name])
    ]
    block = 24 + _ROW * len(comparison.sheets) + 44
    lines = wrap(comparison.under, _LINE)
    whole = Plot(
        _WIDTH, block * len(known) + 22 + _LEADING * len(lines), (0, 1), (0, 1), (0, 0, 0, 0)
    )
    parts = [_block(comparison, name, block * place) for place, name in enumerate(known)]
    whole.add("".join(parts))
    whole.circle(8, block * len(known) + 8, 4, "dot")
    whole.text(18, block * len(known) + 12, "stated", kind="q")
    whole.circle(78, block * len(known) + 8, 4, "ring")
    whole.text(88, block * len(known) + 12, "derived", kind="q")
    for place, line in enumerate(lines, 1):
        whole.text(0, block * len(known) + 14 + _LEADING * place, line, kind="q")
    told = "; ".join(
        f"{look_up(name).words}: "
        + ", ".join(
            f"{whose} {cell.text}"
            for whose, cell in zip(comparison.names, comparison.cells[name], strict=True)
        )
        for name in known
    )
    return whole.svg(f"{told}. {comparison.under}".strip())


def _block(comparison: Comparison, name: str, top: float) -> str:
    entry = look_up(name)
    unit = entry.display[0]
    cells = comparison.cells[name]
    ends = [float(entry.in_unit(cell.high, unit)) for cell in cells if cell.high is not None]
    most = max(ends, default=0.0)
    foot = 24 + _ROW * len(cells)
    plot = Plot(_WIDTH, foot + 44, (0, 1.08 * most or 1.0), (0, 1), (_NAMES, 24, 14, 44))
    plot.text(0, 14, entry.words)
    for place, (whose, cell) in enumerate(zip(comparison.names, cells, strict=True)):
        y = 24 + _ROW * (place + 0.5)
        short = whose if len(whose) <= _LONGEST else whose[: _LONGEST - 1] + "…"
        plot.text(_NAMES - 8, y + 4.5, short, kind="q", anchor="end")
        if cell.si is None or cell.low is None or cell.high is None:
            said = "unknown" if cell.origin == "unknown" else cell.text
            plot.text(_NAMES + 6, y + 4.5, said, kind="q")
            continue
        low, middle, high = (
            plot.across(float(entry.in_unit(one, unit))) for one in (cell.low, cell.si, cell.high)
        )
        plot.box(low, y - 4, max(high - low, 0.5), 8, "soft")
        plot.circle(middle, y, 4, "ring" if cell.origin == "derived" else "dot")
    plot.axis(unit or "plain number", most=4)
    return f'<g transform="translate(0 {top:g})">{plot.body}</g>'
