"""Numbers as people write them: read as meant, or not at all."""

import math
import random

import pytest

from chalkwatt.errors import UnitError
from chalkwatt.laws.quantities import look_up
from chalkwatt.wording.written import BLANKS, written

# Space, no-break space, figure space, thin, hair and narrow no-break space: Unicode's own names for them.
_PEOPLE_SEE_A_BLANK = "\N{SPACE}\N{NO-BREAK SPACE}\N{FIGURE SPACE}\N{THIN SPACE}\N{HAIR SPACE}\N{NARROW NO-BREAK SPACE}"


@pytest.mark.parametrize("blank", [*_PEOPLE_SEE_A_BLANK, "_", "'", "’"])
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
        ("63/64 in", 63 / 64, "in"),
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
    "text",
    [
        "230/400 V",
        "12/24 V",
        "6/8 km",
        "1/0 km",
        "0/4 km",
        "5/4 km",
        "1/3.5 km",
        "1/7 km",
        "231/400 V",
        "C/0",
    ],
)
def test_two_numbers_are_no_fraction(text):
    try:
        found = written(text)
    except UnitError as error:
        assert "is not one number" in str(error) or text.startswith("C")  # noqa: PT017  one or the other is right

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


@pytest.mark.parametrize(
    ("text", "seconds", "unit", "grain"),
    [
        ("1 h 20 min", 4800.0, "h", 60.0),
        ("1 h 20", 4800.0, "h", 60.0),
        ("1h20", 4800.0, "h", 60.0),
        ("1h 20m", 4800.0, "h", 60.0),
        ("1 hour and 20 minutes", 4800.0, "h", 60.0),
        ("1 hr, 20 mins", 4800.0, "h", 60.0),
        ("1\u202fh\u00a020 min", 4800.0, "h", 60.0),
        ("3 min 20 s", 200.0, "min", 1.0),
        ("3 min 20.5 s", 200.5, "min", 0.1),
        ("3 min 20", 200.0, "min", 1.0),
        ("2 h 0 min 30 s", 7230.0, "h", 1.0),
        ("1 h 20 s", 3620.0, "h", 1.0),
        ("2 days 3 hours", 183_600.0, "d", 3600.0),
        ("1:20 h", 4800.0, "h", 60.0),
        ("1:20:30 h", 4830.0, "h", 1.0),
        ("1:20 min", 80.0, "min", 1.0),
    ],
)
def test_a_time_in_several_units(text, seconds, unit, grain):
    found = written(text)
    size = {"d": 86_400.0, "h": 3600.0, "min": 60.0}[unit]
    assert found.unit == unit
    assert found.number * size == pytest.approx(seconds, rel=1e-15)
    assert found.digit * size == pytest.approx(grain, rel=1e-12)
    assert look_up("charging_time").read(text) == pytest.approx(seconds, rel=1e-15)


@pytest.mark.parametrize(
    "text",
    [
        "1:20",  # hours and minutes, or minutes and seconds
        "1:20:30",
        "1:20 kWh",
        "1:75 h",
        "1:2 h",
        "1 h 75 min",
        "3 min 60 s",
        "1 d 24 h",
        "20 min 1 h",
        "1.5 h 20 min",
        "1 h 0.5 min",
        "1 h -20 min",
        "-1 h 20 min",
        "1 h 20 min 30 kg",
        "1 h 20 kWh",
        "20 m 10 s",
        "1 d 20",
        "1 h h",
        "1 h 2 h",
        "1 180 h 20 min",
    ],
)
def test_what_is_no_time_or_may_be_two(text):
    with pytest.raises(UnitError):
        look_up("charging_time").read(text)


def test_which_of_two_times_is_asked_and_which_part_is_too_much_is_said():
    with pytest.raises(UnitError, match=r"Write 1 h 20 min or 1 min 20 s\."):
        look_up("charging_time").read("1:20")
    with pytest.raises(UnitError, match=r"charging_time: .*75 min are too many after the h"):
        look_up("charging_time").read("1 h 75 min")


def test_any_time_comes_back():
    draw = random.Random(11)  # noqa: S311  numbers, no secrets
    for _ in range(2000):
        days, hours, minutes = draw.randint(0, 400), draw.randint(0, 23), draw.randint(0, 59)
        seconds = round(draw.uniform(0, 59), draw.randint(0, 3))
        blank = draw.choice([*BLANKS, ""])
        named = {f"{days}{blank}d": days * 86_400, f"{hours}{blank}h": hours * 3600,
                 f"{minutes}{blank}min": minutes * 60, f"{seconds}{blank}s": seconds}  # fmt: skip
        some = draw.sample(list(named), draw.randint(2, 4))
        text = draw.choice([*BLANKS]).join(one for one in named if one in some)
        made = look_up("charging_time").read(text) if any(named[one] for one in some) else 0.0
        assert made == pytest.approx(sum(named[one] for one in some), rel=1e-12), text


@pytest.mark.parametrize(
    ("text", "metres"),
    [
        ("quarter mile", 402.336),
        ("Quarter-Mile", 402.336),
        ("a quarter of a mile", 402.336),
        ("1/4 mile", 402.336),
        ("1/4-mile", 402.336),
        ("¼-mile", 402.336),
        ("half a mile", 804.672),
        ("eighth mile", 201.168),
        ("1/8 mi", 201.168),
    ],
)
def test_a_strip_in_words(text, metres):
    assert look_up("sprint_distance").read(text) == pytest.approx(metres, rel=1e-15)


@pytest.mark.parametrize(
    "text",
    ["quarter", "mile", "a mile", "quarter kWh", "three quarter mile", "1-mile", "quarter mile h"],
)
def test_words_that_are_no_number(text):
    with pytest.raises(UnitError):
        look_up("sprint_distance").read(text)
