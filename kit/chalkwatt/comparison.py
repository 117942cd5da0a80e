"""Comparison: several vehicles side by side, each number with its unit and where it comes from."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from html import escape
from typing import TYPE_CHECKING, Any

from chalkwatt.driven import how_driven
from chalkwatt.errors import ChalkwattError
from chalkwatt.quantities import look_up
from chalkwatt.sheets.sheet import condition

if TYPE_CHECKING:
    from collections.abc import Iterator

    from chalkwatt.finding import Finding
    from chalkwatt.sheets.facts import Fact
    from chalkwatt.sheets.sheet import Sheet

__all__ = ["Cell", "Comparison", "compare"]

_USUAL = ("mass", "drag_area", "usable_energy", "pack_mass", "consumption", "range")


@dataclass(frozen=True)
class Cell:
    """One number of a comparison.

    Attributes
    ----------
    text : str
        Value and range with unit; a dash where the sheet does not lead to it.
    origin : str
        One of the origins of a sheet, or "derived", or "unknown".
    si, low, high : float or None
        In SI units.
    why : str
        What it rests on, or why there is none.
    """

    text: str
    origin: str
    si: float | None
    low: float | None
    high: float | None
    why: str


class Comparison:
    """Several sheets side by side.

    Attributes
    ----------
    sheets : tuple of Sheet
    quantities : tuple of str
    cells : dict of str to tuple of Cell
        By quantity, one cell a sheet.
    """

    def __init__(
        self, sheets: tuple[Sheet, ...], quantities: tuple[str, ...], conditions: dict[str, Any]
    ) -> None:
        self.sheets = sheets
        self.quantities = quantities
        self.conditions = conditions
        self.cells = {
            name: tuple(_cell(sheet, name, conditions) for sheet in sheets) for name in quantities
        }

    @cached_property
    def _under(self) -> str:
        from chalkwatt.claims import Claim

        if not self.conditions:
            return ""
        some = next(one for one in ("range", "mass") if one not in self.conditions)
        asked = f"At {Claim(some, 1.0, **self.conditions).condition_text}."
        drives = {how_driven(one) for one in self._drives()}
        # Where the vehicles do not have it alike, each is told by its own verdict and card.
        alike = next(iter(drives)) if len(drives) == 1 else ""
        return f"{asked} For a drive{alike}." if alike else asked

    def _drives(self) -> Iterator[Finding]:
        """Yield what each sheet makes of a quantity on the road that is compared."""
        asked = [one for one in ("range", "consumption") if one in self.quantities]
        road = asked[0] if asked else ""
        for sheet in self.sheets if road and road not in self.conditions else ():
            try:
                yield sheet.find(road, **self.conditions)
            except ChalkwattError:
                continue

    @cached_property
    def table(self) -> str:
        """The comparison as an HTML table."""
        head = "".join(
            f'<th scope="col">{escape(sheet.name)}{_marked(sheet)}</th>' for sheet in self.sheets
        )
        rows = "".join(
            f'<tr><th scope="row">{escape(look_up(name).words)}</th>'
            + "".join(_table_cell(cell) for cell in self.cells[name])
            + "</tr>"
            for name in self.quantities
        )
        return f'<table><thead><tr><th scope="col">quantity</th>{head}</tr></thead><tbody>{rows}</tbody></table>'

    @cached_property
    def figure(self) -> str:
        """The comparison as SVG: a row of ranges for every quantity, each with its own scale."""
        from chalkwatt.figures.comparison import comparison_figure

        return comparison_figure(self)

    def _repr_html_(self) -> str:
        from chalkwatt.figures.plot import style

        return (
            f'{style()}<div class="cw-fig cw-comparison"><p>{escape(self._under)}</p>'
            f'<div class="scroll">{self.table}</div>{self.figure}</div>'
        )

    def __repr__(self) -> str:
        """Show the table as text."""
        rows = [["", *(sheet.name for sheet in self.sheets)]]
        rows += [
            [look_up(name).words, *(f"{cell.text} [{cell.origin}]" for cell in self.cells[name])]
            for name in self.quantities
        ]
        widths = [max(len(row[place]) for row in rows) for place in range(len(rows[0]))]
        lines = [
            "  ".join(part.ljust(width) for part, width in zip(row, widths, strict=True)).rstrip()
            for row in rows
        ]
        return "\n".join([*([self._under] if self._under else []), *lines])


def _table_cell(cell: Cell) -> str:
    value, bracket, ends = cell.text.partition(" (")
    shown = f"<span>{escape(value)}</span>" + (f" <span>({escape(ends)}</span>" if bracket else "")
    return f'<td title="{escape(cell.why)}">{shown}<small> {cell.origin}</small></td>'


def _marked(sheet: Sheet) -> str:
    return "<small> invented</small>" if sheet.invented else ""


def _cell(sheet: Sheet, name: str, conditions: dict[str, Any]) -> Cell:
    if name in sheet.facts and name not in conditions:
        return _stated(sheet.facts[name])
    try:
        return _derived(sheet.find(name, **conditions))
    except ChalkwattError as cause:
        return Cell("–", "unknown", None, None, None, str(cause))


def _stated(fact: Fact) -> Cell:
    why = "; ".join(part for part in (fact.note, fact.seen) if part)
    return Cell(fact.text, fact.origin, fact.si, fact.low, fact.high, why)


def _derived(finding: Finding) -> Cell:
    interval = finding.interval
    ends = (finding.si, finding.si) if interval is None else (interval.low, interval.high)
    why = "from " + ", ".join(look_up(one).words for one in finding.facts)
    return Cell(finding.text, "derived", finding.si, ends[0], ends[1], why)


def compare(*sheets: Sheet, quantities: tuple[str, ...] = _USUAL, **conditions: Any) -> Comparison:  # noqa: ANN401
    """Compare vehicles.

    Parameters
    ----------
    *sheets : Sheet
    quantities : tuple of str
        The rows.
    **conditions : number, str, pint quantity, or a pair of them
        The same for all of them.

    Returns
    -------
    Comparison
        With ``.table``, ``.figure`` and ``.cells``; a notebook shows table and figure.

    Raises
    ------
    ChalkwattError
        If there is no sheet, a name is none of a quantity, or a condition cannot be.

    Examples
    --------
    >>> from chalkwatt import Sheet, compare
    >>> first, second = (Sheet.parse(f'''
    ... [vehicle]
    ... name = "{name}"
    ... [values.mass]
    ... value = "{mass} kg"
    ... origin = "measured"
    ... ''') for name, mass in (("Teasel", 800), ("Burdock", 950)))
    >>> compare(first, second, quantities=("mass",))
          Teasel             Burdock
    mass  800 kg [measured]  950 kg [measured]
    """
    if not sheets:
        raise ChalkwattError("There is no sheet to compare.", advice="Give at least one.")
    for name in quantities:
        look_up(name)
    for name, value in conditions.items():
        condition(name, value)  # or every cell would be unknown, and nothing would say why
    for one in sheets:
        if not hasattr(one, "facts"):
            raise ChalkwattError(
                f"{one!r:.60} is no sheet.", value=one, advice="Read it with Sheet.read first."
            )
    return Comparison(sheets, tuple(quantities), conditions)
