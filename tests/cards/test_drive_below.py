"""What bars, spreads and swings hold for stands in the picture, and not only in its words."""

import pytest

import chalkwatt as cw
from chalkwatt.cards.claim_cards import claim_card, losses_card, sway_card
from chalkwatt.cards.figure_style import Sheet
from tests.browsing import ROOT

DEMO = cw.Sheet.read(ROOT / "assets" / "quillwort.toml")
CLAIM = cw.Claim("range", "480 km", speed="90 km/h")
EXAMPLE = dict(cw.load.example)


def bars(wanted, *speeds, **look):
    made = {one: cw.load.find(wanted, **EXAMPLE | {"speed": one}) for one in speeds}
    return cw.bars_card(made, title="Bars", **look)


@pytest.fixture
def written(monkeypatch):
    """All that is written on a card, with where it stands."""
    told = []
    write = Sheet.write

    def note(sheet, x, y, text, **style):
        told.append((x, y, text))
        return write(sheet, x, y, text, **style)

    monkeypatch.setattr(Sheet, "write", note)
    return told


@pytest.mark.parametrize("size", ["landscape", "square", "portrait"])
@pytest.mark.parametrize(
    ("draw", "told"),
    [
        (lambda **k: bars("range", "100 km/h", **k), "At a steady 100 km/h on a level road"),
        (
            lambda **k: losses_card(DEMO.find("consumption", speed="90 km/h"), **k),
            "On a level road",
        ),
        (lambda **k: sway_card(DEMO.judge(CLAIM), **k), "At a steady 90 km/h on a level road"),
        (lambda **k: claim_card(DEMO.judge(CLAIM), **k), "At a steady 90 km/h on a level road"),
    ],
    ids=["bars", "losses", "sway", "claim"],
)
def test_the_drive_stands_at_the_foot(draw, told, size, written):
    draw(kind="svg", size=size)
    assert told in " ".join(text for _, _, text in sorted(written, key=lambda one: one[1]))
    lowest = max(written, key=lambda one: one[1])[2]
    assert lowest.endswith("without wind or heater")


def test_bars_of_several_drives_name_none(written):
    bars("range", "60 km/h", "100 km/h", kind="svg")
    assert "level road" not in " ".join(text for _, _, text in written)


def test_a_card_without_room_says_it_in_its_words_only(written):
    weather = {
        "headwind": "20 km/h",
        "grade": "1 %",
        "altitude": "1500 m",
        "auxiliary_power": "2 kW",
    }
    found = cw.load.find("range", **EXAMPLE | weather)
    card = cw.bars_card({"windy": found}, kind="svg", size=(270, 270))
    assert "up a grade of 1 %" in card.alt
    assert not any("steady" in text for _, _, text in written)
