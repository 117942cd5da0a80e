"""Starts and stops by statics solved as linear equations and by motion stepped in time."""

import math

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

from chalkwatt import braking, launch, stops
from chalkwatt.errors import NoSolutionError
from tests.independent import chances, near

G = 9.80665


def two_axles(chance):
    return {
        "wheelbase": chance.uniform(1.5, 3.0),
        "centre_of_gravity_height": chance.uniform(0.35, 0.7),
        "rear_weight_share": chance.uniform(0.35, 0.65),
    }


def axle_loads(axles, push, mass=1000.0):
    """Loads of front and rear axle while a force pushes the vehicle, by moments about both axles.

    Unknown are both loads: forces up add to the weight; about the point below the centre of gravity
    the loads' moments balance that of the force along the road at the height of the centre.
    """
    base, height = axles["wheelbase"], axles["centre_of_gravity_height"]
    to_front = axles["rear_weight_share"] * base  # where the centre stands, behind the front axle
    to_rear = base - to_front
    matrix = [[1, 1], [to_front, -to_rear]]
    front, rear = np.linalg.solve(matrix, [mass * G, -push * height])
    return float(front), float(rear)


def limit(axles, friction, which, *, brakes=False, turning=1.0, mass=1000.0):
    """Greatest gain or loss of speed, by trial: where driven tyres slip or an axle lifts."""
    sign = -1 if brakes else 1

    def holds(gain):
        # The tyres also spin up what turns; weight moves with the force that moves the mass.
        front, rear = axle_loads(axles, sign * mass * gain, mass)
        driven = {"front": front, "rear": rear, "all": front + rear}[which]
        return min(front, rear) >= 0 and turning * mass * gain <= friction * driven

    high = next(gain for gain in np.arange(0, 60, 0.01) if not holds(gain))
    low = high - 0.01
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if holds(middle) else (low, middle)
    return float(low)


@pytest.mark.parametrize("chance", chances("axles", 4))
def test_load_transfer_of_a_start(chance):
    axles = two_axles(chance)
    friction, turning = chance.uniform(0.5, 1.0), chance.uniform(1.0, 1.1)
    known = {**axles, "friction": friction, "rotating_mass_factor": turning}
    for which, name in (("rear", "rear_drive_acceleration"), ("front", "front_drive_acceleration")):
        near(launch.find(name, **known), limit(axles, friction, which, turning=turning), rel=1e-9)
    level = limit(axles | {"centre_of_gravity_height": 1e-9}, friction, "all", turning=turning)
    near(
        launch.find(
            "all_wheel_drive_acceleration", friction=friction, rotating_mass_factor=turning
        ),
        level,
        rel=1e-9,
    )
    # The general form: load moves on to the driven axle by height over wheelbase, off it if in front.
    lean = axles["centre_of_gravity_height"] / axles["wheelbase"]
    for which, share, moved in (
        ("rear", axles["rear_weight_share"], lean),
        ("front", 1 - axles["rear_weight_share"], -lean),
    ):
        made = launch.find(
            "traction_acceleration",
            friction=friction,
            driven_weight_share=share,
            load_transfer=moved,
            rotating_mass_factor=turning,
        )
        near(made, limit(axles, friction, which, turning=turning), rel=1e-9)
        gain = 2.7
        front, rear = axle_loads(axles, 1000.0 * gain)
        held = launch.find(
            "traction_force",
            friction=friction,
            driven_weight_share=share,
            load_transfer=moved,
            mass=1000.0,
            acceleration=gain,
        )
        near(held, friction * {"front": front, "rear": rear}[which])


