"""Textbook examples that take more than one question; the values stand in dynamics.toml.

Each step is a question to a topic; what stands here in between is the book's way from one to the next.
"""

import math

import pytest
from scipy.integrate import quad

from chalkwatt import braking, drive, launch, load, pack, stops, tyres
from tests.external import published

BOOK_HORSEPOWER = 746.0  # W, in OpenStax and in the examination question
KMH_PER_S = 1 / 3.6
NO_AIR = {"air_force": 0.0}


def each(*found):
    cases = [case for row in found for case in published("dynamics", row)]
    return pytest.mark.parametrize("case", cases, ids=lambda case: f"{case.id} {case.quantity}")


def test_drag_ratio():
    (case,) = published("dynamics", "drag-ratio")
    slow, fast = (
        load.find("air_force", speed=case.known[one], drag_area=0.6, air_density=1.2).si
        for one in ("slow", "fast")
    )
    case.check(fast / slow)


@each("traction-on-a-slope-dry", "traction-on-a-slope-ice")
def test_traction_on_a_slope(case):
    known = {name: case.known[name] for name in ("friction", "driven_weight_share", "grade_angle")}
    tyres_hold = launch.find("traction_force", **known, mass=1000.0, gravity=case.given["gravity"])
    climb = load.find(
        "grade_force",
        mass=1000.0,
        gravity=case.given["gravity"],
        grade_angle=case.known["grade_angle"],
    )
    made = launch.find(
        "acceleration", drive_force=tyres_hold.si, road_force=climb.si, effective_mass=1000.0
    )
    case.check(made.si)


TWENTY = 20 * BOOK_HORSEPOWER  # W at 15 m/s, of an engine of 25 %


@each("resistance-independent-of-speed")
def test_resistance_independent_of_speed(case):
    force = load.find("road_force", wheel_power=TWENTY, speed=15.0).si
    check_at_30(case, load.find("wheel_power", road_force=force, speed=30.0).si)


@each("resistance-in-proportion-to-speed")
def test_resistance_in_proportion_to_speed(case):
    rest = {"air_force": 0.0, "rolling_force": 0.0, "grade_force": 0.0}
    linear = load.find("coast_down_linear", wheel_power=TWENTY, speed=15.0, **rest).si
    check_at_30(case, load.find("wheel_power", coast_down_linear=linear, speed=30.0, **rest).si)


def check_at_30(case, power):
    if case.quantity == "power":
        case.check(power / BOOK_HORSEPOWER)
        return
    made = load.find(
        "consumption", wheel_power=power, speed=30.0, drive_efficiency=0.25, auxiliary_power=0.0
    )
    case.check(made.si * 10_000 / 1e6)


MOTOR = {"drive_efficiency": 0.95, "auxiliary_power": 0.0}


def current(power):
    return pack.find("pack_current", pack_power=power, terminal_voltage=12.0).si


def test_electric_car_accelerating():
    (case,) = published("dynamics", "electric-car-current-accelerating")
    wheels = launch.find(
        "wheel_power", power_bound_time=60.0, effective_mass=750.0, target_speed=25.0
    )
    case.check(current(load.find("battery_power", wheel_power=wheels.si, **MOTOR).si))


def test_electric_car_climbing_and_cruising():
    rise = math.asin(200 / (25.0 * 120))
    resists = {"mass": 750.0, "gravity": 9.80, "speed": 25.0, "rolling_force": 500.0, **NO_AIR}
    for row, angle in (
        ("electric-car-current-climbing", rise),
        ("electric-car-current-cruising", 0),
    ):
        (case,) = published("dynamics", row)
        case.check(current(load.find("battery_power", grade_angle=angle, **resists, **MOTOR).si))


def test_skid():
    (case,) = published("dynamics", "skid")
    grip = {name: case.known[name] for name in ("friction", "gravity")}
    slowing = braking.find("all_wheel_braking_deceleration", **grip).si
    made = braking.find(
        "speed", deceleration=slowing, braking_distance=case.known["braking_distance"]
    )
    case.check(made.to(case.unit))


def test_up_the_slope_that_it_rolls_down():
    (case,) = published("dynamics", "truck-up-the-slope-it-rolls-down")
    angle, mass = math.asin(1 / 40), 6000 / 9.80665
    rolling = load.find("rolling_force", road_force=0.0, mass=mass, grade_angle=-angle, **NO_AIR).si
    made = load.find(
        "wheel_power", speed=20.0, mass=mass, grade_angle=angle, rolling_force=rolling, **NO_AIR
    )
    case.check(made.to(case.unit))


def test_mean_pull_of_a_train():
    (case,) = published("dynamics", "train-mean-pull")
    gain = launch.find("mean_acceleration", target_speed=100 / 3, time_to_speed=300.0).si
    made = launch.find("drive_force", acceleration=gain, mass=1.96e6 / 9.80, road_force=19600.0)
    case.check(made.si)


BRAKED = {
    "wheelbase": "9.5 ft",
    "centre_of_gravity_height": "2 ft",
    "rear_weight_share": (9.5 - 4) / 9.5,
    "gravity": 32.2 * 0.3048,
}


