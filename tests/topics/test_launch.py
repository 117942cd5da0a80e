import json
import math
import random
import re

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq

from chalkwatt import Claim, Sheet, braking, launch
from chalkwatt.errors import ChalkwattError, NoSolutionError, TooLittleKnownError, TooMuchKnownError
from chalkwatt.laws.relations import check_dimensions
from chalkwatt.topics.registry import topic_called
from tests.topics.solved_back import check_each_from_all_others, check_each_swapped, point_of

ROAD = {
    "headwind": "3.1 m/s",
    "grade": 0.013,
    "altitude": "740 m",
    "air_temperature": "12 °C",
    "gravity": 9.80665,
    "drag_coefficient": 0.29,
    "frontal_area": "2.13 m²",
    "mass": "1320 kg",
    "rolling_coefficient": 0.0091,
    "coast_down_linear": 1.7,
}


def everything_binds():
    """Motor, battery by current and battery by voltage alike; tyres, torque and power alike."""
    resistance, voltage, current = 0.1, 360.0, 400.0
    power = (voltage - current * resistance) * current
    wheel = 0.9 * power
    friction, share, transfer, factor, mass = 0.9, 0.55, 0.19, 1.04, 1320.0
    start = ROAD | {
        "pack_voltage": voltage,
        "pack_resistance": resistance,
        "pack_current_max": current,
        "pack_voltage_min": voltage - current * resistance,
        "motor_power": power,
        "drive_efficiency": 0.9,
        "friction": friction,
        "driven_weight_share": share,
        "load_transfer": transfer,
        "rotating_mass_factor": factor,
        "target_speed": "100 km/h",
        "sprint_distance": "0.25 mi",
        "rollout": "0.3 m",
        "motor_torque": "250 N·m",
        "wheel_radius": "0.31 m",
    }
    # The front wheels lift exactly where the rear wheels slip, at b = ½ and with this height.
    base, rear = 2.6, 0.5
    height = (1 - rear) * base * factor / friction / (rear + (1 - rear))
    start |= {
        "wheelbase": base,
        "rear_weight_share": rear,
        "centre_of_gravity_height": height,
    }
    # Drag, rolling and slope at a speed decide at which force tyres and power meet there.
    speed = 22.0
    resisted = launch.find("road_force", speed=speed, **ROAD).si
    force = friction * mass * (share * 9.81 - transfer * resisted / factor / mass)
    force /= 1 - friction * transfer / factor
    for _ in range(60):  # the speed at which the power gives that force, by iteration
        speed = wheel / force
        resisted = launch.find("road_force", speed=speed, **ROAD).si
        force = friction * mass * (share * 9.81 - transfer * resisted / factor / mass)
        force /= 1 - friction * transfer / factor
    return start | {"speed": speed, "gear_ratio": force * 0.31 / 250.0}


@pytest.mark.parametrize("relation", launch.relations, ids=lambda one: one.title)
def test_dimensions(relation):
    check_dimensions(relation)


def test_each_quantity_is_solved_back_from_all_others():
    start = everything_binds()
    # The tyres limit just up to the target speed, and just over the sprint.
    crossover = launch.find("crossover_speed", **start).si
    start["target_speed"] = crossover
    start["sprint_distance"] = crossover**2 / 2 / launch.find("start_acceleration", **start).si
    # The motor turns as fast as it may just where the power is used up.
    by_power = launch.find("power_limited_top_speed", **start).si
    start["motor_speed_max"] = by_power * start["gear_ratio"] / (2 * math.pi * 0.31)
    check_each_from_all_others(launch, point_of(launch, start))


OUTCOMES = (
    "time_to_speed",
    "power_time_over_distance",
    "power_exit_speed",
    "top_speed",
    "rollout_time",
    "friction_bound_time",
)


BATTERY = ("pack_voltage", "pack_resistance")
BY_CURRENT = (*BATTERY, "pack_current_max")
BY_VOLTAGE = (*BATTERY, "pack_voltage_min")
MOTOR = ("motor_power",)


@pytest.mark.parametrize("binding", [MOTOR, BY_CURRENT, BY_VOLTAGE], ids=lambda one: one[-1])
def test_each_given_quantity_is_solved_back_from_an_outcome(binding):
    # A limit that does not bind is not given here: of it an outcome knows nothing.
    others = {*MOTOR, *BY_CURRENT, *BY_VOLTAGE} - {*binding}
    start = {name: value for name, value in everything_binds().items() if name not in others}
    values = {name: launch.find(name, **start).si for name in OUTCOMES}
    assert check_each_swapped(launch, start, values, OUTCOMES) > 25


