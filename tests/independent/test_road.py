"""The steady road by stepping a car along it, and its air by integrating the atmosphere upwards."""

import math

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from scipy.optimize import brentq, minimize_scalar

from chalkwatt import ChalkwattError, NoSolutionError, drive, launch, load, vehicle
from tests.independent import chances, near

G = 9.80665


def car(chance):
    return {
        "speed": chance.uniform(12, 45),
        "headwind": chance.uniform(-8, 9),
        "grade": chance.uniform(-0.003, 0.05),
        "air_density": chance.uniform(0.9, 1.35),
        "drag_coefficient": chance.uniform(0.15, 0.5),
        "frontal_area": chance.uniform(1.2, 3.0),
        "mass": chance.uniform(400, 2500),
        "rolling_coefficient": chance.uniform(0.006, 0.02),
        "drive_efficiency": chance.uniform(0.6, 0.95),
        "auxiliary_power": chance.uniform(50, 3000),
        "usable_energy": chance.uniform(3e7, 3e8),
    }


def forces(known, linear=0.0):
    """Forces as vectors: the air that moves towards the car, and its weight on an inclined plane."""
    lean = math.atan2(known["grade"], 1)
    along = np.array([math.cos(lean), math.sin(lean)])
    upright = np.array([-math.sin(lean), math.cos(lean)])
    weight = np.array([0.0, -known["mass"] * known.get("gravity", G)])
    air_speed = known["speed"] + known["headwind"]
    swept = known["drag_coefficient"] * known["frontal_area"] * abs(air_speed)  # m³ of air a second
    air = 0.5 * known["air_density"] * swept * air_speed
    rolling = known["rolling_coefficient"] * -float(weight @ upright)
    climb = -float(weight @ along)
    return {
        "air_force": air,
        "rolling_force": rolling,
        "grade_force": climb,
        "linear": linear * known["speed"],
    }


def stepped(known, linear=0.0, steps=1000):
    """Drive until the battery is empty, and count where its energy went."""
    force = forces(known, linear)
    total = sum(force.values())
    spent = dict.fromkeys(("air", "rolling", "auxiliary", "loss"), 0.0)
    left, distance, time = known["usable_energy"], 0.0, 0.0
    # Steps of a thousandth of the battery, counted out by metres driven.
    at_wheels = total * known["speed"]
    from_battery = at_wheels / known["drive_efficiency"] + known["auxiliary_power"]
    step = left / steps / from_battery
    for _ in range(steps):
        metres = known["speed"] * step
        work = total * metres
        taken = work / known["drive_efficiency"] + known["auxiliary_power"] * step
        spent["air"] += force["air_force"] * metres
        spent["rolling"] += force["rolling_force"] * metres
        spent["auxiliary"] += known["auxiliary_power"] * step
        spent["loss"] += work / known["drive_efficiency"] - work
        left -= taken
        distance += metres
        time += step
    assert abs(left) < 1e-6 * known["usable_energy"]
    return distance, time, spent, from_battery, at_wheels


@pytest.mark.parametrize("chance", chances("road", 4))
def test_until_the_battery_is_empty(chance):
    known = car(chance)
    distance, time, spent, from_battery, at_wheels = stepped(known)
    near(load.find("range", **known), distance)
    near(load.find("driving_time", **known), time)
    near(load.find("consumption", **known), known["usable_energy"] / distance)
    near(load.find("battery_power", **known), from_battery)
    near(load.find("wheel_power", **known), at_wheels)
    if spent["air"] > 0:
        near(load.find("air_share", **known), spent["air"] / known["usable_energy"])
    near(load.find("rolling_share", **known), spent["rolling"] / known["usable_energy"])
    near(load.find("auxiliary_share", **known), spent["auxiliary"] / known["usable_energy"])
    near(load.find("drive_loss_share", **known), spent["loss"] / known["usable_energy"])
    # Time to empty without asking for a speed, and driving time from a range.
    near(
        load.find("driving_time", usable_energy=known["usable_energy"], battery_power=from_battery),
        time,
    )
    near(load.find("driving_time", range=distance, speed=known["speed"]), time)
    near(
        load.find(
            "battery_power", consumption=known["usable_energy"] / distance, speed=known["speed"]
        ),
        from_battery,
    )


