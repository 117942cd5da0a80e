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
import re
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from chalkwatt import units
from chalkwatt.errors import ChalkwattError
from chalkwatt.quantities import Quantity, look_up
from chalkwatt.rendering.numbers import format_input

if TYPE_CHECKING:
    from numpy.typing import NDArray

__all__ = ["ORIGINS", "SHAPES", "Fact", "make_fact", "unit_of"]

# Most trustworthy first: of facts that say one thing twice, the first is used and the others are checks.
ORIGINS = ("measured", "counted", "quoted", "estimated", "assumed")
SHAPES = ("uniform", "triangular", "normal")

_CENTRED = 0.01  # of a range's width; a value nearer to the middle than this stands in it
_ASIDE = 0.1  # of a range's width; a value further from the middle than this is a story of its own
_COVERAGE = 2.0  # standard uncertainties between the value and the end of a normal range
_WRITTEN = re.compile(
    r"^\s*[-+−]?[\d _\u202f]*(?:\.(?P<decimals>\d*))?(?:[eE](?P<power>[-+−]?\d+))?"
)


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

    @property
    def exact(self) -> bool:
        """Whether no range is stated."""
        return self.low == self.high

    @property
    def forgotten(self) -> bool:
        """Whether its draws centre elsewhere than on the stated value, as those of a uniform range do."""
        aside = abs((self.low + self.high) / 2 - self.si)
        return self.shape == "uniform" and aside > _ASIDE * (self.high - self.low)

    @property
    def width(self) -> float:
        """Width of the range relative to the value."""
        return (
            (self.high - self.low) / abs(self.si) if self.si else math.inf * (self.high > self.low)
        )

    def ppf(self, share: Any) -> Any:  # noqa: ANN401  float or array; the name is scipy's
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
        >>> from chalkwatt.sheets.facts import make_fact
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

    def _triangular(self, share: Any, low: float, high: float) -> NDArray[np.float64]:  # noqa: ANN401
        mode = (self.si - low) / (high - low)
        rising = low + (high - low) * np.sqrt(share * mode)
        falling = high - (high - low) * np.sqrt((1 - share) * (1 - mode))
        made: NDArray[np.float64] = np.where(share < mode, rising, falling)
        return made

    def _normal(self, share: Any, low: float, high: float) -> Any:  # noqa: ANN401
        from scipy.special import ndtr, ndtri

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
        return self.text_of(self.si) + (f" ({self._range_text()})" if not self.exact else "")

    def text_of(self, si: float, digits: int = 6) -> str:
        """Write any value of the quantity in this fact's unit."""
        number = format_input(float(look_up(self.name).in_unit(si, self.unit)), digits)
        return f"{number} {self.unit}".rstrip()

    def _range_text(self) -> str:
        low, high = (
            float(look_up(self.name).in_unit(one, self.unit)) for one in (self.low, self.high)
        )
        cut = ", cut off at its physical bound" if self.cut else ""
        return f"{format_input(low)} to {format_input(high)}{cut}"


def unit_of(name: str, label: str = "") -> str:
    """Return the unit label in which to show a quantity, the given one where it is a display unit."""
    entry = look_up(name)
    if not label:
        return entry.display[0] if entry.display[0] != "%" else "%"
    known = units.unit(label)
    return next((one for one in entry.display if units.unit(one)[1:] == known[1:]), label)


