"""Company: the boards that are open on one sheet, kept in step."""

from __future__ import annotations

import math
from collections import Counter, deque
from typing import TYPE_CHECKING
from weakref import WeakKeyDictionary, WeakSet

if TYPE_CHECKING:
    from traitlets import Bunch

    from chalkwatt.boards.board import Board
    from chalkwatt.evidence.sheets.sheet import Sheet

__all__ = ["Company", "join"]

# Changes of one row that are passed on, until boards that ask for each other's rows rest.
_OFTEN = 8


class Company:
    """Boards that share their rows.

    A row that changes on one board, by hand or because it is what the board solves for, takes the same
    value on every other board that has it and does not solve for it.

    What the board where it began shows is settled: another one that solves for a row of it may find
    another root, or another last digit, and must not set the first one moving again.
    """

    def __init__(self) -> None:
        self._boards: WeakSet[Board] = WeakSet()
        self._began: Board | None = None
        self._waiting: deque[tuple[Board, str]] = deque()

    def join(self, board: Board) -> None:
        """Add a board; it takes over what the others show."""
        for other in list(self._boards):
            for name in _rows(other):
                _give(board, name, getattr(other, name))
        self._boards.add(board)
        board.observe(self._changed, names=_rows(board))

    def _changed(self, change: Bunch) -> None:
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


_COMPANIES: WeakKeyDictionary[Sheet, Company] = WeakKeyDictionary()


def join(sheet: Sheet, board: Board) -> None:
    """Let a board keep in step with the other boards of a sheet.

    Parameters
    ----------
    sheet : Sheet
    board : Board
    """
    _COMPANIES.setdefault(sheet, Company()).join(board)


def _rows(board: Board) -> list[str]:
    return [name for name in board.program["cast"] if board.has_trait(name)]


def _give(board: Board, name: str, value: float | None) -> None:
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