@each(
    "brakes-with-load-transfer-rear-slippery",
    "brakes-with-load-transfer-all-slippery",
    "brakes-with-load-transfer-rear",
    "brakes-with-load-transfer-front",
)
def test_brakes_with_load_transfer(case):
    wheels = next(one for one in ("rear", "front", "all") if one in case.id)
    wanted = (
        f"{wheels}_wheel_braking_deceleration"
        if wheels == "all"
        else f"{wheels}_braking_deceleration"
    )
    slowing = braking.find(wanted, friction=case.given["friction"], **BRAKED).si
    case.check(braking.find("braking_distance", speed="30 mph", deceleration=slowing).to("ft"))
    # Back: the friction that this distance takes.
    again = braking.find("deceleration", speed="30 mph", braking_distance=f"{case.printed} ft").si
    found = braking.find("friction", **{wanted: again}, **BRAKED).solutions_si
    assert any(one == pytest.approx(case.given["friction"], rel=0.003) for one in found)


@each("rotating-mass-by-gear-first", "rotating-mass-by-gear-third", "rotating-mass-by-gear-top")
def test_rotating_mass_by_gear(case):
    gear, efficiency = case.given["gear_ratio"], case.given["gear_efficiency"]
    force = launch.find(
        "torque_force",
        motor_torque=f"{29.5 * efficiency!r} lbf*ft",
        gear_ratio=gear,
        wheel_radius="1 ft",
    )
    made = launch.find(
        "acceleration",
        drive_force=force.si,
        road_force=0.0,
        mass="1648 lb",
        rotating_mass_factor=1 + 4.54 * efficiency * gear**2 / 1648,
    )
    case.check(made.to("ft/s^2"))


def test_a_lower_roof():
    (case,) = published("dynamics", "lower-roof")
    low, high = (
        drive.find(
            "air_power",
            speed=30.0,
            drag_coefficient=0.3,
            frontal_area=1.8 * height,
            air_density=1.2,
        ).si
        for height in (1.55, 1.70)
    )
    case.check(1 - low / high)


def test_drag_only_coast_down():
    (case,) = published("dynamics", "drag-only-coast-down")
    slug = 14.593902937206364
    known = ("speed", "drag_coefficient", "frontal_area", "air_density")
    drag = load.compile("air_force", known=known)
    values = 1.42, 25 * 0.3048**2, 0.00238 * slug / 0.3048**3
    mile = 0.44704
    seconds, _ = quad(lambda v: (1600 / 32.2) * slug / drag(v, *values), 100 * mile, 270 * mile)
    case.check(seconds)


@each("minimum-tractive-effort")
def test_minimum_tractive_effort(case):
    drag = load.find(
        "air_force", drag_coefficient=0.35, frontal_area="22 ft^2", air_density="0.002045 slug/ft^3",
        speed="60 mph",
    ).to("lbf")  # fmt: skip
    rolling = tyres.find(
        "rolling_force", reference_rolling_coefficient=0.01, rolling_speed_growth="0.006802721088435374 s/ft",
        speed="60 mph", mass="2600 lb", air_temperature="25 °C",
    ).to("lbf")  # fmt: skip
    grade = load.find("grade_force", mass="2600 lb", grade_angle=math.asin(0.05)).to("lbf")
    forces = {"drag": drag, "rolling": rolling}
    if case.quantity in forces:
        case.check(forces[case.quantity])
        return
    made = load.find(
        "road_force",
        air_force=f"{drag!r} lbf",
        rolling_force=f"{rolling!r} lbf",
        grade_force=f"{grade!r} lbf",
    )
    case.check(made.to("lbf"))


@each("axle-loads")
def test_axle_loads(case):
    # What tyres of a friction of 1 hold is the load that they stand under.
    share = 1.05 / 1.8
    made = launch.find(
        "traction_force",
        friction=1.0,
        driven_weight_share=share if case.quantity == "rear" else 1 - share,
        mass=1800.0,
        gravity=9.8,
    )
    case.check(made.si / 2)


def test_a_better_motor():
    (case,) = published("dynamics", "motor-efficiency-saving")
    common, better = (
        drive.find("motor_input_power", shaft_power=60 * 745.7, motor_efficiency=one).to("kW")
        for one in (0.89, 0.932)
    )
    case.check(3500 * (common - better))


def test_motor_torque_on_a_grade():
    (case,) = published("dynamics", "motor-torque-on-a-grade")
    force = launch.find(
        "drive_force",
        acceleration=42 * KMH_PER_S / 20,
        rotating_mass_factor=1.1,
        mass="250 t",
        rolling_force=40.0 * 250,
        grade_angle=math.asin(1 / 80),
        gravity=9.8,
        **NO_AIR,
    ).si
    torque = launch.find(
        "motor_torque", torque_force=force / 0.92, gear_ratio=3.5, wheel_radius=0.46
    )
    case.check(torque.si / 4)


