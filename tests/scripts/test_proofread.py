"""Proofreading: numbers are found in digits and words, and what stands behind them is named."""

import pytest

from chalkwatt import load
from chalkwatt.errors import ChalkwattError
from chalkwatt.scripts.proofread import proofread
from chalkwatt.scripts.script import script
from chalkwatt.scripts.spoken_numbers import find_mentions


@pytest.mark.parametrize(
    ("text", "si", "label"),
    [
        ("about 260 miles", 418_429.44, "mi"),  # 1609.344 m exactly (NIST SP 811)
        ("a 260-mile range", 418_429.44, "mi"),
        ("two hundred and sixty-five watts", 265.0, "W"),
        ("six point five per cent", 0.065, "%"),
        ("86 %", 0.86, "%"),
        ("86%", 0.86, "%"),
        ("12,500 km", 12.5e6, "km"),
        ("1 250 kg", 1250.0, "kg"),
        ("9.4 kWh/100 km", 338.4, "kWh/100 km"),
        ("9.4 kilowatt-hours per 100 kilometres", 338.4, "kWh/100 km"),
        ("9.4 kilowatt hours", 33.84e6, "kWh"),
        ("three hours and 50 minutes", 13_800.0, "h"),
        ("3 h 20 min", 12_000.0, "h"),
        ("minus ten degrees Celsius", 263.15, "°C"),
        ("−10 °C", 263.15, "°C"),
        ("half a kilowatt", 500.0, "kW"),
        ("a hundred kilometres per hour", 100 / 3.6, "km/h"),
        ("ninety-five kph", 95 / 3.6, "km/h"),
        ("1.2×10⁻³ kg", 0.0012, "kg"),
        ("two thousand kilograms", 2000.0, "kg"),
        ("5 meters", 5.0, "m"),
    ],
)
def test_a_number_is_found_and_read(text, si, label):
    (found,) = find_mentions(f"So: {text}, they say.")
    assert found.si == pytest.approx(si, rel=1e-12)
    assert found.label == label


@pytest.mark.parametrize(
    "text",
    [
        "in 2026 we",
        "chapter 5. Methods",
        "5 Mondays",
        "3 kings",
        "version 1.2",
        "W 5",
        "10 miscellaneous",
    ],
)
def test_what_has_no_unit_is_left_alone(text):
    assert list(find_mentions(text)) == []


@pytest.mark.parametrize(
    ("text", "low", "high"),
    [
        ("383 km", 382.5, 383.5),
        ("380 km", 375, 385),
        ("400 km", 395, 405),
        ("about 400 km", 390, 410),
        ("a little over 400 km", 400, 420),
        ("just under 400 km", 380, 400),
        ("12.50 km", 12.495, 12.505),
    ],
)
def test_wording_says_how_much_is_claimed(text, low, high):
    (found,) = find_mentions(text)
    assert (found.low / 1000, found.high / 1000) == pytest.approx((low, high))


def test_lines_and_columns():
    text = "One.\n\nIt weighs 700 kg\nand goes 90 km/h."
    assert [(one.line, one.column) for one in find_mentions(text)] == [(3, 11), (4, 10)]


def test_both_ends_of_a_span_are_found():
    assert [one.si for one in find_mentions("between 360 and 400 km")] == [360e3, 400e3]
    assert [one.si for one in find_mentions("360–400 km")] == [360e3, 400e3]


def test_each_verdict_is_given():
    prose = (
        "It weighs 700 kg and has a range of about 380 km.\n"
        "Its battery gives 36 kWh; a kettle takes 2 kW.\n"
    )
    then = {"mass": "700 kg", "range": "383 km", "usable_energy": "34 kWh"}
    now = {"mass": "740 kg", "range": "381 km", "usable_energy": "34 kWh"}
    proof = proofread(prose, now, before=then)
    assert [(one.mention.text, one.verdict) for one in proof.remarks] == [
        ("700 kg", "moved"),
        ("about 380 km", "supported"),
        ("36 kWh", "unsupported"),
        ("2 kW", "unsupported"),
    ]
    moved, supported, wrong, nothing = proof.remarks
    assert moved.names == ("mass",)
    assert moved.now == "740 kilograms"
    assert supported.names == ("range",)
    assert wrong.nearest == "usable_energy, 34.0 kWh"
    assert nothing.nearest == ""
    assert proof.text.splitlines()[0] == "1:11: “700 kg” has moved: mass is now 740 kilograms"


def test_a_quantity_named_nearby_comes_first():
    proof = proofread("The wheel power is 5 kW.", {"battery_power": "5 kW", "wheel_power": "5 kW"})
    assert proof.remarks[0].names == ("wheel_power",)
    proof = proofread("It takes 5 kW.", {"battery_power": "5 kW", "wheel_power": "5 kW"})
    assert set(proof.remarks[0].names) == {"wheel_power", "battery_power"}


def test_a_spread_supports_what_lies_within_it():
    from chalkwatt.scripts.stated import Stated

    far = Stated("range", 383e3, 360e3, 400e3, "km")
    assert proofread("some 370 km", {"range": far}).of("supported")
    assert proofread("some 450 km", {"range": far}).of("unsupported")


def test_our_own_scripts_are_supported_by_their_own_numbers():
    names = ("range", "driving_time", "consumption", "battery_power", "wheel_power", "air_force")
    numbers = {name: load.find(name, **load.example) for name in names}
    text = script(
        "\n".join(f"- {{{{ {name} }}}}, {{{{ {name}.figures }}}}" for name in names), numbers
    ).text
    proof = proofread(text, numbers)
    assert len(proof.remarks) == 2 * len(names)
    assert not proof.of("unsupported"), proof.text
    # A change of the sheet is seen in every line.
    later = {name: load.find(name, **{**load.example, "drag_area": "0.63 m²"}) for name in names}
    moved = proofread(text, later, before=numbers)
    assert len(moved.of("moved")) == len(moved.remarks)


def test_what_holds_no_numbers_is_refused_in_words():
    with pytest.raises(ChalkwattError, match="holds no numbers"):
        proofread("It weighs 3 kg.", None)
