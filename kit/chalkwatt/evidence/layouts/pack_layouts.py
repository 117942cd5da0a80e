"""Pack layouts: which series-parallel arrangements a count of cells allows, and which is likeliest.

From what can be seen (cells, modules, rows and columns) and what is said (a voltage class, a current),
every arrangement of whole cells in whole groups is listed, with the reasons for and against it.

==========================  ======================================================================
taken for granted           what it means
==========================  ======================================================================
alike modules               every module holds the same cells in the same arrangement
whole groups                cells in parallel sit together in one module
voltage class               a class names about the voltage when full: nominal from 75 % to 102 % of it,
                            most often near 90 % (common practice, no source)
modules in series           likelier than modules in parallel: one string needs no balancing between
                            strings (common practice, no source)
==========================  ======================================================================
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from html import escape
from typing import TYPE_CHECKING, overload

from chalkwatt.answering.showing import show
from chalkwatt.calls import checked_call
from chalkwatt.errors import ChalkwattError, NoSolutionError, UnitError
from chalkwatt.evidence.layouts.reasons import Reason, Seen, divisors, grid, reasons_for
from chalkwatt.laws.quantities import look_up
from chalkwatt.wording import units
from chalkwatt.wording.numbers import format_input, with_unit

if TYPE_CHECKING:
    from chalkwatt.wording.given import Given

__all__ = ["Layout", "Layouts", "pack_layouts"]

_CLASS = (0.75, 1.02)
_MOST_CELLS = 100_000


@dataclass(frozen=True)
class Layout:
    """One arrangement of the cells.

    Attributes
    ----------
    cells_in_series, cells_in_parallel : int
        Of the whole pack.
    modules_in_series, modules_in_parallel : int
    pack_voltage : float
        Nominal, in volts.
    cell_current : float or None
        In amperes, where a current of the pack was given.
    reasons : tuple of Reason
    rows, columns : int
        Of the cells in one module, as drawn.
    """

    cells_in_series: int
    cells_in_parallel: int
    modules_in_series: int
    modules_in_parallel: int
    pack_voltage: float
    cell_current: float | None
    reasons: tuple[Reason, ...]
    rows: int
    columns: int

    @property
    def score(self) -> float:
        """Sum of the weights of the reasons; the ranking goes by it."""
        return sum(one.weight for one in self.reasons)

    @property
    def series_in_module(self) -> int:
        """Groups one after another in each module."""
        return self.cells_in_series // self.modules_in_series

    @property
    def parallel_in_module(self) -> int:
        """Cells side by side in each group of a module."""
        return self.cells_in_parallel // self.modules_in_parallel

    @property
    def name(self) -> str:
        """Series and parallel in short, as the trade writes them: 90s24p."""
        return f"{self.cells_in_series}s{self.cells_in_parallel}p"

    @property
    def text(self) -> str:
        """Layout and reasons in words."""
        modules = self.modules_in_series * self.modules_in_parallel
        each = f"{self.series_in_module}s{self.parallel_in_module}p"
        how = f", {modules} modules of {each}" if modules > 1 else ""
        return (
            f"{self.name}{how}, {with_unit(self.pack_voltage, 'V', 3)}: "
            f"{'; '.join(one.words for one in self.reasons)}"
        )

    def __repr__(self) -> str:
        """Show layout and reasons."""
        return f"<layout {self.text}>"


class Layouts(Sequence[Layout]):
    """Layouts, the likeliest first.

    Parameters
    ----------
    layouts : sequence of Layout
    cell_diameter : float or None
        In metres; sets the scale of the figure.
    """

    def __init__(self, layouts: Sequence[Layout], cell_diameter: float | None = None) -> None:
        self._layouts = tuple(sorted(layouts, key=lambda one: (-one.score, one.cells_in_parallel)))
        self.cell_diameter = cell_diameter

    @overload
    def __getitem__(self, place: int) -> Layout: ...
    @overload
    def __getitem__(self, place: slice) -> tuple[Layout, ...]: ...
    def __getitem__(self, place: int | slice) -> Layout | tuple[Layout, ...]:
        """Return one layout, or several."""
        return self._layouts[place]

    def __len__(self) -> int:
        """Count the layouts."""
        return len(self._layouts)

    def __repr__(self) -> str:
        """List them."""
        return "\n".join(f"{place}. {one.text}" for place, one in enumerate(self._layouts, start=1))

    def figure(self) -> str:
        """Draw the first three layouts as SVG, every cell to scale."""
        made: str = show(self, "figure")
        return made

    def _repr_html_(self) -> str:
        rows = "".join(
            f"<li><b>{one.name}</b>, {with_unit(one.pack_voltage, 'V', 3)}: "
            f"{escape('; '.join(reason.words for reason in one.reasons))}</li>"
            for one in self._layouts
        )
        caution = escape(_caution())
        listed = f"<ol>{rows}</ol><p><small>{caution}</small></p>"
        return f"{show(self, 'style')}<div class='cw-fig'>{self.figure()}{listed}</div>"


def _caution() -> str:
    from chalkwatt.topics.pack import CAUTION  # noqa: PLC0415  SymPy is slow to import

    return CAUTION


@checked_call
def pack_layouts(
    *,
    cell_count: int,
    cell_voltage: Given,
    module_count: int = 1,
    voltage_class: Given | None = None,
    rows: int | None = None,
    columns: int | None = None,
    pack_current: Given | None = None,
    cell_current_max: Given | None = None,
    cell_diameter: str | float | None = None,
) -> Layouts:
    """List every series-parallel layout that a count of cells allows, ranked, with reasons.

    Parameters
    ----------
    cell_count : int
        All cells of the pack.
    cell_voltage : number, str or pint quantity
        Nominal voltage of one cell; plain numbers are volts.
    module_count : int
        Modules that the cells are spread over evenly.
    voltage_class : number, str or pint quantity, optional
        Such as "400 V"; layouts outside its neighbourhood are left out.
    rows, columns : int, optional
        Of the cells as seen in one module.
    pack_current : number, str or pint quantity, optional
        The largest current of the pack; plain numbers are amperes.
    cell_current_max : number, str or pint quantity, optional
        What one cell may carry.
    cell_diameter : number or str, optional
        Sets the scale of the figure; plain numbers are metres.

    Returns
    -------
    Layouts
        A sequence, the likeliest first; a notebook shows it drawn to scale.

    Raises
    ------
    ChalkwattError
        If a count is no whole number above zero, or cells do not fill modules, rows and columns evenly.
    NoSolutionError
        If no layout fits the voltage class.

    Examples
    --------
    >>> from chalkwatt import pack_layouts
    >>> found = pack_layouts(cell_count=2160, module_count=5, voltage_class="400 V", cell_voltage="3.6 V")
    >>> [one.name for one in found]
    ['90s24p', '108s20p']
    """
    counts = {
        "cell_count": cell_count,
        "module_count": module_count,
        "rows": rows,
        "columns": columns,
    }
    for name, value in counts.items():
        _check_count(name, value)
    seen = Seen(
        cell_count,
        module_count,
        look_up("cell_voltage").read_one(cell_voltage),
        None if voltage_class is None else look_up("pack_voltage").read_one(voltage_class),
        rows,
        columns,
        None if pack_current is None else look_up("pack_current").read_one(pack_current),
        None
        if cell_current_max is None
        else look_up("cell_current_max").read_one(cell_current_max),
    )
    _check_fit(seen)
    found = list(_fitting(seen))
    if not found:
        raise _nothing(seen)
    return Layouts(found, _diameter(cell_diameter))


def _check_count(name: str, value: object) -> None:
    if value is None:
        return
    if isinstance(value, bool) or not isinstance(value, int) or not 0 < value <= _MOST_CELLS:
        raise ChalkwattError(
            f"{name} = {value!r} is no count.",
            quantity=name,
            value=value,
            limit=_MOST_CELLS,
            advice=f"Give a whole number from 1 to {_MOST_CELLS}.",
        )


def _check_fit(seen: Seen) -> None:
    if left := seen.count % seen.modules:
        raise ChalkwattError(
            f"{seen.count} cells do not spread evenly over {seen.modules} modules: "
            f"{left} {'is' if left == 1 else 'are'} left over.",
            quantity="cell_count",
            value=seen.count,
            advice="Count again; or the modules are not alike, and then each kind has a layout of its own.",
        )
    each = seen.count // seen.modules
    for name, part in (("rows", seen.rows), ("columns", seen.columns)):
        if part and each % part:
            raise ChalkwattError(
                f"{each} cells of a module do not fill {part} {name} evenly.",
                quantity=name,
                value=part,
                advice="Count again, or leave it out if rows are of different length.",
            )
    if seen.rows and seen.columns and seen.rows * seen.columns != each:
        raise ChalkwattError(
            f"{seen.rows} rows of {seen.columns} make {seen.rows * seen.columns} cells, and a module has {each}.",
            quantity="rows",
            value=seen.rows,
            advice="Count again.",
        )


def _fitting(seen: Seen) -> Iterator[Layout]:
    for series in divisors(seen.count):
        parallel = seen.count // series
        voltage = series * seen.voltage
        if voltage > look_up("pack_voltage").bounds[1]:
            continue
        if seen.around and not _CLASS[0] <= voltage / seen.around <= _CLASS[1]:
            continue
        # Of all ways to split it over the modules, the one with most of them in series is the
        # likeliest; electrically they are one pack.
        yield _layout(seen, series, parallel, math.gcd(series, seen.modules))


def _layout(seen: Seen, series: int, parallel: int, in_series: int) -> Layout:
    beside = seen.modules // in_series
    rows, columns = grid(seen, parallel // beside)
    return Layout(
        series,
        parallel,
        in_series,
        beside,
        series * seen.voltage,
        None if seen.current is None else seen.current / parallel,
        reasons_for(seen, series, parallel, in_series),
        rows,
        columns,
    )


def _diameter(given: str | float | None) -> float | None:
    if given is None:
        return None

    number, label = units.read(given) if isinstance(given, str) else (float(given), "m")
    if not units.same_dimension(label, "m"):
        raise UnitError(
            f"cell_diameter = {given!r} is no length.",
            value=given,
            unit=label,
            limit="m",
            advice="Write it like 21 mm.",
        )
    made = number * units.unit(label).factor
    if not 0 < made < 1:
        raise ChalkwattError(
            f"cell_diameter = {given!r} is not between 0 and 1 m.",
            value=given,
            advice="Check the unit.",
        )
    return made


def _nothing(seen: Seen) -> NoSolutionError:
    volts = [one * seen.voltage for one in divisors(seen.count)]
    about = seen.around or 0.0
    nearest = min(volts, key=lambda one: abs(one - about))
    return NoSolutionError(
        f"No layout of {seen.count} cells in {seen.modules} alike modules lies near {format_input(about)} V.",
        quantity="pack_voltage",
        unit="V",
        nearest=nearest,
        advice=f"The nearest that the cells allow is {with_unit(nearest, 'V', 3)}; check the "
        "counts, or whether cells are missing in one module.",
    )
