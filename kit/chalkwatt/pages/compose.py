"""Pages of several pieces: boards, text, cards and verdicts in one file that needs nothing else."""

from __future__ import annotations

import base64
import io
import re
from collections.abc import Iterable
from html import escape
from typing import TYPE_CHECKING, Any, Protocol, TypeAlias

import numpy as np

from chalkwatt.answering.answers import Answer
from chalkwatt.answering.driven import how_driven
from chalkwatt.answering.topic import Topic
from chalkwatt.boards.board import Board, Start, start
from chalkwatt.calls import checked_call
from chalkwatt.cards.picture import Card
from chalkwatt.errors import ChalkwattError
from chalkwatt.evidence.sheets.sheet import Sheet
from chalkwatt.laws.quantities import look_up
from chalkwatt.pages.document import BoardPart, Part, part_text, shown
from chalkwatt.pages.prose import clean, prose, split_title
from chalkwatt.pages.sheet_page import sheet_parts
from chalkwatt.pages.style import CARD, TEXT
from chalkwatt.store import write_text
from chalkwatt.wording import units
from chalkwatt.wording.audience import for_whom_it_was_made

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from chalkwatt.answering.showing import LiveBoard, Picture

__all__ = ["page", "page_text"]

_MIDDLE = 127.5  # of 255


class Telling(Protocol):
    """What a notebook shows as HTML: a verdict, a comparison, layouts."""

    def _repr_html_(self) -> str: ...


# What a page can be made of.
Piece: TypeAlias = "str | Topic | Answer | LiveBoard | Picture | Sheet | Telling"


@for_whom_it_was_made
@checked_call
def page(
    path: str | Path,
    pieces: Piece | Iterable[Piece],
    /,
    *,
    title: str = "",
    linked: bool | Iterable[str] = True,
) -> Path:
    """Write one interactive HTML file from boards, text, cards and verdicts.

    It asks nothing of the network, is readable without JavaScript, prints, and keeps what is typed in
    its own address, so that the address can be passed on.

    Parameters
    ----------
    path : str or Path
        Where to write it. The file appears whole or not at all.
    pieces : iterable, or one piece
        In the order of the page. A piece is text (empty lines between paragraphs; ``#`` headings,
        ``-`` lists, ``**strong**`` and ``*emphasis*`` are set, all else stays as it is written), a
        board as it stands now, an answer or a topic, each of which becomes a board, a card, a
        verdict or its board, a comparison, or a sheet, which stands for a page of its own: story,
        values, boards and verdicts.
    title : str, optional
        The first heading. If left out, the ``#`` heading that the first text begins with, or the name
        of the sheet, or the title of the first board.
    linked : bool or iterable of str
        Whether a quantity that several boards are given moves in all of them, or the names of those
        that do.

    Returns
    -------
    Path
        Where the file is.

    Raises
    ------
    ChalkwattError
        If a piece is none of these, a board has no result, or the file cannot be written.

    Examples
    --------
    >>> import pathlib, tempfile
    >>> import chalkwatt as cw
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     made = cw.page(pathlib.Path(folder) / "road.html", ["# On the road", cw.load, cw.sun])
    ...     "On the road" in made.read_text(encoding="utf-8")
    True
    """
    return write_text(path, page_text(pieces, title=title, linked=linked))


def page_text(
    pieces: Piece | Iterable[Piece],
    *,
    title: str = "",
    linked: bool | Iterable[str] = True,
) -> str:
    """Return the text of a page; see :func:`page`."""
    listed = _listed(pieces)
    chosen = linked if isinstance(linked, bool) else [look_up(name).name for name in linked]
    if not title:
        title, listed = _title(listed)
    parts = [part for piece in listed for part in _parts(piece)]
    return part_text(title, parts, linked=chosen)


def _listed(pieces: object) -> list[object]:
    alone = isinstance(pieces, str | Sheet | Topic | Answer | Board | Card)
    if alone or not isinstance(pieces, Iterable):
        return [pieces]
    listed = list(pieces)
    if not listed:
        raise ChalkwattError(
            "This page has no pieces.", advice="Give text, boards, cards, verdicts or a sheet."
        )
    return listed


