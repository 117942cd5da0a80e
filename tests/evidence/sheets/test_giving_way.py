"""Conditions and facts: who takes whose place, and that it is told."""

from __future__ import annotations

import math

import pytest

import chalkwatt as cw
from chalkwatt.evidence.sheets.choosing import needed_of, put_in_order
from chalkwatt.evidence.sheets.effects import follow_from
from chalkwatt.evidence.sheets.facts import Fact, make_fact
from chalkwatt.laws.quantities import look_up
from chalkwatt.topics.registry import topic_called
from chalkwatt.topics.vehicle import vehicle


def sheet(**values: str) -> cw.Sheet:
    """Make an invented sheet; a value is written as "amount origin"."""
    lines = ["[vehicle]", 'name = "Dunlin"', "invented = true"]
    for name, said in values.items():
        value, _, origin = said.rpartition(" ")
        lines += [f"[values.{name}]", f'value = "{value}"', f'origin = "{origin}"']
    return cw.Sheet.parse("\n".join(lines))


ROAD = {
    "drag_area": "0.6 m^2 measured",
    "mass": "900 kg measured",
    "rolling_coefficient": "0.0100 assumed",
    "drive_efficiency": "0.85 estimated",
    "auxiliary_power": "200 W measured",
    "air_density": "1.2 kg/m^3 measured",
}
PACK = {
    "cell_count": "192 counted",
    "cells_in_series": "96 estimated",
    "cell_voltage": "3.6 V quoted",
    "cell_capacity": "50 A*h quoted",
    "cell_resistance": "1 mohm quoted",
    "usable_fraction": "0.9 assumed",
}
LABEL = {"usable_energy": "60 kWh quoted", "label_consumption": "15 kWh/100km assumed"}
TESTS = {"city_consumption": "20 kWh/100km", "highway_consumption": "25 kWh/100km"}


def test_city_and_highway_take_the_place_of_an_assumed_label() -> None:
    # 40 CFR 600.206-12: 55 % city, 45 % highway; a factor of 0.7 on range.
    found = sheet(**LABEL).find("label_range", **TESTS, charging_efficiency=0.88)
    assert found.to("km") == pytest.approx(0.7 * 60 / (0.88 * (0.55 * 0.20 + 0.45 * 0.25)))
    assert set(found.gave_way["label_consumption"]) == {*TESTS}
    assert any("assumed label consumption" in one and "gives way" in one for one in found.notes)


def test_what_the_sheet_states_of_a_standing_value_is_used_whatever_its_place() -> None:
    """Alphabet, width and origin of the other facts must not decide who gives way."""
    for consumption in ("15 kWh/100km assumed", "10 kWh/100km assumed"):
        stated = sheet(
            usable_energy="60 kWh quoted",
            consumption=consumption,
            charging_efficiency="0.8 assumed",
            city_share="0.4 assumed",
        )
        found = stated.find("label_range", **TESTS)
        assert found.to("km") == pytest.approx(0.7 * 60 / (0.8 * (0.4 * 0.20 + 0.6 * 0.25)))
        assert set(found.gave_way) | set(found.displaced) == {"consumption"}
        assert any("assumed consumption" in one and "gives way" in one for one in found.notes)


def test_a_quoted_label_stands_and_the_conditions_are_told() -> None:
    stated = sheet(usable_energy="60 kWh quoted", label_consumption="15 kWh/100km quoted")
    found = stated.find("label_range", **TESTS, charging_efficiency=0.88)
    assert found.to("km") == pytest.approx(0.7 * 60 / (0.88 * 0.15))
    assert any("play no part" in one and "city consumption" in one for one in found.notes)


def test_an_assumed_panel_gives_way_to_the_sun_asked_for() -> None:
    stated = sheet(
        rated_power="400 W quoted", solar_power="350 W assumed", consumption="8 kWh/100km quoted"
    )
    found = stated.find("charging_distance", irradiance="500 W/m^2")
    assert found.to("km/h") == pytest.approx(200 / 80)
    assert found.gave_way == {"solar_power": ("irradiance",)}


