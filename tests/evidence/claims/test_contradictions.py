"""Claims where the facts contradict each other: what is followed, what is told, and what would reconcile.

The road is reckoned here in plain floats.
"""

import itertools
import math
import re

import ambiance
import pytest

from chalkwatt import load
from chalkwatt.claims import Claim
from chalkwatt.sheets import Sheet
from tests.browsing import ROOT
from tests.spread import synthetic

DEMO = Sheet.read(ROOT / "assets" / "quillwort.toml")
ROAD = {
    "mass": "1500 kg",
    "drag_area": "0.6 m^2",
    "rolling_coefficient": 0.01,
    "drive_efficiency": 0.88,
    "auxiliary_power": "400 W",
    "air_density": "1.2 kg/m^3",
}


def sheet(*facts, origin="measured", **road):
    """A road of one origin, 60 kWh, and further facts as (name, value, origin, more lines)."""
    said = [(name, value, origin) for name, value in (ROAD | road).items() if value is not None]
    said += [("usable_energy", "60 kWh", "measured"), *facts]
    text = '[vehicle]\nname = "x"\n'
    for name, value, whence, *more in said:
        shown = f'"{value}"' if isinstance(value, str) else repr(value)
        text += f'[values.{name}]\nvalue = {shown}\norigin = "{whence}"\n' + "\n".join([*more, ""])
    return Sheet.parse(text)


def force(speed, mass, area, rolling, density, *, wind=0.0, grade=0.0):
    angle = math.atan(grade)
    air = density * area * abs(speed + wind) * (speed + wind) / 2
    return air + mass * synthetic.GRAVITY * (rolling * math.cos(angle) + math.sin(angle))


def consumption(speed, mass, area, rolling, density, efficiency, extra, **more):
    return force(speed, mass, area, rolling, density, **more) / efficiency + extra / speed


def test_a_quoted_consumption_does_not_outdo_a_measured_road():
    quoted = ("consumption", "9 kWh/100 km", "quoted", 'plus_minus = "0.5 kWh/100 km"')
    verdict = sheet(quoted).judge(Claim("range", "600 km", speed="120 km/h"))
    truth = consumption(120 / 3.6, 1500, 0.6, 0.01, 1.2, 0.88, 400)
    assert verdict.finding.si == pytest.approx(60 * 3.6e6 / truth)
    assert verdict.word == "out of reach"
    (clash,), (route,) = verdict.conflicts, verdict.routes
    assert clash.quantity == "consumption"
    assert clash.derived == pytest.approx(truth)
    assert route.si == pytest.approx(60 / 9 * 1e5)
    assert route.through == ("consumption",)
    for told in ("341 km", "635 to 702 km", "quoted as 9 kWh/100 km", "17.6 kWh/100 km"):
        assert told in verdict.sentence
    # What is said would reconcile them does, by the plain reckoning.
    tail = float(re.search(r"tail wind of ([\d.]+) km/h", verdict.sentence)[1]) / 3.6
    down = float(re.search(r"down a grade of ([\d.]+) %", verdict.sentence)[1]) / 100
    road = (120 / 3.6, 1500, 0.6, 0.01, 1.2, 0.88, 400)
    assert consumption(*road, wind=-tail) == pytest.approx(9 * 36, rel=0.01)
    assert consumption(*road, grade=-down) == pytest.approx(9 * 36, rel=0.01)


@pytest.mark.parametrize("block", range(3))
def test_no_claim_holds_where_facts_contradict_each_other(block):
    """Random roads, quoted too low or too high; the quote is found out unless it is true."""
    chance = synthetic.chances(4000 + block)
    for _ in range(6):
        speed = chance.uniform(8, 42)
        road = (
            chance.uniform(300, 3500), chance.uniform(0.2, 1.4), chance.uniform(0.004, 0.015),
            chance.uniform(0.9, 1.35), chance.uniform(0.6, 0.95), chance.choice([0.0, 300.0, 3000.0]),
        )  # fmt: skip
        mass, area, rolling, density, efficiency, extra = road
        truth = consumption(speed, *road)
        wrong = chance.choice([0.3, 0.6, 0.85, 1.0, 1.2, 1.7, 5.0])
        said = sheet(
            ("consumption", f"{truth * wrong / 3.6:.6f} Wh/km", chance.choice(["quoted", "estimated"])),
            mass=f"{mass} kg", drag_area=f"{area} m^2", rolling_coefficient=rolling,
            drive_efficiency=efficiency, auxiliary_power=f"{extra} W", air_density=f"{density} kg/m^3",
        )  # fmt: skip
        for share in (0.5, 2.0):
            goal = 60 * 3.6e6 / truth * share
            verdict = said.judge(Claim("range", goal, speed=speed))
            assert verdict.finding.si == pytest.approx(60 * 3.6e6 / truth, rel=1e-9)
            assert bool(verdict.conflicts) == (wrong != 1.0)
            if wrong == 1.0:
                assert verdict.word == ("holds" if share < 1 else "out of reach")
                continue
            assert verdict.word != "holds"
            met = 60 * 3.6e6 / truth / wrong >= goal
            words = {(True, True): "probably holds", (True, False): "disputed"}
            assert verdict.word == words.get((share < 1, met), "out of reach")


