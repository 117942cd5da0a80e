"""Regulatory consumption: solved back for everything, dimensions proved, standing values named."""

import pytest

import chalkwatt as cw
from chalkwatt.relations import check_dimensions
from tests.topics.solved_back import check_each_from_all_others, check_each_swapped, point_of

GIVEN = {
    "city_consumption": "14 kWh/100 km",
    "highway_consumption": "17 kWh/100 km",
    "city_share": 0.55,
    "label_factor": 0.7,
    "usable_energy": "36 kWh",
}


@pytest.mark.parametrize("relation", cw.economy.relations, ids=lambda one: one.title)
def test_dimensions(relation):
    check_dimensions(relation)


def test_each_quantity_is_solved_back_from_all_others():
    check_each_from_all_others(cw.economy, point_of(cw.economy, GIVEN))


def test_each_given_quantity_is_solved_back_from_an_outcome():
    values = point_of(cw.economy, GIVEN)
    assert check_each_swapped(cw.economy, GIVEN, values, cw.economy.outcomes) >= 12


def test_the_shares_of_the_rule_are_named_as_assumed():
    known = {name: GIVEN[name] for name in ("city_consumption", "highway_consumption")}
    answer = cw.economy.find("label_range", **known, usable_energy="36 kWh")
    assert answer.assumed == {"city_share": 0.55, "label_factor": 0.7}
    assert "City share of the distance" in answer.working.text


def test_economies_average_harmonically():
    both = {"city_economy": "2 mi/kWh", "highway_economy": "4 mi/kWh", "city_share": 0.5}
    assert cw.economy.find("combined_economy", **both).to("mi/kWh") == pytest.approx(8 / 3)
