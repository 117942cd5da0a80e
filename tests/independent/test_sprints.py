"""A start over a distance and to a speed, tyres first and power later, stepped in time."""

import pytest
from scipy.integrate import solve_ivp

from chalkwatt import launch
from tests.independent import chances, near


def stepped(mass, grip, power, until):
    """From rest until `until(place, speed)` passes nought; stepped along the tyres first, then along the power.

    Returns time, place and speed, and the speed at which the tyres ceased to be the limit.
    """

    def of_tyres(_, state):
        return [state[1], grip / mass]

    def of_power(_, state):
        return [state[1], power / state[1] / mass]

    def finished(_, state):
        return until(*state)

    def power_is_less(_, state):
        return grip * state[1] - power

    finished.terminal = power_is_less.terminal = True
    exact = {"rtol": 1e-11, "atol": 1e-11}
    first = solve_ivp(of_tyres, (0, 1e5), [0.0, 0.0], events=[finished, power_is_less], **exact)
    time, (place, speed) = first.t[-1], first.y[:, -1]
    tyres_up_to = speed
    if not len(first.t_events[0]):
        then = solve_ivp(of_power, (time, 1e5), [place, speed], events=[finished], **exact)
        assert len(then.t_events[0])
        time, (place, speed) = then.t[-1], then.y[:, -1]
    return float(time), float(place), float(speed), float(tyres_up_to)


def start(chance):
    mass, grip = 10 ** chance.uniform(2, 4.5), chance.uniform(0.5, 15)
    return {
        "effective_mass": mass,
        "traction_acceleration": grip,
        "wheel_power": mass * 10 ** chance.uniform(0.3, 3),
    }


@pytest.mark.parametrize("chance", chances("over a distance", 24))
def test_a_sprint_with_both_limits(chance):
    known = start(chance)
    mass = known["effective_mass"]
    meets = known["wheel_power"] / (mass * known["traction_acceleration"])
    # From well inside the first stretch to far beyond it.
    inside = meets**2 / (2 * known["traction_acceleration"])
    length = inside * 10 ** chance.uniform(-1, 2)
    time, _, speed, tyres = stepped(
        mass,
        known["traction_acceleration"] * mass,
        known["wheel_power"],
        lambda place, _: place - length,
    )
    known["sprint_distance"] = length
    near(launch.find("time_over_distance", **known), time, rel=1e-7)
    near(launch.find("exit_speed", **known), speed, rel=1e-7)
    near(launch.find("tyre_limited_sprint_speed", **known), tyres, rel=1e-7)


@pytest.mark.parametrize("chance", chances("to a speed", 16))
def test_a_start_with_both_limits(chance):
    known = start(chance)
    mass = known["effective_mass"]
    meets = known["wheel_power"] / (mass * known["traction_acceleration"])
    target = min(meets * 10 ** chance.uniform(-0.7, 1), 330.0)  # below the bound of a speed
    time, place, _, tyres = stepped(
        mass,
        known["traction_acceleration"] * mass,
        known["wheel_power"],
        lambda _, speed: speed - target,
    )
    known["target_speed"] = target
    near(launch.find("time_to_speed", **known), time, rel=1e-7)
    near(launch.find("distance_to_speed", **known), place, rel=1e-7)
    near(launch.find("tyre_limited_speed", **known), tyres, rel=1e-7)
    # And back: from time or distance to the power.
    if target > 1.1 * meets:
        power = known.pop("wheel_power")
        near(launch.find("wheel_power", time_to_speed=time, **known), power, rel=1e-5)
        near(launch.find("wheel_power", distance_to_speed=place, **known), power, rel=1e-5)
