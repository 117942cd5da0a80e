"""One family of errors, each with the facts a person needs to mend the input.

Every error keeps its facts as fields (quantity, value, unit, limit, advice), so that a board can
show them beside the field they belong to, and its message says what, where, which limit, and what
to do.
"""

from __future__ import annotations

import reprlib
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Sequence

__all__ = [
    "ChalkwattError",
    "NameUnknownError",
    "NoSolutionError",
    "OutOfBoundsError",
    "SheetError",
    "TooLittleKnownError",
    "TooMuchKnownError",
    "UnitError",
    "printable",
    "told",
]

_LONGEST = 1500  # characters of a whole message; a person reads no more
_QUOTED = 60  # characters of a value that a message quotes
_QUOTE = reprlib.Repr()
_QUOTE.maxstring = _QUOTE.maxother = _QUOTE.maxlong = _QUOTED
_QUOTE.maxlist = _QUOTE.maxtuple = _QUOTE.maxset = _QUOTE.maxdict = _QUOTE.maxarray = 6
_MOST_BITS = 10_000  # of a whole number; Python refuses to write out one that is a little longer


def told(value: object) -> str:
    r"""Quote a value in a message: on one line, not too long, and nothing that moves a cursor.

    Parameters
    ----------
    value : object
        Whatever a person gave.

    Returns
    -------
    str

    Examples
    --------
    >>> from chalkwatt.errors import told
    >>> told("90 km/h"), told("\x1b[31m"), len(told("x" * 5000))
    ("'90 km/h'", "'\\x1b[31m'", 60)
    """
    if isinstance(value, int) and value.bit_length() > _MOST_BITS:
        return f"a whole number of {value.bit_length()} bits"
    try:
        text = _QUOTE.repr(value)
    except Exception:  # noqa: BLE001  somebody else's object, whose own words fail
        text = f"<{type(value).__name__}>"
    return printable(" ".join(text.split()), 2 * _QUOTED)


def printable(text: str, most: int = _LONGEST) -> str:
    r"""Return text that a terminal shows as it is: control signs spelled out, and cut where it is long.

    Parameters
    ----------
    text : str
    most : int
        Characters.

    Returns
    -------
    str

    Examples
    --------
    >>> from chalkwatt.errors import printable
    >>> print(printable("a\x1b[31mb"))
    a\x1b[31mb
    """
    if len(text) > most:
        text = f"{text[: most // 2]} … {text[len(text) - most // 2 + 3 :]}"
    if text.isprintable():
        return text
    return "".join(
        one if one.isprintable() or one in "\n\u202f\u2009\xa0" else repr(one)[1:-1] for one in text
    )


class ChalkwattError(ValueError):
    """Base class of every error that Chalkwatt raises on purpose.

    Parameters
    ----------
    message : str
        What is wrong, in one or two sentences.
    quantity : str, optional
        Name of the quantity concerned.
    value : object, optional
        The value as it was given.
    unit : str, optional
        Unit of ``value`` and ``limit``.
    limit : object, optional
        The limit that was passed, if there is one.
    advice : str, optional
        What to do next; it is appended to the message.
    """

    def __init__(
        self,
        message: str,
        *,
        quantity: str | None = None,
        value: object = None,
        unit: str | None = None,
        limit: object = None,
        advice: str = "",
    ) -> None:
        super().__init__(printable(f"{message} {advice}".strip()))
        self.quantity = quantity
        self.value = value
        self.unit = unit
        self.limit = limit
        self.advice = advice


class NameUnknownError(ChalkwattError, AttributeError):
    """A name that no quantity has; the nearest right names are in ``nearest``."""

    def __init__(self, message: str, *, nearest: Sequence[str] = (), **facts: object) -> None:
        advice = ""
        if nearest:
            advice = "Did you mean " + " or ".join(nearest) + "?"
        super().__init__(message, advice=advice, **facts)  # type: ignore[arg-type]  # fields only
        self.nearest = tuple(nearest)


class CallError(ChalkwattError, TypeError):
    """A call that does not fit: ``arguments`` of ``function`` are missing, unknown or too many."""

    def __init__(
        self, message: str, *, function: str = "", arguments: Sequence[str] = (), **facts: object
    ) -> None:
        super().__init__(message, **facts)  # type: ignore[arg-type]  # fields only
        self.function = function
        self.arguments = tuple(arguments)


class UnitError(ChalkwattError):
    """A unit that cannot be read, or that measures something else."""


class OutOfBoundsError(ChalkwattError):
    """A value that lies outside the physical bounds of its quantity.

    ``asked`` is what a sheet was asked, as a finding without a solution, where the value was reckoned and
    not given.
    """

    asked: Any = None


class NoSolutionError(ChalkwattError):
    """No real value of the wanted quantity satisfies the relations.

    ``nearest`` holds the nearest reachable value of the known quantity that stands in the way, in
    SI units, where one is known. ``endless`` are quantities that have no value because nothing limits
    them: whoever claims at least so much of one is right. ``asked`` is what a sheet was asked, as a
    finding without a solution at the stated values: some of its draws may have one. ``decided`` says that
    none of them has, whatever the ranges.
    """

    def __init__(
        self,
        message: str,
        *,
        nearest: float | None = None,
        endless: Sequence[str] = (),
        **facts: object,
    ) -> None:
        super().__init__(message, **facts)  # type: ignore[arg-type]  # fields only
        self.nearest = nearest
        self.endless = tuple(endless)
        self.asked: Any = None
        self.decided = False


class TooLittleKnownError(ChalkwattError):
    """The known quantities do not determine the wanted one; ``unlocks`` lists what would.

    ``unheard`` are conditions of a claim that nothing known could be reckoned with.
    """

    def __init__(
        self,
        message: str,
        *,
        unlocks: Sequence[str] = (),
        unheard: Sequence[str] = (),
        **facts: object,
    ) -> None:
        super().__init__(message, **facts)  # type: ignore[arg-type]  # fields only
        self.unlocks = tuple(unlocks)
        self.unheard = tuple(unheard)


class TooMuchKnownError(ChalkwattError):
    """More is known than the relations allow, and the facts disagree.

    ``relation`` is the title of the relation on which they collide, ``disagreement`` the relative
    difference of its two sides, ``involved`` the known quantities that meet there.
    """

    def __init__(
        self,
        message: str,
        *,
        relation: str = "",
        disagreement: float = 0.0,
        involved: Sequence[str] = (),
        **facts: object,
    ) -> None:
        super().__init__(message, **facts)  # type: ignore[arg-type]  # fields only
        self.relation = relation
        self.disagreement = disagreement
        self.involved = tuple(involved)


class SheetError(ChalkwattError):
    """A spec sheet that cannot be read.

    ``path``, ``line`` and ``key`` say where, ``nearest`` what was meant.
    """

    def __init__(
        self,
        message: str,
        *,
        path: str = "",
        line: int = 1,
        key: str = "",
        nearest: Sequence[str] = (),
        **facts: object,
    ) -> None:
        where = f"{path or 'sheet'}, line {line}" + (f", {printable(key, _QUOTED)}" if key else "")
        meant = f" Did you mean {' or '.join(nearest)}?" if nearest else ""
        super().__init__(f"{where}: {message}{meant}", **facts)  # type: ignore[arg-type]  # fields only
        self.path = path
        self.line = line
        self.key = key
        self.nearest = tuple(nearest)
