import itertools
import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from chalkwatt import Sheet, charge
from chalkwatt.errors import NoSolutionError, TooLittleKnownError, TooMuchKnownError
from chalkwatt.laws.relations import check_dimensions
from chalkwatt.topics.charge import ALTERNATING, DIRECT
from tests.browsing import ROOT
from tests.topics.solved_back import check_each_from_all_others, check_each_swapped, point_of

PACK = {
    "cells_in_series": 96,
    "cells_in_parallel": 24,
    "cell_voltage": "3.63 V",
    "cell_capacity": "4.9 Ah",
    "cell_resistance": "26 mΩ",
    "usable_fraction": 0.93,
}
SESSION = {
    "charging_efficiency": 0.9,
    "state_of_charge_from": 0.11,
    "state_of_charge_to": 0.83,
    "taper_factor": 0.7,
    "consumption": "15.3 kWh/100 km",
}
OUTCOMES = ("charging_time", "distance_in_ten_minutes", "wall_power", "c_rate", "charging_loss")


def everything_binds(way):
    """Limits of cells, pack, and either station or onboard charger, that are all met at 300 A."""
    current = 300.0
    voltage = 96 * 3.63 + current * 96 * 0.026 / 24
    power = voltage * current
    wall = power / 0.9
    supply = {
        DIRECT: {"station_power_max": power, "station_current_max": current},
        ALTERNATING: {
            "phases": 3,
            "phase_voltage": "230 V",
            "line_current": wall / (3 * 230 * 0.97),
            "power_factor": 0.97,
            "onboard_power_max": wall,
        },
    }
    return (
        PACK
        | SESSION
        | supply[way]
        | {
            "pack_charge_current_max": current,
            "cell_charge_current_max": current / 24,
        }
    )


@pytest.mark.parametrize("relation", charge.relations, ids=lambda one: one.title)
def test_dimensions(relation):
    check_dimensions(relation)


@pytest.mark.parametrize(("way", "other"), [(DIRECT, ALTERNATING), (ALTERNATING, DIRECT)])
def test_each_quantity_is_solved_back_from_all_others(way, other):
    start = everything_binds(way)
    check_each_from_all_others(charge, point_of(charge, start, other.quantities))


CELLS = ("cell_charge_current_max",)
STATION = ("station_power_max", "station_current_max")
OUTLET = ("phases", "phase_voltage", "line_current", "power_factor", "onboard_power_max")
WIRING = ("pack_charge_current_max",)


@pytest.mark.sweep(1 / 3)
@pytest.mark.parametrize(
    "binding",
    [CELLS, WIRING, STATION[:1], STATION[1:], OUTLET[:4], OUTLET[4:]],
    ids=lambda one: one[0],
)
def test_each_given_quantity_is_solved_back_from_an_outcome(binding):
    # A limit that does not bind is not given here: of it an outcome knows nothing.
    others = {*CELLS, *STATION, *OUTLET, *WIRING} - {*binding}
    way = ALTERNATING if binding[0] in OUTLET else DIRECT
    start = {name: value for name, value in everything_binds(way).items() if name not in others}
    values = {name: charge.find(name, **start).si for name in OUTCOMES}
    assert check_each_swapped(charge, start, values, OUTCOMES) > 25


LIMITS = {
    "cell_charge_current_max": "12 A",
    "pack_charge_current_max": "400 A",
    "station_power_max": "100 kW",
    "station_current_max": "250 A",
}


def limited(**changed):
    return charge.find(
        "charging_power", charging_voltage="350 V", cells_in_parallel=20, **LIMITS | changed
    )


@pytest.mark.parametrize(
    ("changed", "power", "words"),
    [
        ({}, 84.0, "cell power limit binds, at 84.00 kW; next would be station power limit"),
        ({"cell_charge_current_max": "20 A"}, 87.5, "station power limit binds, at 87.50 kW"),
        ({"pack_charge_current_max": "200 A"}, 70.0, "pack power limit binds, at 70.00 kW"),
        ({"station_power_max": "50 kW"}, 50.0, "maximum station power binds, at 50.00 kW"),
    ],
)
def test_the_lowest_limit_binds_and_is_said_in_words(changed, power, words):
    answer = limited(**changed)
    assert answer.to("kW") == pytest.approx(power, rel=1e-12)
    assert any(words in note for note in answer.notes), answer.notes
    assert words in answer.working.text


def test_an_onboard_charger_binds_and_is_said_in_words():
    facts = {
        "cells_in_parallel": 20,
        "cell_charge_current_max": "12 A",
        "charging_voltage": "350 V",
    }
    answer = charge.find(
        "charging_power", **facts, onboard_power_max="11 kW", charging_efficiency=0.9
    )
    assert answer.to("kW") == pytest.approx(9.9, rel=1e-12)
    words = "onboard power limit binds, at 9.900 kW; next would be cell power limit, at 84.00 kW"
    assert any(words in note for note in answer.notes), answer.notes
    assert words in answer.working.text


