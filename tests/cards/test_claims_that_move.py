"""The list of changes where claims come and go, and where a file was changed by hand."""

import itertools

import pytest

import chalkwatt as cw
from chalkwatt.episodes.changes import changes_between, other_numbers
from chalkwatt.episodes.ledger import Shown
from chalkwatt.episodes.questions import Questions

CAR = """
[vehicle]
name = "Wren"
invented = true
[values.usable_energy]
value = "40 kWh"
origin = "quoted"
range = ["38 kWh", "42 kWh"]
[values.consumption]
value = "12 kWh/100 km"
origin = "measured"
"""


def claim(quantity, value, by, **conditions):
    under = ", ".join(f'{name} = "{one}"' for name, one in conditions.items())
    return (
        f'[[claims]]\nquantity = "{quantity}"\nvalue = "{value}"\nsaid_by = "{by}"\n'
        f"conditions = {{ {under} }}\n"
    )


CLAIMS = [
    claim("range", "300 km", "a mug"),
    claim("usable_energy", "41 kWh", "a mug"),
    claim("range", "350 km", "a poster"),
    claim("range", "280 km", "a mug", speed="80 km/h"),
]


def changes(before, after):
    one, other = (
        Questions.of(cw.Sheet.parse(CAR + "".join(some))).numbers() for some in (before, after)
    )
    return changes_between(one, other, {}, {})


def about_claims(made):
    return [one for one in made if one.name.startswith(("claim", "chance"))]


@pytest.mark.parametrize("left_out", range(len(CLAIMS)))
def test_a_claim_that_goes_or_comes_is_no_change_of_another(left_out):
    fewer = [one for place, one in enumerate(CLAIMS) if place != left_out]
    gone, came = changes(CLAIMS, fewer), changes(fewer, CLAIMS)
    assert about_claims(gone)
    assert about_claims(came)
    assert all(not one.new and f"claim {left_out + 1} (" in one.words for one in about_claims(gone))
    assert all(not one.old and f"claim {left_out + 1} (" in one.words for one in about_claims(came))


def test_in_another_order_the_same_is_claimed():
    for order in itertools.permutations(CLAIMS):
        assert not about_claims(changes(CLAIMS, order))


def test_another_value_is_a_change_wherever_the_claim_stands():
    moved = [CLAIMS[3], CLAIMS[2], claim("range", "333 km", "a mug")]
    told = {one.words: one.text for one in about_claims(changes(CLAIMS, moved))}
    assert "claim 3 (a mug): range at least: 300 km → 333 km" in told.values()
    assert not any("a poster" in words for words in told)


def test_who_says_the_same_twice_is_told_apart_by_the_order():
    twice = [claim("range", "300 km", "a mug"), claim("range", "320 km", "a mug")]
    assert not about_claims(changes(twice, twice))
    (changed, *_) = about_claims(changes(twice, [twice[0], claim("range", "310 km", "a mug")]))
    assert changed.text == "claim 2 (a mug): range at least: 320 km → 310 km"


@pytest.mark.parametrize("path", ["page.html", "script.md", "worksheets/load-1.html"])
def test_what_lies_beside_a_changed_file_counts_as_that_file(path):
    stem, _, ending = path.rpartition(".")
    shown = (Shown("mass", 700.0), Shown("mass", 900.0), Shown("speed", 20.0))
    before, after = {path: shown}, {f"{stem}.new.{ending}": shown}
    numbers = [other_numbers({}, one) for one in (before, after)]
    assert not changes_between(*numbers, before, after)
    moved = {f"{stem}.new.{ending}": (Shown("mass", 710.0), *shown[1:])}
    (change,) = changes_between(numbers[0], other_numbers({}, moved), before, moved)
    assert change.text == f"mass, as in {path}: 700 kg → 710 kg"
