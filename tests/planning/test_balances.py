"""What a balance is there to find, given beside what makes it, makes nothing that was taken without a word."""

import pytest

import chalkwatt as cw
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
