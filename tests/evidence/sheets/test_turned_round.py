"""Turned round: what it takes for a range that is asked for, also where the sheet makes the wanted itself."""

from __future__ import annotations

import math

import pytest

import chalkwatt as cw
from tests.evidence.sheets.test_giving_way import sheet

MADE = {
    "drag_coefficient": "0.29 quoted",
    "frontal_area": "2.9 m^2 measured",
    "mass": "1900 kg measured",
    "drive_efficiency": "0.88 assumed",
    "auxiliary_power": "400 W assumed",
    "air_density": "1.2 kg/m^3 assumed",
    "cell_count": "3456 counted",
    "cells_in_series": "96 estimated",
    "cell_voltage": "3.65 V quoted",
    "cell_capacity": "4.9 Ah quoted",
    "usable_fraction": "0.92 assumed",
}
CELLS_WH = 3456 * 3.65 * 4.9
SPEED = 25.0  # m/s


def takes(metres: float, wanted: str) -> float:
    """Turn range = usable energy / (force / efficiency + load / speed) round by hand."""
    roll, drag = 0.009 * 1900 * 9.80665, 0.5 * 1.2 * SPEED**2
    usable = 0.92 * CELLS_WH * 3600
    a_metre = (roll + drag * 0.29 * 2.9) / 0.88 + 400 / SPEED
    return {
        "drag_area": ((usable / metres - 400 / SPEED) * 0.88 - roll) / drag,
        "usable_energy": metres * a_metre,
        "pack_energy": metres * a_metre / 0.92,
        "cells_in_parallel": metres * a_metre / 0.92 / (96 * 3.65 * 4.9 * 3600),
    }[wanted]


ITSELF = {
    "drag_area": 0.29 * 2.9,
    "usable_energy": 0.92 * CELLS_WH * 3600,
    "pack_energy": CELLS_WH * 3600,
    "cells_in_parallel": 36,
}


@pytest.mark.parametrize(
    ("wanted", "condition", "rolling"),
    [
        *((wanted, "range", "assumed") for wanted in ITSELF),
        ("drag_area", "consumption", "assumed"),
        ("drag_area", "battery_power", "assumed"),
        ("drag_area", "range", "measured"),
        ("usable_energy", "range", "measured"),
        ("usable_energy", "driving_time", "assumed"),
    ],
)
def test_the_condition_is_what_is_asked_about(wanted: str, condition: str, rolling: str) -> None:
    metres = 480e3
    usable = ITSELF["usable_energy"]
    given = {
        "range": metres,
        "consumption": usable / metres,
        "battery_power": usable / metres * SPEED,
        "driving_time": metres / SPEED,
    }[condition]
    stated = sheet(**MADE, rolling_coefficient=f"0.009 {rolling}")
    found = stated.find(wanted, **{condition: given}, speed=SPEED)
    assert found.si == pytest.approx(takes(metres, wanted))
    assert found.own is not None
    assert found.own.si == pytest.approx(ITSELF[wanted])
    told = [
        one for one in found.notes if found.own.text in one and condition in one.replace(" ", "_")
    ]
    assert len(told) == 1
    assert found.unheard == ()
    assert not any("gives way" in one or "plays no part" in one for one in found.notes)


def test_what_determines_nothing_of_the_wanted_leaves_it_to_the_sheet_and_is_told() -> None:
    """Without a mass there is no drag area in a range: the sheet's own is told, and what plays no part."""
    less = {name: said for name, said in MADE.items() if name != "mass"}
    found = sheet(**less, rolling_coefficient="0.009 assumed").find(
        "drag_area", range="480 km", speed=SPEED
    )
    assert found.si == pytest.approx(ITSELF["drag_area"])
    assert found.own is None
    assert "range" in found.unheard
    assert any("plays no part" in one or "play no part" in one for one in found.notes)


