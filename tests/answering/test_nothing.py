"""Questions without a number for an answer: what is said is true, names what was given, and reads as English."""

import math
import re

import numpy as np
import pytest
import sympy

import chalkwatt as cw
from chalkwatt import (
    Sheet,
    braking,
    drive,
    launch,
    load,
    pack,
    sun,
    tyres,
    vehicle,
    weather,
)
from chalkwatt.answering.nothing import _refine, _tops
from chalkwatt.answering.topic import Topic
from chalkwatt.errors import ChalkwattError, NoSolutionError, OutOfBoundsError
from chalkwatt.laws.relations import Relation, author_order
from tests.browsing import ROOT
from tests.independent import chances

ROAD = {
    "drag_area": 0.42,
    "mass": 980,
    "rolling_coefficient": 0.0085,
    "drive_efficiency": 0.86,
    "auxiliary_power": 350,
    "air_density": 1.2,
    "usable_energy": "36 kWh",
}
DEMO = Sheet.read(ROOT / "assets" / "quillwort.toml")


def wheel_power(speed, *, grade=0.0, wind=0.0, mass=980.0):
    """The road by plain floats."""
    angle = math.atan(grade)
    air = 0.6 * 0.42 * abs(speed + wind) * (speed + wind)
    return speed * (air + mass * 9.80665 * (0.0085 * math.cos(angle) + math.sin(angle)))


def asked(topic, wanted, **known):
    with pytest.raises(ChalkwattError) as caught:
        topic.find(wanted, **known)
    return caught.value


@pytest.mark.parametrize("wanted", ["range", "driving_time", "consumption"])
@pytest.mark.parametrize("topic", [load, vehicle], ids=lambda one: one.name)
@pytest.mark.parametrize(
    "drive",
    [
        {"grade": -0.02},
        {"grade": "-8 %"},
        {"headwind": "-140 km/h"},
        {"grade": -0.01, "headwind": "-100 km/h"},
        {"grade": "-8 %", "recovery_efficiency": 0.6},
    ],
)
def test_a_drive_that_drains_no_battery_is_no_contradiction(topic, wanted, drive):
    known = ROAD | {"speed": "60 km/h", "auxiliary_power": 0.0} | drive
    if wanted == "consumption":
        known.pop("usable_energy")
    grade = {"-8 %": -0.08}.get(drive.get("grade"), drive.get("grade", 0.0))
    wind = float(drive.get("headwind", "0 km/h").split()[0]) / 3.6
    assert wheel_power(60 / 3.6, grade=grade, wind=wind) < 0
    error = asked(topic, wanted, **known)
    assert isinstance(error, NoSolutionError)
    assert "not limited by the battery" in str(error)
    assert "do not go together" not in str(error)


def test_a_sheet_says_it_too():
    with pytest.raises(NoSolutionError, match="range is not limited by the battery"):
        DEMO.find("range", speed="60 km/h", grade=-0.05, auxiliary_power=0)


@pytest.mark.parametrize(
    ("wanted", "known"),
    [
        ("range", ROAD | {"speed": "60 km/h", "grade": -0.08, "recovery_efficiency": 0.6}),
        ("air_share", ROAD | {"speed": "60 km/h", "headwind": "-80 km/h"}),
        ("economical_speed", ROAD | {"auxiliary_power": 0}),
        ("mass_without_pack", {"mass": "300 kg", "pack_mass": "400 kg"}),
        ("reserve_energy", {"pack_energy": "30 kWh", "usable_energy": "34 kWh"}),
    ],
)
def test_only_what_was_given_is_named_for_change(wanted, known):
    known = {name: value for name, value in known.items() if name != wanted}
    named = asked(
        vehicle if "pack" in wanted or "reserve" in wanted else load, wanted, **known
    ).advice
    words = set(re.findall(r"[a-z]+(?:_[a-z]+)+|speed|mass|grade|range", named))
    assert words
    assert words <= set(known)


@pytest.mark.parametrize("name", ["speed", "mass"])
def test_a_limit_that_is_never_reached_is_not_said_to_be(name):
    """By plain floats: without an auxiliary load the range rises towards rest, and towards no mass."""
    known = ROAD | {"auxiliary_power": 0, "speed": "60 km/h", "range": "20000 km"}
    known.pop(name)
    error = asked(load, name, **known)
    assert (
        f"as close to {error.limit:.4g} km as you like, the nearer the {name} comes to nought"
        in str(error).replace("\u202f", "")
    )
    assert "can be reached" not in str(error)
    assert "10⁻" not in str(error)
    small = 1e-7
    power = wheel_power(small) if name == "speed" else wheel_power(60 / 3.6, mass=small)
    speed = small if name == "speed" else 60 / 3.6
    assert error.nearest == pytest.approx(36 * 3.6e6 * 0.86 * speed / power, rel=1e-6)


