"""Showing: how a thing asks to be seen, without knowing what there is to see it with.

A topic has a board, a run a figure and a sheet a page, and none of them knows a widget. Each asks
:func:`show`; who shows what is listed in :mod:`chalkwatt.views`, which is read when the first of them asks.
"""

from __future__ import annotations

import importlib
from typing import TYPE_CHECKING, Any, Protocol, TypedDict

from chalkwatt.errors import ChalkwattError

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping
    from pathlib import Path

    from chalkwatt.answering.answers import Answer

__all__ = [
    "CardOptions",
    "FigureOptions",
    "LiveBoard",
    "Picture",
    "Stating",
    "StillBoard",
    "show",
]

_LIST = "chalkwatt.views"  # above this room; read by name, and only when somebody wants to see something


class FigureOptions(TypedDict, total=False):
    """What every figure takes: its theme, ``"light"`` or ``"dark"``, and its width in inches."""

    theme_name: str
    width: float


class CardOptions(TypedDict, total=False):
    """What a card of a working takes, as :func:`chalkwatt.cards.card.equation_card` explains it."""

    show: str | Iterable[str]
    step: str | None
    size: str | tuple[int, int]
    theme: str
    ground: str
    title: bool | str
    kind: str | None


class Stating(Protocol):
    """What states facts of a vehicle, and so can start a board: a sheet."""

    @property
    def name(self) -> str:
        """Of the vehicle."""

    @property
    def facts(self) -> Mapping[str, object]:
        """What it states, by the names of the quantities."""


class LiveBoard(Protocol):
    """A board that moves: a Jupyter widget with a synced trait for every row.

    Attributes
    ----------
    wanted : str
        What it solves for.
    """

    wanted: str

    @property
    def answer(self) -> Answer:
        """What it shows now."""

    def observe(self, handler: Callable[..., Any], names: str | Iterable[str] = ...) -> None:
        """Call a function when a row changes."""


class StillBoard(Protocol):
    """A board that stands still: figures and sentences of a verdict."""

    @property
    def html(self) -> str:
        """What a notebook shows."""

    @property
    def page(self) -> str:
        """It as a page of its own."""

    def write(self, path: str | Path) -> Path:
        """Write it as a file of its own."""


class Picture(Protocol):
    """A picture for a video, which a notebook shows."""

    @property
    def data(self) -> bytes:
        """The file."""

    @property
    def alt(self) -> str:
        """What it shows, for somebody who does not see it."""

    @property
    def carries(self) -> Mapping[str, float]:
        """The numbers in it, by the names of their quantities, in SI units."""

    def write(self, path: str | Path) -> Picture:
        """Write it to a file."""


def show(thing: object, how: str, /, *further: object, **options: object) -> Any:  # noqa: ANN401  what is shown differs
    """Show a thing in one of its ways.

    Parameters
    ----------
    thing : object
        A topic, an answer, a run, a sheet or what was made of one.
    how : str
        ``"board"``, ``"figure"``, ``"page"`` ...
    *further, **options
        What the view takes beside the thing.

    Returns
    -------
    object
        What the view makes.

    Raises
    ------
    ChalkwattError
        If nothing shows such a thing in that way.
    """
    views: Mapping[str, Callable[[], Callable[..., Any]]] = importlib.import_module(_LIST).VIEWS
    for kind in type(thing).__mro__:
        view = views.get(f"{kind.__name__}.{how}")
        if view is not None:
            return view()(thing, *further, **options)
    raise ChalkwattError(f"Nothing shows {type(thing).__name__} as {how}.")
