"""Claims where the facts contradict each other: what is followed, what is told, and what would reconcile.

The road is reckoned here in plain floats.
"""

import itertools
import math
import re

import ambiance
import pytest

from chalkwatt import load
from chalkwatt.evidence.claims import telling
from chalkwatt.evidence.claims.claims import Claim
from chalkwatt.evidence.sheets import Sheet, conflicts
from chalkwatt.evidence.sheets.facts import Fact, make_fact
from chalkwatt.evidence.sheets.moves import Move
from tests.browsing import ROOT
from tests.evidence.spread import synthetic

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


@pytest.mark.parametrize("name", ["grade", "grade_angle", "headwind"])
@pytest.mark.parametrize("zero", [None, 0, 0.0, "in its unit"])
def test_a_stated_nought_hides_no_contradiction(name, zero):
    """A level road that somebody states is as level as one that nobody mentions."""
    units = {"grade": "0 %", "grade_angle": "0 °", "headwind": "0 km/h"}
    stated = {} if zero is None else {name: units[name] if zero == "in its unit" else zero}
    quoted = ("consumption", "9 kWh/100 km", "quoted")
    made = sheet(quoted, **stated)
    (clash,) = made.find("range", speed="120 km/h").conflicts
    assert clash.quantity == "consumption"
    assert clash.derived == pytest.approx(consumption(120 / 3.6, 1500, 0.6, 0.01, 1.2, 0.88, 400))
    assert made.judge(Claim("range", "600 km", speed="120 km/h")).word == "out of reach"
    assert any(one.quantity == "consumption" for one in made.follow(speed="120 km/h").conflicts)


def test_nor_does_all_of_it():
    text = (
        '[vehicle]\nname = "x"\n[values.usable_fraction]\nvalue = 1\norigin = "measured"\n'
        '[values.pack_energy]\nvalue = "60 kWh"\norigin = "measured"\n'
        '[values.usable_energy]\nvalue = "45 kWh"\norigin = "quoted"\n'
    )
    for said in (
        text,
        text.replace("value = 1\n", "value = 1.0\n"),
        text.replace("= 1\n", '= "100 %"\n'),
    ):
        assert Sheet.parse(said).follow().conflicts


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
            # The road is measured: it decides, whatever the quote makes of the claim.
            assert verdict.word == ("probably holds" if share < 1 else "out of reach")


SIDES = {
    "mass": ("1500 kg", 1500, {"mass_without_pack": "1200 kg", "pack_mass": "400 kg"}, 1600),
    "usable_energy": ("55 kWh", 55 * 3.6e6, {"pack_energy": "50 kWh", "usable_fraction": 0.9}, 45 * 3.6e6),
    "charging_power": ("100 kW", 100e3, {"wall_power": "50 kW", "charging_efficiency": 0.9}, 45e3),
    "consumption": (
        "11 kWh/100 km", 11 * 36, ROAD, consumption(120 / 3.6, 1500, 0.6, 0.01, 1.2, 0.88, 400),
    ),
}  # fmt: skip


@pytest.mark.parametrize("one", ["measured", "quoted", "assumed"])
@pytest.mark.parametrize("other", ["measured", "quoted", "assumed"])
@pytest.mark.parametrize("quantity", SIDES)
def test_the_word_is_the_same_from_both_sides(quantity, one, other):
    """Where both deserve the same trust a claim between them is disputed; else the firmer side decides it."""
    said, stated, made, derived = SIDES[quantity]
    facts = {quantity: (said, one)} | {name: (value, other) for name, value in made.items()}
    at = {}
    if quantity == "consumption":
        # At the sheet's own drive, so that the drive that is asked for does not decide.
        facts["speed"] = ("120 km/h", "measured")
        at = {"speed": "120 km/h"}
    text = '[vehicle]\nname = "x"\n'
    for name, (value, origin) in facts.items():
        text += f'[values.{name}]\nvalue = {value if isinstance(value, float) else repr(value)}\norigin = "{origin}"\n'
    both = Sheet.parse(text)
    trust = ["measured", "quoted", "assumed"]
    for sense in ("at least", "at most"):
        verdict = both.judge(Claim(quantity, (stated + derived) / 2, sense=sense, **at))
        assert verdict.conflicts
        follows = stated if verdict.finding.si == pytest.approx(stated) else derived
        softer = trust.index(other if follows == stated else one) > trust.index(
            one if follows == stated else other
        )
        if not softer:
            assert verdict.word == "disputed"
            continue
        met = bool(verdict.claim.met(follows))
        assert verdict.word == ("probably holds" if met else "out of reach")
    if one == "measured" and other != "measured" and not at:
        assert follows == stated


