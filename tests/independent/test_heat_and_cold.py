"""A cabin held at its temperature in time steps, entropy counted, and cells cooled kelvin by kelvin."""

import math

import numpy as np
import pytest
from scipy.optimize import brentq

from chalkwatt import NoSolutionError, climate, load, pack
from tests.independent import chances, near


def cabin(chance):
    """Colder or warmer outside, much or no sun; a third of them close to the temperature of the cabin."""
    inside = chance.uniform(286, 303)
    apart = chance.choice([chance.uniform(-60, 40), chance.uniform(-60, 40), chance.uniform(-3, 3)])
    hottest, coldest = max(inside, inside + apart), min(inside, inside + apart)
    most = min(12.0, 0.9 * coldest / (hottest - coldest))
    return {
        "cabin_temperature": inside,
        "air_temperature": inside + apart,
        "heat_loss_coefficient": 10 ** chance.uniform(0.7, 2.7),
        "cabin_heat_gain": chance.choice([0.0, chance.uniform(1, 200), chance.uniform(200, 4000)]),
        "coefficient_of_performance": chance.uniform(0.5, most),
        "cooling_performance": chance.uniform(0.5, most),
        "electronics_power": chance.uniform(0, 1500),
    }


def held(known):
    """Heat put in (or taken out, below nought) with which a cabin is as warm after an hour as before."""

    def warmer(heat):
        warmth = known["cabin_temperature"]
        for _ in range(60):
            # A minute of a cabin that holds 40 kJ a kelvin.
            leaves = known["heat_loss_coefficient"] * (warmth - known["air_temperature"])
            warmth += (heat + known["cabin_heat_gain"] - leaves) * 60 / 4e4
        return warmth - known["cabin_temperature"]

    return brentq(warmer, -1e5, 1e5, xtol=1e-9, rtol=1e-14)


def electric(known, heat):
    """Electric energy of a second, a joule of heat after another."""
    performance = "coefficient_of_performance" if heat > 0 else "cooling_performance"
    return sum(abs(heat) / 50 / known[performance] for _ in range(50))


@pytest.mark.parametrize("chance", chances("cabin", 40))
def test_a_cabin_held_at_its_temperature(chance):
    known = cabin(chance)
    heat = held(known)
    # What is left of two large flows of heat is known as closely as these.
    rounding = 1e-9 * (
        known["cabin_heat_gain"]
        + known["heat_loss_coefficient"] * (known["cabin_temperature"] + known["air_temperature"])
    )
    needs = electric(known, heat)
    for topic in (climate, load):
        assert topic.find("climate_power", **known).si == pytest.approx(needs, abs=rounding)
        whole = topic.find("auxiliary_power", **known).si
        assert whole == pytest.approx(needs + known["electronics_power"], abs=rounding)
    named = {
        name: known[name]
        for name in (
            "cabin_temperature",
            "air_temperature",
            "heat_loss_coefficient",
            "cabin_heat_gain",
        )
    }
    assert climate.find("cabin_heat", **named).si == pytest.approx(heat, abs=rounding)


def test_sun_heats_and_people_do_in_every_case():
    """Heating, cooling though it is colder outside, cooling in the heat: all of them are drawn."""
    made = [
        (one["air_temperature"] < one["cabin_temperature"], held(one), one)
        for one in map(cabin, chances("cabin", 40))
    ]
    for cold, heats in ((True, True), (True, False), (False, False)):
        some = [one for outside, heat, one in made if outside == cold and (heat > 0) == heats]
        assert sum(one["cabin_heat_gain"] > 0 for one in some) > 3
    assert not [heat for outside, heat, _ in made if not outside and heat > 0]


def entropy_made(performance, cabin_temperature, air_temperature, *, heats):
    """Entropy that a machine makes which moves one joule a second in or out of the cabin."""
    work = 1 / performance
    into_cabin = 1.0 if heats else -1.0
    into_air = work - into_cabin
    return into_cabin / cabin_temperature + into_air / air_temperature