@pytest.mark.parametrize("chance", chances("forces", 4))
def test_forces(chance):
    known = car(chance)
    linear = chance.uniform(0.5, 4)
    force = forces(known, linear)
    for name in ("air_force", "rolling_force", "grade_force"):
        near(load.find(name, **known), force[name])
    near(load.find("road_force", coast_down_linear=linear, **known), sum(force.values()))
    near(load.find("grade_angle", grade=known["grade"]), math.atan2(known["grade"], 1))
    area = known["drag_coefficient"] * known["frontal_area"]
    near(load.find("drag_area", **known), area)


@pytest.mark.parametrize("wind", [-60.0, -25.0, 0.0, 12.0])
def test_a_wind_from_behind_pushes(wind):
    """Momentum of the air that the car meets: its sign is that of the speed through the air."""
    made = load.find("air_force", speed=20.0, headwind=wind, drag_area=0.5, air_density=1.2)
    through = 20.0 + wind
    near(made, math.copysign(0.5 * 1.2 * 0.5 * through**2, through))


@pytest.mark.parametrize("chance", chances("coast", 3))
def test_coast_down_form(chance):
    """The constant, linear and square parts by fitting a parabola to the force at three speeds."""
    known = car(chance) | {"headwind": 0.0}
    linear = chance.uniform(0.5, 4)
    speeds = np.array([5.0, 20.0, 40.0])
    pulls = [sum(forces(known | {"speed": one}, linear).values()) for one in speeds]
    square, slope, constant = np.polyfit(speeds, pulls, 2)
    assert slope == pytest.approx(linear, rel=1e-6)
    known.pop("speed")
    near(load.find("coast_down_constant", **known), constant, rel=1e-6)
    near(load.find("coast_down_square", **known), square, rel=1e-6)
    form = {
        "coast_down_constant": constant,
        "coast_down_linear": linear,
        "coast_down_square": square,
        "speed": 17.0,
    }
    wind = forces(known | {"speed": 17.0, "headwind": 6.0}, linear)
    near(load.find("road_force", headwind=6.0, **form), sum(wind.values()), rel=1e-6)
    behind = forces(known | {"speed": 17.0, "headwind": -31.0}, linear)
    near(load.find("road_force", headwind=-31.0, **form), sum(behind.values()), rel=1e-6)


@pytest.mark.parametrize("chance", chances("economical", 4))
def test_most_economical_speed_by_a_scan(chance):
    """Consumption at every speed; its least is where the topic says, efficiency included."""
    known = car(chance) | {"headwind": 0.0, "grade": 0.0}
    known.pop("speed")

    def consumption(speed):
        here = known | {"speed": speed}
        at_wheels = sum(forces(here).values()) * speed
        return (at_wheels / known["drive_efficiency"] + known["auxiliary_power"]) / speed

    found = minimize_scalar(
        consumption, bounds=(0.5, 80), method="bounded", options={"xatol": 1e-9}
    )
    known.pop("usable_energy")
    near(load.find("economical_speed", **known), found.x, rel=1e-5)


@pytest.mark.parametrize("name", ["air_share", "rolling_share", "drive_loss_share"])
def test_where_the_road_drives_there_are_no_shares(name):
    known = car(chances("shares", 1)[0]) | {"grade": -0.08, "headwind": 0.0}
    assert sum(forces(known).values()) < 0
    with pytest.raises(NoSolutionError, match="The road drives the vehicle here"):
        load.find(name, **known)


def shares(known):
    """The shares of drag and rolling, the power at the wheels: by hand, over arrays."""
    through, lean = known["speed"] + known["headwind"], np.arctan(known["grade"])
    air = 0.5 * known["air_density"] * known["drag_area"] * np.abs(through) * through
    rolling = known["rolling_coefficient"] * known["mass"] * G * np.cos(lean)
    wheels = (air + rolling + known["mass"] * G * np.sin(lean)) * known["speed"]
    drawn = np.maximum(wheels / known["drive_efficiency"], known["recovery_efficiency"] * wheels)
    drawn = drawn + known["auxiliary_power"]
    made = {"air_share": air * known["speed"] / drawn}
    return made | {"rolling_share": rolling * known["speed"] / drawn}, wheels


