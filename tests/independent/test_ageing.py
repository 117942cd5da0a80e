"""A battery's life cycle by cycle, and its laws of heat by rates against each other."""

import math

import numpy as np
import pytest
from scipy.integrate import quad

from chalkwatt import ageing
from tests.independent import chances, near

YEAR = 31_557_600.0
GAS = 8.31446261815324


def battery(chance):
    return {
        "cycle_life": chance.uniform(600, 2500),
        "rated_health": chance.uniform(0.7, 0.85),
        "fade_exponent": chance.uniform(0.5, 1.2),
        "yearly_calendar_fade": chance.uniform(0.005, 0.03),
        "calendar_exponent": chance.uniform(0.5, 1.0),
        "activation_energy": chance.uniform(3e4, 7e4),
        "cell_temperature": chance.uniform(285, 312),
    }


def sped_up(known):
    """Ratio of two Boltzmann factors, that at the cell's temperature over that at 25 °C."""

    def boltzmann(temperature):
        return math.exp(-known["activation_energy"] / (GAS * temperature))

    return boltzmann(known["cell_temperature"]) / boltzmann(298.15)


def lost(known, cycles, seconds):
    """Fade by cycles and by age, each a straight line in logarithms through its one given point."""
    by_cycles = math.exp(
        math.log(1 - known["rated_health"])
        + known["fade_exponent"] * (math.log(cycles) - math.log(known["cycle_life"]))
    )
    by_age = (
        known["yearly_calendar_fade"]
        * sped_up(known)
        * math.exp(known["calendar_exponent"] * math.log(seconds / YEAR))
    )
    return by_cycles, by_age


@pytest.mark.parametrize("warm", [True, False])
def test_heat_speeds_up_ageing(warm):
    """The sign of Arrhenius' law: warmer cells age faster, colder ones slower."""
    known = {"activation_energy": 5e4, "cell_temperature": 298.15 + (12 if warm else -12)}
    made = ageing.find("arrhenius_factor", **known)
    assert (made.si > 1) == warm
    near(made, sped_up(known))


@pytest.mark.parametrize("chance", chances("life", 4))
def test_a_life_cycle_by_cycle(chance):
    """The cycles spread evenly over the years; each takes the vehicle as far as the battery then can."""
    known = battery(chance)
    cycles, years, reach = chance.uniform(300, 900), chance.uniform(4, 12), chance.uniform(1e5, 5e5)
    by_cycles, by_age = lost(known, cycles, years * YEAR)
    given = known | {"full_cycles": cycles, "age": years * YEAR, "range": reach}
    near(ageing.find("arrhenius_factor", **known), sped_up(known))
    near(ageing.find("cycle_fade", **given), by_cycles)
    near(ageing.find("calendar_fade", **given), by_age)
    near(ageing.find("health", **given), 1 - by_cycles - by_age)

    def health(part):
        return 1 - sum(lost(known, max(part, 1e-12) * cycles, max(part, 1e-12) * years * YEAR))

    mean, _ = quad(health, 0, 1, epsabs=1e-13, epsrel=1e-12, limit=400)
    near(ageing.find("mean_health", **given), mean, rel=1e-8)
    steps = 20_000
    metres = sum(health((one + 0.5) / steps) * reach * cycles / steps for one in range(steps))
    near(ageing.find("lifetime_distance", **given), metres, rel=1e-5)
    fresh = sum(reach * cycles / steps for _ in range(steps))
    near(ageing.find("naive_distance", **given), fresh)
    near(ageing.find("overstated_distance", **given), fresh * (1 - mean), rel=1e-6)
    distance = ageing.find("lifetime_distance", **given).si
    yearly = distance / years
    near(ageing.find("age", lifetime_distance=distance, yearly_distance=yearly), years * YEAR)


