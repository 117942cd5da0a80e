"""Heating, cooling, cold cells and rolling by speed and temperature: from first principles, in plain Python."""

import math

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy.optimize import minimize_scalar

import chalkwatt as cw
from chalkwatt.laws.relations import check_dimensions
from chalkwatt.topics import climate, cold, rolling
from tests.topics.solved_back import check_each_from_all_others, point_of

CAR = {
    "speed": "90 km/h",
    "drag_area": "0.6 m²",
    "mass": "1500 kg",
    "rolling_coefficient": 0.009,
    "drive_efficiency": 0.88,
    "usable_energy": "50 kWh",
}
CABIN = {
    "air_temperature": "-10 degC",
    "cabin_temperature": "20 degC",
    "heat_loss_coefficient": "110 W/K",
    "electronics_power": "250 W",
}
T25 = 298.15

ROOM = st.fixed_dictionaries(
    {
        "cabin_temperature": st.floats(278.0, 308.0),
        "air_temperature": st.floats(223.0, 333.0),
        "heat_loss_coefficient": st.floats(1.0, 500.0),
        "cabin_heat_gain": st.one_of(st.just(0.0), st.floats(1.0, 4000.0)),
        "coefficient_of_performance": st.floats(0.5, 3.0),
        "cooling_performance": st.floats(0.5, 3.0),
        "electronics_power": st.one_of(st.just(0.0), st.floats(1.0, 2000.0)),
    }
)


def climate_power(room):
    """What a heater or a cooler draws: heat by the difference, less what people and sun bring."""
    heat = room["heat_loss_coefficient"] * (room["cabin_temperature"] - room["air_temperature"])
    heat -= room["cabin_heat_gain"]
    if heat > 0:
        return heat / room["coefficient_of_performance"]
    return -heat / room["cooling_performance"]


@pytest.mark.parametrize(
    "relation",
    [*cw.climate.relations, *cold.ENERGY, cold.WARM_FRACTION, cold.RESISTANCE, *rolling.RELATIONS],
    ids=lambda one: one.title,
)
def test_dimensions(relation):
    check_dimensions(relation)


@given(ROOM)
def test_heating_and_cooling_against_first_principles(room):
    for topic in (cw.climate, cw.load, cw.vehicle):
        found = topic.find("climate_power", **room).si
        assert found == pytest.approx(climate_power(room), rel=1e-9, abs=1e-6), topic.name
        assert found >= 0
        auxiliary = topic.find("auxiliary_power", **room).si
        assert auxiliary == pytest.approx(
            room["electronics_power"] + climate_power(room), rel=1e-9, abs=1e-6
        )


@given(ROOM, st.sampled_from(["cabin_temperature", "air_temperature", "heat_loss_coefficient"]))
def test_solved_back_both_ways(room, wanted):
    """Every solution draws the power; heating and cooling both count, and the start is among them."""
    power = climate_power(room)
    assume(power > 1.0)
    # Without a difference the heat loss plays no part, and nothing could tell it.
    assume(abs(room["cabin_temperature"] - room["air_temperature"]) > 0.1)
    known = {name: value for name, value in room.items() if name != wanted}
    answer = cw.climate.find(wanted, climate_power=power, **known)
    for one in answer.solutions_si:
        assert climate_power(known | {wanted: one}) == pytest.approx(power, rel=1e-9)
    assert min(abs(one - room[wanted]) for one in answer.solutions_si) < 1e-7 * room[wanted]


def test_every_quantity_from_all_the_others():
    start = CABIN | {
        "coefficient_of_performance": 2.2,
        "cooling_performance": 2.7,
        "cabin_heat_gain": 80,
    }
    values = point_of(cw.climate, start)
    check_each_from_all_others(cw.climate, values, idle={"cooling_performance"})
    summer = start | {"air_temperature": "37 °C"}
    values = point_of(cw.climate, summer)
    check_each_from_all_others(cw.climate, values, idle={"coefficient_of_performance"})


