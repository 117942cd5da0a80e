import math
from dataclasses import replace

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad

import chalkwatt as cw
from chalkwatt.algebra.numpy_tree import compile_tree
from chalkwatt.errors import (
    ChalkwattError,
    OutOfBoundsError,
    TooLittleKnownError,
    TooMuchKnownError,
    UnitError,
)
from chalkwatt.laws.relations import author_order, check_dimensions
from chalkwatt.runs.charge import equations as charge_equations
from chalkwatt.runs.equations import Rate
from chalkwatt.wording.numbers import format_number

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


@pytest.mark.parametrize("milliohms", [0.5, 5.0, 22.0, 60.0])
@pytest.mark.parametrize(
    "limit",
    [
        {"cell_charge_rate_max": 1.5 / 3600},
        {"station_power_max": 60e3},
        {"station_current_max": 300.0},
        {"onboard_power_max": 11e3, "charging_efficiency": 0.88},
    ],
    ids=lambda one: next(iter(one)),
)
def test_the_formula_and_the_run_agree_where_the_voltage_at_rest_is_flat(milliohms, limit):
    """Counted in seconds: what is stored is voltage at rest times current, whatever is lost on the way."""
    ohms, volts, consumption = milliohms / 1000 * 96 / 36, 96 * 3.65, 500.0
    full = 36 * 4.9 * 3600.0  # A·s
    if "onboard_power_max" in limit or "station_power_max" in limit:
        at_battery = limit.get("station_power_max", 11e3 * 0.88)
        current = (np.sqrt(volts**2 + 4 * ohms * at_battery) - volts) / (2 * ohms)
    else:
        current = limit.get("station_current_max", 1.5 / 3600 * full)
    instants = np.linspace(0.0, 0.7 * full / current, 2001)  # s
    flows = np.full_like(instants, current)
    kept = np.trapezoid(volts * flows, instants)
    warm = np.trapezoid(ohms * flows**2, instants)
    expected = {
        "charging_time": instants[-1],
        "stored_energy": kept,
        "charging_heat": warm,
        "energy_added": kept + warm,
        "stored_power": volts * current,
        "charging_power": (volts + ohms * current) * current,
        "charging_speed": volts * current / consumption,
        "distance_added": kept / consumption,
        "distance_in_ten_minutes": np.trapezoid(volts * flows, 600 / instants[-1] * instants)
        / consumption,
    }
    cells = {
        "cells_in_series": 96,
        "cells_in_parallel": 36,
        "cell_capacity": "4.9 Ah",
        "cell_resistance": milliohms / 1000,
    }
    known = {"state_of_charge_from": 0.1, "state_of_charge_to": 0.8, "consumption": consumption}
    known |= cells | limit
    for name, value in expected.items():
        found = cw.charge.find(name, cell_voltage="3.65 V", **known)
        assert found.si == pytest.approx(value, rel=1e-9), name
    flat = {"open_circuit_curve": {0.0: 3.65, 1.0: 3.65}, "cell_voltage_max": "6 V"}
    run = cw.charge_session(**known, **flat)
    assert run.time.to("s").magnitude == pytest.approx(expected["charging_time"], rel=1e-9)
    assert run.energy_added.to("J").magnitude == pytest.approx(kept + warm, rel=1e-9)
    assert run.energies()["stored_energy"] == pytest.approx(kept, rel=1e-9)
    if "charging_efficiency" in limit:
        wall = cw.charge.find("wall_energy", cell_voltage="3.65 V", **known).si
        assert wall == pytest.approx((kept + warm) / 0.88, rel=1e-9)
        # Per distance the heat of the cells is left out, and said to be; the speed counts it.
        spent = cw.charge.find("wall_consumption", cell_voltage="3.65 V", **known)
        assert spent.si == pytest.approx(consumption / 0.88, rel=1e-12)
        assert "play no part" in str(spent.working)
        cells_apart = {"pack_voltage": volts, "pack_resistance": ohms, "charging_current": current}
        speed = cw.charge.find(
            "charging_speed", wall_power=11e3, wall_consumption=spent.si, **cells_apart
        )
        assert speed.si == pytest.approx(expected["charging_speed"], rel=1e-9)
        assert run.energies()["wall_energy"] == pytest.approx(wall, rel=1e-9)


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
    made = session.energies()
    assert made["wall_energy"] == pytest.approx(made["energy_added"] / 0.93)
    # Ten minutes of 60 kW, less the heat of the cells: nobody drives on that.
    ten = session.distance_in("10 min").to("km").magnitude
    assert 0.9 * 60 / 6 / 0.15 < ten < 60 / 6 / 0.15
    assert session.distance_added.to("km").magnitude == pytest.approx(
        made["stored_energy"] / 3.6e6 / 0.15
    )


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
        (
            {"onboard_power_max": 11e3, "charging_efficiency": 0.9, "station_power_max": 15e4},
            TooMuchKnownError,
            "Leave out onboard_power_max to keep station_power_max, or station_power_max to keep",
        ),
        ({"ac_power": 7e3, "station_voltage_max": 400}, TooMuchKnownError, "round the charger"),
        ({"ac_power": 7e3, "station_current_max": 40}, TooMuchKnownError, "round the charger"),
    ],
)
def test_errors_name_what_is_wrong(changed, error, words):
    start = CELL | {"cell_charge_current_max": "5 A"} | changed
    with pytest.raises(error, match=words):
        cw.charge_session(**{k: v for k, v in start.items() if v is not None})


