"""The pack: solved back in every direction, and against methods that share nothing with it."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import minimize_scalar

from chalkwatt import pack
from chalkwatt.errors import NoSolutionError, TooMuchKnownError
from tests.points import nearest, point

P = point("pack")
CELLS = ("cells_in_series", "cells_in_parallel", "cell_voltage", "cell_capacity")
WEIGHT = (*CELLS, "cell_mass", "cell_mass_fraction")
SAG = (*CELLS, "cell_resistance", "cell_current")
LIMITS = ("cells_in_series", "cells_in_parallel", "cell_voltage", "cell_resistance")
CASTS = {
    "pack_energy": CELLS,
    "usable_energy": (*CELLS, "usable_fraction"),
    "reserve_energy": (*CELLS, "usable_fraction"),
    "pack_specific_energy": WEIGHT,
    "pack_mass": ("cells_in_series", "cells_in_parallel", "cell_mass", "cell_mass_fraction"),
    "terminal_voltage": SAG,
    "pack_power": SAG,
    "pack_heat": SAG,
    "voltage_sag": SAG,
    "c_rate": ("cell_capacity", "cell_current"),
    "voltage_limited_power": (*LIMITS, "cell_voltage_min"),
    "current_limited_power": (*LIMITS, "cell_current_max"),
}
DIRECTIONS = [(wanted, outcome) for outcome, cast in CASTS.items() for wanted in cast]


def depends(outcome, wanted, cast):
    """Whether the outcome moves with the wanted at all."""
    base = {name: P[name] for name in cast}
    moved = pack.compile(outcome, known=cast)(**(base | {wanted: 1.01 * P[wanted]}))
    return abs(float(moved) / P[outcome] - 1) > 1e-9


@pytest.mark.parametrize(("wanted", "outcome"), DIRECTIONS)
def test_solved_back(wanted, outcome):
    cast = CASTS[outcome]
    if not depends(outcome, wanted, cast):
        # Specific energy has no cell counts in it: they cannot be found from it.
        with pytest.raises(ValueError, match="Too little is known"):
            pack.find(
                wanted, **{one: P[one] for one in cast if one != wanted}, **{outcome: P[outcome]}
            )
        return
    known = {name: P[name] for name in cast if name != wanted} | {outcome: P[outcome]}
    assert nearest(pack.find(wanted, **known), P[wanted]) < 1e-9


@pytest.mark.parametrize(
    "wanted",
    ["cell_count", "module_count", "cells_per_module", "cells_in_series", "cells_in_parallel"],
)
def test_counts_by_modules_and_by_rows(wanted):
    known = {"module_count", "cells_per_module", "cells_in_series", "cells_in_parallel"} - {wanted}
    answer = pack.find(wanted, **{one: P[one] for one in known})
    assert answer.si == pytest.approx(P[wanted], rel=1e-12)


USUAL = {
    "pack_voltage": (40.0, 900.0),
    "pack_resistance": (0.01, 0.5),
}


@settings(derandomize=True, max_examples=60)
@given(st.floats(40, 900), st.floats(0.01, 0.5), st.floats(0.001, 0.49))
def test_current_under_constant_power_by_chance(voltage, resistance, sag):
    # Everything from the current first, then the current back from the power.
    current = sag * voltage / resistance
    power = (voltage - current * resistance) * current
    known = {"pack_voltage": voltage, "pack_resistance": resistance, "pack_power": power}
    answer = pack.find("pack_current", **known)
    assert len(answer.solutions) == 1
    # Towards half the voltage two currents meet, and the power tells them apart less and less.
    assert answer.si == pytest.approx(current, rel=1e-9 / (1 - 2 * sag))
    assert pack.find("voltage_sag", **known).si == pytest.approx(sag, rel=1e-9 / (1 - 2 * sag))
    back = pack.find(
        "pack_resistance", pack_voltage=voltage, pack_current=current, pack_power=power
    )
    assert back.si == pytest.approx(resistance, rel=1e-9 / sag)


@settings(derandomize=True, max_examples=40)
@given(st.integers(1, 220), st.integers(1, 80), st.floats(3.2, 3.75), st.floats(2, 150))
def test_energy_by_chance(series, parallel, voltage, hours):
    known = {"cells_in_series": series, "cells_in_parallel": parallel, "cell_voltage": voltage}
    made = pack.find("pack_energy", **known, cell_capacity=f"{hours!r} Ah")
    assert made.to("Wh") == pytest.approx(series * parallel * voltage * hours, rel=1e-12)
    back = pack.find("cell_capacity", **known, pack_energy=made.value)
    assert back.to("Ah") == pytest.approx(hours, rel=1e-12)


def test_the_largest_power_that_the_voltage_floor_allows_against_a_search():
    voltage, resistance, floor = 350.0, 0.1, 240.0
    made = pack.find(
        "voltage_limited_power",
        pack_voltage=voltage,
        pack_resistance=resistance,
        pack_voltage_min=floor,
    )
    found = minimize_scalar(
        lambda current: -(voltage - current * resistance) * current,
        bounds=(0, (voltage - floor) / resistance),
        method="bounded",
        options={"xatol": 1e-9},
    )
    assert made.si == pytest.approx(-found.fun, rel=1e-6)


def test_beyond_the_largest_power_there_is_no_current():
    with pytest.raises(NoSolutionError) as caught:
        pack.find("pack_current", pack_voltage=400.0, pack_resistance=0.2, pack_power=200_001.0)
    assert caught.value.nearest == pytest.approx(400**2 / (4 * 0.2))
    at_most = pack.find(
        "pack_current", pack_voltage=400.0, pack_resistance=0.2, pack_power=199_999.0
    )
    assert at_most.si == pytest.approx(1000, rel=0.01)


def test_two_ways_to_the_same_energy_must_agree():
    known = {name: P[name] for name in CELLS}
    with pytest.raises(TooMuchKnownError) as caught:
        pack.find(
            "pack_mass",
            **known,
            cell_mass=0.07,
            cell_mass_fraction=0.6,
            pack_energy=1.02 * P["pack_energy"],
        )
    assert caught.value.disagreement == pytest.approx(0.02 / 1.02, rel=1e-6)
    assert "pack_energy" in caught.value.involved


def test_heat_is_what_the_terminals_lack():
    drawn = P["pack_voltage"] * P["pack_current"]
    assert P["pack_heat"] == pytest.approx(drawn - P["pack_power"], rel=1e-9)


def test_the_caution_is_there():
    for word in ("kill", "not for building", "local codes", "licensed practice"):
        assert word in pack.caution


def test_an_unmet_condition_is_said_in_words():
    with pytest.raises(NoSolutionError, match="above half of the nominal one") as caught:
        pack.find(
            "voltage_limited_power",
            pack_voltage="350 V",
            pack_resistance="0.1 ohm",
            pack_voltage_min="150 V",
        )
    assert caught.value.quantity == "voltage_limited_power"