def test_what_gives_way_without_effect_does_not_make_a_condition_seem_heard() -> None:
    """The time of a start by the motor's power alone has no drag: an area of 5 m² changes nothing."""
    stated = sheet(
        **MADE,
        rolling_coefficient="0.009 assumed",
        motor_power="150 kW quoted",
        driven_weight_share="0.55 estimated",
        friction="0.9 assumed",
    )
    bare = stated.find("time_to_speed", target_speed="27 m/s")
    found = stated.find("time_to_speed", target_speed="27 m/s", drag_area="5 m^2")
    assert found.si == bare.si
    assert found.unheard == ("drag_area",)
    assert not any("gives way" in one for one in found.notes)
    assert any("drag area" in one and "plays no part" in one for one in found.notes)
    claim = cw.Claim("time_to_speed", "8 s", target_speed="27 m/s", drag_area="5 m^2")
    # It would matter to a start as it is, and so no claim that is made for it is judged without it.
    with pytest.raises(cw.TooLittleKnownError, match="knows no road, without drag"):
        stated.judge(claim)


def test_standing_values_may_help() -> None:
    """Nobody states the density of the air: at sea level and 15 °C it is 1.225 kg/m³ (ICAO, 1993)."""
    less = {name: said for name, said in MADE.items() if name != "air_density"}
    found = sheet(**less, rolling_coefficient="0.009 assumed").find(
        "drag_area", range="480 km", speed=SPEED
    )
    assert found.si == pytest.approx(takes(480e3, "drag_area") * 1.2 / 1.225, rel=1e-4)
    assert found.own is not None
    assert found.own.si == pytest.approx(ITSELF["drag_area"])
    assert found.unheard == ()


def reaches(
    density: float, wind: float = 0.0, slope: float = 0.0, load: float = 400.0, idle: float = 0.0
) -> float:
    """Range of MADE by hand, in metres."""
    lean = math.atan(slope)
    force = 0.009 * 1900 * 9.80665 * math.cos(lean) + 1900 * 9.80665 * math.sin(lean)
    force += 0.5 * density * 0.29 * 2.9 * abs(SPEED + wind) * (SPEED + wind)
    return 0.92 * CELLS_WH * 3600 / (force / 0.88 + (load + idle) / SPEED)


def air(height: float = 0.0, kelvin: float | None = None) -> float:
    """Density of dry air by ISO 2533."""
    pressure = 101325 * (1 - 0.0065 * height / 288.15) ** 5.255876
    return pressure / (287.05287 * (kelvin or 288.15 - 0.0065 * height))


@pytest.mark.parametrize("rolling", ["0.009 assumed", "0.009 measured"])
@pytest.mark.parametrize(
    ("wanted", "truth", "metres", "close"),
    [
        ("headwind", 4.0, reaches(1.2, wind=4.0), 1e-6),
        ("headwind", -3.0, reaches(1.2, wind=-3.0), 1e-6),
        ("grade", 0.006, reaches(1.2, slope=0.006), 1e-6),
        ("drive_idle_loss", 250.0, reaches(1.2, idle=250.0), 1e-6),
        ("air_density", 1.05, reaches(1.05), 1e-6),
        # A given height is geometric and the atmosphere's geopotential: a hundredth of a percent at 2 km.
        ("altitude", 1800.0, reaches(air(1800.0)), 1e-3),
        ("altitude", -300.0, reaches(air(-300.0)), 1e-3),
        ("air_temperature", 303.0, reaches(air(0.0, 303.0)), 1e-3),
        ("air_temperature", 262.0, reaches(air(0.0, 262.0)), 1e-3),
    ],
)
def test_what_a_drive_meets_is_found_from_its_range(
    wanted: str, truth: float, metres: float, close: float, rolling: str
) -> None:
    """An assumed fact gives way to nothing that is asked for, and no standing value answers in place of the range."""
    made = sheet(**MADE, rolling_coefficient=rolling)
    found = made.find(wanted, range=metres, speed=SPEED)
    assert found.si == pytest.approx(truth, rel=close)
    less = truth * 0.9 if truth > 0 else truth * 1.1
    claim = cw.Claim(wanted, less, range=metres, speed=SPEED, sense="at least")
    verdict = made.judge(claim)
    assert verdict.finding.si == pytest.approx(truth, rel=close)