@pytest.mark.parametrize(
    "known",
    ["station_current_max", "pack_charge_current_max", "cell_charge_current_max",
     "cell_charge_rate_max", "station_voltage_max"],
)  # fmt: skip
def test_a_power_curve_knows_no_currents(known):
    with pytest.raises(ChalkwattError, match=known):
        cw.charge_session(
            power_curve={0: 5e4, 1: 1e4},
            usable_energy="36 kWh",
            state_of_charge_from=0.1,
            state_of_charge_to=0.8,
            **{known: 200},
        )


def test_a_curve_by_rows_of_any_kind():
    rows = {0.05: 80e3, 0.4: 80e3, 1.0: 10e3}
    known = {"usable_energy": "36 kWh", "state_of_charge_from": 0.1, "state_of_charge_to": 0.8}
    series = pd.Series([*rows.values()], index=[*rows])
    assert len(
        {cw.charge_session(power_curve=one, **known).time.magnitude for one in (rows, series, [*rows.items()])}
    ) == 1  # fmt: skip


def test_shown():
    session = cw.charge_session(**PACK, cell_charge_current_max="8 A", name="<pack>")
    assert repr(session).startswith("<pack>: 10 % to 90 % in ")
    assert "&lt;pack&gt;" in session._repr_html_()
    assert "can kill" in session._repr_html_()
    text = session.equations.text
    assert "dz/dt = i / q" in text
    assert "u_ch = u_0 + r · i" in text
    assert session.equations.mathml.count("<math") == 6
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


# Direct and alternating current -----------------------------------------------------------------
DIRECT = "Direct current, which goes round the charger on board."
ALTERNATING = "Alternating current, which goes through the charger on board."


@pytest.mark.parametrize(
    ("supply", "name", "words"),
    [
        ({"station_power_max": "50 kW"}, "direct current", DIRECT),
        ({"station_voltage_max": "400 V"}, "direct current", DIRECT),
        ({"onboard_power_max": "11 kW"}, "alternating current", ALTERNATING),
        ({"ac_power": "11 kW"}, "alternating current", ALTERNATING),
        ({}, "", "Nothing is said of outlet or station."),
    ],
)
def test_a_session_says_which_current_it_assumes(supply, name, words):
    start = PACK | {"cell_charge_current_max": "5 A", "charging_efficiency": 0.9} | supply
    session = cw.charge_session(**start | {"state_of_charge_to": 0.3})
    assert words in session.limits
    title = session.figure().axes[0].get_title(loc="left")
    for shown in (repr(session), title):
        assert (name in shown) if name else ("current" not in shown)
    assert words.rstrip(".") in session._repr_html_()