@pytest.mark.parametrize("chance", chances("leaning axles", 8))
def test_what_the_tyres_hold_on_a_slope(chance):
    """Forces and moments about both contacts of a rigid vehicle on a lean, solved as they stand."""
    axles, mass = two_axles(chance), chance.uniform(300, 2500)
    length, height = axles["wheelbase"], axles["centre_of_gravity_height"]
    before = (
        axles["rear_weight_share"] * length
    )  # from the front axle back to the centre of gravity
    lean, gain = chance.uniform(-0.35, 0.35), chance.uniform(-2, 4)
    along = mass * (gain + G * math.sin(lean))  # what the wheels push: drag left out
    front, rear = np.linalg.solve(
        [[1.0, 1.0], [0.0, length]],
        [mass * G * math.cos(lean), mass * G * math.cos(lean) * before + along * height],
    )
    friction = chance.uniform(0.3, 1.1)
    for held, share, moved in (
        (rear, axles["rear_weight_share"], height / length),
        (front, 1 - axles["rear_weight_share"], -height / length),
    ):
        known = {"friction": friction, "driven_weight_share": share, "load_transfer": moved}
        if held > 0:
            near(
                launch.find(
                    "traction_force", mass=mass, acceleration=gain, grade=math.tan(lean), **known
                ),
                friction * held,
            )


def test_front_wheels_that_lift():
    """A short, tall vehicle on sticky tyres: the start ends where the front axle carries nothing."""
    axles = {"wheelbase": 1.3, "centre_of_gravity_height": 0.7, "rear_weight_share": 0.6}
    lifts = brentq(lambda gain: axle_loads(axles, 1000.0 * gain)[0], 0, 40)
    near(launch.find("lifting_acceleration", **axles), lifts)
    made = launch.find("rear_drive_acceleration", friction=1.5, **axles)
    near(made, lifts)
    assert limit(axles, 1.5, "rear") == pytest.approx(lifts, rel=1e-9)


@pytest.mark.parametrize("chance", chances("brakes", 4))
def test_load_transfer_of_brakes(chance):
    axles = two_axles(chance)
    friction = chance.uniform(0.3, 0.9)
    known = {**axles, "friction": friction}
    for which, name in (
        ("front", "front_braking_deceleration"),
        ("rear", "rear_braking_deceleration"),
        ("all", "all_wheel_braking_deceleration"),
    ):
        near(braking.find(name, **known), limit(axles, friction, which, brakes=True), rel=1e-9)


def test_rear_wheels_that_lift():
    axles = {"wheelbase": 1.3, "centre_of_gravity_height": 0.75, "rear_weight_share": 0.42}
    lifts = brentq(lambda loss: axle_loads(axles, -1000.0 * loss)[1], 0, 40)
    near(braking.find("tipping_deceleration", **axles), lifts)
    near(braking.find("front_braking_deceleration", friction=1.2, **axles), lifts)
    assert limit(axles, 1.2, "front", brakes=True) == pytest.approx(lifts, rel=1e-9)


def run(force, mass, ends, most=400.0):
    """Step speed and place from rest until `ends(time, state)` passes nought."""
    ends.terminal = True
    made = solve_ivp(
        lambda _, state: [state[1], force(state[1]) / mass],
        (0, most),
        [0.0, 1e-9],
        events=ends,
        rtol=1e-10,
        atol=1e-10,
    )
    return float(made.t[-1]), float(made.y[0, -1]), float(made.y[1, -1])


@pytest.mark.parametrize("chance", chances("start", 4))
def test_a_start_in_time(chance):
    """Tyres first, then power; the closed form against motion stepped in time."""
    mass, turning = chance.uniform(600, 2000), chance.uniform(1.0, 1.08)
    friction, share = chance.uniform(0.7, 1.1), chance.uniform(0.4, 0.7)
    motor, efficiency = chance.uniform(40e3, 120e3), chance.uniform(0.8, 0.95)
    inertia = turning * mass
    grip, power = friction * share * mass * G, motor * efficiency
    target = 1.3 * power / grip + 5.0
    known = {
        "mass": mass,
        "rotating_mass_factor": turning,
        "friction": friction,
        "driven_weight_share": share,
        "motor_power": motor,
        "drive_efficiency": efficiency,
        "target_speed": target,
    }
    time, *_ = run(lambda v: min(grip, power / v), inertia, lambda _, s: s[1] - target)
    near(launch.find("time_to_speed", **known), time, rel=1e-6)
    near(launch.find("mean_acceleration", **known), target / time, rel=1e-6)
    near(launch.find("effective_mass", **known), inertia)
    near(launch.find("wheel_power", **known), power)
    # Where the two limits meet: the speed at which a scan of both finds them alike.
    meets = brentq(lambda v: grip - power / v, 1e-3, 500)
    near(launch.find("crossover_speed", **known), meets)
    alone, *_ = run(lambda v: power / v, inertia, lambda _, s: s[1] - target)
    near(launch.find("power_bound_time", **known), alone, rel=1e-5)
    best, *_ = run(lambda _: friction * mass * G, mass, lambda _, s: s[1] - target)
    near(launch.find("friction_bound_time", friction=friction, target_speed=target), best, rel=1e-6)


