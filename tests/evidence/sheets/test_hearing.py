"""A claim under a condition that nothing can be reckoned with gets no verdict, but what it would take."""

from __future__ import annotations

import pytest

import chalkwatt as cw
from chalkwatt.evidence.claims.telling import unjudged
from chalkwatt.evidence.sheets.choosing import choose
from chalkwatt.evidence.sheets.facts import Fact, make_fact
from chalkwatt.evidence.sheets.hearing import would_take
from chalkwatt.rendering.phrases import listed
from chalkwatt.topics.vehicle import vehicle
from tests.browsing import ROOT
from tests.evidence.spread import synthetic

DEMO = cw.Sheet.read(ROOT / "assets" / "quillwort.toml")
CAR = {
    "drag_area": "0.6 m^2",
    "mass": "1800 kg",
    "rolling_coefficient": "0.009",
    "drive_efficiency": "0.88",
    "usable_energy": "60 kWh",
}
CABIN = {"heat_loss_coefficient": "110 W/K", "electronics_power": "250 W"}
FIRM = ("measured", "counted", "quoted")


def sheet(**values: str) -> cw.Sheet:
    """Make an invented sheet; a value is written as "amount" or as "amount origin"."""
    lines = ["[vehicle]", 'name = "Knot"', "invented = true"]
    for name, said in values.items():
        value, _, origin = said.rpartition(" ")
        if origin not in {*FIRM, "estimated", "assumed"}:
            value, origin = said, "quoted"
        lines += [f"[values.{name}]", f'value = "{value}"', f'origin = "{origin}"']
    return cw.Sheet.parse("\n".join(lines))


def refusal(made: cw.Sheet, quantity: str = "range", value: str = "300 km", **conditions: object):
    claim = cw.Claim(quantity, value, **conditions)
    with pytest.raises(cw.TooLittleKnownError) as refused:
        made.judge(claim)
    assert unjudged(made, claim, refused.value).startswith("What is known of the Knot does not")
    return refused.value


@pytest.mark.parametrize("origin", [*FIRM, "estimated", "assumed"])
@pytest.mark.parametrize("outside", [{}, {"air_temperature": "-10 degC"}])
def test_a_cabin_that_nothing_is_known_of(origin: str, outside: dict[str, str]) -> None:
    made = sheet(**CAR, auxiliary_power=f"400 W {origin}")
    told = refusal(made, speed="90 km/h", cabin_temperature="22 degC", **outside)
    assert told.unheard == ("cabin_temperature",)
    wanted = [
        "heat loss coefficient",
        "electronics power",
        *([] if outside else ["air temperature"]),
    ]
    assert f"it would take the {listed(wanted)} in place" in str(told)
    assert "in place of the auxiliary power" in str(told)
    assert "or claim without cabin_temperature" in told.advice
    # The question itself is answered, and says what plays no part.
    found = made.find("range", speed="90 km/h", cabin_temperature="22 degC", **outside)
    assert "cabin temperature of 22 °C plays no part" in repr(found)


def test_a_climate_is_off_until_somebody_says_how_cold_it_is() -> None:
    made = sheet(**CAR, **CABIN)
    told = refusal(made, speed="90 km/h", cabin_temperature="22 degC")
    assert "it would take the air temperature." in str(told)
    claim = cw.Claim(
        "range", "300 km", speed="90 km/h", cabin_temperature="22 degC", air_temperature="-10 degC"
    )
    assert "no part" not in made.judge(claim).sentence


@pytest.mark.parametrize(
    ("conditions", "missing", "instead"),
    [
        ({"cell_temperature": "-10 degC"}, "cold energy coefficient", ""),
        ({"drag_coefficient": 0.2}, "frontal area", "drag area"),
        ({"rolling_speed_growth": 0.001}, "reference rolling coefficient", "rolling coefficient"),
        ({"usable_fraction": 0.9}, "pack energy", "usable energy"),
    ],
)
def test_what_it_would_take(conditions: dict[str, object], missing: str, instead: str) -> None:
    told = refusal(sheet(**CAR, auxiliary_power="400 W"), speed="90 km/h", **conditions)
    assert f"it would take the {missing}" in str(told)
    assert (f"in place of the {instead}." in str(told)) == bool(instead)


