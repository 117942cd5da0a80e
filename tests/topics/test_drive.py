"""The chain from the cells to the road: every link solved back, every watt accounted for."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

import chalkwatt as cw
from chalkwatt.laws.quantities import look_up
from chalkwatt.laws.relations import check_dimensions
from chalkwatt.topics.drive import LINKS
from tests.external import published
from tests.topics.solved_back import check_each_from_all_others, check_each_swapped, point_of

CHAIN = {name: 0.9 + 0.01 * place for place, (_, name, _) in enumerate(LINKS)}
VEHICLE = {
    "speed": "90 km/h",
    "drag_area": "0.42 m^2",
    "mass": "980 kg",
    "rolling_coefficient": 0.0085,
    "air_density": 1.2,
    "auxiliary_power": "350 W",
}


@pytest.mark.parametrize("relation", cw.drive.relations, ids=lambda one: one.title)
def test_dimensions(relation):
    check_dimensions(relation)


def test_efficiencies_multiply():
    product = 1.0
    for value in CHAIN.values():
        product *= value
    assert cw.drive.find("drive_efficiency", **CHAIN).si == pytest.approx(product, rel=1e-14)


@pytest.mark.parametrize("name", CHAIN)
def test_each_link_is_found_from_the_others(name):
    others = {one: value for one, value in CHAIN.items() if one != name}
    whole = cw.drive.find("drive_efficiency", **CHAIN).si
    found = cw.drive.find(name, **others, drive_efficiency=whole)
    assert found.si == pytest.approx(CHAIN[name], rel=1e-13)


@pytest.mark.parametrize("name", CHAIN)
def test_each_link_is_found_from_a_measured_consumption(name):
    others = {one: value for one, value in CHAIN.items() if one != name}
    measured = cw.drive.find("consumption", **CHAIN, **VEHICLE).si
    found = cw.drive.find(name, **others, **VEHICLE, consumption=measured)
    assert found.si == pytest.approx(CHAIN[name], rel=1e-12)


@given(
    st.fixed_dictionaries({name: st.floats(0.5, 1.0) for name in CHAIN}),
    st.floats(1.0, 60.0),
    st.floats(0.0, 5000.0),
)
def test_losses_and_road_add_up_to_the_battery(chain, speed, auxiliary):
    known = {**VEHICLE, **chain, "speed": speed, "auxiliary_power": auxiliary}
    battery = cw.drive.find("battery_power", **known).si
    parts = [cw.drive.find(loss, **known).si for _, _, loss in LINKS]
    parts += [
        cw.drive.find(name, **known).si for name in ("air_power", "rolling_power", "climbing_power")
    ]
    assert auxiliary + sum(parts) == pytest.approx(battery, rel=1e-12)


@pytest.mark.parametrize("place", range(len(LINKS)))
def test_each_link_loses_its_share_of_what_reaches_it(place):
    known = {**VEHICLE, **CHAIN}
    reaching = cw.drive.find("driving_power", **known).si
    for _, name, _ in LINKS[:place]:
        reaching *= CHAIN[name]
    _, name, loss = LINKS[place]
    assert cw.drive.find(loss, **known).si == pytest.approx(reaching * (1 - CHAIN[name]), rel=1e-12)


def test_the_same_answers_as_the_road_load():
    whole = cw.drive.find("drive_efficiency", **CHAIN).si
    chained = cw.drive.find("consumption", **CHAIN, **VEHICLE)
    assert chained.si == pytest.approx(
        cw.load.find("consumption", **VEHICLE, drive_efficiency=whole).si, rel=1e-13
    )


def test_a_missing_link_is_named():
    without = {name: value for name, value in CHAIN.items() if name != "motor_efficiency"}
    with pytest.raises(cw.TooLittleKnownError) as caught:
        cw.drive.find("drive_efficiency", **without)
    assert "motor_efficiency" in caught.value.unlocks


def test_no_link_gives_more_than_it_gets():
    others = {name: value for name, value in CHAIN.items() if name != "motor_efficiency"}
    with pytest.raises(cw.NoSolutionError, match=r"the greatest that can be reached is 71\.60 %"):
        cw.drive.find("motor_efficiency", **others, drive_efficiency=0.95)


@pytest.mark.parametrize(
    "case", published("load", "drive-efficiency-today"), ids=lambda one: one.id
)
def test_the_middle_of_every_usual_range_makes_a_drive_of_today(case):
    """Common practice, no source: 80 to 85 % from battery to wheel."""
    middle = {name: sum(look_up(name).usual) / 2 for name in CHAIN}
    case.check(cw.drive.find("drive_efficiency", **middle).to("%"))


def test_the_caution_defers_to_trained_people():
    assert "voltages that kill" in cw.drive.caution
    assert "local codes" in cw.drive.caution


WHOLE = {
    **CHAIN,
    **{name: value for name, value in VEHICLE.items() if name not in {"drag_area", "air_density"}},
    "drag_coefficient": 0.21,
    "frontal_area": 2.0,
    "altitude": "300 m",
    "air_temperature": "12 degC",
    "headwind": "2 m/s",
    "grade": "1 %",
    "gravity": 9.81,
    "coast_down_linear": "0.5 N*s/m",
    "usable_energy": "30 kWh",
    "recovery_efficiency": 0.6,
    "drive_idle_loss": "150 W",
    "drive_square_loss": "0.5 W/kW²",
    "pack_loss": "40 W",
}
# The wheels take power there: of what they would give back, nothing knows.
IDLE = ("recovery_efficiency",)


def test_each_quantity_is_solved_back_from_all_others():
    check_each_from_all_others(cw.drive, point_of(cw.drive, WHOLE), idle=IDLE)


def test_each_given_quantity_is_solved_back_from_an_outcome():
    values = point_of(cw.drive, WHOLE)
    assert check_each_swapped(cw.drive, WHOLE, values, cw.drive.outcomes) >= 40