@pytest.mark.parametrize("chance", chances("sprint", 3))
def test_a_sprint_in_time(chance):
    mass, power = chance.uniform(600, 2000), chance.uniform(50e3, 200e3)
    length, friction = chance.uniform(150, 900), chance.uniform(0.7, 1.1)
    known = {"effective_mass": mass, "wheel_power": power, "sprint_distance": length}
    time, _, speed = run(lambda v: power / v, mass, lambda _, s: s[0] - length)
    near(launch.find("power_time_over_distance", **known), time, rel=1e-5)
    near(launch.find("power_exit_speed", **known), speed, rel=1e-6)
    time, *_ = run(lambda _: friction * mass * G, mass, lambda _, s: s[0] - length)
    made = launch.find("friction_time_over_distance", friction=friction, sprint_distance=length)
    near(made, time, rel=1e-6)
    # What a clock that starts after the rollout does not see.
    grip = chance.uniform(3, 9)
    time, *_ = run(lambda _: grip * mass, mass, lambda _, s: s[0] - 0.3048)
    near(launch.find("rollout_time", traction_acceleration=grip), time, rel=1e-6)


def test_the_battery_may_be_the_limit():
    """The least of three, each in turn the least, times what reaches the wheels."""
    limits = {"motor_power": 90e3, "voltage_limited_power": 80e3, "current_limited_power": 70e3}
    for least in limits:
        here = limits | {least: 50e3}
        near(launch.find("wheel_power", drive_efficiency=0.9, **here), 45e3)
    for least, names in limits.items():
        alone = launch.find("wheel_power", drive_efficiency=0.9, **{least: names})
        near(alone, 0.9 * names)


@pytest.mark.parametrize("chance", chances("pull", 3))
def test_pull_at_a_speed(chance):
    """Torque by virtual work: in one turn of the wheel the motor turns as often as the gears say."""
    torque, gears, radius = (
        chance.uniform(80, 400),
        chance.uniform(5, 12),
        chance.uniform(0.25, 0.4),
    )
    work = torque * 2 * math.pi * gears
    force = work / (2 * math.pi * radius)
    made = launch.find("torque_force", motor_torque=torque, gear_ratio=gears, wheel_radius=radius)
    near(made, force)
    mass, speed, road = 1100.0, chance.uniform(8, 30), chance.uniform(100, 900)
    grip = chance.uniform(3000, 9000)
    power = chance.uniform(20e3, 150e3)
    known = {"mass": mass, "rotating_mass_factor": 1.05, "road_force": road, "speed": speed}
    for least in ("grip", "torque", "power"):
        pulls = {"grip": grip, "torque": force, "power": power / speed} | {least: 900.0}
        here = {
            "traction_force": pulls["grip"],
            "torque_force": pulls["torque"],
            "wheel_power": pulls["power"] * speed,
        }
        near(launch.find("drive_force", speed=speed, **here), 900.0)
        # Gain of speed in a hundredth of a second.
        momentum = (900.0 - road) * 0.01
        near(launch.find("acceleration", **here, **known), momentum / (1.05 * mass) / 0.01)


@pytest.mark.parametrize("chance", chances("top", 3))
def test_top_speed_by_bisection(chance):
    mass, rolling, area = (
        chance.uniform(500, 2000),
        chance.uniform(0.007, 0.015),
        chance.uniform(0.25, 0.8),
    )
    density, power = chance.uniform(1.0, 1.3), chance.uniform(20e3, 200e3)
    low, high = 0.0, 300.0
    for _ in range(200):
        middle = (low + high) / 2
        needs = middle * (mass * G * rolling + density * area * middle * middle / 2)
        low, high = (middle, high) if needs < power else (low, middle)
    made = launch.find(
        "top_speed",
        mass=mass,
        rolling_coefficient=rolling,
        drag_area=area,
        air_density=density,
        wheel_power=power,
    )
    near(made, low)


