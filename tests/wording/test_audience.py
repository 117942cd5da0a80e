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
