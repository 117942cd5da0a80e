"""Verdicts: the chance, what each input would have to be, the frontier, and sentences that stay honest."""

import re
from dataclasses import replace

import numpy as np
import pytest

from chalkwatt.errors import ChalkwattError, NameUnknownError, UnitError
from chalkwatt.evidence.claims.claims import Claim
from chalkwatt.evidence.claims.telling import cases
from chalkwatt.evidence.claims.verdicts import Need
from chalkwatt.evidence.sheets import Sheet
from chalkwatt.laws.quantities import glossary, look_up
from chalkwatt.wording import units
from tests.browsing import ROOT
from tests.evidence.spread import synthetic

DEMO = Sheet.read(ROOT / "assets" / "quillwort.toml")
VERDICTS = [DEMO.judge(one) for one in DEMO.claims]
WORDS = {
    "holds",
    "probably holds",
    "could go either way",
    "needs favourable values",
    "hardly within reach",
    "out of reach",
    "disputed",
}
PLAIN = '[vehicle]\nname = "x"\n'


def area(*more, low=0.18, high=0.22):
    """A drag area whose spread is easy to reckon."""
    return Sheet.parse(
        PLAIN + '[values.drag_coefficient]\nvalue = 0.2\norigin = "quoted"\n'
        f"range = [{low}, {high}]\n"
        '[values.frontal_area]\nvalue = "2 m^2"\norigin = "measured"\n' + "".join(more)
    )


def test_one_claim_holds_one_needs_luck_one_is_out_of_reach():
    assert [one.word for one in VERDICTS] == ["holds", "needs favourable values", "out of reach"]
    assert VERDICTS[0].chance > 0.95
    assert 0.02 < VERDICTS[1].chance < 0.3
    assert VERDICTS[2].chance == 0


@pytest.mark.parametrize(
    ("value", "chance"), [(0.36, 1.0), (0.4, 0.5), (0.43, 0.125 / 1), (0.44001, 0.0)]
)
def test_the_chance_by_hand(value, chance):
    """Drag area uniform from 0.36 to 0.44: the chance to have at least so much is a straight line."""
    verdict = area().judge(Claim("drag_area", value, sense="at least"))
    assert verdict.chance == pytest.approx(chance, abs=1e-3)
    assert area().judge(Claim("drag_area", value)).chance == pytest.approx(1 - chance, abs=1e-3)


def test_less_is_better_where_it_is():
    assert Claim("consumption", "9 kWh/100 km").sense == "at most"
    assert Claim("range", "400 km").sense == "at least"
    assert Claim("mass", "900 kg").met(899.0)
    assert not Claim("range", "400 km").met(399_000.0)


@pytest.mark.parametrize("verdict", VERDICTS, ids=lambda one: one.word)
def test_each_need_makes_the_claim_just_true(verdict):
    found = verdict.finding
    assert {one.name for one in verdict.needs} == set(found.facts)
    for need in verdict.needs:
        if need.value is None:
            continue
        values = {name: fact.si for name, fact in found.facts.items()} | {need.name: need.value}
        assert float(found.question(**values)) == pytest.approx(verdict.claim.si, rel=1e-9)
        low, high = need.fact.low, need.fact.high
        assert need.inside == (low <= need.value <= high)


def test_a_need_that_no_value_meets():
    needs = {one.name: one for one in VERDICTS[2].needs}
    # Even a perfect drive does not double the range.
    assert needs["drive_efficiency"].value is None
    assert needs["drive_efficiency"].text == "no drive efficiency alone would do"
    assert "at least" in needs["pack_energy"].text


def test_needs_say_how_far_things_may_go_when_the_claim_holds():
    needs = {one.name: one for one in VERDICTS[0].needs}
    assert "may rise to" in needs["drag_coefficient"].text
    assert "may fall to" in needs["pack_energy"].text


@pytest.mark.parametrize("verdict", VERDICTS[:2], ids=lambda one: one.word)
def test_the_frontier_is_where_the_claim_is_just_met(verdict):
    frontier = verdict.frontier
    values = {name: fact.si for name, fact in verdict.finding.facts.items()}
    values |= {frontier.across.name: frontier.x, frontier.upward.name: frontier.y}
    made = verdict.finding.question(**values)
    good = np.isfinite(frontier.y)
    assert good.any()
    np.testing.assert_allclose(made[good], verdict.claim.si, rtol=1e-9)
    above = verdict.finding.question(**values | {frontier.upward.name: frontier.y * 1.01})
    assert (verdict.claim.met(above[good]) == frontier.met_above).all()


def test_the_two_inputs_of_the_frontier_explain_most():
    ranked = VERDICTS[1].finding.indices.ranked()
    frontier = VERDICTS[1].frontier
    assert {frontier.across.name, frontier.upward.name} == {ranked[0][0], ranked[1][0]}
    assert area().judge(Claim("drag_area", 0.4)).frontier is None