def test_nothing_is_drawn_where_inside_is_as_outside():
    alike = CABIN | {"cabin_temperature": "-10 degC"}
    assert cw.load.find("climate_power", **alike).si == 0
    # People warm it by a kelvin: their heat is what it loses, and nothing is left to do.
    warmed = CABIN | {"cabin_temperature": "-9 degC", "cabin_heat_gain": "110 W"}
    assert cw.load.find("climate_power", **warmed).si == pytest.approx(0, abs=1e-9)


@pytest.mark.parametrize("topic", [cw.load, cw.vehicle], ids=lambda one: one.name)
def test_a_range_with_a_heater_in_one_call(topic):
    heated = topic.find("range", **CAR, **CABIN, coefficient_of_performance=1)
    # ICAO's density at sea level and −10 °C; drag, rolling, then 30 K of 110 W/K and 250 W.
    density = 101325 / (287.05287 * 263.15)
    force = 0.5 * density * 0.6 * 25**2 + 0.009 * 1500 * 9.80665
    power = force * 25 / 0.88 + 30 * 110 + 250
    assert heated.si == pytest.approx(50 * 3.6e6 / power * 25, rel=1e-12)
    pumped = topic.find("range", **CAR, **CABIN, coefficient_of_performance=2.5)
    assert pumped.si > heated.si
    given_as_one = {"auxiliary_power": "3550 W", "air_temperature": "-10 °C"}
    assert topic.find("range", **CAR, **given_as_one).si == pytest.approx(heated.si, rel=1e-12)


def test_nothing_is_switched_on_unasked():
    """A car that knows its heater does not heat until somebody says how warm."""
    machine = {
        "heat_loss_coefficient": "110 W/K",
        "coefficient_of_performance": 1,
        "cooling_performance": 2,
    }
    cold_car = CAR | {"electronics_power": "250 W", "air_temperature": "-10 degC"}
    plain = cw.load.find("range", **CAR, auxiliary_power="250 W", air_temperature="-10 degC")
    answer = cw.load.find("range", **cold_car, **machine)
    assert answer.si == plain.si
    assert answer.assumed["climate_power"] == 0
    assert "No heating or cooling" in answer.working.text
    assert "climate_power" not in plain.assumed  # as one number it says nothing of the heater


def test_what_is_taken_for_granted_is_said():
    text = cw.load.find("range", **CAR, **CABIN).working.text
    assert "Resistance heater: COP = 1" in text
    assert "People and sun: Q_gain = 0 W" in text


@given(ROOM)
def test_no_machine_beats_carnot(room):
    """Whatever the temperatures: at 99 % of Carnot's coefficient it runs, at 101 % it is refused."""
    gap = room["cabin_temperature"] - room["air_temperature"]
    assume(abs(gap) > 0.5)
    limit = room["cabin_temperature"] / abs(gap)
    machine = "coefficient_of_performance" if gap > 0 else "cooling_performance"
    assert cw.climate.find(
        "greatest_performance",
        cabin_temperature=room["cabin_temperature"],
        air_temperature=room["air_temperature"],
    ).si == pytest.approx(limit, rel=1e-9)
    cw.climate.find("climate_power", **room | {machine: 0.99 * limit})
    for topic in (cw.climate, cw.load):
        with pytest.raises(cw.NoSolutionError, match="does better than Carnot"):
            topic.find("climate_power", **room | {machine: 1.01 * limit})
    # Asked for, a coefficient beyond it is no answer either.
    known = {name: value for name, value in room.items() if name != machine}
    heat = abs(room["heat_loss_coefficient"] * gap - room["cabin_heat_gain"])
    if (room["heat_loss_coefficient"] * gap - room["cabin_heat_gain"] > 0) == (
        gap > 0
    ) and heat > 1:
        with pytest.raises(cw.NoSolutionError):
            cw.climate.find(machine, climate_power=heat / (1.5 * limit), **known)


