"""Spreads: against linear propagation, a published test function, and vehicles whose truth is known."""

import concurrent.futures
import math

import distributed
import numpy as np
import pytest
import uncertainties
from scipy import stats

from chalkwatt import Claim
from chalkwatt.errors import ChalkwattError
from chalkwatt.evidence.sheets import Sheet
from chalkwatt.evidence.sheets.facts import make_fact
from chalkwatt.evidence.spread import draws as spread
from chalkwatt.evidence.spread import sensitivity
from chalkwatt.evidence.spread.draws import Interval, digits_for
from tests.evidence.spread import synthetic
from tests.external import published

SPEEDS = (15.0, 25.0, 35.0)


# --- Linear propagation ---------------------------------------------------------------------------


def linear(said, count, speed):
    """The range by first-order propagation (the `uncertainties` library), normal inputs only."""
    put = {name: uncertainties.ufloat(value, half / 2) for name, (value, half, *_) in said.items()}
    drag = put["air_density"] * put["drag_coefficient"] * put["frontal_area"] / 2
    force = drag * speed**2 + put["rolling_coefficient"] * put["mass"] * synthetic.GRAVITY
    power = force * speed / put["drive_efficiency"] + put["auxiliary_power"]
    energy = count * put["cell_capacity"] * 3600 * put["cell_voltage"]
    return energy * put["usable_fraction"] * speed / power


def small(chance):
    """A vehicle of which everything is known to about half a per cent."""
    truth, said = synthetic.vehicle(chance)
    small_said = {
        name: (value, 0.005 * value * chance.uniform(0.3, 1.0), unit, "normal", origin)
        for name, (value, _, unit, _, origin) in said.items()
    }
    return truth, small_said


@pytest.mark.parametrize("speed", SPEEDS)
@pytest.mark.parametrize("seed", range(6))
def test_small_spreads_agree_with_linear_propagation(seed, speed):
    truth, said = small(synthetic.chances(seed))
    found = Sheet.parse(synthetic.text(said, truth["cell_count"])).find("range", speed=speed)
    expected = linear(said, truth["cell_count"], speed)
    assert found.si == pytest.approx(expected.nominal_value, rel=1e-12)
    half = stats.norm.ppf(0.95) * expected.std_dev
    assert (found.interval.high - found.interval.low) / 2 == pytest.approx(half, rel=0.02)


def test_a_bracketed_answer_agrees_with_linear_propagation():
    """Speed for a given range comes from a cubic; its derivative by the implicit function theorem."""
    truth, said = small(synthetic.chances(3))
    sheet = Sheet.parse(synthetic.text(said, truth["cell_count"]))
    goal = float(sheet.find("range", speed=25.0).si)
    found = sheet.find("speed", range=goal)
    here = linear(said, truth["cell_count"], 25.0)
    step = 1e-4
    slope = (
        linear(said, truth["cell_count"], 25 + step) - linear(said, truth["cell_count"], 25 - step)
    ).nominal_value / (2 * step)
    half = stats.norm.ppf(0.95) * here.std_dev / abs(slope)
    assert found.si == pytest.approx(25.0, rel=1e-9)
    assert (found.interval.high - found.interval.low) / 2 == pytest.approx(half, rel=0.02)


def test_common_inputs_are_correlated():
    """Two answers from one sheet rest on the same draws: their ratio is far surer than either."""
    truth, said = synthetic.vehicle(synthetic.chances(1))
    sheet = Sheet.parse(synthetic.text(said, truth["cell_count"]))
    slow, fast = (sheet.find("range", speed=one).spread.values for one in (24.0, 25.0))
    assert np.corrcoef(slow, fast)[0, 1] > 0.99
    assert np.std(fast / slow) < 0.2 * np.std(fast) / np.mean(fast)
    energy = sheet.find("usable_energy").spread.values
    consumption = sheet.find("consumption", speed=25.0).spread.values
    np.testing.assert_allclose(energy / consumption, fast, rtol=1e-12)


# --- Sobol' indices -------------------------------------------------------------------------------


def test_indices_of_the_ishigami_function():
    rows = published("spread", "ishigami")
    a, b = rows[0].given["a"], rows[0].given["b"]

    def ishigami(x1, x2, x3):
        return np.sin(x1) + a * np.sin(x2) ** 2 + b * x3**4 * np.sin(x1)

    around = stats.uniform(-math.pi, 2 * math.pi)
    made = sensitivity.sobol_indices(
        ishigami, {"x1": around, "x2": around, "x3": around}, draws=2**13
    )
    for one in rows:
        one.check(made.first[int(one.quantity[-1]) - 1])
    # What the first and the third input do together is in the total of both.
    assert made.total[0] == pytest.approx(1 - made.first[1], abs=0.01)
    assert made.total[2] == pytest.approx(1 - made.first[0] - made.first[1], abs=0.01)