def test_the_kindest_and_the_harshest_by_hand():
    verdict = VERDICTS[1]
    kind = {
        "drag_coefficient": 0.17,
        "frontal_area": 1.68,
        "mass": 670,
        "rolling_coefficient": 0.0068,
    }
    kind |= {"air_density": 1.16, "drive_efficiency": 0.91, "auxiliary_power": 150}
    force = (
        kind["air_density"] * kind["drag_coefficient"] * kind["frontal_area"] * (80 / 3.6) ** 2 / 2
    )
    force += kind["rolling_coefficient"] * kind["mass"] * 9.80665
    power = force * (80 / 3.6) / kind["drive_efficiency"] + kind["auxiliary_power"]
    # What the cells' resistance takes of their power, at its least: R I² of U I.
    volts, ohms = 32.2e3 / (18 * 4.85), 96 * 0.024 / 18
    power = volts * (volts - (volts**2 - 4 * ohms * power) ** 0.5) / (2 * ohms)
    energy = 32.2 * 3.6e6 * 0.96
    assert verdict.kindest == pytest.approx(energy * (80 / 3.6) / power)
    assert verdict.harshest < verdict.finding.spread.solved.min() < verdict.kindest


def test_the_chance_agrees_with_plain_draws():
    """Against a reckoning of its own, with Python's random numbers."""
    chance = synthetic.chances(8)
    truth, said = synthetic.vehicle(chance)
    sheet = Sheet.parse(synthetic.text(said, truth["cell_count"]))
    goal = float(sheet.find("range", speed=25.0).si) * 1.03
    met = 0
    for _ in range(20_000):
        drawn = {"cell_count": truth["cell_count"]}
        for name, (value, half, _, shape, _) in said.items():
            factor = synthetic.WHAT[name][1]
            drawn[name] = (value + half * synthetic.draw_error(chance, shape)) * factor
        met += synthetic.true_range(drawn, 25.0) >= goal
    assert sheet.judge(Claim("range", goal, speed=25.0)).chance == pytest.approx(
        met / 20_000, abs=0.015
    )


def test_what_is_said_of_a_need_is_rounded_to_the_side_that_meets_the_claim():
    for verdict in (*VERDICTS, DEMO.judge(Claim("pack_energy", "40 kWh"))):
        values = {name: fact.si for name, fact in verdict.finding.facts.items()}
        for need in verdict.needs:
            said = re.findall(
                r"(?:to|most|least|between|and) ([\d.]+(?:\s\d{3})*)(?!×)\b", need.alone
            )
            said = [re.sub(r"\s", "", one) for one in said]
            for number in map(float, said if need.value is not None else ()):
                si = number * (units.unit(need.fact.unit).factor if need.fact.unit else 1.0)
                made = verdict.finding.question(**values | {need.name: si})
                assert verdict.claim.met(made), need.text


def test_a_count_would_have_to_be_whole():
    needs = {one.name: one for one in DEMO.judge(Claim("pack_energy", "40 kWh")).needs}
    assert needs["cell_count"].text == "cell count would have to be at least 2204"


def test_both_bounds_are_said_where_range_rises_and_falls_with_speed():
    far = {one.name: one for one in DEMO.judge(Claim("range", "900 km", speed="90 km/h")).needs}
    assert far["speed"].text == "speed would have to be between 14.3 km/h and 50 km/h"
    near = {one.name: one for one in DEMO.judge(Claim("range", "500 km", speed="90 km/h")).needs}
    assert near["speed"].text == "speed may fall to 5.21 km/h or rise to 91 km/h"
    short = Claim("range", "800 km", speed="30 km/h", sense="at most")
    hump = {one.name: one for one in DEMO.judge(short).needs}
    assert re.search(r"at most [\d.]+ km/h or at least [\d.]+ km/h", hump["speed"].text)


# --- Sentences ------------------------------------------------------------------------------------


@pytest.mark.parametrize("verdict", VERDICTS, ids=lambda one: one.word)
def test_a_sentence_claims_no_more_than_the_sheet_allows(verdict):
    said = verdict.sentence
    assert "if the stated ranges are right" in said
    assert verdict.claim.said_by in said
    assert f"{verdict.claim.sense} {verdict.claim.text}" in said
    assert "of the Quillwort" in said
    assert not re.search(r"\b(proves?|certain|surely|definitely|impossible|always|never)\b", said)
    # No number with more digits than the interval deserves.
    interval = verdict.interval.text_in("km")
    assert interval in said
    assert verdict.word in WORDS


def test_a_sentence_says_how_much_is_assumed():
    facts = VERDICTS[0].finding.facts.values()
    soft = sum(one.origin in {"assumed", "estimated"} for one in facts)
    behind = sum(one.origin != "asked" for one in facts)
    assert (
        f"Of the {behind} values behind this, {soft} are estimated or assumed."
        in VERDICTS[0].sentence
    )


