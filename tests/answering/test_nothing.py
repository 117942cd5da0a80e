"""Questions without a number for an answer: what is said is true, names what was given, and reads as English."""

import math
import re

import numpy as np
import pytest

from chalkwatt import Sheet, load, pack, vehicle, weather
from chalkwatt.errors import ChalkwattError, NoSolutionError
from chalkwatt.nothing import _refine, _tops
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
