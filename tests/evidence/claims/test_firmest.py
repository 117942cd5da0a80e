"""What deserves most trust decides: a measured value against what follows from quoted and assumed ones."""

from __future__ import annotations

import numpy as np
import pytest

import chalkwatt as cw
from chalkwatt.errors import TooMuchKnownError
from chalkwatt.laws.quantities import look_up

ROAD = {
    "mass": ("1500 kg", "quoted"),
    "drag_area": ("0.600 m^2", "estimated"),
    "rolling_coefficient": ("0.0100", "estimated"),
    "drive_efficiency": ("0.850", "assumed"),
    "usable_energy": ("60 kWh", "quoted"),
}
TYRES = {"driven_weight_share": ("0.55", "estimated"), "friction": ("0.9", "assumed")}


def sheet(**values: tuple[str, str]) -> cw.Sheet:
    """Make an invented sheet of values with their origins."""
    lines = ["[vehicle]", 'name = "Dunlin"', "invented = true"]
    for name, (value, origin) in values.items():
        lines += [f"[values.{name}]", f'value = "{value}"', f'origin = "{origin}"']
    return cw.Sheet.parse("\n".join(lines))


def power_at(speed: float) -> float:
    """Reckon by hand what the motor of that vehicle gives at a speed in m/s, in watts."""
    force = 0.5 * 1.225 * 0.6 * speed**2 + 0.01 * 1500 * 9.80665
    return force * speed / 0.85


@pytest.mark.parametrize(
    ("least", "word"), [(50, "probably holds"), (61, "out of reach"), (130, "out of reach")]
)
def test_a_measured_power_decides_a_claim_of_it_beside_a_quoted_top_speed(
    least: int, word: str
) -> None:
    made = sheet(**ROAD, motor_power=("60.0 kW", "measured"), top_speed=("240 km/h", "quoted"))
    verdict = made.judge(cw.Claim("motor_power", f"{least} kW", sense="at least"))
    assert verdict.word == word
    assert verdict.finding.si == 60e3
    # Both are told: what the rest of the sheet makes of it, and where they collide.
    assert [one.si for one in verdict.routes] == [pytest.approx(power_at(240 / 3.6), rel=1e-3)]
    assert "The top speed is quoted as 240 km/h, but the other facts make it" in verdict.sentence
    assert f"{power_at(240 / 3.6) / 1000:.0f} kW" in verdict.sentence


def test_what_is_apart_by_no_more_than_rounding_is_told_without_a_contradiction() -> None:
    # 210 km/h ask for 95 kW of the stated values; a rolling coefficient of "0.01" may be 0.005.
    loose = {
        **ROAD,
        "rolling_coefficient": ("0.01", "estimated"),
        "drag_area": ("0.6 m^2", "estimated"),
    }
    made = sheet(**loose, motor_power=("90 kW", "measured"), top_speed=("210 km/h", "quoted"))
    verdict = made.judge(cw.Claim("motor_power", "93 kW", sense="at least"))
    assert (verdict.word, verdict.conflicts) == ("out of reach", ())
    assert "The other values of the sheet make it" in verdict.sentence
    assert "what was measured decides" in verdict.sentence
    # A quoted power is what the claim says, and the rest of the sheet tests it.
    quoted = sheet(**loose, motor_power=("90 kW", "quoted"), top_speed=("210 km/h", "quoted"))
    other = quoted.judge(cw.Claim("motor_power", "93 kW", sense="at least"))
    assert other.finding.si == pytest.approx(power_at(210 / 3.6), rel=1e-3)


@pytest.mark.parametrize(
    ("firm", "soft", "metres"),
    [
        (
            {"deceleration": ("7 m/s^2", "measured")},
            {"braking_time": ("2 s", "quoted")},
            (100 / 3.6) ** 2 / 14,
        ),
        (
            {"braking_time": ("5 s", "measured")},
            {"deceleration": ("3 m/s^2", "quoted")},
            100 / 3.6 * 5 / 2,
        ),
    ],
)
def test_braking_ends_at_rest_unless_something_else_is_said(
    firm: dict, soft: dict, metres: float
) -> None:
    found = sheet(**ROAD, **firm, **soft).find("braking_distance", speed="100 km/h")
    assert found.si == pytest.approx(metres, rel=1e-9)
    assert {one.quantity for one in found.conflicts} == {"braking_time"}
    # Asked for itself, or stated, the end speed is what both make of it.
    end = sheet(**ROAD, **firm, **soft, end_speed=("20 km/h", "quoted"))
    assert end.find("braking_distance", speed="100 km/h").si != pytest.approx(metres, rel=1e-3)


