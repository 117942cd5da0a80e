import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad

from chalkwatt import ageing
from chalkwatt.laws.relations import check_dimensions
from tests.topics.solved_back import check_each_from_all_others, check_each_swapped, point_of

YEAR = 31_557_600.0
START = {
    "cycle_life": 1100.0,
    "rated_health": 0.79,
    "fade_exponent": 0.7,
    "yearly_calendar_fade": 0.017,
    "calendar_exponent": 0.55,
    "activation_energy": "47 kJ/mol",
    "cell_temperature": "31 °C",
    "range": "291 km",
    "yearly_distance": "13700 km",
    "health": 0.74,
    "c_rate": "0.8 1/h",
    "charge_throughput": "3100 Ah",
    "storage_voltage": "3.85 V",
    "storage_time": "700 d",
    "cell_voltage": "3.71 V",
    "depth_of_discharge": 0.6,
}
OUTCOMES = ("lifetime_distance", "age", "overstated_distance", "full_cycles")


@pytest.mark.parametrize("relation", ageing.relations, ids=lambda one: one.title)
def test_dimensions(relation):
    check_dimensions(relation)


def test_each_quantity_is_solved_back_from_all_others():
    check_each_from_all_others(ageing, point_of(ageing, START))


def test_each_given_quantity_is_solved_back_from_an_outcome():
    assert check_each_swapped(ageing, START, point_of(ageing, START), OUTCOMES) > 25


@pytest.mark.parametrize(("exponent", "mean"), [(1, 0.9), (0.5, 1 - 0.2 / 1.5)])
def test_fading_cycles_go_less_far_than_fresh_ones(exponent, mean):
    facts = {"cycle_life": 1000, "range": "400 km", "fade_exponent": exponent}
    naive = ageing.find("naive_distance", **facts).to("km")
    faded = ageing.find("lifetime_distance", **facts).to("km")
    assert naive == pytest.approx(400_000)
    assert faded == pytest.approx(400_000 * mean, rel=1e-12)


@pytest.mark.parametrize("exponent", [0.5, 0.75, 1.0, 2.0])
def test_the_mean_of_a_fade_law_against_quadrature(exponent):
    whole, _ = quad(lambda n: 1 - 0.2 * (n / 1000) ** exponent, 0, 1000)
    answer = ageing.find("lifetime_distance", cycle_life=1000, range="1 km", fade_exponent=exponent)
    assert answer.to("km") == pytest.approx(whole, rel=1e-8)


def test_cycles_and_age_together_against_a_battery_driven_cycle_by_cycle():
    facts = {"cycle_life": 1000, "range": "280 km", "yearly_calendar_fade": 0.02}
    facts |= {"yearly_distance": "14000 km", "fade_exponent": 0.5}
    answer = ageing.find("lifetime_distance", **facts)
    values = answer.best.values
    # A second method: many small steps, cycles and years in step, until 80 % is left.
    cycles, years = values["full_cycles"], ageing.find("age", **facts).si / YEAR
    share = (np.arange(400_000) + 0.5) / 400_000
    health = 1 - 0.2 * np.sqrt(cycles * share / 1000) - 0.02 * np.sqrt(years * share)
    assert answer.to("km") == pytest.approx(280 * cycles * health.mean(), rel=1e-6)
    end = 1 - 0.2 * np.sqrt(cycles / 1000) - 0.02 * np.sqrt(years)
    assert end == pytest.approx(0.8, rel=1e-9)
    assert answer.to("km") / years == pytest.approx(14_000, rel=1e-9)


def test_heat_doubles_ageing_about_every_eight_kelvin_at_75_kj():
    factor = ageing.find(
        "arrhenius_factor", activation_energy="75 kJ/mol", cell_temperature="33 °C"
    )
    assert factor.si == pytest.approx(2.2, abs=0.05)  # exp(75000 / 8.314 · (1/298.15 − 1/306.15))


@given(st.floats(280, 320), st.floats(0, 20))
def test_heat_never_lengthens_a_life(temperature, warmer):
    facts = ("cycle_life", "range", "yearly_calendar_fade", "yearly_distance", "cell_temperature")
    distance = ageing.compile("lifetime_distance", facts)
    cool, hot = (
        float(distance(1000.0, 3e5, 0.02, 1.5e7, kelvin))
        for kelvin in (temperature, temperature + warmer)
    )
    assert hot <= cool * (1 + 1e-9)


def test_the_published_nmc_law_far_from_its_middle_voltage():
    # By hand from the printed coefficients; the published case lies where the first hardly counts.
    answer = ageing.find(
        "nmc_cycle_fade", cell_voltage="4.05 V", depth_of_discharge=0.2, charge_throughput="900 Ah"
    )
    by_hand = (7.348e-3 * 0.383**2 + 7.6e-4 + 4.081e-3 * 0.2) * 30
    assert answer.si == pytest.approx(by_hand, rel=1e-12)
