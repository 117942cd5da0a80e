"""Tyres against what was published; the values stand in tyres.toml."""

import pytest

from chalkwatt import tyres
from chalkwatt.laws.quantities import look_up
from chalkwatt.topics.tyres import LABELS
from tests.external import published


def each(*found):
    cases = [case for row in found for case in published("tyres", row)]
    return pytest.mark.parametrize("case", cases, ids=lambda case: f"{case.id} {case.quantity}")


@each("temperature-correction-c1")
def test_a_tyre_is_taken_for_a_car_s(case):
    answer = tyres.find("rolling_share_of_warm", air_temperature="20 °C")
    case.check(answer.assumed["tyre_temperature_coefficient"])


@each("temperature-correction-c1", "temperature-correction-c2", "temperature-correction-c3-heavy")
def test_every_class_lies_in_the_usual_range(case):
    low, high = look_up(case.quantity).usual
    assert low <= case.value <= high
    # And it is what two measurements of one tyre show, at 20 and at 25 °C.
    cool = 8.0 / (1 - 5 * case.value)
    made = tyres.find(
        "tyre_temperature_coefficient",
        rolling_coefficient=cool / 1000,
        reference_rolling_coefficient=8.0 / 1000,
        air_temperature="20 °C",
    )
    case.check(made.si)


def test_ten_degrees():
    (case,) = published("tyres", "ten-degrees")
    warmer = tyres.find("rolling_share_of_warm", air_temperature="35 °C").si
    case.check(100 * (1 / warmer - 1))


@each("label-classes-c2", "label-classes-c3")
def test_label_classes(case):
    (label,) = (
        one
        for one in LABELS
        if one.regulation == "1222/2009" and one.tyres.lower() == case.id[14:16]
    )
    most = dict(label.letters)[case.given["letter"]]
    case.check(1000 * most)
    # A bound belongs to its own letter, what lies above it to the next.
    assert label.letter(case.value / 1000) == case.given["letter"]
    assert label.letter(case.value / 1000 + 1e-6) != case.given["letter"]


def test_the_letters_of_two_regulations():
    old, new = (one for one in LABELS if one.tyres == "C1")
    for row in published("load", "tyre-label"):
        assert old.letter(row.value) in "ABCE"
        assert new.letter(row.value) in "ABCD"
    assert (old.letter(0.0100), new.letter(0.0100)) == ("E", "D")


@each("rolling-coefficients-by-ground")
def test_every_ground_can_be_entered(case):
    assert look_up("rolling_coefficient").read(case.value) == case.value
