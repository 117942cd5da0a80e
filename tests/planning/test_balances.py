"""What a balance is there to find, given beside what makes it, makes nothing that was taken without a word."""

import pytest

import chalkwatt as cw
from chalkwatt import charge
from chalkwatt.errors import TooMuchKnownError
from chalkwatt.laws.quantities import look_up
from chalkwatt.topics.registry import every_topic

_BALANCES = [
    (topic, relation)
    for topic in every_topic()
    for relation in topic.network.strong
    if relation.finds and relation.tacit
]


def test_there_are_balances():
    assert {"load", "launch", "sun"} <= {topic.name for topic, _ in _BALANCES}


@pytest.mark.parametrize(
    ("topic", "relation"), _BALANCES, ids=[f"{one.name}-{two.finds}" for one, two in _BALANCES]
)
def test_a_balance_makes_nothing_that_stands_without_it(topic, relation):
    stands = topic.network.reach((), standing=True)
    example = [name for name in topic.example if name != relation.finds]
    for known in (example, [name for name in example if name not in stands]):
        for wanted in topic.network.names:
            if wanted in known or wanted == relation.finds or wanted in stands:
                continue
            plan = topic.network.plan_if_any(wanted, (*known, relation.finds))
            # With standing values the rest makes it: then nothing is made of the balance at all.
            alone = topic.network.plan_if_any(wanted, known)
            if alone is not None and alone.heard and wanted not in topic.network._balanced:
                assert plan is not None
                assert {*plan.heard} == {*alone.heard}, wanted
                assert [one.find for one in plan.steps] == [one.find for one in alone.steps]
            of_it = [step.find for step in plan.steps if relation in step.relations] if plan else []
            assert stands.isdisjoint({*of_it} - {*known}), wanted


def test_what_is_asked_for_is_found_all_the_same():
    road = {
        "mass": "1200 kg",
        "drag_area": "0.55 m^2",
        "rolling_coefficient": 0.01,
        "air_density": "1.2 kg/m^3",
        "drive_efficiency": 0.85,
        "auxiliary_power": "450 W",
    }
    best = cw.load.find("economical_speed", **road, coast_down_linear="1.5 N*s/m")
    back = cw.load.find("coast_down_linear", **road, economical_speed=float(best.si))
    assert back.si == pytest.approx(1.5, rel=1e-9)


ROAD = {
    "mass": "1400 kg",
    "drag_area": "0.5 m^2",
    "rolling_coefficient": 0.009,
    "air_density": "1.2 kg/m^3",
    "drive_efficiency": 0.88,
    "speed": "90 km/h",
}
START = {"motor_power": "90 kW", "friction": 0.9, "driven_weight_share": 0.55}
SUN = {
    "irradiance": "800 W/m^2",
    "panel_area": "4 m^2",
    "panel_efficiency": 0.22,
    "auxiliary_power": "60 W",
}


@pytest.mark.parametrize(
    ("topic", "wanted", "more", "result"),
    [
        (cw.launch, "acceleration", START, {"top_speed": "150 km/h"}),
        (cw.launch, "acceleration", START, {"top_speed": "240 km/h"}),
        (cw.launch, "road_force", START, {"power_limited_top_speed": "150 km/h"}),
        (cw.sun, "consumption", SUN, {"equilibrium_speed": "45 km/h"}),
        (cw.sun, "road_force", SUN, {"equilibrium_speed": "45 km/h"}),
        (cw.sun, "equilibrium_speed", SUN, {"stall_grade": 0.05}),
        (cw.load, "consumption", {"auxiliary_power": "400 W"}, {"economical_speed": "45 km/h"}),
    ],
)
@pytest.mark.parametrize("met", [{}, {"headwind": 0}, {"grade": 0.01}, {"headwind": "-4 m/s"}])
def test_a_result_that_is_given_beside_the_rest_bends_no_answer(topic, wanted, more, result, met):
    alone = topic.find(wanted, **ROAD, **more, **met)
    beside = topic.find(wanted, **ROAD, **more, **met, **result)
    assert beside.solutions_si == alone.solutions_si
    (name,) = result
    told = " ".join(beside.notes)
    assert look_up(name).words in told
    assert "no part in this" in told