def test_load_transfer_helps_the_rear_and_hurts_the_front():
    facts = {"friction": 0.9, "wheelbase": "2.6 m", "centre_of_gravity_height": "0.5 m"}
    half = facts | {"rear_weight_share": 0.5}
    rear = launch.find("rear_drive_acceleration", **half).si
    front = launch.find("front_drive_acceleration", **half).si
    every = launch.find("all_wheel_drive_acceleration", friction=0.9).si
    # By hand: µ b g / (1 ∓ µ h / L).
    transfer = 0.9 * 0.5 / 2.6
    assert rear == pytest.approx(0.45 * 9.80665 / (1 - transfer), rel=1e-12)
    assert front == pytest.approx(0.45 * 9.80665 / (1 + transfer), rel=1e-12)
    assert front < rear < every


def test_front_wheels_that_lift_limit_rear_drive():
    answer = launch.find(
        "rear_drive_acceleration",
        friction=1.4,
        wheelbase="1.4 m",
        centre_of_gravity_height="0.75 m",
        rear_weight_share=0.6,
    )
    assert answer.si == pytest.approx(0.4 * 9.80665 * 1.4 / 0.75, rel=1e-12)
    assert any("The front wheels lift" in note for note in answer.notes)


def test_a_weak_battery_binds_and_says_so():
    answer = launch.find(
        "wheel_power",
        motor_power="150 kW",
        drive_efficiency=0.9,
        pack_voltage="350 V",
        pack_current_max="400 A",
        pack_resistance="80 mΩ",
    )
    assert answer.to("kW") == pytest.approx(0.9 * (350 - 400 * 0.08) * 400 / 1e3, rel=1e-12)
    assert "current limited power binds" in answer.notes[0]


def test_friction_without_the_driven_share_is_not_ignored():
    with pytest.raises(TooLittleKnownError):
        launch.find(
            "acceleration",
            speed="20 km/h",
            wheel_power="100 kW",
            mass="1500 kg",
            rolling_coefficient=0.01,
            drag_area=0.6,
            friction=0.9,
        )


def test_the_power_that_a_claimed_time_asks_for():
    facts = {
        "target_speed": "60 mph",
        "mass": "1500 kg",
        "friction": 1.0,
        "driven_weight_share": 0.9,
    }
    power = launch.find("wheel_power", time_to_speed="3.6 s", **facts)
    again = launch.find("time_to_speed", wheel_power=power.si, **facts)
    assert again.si == pytest.approx(3.6, rel=1e-12)


@given(st.floats(0.01, 0.999), st.floats(300, 3000), st.floats(0.3, 1.0), st.floats(0.2, 1.0))
def test_no_launch_beats_the_friction_bound(crossover, mass, friction, share):
    facts = {"target_speed": 30.0, "friction": friction, "driven_weight_share": share}
    power = 30.0 * crossover * mass * friction * share * 9.80665
    time = launch.find("time_to_speed", wheel_power=power, mass=mass, **facts).si
    bound = launch.find("friction_bound_time", target_speed=30.0, friction=friction).si
    alone = launch.find("power_bound_time", target_speed=30.0, wheel_power=power, mass=mass).si
    assert time >= bound * (1 - 1e-12)
    assert time >= alone * (1 - 1e-12)


def test_fox_closed_forms_hang_together():
    # Distance, time and exit speed of one constant power: v = 3 d / 2 t.
    facts = {"wheel_power": "150 kW", "mass": "1800 kg", "sprint_distance": "0.25 mi"}
    time = launch.find("power_time_over_distance", **facts).si
    speed = launch.find("power_exit_speed", **facts).si
    assert speed == pytest.approx(1.5 * 0.25 * 1609.344 / time, rel=1e-12)
    assert math.isclose(0.5 * 1800 * speed**2, 150e3 * time, rel_tol=1e-12)


CAR = st.fixed_dictionaries(
    {
        "mass": st.floats(300.0, 5000.0),
        "motor_power": st.floats(1e4, 8e5),
        "drive_efficiency": st.floats(0.6, 1.0),
        "drag_area": st.floats(0.15, 3.0),
        "rolling_coefficient": st.floats(0.003, 0.02),
        "air_density": st.floats(0.6, 1.4),
        "gear_ratio": st.floats(1.0, 20.0),
        "wheel_radius": st.floats(0.15, 0.6),
        "motor_speed_max": st.floats(30.0, 500.0),
    }
)


