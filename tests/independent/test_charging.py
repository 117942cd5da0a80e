"""Charging counted second by second, and grid power from the waves of its phases."""

import math

import numpy as np
import pytest

from chalkwatt import charge, economy
from chalkwatt.planning.evaluation import compile_plan
from chalkwatt.planning.network import Network
from tests.independent import chances, near


@pytest.mark.parametrize("angle", [0.0, 0.35])
def test_power_of_a_socket_from_its_waves(angle):
    """Volts times amperes over one period of the grid, phase by phase; the angle is that of the power factor."""
    volts, amperes = 231.0, 14.0
    turns = np.linspace(0, 2 * math.pi, 200_001)
    for phases in (1, 3):
        mean = 0.0
        for phase in range(phases):
            shift = 2 * math.pi * phase / 3
            wave = math.sqrt(2) * volts * np.cos(turns - shift)
            flow = math.sqrt(2) * amperes * np.cos(turns - shift - angle)
            mean += float(np.trapezoid(wave * flow, turns)) / (2 * math.pi)
        made = charge.find(
            "ac_power",
            phases=phases,
            phase_voltage=volts,
            line_current=amperes,
            power_factor=math.cos(angle),
        )
        near(made, mean)
    between = np.cos(turns) - np.cos(turns - 2 * math.pi / 3)
    effective = (
        math.sqrt(2) * volts * math.sqrt(float(np.trapezoid(between**2, turns)) / (2 * math.pi))
    )
    near(charge.find("line_voltage", phase_voltage=volts), effective, rel=1e-9)


def test_nothing_said_of_the_power_factor():
    near(charge.find("ac_power", phases=1, phase_voltage=230.0, line_current=10.0), 2300.0)


@pytest.mark.parametrize("chance", chances("charge", 4))
def test_a_charge_second_by_second(chance):
    usable, start, end = (
        chance.uniform(5e7, 3e8),
        chance.uniform(0.05, 0.3),
        chance.uniform(0.6, 0.9),
    )
    station, taper = chance.uniform(4e4, 2e5), chance.uniform(0.6, 1.0)
    efficiency, consumption = chance.uniform(0.82, 0.95), chance.uniform(350, 800)
    stored, time, wall, step = start * usable, 0.0, 0.0, 0.01
    rate = taper * station
    whole = int((end - start) * usable / (rate * step))
    stored += whole * rate * step
    time += whole * step
    last = (end * usable - stored) / rate
    time += last
    wall = sum(part / efficiency for part in (whole * rate * step, last * rate))
    added = (end - start) * usable
    known = {
        "usable_energy": usable,
        "state_of_charge_from": start,
        "state_of_charge_to": end,
        "charging_voltage": 400.0,
        "station_power_max": station,
        "taper_factor": taper,
        "charging_efficiency": efficiency,
        "consumption": consumption,
    }
    metres = added / consumption
    for name, value in {
        "energy_added": added,
        "charging_power": station,
        "average_charging_power": added / time,
        "charging_time": time,
        "charging_current": station / 400.0,
        "wall_power": station * wall / added,
        "wall_energy": wall,
        "charging_loss": wall - added,
        "distance_added": metres,
        "average_charging_speed": metres / time,
        "distance_in_ten_minutes": 600 * metres / time,
        "charging_speed": metres / time / taper,
        "wall_consumption": wall / metres,
    }.items():
        near(charge.find(name, **known), value, rel=1e-8)
    near(
        charge.find("charging_speed", wall_power=7000.0, wall_consumption=wall / metres),
        7000.0 * metres / wall,
        rel=1e-8,
    )
    # Nothing said of a taper: the power stays the highest.
    known.pop("taper_factor")
    near(charge.find("charging_time", **known), added / station)


def test_nothing_said_of_a_resistance():
    """Then the voltage stays what it is, whatever flows."""
    near(charge.find("charging_voltage", pack_voltage=350.0, charging_current=200.0), 350.0)
    made = charge.find("charging_power", pack_voltage=350.0, station_current_max=200.0)
    near(made, 70e3)


def test_nothing_said_of_the_other_limits():
    """Of cells, wiring, station, outlet and charger on board, one alone, and the rest has no say."""
    for limit, value, power in (
        ("cell_current_limit", 100.0, 40e3),
        ("pack_charge_current_max", 110.0, 44e3),
        ("station_current_max", 120.0, 48e3),
        ("station_power_max", 50e3, 50e3),
    ):
        near(charge.find("charging_power", charging_voltage=400.0, **{limit: value}), power)
    for limit in ("ac_power", "onboard_power_max"):
        alone = {limit: 7e3, "charging_efficiency": 0.9}
        near(charge.find("onboard_power_limit", **alone), 6.3e3)
        near(charge.find("charging_power", charging_voltage=400.0, **alone), 6.3e3)


