"""The page that a sheet gives by itself: story, values with their evidence, boards, verdicts."""

from __future__ import annotations

from html import escape
from typing import TYPE_CHECKING, Any

from chalkwatt.answering.driven import how_driven
from chalkwatt.boards.board import Start
from chalkwatt.errors import ChalkwattError
from chalkwatt.evidence.claims.telling import unjudged
from chalkwatt.evidence.remarks import gave_way
from chalkwatt.evidence.sheets.choosing import put_in_order
from chalkwatt.evidence.sheets.facts import condition
from chalkwatt.laws.quantities import look_up
from chalkwatt.pages.document import BoardPart, Part, shown
from chalkwatt.pages.prose import clean
from chalkwatt.pages.style import FACTS, TEXT
from chalkwatt.topics.registry import topic_called
from chalkwatt.wording.audience import for_whom_it_was_made

if TYPE_CHECKING:
    from chalkwatt.answering.topic import Topic
    from chalkwatt.evidence.sheets.sheet import Sheet

__all__ = ["sheet_parts"]

_TOPICS = ("load", "pack", "launch", "charge", "sun")
_CAUTION = (
    "The figures explain; they are for nobody to build, charge or drive by. Try nothing out on public "
    "roads that the law there does not allow, and leave work on packs and chargers to people trained for it."
)


@for_whom_it_was_made
def sheet_parts(sheet: Sheet) -> list[Part | BoardPart]:
    """Return the pieces of a sheet's page.

    Parameters
    ----------
    sheet : Sheet

    Returns
    -------
    list of Part or BoardPart

    Examples
    --------
    >>> from chalkwatt import Sheet
    >>> from chalkwatt.pages.sheet_page import sheet_parts
    >>> sheet = Sheet.parse('''
    ... [vehicle]
    ... name = "Demo"
    ... [values.mass]
    ... value = "700 kg"
    ... origin = "measured"
    ... ''')
    >>> len(sheet_parts(sheet))
    2
    """
    parts: list[Part | BoardPart] = [_story(sheet), _values(sheet)]
    for name in _TOPICS:
        parts += _board(sheet, name)
    for claim in sheet.claims:
        try:
            verdict = shown(sheet.judge(claim))
        except ChalkwattError as problem:
            told = (
                f"{claim.said_by}: {look_up(claim.quantity).words} {claim.said}. "
                f"{unjudged(sheet, claim, problem)}"
            )
            verdict = _text(f"<p>{escape(clean(told))}</p>")
        if verdict is not None:
            parts.append(verdict)
    return parts


def _text(html: str) -> Part:
    return Part(f'<div class="cw-text">{html}</div>', (TEXT,))


def _story(sheet: Sheet) -> Part:
    paragraphs = [one for one in clean(sheet.story).split("\n\n") if one.strip()]
    marked = ["This vehicle is invented."] if sheet.invented else []
    told = "".join(f"<p>{escape(one.strip())}</p>" for one in (*marked, *paragraphs))
    return _text(f'{told}<p class="cw-caution">{_CAUTION}</p>')


def _values(sheet: Sheet) -> Part:
    """List every stated value with what it rests on."""
    rows = "".join(
        "<tr>"
        f'<th scope="row">{escape(look_up(fact.name).words)}</th>'
        f"<td>{escape(clean(fact.text))}</td><td>{escape(fact.origin)}</td>"
        f"<td>{escape(clean('; '.join(one for one in (fact.note, fact.seen) if one)))}</td></tr>"
        for fact in sheet.facts.values()
    )
    head = "".join(
        f'<th scope="col">{one}</th>'
        for one in ("value", "stated", "origin", "why, and where seen")
    )
    return Part(
        '<details class="cw-facts"><summary>What the sheet states, and what that rests on</summary>'
        f'<div tabindex="0" role="region" aria-label="Stated values"><table><thead><tr>{head}</tr></thead>'
        f"<tbody>{rows}</tbody></table></div></details>",
        (FACTS,),
    )


def _board(sheet: Sheet, name: str) -> list[Part | BoardPart]:
    """Return a topic's board where most of its values are the sheet's, and a line about the others."""
    topic = topic_called(name)
    try:
        values = _asked_first(sheet, sheet.values_for(topic))
        first = Start(topic, topic.wanted, values)
        first.answer()
    except ChalkwattError:
        return []  # the sheet says nothing of this topic, or nothing that fits
    foreign = [one for one in values if _from_example(sheet, topic, one, values[one])]
    if 2 * len(foreign) >= len(values):
        return []
    parts: list[Part | BoardPart] = [BoardPart(first)]
    clause = how_driven(first.answer())
    told = _gave_way(sheet, topic)
    if clause or told:
        begins = [f"The board begins with a drive{clause}."] if clause else []
        parts.append(_text(f"<p>{escape(' '.join((*begins, *told)))}</p>"))
    if foreign:
        words = ", ".join(look_up(one).words for one in foreign)
        parts.append(_text(f"<p>Not from the sheet but chosen for this page: {escape(words)}.</p>"))
    return parts


def _gave_way(sheet: Sheet, topic: Topic) -> tuple[str, ...]:
    """Say which assumed values the conditions of the first claim took the place of."""
    asked = {
        name: condition(name, value)
        for claim in sheet.claims[:1]
        for name, value in claim.conditions.items()
        if name in topic.network.names and name != topic.wanted
    }
    order = put_in_order(sheet.facts, asked, topic.wanted, topic=topic)
    return gave_way(order.gave_way, sheet.facts, asked)


def _asked_first(sheet: Sheet, values: dict[str, Any]) -> dict[str, Any]:
    """Put the conditions of the claims first: the curve runs along them."""
    asked = [name for claim in sheet.claims for name in claim.conditions if name in values]
    return {name: values[name] for name in dict.fromkeys((*asked, *values))}


def _from_example(sheet: Sheet, topic: Topic, name: str, value: object) -> bool:
    asked = any(name in claim.conditions for claim in sheet.claims[:1])
    return name not in sheet.facts and not asked and value == topic.example.get(name)
