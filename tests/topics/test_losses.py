"""Losses by load, in the drive and in the pack: from first principles, in plain Python and SciPy."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import brentq

import chalkwatt as cw

G = 9.80665
ROAD = {
    "speed": st.floats(0.5, 60.0),
    "grade": st.floats(-0.2, 0.2),
    "headwind": st.floats(-30.0, 30.0),
    "drag_area": st.floats(0.1, 3.0),
    "mass": st.floats(200.0, 20_000.0),
    "rolling_coefficient": st.floats(0.002, 0.03),
    "drive_efficiency": st.floats(0.3, 1.0),
    "recovery_efficiency": st.one_of(st.just(0.0), st.floats(0.01, 1.0)),
    "auxiliary_power": st.one_of(st.just(0.0), st.floats(1.0, 5000.0)),
    "air_density": st.floats(0.5, 1.5),
}
DRIVE = {
    "drive_idle_loss": st.one_of(st.just(0.0), st.floats(1.0, 3000.0)),
    "drive_square_loss": st.one_of(st.just(0.0), st.floats(1e-8, 5e-6)),
}
PACK = {
    "pack_voltage": st.floats(40.0, 900.0),
    "pack_resistance": st.one_of(st.just(0.0), st.floats(1e-3, 1.0)),
}
CAR = st.fixed_dictionaries(ROAD | DRIVE)
PACKED = st.fixed_dictionaries(ROAD | DRIVE | PACK)


def at_the_wheels(car, speed):
    """Power at the wheels, by Newton: drag by the square of the speed through the air, grade by its angle."""
    through = speed + car["headwind"]
    angle = math.atan(car["grade"])
    force = 0.5 * car["air_density"] * car["drag_area"] * abs(through) * through
    force += car["mass"] * G * (car["rolling_coefficient"] * math.cos(angle) + math.sin(angle))
    return force * speed


def at_the_terminals(car, speed):
    """What drive and auxiliary load take: wheels in proportion, a constant, a square."""
    wheels = at_the_wheels(car, speed)
    in_proportion = (
        wheels / car["drive_efficiency"] if wheels >= 0 else car["recovery_efficiency"] * wheels
    )
    square = car["drive_square_loss"] * wheels * wheels
    return in_proportion + car["drive_idle_loss"] + square + car["auxiliary_power"]


def inside_the_pack(car, speed):
    """U I, where the current brings the terminals U I − R I², by SciPy; None beyond the matched load."""
    volts, ohms = car["pack_voltage"], car["pack_resistance"]
    needed = at_the_terminals(car, speed)
    if ohms == 0:
        return needed
    matched = volts / (2 * ohms)
    if needed > volts * matched / 2:
        return None
    least = -1.0
    while volts * least - ohms * least**2 > needed:
        least *= 2
    current = brentq(
        lambda amps: volts * amps - ohms * amps**2 - needed, least, matched, xtol=1e-14, rtol=1e-14
    )
    return volts * current


@given(CAR)
def test_three_losses_against_first_principles(car):
    expected = at_the_terminals(car, car["speed"])
    size = abs(at_the_wheels(car, car["speed"])) / car["drive_efficiency"] + abs(expected)
    for topic in (cw.load, cw.vehicle, cw.sun):
        found = topic.find("battery_power", **car).si
        assert found == pytest.approx(expected, rel=1e-9, abs=1e-9 * size), topic.name


@given(PACKED)
def test_the_pack_loses_by_the_square_of_the_current_both_ways(car):
    """Uphill and down: a charging current loses in the resistance, too."""
    speed = car["speed"]
    expected = inside_the_pack(car, speed)
    size = abs(at_the_terminals(car, speed)) + car["auxiliary_power"] + 1e-3
    if expected is None:
        if at_the_terminals(car, speed) > 1.000001 * car["pack_voltage"] ** 2 / (
            4 * car["pack_resistance"]
        ):
            with pytest.raises(cw.NoSolutionError, match="cannot give that much"):
                cw.vehicle.find("battery_power", **car)
        return
    near_the_end = 2 * car["pack_resistance"] * expected > 0.999 * car["pack_voltage"] ** 2
    if near_the_end:
        return  # there the current is the difference of two like numbers
    found = cw.vehicle.find("battery_power", **car)
    assert len(found.solutions_si) == 1
    assert found.si == pytest.approx(expected, rel=1e-8, abs=1e-8 * size)
    lost = cw.vehicle.find("pack_loss", **car).si
    current = expected / car["pack_voltage"]
    assert lost == pytest.approx(car["pack_resistance"] * current**2, rel=1e-7, abs=1e-8 * size)
    assert lost >= -1e-9 * size


@settings(max_examples=50)
@given(PACKED)
def test_the_voltage_is_found_back_from_the_power_both_ways(car):
    """Also where the road charges the battery, so that its power is negative and the loss is not."""
    expected = inside_the_pack(car, car["speed"])
    volts, ohms = car["pack_voltage"], car["pack_resistance"]
    if expected is None or 2 * ohms * expected > 0.99 * volts**2:
        return
    loss = ohms * (expected / volts) ** 2
    if loss < 1e-6 * abs(at_the_terminals(car, car["speed"])) + 1e-9:
        return  # the difference of two like numbers
    known = {name: value for name, value in car.items() if name != "pack_voltage"}
    found = cw.load.find("pack_voltage", battery_power=expected, **known)
    assert found.si == pytest.approx(volts, rel=1e-6)
    short = cw.load.find(
        "pack_voltage", battery_power=expected, pack_loss=loss, pack_resistance=ohms
    )
    assert short.si == pytest.approx(volts, rel=1e-9)


@settings(max_examples=50)
@given(PACKED, st.floats(1e7, 4e8))
def test_speeds_for_a_range_with_resistance(car, energy):
    """Every speed that gives a range, by a scan of U I over v; and the one started from among them."""
    drawn = inside_the_pack(car, car["speed"])
    if drawn is None or drawn <= 1e-6 * abs(at_the_wheels(car, car["speed"])) + 1e-3:
        return
    if 2 * car["pack_resistance"] * drawn > 0.99 * car["pack_voltage"] ** 2:
        return
    there = cw.vehicle.find("range", usable_energy=energy, **car)
    assert there.si == pytest.approx(energy / drawn * car["speed"], rel=1e-6)
    known = {name: value for name, value in car.items() if name != "speed"}
    back = cw.vehicle.find("speed", range=there.si, usable_energy=energy, **known)
    for speed in back.solutions_si:
        power = inside_the_pack(car, speed)
        assert power is not None
        assert energy / power * speed == pytest.approx(there.si, rel=1e-5)
    # The slope of the range says how closely a speed can be told from it.
    low, high = (
        inside_the_pack(car, car["speed"] * (1 + shift)) or math.inf for shift in (-1e-6, 1e-6)
    )
    slope = abs(low / (1 - 1e-6) - high / (1 + 1e-6)) / 2e-6 / drawn
    if math.isfinite(slope) and slope > 0.05:
        nearest = min(abs(one - car["speed"]) for one in back.solutions_si)
        assert nearest < 1e-6 * car["speed"]


CELLS = {"cells_in_series": 96, "cells_in_parallel": 18, "cell_voltage": "3.63 V"}
KNOWN = {
    "cell_capacity": "5 Ah",
    "usable_fraction": 0.93,
    "speed": "120 km/h",
    "drag_area": 0.6,
    "mass": 1500,
    "rolling_coefficient": 0.01,
    "drive_efficiency": 0.88,
    "auxiliary_power": 400,
    "air_density": 1.2,
}


def test_a_known_resistance_shortens_the_range_by_hand():
    without = cw.vehicle.find("range", **CELLS, **KNOWN)
    counted = cw.vehicle.find("range", **CELLS, **KNOWN, cell_resistance="26 mΩ")
    volts, ohms = 96 * 3.63, 96 * 0.026 / 18
    speed = 120 / 3.6
    wheels = (0.5 * 1.2 * 0.6 * speed**2 + 0.01 * 1500 * G) * speed
    terminals = wheels / 0.88 + 400
    current = (volts - math.sqrt(volts**2 - 4 * ohms * terminals)) / (2 * ohms)
    assert counted.si / without.si == pytest.approx(terminals / (volts * current), rel=1e-12)
    assert 0.9 < counted.si / without.si < 0.99
    found = cw.vehicle.find("cell_resistance", **CELLS, **KNOWN, range=counted.si)
    assert found.to("mΩ") == pytest.approx(26, rel=1e-7)


def test_a_pack_that_nothing_is_said_of_is_not_one_without_resistance():
    """What is lost counts as nought then, and without a word; its resistance stays unknown."""
    answer = cw.vehicle.find("range", **CELLS, **KNOWN)
    assert answer.assumed["pack_loss"] == 0
    assert "pack" not in answer.working.text.partition("Assumed")[2]
    for name in ("pack_resistance", "cell_resistance", "voltage_sag"):
        with pytest.raises(cw.TooLittleKnownError):
            cw.vehicle.find(name, **CELLS, **KNOWN)
    sheet_reach = cw.vehicle.network.reach((*CELLS, *KNOWN), standing=True)
    assert "range" in sheet_reach
    assert "driving_current" in sheet_reach
    assert not {"pack_resistance", "cell_resistance", "voltage_sag"} & sheet_reach


def test_what_is_asked_of_the_air_is_not_answered_by_the_standing_atmosphere():
    there = cw.vehicle.find("range", **CELLS, **KNOWN).si
    known = {name: value for name, value in KNOWN.items() if name != "air_density"}
    back = cw.vehicle.find("air_density", range=there, **CELLS, **known)
    assert back.si == pytest.approx(1.2, rel=1e-9)


def test_the_plain_line_stays_where_nothing_is_said_of_losses():
    answer = cw.load.find(
        "battery_power",
        **{k: v for k, v in KNOWN.items() if k not in {"cell_capacity", "usable_fraction"}},
    )
    assert "P_bat = P_wheel / η_drive + P_aux" in answer.working.text
    for word in ("P_idle", "c_sq", "L_pack", "No loss"):
        assert word not in answer.working.text


@given(CAR)
def test_efficiency_at_this_load(car):
    wheels = at_the_wheels(car, car["speed"])
    if wheels <= 1e-6 * car["mass"]:
        return
    taken = at_the_terminals(car, car["speed"]) - car["auxiliary_power"]
    found = cw.load.find("effective_drive_efficiency", **car).si
    assert found == pytest.approx(wheels / taken, rel=1e-6)
    assert found <= car["drive_efficiency"] * (1 + 1e-9)


def test_it_differs_by_speed_only_with_losses_by_load():
    road = {
        name: value
        for name, value in KNOWN.items()
        if name
        in {
            "drag_area",
            "mass",
            "rolling_coefficient",
            "drive_efficiency",
            "auxiliary_power",
            "air_density",
        }
    }
    losses = {"drive_idle_loss": "300 W", "drive_square_loss": "0.6 W/kW²"}
    slow, fast = (
        cw.load.find("effective_drive_efficiency", speed=speed, **road, **losses).si
        for speed in ("30 km/h", "130 km/h")
    )
    assert slow < fast - 0.08
    assert fast < 0.88
    plain = [
        cw.load.find("effective_drive_efficiency", speed=speed, **road).si
        for speed in ("30 km/h", "130 km/h")
    ]
    assert plain == pytest.approx([0.88, 0.88], rel=1e-12)


@given(
    st.floats(-15.0, 20.0),
    st.one_of(st.just(0.0), st.floats(10.0, 4000.0)),
    st.floats(1.0, 3000.0),
    st.floats(1e-8, 3e-6),
    st.floats(0.2, 2.0),
    st.floats(0.5, 1.0),
    st.floats(300.0, 5000.0),
    st.floats(0.0, 0.06),
)
def test_the_most_economical_speed_knows_the_losses(
    wind, auxiliary, idle, square, area, efficiency, mass, grade
):
    """The least of the consumption, by a scan of it, as long as the wheels take power."""
    known = {
        "headwind": wind,
        "auxiliary_power": auxiliary,
        "drive_idle_loss": idle,
        "drive_square_loss": square,
        "drag_area": area,
        "drive_efficiency": efficiency,
        "air_density": 1.2,
        "mass": mass,
        "rolling_coefficient": 0.01,
        "grade": grade,
    }
    speeds = np.geomspace(0.2, 200.0, 60_001)
    through = speeds + wind
    angle = math.atan(grade)
    force = 0.5 * 1.2 * area * np.abs(through) * through
    force += mass * G * (0.01 * math.cos(angle) + math.sin(angle))
    cost = force / efficiency + square * force**2 * speeds + (auxiliary + idle) / speeds
    hollows = np.flatnonzero((cost[1:-1] < cost[:-2]) & (cost[1:-1] <= cost[2:])) + 1
    if (force < 0).any():
        return
    try:
        found = cw.load.find("economical_speed", **known).solutions_si
    except cw.NoSolutionError:
        found = ()
    # At the ends of the scan one of the two may lie inside and the other outside. Of several hollows
    # the deepest is meant, to the step of the scan.
    within = [place for place in hollows if 0.21 < speeds[place] < 199]
    assert list(found) or not within
    for one in found:
        if 0.21 < one < 199:
            place = min(hollows, key=lambda place: abs(speeds[place] - one))
            assert abs(speeds[place] - one) < 4e-4 * one + 1e-3
            assert cost[place] <= cost[within].min() * (1 + 1e-6)


@given(
    st.floats(0.0, 1500.0),
    st.floats(0.0, 300.0),
    st.floats(-0.03, 0.03),
    st.floats(-10.0, 10.0),
)
def test_on_sunlight_the_losses_slow_a_vehicle(sunlight, idle, grade, wind):
    """Speeds at which panel and road are in balance, by a scan, losses of the drive included."""
    car = {"drag_area": 0.4, "mass": 600.0, "rolling_coefficient": 0.008, "air_density": 1.2}
    drive = {"drive_efficiency": 0.85, "auxiliary_power": 70.0}
    losses = {"drive_idle_loss": idle}
    answer = cw.sun.find(
        "equilibrium_speed",
        solar_power=sunlight,
        grade=grade,
        headwind=wind,
        **car,
        **drive,
        **losses,
    )
    speeds = np.linspace(0.0, 150.0, 60_001)[1:]
    angle = math.atan(grade)
    weight = 600.0 * G * (0.008 * math.cos(angle) + math.sin(angle))
    wheels = (0.5 * 1.2 * 0.4 * np.abs(speeds + wind) * (speeds + wind) + weight) * speeds
    left = wheels - 0.85 * max(sunlight - 70.0 - idle, 0.0)
    crossings = speeds[1:][np.sign(left[1:]) != np.sign(left[:-1])]
    found = [one for one in answer.solutions_si if one > 0.003]
    for one in crossings:
        assert min((abs(one - other) for other in found), default=np.inf) < 0.006
    assert len(found) <= len(crossings) + 1  # two may lie within a step of the scan


@given(
    st.floats(0.6, 1.0),
    st.one_of(st.just(0.0), st.floats(1.0, 2000.0)),
    st.one_of(st.just(0.0), st.floats(1e-8, 3e-6)),
    st.lists(st.floats(1e3, 2e5), min_size=3, max_size=7, unique=True),
)
def test_the_losses_of_a_drive_are_found_from_its_efficiencies(efficiency, idle, square, loads):
    power = np.array(sorted(loads))
    if (power[1:] / power[:-1]).min() < 1.2:
        return
    measured = power / (power / efficiency + idle + square * power**2)
    if measured.min() < 0.05:
        return
    found = cw.fit_drive_losses(power, measured)
    again = power / (
        power / found["drive_efficiency"]
        + found["drive_idle_loss"]
        + found["drive_square_loss"] * power**2
    )
    np.testing.assert_allclose(again, measured, rtol=1e-7)
    for load, one in zip(power, measured, strict=True):
        known = found | {"wheel_power": load, "auxiliary_power": 0}
        there = cw.load.find("effective_drive_efficiency", **known)
        assert there.si == pytest.approx(one, rel=1e-7)


@pytest.mark.parametrize(
    ("loads", "efficiencies", "words"),
    [
        (["2 kW", "10 kW"], [0.8, 0.9], "three losses apart"),
        (["2 kW", "10 kW", "10 kW"], [0.8, 0.9, 0.9], "three losses apart"),
        (["2 kW", "10 kW", "50 kW"], [0.8, 0.9], "3 loads and 2 efficiencies"),
        (["-2 kW", "10 kW", "50 kW"], [0.8, 0.9, 0.9], "no power at −2"),
        (["2 kW", "10 kW", "50 kW"], [0.95, 0.9, 0.85], "at any load of −"),
        (["2 kW", "10 kW", "50 kW"], [0.8, 0.85, 0.95], "by the square of −"),
        (["2 kW", "10 kW", "50 kW"], [0.5, 0.99, 0.97], "in proportion of −"),
    ],
)
def test_efficiencies_that_no_such_losses_make_are_refused(loads, efficiencies, words):
    with pytest.raises(cw.ChalkwattError, match=words):
        cw.fit_drive_losses(loads, efficiencies)


def test_more_points_are_met_as_closely_as_can_be():
    power = np.array([2e3, 5e3, 15e3, 40e3, 90e3])
    measured = power / (power / 0.91 + 350 + 4e-7 * power**2)
    blurred = measured * np.array([1.002, 0.998, 1.001, 0.999, 1.001])
    found = cw.fit_drive_losses(power, blurred)
    assert found["drive_efficiency"] == pytest.approx(0.91, abs=0.01)
    assert found["drive_idle_loss"] == pytest.approx(350, rel=0.05)
    assert found["drive_square_loss"] == pytest.approx(4e-7, rel=0.3)


def test_a_flow_shows_every_loss():
    chain = {f"{one}_efficiency": 0.96 for one in ("battery", "inverter", "motor", "gear", "tyre")}
    car = {"speed": "80 km/h", "drag_area": 0.5, "mass": 1400, "rolling_coefficient": 0.009}
    losses = {"drive_idle_loss": 250, "drive_square_loss": "0.5 W/kW²", "pack_loss": 90}
    flow = cw.energy_flow(**chain, **car, **losses, auxiliary_power=300, air_density=1.2)
    shares = {part.words: part.share for part in flow.parts}
    speed = 80 / 3.6
    wheels = (0.5 * 1.2 * 0.5 * speed**2 + 0.009 * 1400 * G) * speed
    total = wheels / 0.96**5 + 250 + 0.5e-6 * wheels**2 + 90 + 300
    assert shares["pack's resistance"] == pytest.approx(90 / total, rel=1e-9)
    assert shares["drive at any load"] == pytest.approx(250 / total, rel=1e-9)
    assert shares["drive by square of load"] == pytest.approx(0.5e-6 * wheels**2 / total, rel=1e-9)
    reaching = wheels / 0.96**5
    assert shares["battery"] == pytest.approx(0.04 * reaching / total, rel=1e-9)
    assert sum(shares.values()) == pytest.approx(1, rel=1e-12)


def test_a_cross_wind_is_said_to_be_left_out():
    (drag,) = [one for one in cw.load.relations if one.title == "Air drag"]
    assert "cross wind" in " ".join(drag.assumptions)


@pytest.mark.parametrize("wanted", ["pack_energy", "pack_capacity", "cells_in_series"])
def test_what_the_voltage_follows_from_is_found_from_a_range(wanted):
    """The loss is counted on the way back as on the way there, also where the voltage is not yet known."""
    car = {name: value for name, value in KNOWN.items() if name != "cell_capacity"}
    car |= {"pack_energy": "60 kWh", "pack_capacity": "180 Ah", "cells_in_series": 96}
    car |= {"cells_in_parallel": 36, "cell_resistance": "40 mΩ"}
    there = cw.vehicle.find("range", **car)
    known = {name: value for name, value in car.items() if name != wanted}
    for one in cw.vehicle.find(wanted, range=there.si, **known).solutions_si:
        again = cw.vehicle.find("range", **known | {wanted: one})
        assert again.si == pytest.approx(there.si, rel=1e-9)