LIMITS = {
    "station_power_max": 120e3,
    "station_current_max": 300.0,
    "cell_charge_current_max": 14.0,
    "pack_charge_current_max": 310.0,
}


@pytest.mark.parametrize("least", [*LIMITS, "none"])
def test_the_least_limit_of_direct_current(least):
    """At 400 V, twenty cells side by side: every limit in turn is the least of all that is written out."""
    here = dict(LIMITS)
    if least != "none":
        here[least] *= 0.4
    allowed = [
        here["station_power_max"],
        here["station_current_max"] * 400.0,
        here["cell_charge_current_max"] * 20 * 400.0,
        here["pack_charge_current_max"] * 400.0,
    ]
    vehicle = {"charging_voltage": 400.0, "cells_in_parallel": 20, **here}
    near(charge.find("charging_power", **vehicle), min(allowed))
    near(charge.find("station_power_limit", **vehicle), min(allowed[:2]))
    near(charge.find("cell_power_limit", **vehicle), allowed[2])
    near(charge.find("pack_power_limit", **vehicle), allowed[3])


@pytest.mark.parametrize("least", ["ac_power", "onboard_power_max"])
def test_the_least_limit_of_alternating_current(least):
    here = {"ac_power": 11e3, "onboard_power_max": 12e3} | {least: 7e3}
    made = charge.find("onboard_power_limit", charging_efficiency=0.9, **here)
    near(made, 6.3e3)
    made = charge.find(
        "charging_power", charging_efficiency=0.9, charging_voltage=400.0, cells_in_parallel=20,
        cell_charge_current_max=14.0, **here,
    )  # fmt: skip
    near(made, 6.3e3)


def test_limits_of_the_cells_by_their_rate():
    """Cells of 5 Ah that may be filled in 40 minutes, twenty side by side."""
    rate = 1 / (40 * 60)
    known = {"cell_charge_rate_max": rate, "cell_capacity": "5 Ah"}
    near(charge.find("cell_charge_current_max", **known), 5 * 3600 / 2400)
    near(charge.find("cell_current_limit", cells_in_parallel=20, **known), 20 * 5 * 3600 / 2400)
    made = charge.find("cell_current_limit", cell_charge_rate_max=rate, pack_capacity="100 Ah")
    near(made, 100 * 3600 / 2400)
    near(charge.find("c_rate", charging_current=150.0, pack_capacity="100 Ah"), rate)


@pytest.mark.parametrize("chance", chances("rise", 3))
def test_voltage_rises_while_it_charges(chance):
    """Kirchhoff's mesh: source at the terminals, the pack's own voltage and its resistance."""
    volts, ohms, flow = chance.uniform(300, 700), chance.uniform(0.02, 0.2), chance.uniform(50, 400)
    matrix = [[1.0, 0.0, -ohms], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]]
    at_terminals, _, _ = np.linalg.solve(matrix, [volts, volts, flow])
    known = {"pack_voltage": volts, "pack_resistance": ohms, "charging_current": flow}
    near(charge.find("charging_voltage", **known), at_terminals)
    near(charge.find("charging_power", **known), at_terminals * flow)


def test_energy_of_a_pack_that_charges():
    known = {"pack_voltage": 350.0, "pack_capacity": "100 Ah"}
    joules = sum(350.0 * 100.0 for _ in range(3600))  # a hundred amperes for an hour
    near(charge.find("usable_energy", **known), joules)
    near(charge.find("usable_energy", usable_fraction=0.9, **known), 0.9 * joules)


def counted(chance):
    """A hundred kilometres, 55 of them city: joules at one meter, kilometre by kilometre."""
    city, highway = chance.uniform(400, 700), chance.uniform(500, 900)
    share = chance.uniform(0.4, 0.7)
    metres = 1000
    spent = (
        sum(city if place < share * metres else highway for place in np.arange(metres) + 0.5)
        / metres
    )
    exact = round(share * metres) / metres
    return city, highway, exact, spent


@pytest.mark.parametrize("chance", chances("label", 3))
def test_a_label_metre_by_metre(chance):
    city, highway, share, spent = counted(chance)
    usable = chance.uniform(8e7, 3e8)
    known = {
        "city_consumption": city,
        "highway_consumption": highway,
        "city_share": share,
        "usable_energy": usable,
    }
    if "charging_efficiency" in economy.quantities:
        known["charging_efficiency"] = 1.0  # one meter
    reached = usable / spent
    for name, value in {
        "combined_consumption": spent,
        "city_economy": 1 / city,
        "highway_economy": 1 / highway,
        "combined_economy": 1 / spent,
        "tested_range": reached,
        "label_range": 0.7 * reached,
    }.items():
        near(economy.find(name, **known), value)
    near(economy.find("label_range", label_factor=0.8, **known), 0.8 * reached)
    gallon = 33.705 * 3.6e6 / (231 * 0.0254**3)  # J/m³
    near(economy.find("equivalent_economy", **known), gallon / spent)
    # Nothing said of the share: 55 and 45 metres of a hundred.
    known.pop("city_share")
    usual = sum(city if place < 55 else highway for place in range(100)) / 100
    near(economy.find("combined_consumption", **known), usual)


