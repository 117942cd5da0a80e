"""Comparison: several vehicles side by side, each number with its unit and where it comes from."""

from __future__ import annotations

from dataclasses import dataclass, replace
from html import escape
from itertools import count
from typing import TYPE_CHECKING, Any

from chalkwatt.answering.driven import COVERED, how_driven
from chalkwatt.answering.showing import show
from chalkwatt.calls import checked_call
from chalkwatt.errors import (
    ChalkwattError,
    NameUnknownError,
    NoSolutionError,
    TooLittleKnownError,
)
from chalkwatt.evidence.claims.claims import Claim
from chalkwatt.evidence.remarks import (
    stated_itself,
    turned_round,
    unheard,
    what_gave_way,
    which_way,
    without_limit,
)
from chalkwatt.evidence.sheets.choosing import put_in_order
from chalkwatt.evidence.sheets.effects import follow_from
from chalkwatt.evidence.sheets.facts import condition
from chalkwatt.laws.quantities import look_up
from chalkwatt.rendering.phrases import no_part
from chalkwatt.topics.registry import every_topic
from chalkwatt.topics.vehicle import vehicle
from chalkwatt.wording.audience import addressed, current, for_whom_it_was_made, per_audience

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from chalkwatt.evidence.finding import Finding
    from chalkwatt.evidence.sheets.sheet import Sheet
    from chalkwatt.wording.given import Given

__all__ = ["Cell", "Comparison", "compare"]

_USUAL = ("mass", "drag_area", "usable_energy", "pack_mass", "consumption", "range")
_FEW = 2  # differences that a heading holds


@dataclass(frozen=True)
class Cell:
    """One number of a comparison.

    Attributes
    ----------
    text : str
        Value and range with unit; words where nothing limits it; a dash where the sheet does not lead to it.
    origin : str
        One of the origins of a sheet, or "derived", or "unknown".
    si, low, high : float or None
        In SI units.
    why : str
        What it rests on, or why there is none.
    idle : tuple of str
        Conditions that could have to do with it and that nothing was reckoned with.
    notes : tuple of str
        What has to be said beside it.
    """

    text: str
    origin: str
    si: float | None
    low: float | None
    high: float | None
    why: str
    idle: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()

    @property
    def marked(self) -> str:
        """Where it comes from, and which conditions it leaves out."""
        left = " or ".join(look_up(one).words for one in self.idle)
        return f"{self.origin}, without {left}" if left else self.origin


