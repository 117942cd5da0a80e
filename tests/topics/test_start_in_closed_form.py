"""The start in closed form on both sides of the crossover, against Newton's law integrated step by step."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad

from chalkwatt import NoSolutionError, launch

G = 9.80665
CAR = st.fixed_dictionaries(
    {
        "mass": st.floats(200.0, 8000.0),
        "motor_power": st.floats(5e3, 1.5e6),
        "drive_efficiency": st.floats(0.5, 1.0),
        "friction": st.floats(0.1, 1.5),
        "driven_weight_share": st.floats(0.3, 1.0),
        "rotating_mass_factor": st.floats(1.0, 1.2),
        "load_transfer": st.floats(-0.3, 0.3),
    }
).filter(
    # Where the other wheels lift first there is no start at the tyres' limit: tests/independent.
    lambda car: (
        car["friction"] * car["driven_weight_share"] * car["load_transfer"]
        <= (1 - car["driven_weight_share"])
        * (car["rotating_mass_factor"] - car["friction"] * car["load_transfer"])
    )
)
SPEED = st.floats(1.0, 90.0)


def limits(car):
    """Acceleration that the tyres hold, and power over mass."""
    grip = car["friction"] * car["driven_weight_share"] * G
    grip /= car["rotating_mass_factor"] - car["friction"] * car["load_transfer"]
    power = car["drive_efficiency"] * car["motor_power"]
    return grip, power / car["mass"] / car["rotating_mass_factor"]


def integrated(car, speed):
    """Time and distance to a speed: ∫ dv / a and ∫ v dv / a, where a is the lower of the two limits."""
    grip, drive = limits(car)
    cut = [min(drive / grip, speed)]
    time, _ = quad(lambda v: 1 / min(grip, drive / v), 0, speed, points=cut, epsabs=0, epsrel=1e-12)
    way, _ = quad(lambda v: v / min(grip, drive / v), 0, speed, points=cut, epsabs=0, epsrel=1e-12)
    return time, way


@given(CAR, SPEED)
def test_time_and_distance_to_a_speed(car, speed):
    time, way = integrated(car, speed)
    assert launch.find("time_to_speed", target_speed=speed, **car).si == pytest.approx(time, 1e-9)
    found = launch.find("distance_to_speed", target_speed=speed, **car).si
    assert found == pytest.approx(way, rel=1e-9)


@given(CAR, SPEED)
def test_the_way_back(car, speed):
    time, way = integrated(car, speed)
    assert launch.find("target_speed", time_to_speed=time, **car).si == pytest.approx(speed, 1e-8)
    after = launch.find("exit_speed", sprint_distance=way, **car).si
    assert after == pytest.approx(speed, rel=1e-8)
    assert launch.find("time_over_distance", sprint_distance=way, **car).si == pytest.approx(
        time, rel=1e-8
    )


@given(CAR, SPEED)
def test_more_power_helps_until_the_tyres_hold_no_more_and_that_is_said(car, speed):
    grip, drive = limits(car)
    if abs(drive / grip / speed - 1) < 1e-6:
        return
    answer = launch.find("time_to_speed", target_speed=speed, **car)
    held = drive / grip > speed
    assert ("more power no longer helps" in " ".join(answer.notes)) == held
    more = launch.find("time_to_speed", target_speed=speed, **car | {"motor_power": 2e6}).si
    if held:
        assert more == pytest.approx(answer.si, rel=1e-9)
    elif car["motor_power"] < 1.9e6:
        assert more < answer.si


@given(CAR, st.floats(1.001, 5.0), SPEED)
def test_the_power_for_a_time(car, slower, speed):
    grip, _ = limits(car)
    time = speed / grip * slower
    others = {name: value for name, value in car.items() if name != "motor_power"}
    found = launch.find("motor_power", time_to_speed=time, target_speed=speed, **others)
    assert len(found.solutions_si) == 1
    again, _ = integrated(others | {"motor_power": found.si}, speed)
    assert again == pytest.approx(time, rel=1e-7)


def test_no_power_beats_the_tyres():
    with pytest.raises(NoSolutionError, match="tyres and torque allow") as caught:
        launch.find(
            "motor_power",
            time_to_speed="2 s",
            target_speed="100 km/h",
            mass=1300,
            drive_efficiency=0.9,
            friction=0.9,
            driven_weight_share=0.6,
        )
    assert caught.value.nearest == pytest.approx(100 / 3.6 / (0.9 * 0.6 * G), rel=1e-6)


def test_the_power_for_a_quarter_mile():
    car = {"mass": 1500, "drive_efficiency": 0.9, "friction": 0.95, "driven_weight_share": 0.6}
    there = launch.find(
        "time_over_distance", sprint_distance="402.336 m", motor_power="150 kW", **car
    ).si
    back = launch.find("motor_power", sprint_distance="402.336 m", time_over_distance=there, **car)
    assert back.to("kW") == pytest.approx(150, rel=1e-7)


ROUND = [(wheel, motor) for motor in (20, 37, 75, 110, 150, 300) for wheel in range(5, motor, 3)]


@pytest.mark.parametrize(("wheel", "motor"), ROUND)
def test_no_round_pair_falls_into_a_hole(wheel, motor):
    found = launch.find("drive_efficiency", wheel_power=f"{wheel} kW", motor_power=f"{motor} kW")
    assert found.si == pytest.approx(wheel / motor, rel=1e-12)


def test_no_element_of_an_array_falls_into_a_hole():
    wheel = np.arange(1.0, 75.0) * 1e3
    found = launch.find("drive_efficiency", wheel_power=wheel, motor_power=75e3).si
    np.testing.assert_allclose(found, wheel / 75e3, rtol=1e-12)


@given(
    st.floats(0.5, 9.0),
    st.floats(0.35, 0.7),
    st.floats(1.6, 3.2),
    st.floats(0.3, 0.9),
)
def test_a_pole_is_no_friction(acceleration, rear, base, height):
    """Friction, solved by hand: a (1 − μ h/L) = μ b g, as long as the front wheels stay down."""
    known = {
        "rear_drive_acceleration": acceleration,
        "rear_weight_share": rear,
        "wheelbase": base,
        "centre_of_gravity_height": height,
    }
    lifting = (1 - rear) * G * base / height
    friction = acceleration / (rear * G + acceleration * height / base)
    if acceleration > lifting:
        with pytest.raises(NoSolutionError):
            launch.find("friction", **known)
    elif acceleration < lifting * (1 - 1e-6):
        answer = launch.find("friction", **known)
        assert len(answer.solutions_si) == 1
        assert answer.si == pytest.approx(friction, rel=1e-9)
    assert not math.isclose(friction, base / height)
