"""Facts: one value of a sheet, how far it may be off, and where it comes from.

=============  ==================================================================================
shape          what the range means
=============  ==================================================================================
uniform        every value between the two ends is as likely as any other
triangular     the stated value is the likeliest, the ends are impossible to pass
normal         the ends lie two standard uncertainties from the value (GUM, JCGM 100:2008, 6.3.3:
               about 95 %), cut off at the physical bounds
=============  ==================================================================================

Where no shape is stated, a range with the value in its middle is uniform, and one with the value
elsewhere is triangular: whoever writes 0.5 of 0.4 to 0.9 says that 0.5 is likeliest. A uniform range
that is asked for by name forgets the value, which is then told beside the answer. A plus_minus that
passes a physical bound, such as 100 %, is cut off there, which is told as well.

Counts are whole, and are drawn as whole numbers.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from chalkwatt.errors import ChalkwattError, told
from chalkwatt.laws.quantities import Quantity, digits_of, look_up, unit_of
from chalkwatt.laws.values import written_for
from chalkwatt.wording import units
from chalkwatt.wording.given import is_number
from chalkwatt.wording.numbers import format_alike, format_input
from chalkwatt.wording.written import written

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from chalkwatt.wording.given import Floats, Given

__all__ = ["ORIGINS", "SHAPES", "Fact", "condition", "make_fact"]

# Most trustworthy first: of facts that say one thing twice, the first is used and the others are checks.
ORIGINS = ("measured", "counted", "quoted", "estimated", "assumed")
SHAPES = ("uniform", "triangular", "normal")

_CENTRED = 0.01  # of a range's width; a value nearer to the middle than this stands in it
_ASIDE = 0.1  # of a range's width; a value further from the middle than this is a story of its own
_MOST_DIGITS = 6  # of a value as it was given
_PERCENT = 0.01
_COVERAGE = 2.0  # standard uncertainties between the value and the end of a normal range


@dataclass(frozen=True)
class Fact:
    """One value of a sheet.

    Attributes
    ----------
    name : str
        The quantity.
    si : float
        The stated value, in SI units.
    low, high : float
        Ends of its range, in SI units; equal to ``si`` where no range is stated.
    origin : str
        One of :data:`ORIGINS`, or ``"asked"`` for a condition of a question.
    shape : str
        One of :data:`SHAPES`.
    label : str
        The unit in which it was written.
    grain : float
        Half a unit of the last digit written, in SI units: two facts that differ by less do not disagree.
        None of it for a nought, which says that there is none.
    cut : float
        Half the range as stated where it was cut off at a physical bound, in SI units; else nought.
    note, seen : str
    line : int
        Where it stands in the sheet.
    """

    name: str
    si: float
    low: float
    high: float
    origin: str = "asked"
    shape: str = "uniform"
    label: str = ""
    grain: float = 0.0
    cut: float = 0.0
    note: str = ""
    seen: str = ""
    line: int = 0

    def same(self, other: Fact) -> bool:
        """Say whether another fact states the same value, to the last bits of what its unit comes to."""
        return math.isclose(self.si, other.si, rel_tol=1e-9, abs_tol=1e-12)

    @property
    def exact(self) -> bool:
        """Whether no range is stated."""
        return self.low == self.high

    @property
    def forgotten(self) -> bool:
        """Whether its draws centre elsewhere than on the stated value, as those of a uniform range may."""
        if self.origin == "derived":
            return False  # nobody stated it, and its draws have a shape of their own
        aside = abs((self.low + self.high) / 2 - self.si)
        return self.shape == "uniform" and aside > _ASIDE * (self.high - self.low)

    @property
    def width(self) -> float:
        """Width of the range relative to the value."""
        return (
            (self.high - self.low) / abs(self.si) if self.si else math.inf * (self.high > self.low)
        )

    def ppf(self, share: Floats) -> Floats:
        """Return the value below which a share of the spread lies.

        Parameters
        ----------
        share : float or ndarray
            Between 0 and 1.

        Returns
        -------
        float or ndarray
            In SI units; the stated value where there is no range.

        Examples
        --------
        >>> from chalkwatt.evidence.sheets.facts import make_fact
        >>> make_fact("mass", "700 kg", plus_minus="20 kg").ppf(0.25)
        690.0
        """
        if self.exact:
            return self.si
        whole = look_up(self.name).whole
        low, high = (self.low - 0.5, self.high + 0.5) if whole else (self.low, self.high)
        if self.shape == "uniform":
            drawn = low + share * (high - low)
        elif self.shape == "triangular":
            drawn = self._triangular(share, low, high)
        else:
            drawn = self._normal(share, low, high)
        return np.clip(np.rint(drawn), self.low, self.high) if whole else drawn

    def _triangular(self, share: Floats, low: float, high: float) -> NDArray[np.float64]:
        mode = (self.si - low) / (high - low)
        rising = low + (high - low) * np.sqrt(share * mode)
        falling = high - (high - low) * np.sqrt((1 - share) * (1 - mode))
        made: NDArray[np.float64] = np.where(share < mode, rising, falling)
        return made

    def _normal(self, share: Floats, low: float, high: float) -> Floats:
        from scipy.special import ndtr, ndtri  # noqa: PLC0415  SciPy is slow to import

        sigma = (self.cut or (high - low) / 2) / _COVERAGE
        floor, ceiling = (ndtr((bound - self.si) / sigma) for bound in look_up(self.name).bounds)
        return self.si + sigma * ndtri(floor + share * (ceiling - floor))

    @property
    def unit(self) -> str:
        """The unit in which to show it."""
        return unit_of(self.name, self.label)

    @property
    def text(self) -> str:
        """Value and range with their unit, as a person writes them."""
        if self.exact:
            return self.text_of(self.si)
        ends = [self._in_unit(one) for one in (self.si, self.low, self.high)]
        shown = format_alike(ends, self._digits)
        cut = ", cut off at its physical bound" if self.cut else ""
        return f"{shown[0]} {self.unit}".rstrip() + f" ({shown[1]} to {shown[2]}{cut})"

    def text_of(self, si: float, digits: int | None = None) -> str:
        """Write any value of the quantity in this fact's unit."""
        number = format_input(self._in_unit(si), self._digits if digits is None else digits)
        return f"{number} {self.unit}".rstrip()

    @property
    def _digits(self) -> int:
        """How many significant digits it is written with."""
        ends = (digits_of(self.name, one, self.label) for one in {self.si, self.low, self.high})
        return max(_MOST_DIGITS if one is None else one for one in ends)

    def _in_unit(self, si: float) -> float:
        return float(look_up(self.name).in_unit(si, self.unit))