def test_direct_current_does_not_lose_in_the_charger_on_board():
    # 50 kW of a station arrive; 50 kW of an outlet arrive less what the charger on board loses.
    start = PACK | {"state_of_charge_to": 0.5, "charging_efficiency": 0.9}
    fast = cw.charge_session(**start, station_power_max="50 kW")
    slow = cw.charge_session(**start, ac_power="50 kW")
    assert fast.peak_power.to("kW").magnitude == pytest.approx(50)
    assert slow.peak_power.to("kW").magnitude == pytest.approx(45)


def test_a_board_of_a_session_refuses_the_mixture_too():
    start = PACK | {"station_power_max": "50 kW", "onboard_power_max": "11 kW"}
    with pytest.raises(TooMuchKnownError, match="one way or the other"):
        cw.run_board(cw.charge_session, **start)


# What was stored, not what was heated --------------------------------------------------------------
def given_back(curve, capacity, count, low, high):
    """Energy (J) that cells give when they are emptied so slowly that nothing is lost: ∫ u₀ dq."""
    shares, volts = (np.array(one) for one in zip(*sorted(curve.items()), strict=True))
    inside = np.unique([low, high, *shares[(shares > low) & (shares < high)]])
    at = np.interp(inside, shares, volts)
    return count * capacity * 3600 * float(np.sum((at[1:] + at[:-1]) / 2 * np.diff(inside)))


@pytest.mark.parametrize("rate", [0.5, 2.0])
def test_the_distance_counts_what_a_discharge_gives_back(rate):
    """Cells of 5 Ah and 29 mΩ at 2 C from 10 to 60 %: terminals promise 8 % more than is stored."""
    curve = {0.0: 3.0, 1.0: 4.2}
    session = cw.charge_session(
        cell_capacity="5 Ah",
        cell_resistance="29 mΩ",
        cell_voltage_max="4.6 V",
        open_circuit_curve=curve,
        cells_in_series=96,
        cells_in_parallel=18,
        cell_charge_rate_max=f"{rate} 1/h",
        state_of_charge_from=0.1,
        state_of_charge_to=0.6,
        consumption="15 kWh/100 km",
    )
    stored = given_back(curve, 5.0, 96 * 18, 0.1, 0.6)
    heat = 96 * 18 * 0.029 * (5 * rate) ** 2 * (0.5 / rate * 3600)  # N r i² t
    by_hand, too_far = (energy / (0.15 * 3600) / 1000 for energy in (stored, stored + heat))
    assert session.distance_added.to("km").magnitude == pytest.approx(by_hand, rel=1e-9)
    assert session.energy_added.to("J").magnitude / 0.15 / 3.6e6 == pytest.approx(too_far, rel=1e-9)
    assert too_far / by_hand == pytest.approx(1 + 0.029 * 5 * rate / (3.0 + 1.2 * 0.35), rel=1e-12)
    # In a part of the session, too: at constant current the charge grows evenly.
    minutes = 0.2 / rate * 60
    part = given_back(curve, 5.0, 96 * 18, 0.1, 0.3) / (0.15 * 3600) / 1000
    assert session.distance_in(f"{minutes!r} min").to("km").magnitude == pytest.approx(
        part, rel=1e-9
    )