def test_a_disputed_claim_is_said_to_be_met_by_the_other_side():
    """With ranges, the sentence names which side meets it: here not the one that was followed."""
    near = 'plus_minus = "1 kWh"'
    said = sheet(("pack_energy", "50 kWh", "measured", near), ("usable_fraction", 0.9, "measured"))
    assert said.facts["usable_energy"].origin == "measured"
    for sense, words in (
        ("at least", "by others of the sheet it would be met"),
        ("at most", "but not by others of the sheet"),
    ):
        verdict = said.judge(Claim("usable_energy", "52 kWh", sense=sense))
        assert verdict.word == "disputed"
        assert words in verdict.sentence


@pytest.mark.parametrize(
    ("road", "quote"),
    list(itertools.permutations(["measured", "counted", "quoted", "estimated", "assumed"], 2)),
)
@pytest.mark.parametrize("at_home", [True, False])
def test_the_way_that_is_followed_is_the_better_trusted(road, quote, at_home):
    """At the sheet's own speed trust decides; at another the road does, for the quote is of no such drive."""
    trust = ["measured", "counted", "quoted", "estimated", "assumed"]
    own = [("speed", "120 km/h", "measured")] if at_home else []
    made = sheet(("consumption", "9 kWh/100 km", quote), *own, origin=road)
    verdict = made.judge(Claim("range", "300 km", speed="120 km/h"))
    # An estimate gives way to what is asked for in any case.
    by_road = not at_home or trust.index(road) < trust.index(quote) or quote == "estimated"
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
    own = ("speed", "120 km/h", "measured")
    made = sheet(("consumption", "17.6 kWh/100 km", "measured"), own, rolling_coefficient=None)
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


@pytest.mark.sweep(1 / 6)
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


def test_nobody_is_told_to_move_a_fact_to_what_nobody_would_think_of():
    fact = make_fact("mass", "700 kg", origin="measured")
    near, far = Move(fact, 900.0, 0.3), Move(fact, 90_000.0, 128.0)
    assert near.text == "mass (measured 700 kg) would have to be 900 kg"
    assert far.text == "no usual mass alone would mend it"
    assert conflicts._ways((near, far)) == near.text
    assert conflicts._ways((far,)) == "no usual value of one alone would do"
    assert conflicts._ways((Move(fact, None, 1.0),)) == "none alone would do"


def test_a_wind_that_never_blows_reconciles_nothing():
    fact = Fact("headwind", 0.0, 0.0, 0.0, origin="granted")

    class Clash:
        def __init__(self, needed):
            self.moves = (Move(fact, needed, 1.0),)

    class Found:
        def __init__(self, needed):
            self.conflicts = (Clash(needed),)

    assert (
        telling._reconciled(Found(-5.0)) == " Both could be true only with a tail wind of 18 km/h."
    )
    assert (
        telling._reconciled(Found(-90.0))
        == " No usual wind and no usual slope would make both true."
    )
    assert telling._reconciled(Found(None)) == " No wind and no slope would make both true."


@pytest.mark.parametrize("air", ["none", "sea level", "density"])
@pytest.mark.parametrize("speed", [60, 120])
def test_leaving_out_the_air_hides_no_contradiction(air, speed):
    """What nobody states of the air is that of the standard atmosphere, as in the answer (ISO 2533:1975)."""
    quoted = ("consumption", "15 kWh/100 km", "quoted")
    level = [("altitude", "0 m", "measured")] if air == "sea level" else []
    density = 101_325 / (287.05287 * 288.15)
    made = sheet(quoted, *level, air_density=f"{density:.6f} kg/m^3" if air == "density" else None)
    verdict = made.judge(Claim("range", "390 km", speed=f"{speed} km/h"))
    truth = consumption(speed / 3.6, 1500, 0.6, 0.01, density, 0.88, 400)
    (clash,) = (one for one in verdict.conflicts if one.quantity == "consumption")
    assert clash.derived == pytest.approx(truth, rel=1e-4)
    far = sorted([verdict.finding.si, *(one.si for one in verdict.routes)])
    assert far == pytest.approx(sorted([60 * 3.6e6 / truth, 400e3]), rel=1e-4)
    assert verdict.word != "holds"
    assert "agree." not in verdict.sentence
    follows = made.follow(speed=f"{speed} km/h").conflicts
    assert any(one.quantity == "consumption" for one in follows)


def test_a_quote_that_agrees_within_its_range_is_no_contradiction():
    quoted = ("consumption", "17.5 kWh/100 km", "quoted", 'plus_minus = "0.5 kWh/100 km"')
    own = ("speed", "120 km/h", "measured")
    verdict = sheet(quoted, own, air_density=None).judge(Claim("range", "300 km", speed="120 km/h"))
    assert not verdict.conflicts
    assert verdict.word == "holds"
    assert "serves only as a check, in which the facts agree" in verdict.sentence


