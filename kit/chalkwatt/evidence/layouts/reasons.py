"""Reasons for and against a pack layout, from what is seen and said of the pack."""

from __future__ import annotations

from dataclasses import dataclass

from chalkwatt.wording.numbers import format_input, with_unit

__all__ = ["Reason", "Seen", "divisors", "grid", "reasons_for"]

_TYPICAL = 0.9  # nominal over class: the class names about the voltage when full
_SAME = 0.005


@dataclass(frozen=True)
class Reason:
    """One reason for (positive weight) or against a layout."""

    words: str
    weight: float


@dataclass(frozen=True)
class Seen:
    """What is seen and said of a pack, in SI units."""

    count: int
    modules: int
    voltage: float
    around: float | None
    rows: int | None
    columns: int | None
    current: float | None
    most: float | None


def divisors(number: int) -> list[int]:
    """Return every whole number that divides another, rising."""
    small = [one for one in range(1, int(number**0.5) + 1) if number % one == 0]
    return sorted({*small, *(number // one for one in small)})


def reasons_for(seen: Seen, series: int, parallel: int, in_series: int) -> tuple[Reason, ...]:
    """Give the reasons for and against a layout.

    Parameters
    ----------
    seen : Seen
    series, parallel : int
        Of the whole pack.
    in_series : int
        How many modules follow one another.

    Returns
    -------
    tuple of Reason
    """
    beside = seen.modules // in_series
    made = []
    if seen.around:
        made.append(_by_class(series * seen.voltage, seen.around))
    if seen.modules > 1:
        made.append(_by_modules(seen.modules, in_series, beside))
    if seen.current is not None:
        made.append(_by_current(seen.current / parallel, seen.most))
    if seen.rows or seen.columns:
        made.append(_by_rows(parallel // beside, *grid(seen, parallel // beside)))
    return tuple(made)


def _by_class(voltage: float, around: float) -> Reason:
    off = voltage / around - 1
    side = "below" if off < 0 else "above"
    where = "at" if abs(off) < _SAME else f"{abs(100 * off):.0f} % {side}"
    weight = 1 - 4 * abs(off + 1 - _TYPICAL)
    return Reason(f"{where} the {format_input(around)} V of its class", weight)


def _by_modules(modules: int, in_series: int, beside: int) -> Reason:
    if beside == 1:
        return Reason(f"{modules} alike modules in one string", 2.0)
    if in_series == 1:
        return Reason(f"{beside} modules side by side, each with the full voltage", 0.0)
    return Reason(f"{beside} strings of {in_series} modules", 0.5)


def _by_current(current: float, most: float | None) -> Reason:
    shown = with_unit(current, "A", 3)
    if most is None:
        return Reason(f"{shown} through each cell", 0.0)
    limit = f"{format_input(most)} A"
    if current > most:
        return Reason(f"{shown} through each cell, more than the {limit} it may carry", -3.0)
    return Reason(f"{shown} through each cell, of the {limit} it may carry", 0.5)


def _by_rows(group: int, rows: int, columns: int) -> Reason:
    for name, length in (("row", columns), ("column", rows)):
        if group == length:
            return Reason(f"a group of {group} fills one {name}", 1.0)
        if group % length == 0:
            return Reason(f"a group of {group} fills {group // length} {name}s", 0.7)
        if length % group == 0:
            return Reason(f"{length // group} groups of {group} fill a {name}", 0.5)
    return Reason(f"a group of {group} fills neither whole rows nor whole columns", -0.5)


def grid(seen: Seen, group: int) -> tuple[int, int]:
    """Return rows and columns of a module: as seen, or else nearly twice as long as wide."""
    each = seen.count // seen.modules
    if seen.rows:
        return seen.rows, each // seen.rows
    if seen.columns:
        return each // seen.columns, seen.columns
    fits = [
        one for one in divisors(each) if (each // one) % group == 0 or group % (each // one) == 0
    ]
    rows = min(fits or divisors(each), key=lambda one: abs(one * one * 2 - each))
    return rows, each // rows
