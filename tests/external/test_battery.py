"""Batteries on a load that take more than one question; the values stand in battery.toml."""

import pytest

from chalkwatt import ageing, discharge, load, pack
from chalkwatt.errors import ChalkwattError, NoSolutionError
from tests.external import published


def the(row):
    (case,) = published("battery", row)
    return case


def test_beyond_the_battery():
    # A program must refuse what the sum gives: more than the short-circuit current is asked for.
    case = the("beyond-the-battery")
    cell = {"pack_voltage": "1.58 V", "pack_resistance": "0.2 ohm"}
    with pytest.raises(ChalkwattError):
        pack.find("terminal_voltage", **cell, pack_current="8.5 A")
    short = discharge.find("short_circuit_current", **cell).si
    assert short == pytest.approx(7.90, abs=0.005)  # the book's own explanation
    case.check((short - 8.5) * 0.2)


def test_resistance_from_two_currents():
    # Only the step is known: any open voltage gives the same.
    case = the("resistance-from-two-currents")
    for volts in (5.0, 12.0, 400.0):
        made = pack.find(
            "pack_resistance", pack_voltage=volts, terminal_voltage=volts - 2.0, pack_current=5.0
        )
        case.check(made.si)


def test_energy_from_ampere_hours():
    case = the("energy-from-ampere-hours")
    energy = pack.find("cell_energy", cell_capacity="1 Ah", cell_voltage="1.58 V").si
    case.check(load.find("driving_time", usable_energy=energy, battery_power=1.0).to("h"))


def rate(energy, slow, cold, warm):
    """Rate at the higher temperature, by the topic's factors against its own 25 °C."""
    at = [
        ageing.find("arrhenius_factor", activation_energy=energy, cell_temperature=f"{one} K").si
        for one in (cold, warm)
    ]
    return slow * at[1] / at[0]


def test_arrhenius_factor():
    # The book's gas constant is 8.314, the topic's 8.314463; its digits do not tell them apart.
    the("arrhenius-factor").check(rate(50.2e3, 3.46e-2, 298, 350))


def test_activation_energy():
    # 1.987 cal is the book's gas constant.
    the("activation-energy").check(rate(22968 / 1.987 * 8.31446261815324, 2.45e-5, 273, 303))


CELLS = [
    case
    for row in (
        "published-cell-mohtat2020",
        "published-cell-nca-kim2011",
        "published-cell-oregan2022",
        "published-cell-ecker2015",
        "published-cell-marquis2019",
    )
    for case in published("battery", row)
]
WHOLE = {
    "cell_capacity": ("pack_capacity", "cells_in_parallel"),
    "cell_voltage_max": ("pack_voltage_max", "cells_in_series"),
    "cell_voltage_min": ("pack_voltage_min", "cells_in_series"),
}


@pytest.mark.parametrize("case", CELLS, ids=lambda case: f"{case.id} {case.quantity}")
def test_a_pack_has_its_cells_limits(case):
    whole, count = WHOLE[case.quantity]
    cell = {case.quantity: f"{case.printed} {case.unit}"}
    made = pack.find(whole, **cell, **{count: 96}).to(case.unit)
    case.check(made / 96)


def test_no_load_takes_more_than_the_matched_one():
    battery = {"pack_voltage": 12.0, "pack_resistance": 0.5}
    most = discharge.find("matched_power", **battery).si
    powers = [
        discharge.find("pack_power", **battery, load_resistance=one).si
        for one in (0.1, 0.3, 0.49, 0.5, 0.51, 2.0)
    ]
    assert max(powers) == pytest.approx(most, rel=1e-12)
    assert powers[3] == max(powers)
    with pytest.raises(NoSolutionError):
        discharge.find("load_resistance", **battery, pack_power=1.001 * most)
