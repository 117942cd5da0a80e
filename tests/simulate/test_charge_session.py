import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad

import chalkwatt as cw
from chalkwatt.errors import (
    ChalkwattError,
    OutOfBoundsError,
    TooLittleKnownError,
    UnitError,
)
from chalkwatt.rendering.numbers import format_number

STRAIGHT = {0.0: "3.2 V", 1.0: "4.2 V"}
CELL = {
    "cell_capacity": "5 Ah",
    "cell_resistance": "30 mΩ",
    "open_circuit_curve": STRAIGHT,
    "cell_voltage_max": "4.2 V",
    "state_of_charge_from": 0.1,
}
PACK = CELL | {"cells_in_series": 96, "cells_in_parallel": 24, "state_of_charge_to": 0.9}


def hours(session):
    return session.time.to("h").magnitude


def test_a_straight_open_circuit_curve_in_closed_form():
    # u₀ = a + b z; at 1 C until a + b z = 4.2 − r i, then z = 1 − (1 − z₁) exp(−b t / r q).
    session = cw.charge_session(**CELL, cell_charge_rate_max="1 1/h", cell_current_end="0.25 A")
    meets = 1 - 0.03 * 5.0
    slope = 1.0 / (0.03 * 5.0)  # 1/h
    ends = 1 - 0.03 * 0.25
    by_hand = (meets - 0.1) / 1.0 + math.log((1 - meets) / (1 - ends)) / slope
    assert hours(session) == pytest.approx(by_hand, rel=1e-10)
    assert session.state_of_charge_to == pytest.approx(ends, rel=1e-12)
    assert session.constant_current_share == pytest.approx((meets - 0.1) / (ends - 0.1), rel=1e-12)


def test_a_power_curve_in_closed_form():
    # Straight power between two rows: t = E Δz ln(P₂/P₁) / (P₂ − P₁).
    session = cw.charge_session(
        power_curve={0.05: "80 kW", 0.4: "80 kW", 0.8: "40 kW", 1.0: "10 kW"},
        usable_energy="36 kWh",
        state_of_charge_from=0.1,
        state_of_charge_to=0.9,
    )
    middle = 36 * 0.4 * math.log(80 / 40) / 40
    last = 36 * 0.1 * math.log(40 / 25) / 15
    assert hours(session) == pytest.approx(36 * 0.3 / 80 + middle + last, rel=1e-11)
    assert session.energy_added.to("kWh").magnitude == pytest.approx(36 * 0.8, rel=1e-11)
    assert session.peak_power.to("kW").magnitude == pytest.approx(80)
    assert session.average_power.to("kW").magnitude == pytest.approx(28.8 / hours(session))


def test_constant_power_against_quadrature():
    session = cw.charge_session(**PACK | {"state_of_charge_to": 0.6}, station_power_max="50 kW")
    count, power = 96 * 24, 50e3

    def slowness(share):
        rest = 3.2 + share
        current = (-rest + math.sqrt(rest**2 + 4 * 0.03 * power / count)) / 0.06
        return 5.0 / current

    by_hand, _ = quad(slowness, 0.1, 0.6, epsrel=1e-13)
    assert hours(session) == pytest.approx(by_hand, rel=1e-10)
    assert session.energy_added.to("kWh").magnitude == pytest.approx(50 * by_hand, rel=1e-10)


CASES = [
    ({"cell_charge_current_max": "8 A"}, "cells' current"),
    ({"pack_charge_current_max": "100 A"}, "pack's current"),
    ({"station_current_max": "100 A"}, "station's current"),
    ({"station_power_max": "50 kW"}, "station's power"),
    ({"onboard_power_max": "11 kW", "charging_efficiency": 0.9}, "onboard charger's power"),
    ({"ac_power": "3.7 kW", "charging_efficiency": 0.9}, "outlet's power"),
    ({"power_curve": {0: "60 kW", 1: "20 kW"}}, "vehicle's measured power"),
    ({"station_power_max": "400 kW", "station_voltage_max": "380 V"}, "station's voltage"),
]


@pytest.mark.parametrize(
    ("limit", "words"), CASES, ids=lambda one: one if isinstance(one, str) else ""
)
def test_each_limit_binds_and_is_said_in_words(limit, words):
    end = 0.5 if "voltage" in words else 0.9
    session = cw.charge_session(**PACK | {"state_of_charge_to": end}, **limit)
    assert words in {one.limit for one in session.phases}
    assert any(f"{words} limits the charge" in said for said in session.limits)


def test_which_limit_binds_when():
    session = cw.charge_session(
        **PACK,
        cell_charge_current_max="8 A",
        station_power_max="72 kW",
        pack_charge_current_max=500,
    )
    assert [one.limit for one in session.phases] == [
        "cells' current",
        "station's power",
        "cells' voltage",
    ]
    # Constant current ends where it takes the station's power.
    share = session.phases[1].state_of_charge_from
    assert 96 * 24 * (3.2 + share + 0.03 * 8) * 8 == pytest.approx(72e3, rel=1e-10)
    assert session.limits[0].startswith("From 10 % to 46")


def test_energy_is_conserved():
    for limit, _ in CASES:
        session = cw.charge_session(**PACK | {"state_of_charge_to": 0.5}, **limit)
        made = session.energies()
        assert made["energy_added"] == pytest.approx(made["stored_energy"] + made["heat"], rel=1e-9)
        # What is stored is the area under the open-circuit voltage, whatever the speed.
        stored = 96 * 24 * 5 * 3600 * (3.2 * 0.4 + (0.5**2 - 0.1**2) / 2)
        assert made["stored_energy"] == pytest.approx(stored, rel=1e-10)


