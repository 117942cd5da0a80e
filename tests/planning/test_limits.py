"""Limits that nothing is said of, and which of several binds."""

import math

import pytest

from chalkwatt import charge, launch
from chalkwatt.algebra.trees import from_sympy, to_sympy
from chalkwatt.errors import TooLittleKnownError
from chalkwatt.laws.relations import symbol
from chalkwatt.planning.folding import fold
from chalkwatt.planning.isolating import isolate

FIRST, SECOND, THIRD = "station_power_max", "cell_power_limit", "pack_power_limit"


@pytest.mark.parametrize(
    ("tree", "folded"),
    [
        (("min", FIRST, SECOND, THIRD), ("min", FIRST, THIRD)),
        (("min", SECOND, FIRST), FIRST),
        (("min", SECOND, ("*", "phases", SECOND)), math.inf),
        (("+", SECOND, ("-", FIRST)), math.inf),
        (("/", FIRST, SECOND), 0),
        (("-", SECOND), ("-", math.inf)),
    ],
)
def test_a_missing_limit_is_folded_away(tree, folded):
    assert fold(tree, (), {SECOND}) == folded


def test_of_the_least_the_one_asked_for_is_the_least():
    way = isolate("charging_power", ("min", FIRST, SECOND), FIRST, symbol, positive=True)
    assert way.forms == ("charging_power",)


def test_the_slope_of_a_least_is_a_step():
    import sympy

    least = to_sympy(("min", FIRST, SECOND), symbol)
    slope = from_sympy(sympy.diff(least, symbol(FIRST)), (FIRST, SECOND))
    assert slope[0] == "/"
    assert "sign" in str(slope)


def test_a_plan_keeps_only_the_limits_that_are_there():
    plan = charge.network.plan("charging_power", (FIRST, SECOND))
    assert plan.steps[-1].forms == (("min", SECOND, "station_power_limit"),)
    assert not plan.standing


def test_nothing_limits_at_all():
    with pytest.raises(TooLittleKnownError):
        charge.find("charging_power", charging_voltage="350 V")


def test_a_standing_nought_does_not_contradict_what_is_given():
    # No resistance is a standing value, but the cells' resistance is given: it must count.
    facts = {"cell_resistance": "30 mΩ", "cells_in_series": 96, "cells_in_parallel": 20}
    answer = charge.find(
        "charging_voltage", **facts, cell_voltage="3.63 V", charging_current="200 A"
    )
    assert answer.si == pytest.approx(96 * (3.63 + 0.03 * 10), rel=1e-12)


def test_notes_say_what_binds_and_what_comes_next():
    answer = launch.find(
        "wheel_power", motor_power="90 kW", drive_efficiency=0.9, current_limited_power="120 kW"
    )
    assert answer.notes == (
        (
            "Power at the wheels: motor power binds, at 90.00 kW; "
            "next would be current limited power, at 120.0 kW."
        ),
    )