# What is shown is what is integrated -----------------------------------------------------------
CELLS_AND_ALL = PACK | {
    "state_of_charge_to": 0.95,
    "cell_charge_current_max": "9 A",
    "charging_efficiency": 0.9,
    "consumption": "15 kWh/100 km",
}
CURVE = {
    "power_curve": {0.0: "60 kW", 1.0: "20 kW"},
    "usable_energy": "36 kWh",
    "state_of_charge_from": 0.1,
    "state_of_charge_to": 0.8,
    "consumption": "15 kWh/100 km",
    "charging_efficiency": 0.9,
}
EACH = [
    (name, run)
    for run, lines in (
        (CELLS_AND_ALL | {"station_power_max": "70 kW"},
         "CHARGE VOLTAGE DIRECT POWER CURRENT ENERGY STORED HEAT DISTANCE"),
        (CELLS_AND_ALL | {"onboard_power_max": "22 kW"},
         "CHARGE VOLTAGE ALTERNATING POWER CURRENT ENERGY STORED HEAT DISTANCE"),
        (CURVE, "MEASURED CURVE CURVE_ENERGY CURVE_STORED DISTANCE"),
        (CURVE | {"ac_power": "50 kW"}, "ALTERNATING CURVE CURVE_ENERGY CURVE_STORED"),
    )
    for name in lines.split()
]  # fmt: skip


def everything(session):
    points = session.curve
    return np.array(
        [
            float(session.time.magnitude),
            float(session.distance_added.magnitude),
            *session.energies().values(),
            *points["power"][::40],
            *points["time"][::40],
        ]
    )


def mutated(line, change):
    with author_order():
        return replace(line, right=change(line.right))


@pytest.mark.parametrize(("name", "run"), EACH)
@pytest.mark.parametrize("factor", [2, 1.001, -1])
def test_a_change_of_an_equation_changes_what_is_shown_and_what_comes_out(
    monkeypatch, name, run, factor
):
    shown = cw.charge_session(**run)
    line = getattr(charge_equations, name)
    assert line in shown.equations.lines
    monkeypatch.setattr(charge_equations, name, mutated(line, lambda right: factor * right))
    try:
        other = cw.charge_session(**run)
    except (ChalkwattError, ValueError):
        assert factor < 0  # a charge that runs backwards may well be none
        return
    assert other.equations.text != shown.equations.text
    first, second = (everything(one) for one in (shown, other))
    assert first.shape != second.shape or not np.allclose(first, second, rtol=1e-6, equal_nan=True)


@pytest.mark.parametrize("name", ["ONBOARD", "WALL_ENERGY"])
def test_the_lines_that_the_topic_shares_are_integrated_too(monkeypatch, name):
    run = CELLS_AND_ALL | {"onboard_power_max": "22 kW"}
    before = cw.charge_session(**run)
    line = getattr(charge_equations.charge, name)
    monkeypatch.setattr(charge_equations.charge, name, mutated(line, lambda right: 2 * right))
    after = cw.charge_session(**run)
    assert after.equations.text != before.equations.text
    assert not np.allclose(everything(before), everything(after), rtol=1e-6)


def test_twice_the_right_side_is_twice_the_result(monkeypatch):
    run = PACK | {"cell_charge_current_max": "5 A", "state_of_charge_to": 0.5, "consumption": 500}
    before = cw.charge_session(**run)
    for name, read in (
        ("ENERGY", lambda one: one.energies()["energy_added"]),
        ("STORED", lambda one: one.energies()["stored_energy"]),
        ("HEAT", lambda one: one.energies()["heat"]),
        ("DISTANCE", lambda one: one.distance_added.magnitude),
        ("CHARGE", lambda one: 1 / one.time.magnitude),
    ):
        line = getattr(charge_equations, name)
        with monkeypatch.context() as patch:
            patch.setattr(charge_equations, name, mutated(line, lambda right: 2 * right))
            after = cw.charge_session(**run)
        assert read(after) == pytest.approx(2 * read(before), rel=1e-9), name


