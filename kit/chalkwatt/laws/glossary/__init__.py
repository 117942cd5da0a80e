"""The glossary: every quantity of the toolkit, one file a field of the trade.

Each file holds ``QUANTITIES``, a tuple of :class:`chalkwatt.laws.quantities.Quantity`, written with the
short forms below so that it reads like a table.
"""

from __future__ import annotations

import math

from chalkwatt.laws.quantities import Quantity

__all__ = ["constant", "positive", "share", "signed"]


def positive(  # noqa: PLR0917  the columns of a table
    name: str,
    symbol: str,
    unit: str,
    display: str,
    usual: tuple[float, float],
    sentence: str,
    *,
    most: float = math.inf,
    zero: bool = False,
    whole: bool = False,
    source: str = "common practice, no source",
    less_is_better: bool = False,
    said: str = "",
) -> Quantity:
    """Make an entry that cannot be negative; ``zero`` says whether it can be nothing at all."""
    return Quantity(
        name=name,
        symbol=symbol,
        unit=unit,
        offered=tuple(display.split("; ")),
        bounds=(1.0 if whole else 0.0, most),
        usual=usual,
        sentence=sentence,
        open_bounds=(not (zero or whole), False),
        whole=whole,
        source=source,
        less_is_better=less_is_better,
        said=said,
    )


def signed(  # noqa: PLR0917  the columns of a table
    name: str,
    symbol: str,
    unit: str,
    display: str,
    usual: tuple[float, float],
    sentence: str,
    *,
    bounds: tuple[float, float] = (-math.inf, math.inf),
    less_is_better: bool = False,
    limited_by: str = "",
    said: str = "",
) -> Quantity:
    """Make an entry that may be negative."""
    return Quantity(
        name,
        symbol,
        unit,
        tuple(display.split("; ")),
        bounds,
        usual,
        sentence,
        less_is_better=less_is_better,
        limited_by=limited_by,
        said=said,
    )


def share(
    name: str,
    symbol: str,
    usual: tuple[float, float],
    sentence: str,
    *,
    zero: bool = True,
    source: str = "common practice, no source",
    less_is_better: bool = False,
    said: str = "",
) -> Quantity:
    """Make an entry that is a part of a whole, from 0 to 1."""
    return Quantity(
        name,
        symbol,
        "",
        ("%", ""),
        (0.0, 1.0),
        usual,
        sentence,
        open_bounds=(not zero, False),
        source=source,
        less_is_better=less_is_better,
        said=said,
    )


def constant(  # noqa: PLR0917  the columns of a table
    name: str, symbol: str, unit: str, value: float, sentence: str, source: str
) -> Quantity:
    """Make an entry for a constant, exact or agreed by convention."""
    shown = unit.replace("*", "·").replace("^2", "²").replace("^3", "³")
    return Quantity(
        name,
        symbol,
        unit,
        (shown,),
        (-math.inf, math.inf),
        (value, value),
        sentence,
        constant=value,
        source=source,
    )
