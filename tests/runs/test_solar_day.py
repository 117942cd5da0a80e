"""A day in the sun: the relations of `sun` at every minute, and nothing better for being worse."""

import numpy as np
import pytest
from scipy.optimize import brentq

import chalkwatt as cw
from chalkwatt.runs.sun.roofs import Facet, Roof
from chalkwatt.runs.sun.sky import Place, clear_sky
from chalkwatt.runs.sun.vehicle import SolarVehicle
from chalkwatt.wording.numbers import format_number

PLACE = {"latitude": 52.52, "longitude": 13.405, "altitude": 34.0, "date": "2023-06-21"}
CAR = {
    "mass": 650.0,
    "drag_area": 0.3,
    "rolling_coefficient": 0.007,
    "drive_efficiency": 0.86,
    "auxiliary_power": 40.0,
    "air_density": 1.2,
}
PANEL = {"rated_power": "700 W", "temperature_coefficient": "-0.35 %/K"}


def day(**changes):
    given = {**PLACE, **PANEL, **CAR, **changes}
    return cw.solar_day(**{name: one for name, one in given.items() if one is not None})


def test_power_is_that_of_the_topic():
    made = day()
    noon = int(np.argmax(made.power))
    expected = cw.sun.find(
        "solar_power",
        irradiance=float(made.sky.horizontal[noon]),
        panel_area=0.7,
        panel_efficiency=1.0,
        temperature_coefficient=-0.0035,
        air_temperature="20 °C",
        panel_wind=1.0,
    )
    assert made.power[noon] == pytest.approx(expected.si, rel=1e-12)


def test_speed_cools_the_panel_and_the_panel_gives_the_speed():
    """Found once more by Brent's method on the balance, at one minute."""
    made = day()
    place = int(np.argmax(made.power)) - 150
    light = float(made.sky.horizontal[place])

    def surplus(speed):
        heat = 293.15 + light / (25 + 6.84 * np.hypot(1.0, speed))
        power = light * 0.7 * (1 - 0.0035 * (heat - 298.15))
        road = (0.6 * 0.3 * speed**2 + 0.007 * 650 * 9.80665) * speed
        return 0.86 * (power - 40.0) - road

    assert made.speeds[place] == pytest.approx(brentq(surplus, 0.1, 40, xtol=1e-13), rel=1e-9)


def test_driving_keeps_the_cells_cooler_and_the_peak_higher():
    made = day()
    parked, driving = made.cell_temperature(), made.cell_temperature(driving=True)
    assert driving.max() < parked.max() - 5
    slow = cw.sun.find("equilibrium_speed", solar_power=float(made.power.max()), **CAR)
    assert made.peak_speed.to("m/s").magnitude > slow.si


def test_the_vehicle_stands_where_the_roof_brings_no_more_than_the_auxiliary_load():
    made = day()
    dark = made.power <= CAR["auxiliary_power"]
    assert (made.speeds[dark & (made.cell_temperature() < 298)] == 0).all()
    idle = day(auxiliary_power="900 W")
    assert idle.peak_speed.magnitude == 0
    assert idle.distance.magnitude == 0
    assert idle.times_holding("10 km/h") == []


def test_the_hours_that_hold_a_speed_are_those_of_the_relation():
    made = day()
    ((start, end),) = made.times_holding("25 km/h")
    needed = cw.sun.find("solar_power", equilibrium_speed="25 km/h", **CAR).si
    power = made.vehicle.power(made.sky, made.speeds)
    first = made.sky.clock(0)
    for moment in (start, end):
        place = (moment - first).total_seconds() / made.sky.step
        there = np.interp(place, np.arange(len(power)), power)
        assert there == pytest.approx(needed, rel=1e-4)


def test_with_a_speed_the_day_is_stored_and_then_driven():
    made = day(speed="60 km/h")
    per_metre = cw.load.find("consumption", speed="60 km/h", **CAR).si
    assert made.distance.to("m").magnitude == pytest.approx(
        made.energy.to("J").magnitude / per_metre, rel=1e-12
    )
    assert day().distance.magnitude == day().distance_on_sun_alone.magnitude


def test_halving_the_step_changes_no_shown_digit():
    vehicle = SolarVehicle({**PANEL, **CAR}, cw.roofs.flat, 0.0)
    shown = []
    for step in (60.0, 30.0):
        sky = clear_sky(Place(52.52, 13.405, 34.0), "2023-06-21", step=step)
        energy = vehicle.power(sky).sum() * step / 3.6e6
        distance = vehicle.speed(sky).sum() * step / 1000
        shown.append((format_number(energy), format_number(distance)))
    assert shown[0] == shown[1]


@pytest.mark.parametrize(
    "changes",
    [
        {"rated_power": "800 W"},
        {"air_temperature": "5 °C"},
        {"wind_speed": "5 m/s"},
        {"conversion_efficiency": 1.0, "altitude": 900.0},
    ],
)
def test_what_helps_the_panel_brings_no_less(changes):
    assert day(**changes).energy.magnitude >= day().energy.magnitude


def test_less_to_carry_and_to_push_is_never_slower():
    for changes in ({"mass": 500.0}, {"drag_area": 0.2}, {"auxiliary_power": 0.0}):
        assert day(**changes).peak_speed.magnitude > day().peak_speed.magnitude


