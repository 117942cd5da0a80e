"""Comparisons: no number without its unit and its origin."""

import re

import pytest

from chalkwatt import compare
from chalkwatt.errors import ChalkwattError, NameUnknownError, UnitError
from chalkwatt.sheets import ORIGINS, Sheet
from tests.browsing import ROOT

DEMO = Sheet.read(ROOT / "assets" / "quillwort.toml")
OTHER = Sheet.parse(DEMO.text.replace('"Quillwort"', '"Meadowsweet"')).revised("mass", "820 kg")
BARE = Sheet.parse('[vehicle]\nname = "Bare"\n[values.mass]\nvalue = 900\norigin = "quoted"\n')
MADE = compare(DEMO, OTHER, BARE, speed="90 km/h")


def test_stated_values_keep_their_origin_and_others_are_derived():
    assert [one.origin for one in MADE.cells["mass"]] == ["measured", "measured", "quoted"]
    assert [one.origin for one in MADE.cells["range"]] == ["derived", "derived", "unknown"]
    assert MADE.cells["range"][0].si == pytest.approx(DEMO.find("range", speed="90 km/h").si)
    assert MADE.cells["range"][2].why


def test_no_number_without_its_unit_nor_origin():
    for name, row in MADE.cells.items():
        for cell in row:
            assert cell.origin in {*ORIGINS, "derived", "unknown"}
            if cell.si is not None:
                assert re.search(r"\d.*[A-Za-z²%]", cell.text), (name, cell.text)
    assert MADE.table.count("<td") == MADE.table.count("<small> ") - MADE.table.count("<small> inv")
    assert MADE.table.count("<td") == 3 * len(MADE.quantities)


def test_the_figure_has_a_row_for_each():
    svg = MADE.figure
    assert svg.count("Quillwort</text>") == len(MADE.quantities)
    assert svg.count("unknown</text>") == sum(
        cell.si is None for row in MADE.cells.values() for cell in row
    )
    assert "speed 90 km/h" in repr(MADE)


def test_what_cannot_be_compared():
    with pytest.raises(ChalkwattError, match="no sheet"):
        compare()
    with pytest.raises(NameUnknownError):
        compare(DEMO, quantities=("rage",))


def test_a_condition_that_cannot_be_is_no_row_of_unknowns():
    sheet = Sheet.read(ROOT / "assets" / "quillwort.toml")
    with pytest.raises(UnitError, match="km/h"):
        compare(sheet, speed="90 km")
    with pytest.raises(ChalkwattError, match="is no sheet"):
        compare(sheet, 3)
