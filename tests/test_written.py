"""Numbers as people write them: read as meant, or not at all."""

import math
import random

import pytest

from chalkwatt.errors import UnitError
from chalkwatt.written import BLANKS, written


@pytest.mark.parametrize("blank", [*BLANKS, "_", "'", "’"])
def test_groups_of_three(blank):
    assert written(f"1{blank}180 kg") == (1180.0, "kg", 1.0)
    assert written(f"12{blank}345{blank}678.5 m") == (12345678.5, "m", 0.1)
    for text in (f"1{blank}18 kg", f"1234{blank}567 kg", f"1{blank}1800 kg"):
        found = written(text)
        assert found.number in {1.0, 1234.0}  # the rest is left for the unit, which is then refused
        assert found.unit.strip(BLANKS)[0] in "0123456789_'’"


def test_a_number_is_grouped_in_one_way():
    assert written("1 180'000 kg").number == 1180.0
    assert written("1 180'000 kg").unit == "'000 kg"


@pytest.mark.parametrize(
    ("text", "number", "unit"),
    [
        ("1/4 mile", 0.25, "mile"),
        ("¼ mile", 0.25, "mile"),
        ("1/4", 0.25, ""),
        ("1½ mi", 1.5, "mi"),
        ("1 ½ mi", 1.5, "mi"),
        ("2 3/8 in", 2.375, "in"),
        ("-1/2 m", -0.5, "m"),
        ("⅔", 2 / 3, ""),
        ("0.5 1/h", 0.5, "1/h"),
        ("5 1/h", 5.0, "1/h"),
        ("C/20", 0.05, "C"),
        ("1.2×10³ W", 1200.0, "W"),
        ("1.2 · 10^-3 m", 0.0012, "m"),
        ("1.368×10⁸ J", 1.368e8, "J"),
        ("4.448×10⁻⁷", 4.448e-7, ""),
        ("–7 °C", -7.0, "°C"),
        ("+7 °C", 7.0, "°C"),
        ("5 eV", 5.0, "eV"),
        ("5e3 V", 5000.0, "V"),
    ],
)
def test_what_people_write(text, number, unit):
    found = written(text)
    assert found.number == pytest.approx(number, rel=1e-15)
    assert found.unit == unit


@pytest.mark.parametrize(
    "text", ["230/400 V", "12/24 V", "6/8 km", "1/0 km", "0/4 km", "5/4 km", "1/3.5 km", "1/7 km"]
)
def test_two_numbers_are_no_fraction(text):
    try:
        found = written(text)
    except UnitError as error:
        assert "is not one number" in str(error)  # noqa: PT017  one or the other is right
    else:
        assert found.unit.startswith("/")


def test_what_the_last_digit_is_worth():
    for text, digit in (
        ("690", 1.0), ("690.0", 0.1), ("1.25e3", 10.0), ("1/4", 0.0), ("½", 0.0), ("5.", 1.0),
    ):  # fmt: skip
        assert written(text).digit == pytest.approx(digit), text
    assert written("1e999999999999").number == math.inf


def test_a_number_comes_back_however_it_is_grouped_and_signed():
    draw = random.Random(9)  # noqa: S311  numbers, no secrets
    for _ in range(3000):
        value = draw.choice([-1, 1]) * round(10 ** draw.uniform(-4, 12), draw.randint(0, 6))
        blank = draw.choice([*BLANKS, "_", "'", "’", ""])
        text = f"{abs(value):,f}".replace(",", blank)
        sign = draw.choice("-−–") if value < 0 else draw.choice(["", "+"])
        assert written(f" {sign}{text}{draw.choice(['', *BLANKS])}kWh").number == value