def test_halving_the_tolerance_changes_no_shown_digit():
    for limit, _ in CASES:
        start = PACK | {"state_of_charge_to": 0.5} | limit
        first, second = (
            [format_number(float(one.magnitude), 9) for one in (run.time, run.energy_added)]
            for run in (cw.charge_session(**start), cw.charge_session(**start, tolerance=5e-12))
        )
        assert first == second


@settings(max_examples=25)
@given(st.floats(5e3, 2e5), st.floats(1.0, 2.0), st.floats(0.15, 0.9))
def test_more_power_and_a_longer_charge(power, more, end):
    start = PACK | {"state_of_charge_to": end, "cell_charge_current_max": "15 A"}
    base = cw.charge_session(**start, station_power_max=power)
    stronger = cw.charge_session(**start, station_power_max=power * more)
    longer = cw.charge_session(
        **start | {"state_of_charge_to": end + 0.05}, station_power_max=power
    )
    assert hours(stronger) <= hours(base) * (1 + 1e-10)
    assert hours(longer) >= hours(base)
    assert longer.energy_added >= base.energy_added
    assert base.average_power.magnitude <= base.peak_power.magnitude * (1 + 1e-9)


def test_average_and_peak_distance_and_wall():
    session = cw.charge_session(
        **PACK,
        station_power_max="60 kW",
        charging_efficiency=0.93,
        consumption="15 kWh/100 km",
    )
    assert session.peak_power.to("kW").magnitude == pytest.approx(60)
    assert session.average_power < session.peak_power
    ten = session.distance_in("10 min").to("km").magnitude
    assert ten == pytest.approx(60 / 6 / 0.15, rel=1e-9)
    assert session.distance_added.to("km").magnitude == pytest.approx(
        session.energy_added.to("kWh").magnitude / 0.15
    )
    made = session.energies()
    assert made["wall_energy"] == pytest.approx(made["energy_added"] / 0.93)


def test_times_in_between():
    session = cw.charge_session(**PACK, cell_charge_current_max="5 A")
    assert session.time_to("10 %").magnitude == 0
    assert session.time_to(0.5).to("h").magnitude == pytest.approx(0.4, rel=1e-10)
    assert session.time_to(0.9).magnitude == pytest.approx(session.time.magnitude, rel=1e-12)
    assert session.power_at(0.3).to("W").magnitude == pytest.approx(96 * 24 * (3.5 + 0.15) * 5)
    assert np.all(np.diff(session.curve["time"]) > 0)
    with pytest.raises(OutOfBoundsError, match="outside the session"):
        session.time_to(0.95)


@pytest.mark.parametrize(
    ("changed", "error", "words"),
    [
        ({"cell_capacity": "5 V"}, UnitError, "cell_capacity"),
        ({"cell_capacity": None}, TooLittleKnownError, "cell_capacity"),
        ({"cell_capacity": [3.0, 4.0]}, ChalkwattError, "cell_capacity"),
        ({"cell_resistance": 0}, OutOfBoundsError, "cell_resistance"),
        ({"open_circuit_curve": None}, TooLittleKnownError, "open_circuit_curve"),
        ({"open_circuit_curve": {0.5: 3.7}}, ChalkwattError, "two rows"),
        ({"open_circuit_curve": [(0, 3), (0.5, 3.7), (0.4, 4)]}, ChalkwattError, "row 3"),
        ({"open_circuit_curve": {0.2: 3.5, 1: 4.2}}, OutOfBoundsError, "covers 20 % to 100 %"),
        ({"cell_voltage_max": "4.1 V"}, OutOfBoundsError, "rests at 4.2 V"),
        ({"state_of_charge_to": 0.05}, OutOfBoundsError, "state_of_charge_to"),
        ({"cell_charge_current_max": None}, TooLittleKnownError, "Nothing limits"),
        ({"onboard_power_max": 11e3}, TooLittleKnownError, "charging_efficiency"),
        ({"state_of_charge_from": 0.999}, OutOfBoundsError, "no more than the current"),
    ],
)
def test_errors_name_what_is_wrong(changed, error, words):
    start = CELL | {"cell_charge_current_max": "5 A"} | changed
    with pytest.raises(error, match=words):
        cw.charge_session(**{k: v for k, v in start.items() if v is not None})


def test_a_power_curve_knows_no_currents():
    with pytest.raises(ChalkwattError, match="station_current_max"):
        cw.charge_session(
            power_curve={0: 5e4, 1: 1e4},
            usable_energy="36 kWh",
            state_of_charge_from=0.1,
            state_of_charge_to=0.8,
            station_current_max=200,
        )


def test_shown():
    session = cw.charge_session(**PACK, cell_charge_current_max="8 A", name="<pack>")
    assert repr(session).startswith("<pack>: 10 % to 90 % in ")
    assert "&lt;pack&gt;" in session._repr_html_()
    assert "can kill" in session._repr_html_()
    text = session.equations.text
    assert "dz/dt = i / q" in text
    assert "u_ch = u_0 + r · i" in text
    assert session.equations.mathml.count("<math") == 4
    labels = [axes.get_xlabel() for axes in session.figure(theme_name="dark").axes]
    assert labels == ["state of charge in %", "time in min"]


def test_on_a_board():
    board = cw.run_board(
        cw.charge_session,
        power_curve={0.05: "40 kW", 1.0: "4 kW"},
        usable_energy="30 kWh",
        state_of_charge_from="10 %",
        state_of_charge_to="80 %",
    )
    before = board.outcome.time
    board.state_of_charge_to = 60.0
    assert board.outcome.time < before
    board.state_of_charge_to = 5.0
    assert "not above state_of_charge_from" in board.error
