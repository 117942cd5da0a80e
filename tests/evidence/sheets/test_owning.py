"""What follows for pack and road never stands in for what another topic means by the same name."""

from __future__ import annotations

import pytest
from scipy.optimize import brentq

import chalkwatt as cw
from chalkwatt.errors import TooLittleKnownError


def sheet(**values: str) -> cw.Sheet:
    """Make an invented sheet; a value is written as "amount origin"."""
    lines = ["[vehicle]", 'name = "Linnet"', "invented = true"]
    for name, said in values.items():
        value, _, origin = said.rpartition(" ")
        lines += [f"[values.{name}]", f'value = "{value}"', f'origin = "{origin}"']
    return cw.Sheet.parse("\n".join(lines))


ROAD = {
    "drag_area": "0.6 m^2 measured",
    "mass": "900 kg measured",
    "rolling_coefficient": "0.01 assumed",
    "drive_efficiency": "0.85 estimated",
    "auxiliary_power": "200 W measured",
    "air_density": "1.2 kg/m^3 measured",
}
LINNET = sheet(
    **ROAD,
    usable_energy="20 kWh quoted",
    motor_power="30 kW quoted",
    friction="0.8 assumed",
    driven_weight_share="0.5 assumed",
)
PLAYS_NO_PART = "plays no part in this"


@pytest.mark.parametrize("speed", ["5 km/h", "28 mph", "31 m/s"])
def test_top_speed_is_by_the_motor_whatever_the_speed_asked_for(speed: str) -> None:
    at_full_power = brentq(
        lambda v: (0.5 * 1.2 * 0.6 * v**2 + 0.01 * 900 * 9.80665) * v - 0.85 * 30e3, 1.0, 200.0
    )
    found = LINNET.find("top_speed", speed=speed)
    assert found.si == pytest.approx(at_full_power, rel=1e-9)
    assert any(f"speed of {speed} {PLAYS_NO_PART}" in one for one in found.notes)
    with pytest.raises(cw.ChalkwattError, match="speed has nothing to do with"):
        cw.compare(LINNET, quantities=("top_speed",), speed=speed)
    made = cw.compare(LINNET, quantities=("range", "top_speed"), speed=speed)
    assert made.cells["top_speed"][0].si == pytest.approx(at_full_power, rel=1e-9)
    assert made.cells["top_speed"][0].idle == ("speed",)


@pytest.mark.parametrize(
    ("wanted", "more"),
    [
        ("time_to_speed", {"target_speed": "28 mph"}),
        ("distance_to_speed", {"target_speed": "60 km/h"}),
        ("power_bound_time", {"target_speed": "60 km/h"}),
        ("exit_speed", {"sprint_distance": "400 m"}),
        ("crossover_speed", {}),
    ],
)
@pytest.mark.parametrize("steady", [{"speed": "28 mph"}, {"battery_power": "4 kW"}])
def test_a_start_is_by_the_motor_whatever_the_road_asks_for(
    wanted: str, more: dict[str, str], steady: dict[str, str]
) -> None:
    found = LINNET.find(wanted, **more, **steady)
    assert found.si == LINNET.find(wanted, **more).si
    assert "motor_power" in found.facts
    assert any(PLAYS_NO_PART in one for one in found.notes)


def test_a_claim_of_a_start_is_judged_by_the_motor() -> None:
    claim = cw.Claim("time_to_speed", "12 s", target_speed="60 mph", speed="60 mph")
    free = cw.Claim("time_to_speed", "12 s", target_speed="60 mph")
    verdict = LINNET.judge(claim)
    assert verdict.finding.si == LINNET.judge(free).finding.si
    assert f"speed of 60 mph {PLAYS_NO_PART}" in verdict.sentence


def test_a_moment_of_a_start_needs_its_speed_and_full_power() -> None:
    v = 20.0
    force = 0.85 * 30e3 / v - 0.5 * 1.2 * 0.6 * v**2 - 0.01 * 900 * 9.80665
    found = LINNET.find("acceleration", speed=v, rotating_mass_factor=1.0, load_transfer=0.0)
    assert found.si == pytest.approx(force / 900, rel=1e-9)
    assert not any("speed" in one and PLAYS_NO_PART in one for one in found.notes)


def test_without_a_motor_the_road_is_no_power_of_a_start() -> None:
    weak = sheet(**ROAD)
    with pytest.raises(TooLittleKnownError, match="the most that motor and battery give"):
        weak.find("power_bound_time", target_speed="60 km/h", speed="50 km/h")


def test_a_label_is_no_drive_at_a_steady_speed() -> None:
    for wanted in ("label_consumption", "tested_range", "label_range"):
        with pytest.raises(TooLittleKnownError, match="of a test cycle, and not of a drive"):
            LINNET.find(wanted, speed="28 mph", charging_efficiency=0.9)


def test_a_consumption_that_rests_on_no_speed_serves_a_label() -> None:
    for name, value in (("tested_range", "125 km quoted"), ("consumption", "16 kWh/100km quoted")):
        stated = sheet(usable_energy="20 kWh quoted", **{name: value})
        found = stated.find("label_consumption", charging_efficiency=0.8)
        assert found.to("kWh/100km") == pytest.approx(20 / 1.25 / 0.8)


def test_a_stated_label_needs_no_speed_and_that_is_told() -> None:
    stated = sheet(**ROAD, usable_energy="20 kWh quoted", label_consumption="20 kWh/100km quoted")
    found = stated.find("tested_range", speed="28 mph", charging_efficiency=0.8)
    assert found.to("km") == pytest.approx(20 / (0.8 * 0.2))
    assert any(f"speed of 28 mph {PLAYS_NO_PART}" in one for one in found.notes)


def test_the_current_that_a_pack_gives_is_no_charging_current() -> None:
    stated = sheet(
        pack_voltage="400 V quoted",
        pack_capacity="150 A*h quoted",
        usable_energy="50 kWh quoted",
        pack_current="450 A quoted",
        station_power_max="50 kW quoted",
    )
    found = stated.find("charging_power")
    assert found.to("kW") == pytest.approx(50)


def test_a_charge_takes_the_consumption_at_the_speed_asked_for() -> None:
    found = LINNET.find("distance_added", speed="50 km/h", energy_added="5 kWh")
    assert found.to("km") == pytest.approx(LINNET.find("range", speed="50 km/h").to("km") / 4)
    assert not any(PLAYS_NO_PART in one for one in found.notes)