def by_power(car):
    """The speed at which drag and rolling take all the power, by SciPy."""
    watts = car["drive_efficiency"] * car["motor_power"]

    def left(speed):
        force = 0.5 * car["air_density"] * car["drag_area"] * speed**2
        return (force + car["rolling_coefficient"] * car["mass"] * 9.80665) * speed - watts

    return brentq(left, 0.0, 2000.0, xtol=1e-12, rtol=1e-13)


@given(CAR)
def test_power_or_the_turns_of_the_motor_limit_the_top_speed(car):
    power, motor = by_power(car), math.tau * car["wheel_radius"] * car["motor_speed_max"]
    motor /= car["gear_ratio"]
    if min(power, motor) > 340 or abs(power / motor - 1) < 1e-6:
        return
    answer = launch.find("top_speed", **car)
    assert answer.si == pytest.approx(min(power, motor), rel=1e-9)
    said = " ".join(answer.notes)
    assert ("more power no longer helps" in said) == (motor < power)
    assert ("the motor could turn faster" in said) == (power < motor)
    without = {name: value for name, value in car.items() if name != "motor_speed_max"}
    if power < 340:
        assert launch.find("top_speed", **without).si == pytest.approx(power, rel=1e-9)
        # Without the motor's turns gears and wheels say nothing, which is all that there is to tell.
        (idle,) = launch.find("top_speed", **without).notes
        assert all(one in idle for one in ("gear ratio of ", "wheel radius of ", "no part"))
    # Back: the one that binds is found, and the other one is not told by the top speed.
    binding = (
        ("gear_ratio", "wheel_radius", "motor_speed_max") if motor < power else ("motor_power",)
    )
    for wanted in binding:
        known = {name: value for name, value in car.items() if name != wanted}
        found = launch.find(wanted, top_speed=answer.si, **known)
        assert found.si == pytest.approx(car[wanted], rel=1e-7)


@pytest.mark.parametrize(
    "text", ["16000 rpm", "16000 1/min", "16 000 rev/min", "266.6666666666667 1/s"]
)
def test_turns_of_a_motor_are_read_as_data_sheets_write_them(text):
    speed = launch.find(
        "motor_limited_top_speed", motor_speed_max=text, gear_ratio=9, wheel_radius="0.33 m"
    )
    # By hand: 16 000 turns a minute, 9 to one, on a wheel of 2.0735 m around.
    assert speed.to("km/h") == pytest.approx(16000 * 60 / 9 * math.tau * 0.33 / 1000, rel=1e-12)


def test_no_power_passes_the_turns_of_the_motor():
    car = {"mass": 1500, "drag_area": 0.6, "rolling_coefficient": 0.01, "drive_efficiency": 0.9}
    gear = {"motor_speed_max": "16000 rpm", "gear_ratio": 11, "wheel_radius": 0.33}
    with pytest.raises(NoSolutionError, match=r"greatest that can be reached is 181\.0 km/h"):
        launch.find("motor_power", top_speed="200 km/h", **car, **gear)


def test_half_a_limit_is_not_left_out():
    car = {"mass": 1500, "drag_area": 0.6, "rolling_coefficient": 0.01, "motor_power": "150 kW"}
    with pytest.raises(TooLittleKnownError):
        launch.find("top_speed", drive_efficiency=0.9, motor_speed_max="16000 rpm", **car)


START = {
    "target_speed": "60 mph",
    "motor_power": "150 kW",
    "mass": "1800 kg",
    "drive_efficiency": 0.885,
    "driven_weight_share": 0.6,
    "friction": 0.97,
}


def seconds(watts):
    """By friction up to the speed at which the power no longer does it, and by power from there."""
    push, power, target = 0.97 * 0.6 * 1800 * 9.80665, 0.885 * watts, 60 * 0.44704
    change = min(power / push, target)
    return 1800 * change / push + 1800 * (target**2 - change**2) / (2 * power)