@pytest.mark.parametrize("density", ["1.2 kg/m^3 assumed", ""])
@pytest.mark.parametrize("kelvin", [248.0, 268.0, 285.0])
def test_a_heated_cabin_says_how_cold_it_is(density: str, kelvin: float) -> None:
    known = {one: text for one, text in MADE.items() if one != "air_density"}
    known |= {"air_density": density} if density else {}
    made = sheet(
        **known | {"auxiliary_power": "400 W estimated"}, rolling_coefficient="0.009 assumed"
    )
    load = 300 + 80 * (294.15 - kelvin) / 2.0
    cabin = {"cabin_temperature": "21 degC", "heat_loss_coefficient": "80 W/K",
             "coefficient_of_performance": 2, "electronics_power": "300 W"}  # fmt: skip
    metres = reaches(air(0.0, kelvin), load=load)
    found = made.find("air_temperature", range=metres, speed=SPEED, **cabin)
    assert min(abs(one - kelvin) for one in found.solutions_si) < 0.05
    road = {"drag_area": 0.841, "mass": 1900, "rolling_coefficient": 0.009, "drive_efficiency": 0.88,
            "usable_energy": 0.92 * CELLS_WH * 3600}  # fmt: skip
    again = cw.load.find("air_temperature", range=metres, speed=SPEED, **cabin, **road)
    assert min(abs(one - kelvin) for one in again.solutions_si) < 0.05


CABIN = {
    "cabin_temperature": "21 degC assumed",
    "heat_loss_coefficient": "80 W/K estimated",
    "coefficient_of_performance": "2 estimated",
}


@pytest.mark.parametrize("load", ["400 W estimated", "400 W measured"])
@pytest.mark.parametrize(
    "wanted", ["heat_loss_coefficient", "cabin_temperature", "coefficient_of_performance"]
)
def test_a_load_that_stands_for_all_says_nothing_of_the_cabin(wanted: str, load: str) -> None:
    """What follows from a cabin that is not heated cannot tell what the cabin is: it made 7 W/K, or -13 degrees."""
    known = {**MADE, **CABIN, "auxiliary_power": load, "air_temperature": "-5 degC quoted"}
    made = sheet(**known, rolling_coefficient="0.009 assumed", speed="90 km/h quoted")
    for metres in (reaches(1.2) * 0.9, reaches(1.2) * 1.02):
        with pytest.raises(cw.TooLittleKnownError, match="electronics_power"):
            made.find(wanted, range=metres)


@pytest.mark.parametrize("load", ["", "400 W estimated"])
@pytest.mark.parametrize("kelvin", [250.0, 266.0, 281.0])
def test_the_air_of_a_cold_drive_has_its_own_density(kelvin: float, load: str) -> None:
    """Also where a stated load and the stated cabin would tell how cold it is without the range."""
    known = {one: text for one, text in MADE.items() if one != "auxiliary_power"}
    known |= {"auxiliary_power": load} if load else {}
    made = sheet(
        **known, **CABIN, electronics_power="300 W estimated", rolling_coefficient="0.009 assumed"
    )
    metres = reaches(air(0.0, kelvin), load=300 + 80 * (294.15 - kelvin) / 2.0)
    found = made.find("air_temperature", range=metres, speed=SPEED)
    assert min(abs(one - kelvin) for one in found.solutions_si) < 0.05


@pytest.mark.parametrize(
    "wanted", ["altitude", "headwind", "air_density", "air_temperature", "mass"]
)
def test_what_is_found_from_a_range_contradicts_nothing(wanted: str) -> None:
    """The usable energy beside the range that is asked for is what the wanted was found from."""
    known = {one: text for one, text in MADE.items() if one != "air_density"}
    made = sheet(**known, rolling_coefficient="0.009 measured")
    found = made.find(wanted, range=reaches(air(600.0)), speed=SPEED)
    assert not found.conflicts
    assert found.si is not None


@pytest.mark.parametrize("wanted", ["air_temperature", "air_density"])
def test_what_standing_values_alone_make_decides_no_claim(wanted: str) -> None:
    made = sheet(mass="1500 kg measured", usable_energy="60 kWh measured")
    claim = cw.Claim(
        wanted,
        {"air_density": 1.0}.get(wanted, "280 K"),
        range="300 km",
        speed="90 km/h",
        sense="at least",
    )
    with pytest.raises(cw.TooLittleKnownError, match="standing values alone"):
        made.judge(claim)
