"""Which limit binds: said beside the result, anew whenever it changes, and the same as in Python."""

import pytest

from chalkwatt import charge
from chalkwatt.boards.board import start
from tests.boards.loaded import open_board, row

pytestmark = pytest.mark.browser


def typed(page, words, number):
    field = row(page, words).locator(".cw-number")
    field.fill(number)
    field.press("Enter")
    page.wait_for_timeout(60)
    return page.locator(".cw-result").inner_text()


def test_the_binding_limit_is_said(page):
    first = start(charge)
    open_board(page, first.program)
    assert "The cell power limit binds." in page.locator(".cw-result").inner_text()
    said = typed(page, "maximum station power", "50")
    assert "The station power limit binds: maximum station power." in said
    typed(page, "maximum station power", "100")
    said = typed(page, "maximum station current", "100")
    assert "station power limit binds: charging voltage times maximum station current." in said


def test_the_words_are_those_of_python(page):
    first = start(charge)
    open_board(page, first.program)
    made = page.evaluate("() => board.state.solver.binding(board.state.wanted, board.state.best)")
    assert any(made in note for note in first.answer().notes)


def test_a_plan_without_limits_says_nothing(page):
    from chalkwatt import load

    open_board(page, start(load).program)
    assert "binds" not in page.locator(".cw-result").inner_text()


def test_which_current_is_assumed_stands_below_the_working(page):
    open_board(page, start(charge).program)
    assert charge.ways.every[0].words in page.locator(".cw-working").inner_text()