def test_a_limit_of_which_nothing_is_said_makes_no_other_give_way() -> None:
    facts = {
        name: make_fact(name, value, origin="assumed")
        for name, value in {"station_power_max": "50 kW", "pack_capacity": "100 A*h"}.items()
    }
    facts["pack_voltage"] = make_fact("pack_voltage", "400 V", origin="quoted")
    order = put_in_order(facts, ["c_rate"], "charging_time", topic=topic_called("charge"))
    assert not order.gave_way
    assert "station_power_max" in order.taken


def test_other_cells_in_parallel_are_another_count() -> None:
    stated = sheet(**ROAD, **PACK)
    found = stated.find("usable_energy", cells_in_parallel=3)
    assert found.to("kWh") == pytest.approx(0.9 * 96 * 3 * 3.6 * 50 / 1000)
    assert found.displaced == {"cell_count": ("cells_in_parallel",)}
    told = "The counted cell count of 192 gives way to the 3 cells in parallel asked for."
    assert told in found.notes
    far = stated.find("range", speed="80 km/h", cells_in_parallel=3)
    assert told in far.notes
    assert far.si > 1.45 * stated.find("range", speed="80 km/h").si
    claim = cw.Claim("range", "100 km", speed="80 km/h", cells_in_parallel=3)
    assert told in stated.judge(claim).sentence
    charged = stated.find("charging_time", station_power_max="50 kW", cells_in_parallel=3,
                          state_of_charge_from=0.1, state_of_charge_to=0.8)  # fmt: skip
    # 50 kW at the terminals of 96 × 3 cells, of which the voltage at rest stores its part.
    volts, ohms = 96 * 3.6, 96 * 1e-3 / 3
    amperes = (math.sqrt(volts**2 + 4 * ohms * 50e3) - volts) / (2 * ohms)
    stored = 0.7 * 0.9 * 96 * 3 * 3.6 * 50  # Wh
    assert charged.to("min") == pytest.approx(stored / (volts * amperes) * 60)
    assert told in charged.notes


def test_the_same_cells_in_parallel_displace_nothing() -> None:
    found = sheet(**ROAD, **PACK).find("usable_energy", cells_in_parallel=2)
    assert not found.displaced
    assert not any("gives way" in one for one in found.notes)


@pytest.mark.parametrize("loss", ["1 W", "1 kW", "3 hp"])
def test_a_loss_in_the_pack_leaves_the_road_to_the_sheet(loss: str) -> None:
    stated = sheet(**ROAD, **PACK)
    found = stated.find("range", speed="55 mph", pack_loss=loss)
    v = 55 * 0.44704
    force = 0.5 * 1.2 * 0.6 * v**2 + 0.01 * 900 * 9.80665
    lost = {"1 W": 1.0, "1 kW": 1000.0, "3 hp": 3 * 745.6998715822702}[loss]
    power = force * v / 0.85 + 200 + lost
    energy = 0.9 * 192 * 3.6 * 50 * 3600
    assert found.si == pytest.approx(energy / power * v, rel=1e-9)
    assert found.displaced == {"cell_resistance": ("pack_loss",)}
    assert any("quoted cell resistance" in one and "gives way" in one for one in found.notes)


def test_another_drag_coefficient_is_another_drag_area() -> None:
    stated = sheet(**ROAD, frontal_area="2.00 m^2 estimated", usable_energy="20 kWh quoted")
    found = stated.find("range", speed="100 km/h", drag_coefficient="0.200")
    assert found.si == pytest.approx(stated.find("range", speed="100 km/h", drag_area=0.4).si)
    assert found.displaced == {"drag_area": ("drag_coefficient",)}


def test_a_heavier_vehicle_has_no_longer_the_consumption_that_was_measured() -> None:
    stated = sheet(**ROAD, consumption="12 kWh/100km measured", usable_energy="20 kWh quoted")
    heavy = stated.find("range", speed="80 km/h", mass="3200 kg")
    v = 80 / 3.6
    force = 0.5 * 1.2 * 0.6 * v**2 + 0.01 * 3200 * 9.80665
    assert heavy.si == pytest.approx(20 * 3.6e6 / (force / 0.85 + 200 / v), rel=1e-9)
    assert heavy.displaced == {"consumption": ("mass",)}
    # At mass and speed of the sheet the measured consumption outdoes the assumed tyre, as before.
    assert stated.find("range").to("km") == pytest.approx(20 / 0.12)
    own = sheet(
        **ROAD,
        consumption="12 kWh/100km measured",
        usable_energy="20 kWh quoted",
        speed="80 km/h measured",
    )
    assert own.find("range", speed="80 km/h").to("km") == pytest.approx(20 / 0.12)