def stepped(chance):
    """A charge in steps of time, at constant power at the terminals: a voltage at rest behind a resistance."""
    rest = chance.uniform(40.0, 800.0)  # V
    ohms = rest * 10 ** chance.uniform(-5, -3.3)
    power = 10 ** chance.uniform(3, 5.3)  # W, at the terminals
    low, high = 0.0, power / rest  # the current: what it brings at the terminals rises with it
    for _ in range(200):
        middle = (low + high) / 2
        low, high = (middle, high) if (rest + middle * ohms) * middle < power else (low, middle)
    current, usable = low, 10 ** chance.uniform(6.5, 8.5)
    start = chance.uniform(0.0, 0.4)
    wanted = usable * chance.uniform(0.1, 0.5)
    time = stored = warm = 0.0
    step = wanted / (rest * current) / 1000
    while stored < wanted * (1 - 1e-9):
        stored += rest * current * step
        warm += current * current * ohms * step
        time += step
    given = {"pack_voltage": rest, "pack_resistance": ohms, "usable_energy": usable,
             "state_of_charge_from": start, "state_of_charge_to": start + wanted / usable,
             "station_power_max": power}  # fmt: skip
    return given, current, time, stored, warm


@pytest.mark.parametrize("chance", chances("heat of the cells", 6))
def test_a_charge_that_warms_the_cells_step_by_step(chance):
    given, current, time, stored, warm = stepped(chance)
    efficiency, consumption = chance.uniform(0.8, 0.97), chance.uniform(200.0, 1500.0)
    drive = {"consumption": consumption, "charging_efficiency": efficiency}
    for name, value in {
        "charging_current": current,
        "stored_energy": stored,
        "charging_heat": warm,
        "energy_added": stored + warm,
        "charging_time": time,
        "stored_power": stored / time,
        "charging_speed": stored / consumption / time,
        "distance_added": stored / consumption,
        "wall_energy": (stored + warm) / efficiency,
    }.items():
        near(charge.find(name, **given, **drive), value, rel=1e-8)
    # The same by other roads: from what is at rest, from what is lost, and counted at the wall.
    rest, ohms = given["pack_voltage"], given["pack_resistance"]
    cells = {"pack_voltage": rest, "pack_resistance": ohms, "charging_current": current}
    near(charge.find("charging_heat", stored_energy=stored, **cells), warm, rel=1e-8)
    near(charge.find("energy_added", stored_energy=stored, charging_heat=warm), stored + warm)
    near(
        charge.find("stored_power", pack_voltage=rest, charging_current=current),
        stored / time,
        rel=1e-8,
    )
    terminals = (stored + warm) / time
    near(
        charge.find(
            "stored_power", charging_power=terminals, charging_current=current, pack_resistance=ohms
        ),
        stored / time,
        rel=1e-8,
    )
    at_the_wall = {
        "wall_power": terminals / efficiency,
        "wall_consumption": consumption / efficiency,
    }
    near(
        charge.find("charging_speed", **at_the_wall, **cells), stored / consumption / time, rel=1e-8
    )
    # Each law at this charge, also those that a plan does without, for they follow from others.
    values = given | {
        "charging_current": current,
        "charging_power": terminals,
        "charging_voltage": terminals / current,
        "stored_energy": stored,
        "charging_heat": warm,
        "energy_added": stored + warm,
        "stored_power": stored / time,
        "consumption": consumption,
        "charging_efficiency": efficiency,
        "charging_speed": stored / consumption / time,
        **at_the_wall,
    }
    held = set()
    for relation in charge.network.strong:
        if not {*values}.issuperset(relation.names):
            continue
        held.add(relation.title)
        # Alone, so that the plan has no other way: each of its quantities by all the others.
        law = Network("one law alone", (relation,))
        for wanted in dict.fromkeys(relation.names):
            known = {name: values[name] for name in relation.names if name != wanted}
            found = compile_plan(law.plan(wanted, known)).branches(known)
            roots = [float(one.values[wanted]) for one in found]
            assert any(one == pytest.approx(values[wanted], rel=1e-7) for one in roots), (
                relation.title, wanted, roots, values[wanted],
            )  # fmt: skip
    assert len(held) >= 8
    assert "Distance added per time, counted at the wall" in held