@pytest.mark.parametrize(
    ("chance", "said"),
    [
        (0.0, "none of the 8192 cases tried"),
        (1.0, "all of the 8192 cases tried"),
        (1 / 8192, "fewer than 1 case out of 100"),
        (8191 / 8192, "more than 99 cases out of 100"),
        (0.012, "about 1 case out of 100"),
        (0.5, "about 50 cases out of 100"),
    ],
)
def test_a_chance_is_said_no_more_exactly_than_draws_can_tell(chance, said):
    assert cases(chance, 8192) == said


def test_a_condition_that_plays_no_part_is_said_to_play_none():
    """And none other: where it says so, any other value of the condition gives the same verdict."""
    fuelled = Sheet.parse(
        PLAIN + '[values.consumption]\nvalue = "15 kWh/100 km"\norigin = "measured"\n'
        '[values.usable_energy]\nvalue = "60 kWh"\norigin = "measured"\nplus_minus = "2 kWh"\n'
    )
    for sheet in (fuelled, DEMO):
        for name, values in {
            "air_temperature": ("-25 degC", "35 degC"),
            "altitude": ("-300 m", "4000 m"),
            "speed": ("30 km/h", "130 km/h"),
            "headwind": ("-40 km/h", "40 km/h"),
        }.items():
            asked = {"speed": "90 km/h"}
            low, high = (
                sheet.judge(Claim("range", "400 km", **asked | {name: value})) for value in values
            )
            told = re.search(r"The [^.]*plays? no part", low.sentence)
            idle = told is not None and look_up(name).words in told[0]
            assert idle == (low.finding.si == high.finding.si), (sheet.name, name)


def test_every_word_comes_where_its_table_says():
    for value, word in [
        (0.441, "holds"),
        (0.42, "probably holds"),
        (0.4, "could go either way"),
        (0.38, "needs favourable values"),
        (0.3605, "hardly within reach"),
        (0.359, "out of reach"),
    ]:
        assert area().judge(Claim("drag_area", value)).word == word


def test_a_sheet_without_ranges_gives_a_plain_answer():
    sheet = Sheet.parse(
        PLAIN + '[values.drag_coefficient]\nvalue = 0.2\norigin = "quoted"\n'
        '[values.frontal_area]\nvalue = "2 m^2"\norigin = "measured"\n'
    )
    verdict = sheet.judge(Claim("drag_area", "0.39 m^2", said_by="the maker"))
    assert (verdict.chance, verdict.interval, verdict.word) == (0.0, None, "out of reach")
    assert "none of the values behind it has a stated range" in verdict.sentence
    assert verdict.board().html


def test_a_condition_may_be_a_range():
    wide = DEMO.judge(Claim("range", "450 km", speed=("80 km/h", "110 km/h")))
    assert wide.finding.facts["speed"].low == pytest.approx(80 / 3.6)
    assert 0.3 < wide.chance < 0.8
    assert wide.finding.tornado[0].name == "speed"


@pytest.mark.parametrize(
    ("arguments", "conditions", "error", "words"),
    [
        (("rang", "480 km"), {}, NameUnknownError, "range"),
        (("range", "480 kg"), {}, UnitError, "kg"),
        (("range", "480 km"), {"sped": "9 km/h"}, NameUnknownError, "speed"),
        (("range", "480 km"), {"range": "9 km"}, ChalkwattError, "both"),
        (("range", "480 km"), {"sense": "about"}, ChalkwattError, "at least"),
        (("range", [1.0, 2.0]), {}, ChalkwattError, "one value"),
    ],
)
def test_a_claim_that_cannot_be(arguments, conditions, error, words):
    with pytest.raises(error, match=words):
        Claim(*arguments, **conditions)


def test_the_board_shows_word_sentence_and_figures(tmp_path):
    for verdict in VERDICTS:
        html = verdict.board().html
        assert verdict.word in html
        assert html.count("<svg") == 3 + len(verdict.needs)
        assert "This vehicle is invented." in html
        for name in verdict.finding.facts:
            assert look_up(name).words in html
        page = verdict.board().write(tmp_path / "verdict.html").read_text(encoding="utf-8")
        assert "http" not in page.replace("http://www.w3.org", "")
        assert "<script" not in page


def test_what_a_sheet_says_is_text_on_the_board():
    sheet = area(
        '[[claims]]\nquantity = "drag_area"\nvalue = "0.4 m^2"\nsaid_by = "<b onload=x>"\n'
    )
    html = sheet.judge(sheet.claims[0]).board().html
    assert "<b onload" not in html
    assert "&lt;b onload" in html


