"""Moist air: every way through the topic gives states of air that the formulas, done here again, agree with."""

import itertools
import math

import numpy as np
import pytest

from chalkwatt import weather
from chalkwatt.algebra.solving import bracketed_roots, search_grid
from chalkwatt.errors import ChalkwattError
from tests.independent import chances


def _tetens(kelvins):
    celsius = kelvins - 273.15
    return 610.8 * math.exp(17.27 * celsius / (celsius + 237.3))


def _state(chance):
    kelvins, share = chance.uniform(223, 323), chance.uniform(0.02, 1)
    pressure, vapour = chance.uniform(5e4, 1.1e5), share * _tetens(kelvins)
    log = math.log(vapour / 610.8)
    return {
        "air_temperature": kelvins,
        "relative_humidity": share,
        "air_pressure": pressure,
        "saturation_pressure": _tetens(kelvins),
        "vapour_pressure": vapour,
        "dew_point": 273.15 + 237.3 * log / (17.27 - log),
        "air_density": _density(pressure, vapour, kelvins),
    }


def _density(pressure, vapour, kelvins):
    return (pressure - vapour) / (287.05287 * kelvins) + vapour / (461.526 * kelvins)


@pytest.mark.parametrize("chance", chances("weather", 6))
def test_every_way_is_a_state_of_air(chance):
    state = _state(chance)
    asked = 0
    for names in itertools.combinations(state, 3):
        given = {name: state[name] for name in names}
        for wanted in set(state) - set(names):
            try:
                answer = weather.find(wanted, **given)
            except ChalkwattError:
                continue  # three that say one thing twice, or leave the wanted open
            if answer.plan.standing:
                continue  # sea level stands in for what these three leave open
            asked += 1
            assert any(one == pytest.approx(state[wanted], rel=1e-6) for one in answer.solutions_si)
            for branch in answer.branches:
                air = {name: float(one) for name, one in branch.values.items()}
                assert all(math.isfinite(one) for one in air.values())
                for name in {"air_temperature", "dew_point"} & set(air):
                    assert air[name] >= 173.15
                if {"air_temperature", "saturation_pressure"} <= set(air):
                    found = _tetens(air["air_temperature"])
                    assert air["saturation_pressure"] == pytest.approx(found, rel=1e-6)
    assert asked > 60


def test_the_pole_of_the_formula_is_no_temperature():
    answer = weather.find(
        "air_density", dew_point="12 degC", relative_humidity=0.5, air_pressure="1013 hPa"
    )
    vapour = _tetens(285.15)
    log = math.log(vapour / 0.5 / 610.8)
    kelvins = 273.15 + 237.3 * log / (17.27 - log)
    assert answer.solutions_si == (pytest.approx(_density(101300, vapour, kelvins), rel=1e-6),)


@pytest.mark.parametrize("celsius", [-272.0, -240.0, -237.3, -237.2, -150.0])
def test_colder_than_the_formula_knows(celsius):
    for wanted in ("air_density", "saturation_pressure", "dew_point"):
        with pytest.raises(ChalkwattError):
            weather.find(
                wanted,
                air_temperature=celsius + 273.15,
                relative_humidity=0.5,
                air_pressure="1013 hPa",
            )


@pytest.mark.parametrize("name", ["reported_height", "vehicle_wind_height"])
def test_no_wind_below_the_profile(name):
    for height in (0.08, 0.0799, 0.0946):
        with pytest.raises(ChalkwattError):
            weather.find("road_wind", reported_wind=5, **{name: height})


def test_an_endless_function_is_no_root():
    """Tetens' formula is endless on one side of its pole, and so is the size of its terms."""

    def saturation(t):
        return 610.8 * np.exp(17.27 * (t - 273.15) / (t - 273.15 + 237.3))

    found = bracketed_roots(
        lambda t, _pick: 2805.0 - saturation(t),
        lambda t, _pick: -saturation(t) * 17.27 * 237.3 / (t - 273.15 + 237.3) ** 2,
        1,
        search_grid((0.0, 400.0), (243.15, 318.15)),
        size_of=lambda t, _pick: 2805.0 + saturation(t),
    )
    log = math.log(2805.0 / 610.8)
    root = 273.15 + 237.3 * log / (17.27 - log)
    assert found[np.isfinite(found)].tolist() == [pytest.approx(root, rel=1e-12)]