@pytest.mark.parametrize(
    "weather",
    [
        {"altitude": "2500 m"},
        {"air_temperature": "-20 degC"},
        {"altitude": "2500 m", "air_temperature": "-20 degC"},
        {"air_temperature": "40 degC", "air_pressure": "0.8 bar"},
        {"altitude": "-300 m", "air_temperature": "50 degC"},
    ],
)
def test_a_measured_density_stands_by_one_rule_and_is_told_once(weather: dict[str, str]) -> None:
    stated = sheet(**ROAD, usable_energy="20 kWh quoted")
    plain = stated.find("range", speed="80 km/h")
    found = stated.find("range", speed="80 km/h", **weather)
    assert found.si == plain.si
    assert "air_density" in found.facts
    told = [one for one in found.notes if "air density is measured as 1.2" in one]
    assert len(told) == 1
    assert not any("plays no part" in one or "play no part" in one for one in found.notes)
    verdict = stated.judge(cw.Claim("range", "10 km", speed="80 km/h", **weather))
    assert verdict.word != "holds"


def test_an_assumed_density_gives_way_to_any_of_it() -> None:
    stated = sheet(**{**ROAD, "air_density": "1.2 kg/m^3 assumed"}, usable_energy="20 kWh quoted")
    thin = stated.find("range", speed="80 km/h", altitude="2500 m")
    both = stated.find("range", speed="80 km/h", altitude="2500 m", air_temperature="40 degC")
    for one in (thin, both):
        assert "air_density" not in one.facts
        assert any("assumed air density" in said and "gives way" in said for said in one.notes)
    assert math.isfinite(both.si)
    assert both.si > thin.si


CABIN = {
    "heat_loss_coefficient": "110 W/K quoted",
    "electronics_power": "250 W quoted",
    "usable_energy": "60 kWh quoted",
}
COLD = {"air_temperature": "-10 degC", "cabin_temperature": "22 degC"}


@pytest.mark.parametrize("origin", ["measured", "quoted", "estimated", "assumed"])
def test_a_cabin_takes_the_place_of_a_load_that_was_stated_without_it(origin: str) -> None:
    stated = sheet(**ROAD | CABIN | {"auxiliary_power": f"400 W {origin}"})
    found = stated.find("range", speed="90 km/h", **COLD)
    power = (0.5 * 1.2 * 0.6 * 25**2 + 0.01 * 900 * 9.80665) * 25 / 0.85
    power += 250 + 110 * 32  # a resistance heater
    assert found.si == pytest.approx(60 * 3.6e6 / power * 25, rel=1e-9)
    assert found.gave_way == {"auxiliary_power": ("cabin_temperature",)}
    told = f"The {origin} auxiliary power of 400 W gives way to the cabin temperature of 22 °C asked for."
    assert told in found.notes
    assert told in stated.judge(cw.Claim("range", "100 km", speed="90 km/h", **COLD)).sentence
    pump = stated.find("range", speed="90 km/h", coefficient_of_performance=2, **COLD)
    assert pump.si == pytest.approx(60 * 3.6e6 / (power - 110 * 16) * 25, rel=1e-9)


def test_without_the_cabin_s_losses_the_load_stands_and_that_is_told() -> None:
    stated = sheet(**ROAD, usable_energy="60 kWh quoted")
    found = stated.find("range", speed="90 km/h", **COLD)
    assert found.facts["auxiliary_power"].si == 200
    assert any("cabin temperature of 22 °C plays no part" in one for one in found.notes)
    with pytest.raises(cw.TooLittleKnownError, match="heat loss coefficient"):
        stated.judge(cw.Claim("range", "100 km", speed="90 km/h", **COLD))


