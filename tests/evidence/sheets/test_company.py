"""Boards that start from one sheet, and keep in step."""

import pytest

from chalkwatt import load, pack, sun
from chalkwatt.evidence.sheets import Sheet
from tests.browsing import ROOT


@pytest.fixture
def sheet():
    return Sheet.read(ROOT / "assets" / "quillwort.toml")


def test_a_board_starts_with_stated_values_and_with_what_follows(sheet):
    values = sheet.values_for(load)
    assert values["mass"] == "690 kg"
    assert values["drag_coefficient"] == "0.19"
    assert values["usable_energy"] == pytest.approx(31.4 * 3.6e6 * 0.93)
    # The speed is that of the first claim; what says the same again is left out.
    assert values["speed"] == "90 km/h"
    assert "drag_area" not in values


@pytest.mark.parametrize("topic", [load, pack, sun], ids=lambda topic: topic.name)
def test_what_a_board_starts_with_determines_its_unknown(sheet, topic):
    values = sheet.values_for(topic)
    assert topic.find(topic.wanted, **values).si > 0


def test_a_board_gives_what_the_sheet_gives(sheet):
    made = load.board(sheet)
    assert made.answer.si == pytest.approx(sheet.find("range", speed="90 km/h").si)


def test_a_row_that_moves_on_one_board_moves_on_all(sheet):
    road, sunny = load.board(sheet), sun.board(sheet)
    before = sunny.equilibrium_speed
    road.mass = 900.0
    assert sunny.mass == 900.0
    assert sunny.equilibrium_speed < before
    sunny.mass = 500.0
    assert road.mass == 500.0


def test_what_one_board_solves_for_is_given_on_the_other(sheet):
    road, cells = load.board(sheet), pack.board(sheet, wanted="usable_energy")
    before = road.range
    cells.usable_fraction = 46.5
    assert cells.usable_energy == pytest.approx(31.4 * 0.465)
    assert road.usable_energy == pytest.approx(31.4 * 0.465)
    assert road.range == pytest.approx(before / 2)


def test_a_board_that_solves_for_a_row_keeps_it(sheet):
    first, second = load.board(sheet), load.board(sheet)
    second.wanted = "speed"
    solved = second.speed
    first.speed = 60.0
    # Its range follows the first board's, and so its speed is the first board's again.
    assert second.range == pytest.approx(first.range)
    assert second.speed != pytest.approx(solved)
    assert second.error == ""


def test_a_board_that_comes_later_takes_over_what_the_others_show(sheet):
    load.board(sheet).mass = 800.0
    road = load.board(sheet)
    road.mass = 810.0
    assert sun.board(sheet).mass == 810.0


def test_the_sheet_itself_does_not_change(sheet):
    load.board(sheet).mass = 900.0
    assert sheet.facts["mass"].si == 690


def test_boards_of_two_sheets_do_not_meet(sheet):
    other = Sheet.read(sheet.path)
    mine, theirs = load.board(sheet), load.board(other)
    mine.mass = 900.0
    assert theirs.mass == 690.0


@pytest.mark.parametrize("moved", [40, 17, 131.7, 90])
def test_boards_that_solve_for_each_others_rows_come_to_rest(sheet, moved):
    # Consumption has the same value at two speeds: a board that finds the other one must not
    # answer with it, nor with another last digit, and so on without end.
    unknowns = ("range", "speed", "consumption", "battery_power", "mass", "drag_coefficient")
    boards = {one: load.board(sheet, wanted=one) for one in unknowns}
    boards["consumption"].speed = moved
    for wanted, board in boards.items():
        assert board.error == "", wanted
        if wanted != "speed":
            assert board.speed == moved, wanted
    expected = sheet.find("range", speed=f"{moved} km/h").to("km")
    assert boards["range"].range == pytest.approx(expected)
