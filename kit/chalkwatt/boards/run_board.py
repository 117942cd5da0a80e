"""The board of a run: rows whose settled values start the run, and its figure beside them.

A formula follows a slider in the browser; a run through time is Python's work, so it starts when a row
has settled. Any run serves that takes quantities by name and returns something with a figure.
"""

from __future__ import annotations

import base64
from functools import cache
from html import escape
from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING, Any, ClassVar, Protocol, runtime_checkable

import anywidget
import numpy as np
import traitlets
from IPython.display import display

from chalkwatt.calls import checked_call
from chalkwatt.errors import ChalkwattError
from chalkwatt.laws.quantities import Quantity, glossary
from chalkwatt.wording import units
from chalkwatt.wording.numbers import format_input
from chalkwatt.wording.speech import say_unit

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

    from matplotlib.figure import Figure
    from traitlets import Bunch

__all__ = ["RunBoard", "run_board"]

_HERE = Path(__file__).parent / "front"
_DPI = 120


@runtime_checkable
class Pictured(Protocol):
    """What came out of a run, and can be drawn."""

    def figure(self, *, theme_name: str) -> Figure:
        """Draw it."""


@checked_call
def run_board(run: Callable[..., object], /, *fixed: object, **known: Any) -> RunBoard:  # noqa: ANN401  also what is no quantity
    """Open the board of a run.

    Parameters
    ----------
    run : callable
        Such as ``cw.drive_schedule``, ``cw.solar_day`` or ``cw.standing_start``.
    *fixed
        Passed on as they are, such as a schedule.
    **known
        Numbers, text with a unit and pint quantities named in the glossary become rows; all else
        is passed on as it is.

    Returns
    -------
    RunBoard
        A Jupyter widget with a synced trait for every row, in its first display unit.

    Raises
    ------
    ChalkwattError
        What the run raises for the first values.

    Examples
    --------
    >>> import chalkwatt as cw
    >>> board = cw.run_board(
    ...     cw.drive_schedule, cw.schedules.nedc, mass="900 kg", drag_area="0.5 m^2",
    ...     rolling_coefficient=0.01, drive_efficiency=0.85, air_density=1.2,
    ... )
    >>> board
    NEDC: 11.01 km, consumption 8.805 kWh/100 km (141.7 Wh/mi)
    >>> board.mass = 1200.0
    >>> board
    NEDC: 11.01 km, consumption 10.71 kWh/100 km (172.4 Wh/mi)
    """
    entries = glossary()
    read = {
        name: entries[name].read(value)
        for name, value in known.items()
        if name in entries and value is not None and not isinstance(value, bool)
    }
    rows = {name: float(si) for name, si in read.items() if not np.ndim(si)}
    options = {name: value for name, value in known.items() if name not in rows}
    return _board_class(tuple(rows))(run, fixed, rows, options)