def test_what_cannot_matter_is_told_and_no_more() -> None:
    made = sheet(**CAR, auxiliary_power="400 W")
    # Nothing comes back on a level road.
    verdict = made.judge(cw.Claim("range", "300 km", speed="90 km/h", recovery_efficiency=0.6))
    assert "no part in this" in verdict.sentence


def test_a_variant_in_a_cabin_that_nothing_is_known_of() -> None:
    claim = cw.Claim(
        "range", "700 km", speed="90 km/h", variant="long", cabin_temperature="22 degC"
    )
    with pytest.raises(cw.TooLittleKnownError, match="heat loss coefficient") as refused:
        DEMO.judge(claim, draws=64)
    assert refused.value.unheard == ("cabin_temperature",)


def test_a_quoted_consumption_holds_at_its_speed_and_not_of_another_mass() -> None:
    made = sheet(usable_energy="60 kWh", consumption="15 kWh/100km")
    assert made.judge(cw.Claim("range", "300 km", speed="90 km/h")).met
    told = refusal(made, speed="90 km/h", mass="2000 kg")
    assert told.unheard == ("mass",)
    assert "in place of the consumption" in str(told)
    # An estimate is no measurement, at no speed.
    soft = sheet(usable_energy="60 kWh", consumption="15 kWh/100km estimated")
    assert refusal(soft, speed="90 km/h").unheard == ("speed",)


def test_a_condition_that_agrees_with_what_stands_against_it_is_a_check() -> None:
    made = sheet(**CAR, auxiliary_power="400 W", air_density="1.2 kg/m^3 measured")
    verdict = made.judge(cw.Claim("range", "300 km", speed="90 km/h", air_temperature="20 degC"))
    assert "20 °C serves only as a check, in which the facts agree." in verdict.sentence


EXAMPLE = {name: one for name, one in vehicle.example.items() if name != "speed"}


@pytest.mark.parametrize("block", range(3))
def test_with_what_it_would_take_the_condition_is_heard(block: int) -> None:
    """By chance: any facts, any condition; what is said to be missing is given, and is enough."""
    chance = synthetic.chances(block)
    values = {
        **EXAMPLE,
        **CABIN,
        "reference_rolling_coefficient": 0.009,
        "consumption": "15 kWh/100km",
    }
    values |= {"air_density": "1.2 kg/m^3", "usable_energy": "50 kWh", "drag_area": "0.6 m^2"}
    conditions = [
        "cabin_temperature", "air_temperature", "mass", "cells_in_parallel", "drag_coefficient",
        "rolling_speed_growth", "usable_fraction", "drive_efficiency", "altitude", "frontal_area",
    ]  # fmt: skip
    told = 0
    for _ in range(12):
        names = chance.sample(sorted(values), chance.randint(4, len(values)))
        facts = {
            one: make_fact(one, values[one], origin=chance.choice([*FIRM, "estimated", "assumed"]))
            for one in names
        }
        name = chance.choice(conditions)
        asked = {"speed": make_fact("speed", "90 km/h"), name: make_fact(name, SAID[name])}
        facts = {one: fact for one, fact in facts.items() if one not in asked}
        try:
            choice = choose(facts, "range", asked)
        except cw.TooLittleKnownError:
            continue
        ways = {} if name in choice.used else would_take(name, facts, asked, choice.plan)
        for missing, instead in ways.items():
            told += 1
            more = {one: Fact(one, 1.0, 1.0, 1.0, origin="quoted") for one in missing}
            left = {one: fact for one, fact in {**facts, **more}.items() if one not in instead}
            after = choose(left, "range", asked)
            assert name in after.used, (name, missing, instead, sorted(facts))
    assert told


