"""Regulatory consumption: solved back for everything, dimensions proved, standing values named."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import chalkwatt as cw
from chalkwatt.laws.quantities import look_up
from chalkwatt.laws.relations import check_dimensions
from tests.topics.solved_back import check_each_from_all_others, check_each_swapped, point_of

GIVEN = {
    "city_consumption": "14 kWh/100 km",
    "highway_consumption": "17 kWh/100 km",
    "city_share": 0.55,
    "label_factor": 0.7,
    "usable_energy": "36 kWh",
    "charging_efficiency": 0.88,
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
    assert answer.assumed == {"city_share": 0.55, "label_factor": 0.7, "charging_efficiency": 0.87}
    assert "City share of the distance" in answer.working.text
    assert "Charging efficiency, the middle of 84 to 90 %: η_ch = 87 %" in answer.working.text


def test_economies_average_harmonically():
    both = {"city_economy": "2 mi/kWh", "highway_economy": "4 mi/kWh", "city_share": 0.5}
    assert cw.economy.find("combined_economy", **both).to("mi/kWh") == pytest.approx(8 / 3)


# Which meter each quantity of the topic is counted at: energy per distance and energy.
OUTLET = {
    "city_consumption",
    "highway_consumption",
    "combined_consumption",
    "label_consumption",
    "adjusted_consumption",
    "adjusted_city_consumption",
    "adjusted_highway_consumption",
    "city_economy",
    "highway_economy",
    "combined_economy",
    "equivalent_economy",
    "adjusted_equivalent_economy",
    "recharge_energy",
}
BATTERY = {"consumption", "usable_energy"}


@pytest.mark.parametrize("relation", cw.economy.relations, ids=lambda one: one.title)
def test_no_equation_mixes_the_meters(relation):
    """Outlet and battery meet only where the charging efficiency stands between them."""
    held = {*relation.names}
    if held & OUTLET and held & BATTERY:
        assert "charging_efficiency" in held
    # Range is what the battery's energy is good for; times an outlet's consumption it is outlet energy.
    if held & OUTLET and held & {"tested_range", "label_range"}:
        assert "recharge_energy" in held


@pytest.mark.parametrize("name", sorted((OUTLET | BATTERY) - {"usable_energy"}))
def test_each_sentence_says_where_it_is_counted(name):
    word = "outlet" if name in OUTLET else "battery"
    assert word in look_up(name).sentence


loss = st.floats(0.5, 1.0)
per_km = st.floats(50, 600)


@settings(max_examples=60)
@given(per_km, per_km, st.floats(0, 1), loss, st.floats(0.3, 1.0), st.floats(5, 200))
def test_every_figure_against_plain_arithmetic(city, highway, share, efficiency, factor, energy):
    """Wh/km at the outlet, kWh at the battery: recomputed here with nothing of the package."""
    outlet = share * city + (1 - share) * highway
    at_battery = outlet * efficiency
    tested = energy * 1000 / at_battery
    by_hand = {
        "label_consumption": (outlet, "Wh/km"),
        "consumption": (at_battery, "Wh/km"),
        "tested_range": (tested, "km"),
        "recharge_energy": (tested * outlet / 1000, "kWh"),
        "label_range": (factor * tested, "km"),
        "adjusted_consumption": (outlet / factor, "Wh/km"),
        "adjusted_city_consumption": (city / factor, "Wh/km"),
        "combined_economy": (1 / (outlet * 1.609344 / 1000), "mi/kWh"),
        "equivalent_economy": (33.705 / (outlet * 1.609344 / 1000), "mi/gal"),
        "adjusted_equivalent_economy": (factor * 33.705 / (outlet * 1.609344 / 1000), "mi/gal"),
    }
    facts = {
        "city_consumption": f"{city!r} Wh/km",
        "highway_consumption": f"{highway!r} Wh/km",
        "city_share": share,
        "charging_efficiency": efficiency,
        "label_factor": factor,
        "usable_energy": f"{energy!r} kWh",
    }
    for name, (value, unit) in by_hand.items():
        assert cw.economy.find(name, **facts).to(unit) == pytest.approx(value, rel=1e-9), name


def test_what_does_not_hang_on_the_efficiency_assumes_none():
    known = {"label_consumption": "15 kWh/100 km", "tested_range": "300 km"}
    assert cw.economy.find("recharge_energy", **known).assumed == {}
    known = {"adjusted_consumption": "25 kWh/100 km", "label_range": "250 km"}
    found = cw.economy.find("usable_energy", **known, charging_efficiency=0.9)
    assert found.assumed == {}
    assert found.to("kWh") == pytest.approx(62.5 * 0.9)


def test_a_label_counted_at_two_meters_at_once_is_refused():
    same = {"label_consumption": "15 kWh/100 km", "consumption": "15 kWh/100 km"}
    with pytest.raises(cw.TooMuchKnownError, match="Consumption at the battery"):
        cw.economy.find("usable_energy", **same, charging_efficiency=0.88, tested_range="300 km")
