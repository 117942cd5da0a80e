"""The pack against what was published; the values stand in pack.toml."""

import pytest

from chalkwatt import pack
from chalkwatt.laws.quantities import look_up
from tests.external import published


def each(row):
    return pytest.mark.parametrize("case", published("pack", row), ids=lambda case: case.id)


def printed(row, quantity):
    (case,) = [one for one in published("pack", row) if one.quantity == quantity]
    return f"{case.printed} {case.unit}"


CELL = {
    "cell_capacity": printed("published-cell", "cell_capacity"),
    "cell_voltage": printed("published-cell-from-memory", "cell_voltage"),
    "cell_mass": printed("published-cell-from-memory", "cell_mass"),
}


@pytest.mark.parametrize("counts", [(1, 1), (96, 22), (108, 48)])
@each("published-cell")
def test_a_pack_has_its_cells_limits(case, counts):
    series, parallel = counts
    whole = {
        "cell_capacity": ("pack_capacity", parallel, "Ah"),
        "cell_voltage_max": ("pack_voltage_max", series, "V"),
        "cell_voltage_min": ("pack_voltage_min", series, "V"),
    }
    if case.quantity not in whole:
        return  # the volume of a cell is no quantity of the topic
    name, factor, unit = whole[case.quantity]
    made = pack.find(
        name,
        cells_in_series=series,
        cells_in_parallel=parallel,
        **{case.quantity: f"{case.printed} {case.unit}"},
    )
    case.check(made.to(unit) / factor)


@each("open-circuit-energy")
def test_energy_of_the_cell(case):
    # Nominal voltage times capacity counts a slow discharge; the integral of the open-circuit
    # curve is 5.7 % more, because the published nominal voltage is a mean under load.
    made = pack.find(
        "cell_energy", **{name: CELL[name] for name in ("cell_capacity", "cell_voltage")}
    )
    assert made.to("Wh") == pytest.approx(18.15, abs=0.005)
    assert made.to("Wh") == pytest.approx(case.value, rel=0.06)


@each("delivered-energy")
def test_delivered_energy_falls_with_rate_as_the_resistance_says(case):
    # Mean open-circuit voltage less current times resistance. The resistance is that of a 10 s
    # pulse at half charge, so what diffusion costs over hours is left out: the relation gives
    # 1.4, 3.0, 5.5 and 11.8 % more than the full model at C/5, C/2, 1C and 2C.
    rest = {"cells_in_series": 1, "cells_in_parallel": 1, "cell_capacity": CELL["cell_capacity"]}
    (resistance,) = [
        one for one in published("pack", "pulse-resistance") if one.given["state_of_charge"] == 0.5
    ]
    (energy,) = published("pack", "open-circuit-energy")
    mean = pack.find(
        "cell_voltage", cell_energy=f"{energy.printed} Wh", cell_capacity=CELL["cell_capacity"]
    )
    made = pack.find(
        "terminal_voltage",
        **rest,
        cell_voltage=mean.value,
        cell_resistance=f"{resistance.printed} mohm",
        c_rate=case.known["c_rate"],
    )
    delivered = made.si * look_up("cell_capacity").read(CELL["cell_capacity"]) / 3600
    assert 0 < delivered / case.value - 1 < 0.015 + 0.055 * case.given["c_rate"]


@each("pulse-resistance")
def test_resistance_is_usual_and_divides_among_cells(case):
    low, high = look_up("cell_resistance").usual
    assert low <= case.value / 1000 <= high
    made = pack.find(
        "pack_resistance",
        cells_in_series=96,
        cells_in_parallel=24,
        cell_resistance=f"{case.printed} mohm",
    )
    case.check(made.to("mΩ") / 4)


@each("other-cells")
def test_other_cells_can_be_entered(case):
    entry = look_up(case.quantity)
    assert entry.in_unit(entry.read(f"{case.printed} {case.unit}")) == pytest.approx(case.value)


@each("cells-in-the-pack")
def test_cell_mass_fraction_is_usual(case):
    low, high = look_up("cell_mass_fraction").usual
    assert low <= case.value
    assert case.highest <= high


@each("pack-specific-energy")
def test_specific_energy_of_the_published_cell_in_a_pack(case):
    # 265 Wh/kg at the cell, times the fractions from memory, covers the practice.
    cell = pack.find("cell_specific_energy", **CELL)
    assert cell.to("Wh/kg") == pytest.approx(265.35, abs=0.01)
    low, high = (
        pack.find("pack_specific_energy", **CELL, cell_mass_fraction=fraction).to("Wh/kg")
        for fraction in (0.55, 0.75)
    )
    assert low <= case.value
    assert case.highest <= high


def test_a_pack_by_hand():
    # 96 × 22 cells of 5 Ah at 3.63 V: 2112 × 18.15 Wh, by hand.
    made = pack.find(
        "pack_energy",
        cells_in_series=96,
        cells_in_parallel=22,
        cell_voltage=CELL["cell_voltage"],
        cell_capacity=CELL["cell_capacity"],
    )
    assert made.to("kWh") == pytest.approx(38.3328, abs=5e-5)