def test_a_verdict_of_a_saved_notebook_is_its_sentence():
    assert repr(VERDICTS[1].board()) == repr(VERDICTS[1])
    assert VERDICTS[1].sentence in repr(VERDICTS[1])


# --- Nobody is told of what nobody would think of ------------------------------------------------------

OFTEN = [
    ("range", "480 km", {"speed": "90 km/h"}),
    ("range", "60 km", {"speed": "90 km/h"}),
    ("range", "2000 km", {"speed": "90 km/h"}),
    ("range", "100 km", {"speed": "50 km/h"}),
    ("pack_energy", "400 kWh", {}),
    ("pack_energy", "2 kWh", {}),
    ("cell_count", "27793", {}),
    ("consumption", "2 kWh/100 km", {"speed": "90 km/h"}),
    ("consumption", "200 kWh/100 km", {"speed": "90 km/h"}),
]


@pytest.mark.parametrize(("name", "value", "conditions"), OFTEN)
def test_a_need_is_never_far_from_what_is_usual(name, value, conditions):
    verdict = DEMO.judge(Claim(name, value, **conditions))
    html = verdict.board().html
    for need in verdict.needs:
        if "no usual" in need.text:
            continue
        entry, fact = look_up(need.name), need.fact
        low, high = min(entry.usual[0], fact.low), max(entry.usual[1], fact.high)
        for number in re.findall(r"[\d.]+(?:\u202f\d{3})*(?:×10[⁻⁰¹²³⁴⁵⁶⁷⁸⁹]+)?", need.alone):
            plain, _, power = number.replace("\u202f", "").partition("×10")
            power = int(power.translate(str.maketrans("⁰¹²³⁴⁵⁶⁷⁸⁹⁻", "0123456789-")) or 0)
            known = units.unit(fact.unit)
            si = float(plain) * 10.0**power * known.factor + known.offset
            # The promise in plain words: at most twice the greatest, and half again of a span.
            assert si <= max(2 * high, high + 0.51 * (high - low)) * 1.01, need.text
            assert si >= min(low / 4, low - 0.51 * (high - low)) * 0.99, need.text
        assert need.alone in html


def test_a_need_far_from_what_is_usual_says_that_no_usual_value_does():
    small = {one.name: one for one in DEMO.judge(Claim("pack_energy", "2 kWh")).needs}
    assert small["cell_count"].value < 500  # as near to nothing as the claim
    huge = {one.name: one for one in DEMO.judge(Claim("pack_energy", "1 MWh")).needs}
    assert huge["cell_count"].value > 2 * look_up("cell_count").usual[1]
    least = next(
        count
        for count in range(int(huge["cell_count"].value) - 2, 10**9)
        if DEMO.find("pack_energy", cell_count=count).si >= 3.6e9
    )
    assert huge["cell_count"].text.replace("\u202f", "") == (
        f"no usual cell count alone would do: it would have to be at least {least}"
    )
    loose = {
        one.name: one for one in DEMO.judge(Claim("pack_energy", "1 MWh", sense="at most")).needs
    }
    assert loose["cell_count"].text == "no usual cell count alone would undo it"
    board = DEMO.judge(Claim("pack_energy", "1 MWh")).board().html
    assert "no usual value alone would do" in board
    assert "beyond its range" not in board.split("cell count")[1].split("</tr>")[0]


def test_of_two_bounds_the_one_that_nobody_would_think_of_is_left_out():
    need = next(
        one
        for one in DEMO.judge(Claim("range", "500 km", speed="90 km/h")).needs
        if one.name == "speed"
    )
    assert need.alone == "may fall to 5.21 km/h or rise to 91 km/h"
    fact = need.fact
    fast, slow = 200.0, 0.1  # m/s
    assert replace(need, other=fast).alone.startswith("may ")
    for value, other, met, words in (
        (20.0, fast, True, "may fall to 72 km/h"),
        (30.0, slow, True, "may rise to 108 km/h"),
        (20.0, fast, False, "would have to be at most 72 km/h"),
        (30.0, slow, False, "would have to be at least 108 km/h"),
        (30.0, fast, False, "would have to be at least 108 km/h"),
        (20.0, slow, False, "would have to be at most 72 km/h"),
        (fast, slow, False, "would do: it would have to be at most 0.36 km/h"),
    ):
        assert Need(fact, value, inside=False, met=met, other=other).alone == words


@pytest.mark.parametrize("name", sorted(glossary()))
def test_what_is_usual_is_not_far_from_usual(name):
    entry = look_up(name)
    for end in entry.usual:
        assert not entry.far_from_usual(end)
    low, high = entry.usual
    span = high - low
    if entry.constant is None:
        assert entry.far_from_usual(high + 20 * max(span, abs(high)))
        if not entry.positive:
            assert entry.far_from_usual(low - 20 * max(span, abs(low)))
    assert not entry.far_from_usual(high + 100 * span, high=high + 100 * span)