def test_a_measured_value_is_taken_where_a_quoted_one_says_the_same() -> None:
    said = {"motor_power": ("80 kW", "measured"), "top_speed": ("150 km/h", "quoted")}
    swapped = {"motor_power": ("80 kW", "quoted"), "top_speed": ("150 km/h", "measured")}
    by_power = sheet(**ROAD, **said).find("wheel_power")
    assert "motor_power" in by_power.facts
    assert by_power.si == pytest.approx(0.85 * 80e3)
    assert "top_speed" not in by_power.facts
    del swapped["top_speed"]
    assert sheet(**ROAD, **swapped).find("wheel_power").si == pytest.approx(0.85 * 80e3)


@pytest.mark.parametrize("pull", [3.6, 4.0, 4.5])
@pytest.mark.parametrize("kilowatts", [25, 60])
def test_of_facts_beyond_a_limit_the_least_trusted_that_can_mend_it_is_set_aside(
    pull: float, kilowatts: int
) -> None:
    origins = {"mean_acceleration": f"{pull} m/s^2", "motor_power": f"{kilowatts} kW"}
    seconds = {}
    for firm, soft in (("mean_acceleration", "motor_power"), ("motor_power", "mean_acceleration")):
        facts = {firm: (origins[firm], "measured"), soft: (origins[soft], "quoted")}
        made = sheet(**ROAD, **TYRES, **facts)
        found = made.find("time_to_speed", target_speed="100 km/h")
        (clash,) = found.conflicts
        assert soft not in found.facts
        assert f"The quoted {look_up(soft).words} of" in clash.clash
        assert "is set aside" in repr(found)
        seconds[firm] = found.si
        # A claim hears both: by neither alone does it hold.
        verdict = made.judge(cw.Claim("time_to_speed", "100 s", target_speed="100 km/h"))
        assert verdict.word == "probably holds"
        assert [one.through for one in verdict.routes] == [(soft,)]
    assert seconds["mean_acceleration"] == pytest.approx(100 / 3.6 / pull, rel=1e-9)
    assert seconds["motor_power"] > 1500 * (100 / 3.6) ** 2 / 2 / (0.85 * 1000 * kilowatts)


def test_what_only_the_question_could_mend_is_refused() -> None:
    made = sheet(**ROAD, **TYRES, motor_power=("80 kW", "measured"))
    with pytest.raises(TooMuchKnownError, match="motor power"):
        made.find(
            "time_to_speed",
            target_speed="100 km/h",
            mean_acceleration="4.5 m/s^2",
            motor_power="20 kW",
        )


@pytest.mark.parametrize("share", [0.78, 0.81, 0.84, 0.86, 0.88, 0.92, 0.99])
def test_a_claim_that_a_usual_value_of_what_nobody_stated_would_meet_is_not_out_of_reach(
    share: float,
) -> None:
    # Tested range times label consumption times charging efficiency is the usable energy.
    metres = 60 / (16 * share) * 100
    said = {
        "usable_energy": ("60.00 kWh", "quoted"),
        "label_consumption": ("16.00 kWh/100 km", "quoted"),
    }
    low, high = look_up("charging_efficiency").usual
    claim = cw.Claim("tested_range", f"{metres:.4f} km")
    verdict = sheet(**said).judge(claim)
    if share >= 0.87:
        assert verdict.word == "holds"
    else:
        assert verdict.word == (
            "needs favourable values" if low <= share <= high else "out of reach"
        )
        assert ("nobody stated it, would have to be at most" in verdict.sentence) == (
            low <= share <= high
        )
    # Stated, it is a fact with its own range, and no other value of it is thought of.
    firm = sheet(**said, charging_efficiency=("87.00 %", "measured")).judge(claim)
    assert firm.word == ("holds" if share >= 0.87 else "out of reach")


QUOTED = {
    "mass": ("1540 kg", "measured"),
    "drag_area": ("0.860 m^2", "measured"),
    "rolling_coefficient": ("0.0100", "assumed"),
    "drive_efficiency": ("0.860", "assumed"),
    "auxiliary_power": ("300 W", "estimated"),
    "usable_energy": ("37.0 kWh", "quoted"),
    "consumption": ("3.90 mi/kWh", "quoted"),
}


