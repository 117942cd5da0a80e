"""Figures of a sheet opened and measured: the safe area, the alpha, and parts that add up."""

import pytest

import chalkwatt as cw
from chalkwatt.cards.claim_cards import (
    claim_card,
    losses_card,
    parts_of_consumption,
    sway_card,
)
from chalkwatt.errors import ChalkwattError
from chalkwatt.look.themes import frame
from tests.browsing import ROOT
from tests.cards.measuring import ink_box, pixels

SHEET = cw.Sheet.read(ROOT / "assets" / "quillwort.toml")


def cards(**look):
    yield losses_card(SHEET.find("consumption", speed="90 km/h"), **look)
    for claim in SHEET.claims:
        verdict = SHEET.judge(claim)
        yield claim_card(verdict, **look)
        yield sway_card(verdict, **look)


@pytest.mark.parametrize("size", ["landscape", "portrait", "square"])
def test_all_ink_keeps_to_the_safe_area(size):
    left, top, right, bottom = frame(size).safe
    for card in cards(size=size):
        picture = pixels(card)
        assert picture.shape[:2] == card.size[::-1]
        assert picture[0, 0, 3] == 0
        box = ink_box(picture)
        # Half a line's width: axes are drawn on the edge.
        assert box[0] >= left - 4, card.alt
        assert box[1] >= top - 4, card.alt
        assert box[2] <= right + 4, card.alt
        assert box[3] <= bottom + 4, card.alt


def test_the_parts_add_up_to_the_consumption():
    finding = SHEET.find("consumption", speed="90 km/h")
    assert sum(parts_of_consumption(finding).values()) == pytest.approx(finding.si, rel=1e-12)


def test_the_claim_card_says_the_chance_and_the_claim():
    verdict = SHEET.judge(SHEET.claims[1])
    card = claim_card(verdict, kind="svg")
    assert "620 km" in card.alt
    assert f"about {100 * verdict.chance:.0f} cases out of 100" in card.alt
    assert card.carries["chance"] == verdict.chance


def test_what_has_no_range_does_not_spread():
    sure = cw.Sheet.parse(
        '[vehicle]\nname = "Wren"\n[values.cell_count]\nvalue = 96\norigin = "counted"\n'
        '[values.cell_energy]\nvalue = "18 Wh"\norigin = "quoted"\n'
    )
    verdict = sure.judge(cw.Claim("pack_energy", "2 kWh"))
    for draw in (claim_card, sway_card):
        with pytest.raises(ChalkwattError, match="nothing spreads"):
            draw(verdict)


def test_a_range_that_moves_nothing_is_drawn_all_the_same():
    """Where the motor's turns bind the top speed, the range of the drag area changes none of it."""
    sheet = cw.Sheet.parse("""
[vehicle]
name = "Dunlin"
invented = true
[values]
drag_area = { value = "0.64 m^2", origin = "assumed", range = ["0.6 m^2", "0.7 m^2"] }
mass = { value = "1500 kg", origin = "quoted" }
rolling_coefficient = { value = 0.009, origin = "assumed" }
drive_efficiency = { value = 0.9, origin = "assumed" }
motor_power = { value = "150 kW", origin = "quoted", plus_minus = "5 kW" }
motor_speed_max = { value = "12000 rpm", origin = "quoted" }
gear_ratio = { value = 9.1, origin = "quoted" }
wheel_radius = { value = "0.32 m", origin = "quoted" }
""")
    verdict = sheet.judge(cw.Claim("top_speed", "150 km/h"))
    assert verdict.finding.si == pytest.approx(12000 / 60 * 2 * 3.141592653589793 / 9.1 * 0.32)
    for draw in (claim_card, sway_card):
        assert "159" in draw(verdict).alt
    assert verdict.board().page