def make_fact(
    name: str,
    value: Any,  # noqa: ANN401  whatever a person gives
    *,
    span: Any = None,  # noqa: ANN401
    plus_minus: Any = None,  # noqa: ANN401
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
    si = _single(entry, value)
    label = (
        units.read(value)[1]
        if isinstance(value, str)
        else f"{value.units:~}"
        if hasattr(value, "units")
        else ""
    )
    _check_whole(entry, si, value)
    low = high = si
    cut = 0.0
    if span is not None:
        low, high = _ends(entry, span, label)
    elif plus_minus is not None:
        low, high, cut = _around(entry, si, _half(entry, plus_minus, label, si))
    if not low <= si <= high:
        raise ChalkwattError(
            f"{name}: the value {value} does not lie in its range.",
            quantity=name,
            value=value,
            advice="Write the range as [lowest, highest], with the value between them.",
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
    grain = 0.0 if entry.whole else _grain(value, label)
    if not shape:
        aside = abs((low + high) / 2 - si)
        shape = "triangular" if aside > _CENTRED * (high - low) else "uniform"
    return Fact(name, si, low, high, shape=shape, label=label, grain=grain, cut=cut, **rest)


def _check_whole(entry: Quantity, si: float, value: object) -> None:
    """Refuse a stated count that is none; one that was found is told with its neighbours instead."""
    if entry.whole and si != round(si):
        raise ChalkwattError(
            f"{entry.name} = {value} is no whole number.",
            quantity=entry.name,
            value=value,
            advice=f"Write {math.floor(si)} or {math.ceil(si)}, or give a range of whole numbers.",
        )


def _around(entry: Quantity, si: float, half: float) -> tuple[float, float, float]:
    """Return both ends of a range, and its half-width as stated where a physical bound cuts it off."""
    low, high = si - half, si + half
    ends = [low, high]
    for place, (bound, is_open) in enumerate(zip(entry.bounds, entry.open_bounds, strict=True)):
        if not is_open and (ends[place] < bound if place == 0 else ends[place] > bound):
            ends[place] = bound
    if entry.whole:
        # Of the counts within 97.5 to 102.5 the least is 98 and the greatest 102.
        ends = [float(math.ceil(ends[0])), float(math.floor(ends[1]))]
    entry.check(np.asarray(ends))
    passed = low < entry.bounds[0] or high > entry.bounds[1]
    return ends[0], ends[1], half if passed else 0.0


def _check_number(entry: Quantity, value: object) -> None:
    if isinstance(value, bool) or not (
        isinstance(value, int | float | str) or hasattr(value, "magnitude")
    ):
        raise ChalkwattError(
            f"{entry.name} = {value!r} is neither a number nor text with a unit.",
            quantity=entry.name,
            value=value,
            advice=f'Write it like "{format_input(float(entry.in_unit(entry.usual[1])))} {entry.display[0]}".',
        )
    if isinstance(value, int) and abs(value) > 10**300:
        raise ChalkwattError(f"{entry.name} is far too large a number.", quantity=entry.name)


def _single(entry: Quantity, value: Any) -> float:  # noqa: ANN401
    si = entry.read(value)
    if np.ndim(si):
        raise ChalkwattError(
            f"{entry.name} needs one number, not several.", quantity=entry.name, value=value
        )
    return float(si)


def _ends(entry: Quantity, span: Any, label: str) -> tuple[float, float]:  # noqa: ANN401
    if not isinstance(span, list | tuple) or len(span) != 2:
        raise ChalkwattError(
            f"{entry.name}: the range is not a pair.",
            quantity=entry.name,
            value=span,
            advice="Write it as [lowest, highest].",
        )
    made = []
    for end in span:
        _check_number(entry, end)
        bare = isinstance(end, int | float) and label
        made.append(_single(entry, f"{end!r} {label}" if bare else end))
        _check_whole(entry, made[-1], end)
    if made[0] > made[1]:
        raise ChalkwattError(
            f"{entry.name}: the range runs downwards.",
            quantity=entry.name,
            value=span,
            advice="Write the lowest value first.",
        )
    return made[0], made[1]


def _half(entry: Quantity, plus_minus: Any, label: str, si: float) -> float:  # noqa: ANN401
    _check_number(entry, plus_minus)
    number, given = (
        units.read(plus_minus) if isinstance(plus_minus, str) else (float(plus_minus), label)
    )
    if not math.isfinite(number) or number < 0:
        raise ChalkwattError(
            f"{entry.name}: plus_minus = {plus_minus!r} is no width.",
            quantity=entry.name,
            value=plus_minus,
            advice="Give the half-width as a number above zero.",
        )
    if given == "%" and "%" not in entry.display:
        return abs(si) * number / 100
    if given and not units.same_dimension(given, entry.unit):
        entry.read(plus_minus)  # raises the error that names both units
    # A difference has no offset: ±5 °C is ±5 K.
    return number * (units.unit(given).factor if given else 1.0)


def _grain(value: Any, label: str) -> float:  # noqa: ANN401
    text = value if isinstance(value, str) else repr(getattr(value, "magnitude", value))
    found = _WRITTEN.match(text)
    if found is None:
        return 0.0
    power = int((found["power"] or "0").replace("−", "-")) - len(found["decimals"] or "")
    factor = units.unit(label).factor if label else 1.0
    return 0.5 * 10.0 ** min(max(power, -300), 300) * factor