def on_any_road(chance):
    known = car(chance)
    known["drag_area"] = known.pop("drag_coefficient") * known.pop("frontal_area")
    known.pop("usable_energy")
    return known | {
        "headwind": chance.choice([0.0, chance.uniform(-30, 20)]),
        "grade": chance.choice([0.0, chance.uniform(-0.05, 0.05), chance.uniform(-0.012, 0.0)]),
        "recovery_efficiency": chance.choice([0.0, chance.uniform(0.1, 0.7)]),
    }


@pytest.mark.parametrize("name", ["air_share", "rolling_share"])
@pytest.mark.parametrize("chance", chances("shares on any road", 30))
def test_a_share_is_told_where_there_is_one_and_refused_for_what_it_is(chance, name):
    known = on_any_road(chance)
    made, wheels = shares(known)
    share = float(made[name])
    if wheels > 0 and 0 <= share <= 1:
        answer = load.find(name, **known)
        near(answer, share)
        assert not answer.notes
        return
    with pytest.raises(NoSolutionError) as caught:
        load.find(name, **known)
    if share < 0:
        assert "faster than the vehicle" in str(caught.value)
    elif wheels <= 0:
        assert "The road drives the vehicle here" in str(caught.value)
    else:
        assert "Slope or wind pays for a part of this force here" in str(caught.value)
    assert "do not go together" not in str(caught.value)


SCANS = {
    "speed": np.linspace(0.0123, 80, 200_001),
    "grade": np.linspace(-0.5012, 0.5, 200_001),
    "headwind": np.linspace(-90.0123, 90, 200_001),
    "mass": np.geomspace(1.0123, 1e5, 200_001),
    "auxiliary_power": np.linspace(1.23, 20_012.3, 200_001),
}


@pytest.mark.parametrize("name", ["air_share", "rolling_share"])
@pytest.mark.parametrize("chance", chances("shares backwards", 12))
def test_what_a_share_is_turned_back_to_is_where_the_wheels_take_power(chance, name):
    """By a scan: no note beside a result denies that there is a share."""
    known = on_any_road(chance)
    share = chance.uniform(0.02, 0.98)
    for wanted, scan in SCANS.items():
        made, wheels = shares(known | {wanted: scan})
        off = np.where(wheels > 0, made[name] - share, np.nan)
        expected = scan[:-1][off[:-1] * off[1:] < 0]
        given = {one: value for one, value in known.items() if one != wanted}
        try:
            answer = load.find(wanted, **given, **{name: share})
        except ChalkwattError:
            found = []
        else:
            assert not any("no share" in one for one in answer.notes)
            found = [one for one in answer.solutions_si if scan[0] < one < scan[-1]]
        assert len(found) == len(expected), (wanted, found, expected)
        assert found == pytest.approx(expected, rel=2e-3, abs=1e-3)


def test_a_given_share_that_only_a_driving_road_has_is_refused_in_words():
    known = {"speed": 16.7, "drag_area": 0.42, "mass": 980.0, "rolling_coefficient": 0.0085}
    known |= {"auxiliary_power": 350.0, "air_density": 1.2}
    # Half as much again as drag alone takes of the auxiliary load: no slope leaves anything to the battery.
    share = 0.5 * 1.2 * 0.42 * 10.0**3 / 300.0
    with pytest.raises(NoSolutionError, match="The road drives the vehicle here"):
        load.find("grade", **known | {"speed": 10.0}, drive_efficiency=0.86, air_share=share)