def make_fact(
    name: str,
    value: Given,
    *,
    span: Sequence[Given] | None = None,
    plus_minus: Given | None = None,
    shape: str = "",
    **rest: Any,  # noqa: ANN401  fields of a fact
) -> Fact:
    """Make a fact from what a person gives, and check it.

    Parameters
    ----------
    name : str
    value : number, str or pint quantity
        Numbers are SI, text carries its unit.
    span : two of the same, optional
        Ends of the range; plain numbers are in the unit of ``value``.
    plus_minus : number or str, optional
        Half the range, in the unit of ``value`` or with a unit of its own; with ``%`` a share of the
        value, unless the quantity is itself one that is given in percent.
    shape : str
        One of :data:`SHAPES`; where it is empty, the place of the value in its range decides.
    **rest
        Other fields of :class:`Fact`.

    Returns
    -------
    Fact

    Raises
    ------
    ChalkwattError
        If the value, the range or the shape cannot be.
    """
    entry = look_up(name)
    if entry.constant is not None:
        raise ChalkwattError(
            f"{name} is a constant and cannot be stated.", quantity=name, value=value
        )
    _check_number(entry, value)
    si = entry.read_one(value)
    shown = entry.label_of(value) or ""
    label = written_for(entry, value).unit if isinstance(value, str) else shown
    _check_whole(entry, si, value)
    low = high = si
    cut = 0.0
    if span is not None:
        low, high = _ends(entry, span, label)
    elif plus_minus is not None:
        low, high, cut = _cut_off(entry, *_around(entry, plus_minus, label, si))
    if not low <= si <= high:
        raise ChalkwattError(
            f"{name}: the value {told(value)} does not lie in its range.",
            quantity=name,
            value=value,
            advice="Write the range as [lowest, highest], with the value between them."
            + _taken_in(span, label),
        )
    if (
        shape == "normal"
        and not cut
        and not math.isclose(high - si, si - low, rel_tol=1e-6, abs_tol=1e-6 * (high - low))
    ):
        raise ChalkwattError(
            f"{name}: a normal spread is as wide below the value as above it, and this range is not.",
            quantity=name,
            value=value,
            advice='Use shape = "triangular".',
        )
    grain = 0.0 if entry.whole else _grain(entry, value, label, si)
    if not shape:
        aside = abs((low + high) / 2 - si)
        shape = "triangular" if aside > _CENTRED * (high - low) else "uniform"
    return Fact(name, si, low, high, shape=shape, label=shown, grain=grain, cut=cut, **rest)


def _taken_in(span: Any, label: str) -> str:  # noqa: ANN401  a pair, or nothing
    """Say in which unit plain numbers of a range are taken."""
    if not label or span is None or not any(is_number(end) for end in span):
        return ""
    return f" Plain numbers in it are taken in {label}, the unit of the value."


def _check_whole(entry: Quantity, si: float, value: object) -> None:
    """Refuse a stated count that is none; one that was found is told with its neighbours instead."""
    if entry.whole and si != round(si):
        raise ChalkwattError(
            f"{entry.name} = {told(value)} is no whole number.",
            quantity=entry.name,
            value=value,
            advice=f"Write {math.floor(si)} or {math.ceil(si)}, or give a range of whole numbers.",
        )