def test_a_limit_that_is_reached_is_named_with_its_place():
    error = asked(load, "drive_efficiency", **{k: v for k, v in ROAD.items() if k != "drive_efficiency"},
                  speed="60 km/h", range="2000 km")  # fmt: skip
    assert "at a drive efficiency of 100.0 %, the greatest there can be" in str(error)
    error = asked(load, "auxiliary_power", **{k: v for k, v in ROAD.items() if k != "auxiliary_power"},
                  speed="60 km/h", range="2000 km")  # fmt: skip
    assert "at an auxiliary power of 0 W" in str(error)


@pytest.mark.parametrize(
    ("density", "word", "limit"), [(0.1, "least", "11 000 m"), (3.0, "greatest", "−2000 m")]
)
def test_the_limits_of_the_standard_atmosphere_are_named(density, word, limit):
    error = asked(load, "altitude", air_density=density)
    assert isinstance(error, NoSolutionError)
    assert f"the {word} that can be reached is" in str(error)
    assert f"at an altitude of {limit}" in str(error).replace("\u202f", " ")
    assert "change one of ." not in str(error)


@pytest.mark.parametrize(
    ("voltage", "resistance"),
    [
        (12.0, 0.01),
        (48.0, 0.04),
        *(
            (math.exp(one.uniform(1, 7)), math.exp(one.uniform(-7, 0)))
            for one in chances("most power", 12)
        ),
    ],
)
def test_the_most_power_is_half_the_voltage_over_twice_the_resistance(voltage, resistance):
    """Where a curve ends between two points of the search, its end is the greatest value."""
    most = voltage**2 / (4 * resistance)
    with pytest.raises(NoSolutionError) as raised:
        pack.find(
            "pack_current",
            pack_voltage=voltage,
            pack_resistance=resistance,
            pack_power=most * 1.1,
        )
    assert raised.value.nearest == pytest.approx(most, rel=1e-9)
    found = pack.find(
        "pack_current", pack_voltage=voltage, pack_resistance=resistance, pack_power=most * 0.9999
    )
    assert found.si == pytest.approx(voltage / (2 * resistance) * (1 - 0.01), rel=1e-9)


def test_the_greatest_lies_where_a_formula_ends():
    with pytest.raises(NoSolutionError) as raised:
        weather.find(
            "air_temperature", air_density=9.0, relative_humidity=0.5, air_pressure="1013 hPa"
        )
    vapour = 0.5 * 610.8 * math.exp(17.27 * -100 / 137.3)
    most = (101300 - vapour) / (287.05287 * 173.15) + vapour / (461.526 * 173.15)
    assert raised.value.nearest == pytest.approx(most, rel=1e-6)


def test_the_greatest_is_looked_for_on_every_hill():
    """A curve with a lower hill on the grid and a higher one whose top lies between two points."""
    grid = np.linspace(0.0, 10.0, 11)

    def height(t):
        if t > 8.7:
            return math.nan
        return 5 * math.exp(-((t - 2) ** 2)) + 20 * math.exp(-4 * (t - 6.5) ** 2)

    curve = np.array([height(t) for t in grid])
    at, best = max((_refine(height, grid, one) for one in _tops(curve)), key=lambda one: one[1])
    assert (at, best) == (pytest.approx(6.5, abs=1e-6), pytest.approx(20.0, rel=1e-6))


def test_a_refusal_names_only_what_mends_it():
    """Neither the air nor the drive makes a most economical speed where no load lasts."""
    known = {name: value for name, value in ROAD.items() if name != "usable_energy"}
    refused = asked(load, "economical_speed", **known | {"auxiliary_power": 0})
    assert isinstance(refused, NoSolutionError)
    assert refused.advice == "Change auxiliary_power."


CAR = {
    "drag_area": 0.6,
    "mass": 1500,
    "rolling_coefficient": 0.01,
    "drive_efficiency": 0.88,
    "air_density": 1.2,
}
ROLLING = {name: value for name, value in CAR.items() if name != "drive_efficiency"}
STILL = "stands still"


@pytest.mark.parametrize("load_now", [0.0, 350.0])
@pytest.mark.parametrize("wanted", ["range", "consumption"])
@pytest.mark.parametrize("topic", [load, vehicle, drive], ids=lambda one: one.name)
def test_standing_still_is_what_is_said(topic, wanted, load_now):
    known = CAR | {"speed": 0, "auxiliary_power": load_now}
    known |= {"usable_energy": "60 kWh"} if wanted == "range" else {}
    error = asked(topic, wanted, **known)
    assert isinstance(error, NoSolutionError)
    assert STILL in str(error)
    assert error.advice == "Change speed."


