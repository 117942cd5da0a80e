"""What a sheet says twice and otherwise is told wherever an answer rests on it, whichever topic is asked."""

import pytest

from chalkwatt.errors import ChalkwattError
from chalkwatt.evidence.claims.claims import Claim
from chalkwatt.evidence.sheets import Sheet
from chalkwatt.topics.registry import every_topic

# Second ways to what the topics' own examples state, far from what those say.
TWICE = {
    "mass": {"mass": "980 kg", "mass_without_pack": "700 kg", "pack_mass": "90.0 kg"},
    "drag_area": {"drag_area": "0.600 m^2", "drag_coefficient": "0.200", "frontal_area": "1.00 m^2"},
    "usable_energy": {"usable_energy": "36 kWh", "pack_energy": "20.0 kWh", "usable_fraction": "0.900"},
    "pack_voltage": {"pack_voltage": "350 V", "cells_in_series": 60, "cell_voltage": "3.60 V"},
    "air_density": {
        "air_density": "1.300 kg/m^3", "altitude": "3000 m", "air_temperature": "20.0 degC",
    },
}  # fmt: skip
CONDITIONS = {
    "speed", "target_speed", "state_of_charge_from", "state_of_charge_to", "station_power_max",
    "irradiance", "yearly_distance",
}  # fmt: skip
STARTING = {
    "mass": "1500 kg", "mass_without_pack": "1200 kg", "pack_mass": "400 kg", "motor_power": "100 kW",
    "drive_efficiency": "90 %",
}  # fmt: skip


def stating(facts, origin="quoted"):
    text = '[vehicle]\nname = "x"\ninvented = true\n'
    for name, value in facts.items():
        text += f'[values.{name}]\nvalue = {value!r}\norigin = "{origin}"\n'
    return Sheet.parse(text)


@pytest.mark.sweep(1 / 4)
@pytest.mark.parametrize("quantity", TWICE)
@pytest.mark.parametrize("topic", every_topic(), ids=lambda one: one.name)
def test_a_contradiction_is_told_of_every_answer_that_rests_on_it_and_of_no_other(topic, quantity):
    if quantity not in topic.network.names or quantity not in {*topic.example, "air_density"}:
        return
    said = {**topic.example, **TWICE[quantity]}
    asked = {name: said.pop(name) for name in [*said] if name in CONDITIONS}
    sheet = stating(said)
    for wanted in topic.outcomes:
        conditions = {name: value for name, value in asked.items() if name != wanted}
        try:
            found = sheet.find(wanted, **conditions)
        except ChalkwattError:
            continue
        behind = {
            one.name for fact in found.facts.values() for one in getattr(fact, "behind", ())
        } | {*found.facts}
        told = any({*TWICE[quantity]} & {*one.involved} for one in found.conflicts)
        assert told == bool({*TWICE[quantity]} & behind), wanted
        assert all(any(one.clash in note for note in found.notes) for one in found.conflicts)


@pytest.mark.parametrize("wanted", ["power_bound_time", "top_speed"])
def test_the_other_side_is_reckoned_for_a_start_too(wanted):
    """Power · time = mass · speed² / 2, without a road: so the time is as the mass is. Nor is a claim between sure."""
    if wanted == "top_speed":
        more = {"drag_area": "0.6 m^2", "rolling_coefficient": 0.01, "air_density": "1.2 kg/m^3"}
        found = stating(STARTING | more).find(wanted)
        assert "1500 kg" in repr(found)
        assert "1600 kg" in repr(found)
        return
    sheet, asked = stating(STARTING), {"target_speed": "90 km/h"}
    by = {mass: mass * 25.0**2 / 2 / (100e3 * 0.9) for mass in (1500, 1600)}
    found = sheet.find(wanted, **asked)
    assert found.si == pytest.approx(by[1500])
    for sense in ("at least", "at most"):
        verdict = sheet.judge(Claim(wanted, sum(by.values()) / 2, sense=sense, **asked))
        (route,) = verdict.routes
        assert route.si == pytest.approx(by[1600])
        assert verdict.word == "disputed"
        assert "1500 kg" in verdict.sentence
        assert "1600 kg" in verdict.sentence


def test_a_mass_that_is_asked_for_contradicts_nothing():
    found = stating(STARTING).find("power_bound_time", target_speed="90 km/h", mass="1700 kg")
    assert found.si == pytest.approx(1700 * 25.0**2 / 2 / (100e3 * 0.9))
    assert not found.conflicts
