"""Lines of an equation: aligned at their equals sign, broken at an operator if too long."""

from __future__ import annotations

import functools
from dataclasses import dataclass
from typing import TYPE_CHECKING
from xml.etree import ElementTree as ET

from chalkwatt.cards.typesetting import Setting, beside, set_math

if TYPE_CHECKING:
    from collections.abc import Sequence

__all__ = ["Line", "broken", "line_of"]

_BREAKS = frozenset({"=", "+", "−", "×"})
_INDENT = 1.4  # em; a continued line stands so far to the right of its equals sign


@dataclass(frozen=True)
class Line:
    """An equation cut at its first equals sign; ``right`` begins with the sign."""

    left_text: str
    right_text: str
    pieces: tuple[str, ...]

    @property
    def left(self) -> Setting:
        """What stands before the equals sign."""
        return set_math(self.left_text)

    @property
    def right(self) -> Setting:
        """The equals sign and what stands behind it."""
        return set_math(self.right_text)

    def whole(self, margin: float, *, repeat_left: bool) -> tuple[float, Setting]:
        """Return the line unbroken, with its equals sign at the margin, and its indent."""
        if not repeat_left:
            return margin, self.right
        return margin - self.left.width, beside([self.left, self.right])


@functools.lru_cache(maxsize=512)
def line_of(mathml: str) -> Line:
    """Cut a line of MathML at its first equals sign, and note where else it may be broken.

    Parameters
    ----------
    mathml : str
        The inside of a ``math`` element.

    Returns
    -------
    Line

    Examples
    --------
    >>> from chalkwatt.cards.equation_lines import line_of
    >>> len(line_of("<mi>d</mi><mo>=</mo><mn>3</mn><mo>+</mo><mn>4</mn>").pieces)
    2
    """
    root = ET.fromstring(f"<math>{mathml}</math>")  # noqa: S314  our own printers wrote it
    children = list(_flat(root))
    signs = [place for place, one in enumerate(children) if one.tag == "mo" and one.text == "="]
    cut = signs[0] if signs else 0
    right = children[cut:]
    for one in right:
        if one.tag == "mo" and one.text in _BREAKS and one.get("form") is None:
            one.set("form", "infix")
    pieces: list[list[ET.Element]] = []
    for place, one in enumerate(right):
        breaks = one.tag == "mo" and one.text in _BREAKS and one.get("form") == "infix"
        alternative = one.tag == "mtext" and one.text == "or"
        after = place and pieces and pieces[-1] and pieces[-1][0].text == "or" and one.text == "="
        if not pieces or ((breaks or alternative) and not after):
            pieces.append([])
        pieces[-1].append(one)
    return Line(_text(children[:cut]), _text(right), tuple(_text(one) for one in pieces))


def broken(
    line: Line, margin: float, width: float, *, repeat_left: bool
) -> list[tuple[float, Setting]] | None:
    """Break a line at operators so that every part of it is narrow enough.

    Parameters
    ----------
    line : Line
    margin : float
        Where the equals signs stand, in em.
    width : float
        Of the space, in em.
    repeat_left : bool
        Whether the left side is shown.

    Returns
    -------
    list of (float, Setting), or None
        Indent and line, or None where a part that cannot be broken is too wide.
    """
    first = [line.left] if repeat_left else []
    indent = max(margin - line.left.width, 0.0) if repeat_left else margin
    made: list[tuple[float, Setting]] = []
    at_hand: list[str] = []

    def settled(pieces: Sequence[str]) -> Setting:
        inner = [set_math("".join(pieces))] if pieces else []
        return beside([*(first if not made else []), *inner])

    for piece in line.pieces:
        if settled([*at_hand, piece]).width + indent <= width:
            at_hand.append(piece)
            continue
        if at_hand or (not made and first):
            made.append((indent, settled(at_hand)))
            indent = margin + _INDENT
        at_hand = [piece]
        if settled(at_hand).width + indent > width:
            return None
    made.append((indent, settled(at_hand)))
    return made


def _flat(root: ET.Element) -> list[ET.Element]:
    """List the children, those of plain rows in their place."""
    found: list[ET.Element] = []
    for child in root:
        growing = any(one.tag == "mo" and (one.text or "") in "()|" for one in child)
        found += _flat(child) if child.tag == "mrow" and not growing else [child]
    return found


def _text(elements: Sequence[ET.Element]) -> str:
    return "".join(ET.tostring(one, encoding="unicode") for one in elements)