@pytest.mark.parametrize(
    ("road", "quote"),
    list(itertools.permutations(["measured", "counted", "quoted", "estimated", "assumed"], 2)),
)
def test_the_way_that_is_followed_is_the_better_trusted(road, quote):
    trust = ["measured", "counted", "quoted", "estimated", "assumed"]
    made = sheet(("consumption", "9 kWh/100 km", quote), origin=road)
    verdict = made.judge(Claim("range", "300 km", speed="120 km/h"))
    by_road = trust.index(road) < trust.index(quote)
    assert ("consumption" in verdict.finding.facts) != by_road
    assert made.find("range", speed="120 km/h").si == verdict.finding.si
    assert verdict.conflicts
    assert verdict.word == "probably holds"
    truth = consumption(120 / 3.6, 1500, 0.6, 0.01, 1.2, 0.88, 400)
    ways = sorted(one.si for one in (verdict.finding, *verdict.routes))
    assert ways == pytest.approx([60 * 3.6e6 / truth, 60 / 9 * 1e5])


@pytest.mark.parametrize(
    ("fact", "speed", "told"),
    [
        (("range", "650 km", "quoted"), "120 km/h", ("range is quoted as 650 km", "340.9 km")),
        (("wheel_power", "6 kW", "measured"), "100 km/h", ("wheel power is measured as 6 kW", "11.8 kW")),
        (("altitude", "2500 m", "measured"), "100 km/h", ("air density is measured as 1.2", "0.957")),
        (("driving_time", "9 h", "quoted"), "100 km/h", ("driving time is quoted as 9 h", "4.344 h")),
        (("air_force", "90 N", "measured"), "100 km/h", ("air force is measured as 90 N", "277.8 N")),
        (("battery_power", "30 kW", "estimated"), "100 km/h", ("battery power is estimated as 30 kW", "13.8")),
    ],
)  # fmt: skip
def test_other_facts_that_wind_and_slope_used_to_absorb(fact, speed, told):
    made = sheet(fact)
    verdict = made.judge(Claim("range", "100 km", speed=speed))
    assert verdict.word in {"probably holds", "disputed"}
    notes = " ".join(made.find("range", speed=speed).notes)
    follows = " ".join(one.sentence for one in made.follow(speed=speed).conflicts)
    for words in told:
        assert words in verdict.sentence
        assert words in notes
        assert words in follows
        assert words in repr(made.find("range", speed=speed))


@pytest.mark.parametrize(
    ("name", "value"),
    [("air_density", "1.2 kg/m^3"), ("air_density", "0.95 kg/m^3"), ("altitude", "4000 m")],
)
def test_air_that_occurs_somewhere_is_no_contradiction(name, value):
    fact = () if name == "air_density" else ((name, value, "measured"),)
    density = value if name == "air_density" else None
    assert (
        not sheet(*fact, air_density=density)
        .judge(Claim("range", "300 km", speed="90 km/h"))
        .conflicts
    )


def test_what_changes_the_vehicle_contradicts_nothing():
    """A question that asks for another drag area takes the place of coefficient and area."""
    verdict = DEMO.judge(Claim("range", "400 km", speed="90 km/h", drag_area="0.5 m^2"))
    assert verdict.finding.facts["drag_area"].origin == "asked"
    assert not verdict.conflicts


def test_a_condition_that_serves_as_a_check_is_said_to():
    made = sheet(("consumption", "17.6 kWh/100 km", "measured"), rolling_coefficient=None)
    made = made.revised("rolling_coefficient", 0.01, origin="assumed")
    verdict = made.judge(Claim("range", "300 km", speed="120 km/h"))
    assert verdict.word == "holds"
    assert "speed of 120 km/h serves only as a check" in verdict.sentence
    assert "by the stated consumption" in verdict.sentence


def test_a_reserve_lowers_the_word_too():
    lower = DEMO.revised("pack_energy", "28.5 kWh", plus_minus="0.3 kWh")
    verdict = lower.judge(Claim("range", "400 km", speed="90 km/h"))
    assert verdict.chance > 0.95
    assert [one.kind for one in verdict.conflicts] == ["reserve"]
    assert "pack energy is quoted as 28.5 kWh" in verdict.sentence
    assert verdict.word == "probably holds"


