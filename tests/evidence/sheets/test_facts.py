"""Facts: the shape of a spread, ranges that pass a physical bound, and counts."""

import numpy as np
import pytest
from scipy import stats

from chalkwatt.errors import ChalkwattError, SheetError
from chalkwatt.evidence.sheets import Sheet
from chalkwatt.evidence.sheets.facts import make_fact

SHARES = (np.arange(4000) + 0.5) / 4000


@pytest.mark.parametrize(
    ("value", "span", "shape"),
    [
        (0.5, [0.4, 0.6], "uniform"),
        (0.5, [0.4, 0.9], "triangular"),
        (0.9, [0.4, 0.9], "triangular"),
        (-3.0, [-12.0, -2.0], "triangular"),
        (0.0, [-5.0, 5.0], "uniform"),
        (0.5, [0.5, 0.5], "uniform"),
    ],
)
def test_without_a_shape_the_place_of_the_value_decides(value, span, shape):
    assert make_fact("headwind", value, span=span).shape == shape
    assert make_fact("headwind", value, span=span, shape="uniform").shape == "uniform"


@pytest.mark.parametrize(
    ("value", "low", "high"),
    [(0.5, 0.4, 0.9), (0.45, 0.4, 0.9), (-7.0, -9.0, 4.0), (2.0, -3.0, 2.0)],
)
def test_the_stated_value_is_the_likeliest_of_a_range_that_is_not_centred(value, low, high):
    """Against SciPy's triangular distribution with its mode at the stated value."""
    fact = make_fact("headwind", value, span=[low, high])
    truth = stats.triang((value - low) / (high - low), loc=low, scale=high - low)
    np.testing.assert_allclose(fact.ppf(SHARES), truth.ppf(SHARES), rtol=1e-9, atol=1e-12)
    counts, edges = np.histogram(fact.ppf(SHARES), bins=25)
    likeliest = int(np.argmax(counts))
    assert (
        edges[likeliest] - 0.05 * (high - low)
        <= value
        <= edges[likeliest + 1] + 0.05 * (high - low)
    )


def test_a_uniform_range_asked_for_by_name_says_that_it_forgets_the_value():
    assert make_fact("drag_area", 0.5, span=[0.4, 0.9], shape="uniform").forgotten
    assert not make_fact("drag_area", 0.5, span=[0.4, 0.9]).forgotten
    assert not make_fact("drag_area", 0.5, span=[0.4, 0.61], shape="uniform").forgotten


@pytest.mark.parametrize("shape", ["", "uniform", "triangular", "normal"])
def test_a_share_is_cut_off_at_its_bound_and_says_so(shape):
    fact = make_fact("usable_fraction", "96 %", plus_minus="5 %", shape=shape)
    assert (fact.low, fact.high) == (pytest.approx(0.91), 1.0)
    assert "91 to 100, cut off at its physical bound" in fact.text
    drawn = fact.ppf(SHARES)
    assert drawn.max() <= 1.0
    if shape == "normal":
        # A normal of standard uncertainty 2.5 %, cut off at 100 %: SciPy's truncated normal.
        truth = stats.truncnorm(-0.96 / 0.025, 0.04 / 0.025, loc=0.96, scale=0.025)
        np.testing.assert_allclose(drawn, truth.ppf(SHARES), rtol=1e-6)


def test_both_ends_of_a_normal_share_may_be_cut_off():
    fact = make_fact("air_share", 0.5, plus_minus=0.6, shape="normal")
    assert (fact.low, fact.high) == (0.0, 1.0)
    truth = stats.truncnorm(-0.5 / 0.3, 0.5 / 0.3, loc=0.5, scale=0.3)
    np.testing.assert_allclose(fact.ppf(SHARES), truth.ppf(SHARES), rtol=1e-6)


def test_a_range_that_passes_what_can_never_be_is_still_refused():
    # No vehicle weighs nothing, so there is no end to cut a mass off at.
    with pytest.raises(ChalkwattError, match="above 0 kg"):
        make_fact("mass", "10 kg", plus_minus="20 kg")
    with pytest.raises(ChalkwattError, match="at most 100"):
        make_fact("usable_fraction", "96 %", span=["90 %", "105 %"])


@pytest.mark.parametrize("value", [96.5, 0.5, 1e9 + 0.5, "96.25"])
def test_a_stated_count_is_whole(value):
    with pytest.raises(ChalkwattError, match=r"is no whole number|at least 1"):
        make_fact("cells_in_series", value)
    with pytest.raises(ChalkwattError, match="is no whole number"):
        make_fact("cells_in_series", 97, span=[96.5, 99])


def test_a_count_on_a_sheet_is_refused_with_its_line_and_its_neighbours():
    with pytest.raises(SheetError, match=r"line 4.*96.5 is no whole number. Write 96 or 97"):
        Sheet.parse(
            '[vehicle]\nname = "x"\n[values.cells_in_series]\nvalue = 96.5\norigin = "counted"\n'
        )


def test_a_range_of_counts_holds_the_whole_ones_within():
    fact = make_fact("cell_count", 100, plus_minus=2.5)
    assert (fact.low, fact.high) == (98.0, 102.0)
    assert set(fact.ppf(SHARES)) == {98.0, 99.0, 100.0, 101.0, 102.0}


@pytest.mark.parametrize("zero", [0, 0.0, -0.0, "0 %", "0.0 %"])
def test_a_nought_is_none_and_not_a_little(zero):
    assert make_fact("grade", zero).grain == 0.0


@pytest.mark.parametrize(
    ("name", "zero"), [("headwind", 0), ("auxiliary_power", "0 W"), ("altitude", "0 ft")]
)
def test_so_it_is_with_a_unit(name, zero):
    assert make_fact(name, zero).grain == 0.0


@pytest.mark.parametrize("zero", ["0 degC", "0 °F"])
def test_nought_on_a_scale_that_begins_elsewhere_has_a_last_digit(zero):
    assert make_fact("air_temperature", zero).grain == pytest.approx(0.5 if "C" in zero else 5 / 18)


@pytest.mark.parametrize(("name", "value"), [("usable_fraction", 1), ("grade", -1), ("grade", 2)])
def test_a_bare_whole_number_of_a_share_is_as_exact_as_its_percent(name, value):
    assert make_fact(name, value).grain == pytest.approx(0.005)
    assert make_fact(name, value).grain == make_fact(name, f"{100 * value} %").grain
    assert make_fact(name, float(value)).grain == make_fact(name, value).grain
    # What is given in no percent has the digits that were written.
    assert make_fact("coefficient_of_performance", 2).grain == 0.5
    assert make_fact("usable_fraction", 0.9).grain == pytest.approx(0.05)


def test_a_range_of_plain_numbers_is_in_the_unit_of_the_value_and_that_is_said():
    said = "Plain numbers in it are taken in kg/t, the unit of the value"
    with pytest.raises(ChalkwattError, match=said):
        make_fact("rolling_coefficient", "9.0 kg/t", span=[0.008, 0.0105])
    with pytest.raises(ChalkwattError) as caught:
        make_fact("rolling_coefficient", "9.0 kg/t", span=["10 kg/t", "11 kg/t"])
    assert "Plain numbers" not in str(caught.value)
    with pytest.raises(ChalkwattError) as caught:
        make_fact("rolling_coefficient", 0.009, span=[0.01, 0.02])
    assert "Plain numbers" not in str(caught.value)