FORWARDS = [
    (load, "driving_time", {"speed": 0, "range": "100 km"}, STILL),
    (load, "auxiliary_share", CAR | {"speed": 0, "auxiliary_power": 0}, "Nothing is drawn"),
    (load, "air_share", CAR | {"speed": 0, "auxiliary_power": 0}, "Nothing is drawn"),
    (
        load,
        "auxiliary_share",
        CAR | {"speed": 14, "grade": -0.05, "auxiliary_power": 350, "recovery_efficiency": 0.5},
        "Nothing is drawn",
    ),
    (
        load,
        "auxiliary_share",
        CAR | {"speed": 14, "grade": -0.02, "auxiliary_power": 3000, "recovery_efficiency": 0.6},
        "less than that load",
    ),
    (
        drive,
        "motor_loss",
        CAR
        | {"speed": 14, "grade": -0.3, "auxiliary_power": 350, "recovery_efficiency": 0.5}
        | {"battery_efficiency": 1, "inverter_efficiency": 1, "motor_efficiency": 0.9},
        "no power passes",
    ),
    (drive, "tyre_loss", drive.example | {"grade": -0.05}, "no power passes"),
    (
        braking,
        "deceleration",
        ROLLING | {"speed": 14, "grade": -0.05, "brake_force": 0},
        "not slow",
    ),
    (
        braking,
        "braking_distance",
        ROLLING | {"speed": 14, "headwind": -70, "brake_force": 10},
        "does not slow",
    ),
    (
        braking,
        "brake_force",
        ROLLING | {"speed": 14, "grade": 0.3, "deceleration": 2.4},
        "left for the brakes",
    ),
    (
        braking,
        "braking_energy",
        ROLLING | {"speed": 14, "grade": 0.3, "deceleration": 2.4},
        "left for the brakes",
    ),
    (braking, "braking_time", {"speed": 20, "end_speed": 30, "deceleration": 2}, "no braking"),
    (braking, "braking_distance", {"speed": 20, "end_speed": 30, "deceleration": 2}, "no braking"),
    (braking, "stopping_distance", {"speed": 0, "deceleration": 2}, STILL),
    (launch, "propulsion_power", {"speed": 0, "drive_force": 3000}, STILL),
    (sun, "stall_grade", sun.example | {"auxiliary_power": 3000}, "too little to creep"),
]


@pytest.mark.parametrize(("topic", "wanted", "known", "words"), FORWARDS)
def test_a_question_forwards_is_refused_in_words(topic, wanted, known, words):
    error = asked(topic, wanted, **known)
    assert isinstance(error, NoSolutionError)
    assert words in str(error)
    assert "that can be reached" not in str(error)
    advised = re.findall(r"[a-z_]{4,}", error.advice.replace("Change", "").replace("one of", ""))
    assert advised
    assert set(advised) <= set(known)


def test_only_what_helps_is_advised():
    error = asked(DEMO, "range", speed="60 km/h", grade=-0.05, auxiliary_power=0)
    assert error.advice == "Change one of auxiliary_power, grade, speed."
    known = CAR | {"auxiliary_power": 350, "grade": -0.3, "recovery_efficiency": 0.6}
    error = asked(load, "economical_speed", usable_energy="40 kWh", speed=14, **known)
    assert "usable_energy" not in error.advice
    assert "speed," not in error.advice


@pytest.mark.parametrize("speed", [10.0, 25.0, 40.0])
def test_the_nearest_end_of_a_stretch_is_named(speed):
    """Down a slope that drives the vehicle nothing but the auxiliary load is drawn: a steeper one gives no more."""
    known = CAR | {"speed": speed, "auxiliary_power": 350, "usable_energy": "60 kWh"}
    error = asked(load, "grade", range="200000 km", **known)
    steep, way = re.search(r"grade of −([\d.]+) % or any (\w+) one", str(error)).groups()
    assert way == "lower"
    assert wheel_power_of(speed, -0.999 * float(steep) / 100) > 0
    assert wheel_power_of(speed, -1.001 * float(steep) / 100) < 0
    assert error.limit == pytest.approx(60 * 3600e3 / 350 * speed / 1000)


def wheel_power_of(speed, grade):
    angle = math.atan(grade)
    weight = 1500 * 9.80665
    return speed * (0.36 * speed**2 + weight * (0.01 * math.cos(angle) + math.sin(angle)))