@pytest.mark.parametrize("origin", ["quoted", "estimated"])
def test_an_estimated_tyre_gives_way_to_the_cold_and_a_quoted_one_does_not(origin: str) -> None:
    tyre = {
        "rolling_coefficient": f"0.011 {origin}",
        "reference_rolling_coefficient": "0.010 quoted",
        "tyre_temperature_coefficient": "1 %/K quoted",
        "usable_energy": "60 kWh quoted",
    }
    stated = sheet(**{**{one: ROAD[one] for one in ROAD if one != "air_density"}, **tyre})
    found = stated.find("rolling_force", speed="90 km/h", air_temperature="-10 degC")
    if origin == "quoted":
        assert found.si == pytest.approx(0.011 * 900 * 9.80665)
        # It stands, and what the cold would make of it is told.
        assert any("The rolling coefficient is quoted as 0.011, but" in one for one in found.notes)
    else:
        assert found.si == pytest.approx(0.010 / 0.65 * 900 * 9.80665)
        assert found.gave_way == {"rolling_coefficient": ("air_temperature",)}


# A question takes a level road for granted, on which nothing makes a force of the grade.
LEVEL = frozenset({"grade", "grade_angle", "grade_force"})


def _pairs() -> list[tuple[str, str, str, str]]:
    """List every cause with its effect, by every relation, and what the effect makes by another."""
    made = []
    relations = [one for one in vehicle.network.strong if isinstance(one.sides[0], str)]
    for relation in relations:
        effect, *causes = relation.names
        for cause in causes:
            if look_up(cause).constant is not None or {cause, effect} & LEVEL:
                continue
            onward = next(
                (
                    other
                    for other in relations
                    if effect in other.names[1:] and cause not in other.names
                ),
                None,
            )
            if onward is not None:
                made.append((relation.title, cause, effect, onward.title))
    return made


@pytest.mark.parametrize("standing", ["stated", "unsaid"])
@pytest.mark.parametrize(("title", "cause", "effect", "onward"), _pairs())
def test_no_soft_value_silences_what_makes_it(
    title: str, cause: str, effect: str, onward: str, standing: str
) -> None:
    """Of every pair: the effect is estimated, the cause is asked for, and all else of both relations is known.

    That may be by a standing value, but for the temperature outside, without which a climate is off. A growth
    of nought lets nothing matter.
    """
    by = {one.title: one for one in vehicle.network.strong if isinstance(one.sides[0], str)}
    wanted, *others = by[onward].names
    named = {*by[title].names, *others} - {cause, effect, wanted, *LEVEL}
    if standing == "unsaid":
        counts = (one for one in vehicle.network.standing if one.sides[1] != 0)
        named -= {one.names[0] for one in counts} - {"air_temperature"}
    facts = {one: Fact(one, 1.0, 1.0, 1.0, origin="quoted") for one in sorted(named)}
    facts[effect] = Fact(effect, 1.0, 1.0, 1.0, origin="estimated")
    order = put_in_order(facts, [cause], wanted)
    plan = vehicle.network.plan_if_any(wanted, order.taken)
    assert plan is not None, order
    heard = cause in needed_of(plan) or any(
        cause in told for told in (*order.gave_way.values(), *order.stands.values())
    )
    assert heard, (order, effect)


# A vehicle of which all is known that a steady drive takes, but perhaps the air.
WHOLE = {
    "mass": "1500 kg measured",
    "drag_area": "0.6 m^2 measured",
    "rolling_coefficient": "0.01 measured",
    "drive_efficiency": "0.88 measured",
    "usable_energy": "60 kWh measured",
    "auxiliary_power": "400 W measured",
}
CHANGES = {
    "mass": "6000 kg",
    "drag_area": "1.5 m^2",
    "rolling_coefficient": "0.03",
    "drive_efficiency": "50 %",
    "drive_idle_loss": "2 kW",
    "drive_square_loss": "0.01 1/kW",
    "pack_loss": "1 kW",
    "coast_down_linear": "5 N*s/m",
}


