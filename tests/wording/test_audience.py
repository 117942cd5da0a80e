"""An audience reads its own units everywhere, and the numbers are the same."""

import re

import pytest

import chalkwatt as cw
from chalkwatt.errors import NameUnknownError
from chalkwatt.laws.quantities import glossary, look_up
from chalkwatt.topics.registry import every_topic
from chalkwatt.wording.audience import SYSTEMS, Audience, current

TOPICS = {topic.name: topic for topic in every_topic()}
METRIC_WAYS = re.compile(r"(?<![A-Za-z])(?:km|km/h)(?![A-Za-z])")
IN_NUMBERS = re.compile(
    r"[0-9][ \u202f](?:[A-Za-z]+[·/])?(?:mi|mph|ft²?|in|lb|lbf|gal)(?![A-Za-z])|°F"
)
CUSTOMARY = re.compile(r"(?<![A-Za-z])(?:mi|mph|ft²?|in|lb|lbf|gal)(?![A-Za-z])|°F")


@pytest.mark.parametrize("system", ["", *SYSTEMS])
@pytest.mark.parametrize("name", sorted(TOPICS))
def test_an_answer_is_the_same_in_every_system_and_is_printed_in_the_audiences(name, system):
    topic = TOPICS[name]
    plain = topic.find(topic.wanted, **topic.example)
    with cw.audience(units=system):
        told = topic.find(topic.wanted, **topic.example)
    # Printed when nobody is listening any more.
    assert told.si == pytest.approx(plain.si, rel=1e-12)
    number, label = float(told.value.magnitude), told.unit
    back = number if not label else told.quantity.read(f"{number!r} {label}")
    assert back == pytest.approx(plain.si, rel=1e-9)
    text = told.working.text
    if system == "us":
        assert not METRIC_WAYS.search(text), text
        assert not METRIC_WAYS.search(str(told))
    if system == "metric":
        assert not IN_NUMBERS.search(text), text
    if not system:
        assert text == plain.working.text


def test_every_quantity_that_has_a_unit_of_the_system_shows_it_first():
    for entry in glossary().values():
        for system in SYSTEMS:
            with cw.audience(units=system):
                assert sorted(entry.display) == sorted(entry.offered)
                customary = bool(CUSTOMARY.search(entry.display[0]))
            if system == "metric":
                assert not customary, entry.name
            if system == "us":
                assert customary or not any(CUSTOMARY.search(one) for one in entry.offered)


def test_what_is_no_kilometre_is_left_alone():
    with cw.audience(units="us"):
        assert look_up("pack_energy").display == look_up("pack_energy").offered
        assert (
            cw.load.find("range", **{**cw.load.example, "speed": "60 mph"}).labels["speed"] == "mph"
        )


def test_an_audience_ends_where_its_block_ends_also_after_an_error():
    def fail():
        assert current() == Audience("uk")
        raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError), cw.audience(units="uk"):
        fail()
    assert current() == Audience()
    with pytest.raises(NameUnknownError, match=r"'imperial'.*metric, us, uk"):
        Audience("imperial")


METRIC = """
[vehicle]
name = "Dabchick"
invented = true
[values.mass]
value = "1180 kg"
origin = "quoted"
range = ["1150 kg", "1200 kg"]
[values.drag_area]
value = "0.62 m^2"
origin = "estimated"
[values.rolling_coefficient]
value = 0.0085
origin = "estimated"
[values.drive_efficiency]
value = "87 %"
origin = "assumed"
[values.auxiliary_power]
value = "350 W"
origin = "assumed"
[values.usable_energy]
value = "38 kWh"
origin = "quoted"
[[claims]]
quantity = "range"
value = "420 km"
said_by = "the maker"
conditions = { speed = "90 km/h" }
"""
CUSTOMARY_SHEET = (
    METRIC.replace("1180 kg", "2600 lb")
    .replace('["1150 kg", "1200 kg"]', '["2540 lb", "2650 lb"]')
    .replace("0.62 m^2", "6.7 ft^2")
    .replace("420 km", "260 mi")
    .replace("90 km/h", "56 mph")
)
BRITISH = METRIC.replace("420 km", "260 mi") + (
    '[values.stop_spacing]\nvalue = "0.5 mi"\norigin = "estimated"\n'
    '[values.top_speed]\nvalue = "90 mph"\norigin = "quoted"\n'
)
WHOLE = re.compile(r"(?<![A-Za-z])(?:km|km/h|kilomet\w+)(?![A-Za-z])")