@pytest.mark.parametrize("heats", [True, False])
@pytest.mark.parametrize("chance", chances("second law", 12))
def test_no_machine_destroys_entropy(chance, heats):
    """Up to the reversible machine it is answered, and beyond it refused: the second law is counted."""
    inside, apart = chance.uniform(286, 303), 10 ** chance.uniform(-1, 1.7)
    outside = inside - apart if heats else inside + apart
    reversible = brentq(
        lambda one: entropy_made(one, inside, outside, heats=heats), 0.01, 1e5, xtol=1e-12
    )
    name = "coefficient_of_performance" if heats else "cooling_performance"
    known = {
        "cabin_temperature": inside,
        "air_temperature": outside,
        "heat_loss_coefficient": 80.0,
        "cabin_heat_gain": 0.0,
    }
    for share in (0.2, 0.97, 0.9999):
        assert entropy_made(share * reversible, inside, outside, heats=heats) > 0
        found = climate.find("climate_power", **known, **{name: share * reversible})
        near(found, 80 * apart / (share * reversible), rel=1e-9)
    for share in (1.0001, 1.03, 30.0):
        assert entropy_made(share * reversible, inside, outside, heats=heats) < 0
        with pytest.raises(NoSolutionError, match="better than Carnot's"):
            climate.find("climate_power", **known, **{name: share * reversible})
    # What is named as the greatest, in the cold and in the heat: a cycle of strokes, heat over work.
    volumes = np.geomspace(1.0, 2.0, 20001)
    in_cabin, in_air = (
        float(np.trapezoid(8.314 * one / volumes, volumes)) for one in (inside, outside)
    )
    both = {"cabin_temperature": inside, "air_temperature": outside}
    near(climate.find("greatest_performance", **both), in_cabin / abs(in_cabin - in_air), rel=1e-8)
    near(climate.find("greatest_performance", **both), reversible, rel=1e-8)


def test_what_is_taken_for_granted_of_a_cabin():
    """Nobody inside, no sun, a resistance heater; of cooling what common practice has, 2 to 3."""
    room = {"cabin_temperature": 293.0, "heat_loss_coefficient": 50.0}
    near(climate.find("climate_power", air_temperature=263.0, **room), 30 * 50.0)
    cooling = climate.find("climate_power", air_temperature=311.0, **room).si
    assert 18 * 50.0 / 3 <= cooling <= 18 * 50.0 / 2


@pytest.mark.parametrize("chance", chances("cold cells", 24))
def test_cells_cooled_kelvin_by_kelvin(chance):
    """From 25 °C down each kelvin takes its share; up from there, none gives any back."""
    warmth = chance.choice([chance.uniform(243, 298), chance.uniform(298.2, 345), 298.15])
    share, energy = chance.uniform(0.0, 0.012), 10 ** chance.uniform(6, 9)
    steps = np.linspace(298.15, warmth, 2001)
    lost_per_kelvin = np.where(steps <= 298.15, -share, 0.0)
    lost = float(np.trapezoid(lost_per_kelvin, steps)) if warmth < 298.15 else 0.0
    known = {"cell_temperature": warmth, "cold_energy_coefficient": share}
    for topic in (load, pack):
        assert topic.find("cold_energy_loss", **known).si == pytest.approx(lost, abs=1e-12)
        near(topic.find("usable_energy", warm_usable_energy=energy, **known), energy * (1 - lost))
    near(load.find("warm_usable_energy", usable_energy=energy, **known), energy / (1 - lost))
    # Reactions per second over an energy hill: Arrhenius' slope, stepped from 25 °C in 1/T.
    hill, ohms = chance.uniform(0, 60e3), chance.uniform(0.5e-3, 0.05)
    over = np.linspace(1 / 298.15, 1 / warmth, 20001)
    logarithm = float(np.trapezoid(np.full_like(over, hill / 8.31446261815324), over))
    found = pack.find(
        "cell_resistance",
        warm_cell_resistance=ohms,
        resistance_activation_energy=hill,
        cell_temperature=warmth,
    )
    near(found, ohms * math.exp(logarithm), rel=1e-8)
    # Nothing said of the cells: 25 °C, where nothing is lost.
    plain = {"warm_usable_energy": energy, "cold_energy_coefficient": share}
    near(load.find("usable_energy", **plain), energy)
