"""Company: the boards that are open on one sheet, kept in step."""

from __future__ import annotations

from typing import Any
from weakref import WeakSet

__all__ = ["Company"]


class Company:
    """Boards that share their rows.

    A row that changes on one board, by hand or because it is what the board solves for, takes the same
    value on every other board that has it and does not solve for it.
    """

    def __init__(self) -> None:
        self._boards: WeakSet[Any] = WeakSet()

    def join(self, board: Any) -> None:  # noqa: ANN401  a widget
        """Add a board; it takes over what the others show."""
        for other in list(self._boards):
            for name in _rows(other):
                _give(board, name, getattr(other, name))
        self._boards.add(board)
        board.observe(self._changed, names=_rows(board))

    def _changed(self, change: Any) -> None:  # noqa: ANN401  traitlets is untyped
        for other in list(self._boards):
            if other is not change["owner"]:
                _give(other, change["name"], change["new"])


def _rows(board: Any) -> list[str]:  # noqa: ANN401
    return [name for name in board.program["cast"] if board.has_trait(name)]


def _give(board: Any, name: str, value: float | None) -> None:  # noqa: ANN401
    if (
        value is None
        or name not in _rows(board)
        or name == board.wanted
        or getattr(board, name) == value
    ):
        return
    setattr(board, name, value)