@pytest.mark.parametrize("chance", chances("slow", 4))
def test_braking_in_time(chance):
    """Loss of speed stepped in time; heat of the brakes from force times way."""
    speed, end, mass = chance.uniform(15, 40), chance.uniform(0, 12), chance.uniform(500, 2000)
    brakes, road, turning = chance.uniform(1000, 9000), chance.uniform(-300, 800), 1.06
    slowing = (brakes + road) / (turning * mass)
    steps, v, way, time, heat = 200_000, speed, 0.0, 0.0, 0.0
    step = (speed - end) / slowing / steps
    for _ in range(steps):
        metres = (v - slowing * step / 2) * step
        v -= slowing * step
        way += metres
        time += step
        heat += brakes * metres
    assert v == pytest.approx(end, abs=1e-9)
    known = {
        "speed": speed,
        "end_speed": end,
        "mass": mass,
        "rotating_mass_factor": turning,
        "road_force": road,
    }
    forced = known | {"brake_force": brakes}
    near(braking.find("deceleration", **forced), slowing)
    near(braking.find("braking_distance", **forced), way, rel=1e-8)
    near(braking.find("braking_time", **forced), time, rel=1e-8)
    near(
        braking.find("stopping_distance", reaction_time=1.3, **forced), way + 1.3 * speed, rel=1e-8
    )
    near(braking.find("stopping_distance", **forced), way + speed, rel=1e-8)
    near(braking.find("braking_energy", braking_distance=way, **known), heat, rel=1e-7)
    made = braking.find("recovered_energy", recovery_efficiency=0.6, braking_distance=way, **known)
    near(made, 0.6 * heat, rel=1e-7)
    # Nothing said of recovery: friction brakes, and nothing comes back.
    near(braking.find("recovered_energy", braking_distance=way, **known), 0.0)
    # Energy of motion: the work of a force of one newton per kilogram that stops it, by trapezoids.
    ways = np.linspace(0, speed**2 / 2, 1001)
    work = turning * mass * float(np.trapezoid(np.ones_like(ways), ways))
    near(braking.find("kinetic_energy", speed=speed, mass=mass, rotating_mass_factor=turning), work)
    near(
        braking.find("coasting_height", speed=speed, mass=mass, rotating_mass_factor=turning),
        work / (mass * G),
    )


@pytest.mark.parametrize("chance", chances("trapezium", 4))
def test_a_run_from_stop_to_stop_in_time(chance):
    gain, loss, peak = chance.uniform(0.6, 2), chance.uniform(0.8, 2.5), chance.uniform(9, 20)
    steady, stand = chance.uniform(5, 60), chance.uniform(5, 40)
    mass, turning, rolling = chance.uniform(500, 1500), 1.05, chance.uniform(0.006, 0.012)
    area, density, grade = chance.uniform(0.2, 0.7), 1.2, chance.uniform(-0.01, 0.02)
    efficiency, recovery, load = 0.86, 0.55, 400.0
    lean = math.atan(grade)
    resists = mass * G * (rolling * math.cos(lean) + math.sin(lean))
    moving = peak / gain + steady + peak / loss
    steps = 60_000
    step = moving / steps
    way = wheels = brakes = most = 0.0
    for place in range(steps):
        time = (place + 0.5) * step
        if time < peak / gain:
            v, change = gain * time, gain
        elif time < peak / gain + steady:
            v, change = peak, 0.0
        else:
            v, change = loss * (moving - time), -loss
        power = (turning * mass * change + resists + density * area * v * v / 2) * v
        way += v * step
        # While it slows the brakes are on, and what resists helps them.
        wheels += power * step if change >= 0 else 0.0
        brakes -= power * step if change < 0 else 0.0
        most = max(most, power)
    known = {
        "peak_speed": peak,
        "acceleration": gain,
        "deceleration": loss,
        "stop_spacing": way,
        "standing_time": stand,
        "mass": mass,
        "rotating_mass_factor": turning,
        "rolling_coefficient": rolling,
        "drag_area": area,
        "air_density": density,
        "grade": grade,
    }
    close = 1e-3  # of sixty thousand steps
    near(stops.find("running_time", **known), moving, rel=close)
    near(stops.find("running_speed", **known), way / moving, rel=close)
    near(stops.find("schedule_speed", **known), way / (moving + stand), rel=close)
    near(stops.find("peak_wheel_power", **known), most, rel=close)
    near(stops.find("stop_wheel_energy", **known), wheels, rel=close)
    near(stops.find("stop_wheel_consumption", **known), wheels / way, rel=close)
    near(stops.find("braking_energy", **known), brakes, rel=close)
    near(
        stops.find("recovered_energy", recovery_efficiency=recovery, **known),
        recovery * brakes,
        rel=close,
    )
    whole = {
        "drive_efficiency": efficiency,
        "auxiliary_power": load,
        "recovery_efficiency": recovery,
    }
    spent = wheels / efficiency - recovery * brakes + load * (moving + stand)
    near(stops.find("consumption", **whole, **known), spent / way, rel=close)
    # Nothing said of standing and recovery: neither happens.
    for name in ("standing_time", "rotating_mass_factor"):
        known.pop(name)
    plain = stops.find("consumption", drive_efficiency=efficiency, auxiliary_power=load, **known)
    lighter = wheels - (turning - 1) * mass * peak**2 / 2
    near(plain, (lighter / efficiency + load * moving) / way, rel=close)