SAID = {
    "cabin_temperature": "21 degC",
    "air_temperature": "-10 degC",
    "mass": "1500 kg",
    "cells_in_parallel": 3,
    "drag_coefficient": 0.2,
    "rolling_speed_growth": 0.001,
    "usable_fraction": 0.9,
    "drive_efficiency": 0.9,
    "altitude": "2500 m",
    "frontal_area": "2.1 m^2",
}


@pytest.mark.parametrize("origin", FIRM)
@pytest.mark.parametrize("cabin", [{}, {"heat_loss_coefficient": "50 W/K"}])
def test_a_stated_load_does_not_tell_how_cold_it_is(origin: str, cabin: dict[str, str]) -> None:
    """Without a temperature outside, the load and the cabin would make one, and thinner or denser air."""
    made = sheet(**CAR, **CABIN, auxiliary_power=f"400 W {origin}")
    found = made.find("range", speed="90 km/h", cabin_temperature="22 degC", **cabin)
    assert len(found.solutions) == 1
    assert found.si == made.find("range", speed="90 km/h").si
    assert "cabin_temperature" in found.unheard
    told = refusal(made, speed="90 km/h", cabin_temperature="22 degC", **cabin)
    assert "it would take the air temperature" in str(told)


def test_nor_does_a_tyre() -> None:
    """It gives way at the temperature that stands in, and is not turned back into another one."""
    made = sheet(**CAR, auxiliary_power="400 W", reference_rolling_coefficient="0.0085")
    found = made.find("range", speed="90 km/h", tyre_temperature_coefficient="1 %/K")
    assert found.gave_way == {"rolling_coefficient": ("tyre_temperature_coefficient",)}
    assert found.assumed["air_temperature"] == pytest.approx(288.15)


LABEL = {"usable_energy": "60 kWh", "label_consumption": "15 kWh/100km"}


@pytest.mark.parametrize("origin", FIRM)
@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("mass", "2500 kg"),
        ("speed", "100 km/h"),
        ("headwind", "-20 km/h"),
        ("drag_area", "0.4 m^2"),
    ],
)
def test_a_label_says_nothing_of_a_drive(origin: str, name: str, value: str) -> None:
    made = sheet(**CAR, label_consumption=f"15 kWh/100km {origin}")
    told = refusal(made, "label_range", **{name: value})
    assert told.unheard == (name,)
    assert "A label counts the consumption of a test cycle" in str(told)
    assert "plays no part" in repr(made.find("label_range", **{name: value}))


@pytest.mark.parametrize("origin", FIRM)
def test_what_stands_in_the_way_in_another_topic_is_named(origin: str) -> None:
    made = sheet(**{**LABEL, "label_consumption": f"15 kWh/100km {origin}"})
    tests = {"city_consumption": "20 kWh/100km", "highway_consumption": "25 kWh/100km"}
    told = refusal(made, "label_range", **tests)
    assert f"while the {origin} label consumption stands in the way" in str(told)
    assert told.advice == "Leave out label_consumption, or claim without city_consumption."
    without = sheet(usable_energy="60 kWh")
    assert "no part" not in without.judge(cw.Claim("label_range", "100 km", **tests)).sentence


@pytest.mark.parametrize("mass", ["1800 kg", "1.8 t", "1790 kg"])
@pytest.mark.parametrize("quantity", ["label_range", "range"])
def test_the_sheet_s_own_value_is_no_other_vehicle(quantity: str, mass: str) -> None:
    made = sheet(**LABEL, consumption="13 kWh/100km", mass="1800 kg")
    if mass != "1790 kg":
        assert made.judge(cw.Claim(quantity, "100 km", mass=mass)).met
    else:
        assert refusal(made, quantity, mass=mass).unheard == ("mass",)