@settings(max_examples=40, deadline=None)
@given(
    st.floats(1.0, 200.0),
    st.floats(2.0, 5.0),
    st.floats(1e-6, 0.5),
    st.integers(1, 200),
    st.integers(1, 60),
)
def test_the_printed_root_is_the_root(watts, rest, resistance, series, parallel):
    """P = N·(u₀ + r·i)·i, put in anew: the line that is shown solves it at every resistance."""
    known = {
        "charging_power_limit": watts * series * parallel,
        "open_circuit_voltage": rest,
        "cell_resistance": resistance,
        "cells_in_series": series,
        "cells_in_parallel": parallel,
    }
    current = float(compile_tree(charge_equations.POWER.sides[1])(known))
    assert current * (rest + resistance * current) == pytest.approx(watts, rel=1e-12)
    by_numpy = np.roots([resistance, rest, -watts]).real
    assert current == pytest.approx(float(by_numpy[by_numpy > 0][0]), rel=1e-6)


@pytest.mark.parametrize("lines", [
    value for value in vars(charge_equations).values() if hasattr(value, "right")
], ids=lambda one: one.title)  # fmt: skip
def test_dimensions(lines):
    lines.check_dimensions() if isinstance(lines, Rate) else check_dimensions(lines)


# --- What is left out -----------------------------------------------------------------------------

CURVE_ALONE = {
    "power_curve": {0.0: "60 kW", 1.0: "20 kW"},
    "usable_energy": "36 kWh",
    "state_of_charge_from": 0.1,
    "state_of_charge_to": 0.8,
}
WHOLE_CELL = {
    "cell_capacity": "5 Ah",
    "cell_resistance": "30 mΩ",
    "cell_voltage_max": "4.2 V",
    "open_circuit_curve": {0: 3.0, 1: 4.15},
    "cells_in_series": 96,
    "cells_in_parallel": 18,
}


def test_a_cell_that_is_known_in_part_is_left_out_and_that_is_said():
    alone = cw.charge_session(**CURVE_ALONE)
    assert alone.notes == ()
    part = cw.charge_session(**CURVE_ALONE, cell_voltage_max="4.2 V", cells_in_series=96)
    assert part.time.magnitude == alone.time.magnitude  # it does play no part
    assert part.notes == (
        (
            "The cell's own limits are left out: of a cell, cell_voltage_max and cells_in_series are given, "
            "and cell_capacity, cell_resistance and open_circuit_curve are missing. "
            "The measured power alone decides."
        ),
    )
    assert part.notes[0] in repr(part)
    assert "own limits are left out" in part._repr_html_()
    whole = {**CURVE_ALONE, **WHOLE_CELL}
    lacking = {one: value for one, value in whole.items() if one != "open_circuit_curve"}
    assert "and open_circuit_curve is missing." in cw.charge_session(**lacking).notes[0]


@pytest.mark.parametrize(
    "name", ["cell_capacity", "cell_resistance", "cell_voltage_max", "cell_current_end"]
)
def test_each_part_of_a_cell_is_said(name):
    value = WHOLE_CELL.get(name, "0.25 A")
    notes = cw.charge_session(**CURVE_ALONE, **{name: value}).notes
    assert len(notes) == 1
    assert f"of a cell, {name} is given" in notes[0]


def test_whatever_else_plays_no_part_is_said():
    """Every number that changes nothing is told, and none that changes something."""
    cell = {
        **WHOLE_CELL,
        "state_of_charge_from": 0.1,
        "state_of_charge_to": 0.8,
        "station_power_max": "50 kW",
    }
    more = {"usable_energy": "36 kWh", "cell_charge_rate_max": "1 1/h", "cell_current_end": "0.3 A",
            "station_current_max": "100 A", "consumption": "15 kWh/100 km", "charging_efficiency": 0.9}  # fmt: skip
    plain = cw.charge_session(**cell)
    assert plain.notes == ()
    for name, value in more.items():
        made = cw.charge_session(**cell, **{name: value})
        assert bool(made.notes) == (name == "usable_energy"), name
    idle = cw.charge_session(**cell, usable_energy="36 kWh")
    assert idle.notes == (
        "The usable energy of 36 kWh plays no part in this: nothing here was reckoned with it.",
    )
    assert idle.time.magnitude == plain.time.magnitude
