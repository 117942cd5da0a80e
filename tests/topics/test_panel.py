"""A panel and its mounting: the topics `panel` and `sun` say the same, forwards and turned round."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from chalkwatt import panel, sun
from chalkwatt.errors import TooLittleKnownError, TooMuchKnownError

BOTH = (panel, sun)
PLATE = {
    "rated_power": "400 W",
    "temperature_coefficient": "-0.35 %/K",
    "irradiance": "900 W/m²",
    "air_temperature": "28 °C",
}
MOUNTINGS = {
    "nothing said": {},
    "by its data sheet": {"nominal_panel_temperature": "45 °C"},
    "by its heat loss": {"heat_loss_constant": 20.0},
    "glued down": {"mounting_exponent": -2.81},
    "close to a roof": {
        "mounting_exponent": -2.98,
        "mounting_wind_exponent": -0.0471,
        "cell_heat_resistance": 0.001,
        "panel_wind": "3 m/s",
    },
    # A data sheet states what holds on a rack; whoever says more of the mounting means that.
    "glued down, with a data sheet": {
        "mounting_exponent": -2.81,
        "nominal_panel_temperature": "45 °C",
    },
}


def cells(sun_light, air, mounting):
    """Temperature of the cells in °C by the published relations, written out by hand."""
    wind = float(str(mounting.get("panel_wind", "1")).split()[0])
    if "mounting_exponent" in mounting:  # King, Boyson, Kratochvil, SAND2004-3535 (2004)
        slope = mounting.get("mounting_wind_exponent", -0.0455)
        resistance = mounting.get("cell_heat_resistance", 0.0)
        still = mounting["mounting_exponent"]
        return air + sun_light * (math.exp(still + slope * wind) + resistance)
    if "nominal_panel_temperature" in mounting:  # Ross (1980), IEC 61215
        return air + (45.0 - 20.0) * sun_light / 800.0
    loss = mounting.get("heat_loss_constant", 25.0)  # Faiman (2008)
    return air + sun_light / (loss + 6.84 * wind)


@pytest.mark.parametrize("mounting", MOUNTINGS.values(), ids=MOUNTINGS)
def test_both_topics_say_what_is_worked_out_by_hand(mounting):
    power = 400.0 * 0.9 * (1 - 0.0035 * (cells(900.0, 28.0, mounting) - 25.0))
    made = [topic.find("panel_power", **PLATE, **mounting) for topic in BOTH]
    for one in made:
        assert one.si == pytest.approx(power, rel=1e-12)
    assert made[0].assumed == made[1].assumed
    assert made[0].notes == made[1].notes
    assert made[0].working.text == made[1].working.text


@pytest.mark.parametrize("topic", BOTH, ids=lambda one: one.name)
@pytest.mark.parametrize("mounting", MOUNTINGS.values(), ids=MOUNTINGS)
def test_every_given_value_is_found_back_from_the_power(topic, mounting):
    known = {**PLATE, **mounting}
    power = topic.find("panel_power", **known)
    values = topic.read(known)
    for name, value in values.items():
        if name not in {*power.plan.heard}:
            continue
        rest = {one: v for one, v in values.items() if one != name}
        back = topic.find(name, **rest, panel_power=power.si)
        assert any(one == pytest.approx(value, rel=1e-8) for one in back.solutions_si), name


def test_what_is_taken_for_granted_of_the_mounting_is_said():
    for topic in BOTH:
        made = topic.find("panel_power", **PLATE)
        assert "Free air on both sides" in made.working.text.partition("Assumed:")[2]
        assert {"heat_loss_constant", "heat_loss_wind", "panel_wind"} <= made.assumed.keys()
        assert "mounting_exponent" not in made.assumed
    glued = sun.find("panel_power", **PLATE, mounting_exponent=-2.81)
    assert "Insulated back" in glued.working.text.partition("Assumed:")[2]


@settings(derandomize=True, max_examples=40, deadline=None)
@given(
    light=st.floats(20.0, 1900.0),
    air=st.floats(-60.0, 70.0),
    nominal=st.floats(21.0, 90.0),
    coefficient=st.floats(-0.019, 0.019).filter(lambda one: abs(one) > 1e-4),
)
def test_a_nominal_temperature_is_found_back_by_chance(light, air, nominal, coefficient):
    """From a power, in watts and in Kelvin, in Fahrenheit and square feet; of either sign of the coefficient."""
    hot = air + (nominal - 20.0) * light / 800.0
    share = 1 + coefficient * (hot - 25.0)
    if share < 0.05 or hot > 200:
        return
    power = 350.0 * light / 1000.0 * share
    known = {
        "irradiance": light,
        "air_temperature": f"{air * 1.8 + 32!r} °F",
        "rated_power": "0.35 kW",
        "temperature_coefficient": coefficient,
    }
    for topic in BOTH:
        made = topic.find("nominal_panel_temperature", panel_power=power, **known)
        assert made.to("°C") == pytest.approx(nominal, abs=1e-6)
        by_cells = topic.find(
            "nominal_panel_temperature",
            panel_temperature=hot + 273.15,
            irradiance=light,
            air_temperature=air + 273.15,
        )
        assert by_cells.to("°C") == pytest.approx(nominal, abs=1e-7)


def test_against_a_library():
    temperature = pytest.importorskip("pvlib.temperature")
    ross = temperature.ross(900.0, 28.0, noct=45.0)
    faiman = temperature.faiman(900.0, 28.0, 1.0)
    glued = temperature.sapm_cell(900.0, 28.0, 1.0, -2.81, -0.0455, 0.0)
    for mounting, expected in (
        ("by its data sheet", ross),
        ("nothing said", faiman),
        ("glued down", glued),
        ("glued down, with a data sheet", glued),
    ):
        for topic in BOTH:
            made = topic.find("panel_temperature", **PLATE, **MOUNTINGS[mounting])
            assert made.to("°C") == pytest.approx(float(expected), abs=1e-9)


@pytest.mark.parametrize("topic", BOTH, ids=lambda one: one.name)
def test_no_nominal_temperature_from_another_mounting(topic):
    known = {**PLATE, "panel_power": "290 W", "mounting_exponent": -2.81}
    with pytest.raises(TooLittleKnownError) as raised:
        topic.find("nominal_panel_temperature", **known)
    assert raised.value.unlocks == ("rack_panel_temperature",)
    without = {name: one for name, one in PLATE.items() if name != "temperature_coefficient"}
    with pytest.raises(TooLittleKnownError):  # a power that heat does not change tells no heat
        topic.find("nominal_panel_temperature", panel_power="330 W", **without)


@pytest.mark.parametrize("topic", BOTH, ids=lambda one: one.name)
def test_two_mountings_that_disagree_are_told(topic):
    glued = {"mounting_exponent": -2.81, "mounting_wind_exponent": -0.0455}
    loss = {"heat_loss_constant": 25.0, "heat_loss_wind": 6.84, "cell_heat_resistance": 0.0}
    with pytest.raises(TooMuchKnownError, match="mounted panel"):
        topic.find("panel_power", **PLATE, **glued, **loss, panel_wind="1 m/s")