@pytest.mark.parametrize("chance", chances("economical both ways", 60))
def test_most_economical_speed_on_slopes_and_in_wind(chance):
    """The least of the consumption by a scan, on signed slopes, in signed winds, with every loss."""
    known = car(chance) | {
        "headwind": chance.choice([0.0, chance.uniform(-50, 30)]),
        "grade": chance.choice([0.0, chance.uniform(-0.06, 0.05)]),
    }
    known.pop("speed")
    known.pop("usable_energy")
    losses = {
        "coast_down_linear": chance.choice([0.0, chance.uniform(0.1, 4)]),
        "drive_idle_loss": chance.choice([0.0, chance.uniform(50, 800)]),
        "drive_square_loss": chance.choice([0.0, 10 ** chance.uniform(-6.5, -4.5)]),
        "recovery_efficiency": chance.choice([0.0, chance.uniform(0.1, 0.55)]),
    }
    speeds = np.geomspace(0.2, 200, 60_001)
    through = speeds + known["headwind"]
    lean = math.atan(known["grade"])
    pull = (
        0.5 * known["air_density"] * known["drag_coefficient"] * known["frontal_area"]
    ) * np.abs(through) * through + losses["coast_down_linear"] * speeds
    weight = known["mass"] * G
    pull += weight * (known["rolling_coefficient"] * math.cos(lean) + math.sin(lean))
    wheels = pull * speeds
    drawn = np.where(
        wheels > 0,
        wheels / known["drive_efficiency"],
        wheels * losses["recovery_efficiency"],
    )
    drawn += losses["drive_square_loss"] * wheels**2 + losses["drive_idle_loss"]
    drawn += known["auxiliary_power"]
    cost = drawn / speeds
    inner = (cost[1:-1] < cost[:-2]) & (cost[1:-1] <= cost[2:]) & (drawn[1:-1] > 0)
    hollows = sorted(zip(cost[1:-1][inner], speeds[1:-1][inner], strict=True))
    least = [one for _, one in hollows[:1] if 0.21 < one < 190]
    try:
        found = load.find("economical_speed", **known, **losses).solutions_si
    except NoSolutionError:
        found = ()
    found = [one for one in found if 0.21 < one < 190]
    assert len(found) == len(least)
    # A scan is as fine as its steps.
    assert found == pytest.approx(least, rel=3e-4)


def test_a_least_between_half_and_two_thirds_of_a_tail_wind():
    """There the consumption still has its least, although the slope of its slope is already falling."""
    known = {
        "headwind": -20.0,
        "air_density": 1.2,
        "drag_area": 0.5,
        "mass": 900.0,
        "rolling_coefficient": 0.011,
        "drive_efficiency": 0.8,
        "auxiliary_power": 860.0,
    }
    speeds = np.linspace(1, 39, 380_001)
    pull = 900 * G * 0.011 - 0.5 * 1.2 * 0.5 * np.abs(20 - speeds) * (20 - speeds)
    cost = np.maximum(pull, 0) / 0.8 + 860 / speeds
    inner = np.flatnonzero((cost[1:-1] < cost[:-2]) & (cost[1:-1] <= cost[2:])) + 1
    assert len(inner) == 2
    assert 10 < speeds[inner[0]] < 40 / 3
    # Faster than the wind it is cheaper still; but a hollow is what that load belongs to.
    near(load.find("economical_speed", **known), speeds[inner[1]], rel=1e-4)
    power = known.pop("auxiliary_power")
    near(
        load.find("auxiliary_power", economical_speed=float(speeds[inner[0]]), **known),
        power,
        rel=1e-3,
    )


def atmosphere(height):
    """Pressure and temperature by integrating dp/dz = −ρ g(z) up through a column of air."""
    earth, surface = 6_356_766.0, 9.80665
    gas = 287.05287

    def warmth(z):
        return 288.15 - 0.0065 * (earth * z / (earth + z))

    def slope(z, pressure):
        gravity = surface * (earth / (earth + z)) ** 2
        return [-pressure[0] / (gas * warmth(z)) * gravity]

    made = solve_ivp(slope, (0, height), [101_325.0], rtol=1e-11, atol=1e-6)
    return made.y[0, -1], warmth(height), gas


@pytest.mark.parametrize("height", [-400.0, 250.0, 1500.0, 4300.0, 9000.0])
def test_the_standard_atmosphere_by_integration(height):
    pressure, warmth, gas = atmosphere(height)
    near(load.find("air_pressure", altitude=height), pressure, rel=1e-8)
    near(load.find("air_temperature", altitude=height), warmth, rel=1e-9)
    near(load.find("air_density", altitude=height), pressure / (gas * warmth), rel=1e-8)
    warm = load.find("air_density", altitude=height, air_temperature="35 °C")
    near(warm, pressure / (gas * 308.15), rel=1e-8)
    # Work against gravity up to there, over the gravity at sea level.
    near(load.find("geopotential_altitude", altitude=height), lifted(height), rel=1e-9)


