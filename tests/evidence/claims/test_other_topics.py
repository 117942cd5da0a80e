"""Claims that pack and road cannot test: taken to the topic that owns them, or refused with what it takes."""

import re

import numpy as np
import pytest

from chalkwatt import Sheet, ageing, charge, economy, launch
from chalkwatt.episodes.questions import Questions
from chalkwatt.errors import ChalkwattError, NameUnknownError, TooLittleKnownError
from chalkwatt.evidence.claims.claims import Claim
from chalkwatt.evidence.claims.telling import unjudged
from chalkwatt.laws.quantities import glossary, look_up
from chalkwatt.pages.sheet_page import sheet_parts
from chalkwatt.scripts.judged import judged
from chalkwatt.scripts.script import as_words, script
from chalkwatt.topics.registry import every_topic
from tests.browsing import ROOT

DEMO = Sheet.read(ROOT / "assets" / "quillwort.toml")
OWNED = {
    "time_to_speed": ("9 s", {"target_speed": "100 km/h"}, launch),
    "top_speed": ("150 km/h", {}, launch),
    "charging_time": (
        "30 min",
        {"state_of_charge_from": "20 %", "state_of_charge_to": "80 %"},
        charge,
    ),
    "lifetime_distance": ("400000 km", {"speed": "90 km/h"}, ageing),
    "label_range": ("400 km", {"combined_consumption": "7 kWh/100 km"}, economy),
}


@pytest.mark.parametrize("name", OWNED)
def test_a_claim_is_taken_to_the_topic_that_owns_its_quantity(name):
    value, conditions, topic = OWNED[name]
    verdict = DEMO.judge(Claim(name, value, **conditions))
    assert verdict.finding.topic is topic
    # The same by hand: the topic asked with every value that the verdict rests on.
    by_hand = topic.find(name, **{one: fact.si for one, fact in verdict.finding.facts.items()})
    assert verdict.finding.si == pytest.approx(by_hand.si, rel=1e-9)
    assert DEMO.find(name, **conditions).si == verdict.finding.si
    assert 0 <= verdict.chance <= 1
    assert verdict.harshest != verdict.kindest
    assert verdict.board().html
    assert verdict.word in repr(verdict)


def test_what_is_carried_over_is_drawn_with_the_rest_of_the_vehicle():
    """A lifetime's range is the range of the same draw, not one of its own."""
    life = DEMO.find("lifetime_distance", speed="90 km/h")
    far = DEMO.find("range", speed="90 km/h")
    np.testing.assert_allclose(life.fixed["range"], far.spread.values, rtol=1e-9)
    assert life.facts["range"].si == pytest.approx(far.si)
    assert (
        "at a steady 90 km/h"
        in DEMO.judge(Claim("lifetime_distance", "1 km", speed="90 km/h")).sentence
    )


def test_a_range_claim_without_a_drive_says_what_it_needs():
    for name, value in (
        ("range", "500 km"),
        ("consumption", "6 kWh/100 km"),
        ("driving_time", "5 h"),
    ):
        with pytest.raises(TooLittleKnownError, match="it needs a speed, or a schedule"):
            DEMO.judge(Claim(name, value))


@pytest.mark.parametrize("name", ["wheel_power", "air_force", "braking_energy"])
def test_no_schedule_gives_what_holds_for_one_speed(name):
    lines = ['[vehicle]\nname = "Dunlin"\ninvented = true']
    stated = {
        "mass": "1500 kg",
        "drag_area": "0.6 m^2",
        "rolling_coefficient": "0.01",
        "deceleration": "5 m/s^2",
        "effective_mass": "1500 kg",
        "road_force": "300 N",
    }
    kept = ("deceleration", "effective_mass", "road_force")
    for one, value in stated.items():
        if (one in kept) == (name == "braking_energy"):
            lines.append(f'[values.{one}]\nvalue = "{value}"\norigin = "estimated"')
    made, claim = (
        Sheet.parse("\n".join(lines)),
        Claim(name, "10 kW" if "power" in name else _some(name)),
    )
    with pytest.raises(
        TooLittleKnownError, match="holds for a speed, and this claim names none"
    ) as told:
        made.judge(claim)
    assert "schedule" not in str(told.value)
    assert "schedule" not in unjudged(made, claim, told.value)


