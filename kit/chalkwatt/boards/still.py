"""The still board: what a reader sees where no front end runs.

A notebook host may strip scripts, MathML and SVG from a notebook that it does not trust. So the
still board of a notebook is made of plain HTML and its curve is an image; that of a page, which
nobody strips, has real equations.
"""

from __future__ import annotations

import base64
from html import escape
from typing import TYPE_CHECKING, Any

from chalkwatt.boards.drawing import curve
from chalkwatt.rendering.plain_html import equation

if TYPE_CHECKING:
    from chalkwatt.answers import Answer
    from chalkwatt.boards.board import Board


__all__ = ["result_table", "still", "still_equations"]


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
        parts += [f"<p><b>{escape(repr(answer))}</b></p>", result_table(answer), *_steps(answer)]
        drawn = base64.b64encode(curve(answer).encode()).decode()
        parts.append(
            f'<p><img alt="{escape(_caption(answer))}" src="data:image/svg+xml;base64,{drawn}"></p>'
        )
    return f'<div class="cw-still">{"".join(parts)}</div>'


def result_table(answer: Answer) -> str:
    """Return the given values and the result as an HTML table."""
    working = answer.working
    rows = []
    for name in (*answer.known, answer.wanted):
        row = _row(working, answer, name)
        rows.append(f"<tr>{row}</tr>")
    return f"<table><tbody>{''.join(rows)}</tbody></table>"


def _row(working: Any, answer: Answer, name: str) -> str:  # noqa: ANN401  a Working
    from chalkwatt.quantities import look_up
    from chalkwatt.rendering.numbers import format_input, format_number
    from chalkwatt.rendering.working import unit_for

    del working
    entry = look_up(name)
    label = unit_for(name, answer.labels.get(name))
    si = answer.si if name == answer.wanted else answer.known[name]
    value = float(entry.in_unit(si, label))
    shown = format_number(value) if name == answer.wanted else format_input(value)
    base, subscript = entry.symbol_parts
    symbol = f"<i>{escape(base)}</i>" + (f"<sub>{escape(subscript)}</sub>" if subscript else "")
    cells = (escape(entry.words), symbol, escape(shown), escape(label))
    made = "".join(f"<td>{cell}</td>" for cell in cells)
    return (
        made.replace("<td>", "<td><b>").replace("</td>", "</b></td>")
        if name == answer.wanted
        else made
    )


def _steps(answer: Answer) -> list[str]:
    made = []
    for step in answer.working.steps:
        lines = [equation(step.symbols.text, symbols=True)]
        lines += [equation(one) for one in dict.fromkeys((step.numbers.text, step.result.text))]
        made.append(f"<p>{escape(step.title)}<br>{'<br>'.join(lines)}</p>")
    return made


def still_equations(answer: Answer) -> str:
    """Return the working of an answer in real equations, for a page."""
    parts = []
    for step in answer.working.steps:
        lines = "".join(
            f'<math display="block" class="cw-eq">{line.mathml}</math>'
            for line in {
                one.text: one for one in (step.symbols, step.numbers, step.result)
            }.values()
        )
        parts.append(
            f'<div class="cw-step"><p class="cw-law">{escape(step.title)}</p>{lines}</div>'
        )
    return f'<div class="cw-working">{"".join(parts)}</div>'


def _caption(answer: Answer) -> str:
    return f"Curve of {answer.quantity.words}; {answer!r}"
