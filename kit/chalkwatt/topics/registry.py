"""Registry: the topics by their names, each loaded when it is asked for."""

from __future__ import annotations

import difflib
import importlib
import pkgutil
from functools import cache
from typing import TYPE_CHECKING

from chalkwatt import topics as pages
from chalkwatt.answering.topic import Topic
from chalkwatt.errors import NameUnknownError

if TYPE_CHECKING:
    from collections.abc import Iterator

__all__ = ["every_topic", "topic_called", "topics_in_turn"]


@cache
def topic_called(name: str) -> Topic:
    """Return a topic by its name, which is that of its page.

    Parameters
    ----------
    name : str

    Returns
    -------
    Topic

    Raises
    ------
    NameUnknownError
        If there is none.

    Examples
    --------
    >>> from chalkwatt.topics.registry import topic_called
    >>> topic_called("charge").title
    'Charging'
    """
    found = _topic_on(name) if name in _pages() else None
    if found is not None:
        return found
    raise NameUnknownError(
        f"There is no topic called {name!r}.",
        quantity=name,
        nearest=difflib.get_close_matches(name[:80], [one.name for one in every_topic()]),
    )


@cache
def every_topic() -> tuple[Topic, ...]:
    """Return all topics in the order of their names; this loads every one.

    Returns
    -------
    tuple of Topic
    """
    return tuple(topics_in_turn())


def topics_in_turn(*first: str) -> Iterator[Topic]:
    """Yield all topics, some of them first; each is loaded when it is its turn.

    Parameters
    ----------
    *first : str
        Names of those that come first, in their order; the others follow in the order of their names.

    Yields
    ------
    Topic

    Examples
    --------
    >>> from chalkwatt.topics.registry import topics_in_turn
    >>> next(topics_in_turn("launch")).name
    'launch'
    """
    for name in dict.fromkeys((*first, *_pages())):
        found = _topic_on(name)
        if found is not None:
            yield found


@cache
def _topic_on(name: str) -> Topic | None:
    """Return the topic of a page; some pages hold relations that several topics share, and none."""
    found = getattr(importlib.import_module(f"{pages.__name__}.{name}"), name, None)
    return found if isinstance(found, Topic) else None


@cache
def _pages() -> tuple[str, ...]:
    own = __name__.rpartition(".")[2]
    return tuple(
        sorted(one.name for one in pkgutil.iter_modules(pages.__path__) if one.name != own)
    )
