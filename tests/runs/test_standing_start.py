import itertools
import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad

import chalkwatt as cw
from chalkwatt.errors import (
    ChalkwattError,
    NoSolutionError,
    OutOfBoundsError,
    TooLittleKnownError,
    UnitError,
)
from chalkwatt.wording.numbers import format_number

MPH = 0.44704
QUARTER = 402.336
CAR = {
    "mass": "1500 kg",
    "motor_power": "120 kW",
    "drive_efficiency": 0.9,
    "friction": 0.9,
    "driven_weight_share": 0.5,
    "rolling_coefficient": 0.01,
    "drag_area": "0.6 m^2",
    "air_density": "1.2 kg/m^3",
    "rotating_mass_factor": 1.04,
}
AXLES = {"wheelbase": "2.6 m", "centre_of_gravity_height": "0.52 m"}
BATTERY = {"pack_voltage": "350 V", "pack_resistance": "90 mΩ", "pack_current_max": "350 A"}
TORQUE = {"motor_torque": "250 N·m", "gear_ratio": 8.0, "wheel_radius": "0.31 m"}


def car(**changed):
    return cw.standing_start(**{k: v for k, v in (CAR | changed).items() if v is not None})


def seconds(quantity):
    return quantity.to("s").magnitude


def by_quadrature(speed, *, power, grip, mass, effective, rolling=0.01, air=0.36):
    """Second method: time and distance as integrals over speed, no integration in time."""

    def net(v):
        return min(grip, power / v if v else math.inf) - rolling * mass * 9.80665 - air * v * v

    cross = power / grip
    ends = [0.0, min(cross, speed), speed]
    time = sum(
        quad(lambda v: effective / net(v), *pair, epsabs=0, epsrel=1e-12)[0]
        for pair in itertools.pairwise(ends)
        if pair[1] > pair[0]
    )
    distance = sum(
        quad(lambda v: effective * v / net(v), *pair, epsabs=0, epsrel=1e-12)[0]
        for pair in itertools.pairwise(ends)
        if pair[1] > pair[0]
    )
    return time, distance


@pytest.mark.parametrize("speed", [5.0, 60 * MPH, 100 / 3.6, 55.0, 64.0])
def test_against_quadrature_over_speed(speed):
    run = car()
    time, distance = by_quadrature(
        speed, power=0.9 * 120e3, grip=0.45 * 1500 * 9.80665, mass=1500, effective=1560
    )
    assert seconds(run.time_to(speed)) == pytest.approx(time, rel=1e-9)
    assert run.at(time)["distance"].to("m").magnitude == pytest.approx(distance, rel=1e-9)


def test_results_are_pint_quantities():
    run = car()
    assert run.time_to("60 mph").check("[time]")
    assert run.time_over("0.25 mile").check("[time]")
    assert run.speed_over("0.25 mile").check("[length]/[time]")
    assert run.top_speed.check("[length]/[time]")
    # Quarter mile and its exit speed belong together.
    at_end = run.at(run.time_over("0.25 mile"))
    assert at_end["distance"].to("m").magnitude == pytest.approx(QUARTER, rel=1e-12)
    assert at_end["speed"].magnitude == pytest.approx(run.speed_over("0.25 mile").magnitude)


def test_top_speed_is_where_nothing_is_left():
    run = car()
    top = run.top_speed.to("m/s").magnitude
    resisted = 0.01 * 1500 * 9.80665 + 0.36 * top**2
    assert resisted * top == pytest.approx(0.9 * 120e3, rel=1e-12)
    assert top == pytest.approx(
        cw.launch.find("top_speed", wheel_power=0.9 * 120e3, mass=1500, rolling_coefficient=0.01,
                       drag_area=0.6, air_density=1.2).si, rel=1e-12,
    )  # fmt: skip
    with pytest.raises(NoSolutionError, match=r"top speed is 233\.7 km/h"):
        run.time_to("240 km/h")


def test_the_topic_and_the_run_agree_without_resistance():
    run = car(rolling_coefficient=0, drag_area=1e-12)
    facts = {"motor_power": "120 kW", "drive_efficiency": 0.9, "mass": 1500, "friction": 0.9}
    facts |= {"driven_weight_share": 0.5, "rotating_mass_factor": 1.04, "target_speed": 60 * MPH}
    assert seconds(run.time_to("60 mph")) == pytest.approx(
        cw.launch.find("time_to_speed", **facts).si, rel=1e-10
    )


