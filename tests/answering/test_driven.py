"""For which drive an answer holds: said the same way in every place, and never what was not so."""

import itertools

import pytest

from chalkwatt import Claim, Sheet, compare, load, pack
from chalkwatt.answering.driven import how_driven, model_of
from chalkwatt.cards.bars_card import bars_card
from chalkwatt.cards.card import equation_card
from chalkwatt.cards.claim_cards import claim_card, losses_card, sway_card
from chalkwatt.cards.figure_card import curve_card
from chalkwatt.pages.sheet_page import sheet_parts
from chalkwatt.scripts.script import script
from tests.browsing import ROOT

DEMO = Sheet.read(ROOT / "assets" / "quillwort.toml")
CLAUSE = "at a steady 90 km/h on a level road, without wind or heater"
TEMPLATE = (ROOT / "kit" / "chalkwatt" / "episodes" / "episode.script.md").read_text(
    encoding="utf-8"
)

GRADES = {
    None: "on a level road",
    0.0: "on a level road",
    0.02: "up a grade of 2 %",
    "-0.5 %": "down a grade of 0.5 %",
}
WINDS = {
    None: None,
    "0 km/h": None,
    "25 km/h": "against a head wind of 25 km/h",
    "-10 mph": "with a tail wind of 10 mph",
}
LOADS = {"300 W": None, "0 W": None, "2.5 kW": "with 2.5 kW for all that does not drive"}


@pytest.mark.parametrize("wanted", ["range", "consumption", "battery_power", "driving_time"])
@pytest.mark.parametrize(("grade", "wind", "extra"), list(itertools.product(GRADES, WINDS, LOADS)))
def test_the_clause_says_what_was_given_and_else_what_was_taken_for_granted(
    wanted, grade, wind, extra
):
    known = {**load.example, "speed": "90 km/h", "auxiliary_power": extra}
    if wanted in {"consumption", "battery_power"}:
        known.pop("usable_energy")
    known |= {} if grade is None else {"grade": grade}
    known |= {} if wind is None else {"headwind": wind}
    answer = load.find(wanted, **known)
    said = how_driven(answer)
    assert said.startswith(f" at a steady 90 km/h {GRADES[grade]}")
    without = [
        word for word, given in (("wind", WINDS[wind]), ("heater", LOADS[extra])) if not given
    ]
    assert (f"without {' or '.join(without)}" in said) == bool(without)
    for one, word in ((WINDS[wind], "without wind"), (LOADS[extra], "heater")):
        if one:
            assert one in said
            assert word not in said
    model = model_of(answer)
    assert ("level" in model) == (GRADES[grade] == "on a level road")
    assert ("windless" in model) == (WINDS[wind] is None)
    assert ("battery" in model) == (wanted in {"range", "driving_time"})


def test_what_is_asked_for_is_not_said_to_be_given():
    known = {**load.example, "range": "300 km"}
    for wanted, missing in (
        ("speed", "at a steady"),
        ("headwind", "wind"),
        ("auxiliary_power", "heater"),
    ):
        given = {name: value for name, value in known.items() if name != wanted}
        assert missing not in how_driven(load.find(wanted, **given))
    given = {name: value for name, value in known.items() if name != "grade"} | {"range": "200 km"}
    assert "level" not in how_driven(load.find("grade", **given))


def test_what_has_nothing_to_do_with_the_road_says_nothing():
    for one in (pack.find("pack_energy", **{k: v for k, v in pack.example.items() if k != "pack_energy"}),
                load.find("drag_area", drag_coefficient=0.2, frontal_area=2.0)):  # fmt: skip
        assert how_driven(one) == ""
        assert model_of(one) == ""


def test_a_stated_consumption_holds_for_a_drive_that_nobody_named():
    sheet = Sheet.parse(
        '[vehicle]\nname = "x"\n[values.consumption]\nvalue = "15 kWh/100 km"\norigin = "quoted"\n'
        '[values.usable_energy]\nvalue = "60 kWh"\norigin = "quoted"\n'
    )
    verdict = sheet.judge(Claim("range", "390 km", speed="120 km/h"))
    assert "by the stated consumption (at whatever speed" in verdict.sentence
    assert "steady" not in verdict.sentence


def test_it_is_said_in_every_place():
    claim = Claim("range", "490 km", speed="90 km/h", said_by="a mug")
    verdict = DEMO.judge(claim)
    far, used = (DEMO.find(name, speed="90 km/h") for name in ("range", "consumption"))
    places = {
        "verdict": verdict.sentence,
        "board": verdict.board().html,
        "script": script(TEMPLATE, DEMO).text,
        "claim card": claim_card(verdict, kind="svg").alt,
        "sway card": sway_card(verdict, kind="svg").alt,
        "losses card": losses_card(used, kind="svg").alt,
        "equation card": equation_card(far, kind="svg").alt,
        "bars card": bars_card({"Quillwort": far}, kind="svg").alt,
        "page": "".join(getattr(one, "html", "") for one in sheet_parts(DEMO)),
        "comparison": repr(compare(DEMO, speed="90 km/h")),
    }
    for place, text in places.items():
        assert CLAUSE in text.replace("\u00a0", " ").replace("\u202f", " "), place
    curve = curve_card(far, against="speed", kind="svg").alt
    assert "at a steady speed on a level road, without wind or heater" in curve
    assert "90 km/h on" not in curve
    # Beside every word of chance stands its number, and what is taken as exact.
    assert f"{100 * verdict.chance:.0f} cases out of 100" in verdict.sentence
    assert (
        "the model (steady, level, windless, with a fresh and warm battery) is exact"
        in verdict.sentence
    )


def test_a_figure_of_the_board_says_it_too():
    html = DEMO.judge(DEMO.claims[1]).board().html
    assert html.count("Reckoned for a drive at a steady 80 km/h on a level road") >= 3