def _some(name):
    entry = look_up(name)
    return f"100 {entry.display[0]}"


def test_what_speeds_up_is_at_no_steady_speed():
    lines = ['[vehicle]\nname = "Dunlin"\ninvented = true']
    stated = {
        "mass": "1500 kg",
        "drag_area": "0.6 m^2",
        "rolling_coefficient": "0.01",
        "drive_efficiency": "0.85",
        "motor_power": "100 kW",
        "friction": "0.8",
        "driven_weight_share": "0.6",
    }
    for one, value in stated.items():
        lines.append(f'[values.{one}]\nvalue = "{value}"\norigin = "estimated"')
    made = Sheet.parse("\n".join(lines))
    said = made.judge(Claim("acceleration", "1.5 m/s^2", speed="100 km/h")).sentence
    assert "its acceleration at 100 km/h on a level road" in said
    assert "steady" not in said
    assert (
        "at a steady 100 km/h"
        in made.judge(Claim("wheel_power", "30 kW", speed="100 km/h")).sentence
    )


def test_a_stated_value_can_be_claimed_although_nothing_else_tests_it():
    verdict = DEMO.judge(Claim("mass", "700 kg"))
    assert set(verdict.finding.facts) == {"mass"}
    # Normal about 690 kg with 10 kg: 84 of 100 lie below 700 kg.
    assert verdict.chance == pytest.approx(0.8413, abs=0.003)
    assert "its mass is 674 to 706 kg" in verdict.sentence
    assert verdict.board().html


def test_nothing_that_rests_on_a_stated_value_tests_it(some):
    for name in some([*DEMO.facts], 1 / 4):
        try:
            found = DEMO.find(name, speed="90 km/h")
        except ChalkwattError:
            continue
        behind = {
            other.name
            for fact in found.facts.values()
            for other in (fact, *getattr(fact, "behind", ()))
        }
        assert name not in behind


@pytest.mark.parametrize("topic", every_topic(), ids=lambda one: one.name)
def test_every_topic_is_asked(topic):
    """A sheet of which nothing matters, with the whole example of a topic as conditions."""
    sheet = Sheet.parse(
        '[vehicle]\nname = "x"\n[values.cycle_life]\nvalue = 900\norigin = "quoted"\n'
    )
    # The power of a panel is told by the sun as well, which is asked first.
    wanted = "rack_panel_temperature" if topic.name == "panel" else topic.wanted
    known = {name: value for name, value in topic.example.items() if name != wanted}
    known |= {"nominal_panel_temperature": "45 degC"} if topic.name == "panel" else {}
    assert sheet.find(wanted, **known).si == pytest.approx(topic.find(wanted, **known).si, rel=1e-9)


def test_a_stop_is_asked_of_the_topic_that_knows_of_braking():
    asked = {"speed": "100 km/h", "deceleration": "7 m/s^2", "reaction_time": "1.2 s"}
    v = 100 / 3.6
    assert DEMO.find("stopping_distance", **asked).si == pytest.approx(v * 1.2 + v**2 / 14)
    # With the mass of the sheet, draw by draw.
    kinetic = DEMO.find("kinetic_energy", speed="100 km/h", rotating_mass_factor=1)
    assert kinetic.si == pytest.approx(690 * v**2 / 2)
    assert kinetic.interval is not None


def test_conditions_say_which_topic_is_meant():
    """A consumption has several owners; who names a stop after every half a kilometre means stop and go."""
    asked = {
        "peak_speed": "50 km/h",
        "stop_spacing": "500 m",
        "acceleration": "1.2 m/s^2",
        "deceleration": "1.5 m/s^2",
    }
    assert DEMO.find("consumption", **asked).topic.name == "stops"
    assert DEMO.find("consumption", speed="50 km/h").topic.name == "vehicle"