def test_drive_efficiency_limits_power_only():
    # Up to the crossover the tyres decide, and the efficiency does not matter.
    slow, full = car(drive_efficiency=0.7), car(drive_efficiency=1.0)
    assert seconds(slow.time_to(10.0)) == pytest.approx(seconds(full.time_to(10.0)), rel=1e-13)
    # Beyond it, motor power times efficiency is all that matters.
    weaker = car(motor_power=84e3, drive_efficiency=1.0)
    assert seconds(slow.time_to("100 km/h")) == pytest.approx(
        seconds(weaker.time_to("100 km/h")), rel=1e-11
    )


def test_energy_is_conserved():
    for run in (car(), car(**AXLES, driven_axle="rear"), car(**TORQUE), car(taper_speed="80 km/h")):
        for time in (1.0, 5.0, 14.0, 60.0):
            made = run.energies(time)
            spent = made["drag_energy"] + made["rolling_energy"] + made["kinetic_energy"]
            assert made["wheel_energy"] == pytest.approx(spent, rel=1e-9)
            assert made["motor_energy"] == pytest.approx(made["wheel_energy"] / 0.9, rel=1e-15)


def test_halving_the_tolerance_changes_no_shown_digit():
    for changed in ({}, AXLES | {"driven_axle": "front"}, BATTERY, TORQUE):
        results = [
            [
                format_number(float(one.magnitude), 9)
                for one in (run.time_to("60 mph"), run.time_over("0.25 mile"), run.speed_over(400))
            ]
            for run in (car(**changed), car(**changed, tolerance=5e-12))
        ]
        assert results[0] == results[1]


vehicles = st.fixed_dictionaries(
    {
        "mass": st.floats(250, 3000),
        "motor_power": st.floats(2e4, 1e6),
        "friction": st.floats(0.3, 1.0),
        "driven_weight_share": st.floats(0.3, 1.0),
        "drag_area": st.floats(0.1, 1.2),
        "rolling_coefficient": st.floats(0.0, 0.02),
    }
)


@settings(max_examples=25)
@given(vehicles)
def test_no_launch_beats_the_friction_bound(vehicle):
    run = car(**vehicle)
    assert seconds(run.time_over("0.25 mile")) >= 9.05835021 * math.sqrt(1 / vehicle["friction"])
    if run.top_speed.to("mph").magnitude > 60:
        assert seconds(run.time_to("60 mph")) >= 2.73512362 / vehicle["friction"]


@settings(max_examples=15)
@given(vehicles, st.sampled_from(["rear", "front", "all"]), st.floats(0.1, 0.8))
def test_load_transfer_never_beats_the_friction_bound(vehicle, axle, height):
    share = 1.0 if axle == "all" else min(vehicle["driven_weight_share"], 0.7)
    vehicle = vehicle | {"driven_axle": axle, "driven_weight_share": share}
    run = car(**vehicle, wheelbase="2.4 m", centre_of_gravity_height=height)
    assert seconds(run.time_over("0.25 mile")) >= 9.05835021 * math.sqrt(1 / vehicle["friction"])


@settings(max_examples=15)
@given(vehicles, st.floats(1.0, 1.5))
def test_more_power_is_never_slower(vehicle, more):
    base = seconds(car(**vehicle).time_over("0.25 mile"))
    power = vehicle["motor_power"] * more
    assert seconds(car(**vehicle | {"motor_power": power}).time_over("0.25 mile")) <= base + 1e-9


@settings(max_examples=15)
@given(vehicles, st.floats(1.0, 1.5))
def test_less_mass_is_never_slower_where_the_tyres_hold(vehicle, more):
    # Where the tyres limit, weight is grip, and against the same air the lighter vehicle may lose.
    vehicle = vehicle | TORQUE | {"friction": None}
    base = seconds(car(**vehicle).time_over("0.25 mile"))
    heavier = car(**vehicle | {"mass": vehicle["mass"] * more})
    assert seconds(heavier.time_over("0.25 mile")) >= base - 1e-9


def test_load_transfer_by_hand():
    # At rest: a = (µ w m g − R) / (m_eff ∓ µ m h / L).
    for axle, sign in (("rear", 1), ("front", -1)):
        run = car(**AXLES, driven_axle=axle)
        by_hand = (0.45 - 0.01) * 1500 * 9.80665 / (1560 - sign * 0.9 * 1500 * 0.52 / 2.6)
        assert run.vehicle.acceleration(0.0) == pytest.approx(by_hand, rel=1e-12)
    all_wheels = car(**AXLES, driven_axle="all", driven_weight_share=None)
    assert all_wheels.vehicle.acceleration(0.0) == pytest.approx(
        (0.9 - 0.01) * 1500 * 9.80665 / 1560, rel=1e-12
    )