def test_the_alternative_is_what_the_facts_make_without_the_one_they_contradict():
    """Cells whose voltage, count and resistance the followed way needs, too, for the loss in the pack."""
    cells = [
        ("cell_count", 3456, "estimated"),
        ("cells_in_series", 96, "estimated"),
        ("cell_voltage", "3.65 V", "quoted"),
        ("cell_capacity", "4.9 A*h", "quoted", 'range = ["4.8 A*h", "5 A*h"]'),
        ("cell_resistance", "22 mohm", "quoted"),
        ("usable_fraction", 0.92, "assumed"),
    ]
    text = '[vehicle]\nname = "x"\n'
    rows = [(name, value, "measured") for name, value in ROAD.items()]
    for name, value, whence, *more in [*rows, *cells]:
        shown = f'"{value}"' if isinstance(value, str) else repr(value)
        text += f'[values.{name}]\nvalue = {shown}\norigin = "{whence}"\n' + "\n".join([*more, ""])
    stated = '[values.usable_energy]\nvalue = "68 kWh"\norigin = "quoted"\n'
    both, without = Sheet.parse(text + stated), Sheet.parse(text)
    claim = Claim("range", "480 km", speed="90 km/h")
    verdict = both.judge(claim)
    (route,) = verdict.routes
    alone = without.find("range", speed="90 km/h")
    assert route.si == pytest.approx(alone.si)
    assert route.interval == alone.interval
    assert route.si < 0.87 * verdict.finding.si
    assert f"the range would be {route.text_in('km')}" in verdict.sentence


@pytest.mark.parametrize("air", ["1.2 kg/m^3", None])
@pytest.mark.parametrize(
    "missing", ["auxiliary_power", "drive_efficiency", "mass", "rolling_coefficient", "drag_area"]
)
def test_a_consumption_below_any_that_the_rest_allows_is_found_out(missing, air):
    """No load is negative and no drive gives more than it takes, whatever their values are."""
    low = "9 kWh/100 km" if missing in {"auxiliary_power", "drive_efficiency"} else "2 kWh/100 km"
    quoted = ("consumption", low, "quoted", 'plus_minus = "0.5 kWh/100 km"')
    made = sheet(quoted, **{"air_density": air, missing: None})
    verdict = made.judge(Claim("range", "390 km", speed="120 km/h"))
    (clash,) = verdict.conflicts
    assert clash.kind == "impossible"
    assert verdict.word == "disputed"
    assert "beyond its limit of" in verdict.sentence
    if missing == "auxiliary_power":
        density = 1.2 if air else 101_325 / (287.05287 * 288.15)  # ISO 2533:1975
        road = force(120 / 3.6, 1500, 0.6, 0.01, density) / 0.88
        assert clash.derived == pytest.approx((9 * 36 - road) * 120 / 3.6, rel=1e-4)


def test_a_consumption_that_the_rest_allows_is_none():
    made = sheet(("consumption", "25 kWh/100 km", "quoted"), air_density=None, auxiliary_power=None)
    assert not made.judge(Claim("range", "200 km", speed="120 km/h")).conflicts


@pytest.mark.parametrize("heated", [False, True])
def test_the_air_that_is_asked_for_is_reckoned_beside_a_density_also_where_it_heats(heated):
    """Colder air is denser; whether it also takes heat from the cabin is another matter."""
    cabin = [("heat_loss_coefficient", "70 W/K", "measured"), ("coefficient_of_performance", 2.5, "measured"),
             ("electronics_power", "300 W", "measured")]  # fmt: skip
    made = sheet(*(cabin if heated else ()), auxiliary_power=None if heated else "400 W")
    asked = {"speed": "80 km/h", "air_temperature": "-10 degC"}
    asked |= {"cabin_temperature": "21 degC"} if heated else {}
    lasting = 300 + 70 * 31 / 2.5 if heated else 400.0

    def kilometres(density: float) -> float:
        speed = 80 / 3.6
        force = 0.5 * density * 0.6 * speed**2 + 0.01 * 1500 * 9.80665
        return 60 * 3.6e6 / (force / 0.88 + lasting / speed) / 1e3

    cold = 101325 / (287.05287 * 263.15)  # ISO 2533: dry air, at sea level
    followed, other = kilometres(1.2), kilometres(cold)
    between = made.judge(Claim("range", f"{(followed + other) / 2:.1f} km", **asked))
    assert between.finding.si / 1e3 == pytest.approx(followed, rel=1e-6)
    (route,) = between.routes
    assert route.si / 1e3 == pytest.approx(other, rel=1e-4)
    assert between.word == "disputed"
    assert f"By the air temperature the range would be about {other:.0f} km" in between.sentence
    assert "cooling performance" not in between.sentence