def test_what_is_taken_for_granted():
    """Nothing said: 80 % after the rated cycles, in proportion, at 25 °C, none by age; until 80 %."""
    plain = {"cycle_life": 1000.0, "full_cycles": 500.0, "age": 5 * YEAR}
    near(ageing.find("health", **plain), 1 - 0.2 * 500 / 1000)
    shelf = ageing.find("calendar_fade", yearly_calendar_fade=0.02, age=4 * YEAR)
    near(shelf, 0.02 * math.sqrt(4.0))
    warm = {"yearly_calendar_fade": 0.02, "age": YEAR, "cell_temperature": 308.15}
    near(
        ageing.find("calendar_fade", **warm),
        0.02 * sped_up({"activation_energy": 58000.0, "cell_temperature": 308.15}),
    )
    near(ageing.find("full_cycles", cycle_life=1000.0), 1000.0)
    half = ageing.find("full_cycles", cycle_life=1000.0, health=0.9)
    near(half, 500.0)


# Wang et al. (2011), a table of B by C-rate through which their polynomial passes within 8 %; from memory.
TABLE = {0.5: 31630, 2.0: 21681, 6.0: 12934, 10.0: 15512}


@pytest.mark.parametrize(("rate", "size"), TABLE.items())
def test_size_of_the_fade_of_lfp_cells(rate, size):
    made = ageing.find("lfp_prefactor", c_rate=rate / 3600)
    assert made.si == pytest.approx(size, rel=0.08)


@pytest.mark.parametrize("rate", [0.5, 3.0])
def test_form_of_the_fade_of_lfp_cells(rate):
    """Slopes in logarithms, by differences: 0.55 with throughput, −(31,700 − 370.3 C)/R with 1/T."""

    def fade(throughput, temperature):
        return ageing.find(
            "lfp_fade",
            charge_throughput=throughput,
            cell_temperature=temperature,
            c_rate=rate / 3600,
        ).si

    lots, warm = 3.6e6, 303.15
    slope = np.log(fade(2 * lots, warm) / fade(lots, warm)) / np.log(2)
    assert slope == pytest.approx(0.55, rel=1e-9)
    heat = np.log(fade(lots, 313.15) / fade(lots, 303.15)) / (1 / 313.15 - 1 / 303.15)
    assert heat == pytest.approx(-(31700 - 370.3 * rate) / 8.314, rel=1e-4)


def test_form_of_the_fade_of_nmc_cells():
    """Slopes by differences: 0.75 and 6976 K on the shelf, and the parabola around 3.667 V in use."""

    def shelf(days, temperature, volts):
        return ageing.find(
            "nmc_calendar_fade",
            storage_time=days * 86400,
            cell_temperature=temperature,
            storage_voltage=volts,
        ).si

    assert math.log2(shelf(200, 298.15, 3.9) / shelf(100, 298.15, 3.9)) == pytest.approx(0.75)
    heat = math.log(shelf(100, 313.15, 3.9) / shelf(100, 303.15, 3.9)) / (1 / 303.15 - 1 / 313.15)
    assert heat == pytest.approx(6976, rel=1e-9)
    ratio = shelf(100, 298.15, 4.1) / shelf(100, 298.15, 3.7)
    assert ratio == pytest.approx((7.543 * 4.1 - 23.75) / (7.543 * 3.7 - 23.75), rel=1e-9)

    def used(volts, depth, throughput=3.6e6):
        return ageing.find(
            "nmc_cycle_fade",
            cell_voltage=volts,
            depth_of_discharge=depth,
            charge_throughput=throughput,
        ).si

    assert used(3.7, 0.5, 4 * 3.6e6) / used(3.7, 0.5) == pytest.approx(2.0)
    # Least at 3.667 V, alike on both sides of it; by √1000 A·h the parabola's own numbers.
    assert used(3.667 + 0.2, 0.5) == pytest.approx(used(3.667 - 0.2, 0.5))
    root = math.sqrt(1000.0)
    bend = (used(3.867, 0.5) - used(3.667, 0.5)) / 0.2**2 / root
    assert bend == pytest.approx(7.348e-3, rel=1e-9)
    assert (used(3.667, 0.9) - used(3.667, 0.4)) / 0.5 / root == pytest.approx(4.081e-3, rel=1e-9)
    assert used(3.667, 0.5) / root - 0.5 * 4.081e-3 == pytest.approx(7.6e-4, rel=1e-9)
