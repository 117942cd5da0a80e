"""Ageing against published fade laws and minimum durability."""

import pytest

import chalkwatt as cw
from chalkwatt.topics.ageing import MINIMUM_DURABILITY
from tests.external import published

YEAR = 31_557_600.0


def each(row):
    cases = published("ageing", row)
    return pytest.mark.parametrize("case", cases, ids=lambda case: case.id)


@each("lfp-cycle-fade")
def test_lfp_cells(case):
    case.check(cw.ageing.find("lfp_fade", **case.known).to("%"))


@each("nmc-fade")
def test_nmc_cells(case):
    known = case.known
    if known.pop("law") == "calendar":
        known["storage_voltage"] = known.pop("cell_voltage")
        case.check(cw.ageing.find("nmc_calendar_fade", **known).to("%"))
    else:
        case.check(cw.ageing.find("nmc_cycle_fade", **known).to("%"))


@each("minimum-durability")
def test_minimum_durability_is_the_published_one(case):
    (row,) = (one for one in MINIMUM_DURABILITY if one.age == case.given["age"] * YEAR)
    assert row.distance == case.given["lifetime_distance"] * 1000
    case.check(100 * row.health)


@each("minimum-durability")
def test_a_battery_of_common_practice_against_minimum_durability(case):
    """1000 full cycles to 80 %, 300 km of range, 1.5 % in the first year: what is left then."""
    facts = {"cycle_life": 1000, "range": "300 km", "yearly_calendar_fade": "1.5 %"}
    left = cw.ageing.find(
        "health",
        **facts,
        age=f"{case.given['age']} yr",
        lifetime_distance=f"{case.given['lifetime_distance']} km",
    )
    assert left.to("%") > case.value
    # With a third of the cycles the same battery would not pass.
    worn = cw.ageing.find(
        "health",
        **facts | {"cycle_life": 250},
        age=f"{case.given['age']} yr",
        lifetime_distance=f"{case.given['lifetime_distance']} km",
    )
    assert worn.to("%") < case.value


@each("cycle-life")
def test_cycle_life(case):
    made = cw.ageing.find("health", cycle_life=1000, full_cycles=case.given["full_cycles"])
    case.check(made.to("%"))
