"""Packs as circuits, solved node by node, and counted cell by cell."""

import math

import numpy as np
import pytest
from scipy.optimize import minimize_scalar

from chalkwatt import discharge, pack
from tests.independent import chances, near


def terminals(series, parallel, volts, ohms, current):
    """Voltage of a pack that gives a current, by Kirchhoff's laws at every node.

    Node 0 is minus; each of the `series` groups lies between two nodes, with `parallel` cells.
    """
    size = series + 1
    admittance, into = np.zeros((size, size)), np.zeros(size)
    for group in range(series):
        low, high = group, group + 1
        for _ in range(parallel):
            admittance[low, low] += 1 / ohms
            admittance[high, high] += 1 / ohms
            admittance[low, high] -= 1 / ohms
            admittance[high, low] -= 1 / ohms
            into[high] += volts / ohms
            into[low] -= volts / ohms
    into[series] -= current
    into[0] += current
    volts_at = np.linalg.solve(admittance[1:, 1:], into[1:])
    return float(volts_at[-1])


def cells(chance):
    return {
        "cells_in_series": chance.randint(12, 110),
        "cells_in_parallel": chance.randint(2, 40),
        "cell_voltage": chance.uniform(3.2, 3.75),
        "cell_resistance": chance.uniform(0.005, 0.04),
    }


def of_circuit(known, current, volts=None):
    return terminals(
        known["cells_in_series"],
        known["cells_in_parallel"],
        known["cell_voltage"] if volts is None else volts,
        known["cell_resistance"],
        current,
    )


@pytest.mark.parametrize("chance", chances("circuit", 4))
def test_a_pack_under_load(chance):
    known = cells(chance)
    through_a_cell = chance.uniform(1, 12)
    current = through_a_cell * known["cells_in_parallel"]
    open_voltage, loaded = of_circuit(known, 0.0), of_circuit(known, current)
    near(pack.find("pack_voltage", **known), open_voltage)
    near(pack.find("pack_resistance", **known), (open_voltage - loaded) / current, rel=1e-7)
    load = known | {"cell_current": through_a_cell}
    near(pack.find("pack_current", **load), current)
    near(pack.find("terminal_voltage", **load), loaded)
    near(pack.find("pack_power", **load), loaded * current)
    near(pack.find("voltage_sag", **load), 1 - loaded / open_voltage, rel=1e-7)
    near(pack.find("pack_heat", **load), (open_voltage - loaded) * current, rel=1e-7)


@pytest.mark.parametrize("chance", chances("limits", 4))
def test_most_power_by_a_scan_of_currents(chance):
    """Where the sagging voltage meets its floor, and where the current meets its ceiling."""
    known = cells(chance)
    floor = chance.uniform(0.55, 0.8) * known["cell_voltage"]
    most = chance.uniform(8, 30)
    currents = np.linspace(0, known["cell_voltage"] / known["cell_resistance"], 400_001)
    volts = known["cell_voltage"] - known["cell_resistance"] * currents
    count = known["cells_in_series"] * known["cells_in_parallel"]
    powers = count * volts * currents
    allowed = powers[volts >= floor].max()
    made = pack.find("voltage_limited_power", cell_voltage_min=floor, **known)
    near(made, allowed, rel=2e-4)
    if most < 0.49 * known["cell_voltage"] / known["cell_resistance"]:
        made = pack.find("current_limited_power", cell_current_max=most, **known)
        near(made, powers[currents <= most].max(), rel=2e-4)
        near(
            pack.find("pack_current_max", cell_current_max=most, **known),
            most * known["cells_in_parallel"],
        )
    for name, cell, each in (
        ("pack_voltage_max", "cell_voltage_max", 4.2),
        ("pack_voltage_min", "cell_voltage_min", floor),
    ):
        near(pack.find(name, **known, **{cell: each}), of_circuit(known, 0.0, each))