def _cut_off(entry: Quantity, low: float, high: float) -> tuple[float, float, float]:
    """Return both ends of a range, and its half-width as stated where a physical bound cuts it off."""
    ends = [low, high]
    for place, (bound, is_open) in enumerate(zip(entry.bounds, entry.open_bounds, strict=True)):
        if not is_open and (ends[place] < bound if place == 0 else ends[place] > bound):
            ends[place] = bound
    if entry.whole:
        # Of the counts within 97.5 to 102.5 the least is 98 and the greatest 102.
        ends = [float(math.ceil(ends[0])), float(math.floor(ends[1]))]
    entry.check(np.asarray(ends))
    passed = low < entry.bounds[0] or high > entry.bounds[1]
    return ends[0], ends[1], (high - low) / 2 if passed else 0.0


def _check_number(entry: Quantity, value: object) -> None:
    if not (is_number(value) or isinstance(value, str) or hasattr(value, "magnitude")):
        raise ChalkwattError(
            f"{entry.name} = {told(value)} is neither a number nor text with a unit.",
            quantity=entry.name,
            value=value,
            advice=f'Write it like "{format_input(float(entry.in_unit(entry.usual[1])))} {entry.display[0]}".',
        )


def condition(name: str, value: Given) -> Fact:
    """Make a condition of a question into a fact; a pair is a range."""
    if isinstance(value, tuple | list) and len(value) == 2:
        low, high = (make_fact(name, one) for one in value)
        middle = (low.si + high.si) / 2
        if look_up(name).whole:
            middle = float(round(middle))
        return Fact(name, middle, low.si, high.si, label=low.label)
    return make_fact(name, value)


def _ends(entry: Quantity, span: Sequence[Given], label: str) -> tuple[float, float]:
    if not isinstance(span, list | tuple) or len(span) != 2:
        raise ChalkwattError(
            f"{entry.name}: the range is not a pair.",
            quantity=entry.name,
            value=span,
            advice="Write it as [lowest, highest].",
        )
    made = []
    turned = False
    for end in span:
        _check_number(entry, end)
        told_in = written_for(entry, end).unit if isinstance(end, str) else label
        # More miles for a kilowatt-hour are fewer kilowatt-hours for a mile.
        turned = turned or units.inverse(told_in, entry.unit)
        bare = is_number(end) and label
        made.append(entry.read_one(f"{entry.read_bare(end)!r} {label}" if bare else end))
        _check_whole(entry, made[-1], end)
    if turned:
        made.reverse()
    if made[0] > made[1]:
        raise ChalkwattError(
            f"{entry.name}: the range runs downwards.",
            quantity=entry.name,
            value=span,
            advice="Write the lowest value first.",
        )
    return made[0], made[1]


def _around(entry: Quantity, plus_minus: Given, label: str, si: float) -> tuple[float, float]:
    """Return the ends of a range that is given as half its width."""
    _check_number(entry, plus_minus)
    if isinstance(plus_minus, str):
        number, given, _ = written_for(entry, plus_minus)
    else:
        number, given = entry.read_bare(plus_minus), label
    if not math.isfinite(number) or number < 0:
        raise ChalkwattError(
            f"{entry.name}: plus_minus = {told(plus_minus)} is no width.",
            quantity=entry.name,
            value=plus_minus,
            advice="Give the half-width as a number above zero.",
        )
    if given == "%" and "%" not in entry.display:
        half = abs(si) * number / 100
    elif given and units.inverse(given, entry.unit):
        middle = float(entry.in_unit(si, given))
        if number >= middle:
            raise ChalkwattError(
                f"{entry.name}: plus_minus = {told(plus_minus)} is more than the value itself.",
                quantity=entry.name,
                value=plus_minus,
                advice="Give a half-width below the value.",
            )
        factor = units.unit(given).factor
        return 1 / ((middle + number) * factor), 1 / ((middle - number) * factor)
    else:
        if given and not units.same_dimension(given, entry.unit):
            entry.read(plus_minus)  # raises the error that names both units
        # A difference has no offset: ±5 °C is ±5 K.
        half = number * (units.unit(given).factor if given else 1.0)
    return si - half, si + half


def _grain(entry: Quantity, value: Given, label: str, si: float) -> float:
    """Return half a unit of the last digit written, in SI units.

    Nought on a scale that begins there is none of it, and not a little: it has no digit to be off by. A
    bare whole number of what people give in percent is read as percent, for nobody who writes 1 for all
    of it means half of it.
    """
    if si == 0 and not (label and units.unit(label).offset):
        return 0.0
    if isinstance(value, str):
        as_written = written_for(entry, value)
    else:
        number: Any = value.magnitude if hasattr(value, "magnitude") else value
        as_written = written(repr(float(number)))
        if isinstance(value, int):
            as_written = as_written._replace(digit=1.0)
    if (
        not label
        and "%" in entry.display
        and as_written.digit > _PERCENT
        and float(si).is_integer()
    ):
        as_written = as_written._replace(digit=_PERCENT)
    if label and units.inverse(label, entry.unit):
        return 0.5 * as_written.digit / abs(as_written.number) * si
    factor = units.unit(label).factor if label else 1.0
    return 0.5 * as_written.digit * factor
