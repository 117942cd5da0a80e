"""What a balance is there to find, given beside what makes it, makes nothing that was taken without a word."""

import pytest

import chalkwatt as cw
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