def test_indices_of_a_product_by_hand():
    """For a product of independent inputs the indices follow from the relative variances."""
    sheet = Sheet.parse(
        '[vehicle]\nname = "x"\n'
        '[values.drag_coefficient]\nvalue = 0.2\norigin = "quoted"\nplus_minus = 0.02\n'
        '[values.frontal_area]\nvalue = "2 m^2"\norigin = "quoted"\nplus_minus = "0.1 m^2"\n'
    )
    made = sheet.find("drag_area").indices
    own = {"drag_coefficient": 0.1**2 / 3, "frontal_area": 0.05**2 / 3}
    whole = (1 + own["drag_coefficient"]) * (1 + own["frontal_area"]) - 1
    for name, first in zip(made.names, made.first, strict=True):
        assert first == pytest.approx(own[name] / whole, abs=0.01)


def test_the_tornado_by_hand():
    sheet = Sheet.parse(
        '[vehicle]\nname = "x"\n'
        '[values.drag_coefficient]\nvalue = 0.2\norigin = "quoted"\nrange = [0.18, 0.25]\n'
        '[values.frontal_area]\nvalue = "2 m^2"\norigin = "quoted"\nplus_minus = "0.1 m^2"\n'
    )
    first, second = sheet.find("drag_area").tornado
    assert (first.name, second.name) == ("drag_coefficient", "frontal_area")
    assert (first.at_low, first.at_high) == pytest.approx((0.36, 0.5))
    assert (second.at_low, second.at_high) == pytest.approx((0.38, 0.42))


# --- Coverage -------------------------------------------------------------------------------------


def test_nine_of_ten_intervals_contain_the_truth():
    inside = 0
    places = []
    chance = synthetic.chances(12)
    for seed in range(200):
        truth, said = synthetic.vehicle(chance)
        speed = SPEEDS[seed % 3]
        sheet = Sheet.parse(synthetic.text(said, truth["cell_count"]))
        found = sheet.find("range", speed=speed, draws=2048, seed=seed)
        true = synthetic.true_range(truth, speed)
        inside += found.interval.low <= true <= found.interval.high
        places.append(float(np.mean(found.spread.values <= true)))
    assert 0.87 <= inside / 200 <= 0.93
    # Not only the ends: truths lie evenly over the whole of the spreads.
    assert stats.kstest(places, "uniform").pvalue > 0.01


@pytest.mark.parametrize("shape", synthetic.SHAPES)
def test_each_shape_is_drawn_as_it_is_described(shape):
    fact = make_fact("mass", "700 kg", plus_minus="20 kg", shape=shape)
    drawn = fact.ppf((np.arange(4096) + 0.5) / 4096)
    expected = {
        "uniform": stats.uniform(680, 40),
        "triangular": stats.triang(0.5, 680, 40),
        "normal": stats.norm(700, 10),
    }[shape]
    assert stats.kstest(drawn, expected.cdf).statistic < 0.001


def test_a_lopsided_triangle():
    fact = make_fact("drag_coefficient", 0.19, span=(0.17, 0.215), shape="triangular")
    drawn = fact.ppf((np.arange(4096) + 0.5) / 4096)
    expected = stats.triang((0.19 - 0.17) / 0.045, 0.17, 0.045)
    assert stats.kstest(drawn, expected.cdf).statistic < 0.001


def test_a_normal_spread_is_cut_off_at_the_physical_bound():
    fact = make_fact("usable_fraction", 0.97, plus_minus=0.03, shape="normal")
    drawn = fact.ppf((np.arange(4096) + 0.5) / 4096)
    expected = stats.truncnorm(-np.inf, 0.03 / 0.015, 0.97, 0.015)
    assert drawn.max() <= 1
    assert stats.kstest(drawn, expected.cdf).statistic < 0.001


def test_counts_are_drawn_as_whole_numbers_all_alike():
    fact = make_fact("cell_count", 100, span=(98, 102))
    drawn, often = np.unique(fact.ppf((np.arange(5000) + 0.5) / 5000), return_counts=True)
    assert drawn.tolist() == [98, 99, 100, 101, 102]
    assert set(often) == {1000}


# --- One seed, one result -------------------------------------------------------------------------


def answer(draws, executor=None, seed=5):
    truth, said = synthetic.vehicle(synthetic.chances(4))
    sheet = Sheet.parse(synthetic.text(said, truth["cell_count"]))
    return sheet.find("range", speed=25.0, draws=draws, seed=seed, executor=executor).spread.values


def test_threads_and_processes_give_the_same_numbers():
    alone = answer(2**17)
    assert alone.size == 2**17
    # The pieces are parts of one sequence, not the same part again.
    assert not np.array_equal(alone[: spread.PIECE], alone[spread.PIECE : 2 * spread.PIECE])
    with concurrent.futures.ThreadPoolExecutor(2) as threads:
        np.testing.assert_array_equal(answer(2**17, threads), alone)
    assert not np.array_equal(answer(2**17, seed=6), alone)


def test_a_cluster_of_two_workers_gives_the_same_numbers():
    cluster = distributed.LocalCluster(
        n_workers=2,
        threads_per_worker=1,
        processes=True,
        dashboard_address=None,
        host="127.0.0.1",
    )
    with cluster, distributed.Client(cluster) as client:
        assert len(client.scheduler_info()["workers"]) == 2
        shared = answer(2**17, client.get_executor())
    np.testing.assert_array_equal(shared, answer(2**17))