def test_a_sheet_speaks_in_the_units_in_which_it_is_written_or_says_for_whom_it_is():
    assert cw.Sheet.parse(METRIC).audience.units == ""
    assert cw.Sheet.parse(CUSTOMARY_SHEET).audience.units == "us"
    assert cw.Sheet.parse(BRITISH.replace("1180 kg", "11.8 kN")[:0] + BRITISH).audience.units in {
        "",
        "uk",
    }
    told = METRIC.replace("[values.mass]", '[audience]\nunits = "us"\n[values.mass]', 1)
    assert cw.Sheet.parse(told).audience.units == "us"
    for wrong in ('units = "imperial"', "units = 3", 'unit = "us"'):
        with pytest.raises(cw.SheetError, match="line"):
            cw.Sheet.parse(told.replace('units = "us"', wrong))


def test_what_a_customary_sheet_answers_is_read_in_miles_later_as_well():
    made = cw.Sheet.parse(CUSTOMARY_SHEET)
    verdict = made.judge(made.claims[0])
    finding = made.find("range", speed="65 mph")
    compared = cw.compare(made, quantities=("range", "consumption"), speed="65 mph")
    for said in (
        verdict.sentence,
        str(finding),
        repr(verdict),
        finding.working.text,
        compared.table,
    ):
        assert not WHOLE.search(said), said
    assert " mi" in verdict.sentence
    assert " mi" in str(finding)
    assert " mi" in compared.table


def test_who_listens_decides_and_the_number_is_the_same():
    made = cw.Sheet.parse(METRIC)
    verdict = made.judge(made.claims[0])
    metric = verdict.sentence
    with cw.audience(units="us"):
        customary = verdict.sentence
        again = made.judge(made.claims[0])
    assert not WHOLE.search(customary)
    assert "at least 261 mi" in customary
    assert again.sentence == customary  # made for those who read miles
    assert verdict.sentence == metric
    assert again.chance == verdict.chance
    assert "420 km" in metric


def test_facts_keep_their_digits_in_other_units():
    fact = cw.Sheet.parse(METRIC).facts["mass"]
    assert fact.text == "1180 kg (1150 to 1200)"
    with cw.audience(units="us"):
        assert fact.text == "2600 lb (2540 to 2650)"
    with cw.audience(units="uk"):
        assert fact.text == "1180 kg (1150 to 1200)"


def test_an_economy_that_was_claimed_upside_down_is_quoted_upside_down():
    claim = cw.Claim("consumption", "3.90 mi/kWh")
    assert "at least 3.90 mi/kWh, which is at most 25.64 kWh/100 mi" in repr(claim)
    with cw.audience(units="metric"):
        assert "at least 6.28 km/kWh, which is at most 15.93 kWh/100 km" in repr(claim)


def test_a_us_episode_has_no_kilometre(tmp_path):
    made = cw.episode(cw.Sheet.parse(METRIC), tmp_path, kind="svg", units="us")
    assert made.complete
    read = 0
    for path in sorted(tmp_path.rglob("*")):
        if path.suffix in {".md", ".html", ".json"} and path.name != "page.html":
            found = WHOLE.search(path.read_text("utf-8"))
            assert not found, (path, found)
            read += 1
    assert read > 4
    # Another audience is another episode.
    assert cw.episode(cw.Sheet.parse(METRIC), tmp_path, kind="svg", units="us").built == ()
    assert "kilometres" in cw.episode(cw.Sheet.parse(METRIC), tmp_path, kind="svg").folder.joinpath(
        "script.md"
    ).read_text("utf-8")
