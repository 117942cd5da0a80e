"""A living board writes the lines of a working that Python writes, units and digits included."""

import random
import re
from html import unescape

import pytest

from chalkwatt.boards.board import start
from chalkwatt.laws.quantities import look_up
from tests.boards.loaded import open_board
from tests.points import TOPICS
from tests.rendering.test_pencil import in_random_units

SPACE = re.compile(r"[\s\u2062\u2061]+")


def plain(mathml):
    """The letters of a line of MathML, without tags or space."""
    return SPACE.sub("", unescape(re.sub(r"<[^>]*>", "", mathml)))


def python_lines(answer):
    """Lines as the board sets them: what is solved on one line, each of several roots on its own."""
    working = answer.working
    lines = [plain(one.shown.mathml) for one in working.conversions]
    for step in working.steps:
        lines.append(plain(step.symbols.mathml))
        lines += [plain(one.shown.mathml) for one in step.conversions]
        numbers, results = plain(step.numbers.mathml), step.result.mathml.split("<mtext>or</mtext>")
        results = [plain(one) for one in results]
        if numbers.startswith(results[0].partition("=")[0] + "="):
            numbers, result = (one.partition("=")[2] for one in (numbers, results[0]))
            lines.append(result if numbers == result else numbers + "=" + result)
        else:
            lines += [numbers, *results]
    return lines


def browser_lines(page):
    found = page.evaluate(
        """() => [...document.querySelectorAll('.cw-working .cw-eq')].map((one) => one.textContent)"""
    )
    return [SPACE.sub("", one).removeprefix("=").removeprefix("or") for one in found]


def one_way(answer):
    """Whether every step has one formula and one value: of several a board shows all, Python the best."""
    return all(len(step.forms) <= 1 or step.by != "formula" for step in answer.plan.steps) and all(
        len(one.values) == 1 or not one.numbers.text.startswith(look_up(one.find).symbol + " = ")
        for one in answer.working.steps
    )


@pytest.mark.sweep(1 / 4)
@pytest.mark.parametrize("system", ["example", "metric", "us", "mixed"])
@pytest.mark.parametrize("name", sorted(TOPICS))
def test_the_board_writes_the_lines_of_the_working(page, name, system):
    topic, chance = TOPICS[name], random.Random(f"{name} {system}")  # noqa: S311  no secret
    told = dict(topic.example)
    if system != "example":
        read = topic.read(told)
        told = {one: in_random_units(one, si, system, chance) for one, si in read.items()}
    first = start(topic, wanted=topic.wanted, **told)
    answer = first.answer()
    if not one_way(answer):
        pytest.skip("a step of several formulas")
    open_board(page, first.program)
    assert browser_lines(page) == python_lines(answer)


def test_lines_follow_when_a_row_is_shown_in_another_unit(page):
    topic = TOPICS["load"]
    first = start(topic, wanted="range", **topic.example)
    open_board(page, first.program)
    before = browser_lines(page)
    labels = [one[0] for one in first.program["quantities"]["speed"]["units"]]
    page.evaluate(
        "(unit) => { board.state.choose('speed', unit); board.want(); }", labels.index("mph")
    )
    after = browser_lines(page)
    assert after != before
    assert after[0] == "v=62.1371mph=27.7778m/s"