def test_a_result_still_serves_what_nothing_else_tells():
    known = {name: value for name, value in ROAD.items() if name not in {"speed", "drag_area"}}
    # Whoever gives a top speed and asks for the drag area, means it.
    area = cw.launch.find("drag_area", **known, motor_power="90 kW", top_speed="180 km/h").si
    rolling = 0.009 * 1400 * 9.80665
    assert area == pytest.approx((0.88 * 90e3 / 50 - rolling) / (0.5 * 1.2 * 50**2), rel=1e-9)


def test_an_economical_speed_beside_the_road_changes_no_range():
    road = {
        "usable_energy": "55 kWh",
        "speed": "100 km/h",
        "mass": "1200 kg",
        "drag_area": "0.55 m^2",
        "rolling_coefficient": 0.01,
        "air_density": "1.2 kg/m^3",
        "drive_efficiency": 0.85,
        "auxiliary_power": "450 W",
    }
    alone = cw.load.find("range", **road)
    beside = cw.load.find("range", **road, economical_speed="70 km/h")
    assert beside.si == alone.si
    assert "The economical speed of 70 km/h plays no part in this" in " ".join(beside.notes)


STATION = {
    "pack_voltage": "280 V",
    "cells_in_parallel": 20,
    "cell_charge_current_max": "9.6 A",
    "station_power_max": "161 kW",
    "station_current_max": "313 A",
    "usable_energy": "38.6 kWh",
    "state_of_charge_from": 0.1,
    "state_of_charge_to": 0.8,
    "taper_factor": 0.9,
}
# By hand: the cells allow 20 · 9.6 A at 280 V, the station 313 A.
CELLS, STATIONS = 280 * 192.0, 280 * 313.0
CAPACITY = 38.6e3 / 280  # Ah


@pytest.mark.parametrize(
    ("told", "power"),
    [
        ({}, CELLS),
        ({"c_rate": "1.2 C"}, 1.2 * CAPACITY * 280),
        ({"c_rate": f"{192 / CAPACITY!r} C"}, CELLS),
        ({"charging_current": "150 A"}, 150 * 280.0),
        ({"charging_current": "192 A"}, CELLS),
        ({"charging_power": "40 kW"}, 40e3),
        ({"charging_power": "53.76 kW"}, CELLS),
        ({"stored_power": "50 kW"}, 50e3),
    ],
)
def test_what_is_given_within_the_limits_of_a_charge_says_nothing_of_its_voltage(told, power):
    """It made 840 V of a pack of 280 V, and 93.9 kWh of 27.0."""
    expected = {
        "charging_power": power,
        "charging_voltage": 280.0,
        "cell_power_limit": CELLS,
        "station_power_limit": STATIONS,
        "energy_added": 0.7 * 38.6 * 3.6e6,
        "charging_time": 0.7 * 38.6 * 3.6e6 / (0.9 * power),
    }
    for wanted, si in expected.items():
        if wanted not in told:
            assert charge.find(wanted, **STATION, **told).si == pytest.approx(si, rel=1e-9), wanted


@pytest.mark.parametrize(
    "told", [{"c_rate": "2 C"}, {"charging_current": "250 A"}, {"charging_power": "70 kW"}]
)
@pytest.mark.parametrize("wanted", ["charging_time", "energy_added", "cell_power_limit"])
def test_what_is_beyond_the_limits_of_a_charge_is_refused(told, wanted):
    with pytest.raises(TooMuchKnownError, match="allows no more than"):
        charge.find(wanted, **STATION, **told)


def test_heat_that_is_given_still_tells_the_resistance():
    made = charge.find("charging_voltage", **STATION, charging_heat="0.5 kWh")
    # The heat of 192 A in R, over the time that the current takes to bring the energy.
    resistance = 0.5e3 * 280 / (0.7 * 38.6e3 * 192)
    assert made.si == pytest.approx(280 + 192 * resistance, rel=1e-9)


def test_limits_are_asked_for_from_what_they_limit():
    rest = {
        name: one
        for name, one in STATION.items()
        if name not in {"station_current_max", "station_power_max"}
    }
    found = charge.find("station_current_max", **rest, charging_power="28 kW")
    assert found.si == pytest.approx(100.0)