def lifted(height):
    steps = np.linspace(0, height, 20001)
    pulls = (6_356_766.0 / (6_356_766.0 + steps)) ** 2
    return float(np.trapezoid(pulls, steps))


def test_what_is_taken_for_granted():
    """No wind, level road, sea level, standard gravity: what a page that says nothing else means."""
    known = car(chances("granted", 1)[0])
    for name in ("headwind", "grade", "air_density"):
        known.pop(name)
    still = known | {"headwind": 0.0, "grade": 0.0, "air_density": 1.225000018}
    distance, *_ = stepped(still)
    near(load.find("range", **known), distance, rel=1e-6)


LINKS = ("battery", "inverter", "motor", "gear", "tyre")


@pytest.mark.parametrize("chance", chances("chain", 3))
def test_the_chain_link_by_link(chance):
    """A joule at a time through the links: what each passes on, and what it keeps as heat."""
    known = car(chance)
    known.pop("drive_efficiency")
    passes = {one: chance.uniform(0.85, 0.99) for one in LINKS}
    given = {f"{one}_efficiency": value for one, value in passes.items()}
    _, _, _, from_battery, at_wheels = stepped(
        known | {"drive_efficiency": math.prod(passes.values())}
    )
    at = {"driving": from_battery - known["auxiliary_power"]}
    flow = at["driving"]
    heat = {}
    for one in LINKS:
        heat[one] = flow * (1 - passes[one])
        flow -= heat[one]
        at[one] = flow
    assert flow == pytest.approx(at_wheels, rel=1e-12)
    asked = {
        "driving_power": at["driving"],
        "inverter_power": at["battery"],
        "motor_input_power": at["inverter"],
        "shaft_power": at["motor"],
        "axle_power": at["gear"],
        **{f"{one}_loss": heat[one] for one in LINKS},
        "drive_efficiency": at_wheels / at["driving"],
        "battery_power": from_battery,
    }
    for name, value in asked.items():
        near(drive.find(name, **known, **given), value)
    force = forces(known)
    linear = 1.7
    for name, value in {
        "air_power": force["air_force"] * known["speed"],
        "rolling_power": (force["rolling_force"] + linear * known["speed"]) * known["speed"],
        "climbing_power": force["grade_force"] * known["speed"],
    }.items():
        near(drive.find(name, coast_down_linear=linear, **known, **given), value)


def test_a_larger_pack_is_heavier():
    """Range by stepping the car with the pack in it."""
    known = car(chances("vehicle", 1)[0])
    pack = 83.0
    empty = known["mass"]
    distance, *_ = stepped(known | {"mass": empty + pack})
    known.pop("mass")
    near(vehicle.find("range", mass_without_pack=empty, pack_mass=pack, **known), distance)


@pytest.mark.parametrize("chance", chances("top speed", 30))
def test_the_top_speed_knows_slope_and_wind(chance):
    """Full power against the road by a bracketed search in plain numbers, the fastest balance."""
    car = {
        "motor_power": chance.uniform(2e3, 4e5),
        "drive_efficiency": chance.uniform(0.6, 1.0),
        "mass": chance.uniform(200, 3000),
        "rolling_coefficient": chance.uniform(0.004, 0.02),
        "drag_area": chance.uniform(0.1, 1.2),
        "air_density": chance.uniform(0.8, 1.4),
        "grade": chance.choice((0.0, chance.uniform(-0.05, 0.2))),
        "headwind": chance.choice((0.0, chance.uniform(-15, 15))),
        "coast_down_linear": chance.choice((0.0, chance.uniform(0, 5))),
    }
    lean = math.atan(car["grade"])
    weight = car["mass"] * 9.80665

    def short(v):
        air = v + car["headwind"]
        force = 0.5 * car["air_density"] * car["drag_area"] * abs(air) * air
        force += weight * (car["rolling_coefficient"] * math.cos(lean) + math.sin(lean))
        force += car["coast_down_linear"] * v
        return force * v - car["drive_efficiency"] * car["motor_power"]

    fastest = brentq(short, 1e-3, 1000)
    if fastest < 330:
        found = launch.find("top_speed", **car).solutions_si
        assert min(abs(one - fastest) for one in found) < 1e-8 * fastest