START = {
    "mass": "1500 kg", "friction": "0.9", "driven_weight_share": "0.55", "motor_power": "120 kW",
    "drive_efficiency": "0.9",
}  # fmt: skip


@pytest.mark.parametrize("hill", [{"grade": "60 %"}, {"grade": "-3 %"}, {"headwind": "30 km/h"}])
@pytest.mark.parametrize(
    ("quantity", "goal"),
    [
        ("time_to_speed", {"target_speed": "100 km/h"}),
        ("time_over_distance", {"sprint_distance": "400 m"}),
        ("power_bound_time", {"target_speed": "100 km/h"}),
    ],
)
def test_a_start_in_closed_form_knows_neither_hills_nor_wind(quantity, goal, hill) -> None:
    (name,) = hill
    made = sheet(**START)
    said = refusal(made, quantity, "20 s", **goal, **hill)
    assert said.unheard == (name,)
    assert "neither hills nor wind" in str(said)
    level = made.judge(cw.Claim(quantity, "20 s", **goal, **{name: 0.0}))
    assert "neither hills nor wind" not in level.sentence
    notes = cw.launch.find(quantity, **START, **goal, **hill).notes
    assert any("left out" in one and "neither hills nor wind" in one for one in notes)
    assert not any("no part" in one and name in one for one in notes)


def test_a_limit_of_the_brakes_knows_no_hill_either_and_a_stated_deceleration_needs_none() -> None:
    asked = cw.braking.find("all_wheel_braking_deceleration", friction=0.8, grade="-5 %")
    assert any("neither hills nor wind" in one for one in asked.notes)
    given = cw.braking.find("braking_distance", speed=20, deceleration=4, grade="-5 %")
    assert any("no part" in one for one in given.notes)


def test_a_finding_names_the_remedy_that_a_verdict_names() -> None:
    """A stated load stands in the way of the cabin: what to state and what to leave out lets it count."""
    text = """
    [vehicle]
    name = "Dunlin"
    [values]
    usable_energy = { value = "57 kWh", origin = "quoted" }
    drag_area = { value = "0.84 m^2", origin = "measured" }
    mass = { value = "1980 kg", origin = "measured" }
    rolling_coefficient = { value = 0.009, origin = "assumed" }
    drive_efficiency = { value = 0.88, origin = "assumed" }
    LOAD = { value = "400 W", origin = "assumed" }
    """
    loaded = cw.Sheet.parse(text.replace("LOAD", "auxiliary_power"))
    cabin = {
        "speed": "110 km/h",
        "air_temperature": "-10 degC",
        "cabin_temperature": "20 degC",
        "heat_loss_coefficient": "60 W/K",
        "coefficient_of_performance": 2,
    }
    found = loaded.find("range", **cabin)
    way = "State electronics_power and leave out auxiliary_power"
    assert any(way in one for one in found.notes)
    assert way in repr(found)
    with pytest.raises(cw.ChalkwattError, match=way):
        loaded.judge(cw.Claim("range", "200 km", **cabin))
    with pytest.raises(cw.ChalkwattError, match=way):
        cw.compare(loaded, quantities=("range",), speed="110 km/h", climate_power="2 kW")
    # And the remedy is one: the cabin counts.
    mended = cw.Sheet.parse(text.replace("LOAD", "electronics_power")).find("range", **cabin)
    assert mended.unheard == ()
    assert mended.remedies == ()
    assert mended.si < 0.97 * found.si


# --- Conditions that matter though no relation brings them to what is claimed, and idle ones -------

_PLAIN = {
    "mass": "1500 kg", "drag_area": "0.600 m^2", "rolling_coefficient": "0.0100",
    "drive_efficiency": "0.880", "auxiliary_power": "400 W", "air_density": "1.200 kg/m^3",
}  # fmt: skip
_STARTING = {"motor_power": "100 kW", "friction": 0.9, "driven_weight_share": 0.5}
_CHARGING = {
    "usable_energy": "60 kWh", "charging_power": "50 kW", "state_of_charge_from": 0.1,
    "state_of_charge_to": 0.8,
}  # fmt: skip
_PACK = {
    "pack_voltage": "350 V", "pack_capacity": "170 Ah", "onboard_power_max": "11 kW",
    "charging_efficiency": 0.9,
}  # fmt: skip