@pytest.mark.parametrize(
    ("wanted", "known"),
    [
        (
            "auxiliary_power",
            CAR
            | {"speed": 25, "battery_power": "14 kW"}
            | {"effective_drive_efficiency": 0.85, "drive_efficiency": 0.9},
        ),
        (
            "drive_loss_share",
            {"wheel_power": "21.8 kW", "battery_power": "8.56 kW"}
            | {"effective_drive_efficiency": 0.608, "drive_efficiency": 0.76},
        ),
    ],
)
def test_two_efficiencies_that_cannot_both_be(wanted, known):
    error = asked(load, wanted, **known)
    assert isinstance(error, NoSolutionError)
    assert "contradict each other" in str(error)


@pytest.mark.parametrize("irradiance", [0.0, 850.0])
def test_faster_than_any_vehicle_is_not_at_rest(irradiance):
    steep = {"grade": -0.5, "drag_area": 0.03, "mass": 2000, "irradiance": irradiance}
    error = asked(sun, "equilibrium_speed", **sun.example | steep)
    angle = math.atan(0.5)
    force = 2000 * 9.80665 * (math.sin(angle) - 0.007 * math.cos(angle))
    speed = math.sqrt(force / (0.5 * 1.225 * 0.03))
    assert speed > 340
    assert error.value == pytest.approx(speed * 3.6, rel=1e-2)
    assert "do not go together" not in str(error)


def test_tyres_say_how_far_their_correction_is_carried():
    cold = tyres.find("rolling_force", **tyres.example | {"air_temperature": "-30 °C"})
    assert any("carried beyond" in note for note in cold.notes)
    mild = tyres.find("rolling_force", **tyres.example | {"air_temperature": "22 °C"})
    assert not any("carried beyond" in note for note in mild.notes)


with author_order() as q:
    WITHOUT = Relation("Without the pack", q.mass_without_pack, q.mass - q.pack_mass, "made up")
    # Of its two roots the one has a pack twice as heavy as the vehicle.
    HEAVY = Relation(
        "Made up",
        q.pack_mass**2,
        sympy.Rational(3, 2) * q.mass * q.pack_mass - q.mass * q.mass_without_pack,
        "made up",
    )


def made_up(*relations):
    return Topic(
        "made up",
        "Made up",
        relations=relations,
        example={},
        wanted="pack_mass",
        outcomes=("mass",),
    )


@pytest.mark.parametrize("mass", [1e-3, 900.0, 3e6])
def test_what_is_solved_for_on_the_way_keeps_to_its_bounds(mass):
    found = made_up(WITHOUT, HEAVY).find("pack_mass", mass=mass)
    assert found.solutions_si == pytest.approx((mass / 2,))


def test_what_is_worked_out_forwards_does_not_choose_what_is_given():
    with pytest.raises(OutOfBoundsError, match=r"would have to be −100\.0 kg"):
        made_up(WITHOUT).find("mass_without_pack", mass=300, pack_mass=400)


def test_what_plays_no_part_is_not_advised():
    known = {name: value for name, value in ROAD.items() if name != "usable_energy"}
    error = asked(load, "speed", range="4000 km", usable_energy="36 kWh", altitude=900, **known)
    assert "drag_area" in error.advice
    assert "altitude" not in error.advice


CAR_AT_EASE = {
    "drag_area": 0.6, "mass": 1500, "rolling_coefficient": 0.009, "drive_efficiency": 0.9,
    "air_density": 1.2, "auxiliary_power": 400,
}  # fmt: skip
ONE_CLAUSE = [
    (cw.charge, "energy_added", "would end no higher than it began",
     {"usable_energy": "58 kWh", "state_of_charge_from": 0.8, "state_of_charge_to": 0.2}),
    (cw.braking, "friction", "rear wheels lift before",
     {"all_wheel_braking_deceleration": 9, "tipping_deceleration": 7}),
    (cw.load, "economical_speed", "a road that charges it has no most economical speed",
     {**CAR_AT_EASE, "grade": -0.03, "recovery_efficiency": 0.7}),
    (cw.load, "economical_speed", "where slope or wind drives the vehicle, no such speed costs",
     {**CAR_AT_EASE, "grade": -0.03, "auxiliary_power": 0}),
]  # fmt: skip


@pytest.mark.parametrize(("topic", "wanted", "words", "known"), ONE_CLAUSE)
def test_the_one_clause_that_matters_is_said(topic, wanted, words, known):
    with pytest.raises(NoSolutionError, match=words) as caught:
        topic.find(wanted, **known)
    assert "assumes" not in str(caught.value)
