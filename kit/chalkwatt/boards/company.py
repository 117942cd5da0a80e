"""Company: the boards that are open on one sheet, kept in step."""

from __future__ import annotations

import math
from collections import Counter, deque
from typing import Any
from weakref import WeakSet

__all__ = ["Company"]

_OFTEN = (
    8  # changes of one row that are passed on, until boards that ask for each other's rows rest
)


class Company:
    """Boards that share their rows.

    A row that changes on one board, by hand or because it is what the board solves for, takes the same
    value on every other board that has it and does not solve for it.

    What the board where it began shows is settled: another one that solves for a row of it may find
    another root, or another last digit, and must not set the first one moving again.
    """

    def __init__(self) -> None:
        self._boards: WeakSet[Any] = WeakSet()
        self._began: Any = None
        self._waiting: deque[tuple[Any, str]] = deque()

    def join(self, board: Any) -> None:  # noqa: ANN401  a widget
        """Add a board; it takes over what the others show."""
        for other in list(self._boards):
            for name in _rows(other):
                _give(board, name, getattr(other, name))
        self._boards.add(board)
        board.observe(self._changed, names=_rows(board))

    def _changed(self, change: Any) -> None:  # noqa: ANN401  traitlets is untyped
        self._waiting.append((change["owner"], change["name"]))
        if self._began is not None:
            return
        self._began = change["owner"]
        try:
            self._pass_on(set(_rows(self._began)))
        finally:
            self._began = None
            self._waiting.clear()

    def _pass_on(self, settled: set[str]) -> None:
        """Tell the others of each change in turn, the first ones first."""
        passed: Counter[str] = Counter()
        while self._waiting:
            board, name = self._waiting.popleft()
            passed[name] += 1
            if board is not self._began and (name in settled or passed[name] > _OFTEN):
                continue
            for other in list(self._boards):
                if other is not board:
                    _give(other, name, getattr(board, name))


def _rows(board: Any) -> list[str]:  # noqa: ANN401
    return [name for name in board.program["cast"] if board.has_trait(name)]


def _give(board: Any, name: str, value: float | None) -> None:  # noqa: ANN401
    if (
        value is None
        or name not in _rows(board)
        or name == board.wanted
        or _same(getattr(board, name), value)
    ):
        return
    setattr(board, name, value)


def _same(one: float | None, other: float) -> bool:
    # A browser works out the last digit in its own way.
    return one is not None and math.isclose(one, other, rel_tol=1e-12)