@given(
    st.floats(233.0, 333.0), st.floats(0.0, 0.012), st.floats(1e7, 4e8), st.floats(0.0, 60_000.0)
)
def test_cold_cells_against_first_principles(temperature, coefficient, energy, activation):
    known = {"cell_temperature": temperature, "cold_energy_coefficient": coefficient}
    lost = coefficient * (T25 - temperature) if temperature < T25 else 0.0
    for topic in (cw.load, cw.pack, cw.vehicle):
        left = topic.find("usable_energy", warm_usable_energy=energy, **known)
        assert left.si == pytest.approx(energy * (1 - lost), rel=1e-12), topic.name
    found = cw.pack.find(
        "cell_resistance",
        warm_cell_resistance=0.02,
        cell_temperature=temperature,
        resistance_activation_energy=activation,
    )
    exact = 0.02 * math.exp(activation / 8.31446261815324 * (1 / temperature - 1 / T25))
    assert found.si == pytest.approx(exact, rel=1e-12)
    back = cw.pack.find(
        "warm_cell_resistance",
        cell_resistance=exact,
        cell_temperature=temperature,
        resistance_activation_energy=activation,
    )
    assert back.si == pytest.approx(0.02, rel=1e-12)


def test_a_pack_in_the_cold():
    """Fraction and energy of the pack, then the cold: a pack that gives 79 % of 93 % of 55 kWh."""
    known = {"pack_energy": "55 kWh", "warm_usable_fraction": "93 %"}
    frost = {"cell_temperature": "-10 °C", "cold_energy_coefficient": "0.6 %/K"}
    for topic in (cw.pack, cw.vehicle):
        assert topic.find("usable_energy", **known, **frost).to("kWh") == pytest.approx(
            55 * 0.93 * (1 - 0.006 * 35), rel=1e-12
        )
    cell = cw.pack.find(
        "cell_temperature", usable_energy="45 kWh", **known, **dict([*frost.items()][1:])
    )
    assert cell.si == pytest.approx(T25 - (1 - 45 / (55 * 0.93)) / 0.006, rel=1e-12)


WHEEL = st.fixed_dictionaries(
    {
        "reference_rolling_coefficient": st.floats(0.002, 0.03),
        "rolling_speed_growth": st.one_of(st.just(0.0), st.floats(1e-4, 0.05)),
        "tyre_temperature_coefficient": st.one_of(st.just(0.0), st.floats(0.001, 0.01)),
        "air_temperature": st.floats(243.0, 318.0),
        "speed": st.floats(0.5, 60.0),
        "headwind": st.floats(-20.0, 20.0),
        "grade": st.floats(-0.1, 0.1),
        "mass": st.floats(200.0, 20_000.0),
        "drag_area": st.floats(0.1, 3.0),
        "air_density": st.floats(0.5, 1.5),
    }
)


def road_force(car):
    """Drag, climb, and rolling that grows with speed and falls with warmth, by Newton."""
    angle = math.atan(car["grade"])
    coefficient = car["reference_rolling_coefficient"] * (
        1 + car["rolling_speed_growth"] * car["speed"]
    )
    coefficient /= 1 + car["tyre_temperature_coefficient"] * (car["air_temperature"] - T25)
    through = car["speed"] + car["headwind"]
    force = 0.5 * car["air_density"] * car["drag_area"] * abs(through) * through
    return force + car["mass"] * 9.80665 * (coefficient * math.cos(angle) + math.sin(angle))


@given(WHEEL)
def test_rolling_against_first_principles(car):
    exact = road_force(car)
    size = car["mass"] * 9.80665 + abs(exact)
    for topic in (cw.load, cw.vehicle):
        assert topic.find("road_force", **car).si == pytest.approx(exact, abs=1e-12 * size)
    known = {name: value for name, value in car.items() if name != "speed"}
    speeds = cw.load.find("speed", road_force=exact, **known).solutions_si
    for one in speeds:
        assert road_force(known | {"speed": one}) == pytest.approx(exact, abs=1e-9 * size)
    for wanted in ("reference_rolling_coefficient", "mass"):
        known = {name: value for name, value in car.items() if name != wanted}
        found = cw.load.find(wanted, road_force=exact, **known).si
        assert road_force(known | {wanted: found}) == pytest.approx(exact, abs=1e-9 * size)