def test_what_is_taken_for_granted_of_a_quantity_does_not_come_back_as_its_value():
    """Electronics as all of the auxiliary load, for no climate runs, say nothing of that climate."""
    with pytest.raises(TooLittleKnownError, match="climate_power"):
        DEMO.find("climate_power")


def test_what_only_a_run_gives_is_said_to():
    claim = Claim("trip_distance", "100 km")
    with pytest.raises(TooLittleKnownError, match="only a run over time does") as caught:
        DEMO.judge(claim)
    assert "it would take a run over time" in unjudged(DEMO, claim, caught.value)
    assert "two more" not in unjudged(DEMO, claim, caught.value)


def test_a_condition_that_is_of_no_topic_is_refused():
    with pytest.raises(NameUnknownError, match="irradiance"):
        DEMO.judge(Claim("time_to_speed", "9 s", target_speed="100 km/h", irradiance="900 W/m^2"))


EVERY = "".join(
    f"""
[[claims]]
quantity = "{one.name}"
value = "{one.in_unit(np.ceil(one.usual[1]) if one.whole else one.usual[1]):.6f} {one.display[0]}"
said_by = "a wall"
"""
    for one in glossary().values()
    if one.constant is None and not one.whole
)


def test_no_claim_vanishes_whatever_it_is_about():
    """One claim of every quantity: each is judged, or listed with the reason."""
    sheet = Sheet.parse(DEMO.text + EVERY.replace(" -", "-"))
    some = [*sheet.claims[:3], *sheet.claims[3::9]]
    assert all(claim.line > 0 for claim in sheet.claims)
    lines = sheet.text.splitlines()
    for claim in sheet.claims:
        assert lines[claim.line - 1] == "[[claims]]"
        assert lines[claim.line] == f'quantity = "{claim.quantity}"'

    class Some:
        """The sheet with some of its claims."""

        name, claims, judge = sheet.name, tuple(some), sheet.judge

    listed = judged(Some, as_words)
    assert [one.quantity for one in listed] == [look_up(claim.quantity).words for claim in some]
    for one in listed:
        assert str(getattr(one.sentence, "text", one.sentence))
        if one.word == "cannot be judged":
            assert re.search(r"would take|outside its physical bounds|fits", str(one.sentence)), one


def test_script_page_and_list_name_a_claim_that_cannot_be_judged():
    text = DEMO.text + '\n[[claims]]\nquantity = "range"\nvalue = "500 km"\nsaid_by = "a mug"\n'
    sheet = Sheet.parse(text)
    line = text[: text.index('said_by = "a mug"')].count("\n") - 2
    said = script(
        "{% for one in claims %}{{ one.said_by }}: {{ one.sentence }}\n{% endfor %}", sheet
    ).text
    assert (
        "a mug: What is known of the Quillwort does not decide this claim. A range holds for a drive"
        in said
    )
    page = "".join(getattr(one, "html", "") for one in sheet_parts(sheet))
    assert "a mug: range at least 500 km. What is known of the Quillwort does not decide" in page
    assert "Did you mean" not in page
    (note,) = [one for one in Questions.of(sheet).notes if "Claim 4" in one]
    assert f"(line {line} of the sheet)" in note
    assert "a speed, or a schedule" in note


@pytest.mark.parametrize("name", ["range", "driving_time"])
def test_what_a_maker_says_of_a_drive_is_no_consumption_of_a_label(name):
    """A range that is stated is tested, or on a label, already: seven tenths of it are nothing."""
    lines = '[vehicle]\nname = "Dunlin"\ninvented = true\n'
    stated = {"usable_energy": "60 kWh", "speed": "90 km/h"}
    for one, value in (stated | {name: {"range": "420 km", "driving_time": "4 h"}[name]}).items():
        lines += f'[values.{one}]\nvalue = "{value}"\norigin = "quoted"\n'
    with pytest.raises(TooLittleKnownError, match="state it as tested_range or label_range"):
        Sheet.parse(lines).find("label_range")