class RunBoard(anywidget.AnyWidget):
    """The interactive board of a run.

    Attributes
    ----------
    result : str
        What came out, in a line.
    error : str
        Why nothing came out, or empty.
    outcome
        What the run returned last.
    """

    _esm: ClassVar[Path] = _HERE / "run_board.js"
    _css: ClassVar[Path] = _HERE / "run_board.css"

    title = traitlets.Unicode().tag(sync=True)
    caution = traitlets.Unicode().tag(sync=True)
    rows: traitlets.List[Any] = traitlets.List().tag(sync=True)
    result = traitlets.Unicode().tag(sync=True)
    error = traitlets.Unicode().tag(sync=True)
    pictures = traitlets.Dict().tag(sync=True)
    settled = traitlets.Int().tag(sync=True)

    def __init__(
        self,
        run: Callable[..., object],
        fixed: Sequence[object],
        rows: Mapping[str, float],
        options: Mapping[str, object],
    ) -> None:
        self._run, self._fixed, self._options = run, tuple(fixed), dict(options)
        self._names = tuple(rows)
        entries = [glossary()[name] for name in rows]
        outcome = run(*self._fixed, **self._options, **rows)
        given = {one.name: float(one.in_unit(rows[one.name])) for one in entries}
        super().__init__(
            title=run.__name__.replace("_", " ").capitalize(),
            caution=str(getattr(outcome, "caution", "")),
            rows=[_row(one, given[one.name]) for one in entries],
            **given,
        )
        self._show(outcome)
        self.observe(self._changed, names=list(self._names))

    def _changed(self, _: Bunch) -> None:
        try:
            outcome = self._run(*self._fixed, **self._options, **self._values())
        except ChalkwattError as problem:
            self.error = str(problem)
        else:
            self._show(outcome)
        # The browser waits for this, whether or not anything else has changed.
        self.settled += 1

    def _values(self) -> dict[str, float]:
        made = {}
        for name in self._names:
            entry = glossary()[name]
            unit = units.unit(entry.display[0])
            made[name] = getattr(self, name) * unit.factor + unit.offset
            entry.check(made[name])
        return made

    def _show(self, outcome: object) -> None:
        self.outcome = outcome
        self.error = ""
        self.result = repr(outcome)
        if isinstance(outcome, Pictured):
            self.pictures = {one: _picture(outcome, one) for one in ("light", "dark")}

    @property
    def html(self) -> str:
        """The board as it stands, for a notebook without a front end."""
        lines = "".join(
            f"<tr><td>{escape(row['words'])}</td>"
            f"<td>{format_input(getattr(self, row['name']))} {escape(row['unit'])}</td></tr>"
            for row in self.rows
        )
        picture = self.pictures.get("light", "")
        shown = f'<img alt="{escape(self.result)}" src="{picture}">' if picture else ""
        caution = f"<p><b>Caution.</b> {escape(self.caution)}</p>" if self.caution else ""
        said = escape(self.error or self.result)
        return (
            f'<div class="cw-still"><p><b>{escape(self.title)}</b></p>{caution}'
            f"<table>{lines}</table><p>{said}</p>{shown}</div>"
        )

    def __repr__(self) -> str:
        """Show what came out, or why nothing did."""
        return self.error or self.result

    def _repr_mimebundle_(self, **options: Any) -> tuple[dict[str, Any], dict[str, Any]]:  # noqa: ANN401  anywidget's own
        """Give the widget, and what stands in for it where there is no front end."""
        made = super()._repr_mimebundle_(**options)
        data, extra = made if isinstance(made, tuple) else (made, {})
        return {**(data or {}), "text/plain": repr(self), "text/html": self.html}, extra

    def _ipython_display_(self) -> None:
        """Show the static board and, over it, the living one, which hides it."""
        data, _ = self._repr_mimebundle_()
        view = "application/vnd.jupyter.widget-view+json"
        display({kind: data[kind] for kind in ("text/plain", "text/html")}, raw=True)
        display({"text/plain": data["text/plain"], view: data[view]}, raw=True)


def _row(entry: Quantity, value: float) -> dict[str, Any]:
    low, high = (float(entry.in_unit(one)) for one in entry.usual)
    return {
        "name": entry.name,
        "words": entry.words,
        "symbol": list(entry.symbol_parts),
        "unit": entry.display[0],
        "spoken": say_unit(entry.display[0]),
        "sentence": entry.sentence,
        # A value outside the usual range widens the slider; it is never pushed back.
        "low": min(low, value),
        "high": max(high, value),
    }


def _picture(outcome: Pictured, theme_name: str) -> str:
    figure = outcome.figure(theme_name=theme_name)
    made = BytesIO()
    figure.savefig(made, format="png", dpi=_DPI, facecolor=figure.get_facecolor())
    return "data:image/png;base64," + base64.b64encode(made.getvalue()).decode()


@cache
def _board_class(names: tuple[str, ...]) -> type[RunBoard]:
    """Return a board class with a trait a row; they are class traits so that widgets see them."""
    made: dict[str, Any] = {
        name: traitlets.Float(help=glossary()[name].sentence).tag(sync=True) for name in names
    }
    return type(
        "RunBoard", (RunBoard,), {**made, "__module__": __name__, "__doc__": RunBoard.__doc__}
    )
