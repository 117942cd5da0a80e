"""Standing values that speak for a claim are told with it, and no others."""

import pytest

import chalkwatt as cw
from tests.browsing import ROOT

DEMO = cw.Sheet.read(ROOT / "assets" / "quillwort.toml")
FAST = {
    "station_power_max": "50 kW",
    "state_of_charge_from": "10 %",
    "state_of_charge_to": "80 %",
}
WORDS = "Taken for granted in its favour: constant power (taper factor 100 %)."


@pytest.mark.parametrize(
    ("claim", "told"),
    [
        (cw.Claim("charging_time", "32 min", **FAST), True),
        (cw.Claim("average_charging_power", "20 kW", **FAST), True),
        (cw.Claim("distance_in_ten_minutes", "60 km", speed="90 km/h", **FAST), True),
        # Who claims that it takes at least so long is not helped by it, nor who claims the highest power.
        (cw.Claim("charging_time", "32 min", sense="at least", **FAST), False),
        (cw.Claim("charging_power", "20 kW", **FAST), False),
        (cw.Claim("charging_time", "60 min", taper_factor=0.8, **FAST), False),
    ],
)
def test_a_fast_charge_says_that_its_power_never_falls(claim, told):
    sentence = DEMO.judge(claim).sentence
    assert sentence.count(WORDS) == told
    assert sentence.count("constant power") == told


def test_a_finding_says_it_too_once():
    found = DEMO.find("charging_time", **FAST)
    assert repr(found).count(WORDS) == found.notes.count(WORDS) == 1
    stated = DEMO.revised("taper_factor", 0.8, origin="assumed")
    tapered = stated.find("charging_time", **FAST)
    assert WORDS not in tapered.notes
    assert tapered.si == pytest.approx(found.si / 0.8)


def test_a_start_says_that_nothing_is_spun_up():
    said = "Taken for granted in its favour: no parts to spin up (rotating mass factor 1)."
    assert said in DEMO.judge(cw.Claim("time_to_speed", "9 s", target_speed="60 mph")).sentence


def test_a_steady_drive_names_its_own_circumstances_and_no_more():
    for claim in DEMO.claims:
        assert "Taken for granted" not in DEMO.judge(claim).sentence
    cheap = cw.Claim("consumption", "9 kWh/100 km", speed="90 km/h")
    assert "Taken for granted" not in DEMO.judge(cheap).sentence