@pytest.mark.parametrize(
    ("part", "words"),
    [
        ({"pack_voltage": "396 V"}, "the pack voltage alone does"),
        ({"pack_resistance": "0.1 ohm"}, "the pack resistance alone does"),
        ({"pack_voltage_min": "300 V"}, "the minimum pack voltage alone does"),
        ({"pack_current_max": "300 A"}, "the maximum pack current alone does"),
        (
            {"pack_voltage": "396 V", "pack_current_max": "300 A"},
            "the pack voltage and maximum pack current alone do",
        ),
    ],
)
def test_a_battery_known_in_part_does_not_limit_and_that_is_said(part, words):
    answer = launch.find("time_to_speed", **START, **part)
    assert answer.si == pytest.approx(seconds(150e3), rel=1e-12)
    note = f"The battery’s limit is left out: {words} not make it."
    assert note in answer.notes
    assert note in answer.working.text
    assert not any("battery" in one for one in launch.find("time_to_speed", **START).notes)


def test_a_battery_known_in_full_does_limit():
    full = {"pack_voltage": "396 V", "pack_resistance": "0.1 ohm", "pack_current_max": "300 A"}
    answer = launch.find("time_to_speed", **START, **full)
    assert answer.si == pytest.approx(seconds((396 - 30) * 300), rel=1e-12)
    assert not any("left out" in one for one in answer.notes)


@pytest.mark.parametrize(
    "cells",
    [
        {"cells_in_series": 108, "cell_voltage": "3.67 V"},
        {"cells_in_series": 108, "cell_voltage_min": "2.5 V"},
        {"cell_voltage_min": "2.5 V"},
    ],
)
def test_a_sheet_that_knows_some_of_its_pack_still_starts(cells):
    text = '[vehicle]\nname = "T"\n'
    for name, value in (START | cells).items():
        if name != "target_speed":
            shown = f'"{value}"' if isinstance(value, str) else value
            text += f'[values.{name}]\nvalue = {shown}\norigin = "quoted"\n'
    verdict = Sheet.parse(text).judge(Claim("time_to_speed", "7 s", target_speed="60 mph"))
    assert verdict.finding.si == pytest.approx(seconds(150e3), rel=1e-12)
    told = "The battery’s limit is left out" in verdict.sentence
    assert told == ("cells_in_series" in cells)  # one cell's voltage alone makes nothing of a pack


def test_arrays():
    masses = np.array([1000.0, 1500.0, 2000.0])
    times = launch.find("power_bound_time", wheel_power="100 kW", mass=masses, target_speed=27.0)
    assert times.si == pytest.approx(masses * 27.0**2 / 2e5)


@pytest.mark.parametrize("friction", [0.05, 0.3, 0.9, 1.6])
@pytest.mark.parametrize("rear", [0.1, 0.2, 0.5, 0.9])
def test_all_wheels_slip_or_two_of_them_lift(friction, rear):
    """Moments about the axles: an axle is without load at g · share · wheelbase over height."""
    known = {"rear_weight_share": rear, "wheelbase": "1.2 m", "centre_of_gravity_height": "1.1 m"}
    braking = topic_called("braking")
    stops = braking.find("all_wheel_braking_deceleration", friction=friction, **known)
    assert stops.si == pytest.approx(9.80665 * min(friction, rear * 1.2 / 1.1))
    assert any("rear wheels lift" in one for one in stops.notes) == (friction > rear * 1.2 / 1.1)
    turning = 1.07
    starts = launch.find(
        "all_wheel_drive_acceleration", friction=friction, rotating_mass_factor=turning, **known
    )
    lifts = (1 - rear) * 1.2 / 1.1
    assert starts.si == pytest.approx(9.80665 * min(friction / turning, lifts))
    assert any("front wheels lift" in one for one in starts.notes) == (friction / turning > lifts)
    assert not any("no part" in one for one in (*stops.notes, *starts.notes))


def test_where_the_axles_are_not_known_all_wheels_only_slip():
    braking = topic_called("braking")
    for topic, name in (
        (braking, "all_wheel_braking_deceleration"),
        (launch, "all_wheel_drive_acceleration"),
    ):
        assert topic.find(name, friction=0.9).si == pytest.approx(0.9 * 9.80665)
        assert topic.find("friction", **{name: 4.0}).si == pytest.approx(4.0 / 9.80665)
    known = {"tipping_deceleration": 3.0, "friction": 0.9}
    assert braking.find("all_wheel_braking_deceleration", **known).si == 3.0
    with pytest.raises(TooLittleKnownError):
        braking.find("tipping_deceleration", rear_weight_share=0.4)


AXLES = {"rear_weight_share": 0.62, "wheelbase": "1.9 m", "centre_of_gravity_height": "0.95 m"}


