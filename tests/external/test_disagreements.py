"""Where sources disagree: both values stand in the table, and the program does what the table says."""

import math

import pytest

import chalkwatt as cw
from chalkwatt.laws.disputed import Disagreements
from chalkwatt.laws.quantities import constants, glossary
from chalkwatt.wording import units
from tests.external import published

GALLON = units.unit("gal").factor


def entry(what):
    (found,) = [one for one in cw.disagreements() if one.what.startswith(what)]
    return found


def numbers(text):
    """The numbers in a value as printed, thousands' commas taken out."""
    words = text.replace(",", "").replace("(", " ").split()
    return [float(one) for one in words if one.replace(".", "", 1).replace("-", "", 1).isdigit()]


@pytest.mark.parametrize("one", cw.disagreements(), ids=lambda one: one.what)
def test_every_entry_is_complete(one):
    assert len(one.said) >= 2
    assert len({each.value for each in one.said}) == len(one.said)
    assert {each.status for each in one.said} <= {"read", "library", "memory", "worked"}
    assert all(each.source for each in one.said)
    assert one.taken
    assert one.why.endswith(".")
    known = glossary().keys() | {
        "tyre",
        "charging",
        "hp",
        "btu",
        "solar_day",
        "sobol",
        "sensitivity",
    }
    assert known.issuperset(one.about)


def test_it_is_found_by_quantity_and_by_word():
    assert cw.disagreements("city_share") == cw.disagreements("Weights of city")
    assert not cw.disagreements("nobody doubts this")
    assert isinstance(cw.disagreements("tyre"), Disagreements)
    assert len(cw.disagreements()) > 20
    shown = cw.disagreements("gravity")._repr_html_()
    assert "<td>9.80665 m/s²</td>" in shown
    assert "&" not in shown.replace("&amp;", "").replace("&#x27;", "")


def test_city_and_highway():
    taken = entry("Weights").taken
    assert numbers(taken) == [0.55, 0.45]
    made = cw.economy.find(
        "combined_consumption", city_consumption=300.0, highway_consumption=260.0
    )
    assert made.si == pytest.approx(0.55 * 300 + 0.45 * 260)
    assert made.si == pytest.approx(282.0)
    swapped = 0.45 * 300 + 0.55 * 260
    assert swapped == pytest.approx(278.0)


def test_pressure_at_altitude():
    made = cw.load.find("air_pressure", altitude="1800 m").to("kPa")
    assert made == pytest.approx(numbers(entry("Air pressure").taken)[0], abs=0.0005)
    fao = 101.3 * ((293 - 0.0065 * 1800) / 293) ** 5.26
    assert fao == pytest.approx(81.756, abs=0.0005)


def test_heights_of_one_place():
    low, high = (cw.load.find("air_density", altitude=f"{one} m").si for one in (1830.14, 2182))
    assert 1 - high / low == pytest.approx(0.035, abs=0.0005)


def test_dry_air():
    made = cw.load.find("air_density", air_temperature="0 °C", air_pressure="101325 Pa").si
    assert made == pytest.approx(numbers(entry("Dry air").taken)[0], abs=5e-6)
    assert 1.293066 / made - 1 == pytest.approx(0.0006, abs=5e-5)


@pytest.mark.parametrize(("what", "label"), [("Horsepower", "hp"), ("British", "Btu")])
def test_units(what, label):
    taken = numbers(entry(what).taken)[0]
    assert units.unit(label).factor == pytest.approx(taken, rel=1e-8)


def test_a_gallon():
    made = constants()["gallon_energy"] * GALLON / 3.6e6
    assert made == pytest.approx(numbers(entry("Energy of a US gallon").taken)[0], rel=1e-12)


def test_tyres():
    answer = cw.tyres.find("rolling_share_of_warm", air_temperature="15 °C")
    taken = numbers(entry("Temperature correction").taken)[0]
    assert answer.assumed["tyre_temperature_coefficient"] == taken
    (growth,) = published("tyres", "speed-form")
    assert numbers(entry("Rolling coefficient at 60").said[1].value) == [growth.value]
    first = 0.012 + 3.24 * 0.007 * 0.6**2.5
    assert numbers(entry("Rolling coefficient at 60").said[0].value) == [round(first, 4)]


def test_gravity():
    answer = cw.load.find("grade_force", mass=1000.0, grade=0.1)
    assert answer.assumed["gravity"] == numbers(entry("Gravity").taken)[0]
    speeds = [math.sqrt(2 * 0.4 * g * 60) * 3.6 for g in (9.80, 9.81)]
    assert [round(one, 2) for one in speeds] == [78.08, 78.12]


def test_drag_by_speed():
    slow, fast = (
        cw.load.find("air_force", speed=f"{one} km/h", drag_area=0.6, air_density=1.2).si
        for one in (65, 110)
    )
    assert fast / slow == pytest.approx(numbers(entry("Drag at 110").taken)[0], abs=5e-4)


def test_cost_in_the_cold():
    assert [round(100 * (1 / one - 1)) for one in (0.61, 0.59)] == [64, 69]


def test_peukert():
    battery = {"rated_capacity": "100 Ah", "pack_current": "5 A", "peukert_exponent": 1.2}
    made = cw.discharge.find("discharge_time", **battery).to("h")
    assert made == pytest.approx(numbers(entry("Time to empty").taken)[0], abs=0.05)
    as_printed = 100 / 5**1.2
    assert as_printed == pytest.approx(14.5, abs=0.05)


def test_lfp_cells():
    said = entry("Size of the fade").said[1].value.replace(",000", "000")
    polynomial = [float(one.replace(",", "")) for one in said.split(", ")]
    made = [cw.ageing.find("lfp_prefactor", c_rate=f"{rate} 1/h").si for rate in (0.5, 2, 6, 10)]
    assert made == pytest.approx(polynomial, abs=0.6)


def test_saturation_pressure():
    made = cw.weather.find("saturation_pressure", air_temperature="24.5 °C").to("kPa")
    assert made == pytest.approx(numbers(entry("Saturation").taken)[0], abs=5e-4)


def test_the_misprint_of_a_coast_down_table():
    made = cw.coast_down(
        speed_from="70 km/h",
        speed_to="60 km/h",
        mass="160 kg",
        coast_down_constant="5.19 N",
        coast_down_square="0.0241 N/(km/h)^2",
    )
    assert made.time.to("s").magnitude == pytest.approx(4.175, abs=0.005)


def test_letters_of_two_regulations():
    from chalkwatt.topics.tyres import LABELS

    assert "LABELS" in entry("Letters").taken
    letters = {one.regulation: one.letter(0.0100) for one in LABELS if one.tyres == "C1"}
    assert letters == {"1222/2009": "E", "2020/740": "D"}


SIDES = {
    ("heat", "cold-with-heater"): "Loss of range at −7 °C",
    ("heat", "later-test-in-the-cold"): "Loss of range at −7 °C",
    ("heat", "winter-against-label"): "Loss of range at −7 °C",
    ("heat", "heat-with-cooling"): "Loss of range at 35 °C",
    ("heat", "later-test-in-the-heat"): "Loss of range at 35 °C",
    ("regulation", "gallon-in-greet"): "Energy of a US gallon",
}


@pytest.mark.parametrize("side", SIDES, ids=lambda side: side[1])
def test_what_one_source_says_stands_in_the_table(side):
    listed = [number for one in entry(SIDES[side]).said for number in numbers(one.value)]
    for case in published(*side):
        assert case.value in listed
    if side[1] == "gallon-in-greet":
        case.check(116_090 / 3412)