def test_a_limit_that_is_not_given_does_not_bind():
    answer = charge.find("charging_power", station_power_max="150 kW")
    assert answer.to("kW") == 150
    assert answer.notes == ("Direct current, which goes round the charger on board.",)
    assert charge.find("charging_power", cell_power_limit="150 kW").notes == ()


# Direct and alternating current -----------------------------------------------------------------
SLOW = {"onboard_power_max": "11 kW", "charging_efficiency": 0.9}
FAST = {"station_power_max": "150 kW"}
STOP = {
    "usable_energy": "60 kWh",
    "state_of_charge_from": 0.1,
    "state_of_charge_to": 0.8,
    "charging_voltage": "400 V",
}


def test_direct_current_goes_round_the_charger_on_board():
    # 60 kWh · 0.7 = 42 kWh: over 150 kW, and over what 11 kW from the wall bring into the battery.
    assert charge.find("charging_time", **STOP, **FAST).to("min") == pytest.approx(42 / 150 * 60)
    slow = charge.find("charging_time", **STOP, **SLOW)
    assert slow.to("min") == pytest.approx(42 / 9.9 * 60)
    assert "Alternating current, which goes through the charger on board." in slow.working.text


def test_which_current_is_assumed_is_said_wherever_it_is_shown():
    board = charge.board(**STOP, **FAST, wanted="charging_time")
    assert board.program["plans"]["charging_time"]["way"] == DIRECT.words
    told = {one["title"]: one["assumptions"] for one in board.program["relations"]}
    assert DIRECT.words in told["Limit of the station (direct current)"]
    assert DIRECT.words in board.answer.notes
    assert DIRECT.words in board.answer.working.text
    assert "(direct current)" in board.answer.working.html


@pytest.mark.parametrize("direct", sorted(DIRECT.quantities & {*charge.quantities}))
@pytest.mark.parametrize("alternating", sorted(ALTERNATING.quantities))
def test_a_mixture_is_refused_and_both_cures_are_named(direct, alternating):
    """Whichever is given and whichever is asked for, in Python, compiled or on a board."""
    charged = {"state_of_charge_from": 0.1, "charging_power": "5 kW"}
    known = {direct: 100.0, alternating: 1.0}
    with pytest.raises(TooMuchKnownError, match="one way or the other") as caught:
        charge.find("charging_time", **charged, **known)
    assert {*caught.value.involved} == {direct, alternating}
    assert f"Leave out {alternating} to keep {direct}, or {direct} to keep" in str(caught.value)
    for wanted, given_one in itertools.permutations(known):
        for ask in (
            lambda w=wanted, g=given_one: charge.find(w, **charged, **{g: 1.0}),
            lambda w=wanted, g=given_one: charge.compile(w, (*charged, g)),
            lambda w=wanted, g=given_one: charge.board(wanted=w, **charged, **{g: 1.0}),
        ):
            with pytest.raises(TooMuchKnownError, match="one way or the other"):
                ask()


def test_the_board_of_a_sheet_with_an_onboard_charger_shows_no_station():
    sheet = Sheet.read(ROOT / "assets" / "quillwort.toml")
    for asked in ({}, {"wanted": "onboard_power_max"}, {"state_of_charge_to": "60 %"}):
        cast = {*charge.board(sheet, **asked).program["cast"]}
        assert "onboard_power_max" in cast
        assert cast.isdisjoint({*DIRECT.quantities, *DIRECT.beside})
    # 29.2 kWh, 10 to 80 %, 6.6 kW at the outlet, 89 % of it at the battery; no taper of a fast charge.
    # 96 cells of 29 mΩ and 3.63 V in a row, as many rows of 5 Ah as make 31.4 kWh: heat is not stored.
    volts = 96 * 3.63
    ohms = 96 * 0.029 / (31_400 / (volts * 5))
    current = (math.sqrt(volts**2 + 4 * ohms * 6600 * 0.89) - volts) / (2 * ohms)
    board = charge.board(Sheet.read(ROOT / "assets" / "quillwort.toml"))
    by_hand = 31.4 * 0.93 * 0.7 / (volts * current / 1000) * 60
    assert board.charging_time == pytest.approx(by_hand, rel=1e-9)


@pytest.mark.parametrize(
    "asked", [{"station_power_max": "50 kW"}, {"wanted": "station_current_max"}]
)
def test_who_asks_for_a_station_gets_no_onboard_charger(asked):
    board = charge.board(Sheet.read(ROOT / "assets" / "quillwort.toml"), **asked)
    assert not board.error
    assert {*board.program["cast"]}.isdisjoint(ALTERNATING.quantities)


def test_a_given_fact_is_never_left_unheard():
    # The line current says something of the outlet's power, but not enough: no silent guess.
    with pytest.raises(TooLittleKnownError) as caught:
        charge.find(
            "charging_power",
            phases=3,
            line_current="16 A",
            charging_efficiency=0.9,
            onboard_power_max="11 kW",
        )
    assert "phase_voltage" in caught.value.unlocks


