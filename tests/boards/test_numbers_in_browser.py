"""The browser writes a number as Python does, and reads what it writes."""

import math
import random
import struct

import pytest

from chalkwatt.wording.numbers import format_alike, format_input, format_number
from tests.boards.loaded import load


@pytest.fixture(scope="module")
def numbers():
    pick = random.Random(20)  # noqa: S311  numbers to try, no secrets
    ties = [
        0.125,
        0.5,
        2.5,
        12345.5,
        1234.5,
        0.00012345,
        999.95,
        9999.5,
        99999.5,
        999_999.5,
        1e6,
        1e-3,
        9.9995e-4,
    ]
    made = [
        0.0,
        1.0,
        10.0,
        12_350.0,
        5e-324,
        1.7976931348623157e308,
        *ties,
        *(-one for one in ties),
    ]
    made += [pick.uniform(-1, 1) * 10 ** pick.uniform(-12, 12) for _ in range(8000)]
    made += [round(pick.uniform(0, 2000), pick.randrange(5)) for _ in range(6000)]
    made += [
        pick.randrange(10**6) / 2 ** pick.randrange(12) for _ in range(4000)
    ]  # many exact ties
    bits = (struct.unpack("d", pick.randbytes(8))[0] for _ in range(4000))
    return [*made, *(one for one in bits if math.isfinite(one))]


def test_strings_of_several_are_identical(page, numbers):
    load(page)
    sized = [one for one in numbers if not one or 1e-12 < abs(one) < 1e12]
    pairs = [list(pair) for pair in zip(sized[::2], sized[1::2], strict=False)]
    pairs += [[one, one * factor] for one in sized[::5] for factor in (1.5, 40.0, -3e3)]
    for digits in (3, 6):
        made = page.evaluate(
            "([all, digits]) => all.map((pair) => chalk.formatAlike(pair, digits))", [pairs, digits]
        )
        wrong = [
            (pair, shown)
            for pair, shown in zip(pairs, made, strict=True)
            if tuple(shown) != format_alike(pair, digits)
        ]
        assert wrong == []


def test_strings_are_identical(page, numbers):
    load(page)
    for digits in (2, 3, 4, 6):
        made = page.evaluate(
            """([all, digits]) => all.map((x) =>
                [chalk.formatNumber(x, digits), chalk.formatInput(x, digits)])""",
            [numbers, digits],
        )
        wrong = [
            (x, shown)
            for x, shown in zip(numbers, made, strict=True)
            if shown != [format_number(x, digits), format_input(x, digits)]
        ]
        assert wrong == []


def test_nothing_finite(page):
    load(page)
    made = page.evaluate("() => [NaN, Infinity, -Infinity].map((x) => chalk.formatNumber(x))")
    assert made == [format_number(one) for one in (math.nan, math.inf, -math.inf)]


def test_what_is_written_is_read_back(page, numbers):
    load(page)
    back = page.evaluate(
        "(all) => all.map((x) => chalk.parseNumber(chalk.formatInput(x, 6)))", numbers
    )
    for x, read in zip(numbers, back, strict=True):
        assert read == pytest.approx(x, rel=6e-6, abs=5e-324)


@pytest.mark.parametrize(
    "text", ["", "abc", "1,5", "1.2.3", "--5", "1e", "0x10", "1 km", "Infinity", "12 34", "5%"]
)
def test_what_is_no_number_is_refused(page, text):
    load(page)
    assert page.evaluate("(text) => Number.isNaN(chalk.parseNumber(text))", text)


@pytest.mark.parametrize(
    ("text", "value"),
    [
        (" 110 ", 110),
        ("−5", -5),
        ("12 350", 12_350),
        ("1.5e3", 1500),
        ("1.2×10⁻⁵", 1.2e-5),
        (".5", 0.5),
        ("7.", 7),
    ],
)
def test_what_is_a_number_is_read(page, text, value):
    load(page)
    assert page.evaluate("(text) => chalk.parseNumber(text)", text) == value