@addressed
class Comparison:
    """Several sheets side by side.

    Attributes
    ----------
    sheets : tuple of Sheet
    names : tuple of str
        One a sheet; of sheets with one name each later one says what it has otherwise.
    quantities : tuple of str
    cells : dict of str to tuple of Cell
        By quantity, one cell a sheet.
    """

    def __init__(
        self, sheets: tuple[Sheet, ...], quantities: tuple[str, ...], conditions: dict[str, Any]
    ) -> None:
        self.audience = current()
        self.sheets = sheets
        self.names = _names(sheets)
        self.quantities = quantities
        self.conditions = conditions
        self.cells = {}
        heard: set[str] = set()
        for name in quantities:
            row = []
            for sheet in sheets:
                unheard: set[str] = set()
                row.append(_cell(sheet, name, conditions, unheard))
                heard |= {*conditions} - unheard
            self.cells[name] = tuple(row)
        for one in conditions:
            if one not in heard:
                self._refuse_what_would_count(one)
                raise NameUnknownError(
                    f"{one} has nothing to do with any of {', '.join(quantities)}. Leave it out, or "
                    "compare a quantity that it is a condition of.",
                    quantity=one,
                )

    def _refuse_what_would_count(self, name: str) -> None:
        """Refuse a condition that would count if a sheet said more, or less."""
        for sheet in self.sheets:
            for quantity in self.quantities:
                try:
                    finding = sheet.find(quantity, **self.conditions)
                except ChalkwattError:
                    continue
                if name in finding.unheard and finding.remedies:
                    raise TooLittleKnownError(
                        f"{sheet.name}, {finding.quantity.words}: {' '.join(unheard(finding))}",
                        quantity=quantity,
                        unheard=(name,),
                        advice=f"Or compare without {name}.",
                    )

    @per_audience
    def under(self) -> str:
        """What the numbers hold for: the conditions, and for which drive what hangs on the road was reckoned."""
        found = list(self._drives())
        drives = {whose: how_driven(one) for whose, one in found if how_driven(one)}
        # Where the vehicles do not have it alike, what each has is told by its name.
        alike = len({*drives.values()}) == 1 and len(drives) == len(found)
        said = frozenset[str]()
        if drives and len(drives) == len(found):  # what the drive says already is not said again
            said = COVERED.intersection(*(one.facts for _, one in found))
        told = [f"{whose}: for a drive{drive}." for whose, drive in drives.items()]
        if alike:
            told = [f"For a drive{next(iter(drives.values()))}."]
        left = {name: value for name, value in self.conditions.items() if name not in said}
        some = next(one for one in ("range", "mass") if one not in left)
        asked = f"At {Claim(some, 1.0, **left).condition_text}." if left else ""
        return " ".join(one for one in (asked, *told) if one)

    @per_audience
    def notes(self) -> tuple[str, ...]:
        """What has to be said beside the numbers, each with its vehicle and quantity."""
        return tuple(
            f"{whose}, {look_up(name).words}: {note}"
            for name, row in self.cells.items()
            for whose, cell in zip(self.names, row, strict=True)
            for note in cell.notes
        )

    def _drives(self) -> Iterator[tuple[str, Finding]]:
        """Yield, with the name of its vehicle, what each sheet makes of a quantity on the road that is compared."""
        asked = [one for one in ("range", "consumption") if one in self.quantities]
        road = asked[0] if asked else ""
        if not road or road in self.conditions:
            return
        for whose, sheet in zip(self.names, self.sheets, strict=True):
            try:
                yield whose, sheet.find(road, **self.conditions)
            except NoSolutionError as cause:
                # What nothing limits was reckoned for a drive as well.
                if road in cause.endless and cause.asked is not None:
                    yield whose, cause.asked
            except ChalkwattError:
                continue

    @per_audience
    def table(self) -> str:
        """The comparison as an HTML table."""
        head = "".join(
            f'<th scope="col">{escape(name)}{_marked(sheet)}</th>'
            for name, sheet in zip(self.names, self.sheets, strict=True)
        )
        rows = "".join(
            f'<tr><th scope="row">{escape(look_up(name).words)}</th>'
            + "".join(_table_cell(cell) for cell in self.cells[name])
            + "</tr>"
            for name in self.quantities
        )
        return f'<table><thead><tr><th scope="col">quantity</th>{head}</tr></thead><tbody>{rows}</tbody></table>'

    def figure(self) -> str:
        """Draw the comparison as SVG: a row of ranges for every quantity, each with its own scale."""
        made: str = show(self, "figure")
        return made

    def _repr_html_(self) -> str:
        return (
            f'{show(self, "style")}<div class="cw-fig cw-comparison"><p>{escape(self.under)}</p>'
            f'<div class="scroll">{self.table}</div>'
            f"{''.join(f'<p>{escape(one)}</p>' for one in self.notes)}{self.figure()}</div>"
        )

    def __repr__(self) -> str:
        """Show the table as text."""
        rows = [["", *self.names]]
        rows += [
            [look_up(name).words, *(f"{cell.text} [{cell.marked}]" for cell in self.cells[name])]
            for name in self.quantities
        ]
        widths = [max(len(row[place]) for row in rows) for place in range(len(rows[0]))]
        lines = [
            "  ".join(part.ljust(width) for part, width in zip(row, widths, strict=True)).rstrip()
            for row in rows
        ]
        return "\n".join([*([self.under] if self.under else []), *lines, *self.notes])


def _table_cell(cell: Cell) -> str:
    value, bracket, ends = cell.text.partition(" (")
    shown = f"<span>{escape(value)}</span>" + (f" <span>({escape(ends)}</span>" if bracket else "")
    return f'<td title="{escape(cell.why)}">{shown}<small> {escape(cell.marked)}</small></td>'


def _marked(sheet: Sheet) -> str:
    return "<small> invented</small>" if sheet.invented else ""


def _cell(sheet: Sheet, name: str, conditions: Mapping[str, Any], unheard: set[str]) -> Cell:
    """Make a cell under the conditions that have to do with its quantity; note those that have not."""
    if name in sheet.facts and name not in conditions and not _outdone(sheet, name, conditions):
        unheard |= {*conditions} - {*vehicle.network.names}
        return _stated(sheet, name, conditions)
    try:
        finding = sheet.find(name, **conditions)
        unheard |= {*finding.unheard}
        return _derived(finding, conditions, {*unheard})
    except NameUnknownError as cause:
        if cause.quantity not in conditions:
            raise
        unheard.add(str(cause.quantity))
        fewer = {one: value for one, value in conditions.items() if one != cause.quantity}
        made = _cell(sheet, name, fewer, unheard)
        return _leaving_out(made, name, {str(cause.quantity): conditions[str(cause.quantity)]})
    except ChalkwattError as cause:
        both = [one.network.names for one in every_topic() if name in one.network.names]
        unheard |= {one for one in conditions if not any(one in names for names in both)}
        if isinstance(cause, NoSolutionError) and name in cause.endless:
            return _endless(name, cause, conditions)
        return Cell("–", "unknown", None, None, None, str(cause))


def _outdone(sheet: Sheet, name: str, conditions: Mapping[str, Any]) -> bool:
    """Say whether better facts make a quantity under the conditions, so that what is quoted of it is another's."""
    road = [one for one in conditions if one in vehicle.network.names]
    return bool(road) and name in put_in_order(sheet.facts, road).aside


