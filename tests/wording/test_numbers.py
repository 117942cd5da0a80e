"""Numbers as people see them."""

import math
from decimal import ROUND_HALF_UP, Context, Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from chalkwatt.cards.alt_text import said_span
from chalkwatt.episodes.changes import number_text
from chalkwatt.episodes.ledger import Number
from chalkwatt.evidence.sheets.facts import make_fact
from chalkwatt.evidence.spread.draws import Interval
from chalkwatt.wording.numbers import (
    as_percent,
    format_alike,
    format_input,
    format_number,
    split_number,
    with_unit,
)

RAISED = str.maketrans("⁻⁰¹²³⁴⁵⁶⁷⁸⁹", "-0123456789")
FINITE = st.floats(allow_nan=False, allow_infinity=False) | st.floats(-1e7, 1e7)


def back(shown):
    """The number that was shown, exactly."""
    mantissa, _, power = shown.partition("×10")
    plain = mantissa.replace("\u202f", "").replace("−", "-")
    return Decimal(plain).scaleb(int(power.translate(RAISED) or 0) if power else 0)


@pytest.mark.parametrize(
    ("value", "digits", "shown"),
    [
        (0.125, 2, "0.13"),
        (-0.125, 2, "−0.13"),
        (2.5, 1, "3"),
        (0.5, 1, "0.5"),
        (1234.5, 4, "1235"),
        (12345.6, 4, "12\u202f350"),
        (9999.5, 4, "10\u202f000"),
        (999999.5, 6, "1.00000×10⁶"),
        (999_949, 4, "999\u202f900"),
        (1e6, 4, "1.000×10⁶"),
        (1e-3, 4, "0.001000"),
        (9.9995e-4, 4, "0.001000"),  # the double lies above the tie
        (5e-324, 4, "4.941×10⁻³²⁴"),
        (1.7976931348623157e308, 4, "1.798×10³⁰⁸"),
        (0.0, 4, "0"),
        (-0.0, 4, "0"),
        (math.nan, 4, "–"),
        (math.inf, 4, "∞"),
        (-math.inf, 4, "−∞"),
    ],
)
def test_results(value, digits, shown):
    assert format_number(value, digits) == shown


@pytest.mark.parametrize(
    ("value", "shown"),
    [
        (38.0, "38"),
        (0.0085, "0.0085"),
        (12350.0, "12\u202f350"),
        (1.5e-9, "1.5×10⁻⁹"),
        (1e7, "1×10⁷"),
    ],
)
def test_inputs_without_idle_zeros(value, shown):
    assert format_input(value) == shown


def test_units_follow_as_the_trade_writes_them():
    assert with_unit(5.0, "°") == "5.000°"
    assert with_unit(12.5, "%") == "12.50 %"
    assert with_unit(412.34, "km") == "412.3 km"
    assert with_unit(96.0, "") == "96.00"


@settings(derandomize=True, max_examples=1500)
@given(FINITE, st.integers(1, 9))
def test_half_is_rounded_away_from_zero_on_the_exact_value(value, digits):
    expected = Context(prec=digits, rounding=ROUND_HALF_UP).create_decimal(Decimal(value))
    assert back(format_number(value, digits)) == expected


@settings(derandomize=True, max_examples=500)
@given(FINITE, st.integers(1, 9))
def test_inputs_and_results_show_the_same_number(value, digits):
    assert back(format_input(value, digits)) == back(format_number(value, digits))


@settings(derandomize=True, max_examples=800)
@given(FINITE.filter(bool), st.integers(1, 9))
def test_form(value, digits):
    shown = format_number(value, digits)
    assert "-" not in shown
    assert shown.startswith("−") == (value < 0)
    mantissa, power = split_number(value, digits)
    size = abs(back(shown))
    assert (power is None) == (Decimal("0.001") <= size < Decimal(1_000_000))
    if power is not None:
        assert 1 <= abs(back(mantissa)) < 10
    whole, _, fraction = mantissa.lstrip("−").partition(".")
    groups = whole.split("\u202f")
    assert len(whole.replace("\u202f", "")) < 5 or all(len(one) == 3 for one in groups[1:])
    assert ("\u202f" in whole) == (len(whole.replace("\u202f", "")) >= 5)
    significant = (whole + fraction).replace("\u202f", "").lstrip("0")
    assert len(significant) >= min(digits, len(significant))
    if fraction:
        assert len(significant) == digits


