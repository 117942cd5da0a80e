"""Shown: how every verdict is seen, as a board, as a line and in a notebook."""

from __future__ import annotations

from typing import TYPE_CHECKING

from chalkwatt.answering.showing import show
from chalkwatt.wording.audience import addressed

if TYPE_CHECKING:
    from chalkwatt.answering.showing import StillBoard
    from chalkwatt.wording.audience import Audience

__all__ = ["ShownVerdict"]


@addressed
class ShownVerdict:
    """A verdict that can be seen; what it says is for its kinds to say.

    Attributes
    ----------
    audience : Audience
        For whom it was made.
    """

    audience: Audience

    @property
    def word(self) -> str:
        """The verdict in a word or two."""
        raise NotImplementedError

    @property
    def sentence(self) -> str:
        """A few sentences fit to be said on air."""
        raise NotImplementedError

    def board(self) -> StillBoard:
        """Show the verdict, with its figures where it has some.

        Returns
        -------
        StillBoard
            Shown by a notebook; its ``write`` makes a file of it.
        """
        made: StillBoard = show(self, "board")
        return made

    def __repr__(self) -> str:
        """Say it."""
        return f"{self.word}: {self.sentence}"

    def _repr_html_(self) -> str:
        return self.board().html