@pytest.mark.parametrize("chance", chances("energy", 4))
def test_a_pack_emptied_cell_by_cell(chance):
    """An ampere-hour at a time out of every cell: charge, energy and mass of the whole."""
    known = cells(chance)
    known.pop("cell_resistance")
    charge = chance.uniform(2, 60) * 3600
    mass = chance.uniform(0.05, 1.2)
    current = charge / 7200  # out of each cell for two hours
    energy = cell_energy = pack_charge = 0.0
    seconds = 7200
    for _ in range(100):
        step = seconds / 100
        cell_energy += known["cell_voltage"] * current * step
        pack_charge += current * known["cells_in_parallel"] * step
        for _ in range(known["cells_in_series"]):
            energy += known["cell_voltage"] * current * known["cells_in_parallel"] * step
    count = sum(
        1 for _ in range(known["cells_in_series"]) for _ in range(known["cells_in_parallel"])
    )
    share, used = chance.uniform(0.5, 0.75), chance.uniform(0.85, 0.98)
    known |= {"cell_capacity": charge}
    full = known | {"cell_mass": mass, "cell_mass_fraction": share, "usable_fraction": used}
    heavy = count * mass / share
    for name, value in {
        "cell_count": count,
        "pack_capacity": pack_charge,
        "cell_energy": cell_energy,
        "pack_energy": energy,
        "cells_mass": count * mass,
        "pack_mass": heavy,
        "cell_specific_energy": cell_energy / mass,
        "pack_specific_energy": energy / heavy,
        "usable_energy": energy * used,
        "reserve_energy": energy - energy * used,
    }.items():
        near(pack.find(name, **full), value)
    # The same by other ways in: from the count, from modules, and for one cell alone.
    near(pack.find("pack_energy", cell_count=count, cell_energy=cell_energy), energy)
    near(
        pack.find(
            "pack_specific_energy",
            cell_mass_fraction=share,
            cell_specific_energy=cell_energy / mass,
        ),
        energy / heavy,
    )
    near(pack.find("cell_count", module_count=7, cells_per_module=24), sum(24 for _ in range(7)))
    hours = charge / (3 * current) / 3600
    near(
        pack.find("c_rate", pack_current=3 * current * known["cells_in_parallel"], **known),
        1 / hours / 3600,
    )
    near(pack.find("c_rate", cell_current=3 * current, cell_capacity=charge), 1 / hours / 3600)


@pytest.mark.parametrize("chance", chances("load", 3))
def test_a_battery_on_a_load(chance):
    """Currents by bisection of Kirchhoff's voltage law; the most power by a search over loads."""
    volts, inner, outer = chance.uniform(6, 400), chance.uniform(0.01, 0.3), chance.uniform(0.3, 5)
    low, high = 0.0, volts / inner
    for _ in range(200):
        middle = (low + high) / 2
        low, high = (middle, high) if volts - middle * inner > middle * outer else (low, middle)
    battery = {"pack_voltage": volts, "pack_resistance": inner}
    on_load = battery | {"load_resistance": outer}
    near(discharge.find("pack_current", **on_load), low)
    near(discharge.find("terminal_voltage", **on_load), volts - low * inner)
    near(discharge.find("pack_power", **on_load), (volts - low * inner) * low)
    near(discharge.find("short_circuit_current", **battery), volts / inner)

    def lost(load):
        current = np.linalg.solve([[inner + load]], [volts])[0]
        return -load * current**2

    best = minimize_scalar(lost, bounds=(inner / 50, inner * 50), method="bounded")
    near(discharge.find("matched_power", **battery), -best.fun, rel=1e-7)


@pytest.mark.parametrize("chance", chances("peukert", 3))
def test_peukert_by_its_two_points(chance):
    """Peukert (1897): I^k t is the same at every current; a straight line of logarithms."""
    exponent, rated, capacity = chance.uniform(1.05, 1.4), 3600 * chance.uniform(5, 25), 3.6e5
    current = chance.uniform(10, 60)
    rated_current = capacity / rated
    logarithm = math.log(rated) + exponent * (math.log(rated_current) - math.log(current))
    known = {
        "rated_capacity": capacity,
        "rated_discharge_time": rated,
        "peukert_exponent": exponent,
        "pack_current": current,
    }
    near(discharge.find("discharge_time", **known), math.exp(logarithm))
    # Nothing said: 20 hours, and the capacity whatever the current.
    near(
        discharge.find("discharge_time", rated_capacity=capacity, pack_current=current),
        capacity / current,
    )
    known.pop("rated_discharge_time")
    at_rating = discharge.find("discharge_time", **known | {"pack_current": capacity / 72000})
    near(at_rating, 72000)


def test_energy_out_over_energy_in():
    current, out_volts, in_volts, lost = 30.0, 355.0, 388.0, 0.04
    charge_in = 5 * 3600 * current
    energy_in = sum(in_volts * current * 60 for _ in range(300))
    energy_out = (1 - lost) * charge_in * out_volts
    made = discharge.find(
        "cycle_efficiency",
        charge_efficiency=1 - lost,
        mean_discharge_voltage=out_volts,
        mean_charge_voltage=in_volts,
    )
    near(made, energy_out / energy_in)
