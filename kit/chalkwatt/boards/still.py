"""The still board: what a reader sees where no front end runs.

A notebook host may strip scripts, MathML and SVG from a notebook that it does not trust. So the
still board of a notebook is made of plain HTML and its curve is an image; that of a page, which
nobody strips, has real equations.
"""

from __future__ import annotations

import base64
import re
from html import escape
from typing import TYPE_CHECKING

from chalkwatt.laws.quantities import look_up
from chalkwatt.look.drawing import curve
from chalkwatt.rendering.plain_html import equation
from chalkwatt.rendering.working import CONVERSIONS, unit_for
from chalkwatt.wording.numbers import format_input, format_number

if TYPE_CHECKING:
    from collections.abc import Mapping

    from chalkwatt.answering.answers import Answer
    from chalkwatt.boards.board import Board
    from chalkwatt.rendering.working import WorkingStep


__all__ = ["given_table", "result_table", "still", "still_equations"]


def still(board: Board) -> str:
    """Return a board as plain HTML for a notebook.

    Parameters
    ----------
    board : Board

    Returns
    -------
    str
    """
    title = escape(board.program["title"])
    caution = board.program["caution"]
    parts = [f"<p><b>{title}</b></p>"]
    if caution:
        parts.append(f"<p><b>Caution.</b> {escape(caution)}</p>")
    answer = board._answer  # noqa: SLF001  its own renderer
    if answer is None:
        parts.append(f"<p>{escape(board.error)}</p>")
    else:
        parts.append(f"<p><b>{escape(repr(answer))}</b></p>")
        parts += [f"<p>{escape(note)}</p>" for note in answer.notes]
        parts += [result_table(answer), *_steps(answer)]
        drawn = base64.b64encode(curve(answer).encode()).decode()
        parts.append(
            f'<p><img alt="{escape(_caption(answer))}" src="data:image/svg+xml;base64,{drawn}"></p>'
        )
    return f'<div class="cw-still">{"".join(parts)}</div>'


def result_table(answer: Answer) -> str:
    """Return the given values and the result as an HTML table."""
    return given_table(
        {**answer.known, answer.wanted: float(answer.si)}, answer.labels, answer.wanted
    )


def given_table(si: Mapping[str, float], labels: Mapping[str, str], wanted: str = "") -> str:
    """Return values, and the result if it is among them, as an HTML table."""
    rows = (_row(name, value, labels.get(name), wanted) for name, value in si.items())
    return f"<table><tbody>{''.join(f'<tr>{row}</tr>' for row in rows)}</tbody></table>"


def _row(name: str, si: float, given: str | None, wanted: str) -> str:
    entry = look_up(name)
    label = unit_for(name, given)
    value = float(entry.in_unit(si, label))
    shown = format_number(value) if name == wanted else format_input(value)
    base, subscript = entry.symbol_parts
    symbol = f"<i>{escape(base)}</i>" + (f"<sub>{escape(subscript)}</sub>" if subscript else "")
    cells = (escape(entry.words), symbol, escape(shown), escape(label))
    made = "".join(f"<td>{cell}</td>" for cell in cells)
    return made.replace("<td>", "<td><b>").replace("</td>", "</b></td>") if name == wanted else made


def _steps(answer: Answer) -> list[str]:
    made = []
    working = answer.working
    if working.conversions:
        said = "<br>".join(equation(one.shown.text) for one in working.conversions)
        made.append(f"<p>{CONVERSIONS}<br>{said}</p>")
    for step in working.steps:
        symbols, *others = step.lines
        lines = [equation(symbols.text, symbols=True), *(equation(one.text) for one in others)]
        made.append(f"<p>{escape(step.title)}<br>{'<br>'.join(lines)}</p>")
    return made


def still_equations(answer: Answer) -> str:
    """Return the working of an answer in real equations, for a page."""
    working = answer.working
    blocks = [(step.title, _in_math(step)) for step in working.steps]
    if working.conversions:
        blocks.insert(0, (CONVERSIONS, [one.shown.mathml for one in working.conversions]))
    parts = []
    for title, written in blocks:
        lines = "".join(f'<math display="block" class="cw-eq">{one}</math>' for one in written)
        parts.append(f'<div class="cw-step"><p class="cw-law">{escape(title)}</p>{lines}</div>')
    made = "".join(parts).replace('<mrow class="cw-slot">', "<mrow>").replace("></mspace>", "/>")
    # Several letters are upright without a word.
    made = re.sub(r'<mi mathvariant="normal">(?=\w\w)', "<mi>", made).replace("&#x2062;", "\u2062")
    return f'<div class="cw-working">{made}</div>'


def _in_math(step: WorkingStep) -> list[str]:
    """Write the lines of a step as the living board does: numbers and result on one, where it is solved."""
    lines = [one.mathml for one in step.lines]
    number, result = step.numbers.mathml, step.result.mathml
    letter, equals, value = result.partition("<mo>=</mo>")
    # Where a quantity is simply another one, both say the same, and one of them is no line.
    twice = step.numbers.text == step.result.text
    if not twice and len(step.values) == 1 and number.startswith(letter + equals):
        lines[-2:] = [number + equals + value]
    return lines


def _caption(answer: Answer) -> str:
    return f"Curve of {answer.quantity.words}; {answer!r}"