def test_a_roof_tilted_to_the_sun_brings_more_and_away_from_it_less():
    winter = {"date": "2023-12-21", "heading": 0.0}
    flat = day(**winter).energy.magnitude
    assert day(**winter, roof=cw.roofs.tilted(40, 180)).energy.magnitude > 1.5 * flat
    assert day(**winter, roof=cw.roofs.tilted(40, 0)).energy.magnitude < flat
    turned = {**winter, "heading": 180.0}
    away = day(**winter, roof=cw.roofs.tilted(40, 180)).energy.magnitude
    assert day(**turned, roof=cw.roofs.tilted(40)).energy.magnitude == pytest.approx(away)


def test_a_curved_roof_nears_the_flat_one_as_it_flattens():
    flat = day().energy.magnitude
    almost = day(roof=cw.roofs.curved(1, 4)).energy.magnitude
    assert almost == pytest.approx(flat, rel=1e-3)
    bent = [day(roof=cw.roofs.curved(90, facets)).energy.magnitude for facets in (16, 32)]
    assert bent[0] == pytest.approx(bent[1], rel=2e-3)
    assert bent[0] < flat


def test_facets_share_the_roof():
    half = Roof((Facet(0.5), Facet(0.5, 30, 180)), "half and half")
    parts = [day(roof=one).energy.magnitude for one in (cw.roofs.flat, cw.roofs.tilted(30, 180))]
    assert day(roof=half).energy.magnitude == pytest.approx(sum(parts) / 2, rel=1e-12)
    with pytest.raises(cw.OutOfBoundsError, match=r"make 0\.9 together"):
        Roof((Facet(0.5), Facet(0.4)))
    with pytest.raises(cw.OutOfBoundsError, match="tilted by -5°"):
        cw.roofs.tilted(-5)
    with pytest.raises(cw.OutOfBoundsError, match="arc of 200°"):
        cw.roofs.curved(200)


def test_a_panel_is_its_area_and_efficiency_or_its_rating():
    area = {"rated_power": None, "panel_area": 3.5, "panel_efficiency": 0.2}
    known = {**PLACE, **CAR, "temperature_coefficient": -0.0035}
    by_area = cw.solar_day(**known, panel_area=3.5, panel_efficiency=0.2)
    assert by_area.energy.magnitude == pytest.approx(day().energy.magnitude, rel=1e-12)
    with pytest.raises(cw.TooMuchKnownError, match="rated 700 W, not 500 W"):
        cw.solar_day(**known, **{**area, "rated_power": "500 W"})
    with pytest.raises(cw.ChalkwattError, match=r"panel is not determined.*rated_power"):
        cw.solar_day(**PLACE)


def test_what_is_missing_or_unknown_is_named():
    bare = cw.solar_day(**PLACE, **PANEL)
    assert bare.energy.magnitude > 4
    assert repr(bare).endswith("kWh")
    with pytest.raises(cw.ChalkwattError, match=r"mass, drag_area, .* are missing"):
        bare.peak_speed  # noqa: B018  asking is the point
    with pytest.raises(cw.NameUnknownError, match="rated_power"):
        day(rated_pover=3)
    with pytest.raises(cw.ChalkwattError, match=r"mass = .* is a list, and one value is needed"):
        day(mass=[600, 700])
    with pytest.raises(cw.OutOfBoundsError, match="speed above nought"):
        day(speed=0.0).distance  # noqa: B018  as above


def test_a_night_without_sun():
    polar = day(latitude=80.0, date="2023-12-21")
    assert polar.energy.magnitude == 0
    assert polar.peak_speed.magnitude == 0
    assert polar.distance.magnitude == 0


def test_a_day_without_night():
    polar = day(latitude=80.0, date="2023-06-21", temperature_coefficient=0)
    ((start, end),) = polar.times_holding("1 m/s")
    assert (end - start).total_seconds() == 24 * 3600


@pytest.mark.parametrize(
    ("load", "told"),
    [
        ("40 W", "on a level road, without wind or heater"),
        ("900 W", "on a level road, without wind, with 900 W for all that does not drive"),
    ],
)
def test_how_far_is_never_said_without_its_conditions(load, told):
    made = day(speed="35 mph", auxiliary_power=load)
    assert f" km at a steady 56.33 km/h {told}; peak speed " in repr(made)
    assert any(told in axes.get_title(loc="left") for axes in made.figure().axes)
    alone = day(auxiliary_power=load)
    assert f" km on sun alone, {told}; peak speed " in repr(alone)


def test_figure_equations_and_caution():
    figure = day(speed="60 km/h").figure(holding="25 km/h")
    words = [text.get_text() for axes in figure.axes for text in axes.texts]
    assert any("25 km/h\n" in one for one in words)
    assert any("on sun alone" in one for one in words)
    assert "P_pv = P_rated" in day().equations.text
    by_size = day(rated_power=None, panel_area="3.2 m²", panel_efficiency=0.22, speed="60 km/h")
    assert "P_pv = G · A_pv · η_pv" in by_size.equations.text
    # Where a stored day is driven at a speed, the way to its consumption is shown, too.
    assert "e = P_bat / v" in by_size.equations.text
    assert "P_bat" not in day().equations.text
    assert "public roads" in day().caution


@pytest.mark.parametrize("roof", ["no power", "too little to move"])
def test_words_of_a_day_without_a_summit_stand_within_the_figure(roof):
    made = (
        day(rated_power=0.5)
        if roof == "too little to move"
        else day(latitude=80.0, date="2023-12-21")
    )
    figure = made.figure()
    figure.canvas.draw()
    for axes in figure.axes:
        frame = axes.get_window_extent()
        for text in axes.texts:
            box = text.get_window_extent()
            assert frame.x0 <= box.x0 < box.x1 <= frame.x1, text.get_text()