@settings(derandomize=True, max_examples=400)
@given(FINITE)
def test_minus_mirrors(value):
    if value:
        assert format_number(-abs(value)) == "−" + format_number(abs(value))


def test_infinity_has_a_sign():
    assert [split_number(one) for one in (math.inf, -math.inf)] == [("∞", None), ("−∞", None)]


@pytest.mark.parametrize("share", [0.004, 0.1394, 0.994, 1.0, 1.86, 9.94, 12.0, 3e7, -1.0, -44.0])
def test_percentages_are_written_as_people_read_them(share):
    shown = as_percent(share)
    number, unit = shown.split()
    assert unit == ("times" if abs(share) > 9.99 else "%")
    assert float(back(number)) / (1 if unit == "times" else 100) == pytest.approx(share, rel=0.05)
    assert "e" not in number


@pytest.mark.parametrize(
    ("values", "digits", "shown"),
    [
        ((540_000.0, 1_010_000.0), 3, ("540 000", "1 010 000")),
        ((999_999.6, 1.2e6), 6, ("1×10⁶", "1.2×10⁶")),
        ((0.0009, 0.0012), 2, ("0.0009", "0.0012")),
        ((-540_000.0, 1_010_000.0, 0.0), 3, ("−540 000", "1 010 000", "0")),
        ((9.1e8, 1.3e9), 2, ("0.91×10⁹", "1.3×10⁹")),
        ((-9.1e9, 1.3e10, math.inf), 2, ("−0.91×10¹⁰", "1.3×10¹⁰", "∞")),
        ((3e-8, 4e-7), 2, ("0.3×10⁻⁷", "4×10⁻⁷")),
        ((0.04, 2.5e9), 2, ("4×10⁻²", "2.5×10⁹")),
        ((5.0, math.nan), 2, ("5", "–")),
        ((120.0, 135.5), 3, ("120", "136")),
    ],
)
def test_numbers_that_are_read_together_share_a_notation(values, digits, shown):
    assert format_alike(values, digits) == tuple(one.replace(" ", "\u202f") for one in shown)


@given(
    st.lists(
        st.floats(min_value=-1e15, max_value=1e15, allow_subnormal=False), min_size=1, max_size=4
    ),
    st.integers(2, 8),
)
def test_read_together_they_are_the_numbers_that_they_are_alone(values, digits):
    def value(text):
        mantissa, _, power = text.replace("\u202f", "").replace("−", "-").partition("×10")
        return float(mantissa) * 10.0 ** int(
            power.translate(str.maketrans("⁰¹²³⁴⁵⁶⁷⁸⁹⁻", "0123456789-")) or 0
        )

    shown = format_alike(values, digits)
    for one, text in zip(values, shown, strict=True):
        assert value(text) == pytest.approx(value(format_input(one, digits)), rel=1e-12, abs=0)
    powered = {"×" in text for one, text in zip(values, shown, strict=True) if one}
    assert len(powered) <= 1


def test_ends_of_every_kind_share_a_notation():
    """Interval, finding, fact and alt text: one plain end and one with a power of ten."""
    interval = Interval("lifetime_distance", 5.4e8 * 1.609344, 1.01e9 * 1.609344)
    assert interval.text_in("mi") == "540\u202f000 to 1\u202f010\u202f000 mi"
    assert (
        interval.around(1.2e9, "mi") == "750\u202f000 mi (540\u202f000 to 1\u202f010\u202f000 mi)"
    )
    fact = make_fact("lifetime_distance", "990000 km", span=["540000 km", "1010000 km"])
    assert fact.text == "990\u202f000 km (540\u202f000 to 1\u202f010\u202f000)"
    assert said_span(540_000.0, 1_010_000.0, "km") == "540\u202f000 to 1\u202f010\u202f000 km"
    number = Number("x", 990_000.0, 540_000.0, 1_010_000.0, label="km")
    assert number_text(number) == "990\u202f000 km (540\u202f000 to 1\u202f010\u202f000)"
