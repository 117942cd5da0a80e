"""How every figure looks: thin axes, direct labels instead of legends, ink for light and dark."""

from __future__ import annotations

from contextlib import contextmanager
from dataclasses import dataclass
from io import BytesIO, StringIO
from typing import TYPE_CHECKING, Any

import matplotlib as mpl
from matplotlib.figure import Figure
from matplotlib.layout_engine import ConstrainedLayoutEngine

from chalkwatt.errors import ChalkwattError

if TYPE_CHECKING:
    from collections.abc import Iterator

    from matplotlib.axes import Axes

__all__ = ["THEMES", "Drawing", "Ink", "drawing", "quiet_axes", "theme"]


@dataclass(frozen=True)
class Ink:
    """Colours for one ground.

    ``good``, ``lost`` and ``third`` keep apart in the three colour-vision deficiencies and in grey
    (blue, orange, purple); hatching or a label says the same once more. ``lost_text`` is the orange
    that can be read as text.
    """

    paper: str
    ink: str
    quiet: str
    hair: str
    good: str
    lost: str
    lost_text: str
    third: str


THEMES = {
    "light": Ink(
        "#ffffff", "#1c1f1e", "#565d5a", "#b9c0bd", "#1f5fa8", "#e07b00", "#9a5200", "#8a5fb0"
    ),
    "dark": Ink(
        "#14171a", "#f0efe9", "#b4bab7", "#4b5350", "#7fb6f0", "#ffb454", "#ffb454", "#c9a3ea"
    ),
}


def theme(name: str) -> Ink:
    """Return the colours of a theme.

    Raises
    ------
    ChalkwattError
        If there is no such theme.
    """
    if name not in THEMES:
        raise ChalkwattError(
            f"There is no theme {name!r}.", value=name, advice=f"Use {' or '.join(THEMES)}."
        )
    return THEMES[name]


class Drawing(Figure):
    """A Matplotlib figure that shows itself in a notebook without pyplot."""

    def _repr_png_(self) -> bytes:
        made = BytesIO()
        self.savefig(made, format="png", dpi=120, facecolor=self.get_facecolor())
        return made.getvalue()

    @property
    def svg(self) -> str:
        """The figure as SVG text."""
        made = StringIO()
        with mpl.rc_context({"svg.fonttype": "none", "svg.hashsalt": "chalkwatt"}):
            self.savefig(
                made, format="svg", metadata={"Date": None}, facecolor=self.get_facecolor()
            )
        return made.getvalue()


@contextmanager
def drawing(width: float, height: float, ink: Ink) -> Iterator[Drawing]:
    """Make a figure in inches, with our text and line settings while it is drawn.

    Parameters
    ----------
    width, height : float
        Inches.
    ink : Ink

    Yields
    ------
    Drawing
    """
    settings: Any = {
        "font.size": 11,
        "axes.edgecolor": ink.hair,
        "axes.labelcolor": ink.quiet,
        "axes.linewidth": 0.8,
        "axes.titlesize": 13,
        "axes.titleweight": "bold",
        "axes.titlelocation": "left",
        "text.color": ink.ink,
        "xtick.color": ink.hair,
        "ytick.color": ink.hair,
        "xtick.labelcolor": ink.quiet,
        "ytick.labelcolor": ink.quiet,
        "hatch.linewidth": 0.8,
        "axes.unicode_minus": True,
    }
    with mpl.rc_context(settings):
        layout = ConstrainedLayoutEngine(w_pad=0.08, h_pad=0.08)
        made = Drawing(figsize=(width, height), layout=layout, facecolor=ink.paper)
        yield made


def quiet_axes(axes: Axes, ink: Ink, *, keep: tuple[str, ...] = ("left", "bottom")) -> None:
    """Take away what says nothing: all spines but those kept, and the ground."""
    axes.set_facecolor("none")
    for side, spine in axes.spines.items():
        spine.set_visible(side in keep)
        spine.set_color(ink.hair)
    axes.tick_params(length=3, width=0.8)
