"""Two classics on small graphs: a maximum matching, and strongly connected components.

SciPy has both, and tests hold these against it; but importing its sparse graphs takes longer than
every plan of a first board together, and these networks have a few dozen nodes.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, TypeVar

if TYPE_CHECKING:
    from collections.abc import Hashable, Mapping, Sequence

__all__ = ["augment", "components", "maximum_matching"]

Row = TypeVar("Row", bound="Hashable")
Column = TypeVar("Column", bound="Hashable")


def maximum_matching(
    rows: Sequence[Row], held: Mapping[Row, Sequence[Column]]
) -> dict[Column, Row]:
    """Give as many rows as possible a column of their own (augmenting paths).

    Parameters
    ----------
    rows : sequence
    held : mapping
        The columns that each row may have, the preferred first.

    Returns
    -------
    dict
        Column to row.

    Examples
    --------
    >>> from chalkwatt.algebra.graphs import maximum_matching
    >>> maximum_matching(["a", "b"], {"a": ["x", "y"], "b": ["x"]})
    {'x': 'b', 'y': 'a'}
    """
    match: dict[Column, Row] = {}
    for row in rows:
        augment(row, held, match)
    return match


def augment(row: Row, held: Mapping[Row, Sequence[Column]], match: dict[Column, Row]) -> bool:
    """Give one row more a column of its own, where others can make room for it.

    Parameters
    ----------
    row : object
    held : mapping
        The columns that each row may have, the preferred first.
    match : dict
        Column to row; changed in place.

    Returns
    -------
    bool
        Whether there was one.

    Examples
    --------
    >>> from chalkwatt.algebra.graphs import augment
    >>> match = {"x": "b"}
    >>> augment("a", {"a": ["x"], "b": ["x", "y"]}, match), match
    (True, {'x': 'a', 'y': 'b'})
    """
    return _augment(row, held, match, set())


def _augment(
    row: Row, held: Mapping[Row, Sequence[Column]], match: dict[Column, Row], tried: set[Column]
) -> bool:
    for column in held[row]:
        if column not in match and column not in tried:
            match[column] = row
            return True
    for column in held[row]:
        if column in tried:
            continue
        tried.add(column)
        if _augment(match[column], held, match, tried):
            match[column] = row
            return True
    return False


def components(nodes: Sequence[Row], arrows: Mapping[Row, Sequence[Row]]) -> list[list[Row]]:
    """Return the strongly connected components, each in the order of ``nodes`` (Tarjan, 1972).

    Parameters
    ----------
    nodes : sequence
    arrows : mapping
        The nodes to which each node points.

    Returns
    -------
    list of list
        A component stands after every component that it points to.

    Examples
    --------
    >>> from chalkwatt.algebra.graphs import components
    >>> components(["a", "b", "c"], {"a": ["b"], "b": ["a", "c"], "c": []})
    [['c'], ['a', 'b']]
    """
    number: dict[Row, int] = {}
    lowest: dict[Row, int] = {}
    stack: list[Row] = []
    found: list[list[Row]] = []

    def visit(node: Row) -> None:
        number[node] = lowest[node] = len(number)
        stack.append(node)
        for other in arrows[node]:
            if other not in number:
                visit(other)
                lowest[node] = min(lowest[node], lowest[other])
            elif other in stack:
                lowest[node] = min(lowest[node], number[other])
        if lowest[node] == number[node]:
            place = stack.index(node)
            found.append(sorted(stack[place:], key=nodes.index))
            del stack[place:]

    for node in nodes:
        if node not in number:
            visit(node)
    return found
