"""Two changes of one text brought together, where they do not touch the same lines."""

from __future__ import annotations

from difflib import SequenceMatcher
from typing import NamedTuple

__all__ = ["merged", "moved_lines"]


class _Hunk(NamedTuple):
    """Lines of the base, from and up to, and what takes their place; nothing is taken where both are equal."""

    first: int
    last: int
    lines: list[str]


def merged(base: str, mine: str, new: str) -> str | None:
    r"""Return a text with the changes of both, or None where they contradict each other.

    Parameters
    ----------
    base : str
        What both come from.
    mine, new : str

    Returns
    -------
    str or None
        None if both changed the same lines, or put different lines in the same place.

    Examples
    --------
    >>> from chalkwatt.episodes.three_way import merged
    >>> merged("700 km\n\nEnd\n", "700 km\n\nMy own words\nEnd\n", "650 km\n\nEnd\n")
    '650 km\n\nMy own words\nEnd\n'
    >>> merged("700 km\n", "700 km, they say\n", "650 km\n") is None
    True
    """
    lines = base.splitlines(keepends=True)
    own, other = (_hunks(lines, text.splitlines(keepends=True)) for text in (mine, new))
    for one in own:
        if any(_clash(one, two) for two in other if one != two):
            return None
    made: list[str] = []
    place = 0
    for hunk in sorted({(one.first, one.last): one for one in (*own, *other)}.values()):
        made += lines[place : hunk.first] + hunk.lines
        place = hunk.last
    return "".join(made + lines[place:])


def _hunks(base: list[str], text: list[str]) -> list[_Hunk]:
    found = SequenceMatcher(None, base, text, autojunk=False).get_opcodes()
    return [_Hunk(i1, i2, text[j1:j2]) for tag, i1, i2, j1, j2 in found if tag != "equal"]


def _clash(one: _Hunk, other: _Hunk) -> bool:
    """Say whether two changes concern the same lines; one beside the other is in nobody's way."""
    if one[:2] == other[:2]:
        return True
    return one.first < other.last and other.first < one.last


def moved_lines(text: str, into: str) -> dict[int, int]:
    """Return where each line of a text stands in another that was made from it, both counted from one.

    Examples
    --------
    >>> from chalkwatt.episodes.three_way import moved_lines
    >>> moved_lines("a, b".replace(", ", chr(10)), "x, a, b".replace(", ", chr(10)))
    {1: 2, 2: 3}
    """
    blocks = SequenceMatcher(
        None, text.split("\n"), into.split("\n"), autojunk=False
    ).get_matching_blocks()
    return {
        block.a + step + 1: block.b + step + 1 for block in blocks for step in range(block.size)
    }