def test_draws_are_rounded_up_to_a_power_of_two():
    assert answer(1000).size == 1024


# --- Digits ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("value", "half", "digits"),
    # Particle Data Group, Review of Particle Physics, introduction, section 5.3 (from memory):
    # 0.827 ± 0.119 becomes 0.83 ± 0.12, and 0.827 ± 0.367 becomes 0.8 ± 0.4.
    [(0.827, 0.119, 2), (0.827, 0.367, 1), (402.3, 33.0, 3), (402.3, 60.0, 2), (5.0, 0.0, 4)],
)
def test_digits_follow_the_spread(value, half, digits):
    assert digits_for(value, half) == digits


def test_no_more_digits_are_shown_than_the_spread_deserves():
    truth, said = synthetic.vehicle(synthetic.chances(2))
    found = Sheet.parse(synthetic.text(said, truth["cell_count"])).find("range", speed=25.0)
    low, high = found.interval.to("km")
    shown = found.interval.text.removesuffix(" km").split(" to ")
    for text, end in zip(shown, (low, high), strict=True):
        step = 10 ** (len(text) - len(text.rstrip("0"))) if "." not in text else 1
        assert abs(float(text) - end) <= step / 2 + 0.5
        assert step / (high - low) > 1 / 300


def test_interval_levels():
    truth, said = synthetic.vehicle(synthetic.chances(2))
    sheet = Sheet.parse(synthetic.text(said, truth["cell_count"]))
    narrow, wide = (sheet.find("range", speed=25.0, level=one).interval for one in (0.5, 0.99))
    assert wide.low < narrow.low < narrow.high < wide.high
    with pytest.raises(ChalkwattError, match=r"no share|level must be a number"):
        sheet.find("range", speed=25.0, level=2.0)
    assert Interval("range", 1000.0, 2000.0).to("km") == (1.0, 2.0)


@pytest.mark.parametrize(("unit", "metres"), [("km/kWh", 1000.0), ("mi/kWh", 1609.344)])
def test_an_interval_turned_round_runs_upwards_and_is_without_limit_from_nought_on(unit, metres):
    low, high = 360.0, 720.0  # J/m: 10 and 20 kWh/100 km
    made = Interval("consumption", low, high)
    assert made.to(unit) == pytest.approx((3.6e6 / high / metres, 3.6e6 / low / metres))
    ends = made.text_in(unit).removesuffix(f" {unit}").split(" to ")
    assert float(ends[0]) < float(ends[1])
    assert made.around(480.0, unit).endswith(f"({made.text_in(unit)})")
    assert made.digits(480.0, unit) >= 1
    for nought in (0.0, -0.0):
        endless = Interval("stop_wheel_consumption", nought, high)
        assert endless.to(unit)[1] == math.inf
        assert endless.text_in(unit).endswith(f"to ∞ {unit}")


def test_nothing_uncertain_has_no_interval():
    sheet = Sheet.parse(
        '[vehicle]\nname = "x"\n[values.drag_coefficient]\nvalue = 0.2\norigin = "quoted"\n'
        '[values.frontal_area]\nvalue = "2 m^2"\norigin = "quoted"\n'
    )
    found = sheet.find("drag_area")
    assert found.interval is None
    assert found.tornado == ()
    assert found.text == "0.4000 m²"


@pytest.mark.parametrize(
    "how", [{"draws": -5}, {"draws": 1}, {"draws": 10**9}, {"seed": "x"}, {"seed": -1}]
)
def test_draws_that_make_no_interval_are_refused(how):
    sheet = Sheet.parse('[vehicle]\nname = "x"\n[values.mass]\nvalue = 900\norigin = "quoted"\n')
    with pytest.raises(ChalkwattError, match=r"Give a whole number|must be a whole number"):
        sheet.find("cells_mass", pack_mass=200.0, cell_mass_fraction=0.6, **how)


@pytest.mark.parametrize("executor", ["x", 3, [], {}, object(), {"submit": 1}])
def test_an_executor_that_is_none_is_refused_at_once_and_not_when_the_answer_is_shown(executor):
    sheet = Sheet.parse('[vehicle]\nname = "x"\n[values.mass]\nvalue = 900\norigin = "quoted"\n')
    with pytest.raises(ChalkwattError, match="no method submit"):
        sheet.find("cells_mass", pack_mass=200.0, cell_mass_fraction=0.6, executor=executor)
    with pytest.raises(ChalkwattError, match="no method submit"):
        sheet.judge(Claim("mass", "900 kg"), executor=executor)


@pytest.mark.parametrize("level", [0, 1, 2.0, -0.1, math.nan, "0.9", None, True, [0.5]])
def test_a_level_that_is_no_share_is_refused_at_once(level):
    sheet = Sheet.parse('[vehicle]\nname = "x"\n[values.mass]\nvalue = 900\norigin = "quoted"\n')
    with pytest.raises(ChalkwattError, match=r"no share|level must be a number"):
        sheet.find("cells_mass", pack_mass=200.0, cell_mass_fraction=0.6, level=level)
