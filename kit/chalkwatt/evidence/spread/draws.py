"""Spread: what the ranges of a sheet make of an answer.

Draws are a scrambled Sobol' sequence (`scipy.stats.qmc`), sent through the compiled plan as arrays.
Each uncertain fact of a sheet has a column of its own in the sequence, whatever is asked, so that two
answers from one sheet are drawn from the same vehicles: their common inputs are correlated as they
should be. The sequence is cut into fixed pieces, so that the numbers are the same whoever computes them.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property, lru_cache
from typing import TYPE_CHECKING, Any

import numpy as np

from chalkwatt.errors import ChalkwattError
from chalkwatt.laws.quantities import look_up
from chalkwatt.planning.evaluation import compile_plan
from chalkwatt.topics.registry import topic_called
from chalkwatt.wording.numbers import format_alike

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence
    from concurrent.futures import Executor

    from numpy.typing import NDArray

    from chalkwatt.evidence.sheets.facts import Fact
    from chalkwatt.wording.given import Floats

__all__ = ["Interval", "Question", "Spread", "check_level", "digits_for", "draw", "uniforms"]

PIECE = 2**15  # draws; fixed, so that one seed gives one result however the work is shared out
_SPARE = 4  # columns for conditions with a range, so that those of the sheet never move
_KEPT = 2**17  # numbers, a megabyte
_TOP_DIGITS = 354  # where the Particle Data Group stops keeping two digits of an uncertainty


@dataclass(frozen=True)
class Question:
    """A plan by name: small enough to be sent to another process, and callable there.

    Parameters
    ----------
    topic, wanted : str
    known : tuple of str
    """

    topic: str
    wanted: str
    known: tuple[str, ...]

    def __call__(self, **values: Floats) -> Floats:
        """Return the wanted in SI units, not-a-number where there is no solution."""
        return self.function(**values)

    @property
    def function(self) -> Callable[..., Floats]:
        """The compiled plan."""
        topic = topic_called(self.topic)
        return compile_plan(topic.network.plan(self.wanted, self.known))


@dataclass(frozen=True)
class Interval:
    """The middle part of a spread.

    Attributes
    ----------
    quantity : str
    low, high : float
        In SI units.
    level : float
        The share of the draws between them.
    """

    quantity: str
    low: float
    high: float
    level: float = 0.9

    def to(self, label: str) -> tuple[float, float]:
        """Return both ends in a unit, the lower one first.

        A consumption turned round to a distance per energy has its low end where the consumption has
        its high one; of a consumption from nought on, the distance is without limit.

        Examples
        --------
        >>> from chalkwatt.evidence.spread.draws import Interval
        >>> low, high = Interval("consumption", 450.0, 600.0).to("km/kWh")
        >>> f"{low:.0f} to {high:.0f} km/kWh"
        '6 to 8 km/kWh'
        """
        entry = look_up(self.quantity)
        low, high = sorted(float(entry.in_unit(one, label)) for one in (self.low, self.high))
        return low, high

    def digits(self, value: float, label: str | None = None) -> int:
        """Return how many significant digits a value of this spread deserves.

        Notes
        -----
        The rule of the Particle Data Group (Review of Particle Physics, introduction; from memory): of the
        half-width two digits are kept if its first three are at most 354, one if they are more.
        """
        entry = look_up(self.quantity)
        unit = entry.display[0] if label is None else label
        low, high = self.to(unit)
        return digits_for(float(entry.in_unit(value, unit)), (high - low) / 2)

    @property
    def text(self) -> str:
        """Both ends with their unit, in as many digits as the width allows."""
        return self.text_in(look_up(self.quantity).display[0])

    def text_in(self, label: str) -> str:
        """Both ends in a unit, in as many digits as the width allows.

        Examples
        --------
        >>> from chalkwatt.evidence.spread.draws import Interval
        >>> Interval("range", 371_234.0, 437_432.0).text_in("km")
        '371 to 437 km'
        """
        low, high = self.to(label)
        shown = format_alike(
            (low, high), [digits_for(one, (high - low) / 2) for one in (low, high)], keep_zeros=True
        )
        return f"{shown[0]} to {shown[1]} {label}".rstrip()

    def around(self, value: float, label: str, between: str = "") -> str:
        """Write a value and both ends in a unit, all in one notation.

        Parameters
        ----------
        value : float
            In SI units.
        label : str
        between : str
            What stands before the ends, within the parentheses.

        Examples
        --------
        >>> from chalkwatt.evidence.spread.draws import Interval
        >>> Interval("range", 371_234.0, 437_432.0).around(401_000.0, "km")
        '401 km (371 to 437 km)'
        """
        low, high = self.to(label)
        middle = float(look_up(self.quantity).in_unit(value, label))
        numbers = (middle, low, high)
        shown = format_alike(
            numbers, [digits_for(one, (high - low) / 2) for one in numbers], keep_zeros=True
        )
        before = f"{shown[0]}°" if label == "°" else f"{shown[0]} {label}".rstrip()
        return f"{before} ({between}{shown[1]} to {shown[2]} {label}".rstrip() + ")"


def digits_for(value: float, half: float) -> int:
    """Return the significant digits of a value whose uncertainty is ``half``.

    Examples
    --------
    >>> from chalkwatt.evidence.spread.draws import digits_for
    >>> digits_for(402.3, 33.0), digits_for(402.3, 60.0), digits_for(402.3, 0.12)
    (3, 2, 5)
    """
    if not half or not value or not math.isfinite(half):
        return 4
    power = math.floor(math.log10(half))
    first = round(half / 10.0 ** (power - 2))
    last = power - 1 if first <= _TOP_DIGITS else power
    return min(max(math.floor(math.log10(abs(value))) - last + 1, 1), 8)


def check_level(level: object) -> None:
    """Raise an error unless a level is a share between 0 and 1."""
    if not isinstance(level, int | float | np.integer | np.floating) or not 0 < float(level) < 1:
        raise ChalkwattError(
            f"level = {level!r:.60} is no share.", value=level, advice="Give one between 0 and 1."
        )


@dataclass(frozen=True, eq=False)
class Spread:
    """All drawn values of a quantity.

    Attributes
    ----------
    quantity : str
    values : ndarray, shape (n,)
        In SI units; not-a-number where a draw has no solution.
    """

    quantity: str
    values: NDArray[np.float64]

    @cached_property
    def solved(self) -> NDArray[np.float64]:
        """The draws that have a solution."""
        return self.values[np.isfinite(self.values)]

    @property
    def unsolved(self) -> float:
        """Share of the draws without a solution."""
        return 1.0 - self.solved.size / self.values.size

    def interval(self, level: float = 0.9) -> Interval:
        """Return the middle part of the spread.

        Parameters
        ----------
        level : float
            The share of the draws inside.

        Returns
        -------
        Interval
        """
        check_level(level)
        tail = (1 - level) / 2
        low, high = (
            np.quantile(self.solved, [tail, 1 - tail]) if self.solved.size else (math.nan, math.nan)
        )
        return Interval(self.quantity, float(low), float(high), level)

    def share(self, met: Callable[[Any], Any]) -> float:
        """Return the share of the draws for which a condition holds; a draw without a solution meets none."""
        return float(np.count_nonzero(met(self.solved)) / self.values.size)


def uniforms(columns: int, start: int, count: int, seed: int) -> NDArray[np.float64]:
    """Return part of a scrambled Sobol' sequence, every number strictly between 0 and 1.

    Parameters
    ----------
    columns : int
    start, count : int
        First point and number of points; ``count`` a power of two.
    seed : int

    Returns
    -------
    ndarray, shape (count, columns)
        Read-only where it is small, for it is kept: a sheet asks for the same points again and again.
    """
    if columns * count <= _KEPT:
        return _kept(columns, start, count, seed)
    return _made(columns, start, count, seed)


@lru_cache(maxsize=32)
def _kept(columns: int, start: int, count: int, seed: int) -> NDArray[np.float64]:
    made = _made(columns, start, count, seed)
    made.flags.writeable = False
    return made


def _made(columns: int, start: int, count: int, seed: int) -> NDArray[np.float64]:
    from scipy.stats import qmc  # noqa: PLC0415  SciPy is slow to import

    engine = qmc.Sobol(columns, scramble=True, rng=np.random.default_rng(seed))
    if start:
        engine.fast_forward(start)
    # The points are multiples of 2⁻³⁰; half a step more keeps nought, where a normal has no value, away.
    made: NDArray[np.float64] = engine.random(count) + 2.0**-31
    return made


def draw(
    question: Question,
    facts: Mapping[str, Fact],
    columns: Sequence[str],
    *,
    draws: int = 8192,
    seed: int = 0,
    executor: Executor | None = None,
    fixed: Mapping[str, Any] | None = None,
) -> NDArray[np.float64]:
    """Send draws of facts through a plan.

    Parameters
    ----------
    question : Question
    facts : mapping of str to Fact
        Every known of the question that is not in ``fixed``.
    columns : sequence of str
        The uncertain facts of the sheet, in the order of their columns.
    draws : int
        How many; the next power of two is taken, which the sequence needs to be balanced.
    seed : int
        One seed, one result.
    executor : concurrent.futures.Executor, optional
        Who does the work; the result is the same.
    fixed : mapping of str to float or ndarray, optional
        Knowns that are already drawn.

    Returns
    -------
    ndarray, shape (n,)
        In SI units.
    """
    total = 1 << max(math.ceil(math.log2(max(draws, 1))), 0)
    used = tuple(facts[name] for name in question.known if name in facts)
    places = {name: place for place, name in enumerate(columns)}
    extra = [one.name for one in used if not one.exact and one.name not in places]
    if len(extra) > _SPARE:
        raise ChalkwattError(
            f"At most {_SPARE} conditions can have a range.",
            advice="Give some of them as single values.",
        )
    places |= {name: len(columns) + place for place, name in enumerate(sorted(extra))}
    width = len(columns) + _SPARE
    given = dict(fixed or {})
    piece = min(PIECE, total)
    jobs = [
        _Job(question, used, places, width, seed, start, piece, _cut(given, start, piece))
        for start in range(0, total, PIECE)
    ]
    if executor is None:
        parts = [_piece(job) for job in jobs]
    else:
        parts = [one.result() for one in [executor.submit(_piece, job) for job in jobs]]
    return np.concatenate(parts)


def _cut(given: Mapping[str, Any], start: int, count: int) -> dict[str, Any]:
    return {
        name: one[start : start + count] if np.ndim(one) else one for name, one in given.items()
    }


@dataclass(frozen=True)
class _Job:
    """One piece of the draws, with all that another process needs to make it."""

    question: Question
    facts: tuple[Fact, ...]
    places: Mapping[str, int]
    width: int
    seed: int
    start: int
    count: int
    given: Mapping[str, Any]


def _piece(job: _Job) -> NDArray[np.float64]:
    shares = uniforms(job.width, job.start, job.count, job.seed)
    values = {
        one.name: one.si if one.exact else one.ppf(shares[:, job.places[one.name]])
        for one in job.facts
    }
    made = np.asarray(job.question(**values, **job.given), dtype=float)
    return np.broadcast_to(made, (job.count,)).copy()