def test_front_wheels_that_lift_are_the_limit():
    run = car(friction=1.5, driven_weight_share=0.6, wheelbase="1.3 m",
              centre_of_gravity_height="0.8 m", driven_axle="rear", motor_power="400 kW")  # fmt: skip
    assert run.vehicle.acceleration(0.0) == pytest.approx(0.4 * 9.80665 * 1.3 / 0.8, rel=1e-12)
    assert "lifting front wheels limit the start" in run.limits[0]


def test_limits_are_said_in_words_in_order():
    run = car(**TORQUE, **BATTERY, taper_speed="90 km/h", friction=0.8)
    assert [one.limit for one in run.stretches] == ["tyres", "battery's current", "tapering power"]
    weak = car(**TORQUE | {"gear_ratio": 5.0})
    assert [one.limit for one in weak.stretches] == ["motor's torque", "motor's power"]
    assert weak.limits[0] == "From 0 km/h to 96.4 km/h: motor's torque limits the start."
    force = 250 * 5 / 0.31
    assert weak.stretches[0].fastest == pytest.approx(0.9 * 120e3 / force, rel=1e-9)


def test_a_sagging_battery():
    run = car(**BATTERY, auxiliary_power="500 W")
    power = (350 - 350 * 0.09) * 350 - 500
    same = car(motor_power=power)
    assert seconds(run.time_to("100 km/h")) == pytest.approx(seconds(same.time_to("100 km/h")))
    assert run.terminal_voltage("10 s").magnitude == pytest.approx(350 - 350 * 0.09, rel=1e-9)
    floor = car(pack_voltage=350, pack_resistance=0.09, pack_voltage_min=330)
    assert floor.stretches[-1].limit == "battery's lowest voltage"
    assert floor.terminal_voltage(10).magnitude == pytest.approx(330, rel=1e-9)
    stiff = car(pack_voltage=350, pack_resistance=0, pack_current_max=350)
    assert stiff.terminal_voltage(10).magnitude == 350
    assert stiff.stretches[-1].limit == "motor's power"
    # More current than half the voltage allows brings no more power.
    most = car(motor_power=None, pack_voltage=350, pack_resistance=0.5, pack_current_max=2000)
    assert most.vehicle.wheel_power == pytest.approx(0.9 * 350**2 / 2)
    assert most.vehicle.power_limit == "battery's resistance"


def test_power_that_tapers():
    run = car(taper_speed="90 km/h")
    plain = car()
    assert seconds(run.time_to("90 km/h")) == pytest.approx(seconds(plain.time_to("90 km/h")))
    assert seconds(run.time_to("140 km/h")) > seconds(plain.time_to("140 km/h"))
    assert run.vehicle.limit(50.0)[0] == pytest.approx(0.9 * 120e3 * 25 / 50**2)


def test_rollout():
    plain, rolled = car(), car(rollout="1 ft")
    first = math.sqrt(2 * 0.3048 / plain.vehicle.acceleration(0.0))
    # Drag over the first foot is felt in the fifth digit.
    assert seconds(plain.time_to("60 mph")) - seconds(rolled.time_to("60 mph")) == pytest.approx(
        first, rel=2e-5
    )
    # Distance counts from where the clock starts.
    whole = seconds(plain.time_over(QUARTER + 0.3048)) - seconds(plain.time_over(0.3048))
    assert seconds(rolled.time_over("0.25 mile")) == pytest.approx(whole, rel=1e-11)
    assert rolled.speed_over("0.25 mile") > plain.speed_over("0.25 mile")
    assert rolled.distance[0] == pytest.approx(0, abs=1e-12)
    with pytest.raises(OutOfBoundsError, match="before the clock starts"):
        rolled.time_to("1 km/h")


def test_the_power_that_a_claim_asks_for():
    run = car()
    for asked in ({"to": "60 mph"}, {"over": "0.25 mile"}):
        claimed = run.time_to("60 mph") if "to" in asked else run.time_over("0.25 mile")
        power = run.required_power(claimed, **asked)
        assert power.to("kW").magnitude == pytest.approx(120, rel=1e-8)
    with pytest.raises(NoSolutionError, match=r"other limits alone take 6\.55") as caught:
        run.required_power("2 s", to="60 mph")
    assert caught.value.nearest > 6
    with pytest.raises(TooLittleKnownError):
        run.required_power("5 s")