@pytest.mark.parametrize("origin", ["quoted", "measured"])
@pytest.mark.parametrize("speed", [30, 60, 100, 129])
def test_a_quoted_consumption_is_not_that_of_the_speed_that_is_asked_for(
    speed: int, origin: str
) -> None:
    said = {**QUOTED, "consumption": ("3.90 mi/kWh", origin)}
    meets = speed / 3.6
    # In J/m, in the air of the standard atmosphere.
    road = (0.5 * 1.225 * 0.86 * meets**2 + 0.01 * 1540 * 9.80665) / 0.86 + 300 / meets
    by_road, by_quote = 37.0 * 3.6e6 / road, 37.0 * 3.9 * 1609.344
    claim = cw.Claim("range", f"{by_quote / 1000 - 3:.1f} km", speed=f"{speed} km/h")
    # A consumption that is stated without its speed is not that of the one asked for.
    verdict = sheet(**said).judge(claim)
    assert verdict.finding.si == pytest.approx(by_road, rel=1e-4)
    assert verdict.word == ("holds" if by_road > by_quote else "out of reach")
    assert "gives way to the speed" in verdict.sentence
    for wanted, truth in (
        ("battery_power", road * meets),
        ("driving_time", by_road / meets),
        ("consumption", road),
    ):
        assert sheet(**said).find(wanted, speed=f"{speed} km/h").si == pytest.approx(
            truth, rel=1e-4
        )
    wall = sheet(**said, charging_efficiency=("0.880", "assumed")).find(
        "wall_consumption", speed=f"{speed} km/h"
    )
    assert wall.si == pytest.approx(road / 0.88, rel=1e-4)
    # At the speed that the sheet itself states it stands, by its trust, and the road is held against it.
    own = sheet(**said, speed=(f"{speed} km/h", "measured"))
    verdict = own.judge(claim)
    assert verdict.finding.si == pytest.approx(by_quote, rel=1e-6)
    # Of a measured one trust decides against a quoted road; of two that are quoted neither does.
    decided = by_road > by_quote or origin == "measured"
    assert verdict.word == ("probably holds" if decided else "disputed")
    assert [one.si for one in verdict.routes] == [pytest.approx(by_road, rel=1e-4)]
    assert f"with the speed of {speed} km/h asked for the other facts make it" in verdict.sentence
    # Where the road makes the same, there is nothing to tell.
    same = sheet(
        **{**said, "consumption": (f"{road:.2f} J/m", origin)}, speed=(f"{speed} km/h", "measured")
    )
    assert not same.find("range", speed=f"{speed} km/h").conflicts


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("battery_power", "15 kW"),
        ("wheel_power", "11 kW"),
        ("driving_time", "2.6 h"),
        ("range", "236 mi"),
    ],
)
@pytest.mark.parametrize("known", [True, False])
def test_a_result_that_is_stated_is_not_that_of_another_speed(
    name: str, value: str, *, known: bool
) -> None:
    less = {one: said for one, said in QUOTED.items() if one != "consumption"}
    own = {"speed": ("55 mph", "measured")} if known else {}
    made = sheet(**less, **{name: (value, "measured")}, **own)
    meets = 80 * 0.44704
    road = (0.5 * 1.225 * 0.86 * meets**2 + 0.01 * 1540 * 9.80665) / 0.86 + 300 / meets
    found = made.find("range" if name != "range" else "consumption", speed="80 mph")
    truth = 37.0 * 3.6e6 / road if name != "range" else road
    assert found.si == pytest.approx(truth, rel=1e-4)
    assert "gives way to the speed of 80 mph asked for" in repr(found)


@pytest.mark.parametrize(
    "asked", [{"headwind": "20 mph"}, {"grade": "3 %"}, {"grade": "-6 %", "speed": "80 mph"}]
)
def test_no_contradiction_is_told_without_its_number(asked: dict[str, str]) -> None:
    # Of the stated consumption no rolling coefficient is left that would make it against that wind.
    made = sheet(**QUOTED, speed=("55 mph", "measured"))
    found = made.find("range", **asked)
    assert "–" not in repr(found)
    assert all(abs(one.derived) < float("inf") for one in found.conflicts)


