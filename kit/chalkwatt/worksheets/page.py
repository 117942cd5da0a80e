"""The two pages of a worksheet: one for students, which has no answer in it, and the key."""

from __future__ import annotations

from html import escape
from typing import TYPE_CHECKING

from chalkwatt.boards.front_end import font
from chalkwatt.laws.quantities import look_up
from chalkwatt.planning.folding import fold
from chalkwatt.rendering.printers import MathmlPrinter
from chalkwatt.rendering.working import CONVERSIONS, unit_for

if TYPE_CHECKING:
    from collections.abc import Iterable

    from chalkwatt.worksheets.worksheet import Printed, Problem, Worksheet

__all__ = ["key_page", "student_page"]

# No size of paper is named: margins are, so that A4 and letter both print whole problems.
_STYLE = """\
@font-face{font-family:"Chalkwatt Math";src:url(%(font)s) format("woff2")}
@page{margin:16mm 18mm}
:root{color-scheme:light}
body{margin:0 auto;max-width:46rem;padding:1.2rem;color:#111;background:#fff}
body{font:11.5pt/1.45 Georgia,"Times New Roman",serif}
math{font-family:"Chalkwatt Math","STIX Two Math","Cambria Math",math;font-size:1.08em}
h1{font-size:1.5rem;font-weight:600;margin:0 0 .2rem}
header{margin:0 0 1rem}
header p{margin:.1rem 0;color:#444}
.who{display:flex;gap:2rem;margin:.9rem 0 1.2rem}
.who span{flex:1;border-bottom:1px solid #111;padding-bottom:.1rem}
ol{padding:0;margin:0;list-style:none;counter-reset:problem}
li{counter-increment:problem;break-inside:avoid;padding:0 0 1.5rem 2.2rem;position:relative}
li::before{content:counter(problem) ".";position:absolute;left:0;font-weight:600}
li p{margin:0 0 .45rem}
table{border-collapse:collapse;margin:.1rem 0 .6rem}
td{padding:.08rem 1.3rem .08rem 0;vertical-align:baseline}
td.number{font-variant-numeric:tabular-nums}
.laws{display:flex;flex-wrap:wrap;gap:.5rem 2.6rem;margin:0 0 .8rem}
.laws small{display:block;color:#444}
.blank{display:flex;flex-wrap:wrap;align-items:baseline;gap:.5rem;margin:.85rem 0 0}
.blank .line{display:inline-block;border-bottom:1px solid #111;width:9rem}
.blank .unit{min-width:5.2rem}
.blank .room{flex:1;min-width:7rem;border-bottom:1px dotted #999}
.step{margin:0 0 .7rem}
.step p{margin:.35rem 0}
.answer{font-weight:600}
footer{margin-top:.6rem;color:#444;font-size:.85em}
@media print{body{padding:0;max-width:none}}
"""


def student_page(sheet: Worksheet) -> str:
    """Write the students' page.

    Parameters
    ----------
    sheet : Worksheet

    Returns
    -------
    str
        HTML; it holds the printed numbers, the laws and room to write, and no result.
    """
    items = "".join(f"<li>{_task(problem)}{_blanks(problem)}</li>" for problem in sheet.problems)
    who = '<div class="who"><span>Name</span><span>Date</span></div>'
    return _page(sheet, f"{sheet.topic.title}: worksheet {sheet.seed}", f"{who}<ol>{items}</ol>")


def key_page(sheet: Worksheet) -> str:
    """Write the key: every problem with its working and the span of right answers.

    Parameters
    ----------
    sheet : Worksheet

    Returns
    -------
    str
        HTML.
    """
    items = "".join(f"<li>{_task(problem)}{_worked(problem)}</li>" for problem in sheet.problems)
    return _page(sheet, f"{sheet.topic.title}: key to worksheet {sheet.seed}", f"<ol>{items}</ol>")


def _page(sheet: Worksheet, title: str, body: str) -> str:
    style = _STYLE % {"font": font()}
    rule = "default-src 'none'; style-src 'unsafe-inline'; font-src data:"
    caution = f"<footer>{escape(sheet.topic.caution)}</footer>" if sheet.topic.caution else ""
    return (
        '<!doctype html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        f'<meta http-equiv="Content-Security-Policy" content="{rule}">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f"<title>{escape(title)}</title>\n<style>\n{style}</style>\n</head>\n<body>\n<main>\n"
        f"<header><h1>{escape(title)}</h1><p>All numbers are invented.</p></header>\n"
        f"{body}\n</main>\n{caution}\n</body>\n</html>\n"
    )


def _task(problem: Problem) -> str:
    wanted = look_up(problem.wanted)
    left_out = f" {_left_out(problem.conditions)}" if problem.conditions else ""
    question = (
        f"<p>Find the {escape(wanted.words)} <math>{_symbol(problem.wanted)}</math>.{left_out}</p>"
    )
    return question + _table(problem.given) + _laws(problem)


def _left_out(conditions: Iterable[str]) -> str:
    said = [escape(f"{one[:1].lower()}{one[1:]}") for one in conditions]
    return f"Assume: {', '.join(said)}."


def _symbol(name: str) -> str:
    return MathmlPrinter().symbol(name)


def _table(given: Iterable[Printed]) -> str:
    rows = "".join(
        f"<tr><td>{escape(look_up(one.name).words)}</td><td><math>{_symbol(one.name)}</math></td>"
        f'<td class="number">{escape(one.text)}</td></tr>'
        for one in given
    )
    return f"<table>{rows}</table>"


def _laws(problem: Problem) -> str:
    """Show the laws that are needed, without the terms that are assumed nought, and what everybody takes."""
    printer = MathmlPrinter()
    made = []
    for relation in problem.answer.plan.relations:
        if relation.standing:
            continue
        zeros = problem.answer.plan.zeros
        left, right = (printer.print(fold(side, zeros)) for side in relation.sides)
        made.append(
            f"<span><small>{escape(relation.title)}</small>"
            f'<math displaystyle="true">{left}<mo>=</mo>{right}</math></span>'
        )
    taken = "".join(
        f"<span><small>{escape(look_up(one.name).words)}</small><math>{_symbol(one.name)}</math> = "
        f"{escape(one.text)}</span>"
        for one in problem.taken
    )
    return f'<div class="laws">{"".join(made)}{taken}</div>'


def _blanks(problem: Problem) -> str:
    """Leave room for the way, and a blank for every result on it."""
    made = []
    for step in problem.answer.plan.steps:
        unit = unit_for(step.find, problem.answer.labels.get(step.find))
        made.append(
            f'<div class="blank"><math>{_symbol(step.find)}</math> = <span class="room"></span> = '
            f'<span class="line"></span> <span class="unit">{escape(unit)}</span></div>'
        )
    return "".join(made)


def _worked(problem: Problem) -> str:
    working = problem.answer.working
    blocks = [(step.title, step.lines) for step in working.steps]
    if working.conversions:
        blocks.insert(0, (CONVERSIONS, tuple(one.shown for one in working.conversions)))
    steps = "".join(
        f'<div class="step">{escape(title)}'
        + "".join(f'<p><math displaystyle="true">{line.mathml}</math></p>' for line in lines)
        + "</div>"
        for title, lines in blocks
    )
    return f'{steps}<p class="answer">Right: {escape(problem.accepted)}</p>'