@pytest.mark.parametrize(
    ("topic", "wanted", "share", "given"),
    [
        (launch, "rear_drive_acceleration", 0.38, {}),
        (launch, "all_wheel_drive_acceleration", 0.38, {}),
        (braking, "front_braking_deceleration", 0.3, {"rear_weight_share": 0.3}),
        (braking, "all_wheel_braking_deceleration", 0.3, {"rear_weight_share": 0.3}),
    ],
)
def test_where_wheels_lift_it_is_said_at_what(topic, wanted, share, given):
    """Moments about the axle that stays: g times the share on the other one, over height by wheelbase."""
    friction = 1.4
    answer = topic.find(wanted, friction=friction, **{**AXLES, **given})
    lifts = share * 9.80665 * 1.9 / 0.95
    said = next(one for one in answer.notes if "wheels lift" in one)
    kind = "an acceleration" if topic is launch else "a deceleration"
    assert f"at {kind} of {lifts:.3f} m/s²" in said
    assert answer.si == pytest.approx(lifts)
    assert "{" not in said
    # The same in the browser: its program holds the value as a tree, with its unit.
    program = json.dumps(
        topic.board(wanted=wanted, friction=friction, **{**AXLES, **given}).program
    )
    assert '"label": "m/s\\u00b2"' in program
    assert "of {at}: more friction" in program


def test_wheels_that_no_friction_lets_slip_lift_at_what_is_said():
    with pytest.raises(NoSolutionError, match="lift before the driven tyres slip") as said:
        launch.find(
            "traction_acceleration", friction=1.4, driven_weight_share=0.62, load_transfer=0.5
        )
    assert f"at an acceleration of {0.38 * 9.80665 / 0.5:.3f} m/s²" in str(said.value)


@pytest.mark.parametrize("over", [0.9, 0.999, 1.02, 1.5, 4.0])
@pytest.mark.parametrize("friction", [0.3, 0.9, 1.4])
def test_no_mean_acceleration_is_above_what_the_tyres_hold(friction, over):
    share, speed = 0.6, 27.0
    most = friction * share * 9.80665  # Coulomb's law, without load transfer
    known = {"friction": friction, "driven_weight_share": share, "target_speed": speed}
    for wanted, more in (
        ("time_to_speed", {"mean_acceleration": most * over}),
        ("mean_acceleration", {"time_to_speed": speed / (most * over)}),
    ):
        if over < 1:
            assert launch.find(wanted, **known, **more).si > 0
        else:
            with pytest.raises(
                TooMuchKnownError, match="friction and driven weight share allow no more than"
            ):
                launch.find(wanted, **known, **more)


def test_what_no_order_of_steps_finds_is_no_reason_to_fail_in_a_refusal():
    # Asked for the time, the refusal looks for what would have to change, and not all of that can be found.
    known = {
        "friction": 0.9,
        "driven_weight_share": 0.55,
        "mass": "1500 kg",
        "sprint_distance": "400 m",
    }
    with pytest.raises(NoSolutionError, match="the speed after this distance is"):
        launch.find("time_over_distance", exit_speed="300 km/h", **known)
    network = launch.network
    others = ("exit_speed", "friction", "mass", "sprint_distance", "time_over_distance")
    assert network.plan_if_any("driven_weight_share", others) is None
    with pytest.raises(ChalkwattError, match="solved together"):
        network.plan("driven_weight_share", others)


@pytest.mark.parametrize("torque", [40.0, 90.0, 170.0, 400.0])
@pytest.mark.parametrize("speed", [5.0, 20.0, 35.0])
def test_a_start_is_limited_by_torque_where_that_is_less_than_the_tyres_hold(torque, speed):
    mass, factor, gear, radius, power, share, friction = 1540.0, 1.04, 9.1, 0.315, 86e3, 0.56, 0.85
    known = {
        "mass": mass,
        "rotating_mass_factor": factor,
        "motor_power": power,
        "drive_efficiency": 1.0,
        "friction": friction,
        "driven_weight_share": share,
        "motor_torque": torque,
        "gear_ratio": gear,
        "wheel_radius": radius,
        "target_speed": speed,
    }
    # Stepped in time: the force is the least of what tyres hold, torque gives and power makes of the speed.
    held, turned = friction * share * mass * 9.80665, torque * gear / radius
    v = np.linspace(0.0, speed, 400_001)
    middle = (v[1:] + v[:-1]) / 2
    force = np.minimum(min(held, turned), power / middle)
    steps = np.diff(v) * factor * mass / force
    made = launch.find("time_to_speed", **known)
    assert made.si == pytest.approx(float(steps.sum()), rel=1e-6)
    assert launch.find("distance_to_speed", **known).si == pytest.approx(
        float((steps * middle).sum()), rel=1e-6
    )
    all_the_way = speed <= power / min(held, turned)
    who = "tyres limit" if held <= turned else "motor’s torque limits"
    assert any(f"{who} the start all the way" in one for one in made.notes) == all_the_way
    if turned < held:
        back = {name: one for name, one in known.items() if name != "motor_torque"}
        found = launch.find("motor_torque", time_to_speed=made.si, **back).solutions_si
        assert min(abs(one - torque) for one in found) < 1e-6 * torque