def test_a_contradiction_elsewhere_on_the_sheet_is_none_of_this_claim():
    # Where the cells' resistance is known, their count matters to the range, and so does what denies it.
    text = re.sub(r"\n\[values\.cell_resistance\].*?(?=\n\[)", "", DEMO.text, flags=re.DOTALL)
    assert text != DEMO.text
    other = Sheet.parse(text).revised("pack_mass", "300 kg", origin="measured", plus_minus="1 kg")
    assert other.follow().conflicts
    assert not other.judge(DEMO.claims[0]).conflicts


# --- Conditions and assumed facts -----------------------------------------------------------------


def air(temperature=None, altitude=0.0):
    """Density by the reference library for the standard atmosphere, or by its pressure at a temperature."""
    there = ambiance.Atmosphere(altitude)
    kelvin = float(there.temperature[0]) if temperature is None else temperature + 273.15
    return float(there.pressure[0]) / (287.05287 * kelvin)


@pytest.mark.parametrize(
    ("asked", "density"),
    [
        ({"air_temperature": "-10 degC"}, air(-10)),
        ({"air_temperature": "38 degC"}, air(38)),
        ({"altitude": "1500 m"}, air(altitude=1500)),
        ({"altitude": "-300 m"}, air(altitude=-300)),
        ({"altitude": "2000 m", "air_temperature": "-25 degC"}, air(-25, 2000)),
        ({"air_pressure": "900 hPa", "air_temperature": "5 degC"}, 90_000 / (287.05287 * 278.15)),
    ],
)
def test_an_assumed_density_gives_way_to_what_is_asked_everywhere(asked, density):
    truth = DEMO.find("range", speed="90 km/h", air_density=density)
    found = DEMO.find("range", speed="90 km/h", **asked)
    assert found.si == pytest.approx(truth.si, rel=1e-5)
    assert "air_density" not in found.facts
    for name in asked:
        assert f"air density of 1.2 kg/m³ gives way to the {name.replace('_', ' ')}" in repr(
            found
        ) or (f"the {name.replace('_', ' ')} of" in repr(found))
    verdict = DEMO.judge(Claim("range", "490 km", speed="90 km/h", **asked))
    assert verdict.finding.si == found.si
    assert verdict.chance == pytest.approx(
        DEMO.judge(Claim("range", "490 km", speed="90 km/h", air_density=density)).chance, abs=0.03
    )
    assert "gives way to" in verdict.sentence
    assert "no part" not in verdict.sentence
    assert DEMO.follow(speed="90 km/h", **asked)["range"].si == found.si
    # A sheet of its own: boards of one sheet keep in step.
    assert load.board(Sheet.parse(DEMO.text), **asked).answer.si == pytest.approx(found.si)
    assert found.card(size=(900, 500)).carries["range"] == found.si


def test_cold_air_makes_the_word_what_cold_air_makes_it():
    claim = {"value": "490 km", "speed": "90 km/h"}
    warm = DEMO.judge(Claim("range", **claim))
    cold = DEMO.judge(Claim("range", **claim, air_temperature="-10 degC"))
    assert (warm.word, cold.word) == ("probably holds", "needs favourable values")


def test_a_claim_on_the_sheet_puts_its_cold_on_the_board():
    text = DEMO.text.replace(
        '{ speed = "90 km/h" }', '{ speed = "90 km/h", air_temperature = "-10 degC" }'
    )
    cold = Sheet.parse(text)
    assert load.board(cold).answer.si == pytest.approx(
        DEMO.find("range", speed="90 km/h", air_temperature="-10 degC").si
    )


@pytest.mark.parametrize("origin", ["measured", "counted", "quoted", "estimated"])
def test_any_other_density_stands_and_is_told_to_stand_against_what_is_asked(origin):
    stands = DEMO.revised("air_density", "1.2 kg/m^3", origin=origin)
    verdict = stands.judge(Claim("range", "400 km", speed="90 km/h", air_temperature="-10 degC"))
    assert verdict.finding.si == stands.find("range", speed="90 km/h").si
    (clash,) = verdict.conflicts
    assert (clash.kind, clash.quantity) == ("condition", "air_density")
    assert clash.derived == pytest.approx(air(-10), rel=1e-4)
    assert verdict.word != "holds"
    (route,) = verdict.routes
    assert route.si == pytest.approx(
        DEMO.find("range", speed="90 km/h", air_density=air(-10)).si, rel=1e-4
    )
    assert route.text_in("km") in verdict.sentence
    # Within the range of what is stated there is nothing to tell.
    mild = stands.judge(Claim("range", "400 km", speed="90 km/h", air_temperature="20 degC"))
    assert not mild.conflicts
