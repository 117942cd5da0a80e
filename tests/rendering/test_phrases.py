"""What stands around the name of a quantity agrees with it, whatever quantity it is."""

import re

import pytest

import chalkwatt as cw
from chalkwatt import Claim, Sheet
from chalkwatt.answering.nothing import place_of
from chalkwatt.evidence.claims.telling import circumstances, idle
from chalkwatt.laws.quantities import glossary, look_up
from chalkwatt.rendering.phrases import (
    agreeing,
    amount,
    no_part,
    plural,
    ranked,
    several,
    with_article,
)

# Every noun of the glossary, by what it takes in English; a new one has to be thought about.
COUNTED = """
acceleration added age altitude angle area C-rate capacity centre coefficient constant
consumption count current day deceleration density depth distance economy efficiency energy
exponent factor fade force fraction gain grade growth headwind height hour humidity irradiance
joule kelvin life limit loss mass metre pascal performance point power prefactor pressure radius
range rate ratio resistance rollout sag share spacing speed state temperature term throughput
time torque transfer volt voltage watt wheelbase wind year
"""
PLURALS = "cells cycles hours minutes phases"
MASS_NOUNS = "drag friction gravity health heat pi"
SAID_AS_AN = ["AC", "LFP", "NMC"]  # letter by letter: "an LFP fade"


def noun(words):
    return re.split(r" (?:in|per|of|without|from|to|over)\b", words)[0].split()[-1]


def test_every_noun_of_the_glossary_was_thought_about():
    assert {noun(one.words) for one in glossary().values()} == {
        *COUNTED.split(),
        *PLURALS.split(),
        *MASS_NOUNS.split(),
    }


@pytest.mark.parametrize("name", sorted(glossary()))
def test_the_article_agrees(name):
    words = look_up(name).words
    said = with_article(words)
    many = noun(words) in PLURALS.split()
    assert plural(words) == many == several([name])
    first = words.split()[0]
    if first == "greatest":
        assert said == f"the {words}"
    elif many or noun(words) in MASS_NOUNS.split() or first == "one":
        assert said == words
    else:
        vowel = first in SAID_AS_AN or (first[0] in "aeio") or first.startswith("un")
        assert said == f"{'an' if vowel else 'a'} {words}"
    assert agreeing(words, "is", "are") == ("are" if many else "is")
    low = ranked(words, high=False)
    assert low.startswith(
        "few " if many else ("low " if noun(words) in MASS_NOUNS.split() else "a low ")
    )


@pytest.mark.parametrize("name", sorted(glossary()))
def test_sentences_agree(name):
    """No article before a plural or a mass noun, and no singular verb after one, in any sentence."""
    entry = look_up(name)
    if entry.constant is not None:
        return
    si = float(entry.usual[1])
    si = float(round(si)) if entry.whole else si
    said = f"{entry.in_unit(si):.6g} {entry.display[0]}".strip()
    claim = Claim(
        "range" if name != "range" else "consumption",
        "480 km" if name != "range" else "20 kWh/100 km",
        **{name: said},
    )
    there = place_of(entry, si, lambda **_: 1.0, {})[1]
    told = [
        circumstances(claim),
        idle(claim, set()),
        no_part({name: said}),
        amount(name, said),
        there,
    ]
    if plural(entry.words) or noun(entry.words) in MASS_NOUNS.split():
        for one in told:
            assert not re.search(rf"\b(a|an) {entry.words}", one), one
    if plural(entry.words):
        assert no_part({name: said}).endswith(
            "play no part in this: nothing here was reckoned with them."
        )
    for one in told:
        assert "to of" not in one
        assert "from of" not in one
        assert not re.search(r"\ba [aeio]", one), one


def test_counts_are_said_as_counts():
    assert amount("cells_in_series", "96") == "96 cells in series"
    assert amount("phases", "3", "the") == "the 3 phases"
    assert amount("phases", "1") == "1 phase"
    assert amount("cells_in_parallel", "1") == "1 cell in parallel"
    assert circumstances(Claim("pack_energy", "40 kWh", cell_count=4416)) == (
        " with a cell count of 4416"
    )


def test_a_verdict_about_a_plural():
    """The verb of the sentence that every verdict begins with, and of a claim that cannot be judged."""
    sheet = Sheet.parse(
        '[vehicle]\nname = "Sorrel"\n[values.peak_sun_hours]\nvalue = "4 h"\norigin = "quoted"\n'
    )
    told = sheet.judge(Claim("peak_sun_hours", "5 h", said_by="a poster")).sentence
    assert told.startswith("By what is known of the Sorrel, its peak sun hours are about 4.00 h")


def test_a_working_about_a_plural():
    answer = cw.sun.find(
        "peak_sun_hours", daily_solar_energy="4 kWh", rated_power="1 kW", conversion_efficiency=0.8
    )
    assert "peak sun hours are about 5" in answer.working.steps[-1].result.spoken