@pytest.mark.parametrize(
    ("air", "said"), [("-7 °C", True), ("21 °C", False), ("29 °C", False), ("34 °C", True)]
)
def test_outside_its_range_the_correction_says_so(air, said):
    known = {"reference_rolling_coefficient": 0.008, "air_temperature": air}
    answer = cw.load.find(
        "rolling_coefficient", tyre_temperature_coefficient="0.8 %/K", speed="80 km/h", **known
    )
    assert any("20 to 30 °C" in one for one in answer.notes) == said
    (idle,) = cw.load.find("rolling_coefficient", speed="80 km/h", **known).notes
    assert "no part" in idle  # without a coefficient of its own temperature changes nothing


def test_one_number_keeps_the_plain_line():
    """Nothing of climate, cold or growth shows where the plain values are given; a cubic stays one."""
    answer = cw.load.find("range", **cw.load.example)
    for sign in ("P_clim", "P_el", "C_0", "κ", "T_cell", "max"):
        assert sign not in answer.working.text
    known = {name: value for name, value in CAR.items() if name != "speed"}
    plan = cw.load.find("speed", battery_power="12 kW", auxiliary_power=300, **known).plan
    assert [one.by for one in plan.steps if one.find == "speed"] == ["cubic"]
    slowest = cw.load.find(
        "economical_speed", drag_area=0.6, drive_efficiency=0.88, auxiliary_power=900
    )
    assert slowest.plan.steps[-1].by == "formula"
    assert "κ" not in slowest.working.text


@given(WHEEL, st.floats(20.0, 5000.0), st.floats(0.3, 1.0))
def test_the_most_economical_speed_knows_rolling_that_grows(car, auxiliary, efficiency):
    """The least of the consumption, by a scan of it; of several hollows the deepest."""
    known = {name: value for name, value in car.items() if name != "speed"}
    speeds = np.geomspace(0.3, 150.0, 40_001)
    cost = np.array(
        [
            # Nothing is recovered: where the road drives the vehicle, the wheels give nothing back.
            max(road_force(known | {"speed": float(one)}), 0) / efficiency + auxiliary / float(one)
            for one in speeds[::8]
        ]
    )
    inner = np.flatnonzero((cost[1:-1] < cost[:-2]) & (cost[1:-1] <= cost[2:])) + 1
    try:
        found = cw.load.find(
            "economical_speed", auxiliary_power=auxiliary, drive_efficiency=efficiency, **known
        ).solutions_si
    except cw.NoSolutionError:
        found = ()  # beyond the speed of sound, say
    hollows = [
        minimize_scalar(
            lambda v: max(road_force(known | {"speed": v}), 0) / efficiency + auxiliary / v,
            bounds=(speeds[::8][place - 1], speeds[::8][place + 1]),
            method="bounded",
            options={"xatol": 1e-9},
        )
        for place in inner
    ]
    least = min((one.fun for one in hollows), default=math.inf)
    for one in found:
        if 0.31 < one < 149:
            nearest = min(hollows, key=lambda hollow: abs(hollow.x - one))
            assert abs(one - nearest.x) < 1e-5 * nearest.x
            assert nearest.fun <= least * (1 + 1e-9) + 1e-9
    assert list(found) or not hollows


def test_growth_without_a_mass_is_asked_for():
    with pytest.raises(cw.TooLittleKnownError, match="mass"):
        cw.load.find(
            "economical_speed",
            drag_area=0.6,
            drive_efficiency=0.88,
            auxiliary_power=900,
            reference_rolling_coefficient=0.008,
            rolling_speed_growth="0.6 %/(km/h)",
        )


def test_the_topic_holds_what_the_others_share():
    assert set(climate.RELATIONS) <= set(cw.load.relations) & set(cw.climate.relations)
