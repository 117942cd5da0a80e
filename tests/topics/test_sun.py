"""The sun: solved back in every direction, and against methods that share nothing with it."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import brentq

from chalkwatt import panel, sun
from chalkwatt.errors import TooLittleKnownError
from tests.points import nearest, point

P = point("sun")
PANEL = (
    "irradiance",
    "panel_area",
    "panel_efficiency",
    "temperature_coefficient",
    "air_temperature",
    "panel_wind",
    "rated_temperature",
    "heat_loss_constant",
    "heat_loss_wind",
)
CAR = (
    "drag_area",
    "air_density",
    "headwind",
    "mass",
    "gravity",
    "rolling_coefficient",
    "grade",
    "coast_down_linear",
    "drive_efficiency",
    "drive_idle_loss",
    "auxiliary_power",
)
CASTS = {
    "panel_power": PANEL,
    "solar_power": (*PANEL, "conversion_efficiency"),
    "equilibrium_speed": (*CAR, "panel_power", "conversion_efficiency"),
    "stall_grade": (
        *(one for one in CAR if one != "grade"),
        "solar_power",
        "creeping_speed",
    ),
    "daily_solar_energy": (
        "conversion_efficiency",
        "standard_irradiance",
        "panel_area",
        "panel_efficiency",
        "peak_sun_hours",
    ),
    "solar_distance": ("conversion_efficiency", "rated_power", "peak_sun_hours", "consumption"),
    "solar_share": (
        "conversion_efficiency",
        "rated_power",
        "peak_sun_hours",
        "consumption",
        "daily_distance",
    ),
    "charging_distance": ("solar_power", "consumption"),
}


@pytest.mark.parametrize(
    ("wanted", "outcome"), [(wanted, outcome) for outcome, cast in CASTS.items() for wanted in cast]
)
def test_solved_back(wanted, outcome):
    known = {name: P[name] for name in CASTS[outcome] if name != wanted}
    answer = sun.find(wanted, **known, **{outcome: P[outcome]})
    assert nearest(answer, P[wanted]) < 1e-9


def balance(v, car, watts):
    """Surplus of the sun over road, wind and auxiliary load at a speed, by hand."""
    air = v + car["headwind"]
    force = 0.5 * car["air_density"] * car["drag_area"] * abs(air) * air
    force += car["rolling_coefficient"] * car["mass"] * 9.80665
    return car["drive_efficiency"] * (watts - car["auxiliary_power"]) - force * v


@settings(derandomize=True, max_examples=50)
@given(
    st.floats(61, 1500),
    st.floats(0.1, 0.6),
    st.floats(300, 1200),
    st.floats(0.004, 0.012),
    st.floats(0, 60),
    st.sampled_from([0.0, 2.5, -1.5]),
)
def test_equilibrium_speed_by_chance_against_brentq(watts, area, mass, rolling, aux, wind):
    car = {
        "drag_area": area,
        "mass": mass,
        "rolling_coefficient": rolling,
        "auxiliary_power": aux,
        "air_density": 1.2,
        "headwind": wind,
        "drive_efficiency": 0.86,
    }
    answer = sun.find("equilibrium_speed", panel_power=watts, **car)
    expected = brentq(balance, 0, 300, args=(car, watts), xtol=1e-14, rtol=1e-14)
    assert nearest(answer, expected) < 1e-9
    for one in answer.branches:
        assert abs(balance(float(one.values["equilibrium_speed"]), car, watts)) < 1e-9 * watts
    back = sun.find("panel_power", equilibrium_speed=answer.si, **car)
    assert back.si == pytest.approx(watts, rel=1e-9)


def test_no_surplus_no_speed_at_the_very_edge():
    car = {
        "drag_area": 0.3,
        "mass": 680.0,
        "rolling_coefficient": 0.007,
        "drive_efficiency": 0.86,
        "auxiliary_power": 60.0,
    }
    assert sun.find("equilibrium_speed", solar_power=60.0, **car).si == 0.0
    just = sun.find("equilibrium_speed", solar_power=60.0 * (1 + 1e-12), **car)
    assert 0 < just.si < 1e-9
    assert not just.notes
    none = sun.find("equilibrium_speed", solar_power=0.0, **car)
    assert none.si == 0.0
    assert none.notes


def test_without_an_auxiliary_load():
    car = {"drag_area": 0.3, "mass": 680.0, "rolling_coefficient": 0.007, "drive_efficiency": 0.86}
    made = sun.find("equilibrium_speed", solar_power=500.0, auxiliary_power=0.0, **car)
    slower = sun.find("equilibrium_speed", solar_power=500.0, auxiliary_power=60.0, **car)
    assert made.si > slower.si > 0


def test_it_stalls_where_the_creeping_speed_is_the_equilibrium():
    car = {
        "drag_area": 0.3,
        "air_density": 1.2,
        "mass": 680.0,
        "rolling_coefficient": 0.007,
        "drive_efficiency": 0.86,
        "auxiliary_power": 60.0,
    }
    stall = sun.find("stall_grade", solar_power=700.0, **car)
    creeping = sun.find("equilibrium_speed", solar_power=700.0, grade=stall.si, **car)
    assert nearest(creeping, 1.25) < 1e-9


def test_heat_costs_power():
    panel = {"irradiance": 1000.0, "panel_area": 3.0, "panel_efficiency": 0.22}
    hot = sun.find(
        "panel_power", **panel, temperature_coefficient="-0.35 %/K", panel_temperature="65 °C"
    )
    assert hot.si == pytest.approx(1000 * 3 * 0.22 * (1 - 0.0035 * 40), rel=1e-12)
    cold = sun.find("panel_power", **panel)
    assert cold.si == pytest.approx(660.0, rel=1e-12)


def test_a_share_above_one_is_no_error():
    made = sun.find("solar_share", solar_distance="60 km", daily_distance="40 km")
    assert made.to("%") == pytest.approx(150.0)


def test_a_rating_stands_for_area_and_efficiency():
    watts = {"irradiance": "850 W/m²", "temperature_coefficient": -0.0035}
    heat = {"air_temperature": "30 °C", "panel_wind": "2 m/s"}
    area = sun.find("panel_power", panel_area="3.2 m²", panel_efficiency="22 %", **watts, **heat)
    rated = sun.find("panel_power", rated_power="704 W", **watts, **heat)
    assert rated.si == pytest.approx(area.si, rel=1e-14)
    cell = 303.15 + 850 / (25 + 6.84 * 2)
    assert rated.si == pytest.approx(704 * 0.85 * (1 - 0.0035 * (cell - 298.15)), rel=1e-14)
    car = {
        "drag_area": "0.3 m²",
        "mass": "680 kg",
        "rolling_coefficient": 0.007,
        "drive_efficiency": 0.86,
        "auxiliary_power": "60 W",
    }
    # With standing values alone, in both directions.
    fast = sun.find("equilibrium_speed", rated_power="704 W", irradiance="850 W/m²", **car)
    back = sun.find("rated_power", equilibrium_speed=fast.si, irradiance="850 W/m²", **car)
    assert back.si == pytest.approx(704, rel=1e-12)


def test_what_is_said_to_unlock_the_panel_does():
    with pytest.raises(TooLittleKnownError) as caught:
        sun.find("panel_power", panel_area="3.2 m²", irradiance="850 W/m²")
    assert {"panel_efficiency", "rated_power"} <= set(caught.value.unlocks)
    for one in caught.value.unlocks:
        assert sun.network.plan("panel_power", ("panel_area", "irradiance", one)).steps


def test_a_nominal_temperature_chooses_the_open_rack_that_it_is_stated_for():
    """Ross (1980), by hand: 45 degC in 800 W/m2 at 20 degC, and so 54.56 degC in 850 W/m2 at 28 degC."""
    known = {
        "rated_power": "480 W",
        "irradiance": "850 W/m^2",
        "air_temperature": "28 degC",
        "temperature_coefficient": "-0.35 %/K",
    }
    nominal = {"nominal_panel_temperature": "45 degC"}
    cells = 28 + (45 - 20) * 850 / 800
    power = 480 * 0.85 * (1 - 0.0035 * (cells - 25))
    made = panel.find("panel_power", **known, **nominal)
    assert made.si == pytest.approx(power, rel=1e-9)
    assert not made.notes
    assert made.assumed.keys().isdisjoint({"heat_loss_constant", "mounting_exponent", "panel_wind"})
    for name, value in known.items():
        rest = {one: given for one, given in known.items() if one != name}
        back = panel.find(name, panel_power=power, **rest, **nominal)
        assert any(
            one == pytest.approx(panel.read({name: value})[name], rel=1e-6)
            for one in back.solutions_si
        ), name
    # Who says how it is mounted is asked for no rack.
    glued = panel.find("panel_temperature", mounting_exponent=-2.81, **known, **nominal)
    assert glued.to("°C") == pytest.approx(28 + 850 * math.exp(-2.81 - 0.0455), rel=1e-9)
