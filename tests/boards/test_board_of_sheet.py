"""Boards that start from the demo sheet: every topic, and the unknowns that people turn to."""

import math

import pytest

import chalkwatt as cw
from chalkwatt.errors import TooLittleKnownError
from tests.browsing import ROOT

SHEET = cw.Sheet.read(ROOT / "assets" / "quillwort.toml")


@pytest.mark.parametrize(
    "name", ["load", "pack", "sun", "charge", "launch", "ageing", "drive", "vehicle"]
)
def test_every_topic_opens_on_the_sheet(name):
    topic = getattr(cw, name)
    board = topic.board(SHEET)
    assert board.error == ""
    assert board.wanted == topic.wanted
    # what is worth more trust than anything that could be worked out instead
    for one in ("mass", "drag_coefficient", "drive_efficiency", "cell_capacity", "cells_in_series"):
        if one in board.program["cast"]:
            fact = SHEET.facts[one]
            assert math.isclose(board.answer.known[one], fact.si, rel_tol=1e-12), one


@pytest.mark.parametrize(
    ("name", "wanted"),
    [("load", "speed"), ("load", "consumption"), ("load", "battery_power"), ("load", "mass"),
     ("load", "drag_coefficient"), ("pack", "pack_voltage"), ("pack", "cell_count"),
     ("launch", "motor_power"), ("launch", "mass"), ("sun", "panel_area")],
)  # fmt: skip
def test_another_unknown(name, wanted):
    board = getattr(cw, name).board(SHEET, wanted=wanted)
    assert board.wanted == wanted
    assert board.error == ""
    assert math.isfinite(board.answer.si)
    # turned round, it gives back what it was found from
    other = next(
        one for one in board.program["cast"] if one != wanted and one in board.program["plans"]
    )
    before = getattr(board, other)
    board.wanted = other
    assert math.isclose(getattr(board, other), before, rel_tol=1e-9) or any(
        math.isclose(one.magnitude, board.answer.to(one.units), rel_tol=1e-9)
        for one in board.answer.solutions
    )


def test_what_a_sheet_cannot_say_is_named():
    with pytest.raises(TooLittleKnownError, match="charging_speed"):
        cw.charge.board(SHEET, wanted="charging_speed")


@pytest.mark.parametrize("speed", [40, 90, 130, 180])
def test_a_row_that_is_moved_gives_what_the_sheet_gives(speed):
    # The loss in the pack grows with the square of the current: held as a number, it would lag behind.
    sheet = cw.Sheet.read(SHEET.path)  # whose boards no other test has moved
    for one in ("range", "consumption", "battery_power"):
        board = cw.load.board(sheet, wanted=one)
        board.speed = speed  # in the unit of the row
        assert math.isclose(board.answer.si, sheet.find(one, speed=f"{speed} km/h").si), one