def tyres(pick):
    """A start that the tyres limit, and at most what acceleration, by hand."""
    friction, share, factor = pick.uniform(0.4, 1.0), pick.uniform(0.4, 0.7), pick.uniform(1.0, 1.1)
    known = {"mass": pick.uniform(700, 2500), "friction": friction, "driven_weight_share": share}
    return known | {"rotating_mass_factor": factor}, friction * share * 9.80665 / factor


@pytest.mark.parametrize("seed", range(5))
@pytest.mark.parametrize(
    "wanted", ["motor_power", "wheel_power", "mass", "drive_efficiency", "exit_speed", "time_over_distance"]
)  # fmt: skip
@pytest.mark.parametrize(
    ("result", "road"),
    [
        ("exit_speed", "sprint_distance"),
        ("time_over_distance", "sprint_distance"),
        ("time_to_speed", "target_speed"),
        ("distance_to_speed", "target_speed"),
    ],
)
def test_what_no_power_reaches_is_said_to_be_beyond_the_tyres(seed, wanted, result, road):
    """At the acceleration at which the tyres slip, all the way: by hand."""
    if wanted == result or (
        road == "target_speed" and wanted in {"exit_speed", "time_over_distance"}
    ):
        return
    pick = random.Random(seed)  # noqa: S311  points to try, no secrets
    known, most = tyres(pick)
    speed = pick.uniform(20, 50)
    distance = speed**2 / (2 * most)
    at_best = {
        "exit_speed": speed, "time_over_distance": speed / most,
        "time_to_speed": speed / most, "distance_to_speed": distance,
    }[result]  # fmt: skip
    known |= {road: distance if road == "sprint_distance" else speed}
    if wanted not in {"wheel_power", "exit_speed", "time_over_distance"}:
        known |= {"drive_efficiency": 0.9, "motor_power": 95e3}
    known.pop(wanted, None)
    beyond = 1.02 if result == "exit_speed" else 0.98
    with pytest.raises(NoSolutionError, match="tyres and torque allow") as caught:
        launch.find(wanted, **known, **{result: at_best * beyond})
    said = re.search(r"(?:takes|is) ([\d.]+) (?:s|m|m/s): no power", str(caught.value))
    assert float(said[1]) == pytest.approx(at_best, rel=1e-3)
    assert caught.value.nearest == pytest.approx(at_best, rel=1e-9)
    # Just within what they hold it is no matter of the tyres.
    if wanted == "wheel_power":
        assert launch.find(wanted, **known, **{result: at_best * (2 - beyond)}).si > 0


@pytest.mark.parametrize("result", ["exit_speed", "time_over_distance", "distance_to_speed"])
def test_no_refusal_of_a_start_is_without_its_cause(result):
    """Whatever is asked beyond the tyres: a limit that can be reached, a contradiction, or the tyres."""
    known, most = tyres(random.Random(7))  # noqa: S311  as above
    road = {"target_speed": 30.0} if result == "distance_to_speed" else {"sprint_distance": 400.0}
    beyond = {
        "exit_speed": 1.1 * (800 * most) ** 0.5,
        "time_over_distance": 0.9 * (800 / most) ** 0.5,
        "distance_to_speed": 0.9 * 450 / most,
    }[result]
    every = known | {"drive_efficiency": 0.9, "motor_power": 95e3, result: beyond}
    refused = {}
    for wanted in every:
        if wanted == result:
            continue
        rest = {one: value for one, value in every.items() if one != wanted}
        try:
            launch.find(wanted, **rest, **road)
        except ChalkwattError as error:
            refused[wanted] = str(error)
    assert {"motor_power", "mass"} <= {*refused}
    for said in refused.values():
        assert "No real" not in said
        assert "does not hold here" not in said