def test_arrays_of_the_run():
    run = car()
    assert run.time.shape == run.speed.shape == run.distance.shape == (401,)
    assert np.all(np.diff(run.speed) > 0)
    assert run.distance[-1] == pytest.approx(QUARTER, rel=1e-12)
    # The trapezoid rule over the shown speeds comes back to the distance.
    assert np.trapezoid(run.speed, run.time) == pytest.approx(QUARTER, rel=1e-5)


@pytest.mark.parametrize(
    ("changed", "error", "words"),
    [
        ({"mass": "-3 kg"}, OutOfBoundsError, "mass"),
        ({"mass": "1500 N"}, UnitError, "mass"),
        ({"mass": [1000.0, 1200.0]}, ChalkwattError, "mass"),
        ({"friction": None}, TooLittleKnownError, "friction"),
        ({"driven_weight_share": None}, TooLittleKnownError, "driven_weight_share"),
        ({"wheelbase": 2.5}, TooLittleKnownError, "centre_of_gravity_height"),
        (AXLES, TooLittleKnownError, "driven_axle"),
        ({"driven_axle": "left"}, ChalkwattError, "left"),
        ({"motor_torque": 200}, TooLittleKnownError, "gear_ratio"),
        ({"pack_voltage": 350}, TooLittleKnownError, "pack_resistance"),
        ({"motor_power": None}, TooLittleKnownError, "motor_power"),
        ({"friction": 0.01, "rolling_coefficient": 0.02}, NoSolutionError, "does not move"),
        (BATTERY | {"pack_current_max": 1, "auxiliary_power": 500}, NoSolutionError, "auxiliary"),
    ],
)
def test_errors_name_what_is_wrong(changed, error, words):
    with pytest.raises(error, match=words):
        car(**changed)


def test_equations_show_what_the_run_has():
    text = car().equations.text
    assert "F_dr = min(F_tr, P_wheel / v)" in text
    assert "κ" not in text
    assert "M · i_g" not in text
    assert "κ · m · a" in car(**AXLES, driven_axle="rear").equations.text
    assert "M · i_g / r_w" in car(**TORQUE).equations.text
    assert "P_I = (U − I_max · R) · I_max" in car(**BATTERY).equations.text
    assert car().equations.mathml.count("<math") == 10
    assert r"\frac{\mathrm{d}v}{\mathrm{d}t}" in car().equations.latex


def test_shown():
    run = car(name="an <invented> car")
    assert repr(run).startswith("an <invented> car: 0 to 60 mph 7.46 s, 0 to 100 km/h 7.88 s")
    assert "an &lt;invented&gt; car" in run._repr_html_()
    assert "never on a public road" in run._repr_html_()
    figure = run.figure(car(mass=1000), car(motor_power="300 kW"), theme_name="dark")
    assert [axes.get_ylabel() for axes in figure.axes] == ["speed in km/h", "distance in m"]
    # Told apart by dashes as well as by colour.
    assert (
        len({str(line.get_linestyle()) + str(line._dash_pattern) for line in figure.axes[0].lines})
        == 3
    )
    with pytest.raises(ChalkwattError, match="too many"):
        run.figure(run, run, run, run)


def test_on_a_board():
    board = cw.run_board(cw.standing_start, **CAR)
    before = board.outcome.time_to("60 mph")
    board.motor_power = 240.0
    assert board.outcome.time_to("60 mph") < before
    assert "never on a public road" in board.caution


def test_the_state_at_the_very_start_and_where_it_is_never_reached():
    run = cw.standing_start(
        mass=1500,
        motor_power=120e3,
        friction=0.9,
        driven_weight_share=0.5,
        rolling_coefficient=0.01,
        drag_area=0.6,
        air_density=1.2,
    )
    start = run.at(0)
    assert start["speed"].magnitude == start["distance"].magnitude == 0.0
    assert start["acceleration"].magnitude == pytest.approx((0.45 - 0.01) * 9.80665, rel=1e-12)
    with pytest.raises(cw.NoSolutionError, match=r"A distance of 1\.609e\+12 m is not reached"):
        run.time_over("1e9 mile")