@pytest.mark.parametrize("chance", chances("lifting", 40))
def test_slip_or_lift_whichever_comes_first(chance):
    """The hardest that one axle can pull, by scanning what its tyres and the other axle's load allow."""
    share, friction = chance.uniform(0.2, 0.8), chance.uniform(0.2, 2.5)
    base, height = chance.uniform(0.9, 3), chance.uniform(0.3, 1.6)
    turning = chance.uniform(1.0, 1.1)

    def hardest(own, factor):
        pulls = np.linspace(0, 60, 600_001)
        load = own * G + pulls * height / base
        good = (factor * pulls <= friction * load) & (load <= G)
        assert good[0]
        return float(pulls[np.flatnonzero(~good)[0] - 1])

    known = {
        "friction": friction,
        "rear_weight_share": share,
        "wheelbase": base,
        "centre_of_gravity_height": height,
        "gravity": G,
    }
    brakes = braking.find("front_braking_deceleration", **known)
    assert brakes.si == pytest.approx(hardest(1 - share, 1.0), abs=2e-4)
    drives = launch.find("rear_drive_acceleration", rotating_mass_factor=turning, **known)
    assert drives.si == pytest.approx(hardest(share, turning), abs=2e-4)
    for answer, lift, factor in (
        (brakes, share * G * base / height, 1.0),
        (drives, (1 - share) * G * base / height, turning),
    ):
        lifts = friction * G > factor * lift
        assert any("wheels lift before" in one for one in answer.notes) == lifts
        assert (answer.si == pytest.approx(lift, rel=1e-9)) == lifts
    slip = {
        "friction": friction,
        "driven_weight_share": share,
        "load_transfer": height / base,
        "rotating_mass_factor": turning,
        "gravity": G,
    }
    if friction * G > turning * (1 - share) * G * base / height:
        with pytest.raises(NoSolutionError, match="lift before the driven tyres slip"):
            launch.find("traction_acceleration", **slip)
    else:
        found = launch.find("traction_acceleration", **slip).si
        assert found == pytest.approx(hardest(share, turning), abs=2e-4)


@pytest.mark.parametrize("gear", [6.3, 9.1, 12.7])
@pytest.mark.parametrize("turns", [9000, 16000])
def test_a_wheel_goes_round_once_for_so_many_turns_of_the_motor(gear, turns):
    """Count an hour's turns of the wheel, and roll them off: 2π times the radius each."""
    radius = 0.318
    known = {"motor_speed_max": f"{turns} rpm", "wheel_radius": radius, "gear_ratio": gear}
    rolled = turns * 60 / gear * 2 * math.pi * radius / 3600
    assert launch.find("motor_limited_top_speed", **known).si == pytest.approx(rolled, rel=1e-12)
    for wanted, value in (("gear_ratio", gear), ("wheel_radius", radius)):
        others = {name: one for name, one in known.items() if name != wanted}
        back = launch.find(wanted, motor_limited_top_speed=rolled, **others)
        assert back.si == pytest.approx(value, rel=1e-12)