ALL = {
    "mass": ("1500 kg", "measured"),
    "drag_area": ("0.600 m^2", "measured"),
    "rolling_coefficient": ("0.0100", "measured"),
    "drive_efficiency": ("0.850", "measured"),
    "air_density": ("1.20 kg/m^3", "measured"),
    "driven_weight_share": ("0.550", "measured"),
    "friction": ("0.900", "measured"),
}
CHARGE = {
    "usable_energy": ("60.0 kWh", "measured"),
    "state_of_charge_from": ("10 %", "measured"),
    "state_of_charge_to": ("80 %", "measured"),
    "taper_factor": ("0.70", "measured"),
}


def start_of(power: float, speed: float, share: float = 0.55) -> float:
    """Reckon by hand the time of that vehicle to a speed in m/s: tyres first, then power."""
    held, wheels = 0.9 * share * 9.80665, 0.85 * power
    turn = min(speed, wheels / 1500 / held)
    return turn / held + 1500 * (speed**2 - turn**2) / 2 / wheels


@pytest.mark.parametrize("origin", ["quoted", "assumed"])
def test_a_softer_fact_gives_no_number_where_firmer_ones_contradict_it(origin: str) -> None:
    station = {"station_power_max": ("50.0 kW", "measured")}
    charge = sheet(**CHARGE, **station, charging_time=("20 min", origin))
    minutes = 60 * 0.7 / (50 * 0.7) * 60  # energy over mean power
    for wanted, truth in (
        ("charging_power", 50e3),
        ("average_charging_power", 35e3),
        ("charging_time", 60 * minutes),
    ):
        found = charge.find(wanted)
        assert found.si == pytest.approx(truth, rel=1e-6)
        assert f"The charging time is {origin} as 20 min" in repr(found)
    turned = sheet(
        **CHARGE, charging_power=("50 kW", origin), charging_time=("20.0 min", "measured")
    )
    assert turned.find("average_charging_power").si == pytest.approx(126e3, rel=1e-6)
    fast = sheet(**ALL, top_speed=("240.0 km/h", "measured"), motor_power=("60.0 kW", origin))
    assert fast.find("wheel_power").si == pytest.approx(0.85 * power_of(240 / 3.6), rel=1e-6)
    quick = {"time_to_speed": ("6.0 s", origin), "target_speed": ("100 km/h", "quoted")}
    start = sheet(**ALL, motor_power=("60.0 kW", "measured"), **quick)
    assert start.find("crossover_speed").si == pytest.approx(
        51e3 / 1500 / (0.495 * 9.80665), rel=1e-6
    )


def power_of(speed: float) -> float:
    """Reckon what the motor of ALL gives at a speed in m/s."""
    return (0.5 * 1.2 * 0.6 * speed**2 + 0.01 * 1500 * 9.80665) * speed / 0.85


@pytest.mark.parametrize("origin", ["quoted", "measured"])
@pytest.mark.parametrize("top", [120, 160, 178, 230])
def test_gravity_is_not_made_of_a_top_speed_that_is_stated(top: int, origin: str) -> None:
    made = sheet(**ALL, motor_power=("60.0 kW", "measured"), top_speed=(f"{top} km/h", origin))
    found = made.find("time_to_speed", target_speed="100 km/h")
    assert found.si == pytest.approx(start_of(60e3, 100 / 3.6), rel=1e-6)
    known = {name: value for name, (value, _) in ALL.items()}
    straight = cw.launch.find(
        "time_to_speed",
        target_speed="100 km/h",
        motor_power="60 kW",
        top_speed=f"{top} km/h",
        **known,
    )
    assert straight.si == pytest.approx(start_of(60e3, 100 / 3.6), rel=1e-6)


def test_gravity_that_given_values_contradict_is_told() -> None:
    known = {
        "speed": "90 km/h",
        "mass": 1500,
        "rolling_coefficient": 0.01,
        "drag_area": 0.6,
        "grade": "2 %",
    }
    # To the rounding of the force it is one fact said twice.
    assert cw.load.find("road_force", rolling_force=147.0, **known).si > 0
    with pytest.raises(TooMuchKnownError, match="Rolling resistance"):
        cw.load.find("road_force", rolling_force=24.6, **known)
    # Who asks finds another gravity.
    asked = {"rolling_force": 24.3, "mass": 1500, "rolling_coefficient": 0.01}
    assert cw.load.find("gravity", **asked).si == pytest.approx(1.62)