def _stated(sheet: Sheet, name: str, conditions: Mapping[str, Any]) -> Cell:
    fact = sheet.facts[name]
    why = "; ".join(part for part in (fact.note, fact.seen) if part)
    told = _against(sheet, name, conditions)
    return Cell(fact.text, fact.origin, fact.si, fact.low, fact.high, why, notes=told)


def _against(sheet: Sheet, name: str, conditions: Mapping[str, Any]) -> tuple[str, ...]:
    """Say where the other facts of a sheet contradict what it states of a quantity itself.

    A mass is the same at any speed, and a range that is contradicted at one is none of its own. Nor is what
    others contradict among themselves.
    """
    moved = {one: value for one, value in conditions.items() if _could_matter(one, name)}
    try:
        found = sheet.find(name, **moved).conflicts
    except ChalkwattError:
        return ()  # they make nothing of it
    return tuple(one.clash for one in found if name in {one.quantity, *one.involved})


def _derived(finding: Finding, conditions: Mapping[str, Any], unheard: set[str]) -> Cell:
    interval = finding.interval
    ends = (finding.si, finding.si) if interval is None else (interval.low, interval.high)
    why = "from " + ", ".join(look_up(one).words for one in finding.facts)
    notes = (
        *which_way(finding),
        *turned_round(finding),
        *what_gave_way(finding),
        *stated_itself(finding),
        *without_limit(finding),
        *(one.clash for one in finding.conflicts),
    )
    made = Cell(finding.text, "derived", finding.si, ends[0], ends[1], why, notes=notes)
    left = {name: value for name, value in conditions.items() if name in unheard}
    return _leaving_out(made, finding.wanted, left, finding.remedies if left else ())


def _endless(name: str, cause: NoSolutionError, conditions: Mapping[str, Any]) -> Cell:
    """Make the cell of what has no value because nothing limits it: that is an answer, and no lack of facts."""
    less = look_up(name).less_is_better
    text = "nothing drawn from the battery" if less else "not limited by the battery"
    why = str(cause).removesuffix(cause.advice).strip()
    asked = cause.asked
    notes: tuple[str, ...] = ()
    if asked is not None:
        notes = (*without_limit(asked), *(one.clash for one in asked.conflicts))
    idle = () if asked is None else asked.unheard
    made = Cell(text, "derived", None, None, None, why, notes=(why, *notes))
    return _leaving_out(made, name, {one: conditions[one] for one in idle})


def _leaving_out(
    cell: Cell, wanted: str, left: Mapping[str, Any], remedies: tuple[str, ...] = ()
) -> Cell:
    """Mark a cell with the conditions that play no part in it, where a reader could think that they do."""
    idle = {name: value for name, value in left.items() if _could_matter(name, wanted)}
    if not idle or cell.origin != "derived":
        return cell
    facts = ((name, condition(name, value)) for name, value in idle.items())
    told = no_part({name: fact.text_of(fact.si) for name, fact in facts})
    return replace(cell, idle=(*cell.idle, *idle), notes=(*cell.notes, told, *remedies))


def _could_matter(name: str, wanted: str) -> bool:
    """Say whether a condition may be thought to bear on a quantity: the mass of a pack has no speed."""
    if wanted not in vehicle.network.names:
        return True
    if name in vehicle.network.names:
        return wanted in follow_from(vehicle.network, name)
    topics = (one for one in every_topic() if name in one.network.names)
    made = {effect for one in topics for effect in follow_from(one.network, name)}
    further = (follow_from(vehicle.network, one) for one in made if one in vehicle.network.names)
    return wanted in made.union(*further)


def _names(sheets: tuple[Sheet, ...]) -> tuple[str, ...]:
    """Name the sheets apart, each later one of a name by what it has otherwise."""
    made: list[str] = []
    for sheet in sheets:
        first = next(one for one in sheets if one.name == sheet.name)
        other = [
            f"{look_up(name).words} {fact.text_of(fact.si)}"
            for name, fact in sheet.facts.items()
            if name not in first.facts or first.facts[name].si != fact.si
        ]
        name = sheet.name
        if 0 < len(other) <= _FEW and first is not sheet:
            name += f" with {' and '.join(other)}"
        if name in made:
            number = next(one for one in count(2) if f"{name} ({one})" not in made)
            name += f" ({number})"
        made.append(name)
    return tuple(made)


@for_whom_it_was_made
@checked_call
def compare(
    *sheets: Sheet, quantities: tuple[str, ...] = _USUAL, **conditions: Given
) -> Comparison:
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
        With ``.table``, ``.figure()`` and ``.cells``; a notebook shows table and figure.

    Raises
    ------
    ChalkwattError
        If there is no sheet, a name is none of a quantity, or a condition cannot be.
    NameUnknownError
        If a condition has nothing to do with any of the quantities.

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
    return Comparison(sheets, tuple(quantities), conditions)