def _totals() -> list[tuple[str, str]]:
    """List every change with every total that the relations make of it."""
    known = [*WHOLE, "speed", "air_density"]
    standing = {one.names[0] for one in vehicle.network.standing}
    made = vehicle.network.reach(known, standing=True) - {*known, *standing}
    return [
        (change, total)
        for change in CHANGES
        for total in sorted(made & follow_from(vehicle.network, change))
    ]


@pytest.mark.parametrize("air", [(), ("altitude",), ("air_density",)], ids=str)
@pytest.mark.parametrize(("change", "total"), _totals())
def test_no_total_of_another_vehicle_silences_a_change(
    change: str, total: str, air: tuple[str, ...]
) -> None:
    """Of the standing air the same is known as of a stated one."""
    names = dict.fromkeys((*WHOLE, *air), "measured")
    wanted = "consumption" if total in {"range", "driving_time"} else "range"
    for origin in ("measured", "quoted", "estimated"):
        every = {**names, total: origin}
        facts = {one: Fact(one, 1.0, 1.0, 1.0, origin=said) for one, said in every.items()}
        for asked in (("speed", change), (change, "speed")):
            order = put_in_order(facts, asked, wanted)
            used = needed_of(vehicle.network.plan(wanted, order.taken))
            assert change in used
            assert total not in used


def test_a_heavier_vehicle_is_judged_by_its_mass_in_the_standard_air() -> None:
    claim = cw.Claim("range", "390 km", speed="100 km/h", mass="6000 kg")
    verdict = sheet(**WHOLE, consumption="15 kWh/100km quoted").judge(claim)
    v, density = 100 / 3.6, 101_325 / (287.05287 * 288.15)  # ISO 2533:1975
    force = 0.5 * density * 0.6 * v**2 + 0.01 * 6000 * 9.80665
    assert verdict.finding.si == pytest.approx(60 * 3.6e6 / (force / 0.88 + 400 / v), rel=1e-4)
    assert verdict.word == "out of reach"
    assert (
        "quoted consumption of 15 kWh/100 km gives way to the mass of 6000 kg" in verdict.sentence
    )
    assert "agree" not in verdict.sentence


@pytest.mark.parametrize("origin", ["measured", "quoted", "estimated", "assumed"])
def test_a_label_that_is_asked_for_takes_the_place_of_a_stated_consumption(origin: str) -> None:
    """A label counts at the outlet, and a factor of 0.7 lowers its range (40 CFR 600.210-12)."""
    stated = sheet(usable_energy="58 kWh quoted", consumption=f"15 kWh/100km {origin}")
    claim = cw.Claim("label_range", "350 km", label_consumption="15 kWh/100km")
    verdict = stated.judge(claim)
    assert verdict.finding.to("km") == pytest.approx(58 / 0.87 / 0.15 * 0.7)
    # 78.7 % instead of the 70 % that stand in for the label's factor would do.
    assert verdict.word == "needs favourable values"
    assert f"The {origin} consumption of 15 kWh/100 km gives way" in verdict.sentence
    assert (
        "the label factor, assumed as 70 % for nobody stated it, would have to be at least 78.8 %"
        in verdict.sentence
    )
    assert "The charging efficiency of 87 % is assumed" in verdict.sentence


def test_a_verdict_names_the_values_that_nobody_stated() -> None:
    bare = {"usable_energy": "60 kWh quoted", "label_consumption": "15 kWh/100km quoted"}
    claim = cw.Claim("label_range", "330 km")
    told = sheet(**bare).judge(claim).sentence
    assert "the label factor, assumed as 70 % for nobody stated it" in told
    assert "The charging efficiency of 87 % is assumed: nobody stated it." in told
    met = sheet(**bare).judge(cw.Claim("label_range", "300 km")).sentence
    assert (
        "The label factor of 70 % and the charging efficiency of 87 % are assumed: nobody stated them."
        in met
    )
    stated = sheet(**bare, charging_efficiency="0.9 measured").judge(claim).sentence
    assert "the label factor, assumed as 70 % for nobody stated it" in stated
    every = sheet(**bare, charging_efficiency="0.9 measured", label_factor="0.7 quoted")
    assert "nobody stated" not in every.judge(claim).sentence
