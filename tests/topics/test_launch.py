import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from chalkwatt import launch
from chalkwatt.errors import TooLittleKnownError
from chalkwatt.relations import check_dimensions
from tests.topics.solved_back import check_each_from_all_others, check_each_swapped, point_of

ROAD = {
    "headwind": "3.1 m/s",
    "grade": 0.013,
    "altitude": "740 m",
    "air_temperature": "12 °C",
    "gravity": 9.81,
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
    start["sprint_distance"] = crossover**2 / 2 / launch.find("traction_acceleration", **start).si
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
    assert any("lifting acceleration binds" in note for note in answer.notes)


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


def test_arrays():
    masses = np.array([1000.0, 1500.0, 2000.0])
    times = launch.find("power_bound_time", wheel_power="100 kW", mass=masses, target_speed=27.0)
    assert times.si == pytest.approx(masses * 27.0**2 / 2e5)