@pytest.mark.parametrize("rise", [0.03, -0.01])
def test_a_result_that_is_stated_is_not_that_of_a_slope(rise: float) -> None:
    made = sheet(**QUOTED, speed=("55 mph", "measured"))
    v, angle = 55 * 0.44704, np.arctan(rise)
    force = 0.5 * 1.225 * 0.86 * v**2 + 1540 * 9.80665 * (0.01 * np.cos(angle) + np.sin(angle))
    found = made.find("range", grade=f"{100 * rise} %")
    assert found.si == pytest.approx(37.0 * 3.6e6 / (force / 0.86 + 300 / v), rel=1e-4)


@pytest.mark.parametrize("origin", ["measured", "quoted", "estimated", "assumed"])
def test_a_stated_economical_speed_makes_no_range_and_is_told_where_it_contradicts(origin) -> None:
    more = {"auxiliary_power": ("400 W", "estimated"), "speed": ("110 km/h", "quoted")}
    alone = sheet(**ROAD, **more).find("range")
    made = sheet(**ROAD, **more, economical_speed=("52 km/h", origin)).find("range")
    assert made.si == alone.si
    # By hand: the drag's square of speed costs the power of the load there, v³ = η·P / (ρ·A).
    best = 3.6 * (0.85 * 400 / (1.225 * 0.6)) ** (1 / 3)
    told = (
        f"The economical speed is {origin} as 52 km/h, but the other facts make it {best:.2f} km/h"
    )
    assert told in " ".join(made.notes)


@pytest.mark.parametrize(
    "level", [{"grade": "0 %"}, {"headwind": "0 m/s"}, {"grade_angle": "0 deg"}]
)
def test_what_is_taken_for_granted_anyhow_is_no_other_drive(level: dict[str, str]) -> None:
    made = sheet(**QUOTED, speed=("55 mph", "measured"))
    assert made.find("range", **level).si == pytest.approx(made.find("range").si, rel=1e-9)
    assert made.find("driving_time", **level).si == made.find("driving_time").si
    # Of a sheet that states a slope, a level road is another.
    hilly = sheet(**QUOTED, speed=("55 mph", "measured"), grade=("2 %", "measured"))
    v = 55 * 0.44704
    road = (0.5 * 1.225 * 0.86 * v**2 + 0.01 * 1540 * 9.80665) / 0.86 + 300 / v
    if "headwind" not in level:
        assert hilly.find("range", **level).si == pytest.approx(37.0 * 3.6e6 / road, rel=1e-4)


def test_what_facts_contradict_at_another_speed_is_told_once_of_what_contradicts() -> None:
    """The speed alone makes no rolling coefficient: only with the quoted consumption, which is told."""
    said = {
        "consumption": ("3.90 mi/kWh", "quoted"),
        "rolling_coefficient": ("0.0100", "estimated"),
    }
    made = sheet(**QUOTED | said, speed=("55 mph", "measured"))
    for wanted in ("range", "consumption", "battery_power"):
        found = made.find(wanted, speed="80 mph")
        assert [one.quantity for one in found.conflicts] == ["consumption"]


@pytest.mark.parametrize("origin", ["measured", "quoted"])
@pytest.mark.parametrize("own", [True, False])
def test_what_was_measured_at_the_conditions_of_the_claim_decides(
    origin: str, *, own: bool
) -> None:
    """That a claim says the sheet's own target speed, or its own levels of charge, changes nothing."""
    started = sheet(
        **ROAD,
        **TYRES,
        motor_power=("120 kW", "quoted"),
        time_to_speed=("6.0 s", origin),
        target_speed=("100 km/h", "quoted"),
    )
    spoken = {"target_speed": "100 km/h"} if own else {}
    verdict = started.judge(cw.Claim("time_to_speed", "6.5 s", **spoken))
    assert (verdict.finding.si == 6.0) == (origin == "measured")
    assert "plays no part" not in verdict.sentence
    assert started.judge(cw.Claim("time_to_speed", "6.5 s", target_speed="80 km/h")).finding.si != 6
    charged = sheet(
        usable_energy=("60 kWh", "quoted"),
        charging_time=("30 min", origin),
        state_of_charge_from=("10 %", "quoted"),
        state_of_charge_to=("80 %", "quoted"),
        station_power_max=("100 kW", "quoted"),
        charging_efficiency=("0.92", "estimated"),
    )
    levels = {"state_of_charge_from": "10 %", "state_of_charge_to": "80 %"} if own else {}
    verdict = charged.judge(cw.Claim("charging_time", "28 min", **levels))
    assert (verdict.finding.si == 1800) == (origin == "measured")
    assert "play no part" not in verdict.sentence
    other = cw.Claim("charging_time", "28 min", **levels | {"state_of_charge_from": "20 %"})
    assert charged.judge(other).finding.si == pytest.approx(0.6 * 60 / 100 * 3600)


