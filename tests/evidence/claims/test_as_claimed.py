"""A claim, and each of its conditions, is shown back as it was given."""

import pytest

from chalkwatt import Claim, Sheet
from chalkwatt.evidence.claims.telling import circumstances
from chalkwatt.scripts.script import script
from chalkwatt.wording import units

SHEET = """
[vehicle]
name = "Sorrel"
[values.usable_energy]
value = "40 kWh"
plus_minus = "2 kWh"
origin = "quoted"
[values.range]
value = "250 km"
plus_minus = "20 km"
origin = "measured"
"""
CLAIM = """
[[claims]]
quantity = "consumption"
value = "3.90 mi/kWh"
said_by = "a poster"
"""


@pytest.mark.parametrize(
    ("name", "given", "said"),
    [
        ("consumption", "3.9 mi/kWh", "at least 3.9 mi/kWh, which is at most 25.64 kWh/100 mi"),
        ("consumption", "6.50 km/kWh", "at least 6.50 km/kWh, which is at most 15.38 kWh/100 km"),
        (
            "consumption",
            "3.9 miles per kWh",
            "at least 3.9 mi/kWh, which is at most 25.64 kWh/100 mi",
        ),
        (
            "consumption",
            units.registry().Quantity(4.0, "mi/kWh"),
            "at least 4 mi/kWh, which is at most 25 kWh/100 mi",
        ),
        ("consumption", "250.0 Wh/mi", "at most 250.0 Wh/mi"),
        ("consumption", "1.2e1 kWh/100 km", "at most 12 kWh/100 km"),
        ("consumption", 500.0, "at most 13.8889 kWh/100 km"),
        ("combined_economy", "25 kWh/100 mi", "at most 25 kWh/100 mi, which is at least 4 mi/kWh"),
        ("combined_economy", "3.90 mi/kWh", "at least 3.90 mi/kWh"),
        ("equivalent_economy", "110 MPGe", "at least 110 MPGe"),
        ("equivalent_economy", "110 mpge", "at least 110 MPGe"),
        ("equivalent_economy", "47.0 km/L", "at least 47.0 km/L"),
        ("range", "480.0 km", "at least 480.0 km"),
        ("range", "1 180 km", "at least 1180 km"),
        ("range", "300 miles", "at least 300 mi"),
        ("range", "480000 m", "at least 480\u202f000 m"),
        ("charging_time", "½ h", "at most 0.5 h"),
        ("charging_time", "1h20", "at most 1 h 20 min"),
        ("charging_time", "1:05 h", "at most 1 h 05 min"),
        ("motor_power", "130 bhp", "at least 130 hp"),
        ("altitude", "-12.50 m", "at least −12.50 m"),
    ],
)
def test_a_claim_is_said_as_it_was_made(name, given, said):
    assert Claim(name, given).said == said


@pytest.mark.parametrize("given", ["3.9 mi/kWh", "3.90 mi/kWh", "6.28 km/kWh"])
def test_a_condition_is_said_as_it_was_made(given):
    assert (
        circumstances(Claim("range", "480 km", consumption=given))
        == f" with a consumption of {given}"
    )


def test_a_verdict_and_a_script_say_what_was_claimed():
    sheet = Sheet.parse(SHEET + CLAIM)
    verdict = sheet.judge(sheet.claims[0])
    told = "The claim of at least 3.90 mi/kWh (a poster), which is at most 25.64 kWh/100 mi,"
    assert told in verdict.sentence
    assert "consumption at least 3.90 mi/kWh" in verdict.board().html
    words = script("{% for c in claims %}{{ c.sense }} {{ c.claimed }}{% endfor %}", sheet).text
    assert words == "at least 3.90 mi/kWh"
    # What is better is still less of it.
    assert verdict.claim.sense == "at most"
    assert bool(verdict.claim.met(verdict.claim.si * 0.9))


def test_what_is_found_is_said_in_the_equivalent_that_was_claimed():
    sheet = Sheet.parse(
        '[vehicle]\nname = "Smew"\n'
        '[values.label_consumption]\nvalue = "52 kWh/100 mi"\norigin = "quoted"\n'
    )
    said = sheet.judge(Claim("equivalent_economy", "70 MPGe")).sentence
    assert "is about 64.8 MPGe" in said  # 33.705 kWh over 0.52 kWh a mile
    assert "mi/gal" not in said
    miles = sheet.judge(Claim("equivalent_economy", "70 mi/gal")).sentence
    assert "MPGe" not in miles


def test_a_claim_of_a_consumption_downhill_is_answered_about_consumption():
    road = {
        "drag_area": "0.6 m^2",
        "mass": "900 kg",
        "rolling_coefficient": "0.01",
        "drive_efficiency": "0.9",
        "auxiliary_power": "0 W",
        "recovery_efficiency": "0.5",
    }
    stated = (
        f'[values.{name}]\nvalue = "{value}"\norigin = "quoted"\n' for name, value in road.items()
    )
    sheet = Sheet.parse('[vehicle]\nname = "Smew"\n' + "".join(stated))
    claim = Claim("consumption", "9 kWh/100 km", speed="50 km/h", grade="-9 %")
    verdict = sheet.judge(claim)
    assert verdict.word == "holds"
    assert "there is no consumption" in verdict.sentence


@pytest.mark.parametrize(
    "name", ["heat_loss_coefficient", "reference_rolling_coefficient", "cold_energy_coefficient"]
)
def test_a_claim_of_what_costs_is_at_most(name):
    assert Claim(name, 0.01).sense == "at most"
