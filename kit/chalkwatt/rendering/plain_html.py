"""Equations in HTML that survives a strict host: letters, subscripts, nothing else.

Notebook hosts strip MathML from a notebook that they do not trust and keep its text, which turns
N = E/ε into N = Eε. So what a notebook stores is one line of plain text, set with italics and
subscripts: without its tags the line has only lost its slant and its lowered letters.
"""

from __future__ import annotations

import re
from html import escape

__all__ = ["equation"]

_WORD = "A-Za-z0-9_Α-Ωα-ω"
_SUBSCRIPTED = rf"(?<![{_WORD}])([A-Za-zΑ-Ωα-ω])_([A-Za-z0-9]+)(?![{_WORD}])"
_SYMBOL = re.compile(rf"{_SUBSCRIPTED}|(?<![{_WORD}])([A-Za-zΑ-Ωα-ω])(?![{_WORD}])")


def equation(text: str, *, symbols: bool = False) -> str:
    """Set one line of plain text as HTML.

    Parameters
    ----------
    text : str
        As the plain-text printer wrote it.
    symbols : bool
        Whether every letter that stands alone is a symbol. In a line with numbers it may be a
        unit, which stays upright; there only what has a subscript, or is all of the left-hand
        side, is a symbol.

    Returns
    -------
    str

    Examples
    --------
    >>> from chalkwatt.rendering.plain_html import equation
    >>> equation("N = E / ε", symbols=True)
    '<i>N</i> = <i>E</i> / <i>ε</i>'
    >>> equation("U_t = 3 V")
    '<i>U</i><sub>t</sub> = 3 V'
    """
    if symbols:
        return _SYMBOL.sub(_set, escape(text, quote=False))
    shown = re.sub(_SUBSCRIPTED, _set, escape(text, quote=False))
    return " or ".join(_slanted_left(part) for part in shown.split(" or "))


def _slanted_left(part: str) -> str:
    left, equals, right = part.partition(" = ")
    return f"<i>{left}</i>{equals}{right}" if len(left) == 1 and left.isalpha() else part


def _set(found: re.Match[str]) -> str:
    base, subscript, alone = (*found.groups(), None)[:3]
    return f"<i>{alone}</i>" if alone else f"<i>{base}</i><sub>{subscript}</sub>"
