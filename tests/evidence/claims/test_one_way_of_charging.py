"""A sheet knows a charger on board and is asked of a fast charge: one way, chosen by the question, said once."""

import math

import pytest

import chalkwatt as cw
from chalkwatt.topics.charge import ALTERNATING, DIRECT
from tests.browsing import ROOT

DEMO = cw.Sheet.read(ROOT / "assets" / "quillwort.toml")
SPAN = {"state_of_charge_from": "10 %", "state_of_charge_to": "80 %"}
DC = {"station_power_max": "50 kW"}
AC = {"ac_power": "3.7 kW"}


def minutes(power):
    """From 10 to 80 %: the voltage at rest stores its part of what comes to the terminals."""
    volts, ohms = 96 * 3.63, 96 * 0.029 / 18
    amps = (math.sqrt(volts**2 + 4 * ohms * power) - volts) / (2 * ohms)
    return 31400 * 0.93 * 0.7 / (volts * amps) * 60


def direct(limit=50e3, rate=0.7):
    """Minutes from 10 to 80 % by plain floats: the cells' current at the voltage that it drives up."""
    volts, ohms = 96 * 3.63, 96 * 0.029 / 18
    amps = rate * 31400 / volts
    return minutes(min(limit, (volts + amps * ohms) * amps))


def alternating(outlet=3700.0):
    return minutes(0.89 * min(outlet, 6600.0))


@pytest.mark.parametrize("limit", ["50 kW", "5 kW", "170 kW"])
def test_a_station_goes_round_the_charger_on_board(limit):
    found = DEMO.find("charging_time", station_power_max=limit, **SPAN)
    assert found.si / 60 == pytest.approx(direct(float(limit.split()[0]) * 1e3), rel=0.01)
    assert "onboard_power_max" not in found.facts
    told = found.working.text
    assert told.count(DIRECT.words) == 1
    assert "lternating current" not in told
    assert found.notes.count(DIRECT.words) == 1


def test_an_outlet_goes_through_it():
    found = DEMO.find("charging_time", **AC, **SPAN)
    assert found.si / 60 == pytest.approx(alternating(), rel=1e-5)
    both = DEMO.revised("station_power_max", "50 kW", origin="quoted")
    both = both.revised("taper_factor", 0.6, origin="quoted")
    assert both.find("charging_time", **AC, **SPAN).si == pytest.approx(found.si)
    fast = both.find("charging_time", station_current_max="500 A", **SPAN)
    assert fast.si / 60 == pytest.approx(direct() / 0.6, rel=0.01)


@pytest.mark.parametrize(
    ("conditions", "way", "long"),
    [
        (DC, DIRECT, direct()),
        (AC, ALTERNATING, alternating()),
        ({"station_current_max": "500 A"}, DIRECT, direct(1e9)),
    ],
)
def test_a_verdict_names_its_way_once(conditions, way, long):
    verdict = DEMO.judge(cw.Claim("charging_time", "32 min", **conditions, **SPAN))
    assert verdict.finding.si / 60 == pytest.approx(long, rel=0.01)
    assert verdict.sentence.count(way.words) == 1
    assert "is assumed" not in verdict.sentence
    assert verdict.sentence.count("taper factor") == 1  # said once: it is in the claim's favour
    other = DIRECT if way is ALTERNATING else ALTERNATING
    assert other.words.rstrip(".") not in verdict.sentence


def test_where_nothing_chooses_the_assumed_way_is_told():
    verdict = DEMO.judge(cw.Claim("charging_time", "32 min", **SPAN))
    # Voltage and energy of the sheet agree to a thousandth, and either may tell the other.
    assert verdict.finding.si / 60 == pytest.approx(alternating(1e9), rel=1e-4)
    for told in (verdict.sentence, repr(verdict.finding), verdict.finding.working.text):
        assert told.count("on board, is assumed") == 1
        assert told.count("lternating current, which") == 1


def test_a_sheet_of_both_mixes_nothing_where_nothing_chooses():
    both = DEMO.revised("station_power_max", "50 kW", origin="quoted")
    found = both.find("charging_time", **SPAN)
    assert found.si / 60 == pytest.approx(direct(), rel=0.01)
    assert "irect current, which goes round the charger on board, is assumed" in repr(found)
    # What is stated of the other way is told, and in none of the steps.
    assert "Of alternating current it states the maximum onboard charger power" in repr(found)
    assert "give onboard_power_max for that" in repr(found)
    assert not {step.find for step in found.plan.steps} & {"onboard_power_limit", "ac_power"}
    assert "onboard_power_max" not in found.facts


@pytest.mark.parametrize("wanted", ["charging_time", "onboard_power_limit", "station_power_limit"])
def test_a_question_that_names_both_is_refused(wanted):
    with pytest.raises(cw.TooMuchKnownError, match="one way or the other, not both"):
        DEMO.find(wanted, **AC, **DC, **SPAN)


def test_a_claim_that_names_both_is_refused():
    with pytest.raises(cw.TooMuchKnownError, match="one way or the other, not both"):
        DEMO.judge(cw.Claim("charging_time", "50 min", **AC, **DC, **SPAN))