def _title(pieces: Sequence[object]) -> tuple[str, list[object]]:
    """Find the page's title in its first piece; a lone board has its own."""
    first, *rest = pieces
    if isinstance(first, Sheet):
        return first.name, [first, *rest]
    if isinstance(first, str):
        title, text = split_title(first)
        if title:
            return title, [text, *rest] if text else rest
    if len(pieces) == 1 and isinstance(first, Topic | Answer | Board):
        return "", list(pieces)
    for piece in pieces:
        if isinstance(piece, Topic | Answer | Board):
            return _start(piece).program["title"], list(pieces)
    return "Chalkwatt", list(pieces)


def _parts(piece: object) -> list[Part | BoardPart]:
    if isinstance(piece, str):
        made = prose(piece)
        return [Part(f'<div class="cw-text">{made}</div>', (TEXT,))] if made else []
    if isinstance(piece, Answer):
        return [BoardPart(_start(piece)), *_begins(piece)]
    if isinstance(piece, Topic | Board):
        return [BoardPart(_start(piece))]
    if isinstance(piece, Card):
        return [_card(piece)]
    if isinstance(piece, Sheet):
        return sheet_parts(piece)
    told = shown(piece)
    if told is None:
        raise ChalkwattError(
            f"A page cannot hold a {type(piece).__name__}.",
            value=repr(piece)[:80],
            advice="Give text, boards, answers, topics, cards, verdicts, comparisons or a sheet.",
        )
    return [told]


def _begins(answer: Answer) -> list[Part]:
    """Say below the board of an answer for which drive it holds: how far means nothing without it."""
    clause = how_driven(answer)
    if not clause:
        return []
    told = f"<p>The board begins with a drive{escape(clean(clause))}.</p>"
    return [Part(f'<div class="cw-text">{told}</div>', (TEXT,))]


def _card(card: Card) -> Part:
    """Set a card as a picture: whatever is inside it cannot touch the page."""
    kind = "svg+xml" if card.kind == "svg" else card.kind
    data = base64.b64encode(card.data).decode()
    width, height = card.size
    return Part(
        f'<figure class="cw-card {_ground(card)}"><img alt="{escape(clean(card.alt))}" width="{width}" '
        f'height="{height}" src="data:image/{kind};base64,{data}"></figure>',
        (CARD,),
    )


def _ground(card: Card) -> str:
    """Say on which ground a card with a clear one is to stand: what was drawn for a dark one is bright."""
    if card.kind == "svg":
        fills = re.findall(rb'(?:fill|stroke)="#([0-9a-f]{6})"', card.data)
        inks = np.array([list(bytes.fromhex(one.decode())) for one in fills] or [[0, 0, 0]])
        weights = np.ones(len(inks))
    else:
        from PIL import Image  # noqa: PLC0415  Pillow is for this alone

        with Image.open(io.BytesIO(card.data)) as image:
            image.thumbnail((480, 480))
            pixels = np.asarray(image.convert("RGBA"), dtype=float).reshape(-1, 4)
        if pixels[:, 3].min() > 0:
            return "cw-whole"  # it brings its own paper
        inks, weights = pixels[:, :3], pixels[:, 3]
    bright = float(np.average(inks @ np.array([0.2126, 0.7152, 0.0722]), weights=weights))
    return "cw-dark" if bright > _MIDDLE else "cw-light"


def _start(piece: Topic | Answer | Board) -> Start:
    if isinstance(piece, Topic):
        return start(piece)
    if isinstance(piece, Answer):
        labels = {name: label for name, label in piece.labels.items() if label is not None}
        return Start(piece.topic, piece.wanted, dict(piece.known), labels)
    return _as_it_stands(piece)


def _as_it_stands(board: Board) -> Start:
    """Begin where a board of the notebook is now."""
    if not board.endless:
        board.answer  # noqa: B018  a board without a result says why
    known: dict[str, Any] = {}
    labels = {}
    for name in board.program["cast"]:
        listed = board.program["quantities"][name]["units"]
        labels[name] = listed[board.chosen_units.get(name, 0)][0]
        known[name] = None
        if name != board.wanted:
            first = units.unit(listed[0][0])
            known[name] = getattr(board, name) * first.factor + first.offset
    return Start(board.topic, board.wanted, known, labels)
