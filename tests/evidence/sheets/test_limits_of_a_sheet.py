"""A question or a claim that passes a limit of the sheet, or its own, is refused with a sentence."""

from __future__ import annotations

import pytest

import chalkwatt as cw
from chalkwatt.errors import TooMuchKnownError
from chalkwatt.evidence.claims.telling import unjudged

PACK = """
[vehicle]
name = "Wigeon"
invented = true
[values.pack_voltage]
value = "350 V"
origin = "quoted"
[values.pack_capacity]
value = "200 A*h"
origin = "quoted"
range = ["190 A*h", "210 A*h"]
[values.usable_energy]
value = "65 kWh"
origin = "quoted"
"""
ONBOARD = """
[values.onboard_power_max]
value = "11 kW"
origin = "quoted"
"""
WIRING = """
[values.pack_charge_current_max]
value = "200 A"
origin = "quoted"
"""
SPAN = {"state_of_charge_from": 0.1, "state_of_charge_to": 0.8}


def test_a_claim_against_its_own_condition_is_refused():
    claim = cw.Claim("charging_time", "50 min", station_power_max="50 kW", c_rate="1 C", **SPAN)
    sheet = cw.Sheet.parse(PACK + ONBOARD)
    with pytest.raises(
        TooMuchKnownError, match="maximum station power allows no more than 50"
    ) as said:
        sheet.judge(claim)
    assert "allows no more than" in unjudged(sheet, claim, said.value)


def test_a_condition_beyond_what_the_sheet_states_is_refused_outside_its_ranges():
    sheet = cw.Sheet.parse(PACK + WIRING)
    # Of 190 to 210 Ah: 1 C may keep to 200 A, 1.1 C is 209 A at the least.
    assert sheet.find("charging_time", c_rate="1.00 C", **SPAN).si > 0
    with pytest.raises(TooMuchKnownError, match="pack power limit allows no more than"):
        sheet.find("charging_time", c_rate="1.10 C", **SPAN)


def test_the_charger_on_board_limits_no_charge_that_goes_round_it():
    sheet = cw.Sheet.parse(PACK + ONBOARD)
    assert sheet.find("charging_time", station_power_max="80 kW", c_rate="1 C", **SPAN).si > 0
    # And where nobody says which charge it is, its limit is only assumed.
    assert sheet.find("charging_time", c_rate="1 C", **SPAN).si > 0