def _said(facts, **origins):
    text = '[vehicle]\nname = "x"\ninvented = true\n'
    for name, value in {**_PLAIN, **facts}.items():
        text += f'[values.{name}]\nvalue = {value!r}\norigin = "{origins.get(name, "quoted")}"\n'
    return cw.Sheet.parse(text)


@pytest.mark.parametrize(
    ("facts", "claimed", "conditions", "words"),
    [
        (_STARTING, ("time_to_speed", "20 s"), {"rollout": "0.3 m"}, "rollout time"),
        (_STARTING, ("time_to_speed", "20 s"), {"altitude": "2000 m"}, "without drag"),
        (_STARTING, ("time_to_speed", "20 s"), {"air_temperature": "-10 degC"}, "without drag"),
        (_STARTING, ("time_to_speed", "20 s"), {"drag_area": "1.20 m^2"}, "without drag"),
        (_STARTING, ("time_to_speed", "20 s"), {"rolling_coefficient": "0.0300"}, "rolling"),
        (_CHARGING, ("charging_time", "2 h"), {"air_temperature": "-10 degC"}, "cells take"),
        (_PACK, ("c_rate", "0.1 1/h"), {"speed": "100 km/h"}, "not of the current that the pack"),
    ],
)
def test_what_matters_though_no_relation_holds_it_is_refused(facts, claimed, conditions, words):
    sheet = _said(facts)
    start = {"target_speed": "100 km/h"} if claimed[0] == "time_to_speed" else {}
    assert sheet.judge(cw.Claim(*claimed, **start)).word == "holds"
    with pytest.raises(cw.TooLittleKnownError, match=words) as raised:
        sheet.judge(cw.Claim(*claimed, **start, **conditions))
    assert raised.value.unheard == tuple(conditions)


@pytest.mark.parametrize(
    ("facts", "claimed", "conditions"),
    [
        (_STARTING, ("time_to_speed", "20 s"), {"cabin_temperature": "20 degC"}),
        (_CHARGING, ("charging_time", "2 h"), {"speed": "90 km/h"}),
    ],
)
def test_what_cannot_matter_is_still_judged(facts, claimed, conditions):
    start = {"target_speed": "100 km/h"} if claimed[0] == "time_to_speed" else {}
    verdict = _said(facts).judge(cw.Claim(*claimed, **start, **conditions))
    assert verdict.word == "holds"
    assert "plays no part" in verdict.sentence


@pytest.mark.parametrize("value", ["1400 kg", "1550 kg", "1700 kg"])
@pytest.mark.parametrize("conditions", [{"speed": "90 km/h"}, {"air_temperature": "-5 degC"}])
def test_an_idle_condition_changes_nothing(value, conditions):
    """A measured mass decides against a quoted sum, at any speed and in any weather."""
    sheet = _said({"mass_without_pack": "1200 kg", "pack_mass": "400 kg"}, mass="measured")
    plain, idle = (sheet.judge(cw.Claim("mass", value, **asked)) for asked in ({}, conditions))
    assert idle.finding.si == plain.finding.si == 1500
    assert idle.word == plain.word
    assert "plays no part" in idle.sentence


def test_a_charger_on_the_sheet_refuses_no_station_that_plays_no_part():
    facts = {"pack_energy": "60 kWh", "usable_fraction": 0.9, "onboard_power_max": "11 kW"}
    found = _said(facts).find("usable_energy", station_power_max="50 kW")
    assert found.si == pytest.approx(54 * 3.6e6)
    assert "plays no part" in repr(found)