def test_a_limit_by_c_rate_is_heard_too():
    answer = charge.find(
        "charging_power",
        station_power_max="150 kW",
        cell_charge_rate_max="2 1/h",
        pack_capacity="110 Ah",
        pack_voltage="355 V",
    )
    assert answer.to("kW") == pytest.approx(2 * 110 * 0.355, rel=1e-12)


def test_resistance_raises_the_voltage_while_charging():
    answer = charge.find(
        "charging_voltage",
        pack_voltage="355 V",
        pack_resistance="80 mΩ",
        station_power_max="50 kW",
        station_current_max="400 A",
    )
    volts = answer.si
    assert volts * (volts - 355) / 0.08 == pytest.approx(50_000, rel=1e-9)


def test_average_and_peak_stand_side_by_side():
    facts = {"charging_power": "150 kW", "taper_factor": 0.6, "consumption": "16 kWh/100 km"}
    peak = charge.find("charging_speed", **facts).to("km/h")
    average = charge.find("average_charging_speed", **facts).to("km/h")
    assert (peak, average) == pytest.approx((937.5, 562.5))
    assert charge.find("distance_in_ten_minutes", **facts).to("km") == pytest.approx(93.75)


extreme = st.floats(1e-3, 1e9)


@given(extreme, extreme, extreme, extreme, st.floats(1e-3, 1.0))
def test_the_least_of_each_way_against_plain_arithmetic(cells, pack, first, second, share):
    """The charger's efficiency counts for alternating current only: recomputed with min()."""
    both = {"cell_power_limit": cells, "pack_power_limit": pack, "charging_efficiency": share}
    slow = charge.find("charging_power", **both, ac_power=first, onboard_power_max=second)
    assert slow.si == pytest.approx(min(cells, pack, share * min(first, second)), rel=1e-12)
    fast = charge.find("charging_power", **both, station_power_max=first)
    assert fast.si == pytest.approx(min(cells, pack, first), rel=1e-12)
    for answer in (slow, fast):
        wall = charge.find("wall_power", charging_power=answer.si, charging_efficiency=share)
        assert wall.si == pytest.approx(answer.si / share, rel=1e-12)


def test_an_efficiency_that_nobody_gave_is_asked_for_by_name():
    for wanted, known in (("wall_power", "charging_power"), ("charging_power", "ac_power")):
        with pytest.raises(TooLittleKnownError) as caught:
            charge.find(wanted, **{known: "5 kW"})
        assert "charging_efficiency" in caught.value.unlocks


watts = st.floats(1e3, 5e5)


@given(watts, watts, st.floats(0.05, 1.0))
def test_a_higher_limit_never_slows_a_charge(first, second, share):
    low, high = sorted((first, second))
    times = [
        charge.compile(
            "charging_time",
            ("station_power_max", "cell_power_limit", "energy_added", "taper_factor"),
        )(power, 1e5, 1e8, share)
        for power in (low, high)
    ]
    assert times[1] <= times[0]


def test_arrays():
    powers = np.array([50.0, 100.0, 200.0]) * 1e3
    answer = charge.find("charging_power", station_power_max=powers, cell_power_limit="120 kW")
    assert answer.to("kW").tolist() == [50, 100, 120]


@pytest.mark.parametrize(
    ("wanted", "known"),
    [
        ("onboard_power_max", {"ac_power": 7e3, "onboard_power_limit": 9e3}),
        ("ac_power", {"onboard_power_max": 7e3, "onboard_power_limit": 9e3}),
        ("station_power_max", {"station_current_max": 100, "station_power_limit": 40e3}),
        ("station_current_max", {"station_power_max": 30e3, "station_power_limit": 40e3}),
        ("cell_power_limit", {"station_power_limit": 30e3, "charging_power": 40e3}),
        ("station_power_limit", {"cell_power_limit": 30e3, "charging_power": 40e3}),
    ],
)
def test_no_limit_makes_up_for_a_lower_one(wanted, known):
    with pytest.raises(NoSolutionError):
        charge.find(wanted, **known, charging_voltage="350 V", charging_efficiency=0.9)


def test_a_chosen_order_that_cannot_be_walked_gives_way_to_one_that_can():
    """Rows of cells from the distance that they let in: by the voltage at rest, and not by the heat."""
    cells = {name: PACK[name] for name in PACK if name != "cells_in_parallel"}
    known = {"cell_charge_current_max": "12 A", "consumption": 500.0, **cells}
    # 24 rows of 12 A at 96 cells of 3.63 V in a row.
    metres = 24 * 12 * 96 * 3.63 * 600 / 500
    found = charge.find("cells_in_parallel", distance_in_ten_minutes=metres, **known)
    assert found.si == pytest.approx(24, rel=1e-9)