@each("start-up-a-grade")
def test_start_up_a_grade(case):
    motors = launch.find(
        "torque_force", motor_torque=4 * 8000.0, gear_ratio=3.5, wheel_radius=0.45
    ).si
    force = 0.90 * motors
    gain = launch.find(
        "acceleration",
        drive_force=force,
        rotating_mass_factor=1.1,
        mass="250 t",
        rolling_force=50.0 * 250,
        grade_angle=math.asin(0.03),
        gravity=9.8,
        **NO_AIR,
    ).si
    if case.quantity == "time":
        made = launch.find("time_to_speed", mean_acceleration=gain, target_speed="80 km/h")
        case.check(made.si)
        return
    power = load.find("wheel_power", road_force=force, speed="80 km/h").si
    drawn = load.find(
        "battery_power", wheel_power=power, drive_efficiency=0.85, auxiliary_power=0.0
    )
    case.check(pack.find("pack_current", pack_power=drawn.si, terminal_voltage=3000.0).si / 4)


def test_adhesion_limit():
    # Everything is in proportion to mass: a tonne of the whole train, then the share on the driven wheels.
    (case,) = published("dynamics", "adhesion-limit")
    tonne = {"mass": 1000.0, "gravity": 9.8}
    force = launch.find(
        "drive_force",
        acceleration=KMH_PER_S,
        rotating_mass_factor=1.1,
        rolling_force=40.0,
        grade_angle=math.asin(0.02),
        **tonne,
        **NO_AIR,
    ).si
    share = launch.find("driven_weight_share", traction_force=force, friction=0.25, **tonne).si
    case.check(500 * share / (1 - share))


def test_coefficient_of_adhesion():
    (case,) = published("dynamics", "coefficient-of-adhesion")
    train = {"mass": "610 t", "gravity": 9.81}
    force = launch.find(
        "drive_force",
        acceleration=KMH_PER_S,
        rotating_mass_factor=1.1,
        rolling_force=35.0 * 610,
        grade_angle=math.asin(0.01),
        **train,
        **NO_AIR,
    ).si
    made = launch.find(
        "friction", traction_force=force, driven_weight_share=0.8 * 110 / 610, **train
    )
    case.check(made.si)


DESCENT = {
    "rotating_mass_factor": 1.1,
    "recovery_efficiency": 0.75,
    "grade_angle": -math.asin(0.02),
    "gravity": 9.81,
    **NO_AIR,
}


@each("recovered-on-a-descent")
def test_recovered_on_a_descent(case):
    slows = {"speed": "40 km/h", "end_speed": "20 km/h", "braking_distance": "2 km"}
    energy = braking.find(
        "recovered_energy", mass="400 t", rolling_force=40.0 * 400, **slows, **DESCENT
    )
    if case.quantity == "energy":
        case.check(energy.to("kWh"))
        return
    slowing = braking.find("deceleration", **slows).si
    slows.pop("braking_distance")
    case.check(energy.si / braking.find("braking_time", deceleration=slowing, **slows).si / 1000)


def test_recovered_power_steady():
    (case,) = published("dynamics", "recovered-power-steady")
    energy = braking.find(
        "recovered_energy",
        speed="40 km/h",
        end_speed="40 km/h",
        braking_distance="1 km",
        mass="500 t",
        rolling_force=40.0 * 500,
        **DESCENT,
    ).si
    case.check(energy / load.find("driving_time", range="1 km", speed="40 km/h").si / 1000)


@each("current-up-2-per-cent")
def test_current_up_2_per_cent(case):
    train = {"mass": "120 t", "rolling_force": 19.62 * 120, "gravity": 9.81, **NO_AIR}
    slope = {"grade_angle": math.asin(0.02)}
    if case.quantity == "time":
        made = braking.find(
            "braking_time",
            speed="36 km/h",
            brake_force=0.0,
            rotating_mass_factor=1.1,
            **train,
            **slope,
        )
        case.check(made.si)
        return
    drawn = load.find(
        "battery_power",
        speed="36 km/h",
        drive_efficiency=0.88,
        auxiliary_power=0.0,
        **train,
        **slope,
    )
    case.check(pack.find("pack_current", pack_power=drawn.si, terminal_voltage=1500.0).si)


@each("drag-power-in-horsepower")
def test_drag_power_in_horsepower(case):
    known = {
        "speed": "120 km/h",
        "frontal_area": 2.6,
        "air_density": 1.2,
        "drag_coefficient": 0.30,
    }
    if case.quantity == "force":
        case.check(load.find("air_force", **known).si)
    else:
        case.check(drive.find("air_power", **known).si / BOOK_HORSEPOWER)


def test_a_stop_and_go_run_closes():
    # Energy that the wheels put in, and what is left for the brakes: the rest went into rolling.
    (_, case) = published("dynamics", "stop-and-go-energy")
    run = dict(case.known)
    brakes = stops.find("braking_energy", **run).si
    wheels = stops.find("stop_wheel_energy", **run).si
    assert wheels - brakes == pytest.approx(45.0 * 1250, rel=1e-9)