CALM = {
    "mass": ("1400 kg", "measured"),
    "drag_area": ("0.500 m^2", "measured"),
    "rolling_coefficient": ("0.00900", "measured"),
    "air_density": ("1.200 kg/m^3", "measured"),
    "drive_efficiency": ("0.880", "measured"),
    "auxiliary_power": ("400 W", "measured"),
    "usable_energy": ("60.0 kWh", "measured"),
}


def push(v: float, *, slope: float = 0.0) -> float:
    """Force of that road at a speed in m/s, in newtons."""
    lean = np.arctan(slope)
    weight = 1400 * 9.80665
    return 0.5 * 1.2 * 0.5 * v * v + weight * (0.009 * np.cos(lean) + np.sin(lean))


@pytest.mark.sweep(1 / 4)
@pytest.mark.parametrize("met", [{}, {"headwind": "0 km/h"}, {"grade": "0 %"}, {"grade": "1 %"}])
@pytest.mark.parametrize("speed", [45, 25])
def test_a_quoted_economical_speed_bends_no_range(speed: int, met: dict[str, str]) -> None:
    made = sheet(**CALM, economical_speed=(f"{speed} km/h", "quoted"))
    rise = 0.01 if "1 %" in met.values() else 0.0
    truth = 60 * 3.6e6 / (push(25.0, slope=rise) / 0.88 + 400 / 25)
    verdict = made.judge(cw.Claim("range", f"{truth / 1000 - 5:.1f} km", speed="90 km/h", **met))
    assert verdict.finding.si == pytest.approx(truth, rel=1e-6)
    assert verdict.word == "probably holds"
    assert "economical speed is quoted" in verdict.sentence


@pytest.mark.sweep(1 / 3)
@pytest.mark.parametrize("top", [150, 180, 240])
def test_a_quoted_top_speed_bends_no_start(top: int) -> None:
    tyres = {"driven_weight_share": ("0.550", "measured"), "friction": ("0.900", "measured")}
    made = sheet(
        **CALM,
        **tyres,
        motor_power=("90.0 kW", "measured"),
        top_speed=(f"{top} km/h", "quoted"),
        rotating_mass_factor=("1.000", "assumed"),
    )
    truth = (0.88 * 90e3 / 20 - push(20.0)) / 1400
    verdict = made.judge(cw.Claim("acceleration", f"{truth - 0.05:.3f} m/s^2", speed="72 km/h"))
    assert verdict.finding.si == pytest.approx(truth, rel=1e-6)
    assert verdict.word in {"holds", "probably holds"}


@pytest.mark.sweep(1 / 4)
@pytest.mark.parametrize("air", [("1.200 kg/m^3", "measured"), None])
@pytest.mark.parametrize("second", [("range", "200 km"), ("driving_time", "6 h")])
def test_two_results_that_contradict_each_other_are_both_those_of_another_drive(
    air, second
) -> None:
    less = {name: said for name, said in CALM.items() if name != "air_density"}
    made = sheet(
        **less,
        **({"air_density": air} if air else {}),
        consumption=("3.00 kWh/100km", "quoted"),
        **{second[0]: (second[1], "quoted")},
    )
    v = 80 / 3.6
    drag = 0.5 * (1.2 if air else 101_325 / (287.05287 * 288.15)) * 0.5 * v * v
    force = drag + 0.009 * 1400 * 9.80665
    power = force * v / 0.88 + 400
    for wanted, truth in (
        ("battery_power", power),
        ("consumption", power / v),
        ("air_share", drag / force * (power - 400) / power),
    ):
        found = made.find(wanted, speed="80 km/h")
        if wanted != "air_share":
            assert found.si == pytest.approx(truth, rel=1e-4), wanted
        assert "consumption is quoted as 3 kWh/100 km" in repr(found)
        assert "–" not in repr(found)
    claim = cw.Claim("battery_power", "4 kW", speed="80 km/h", sense="at most")
    assert made.judge(claim).word == "out of reach"
