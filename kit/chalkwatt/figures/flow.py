"""The figure of where a kilowatt-hour goes: a staircase whose steps add up to the whole."""

from __future__ import annotations

from typing import TYPE_CHECKING

from chalkwatt.figures.style import Ink, drawing, quiet_axes, theme

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

    from chalkwatt.runs.flows import EnergyFlow

__all__ = ["flow_figure"]

_KINDS = {
    "auxiliary": ("third", "....", "everything but driving"),
    "lost": ("lost", "////", "lost on the way"),
    "road": ("good", "", "moving the vehicle"),
}


def flow_figure(flow: EnergyFlow, *, theme_name: str = "light", width: float = 8.0) -> Figure:
    """Draw a kilowatt-hour as a staircase: each step takes its part off, down to nothing.

    Parameters
    ----------
    flow : EnergyFlow
    theme_name : str
        ``"light"`` or ``"dark"``.
    width : float
        Inches.

    Returns
    -------
    matplotlib.figure.Figure

    Examples
    --------
    >>> from chalkwatt.runs.flows import EnergyFlow, Part
    >>> from chalkwatt.figures.flow import flow_figure
    >>> flow = EnergyFlow((Part("heat", 0.25, "lost"), Part("rolling", 0.75, "road")))
    >>> len(flow_figure(flow).axes[1].patches)
    3
    """
    ink = theme(theme_name)
    numbers = flow.watt_hours
    rows = len(flow.parts)
    with drawing(width, 1.2 + 0.42 * (rows + 1), ink) as figure:
        key, axes = figure.subplots(2, 1, height_ratios=[0.5, rows + 1.2])
        _key(key, ink, flow)
        quiet_axes(axes, ink, keep=())
        axes.set_xlim(-2, 1002)
        axes.set_ylim(rows + 0.6, -0.6)
        axes.barh(0, 1000, height=0.66, color="none", edgecolor=ink.ink, linewidth=1.4)
        axes.text(500, 0, "1000 Wh from the battery", ha="center", va="center", weight="bold")
        left = 1000.0
        for row, part in enumerate(flow.parts, start=1):
            size = 1000 * part.share
            _step(axes, ink, row, part.kind, left=left, size=size)
            label = f"{part.words}  {numbers[part.words]}"
            if left - size > 330:
                axes.text(left - size - 10, row, label, ha="right", va="center")
            else:
                axes.text(left + 10, row, label, ha="left", va="center")
            left -= size
        axes.set_yticks([])
        axes.set_xticks([])
        key.set_title(f"{flow.title}{', ' + flow.conditions if flow.conditions else ''}", pad=10)
    return figure


def _step(axes: Axes, ink: Ink, row: int, kind: str, *, left: float, size: float) -> None:
    colour, hatch, _ = _KINDS[kind]
    fill = getattr(ink, colour)
    axes.barh(
        row,
        size,
        left=left - size,
        height=0.66,
        color="none" if hatch else fill,
        edgecolor=fill,
        hatch=hatch,
        linewidth=1.2,
    )
    # The thin line carries the eye from what is left to the next step.
    axes.plot([left, left], [row - 0.67, row - 0.33], color=ink.hair, linewidth=0.8)


def _key(axes: Axes, ink: Ink, flow: EnergyFlow) -> None:
    """Say, above the bars, what each filling sums up to."""
    quiet_axes(axes, ink, keep=())
    axes.set(xlim=(0, 100), ylim=(0, 1), xticks=[], yticks=[])
    kinds = [kind for kind in _KINDS if any(part.kind == kind for part in flow.parts)]
    for place, kind in enumerate(kinds):
        colour, hatch, words = _KINDS[kind]
        fill = getattr(ink, colour)
        total = sum(flow.watt_hours[part.words] for part in flow.parts if part.kind == kind)
        left = place * 36
        axes.barh(
            0.5,
            2.6,
            left=left + 0.2,
            height=0.8,
            color="none" if hatch else fill,
            edgecolor=fill,
            hatch=hatch,
            linewidth=1.0,
        )
        axes.text(left + 3.8, 0.5, f"{words}  {total}", va="center", color=ink.quiet, fontsize=10)
