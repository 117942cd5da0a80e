"""Standing values that speak for a claim are told with it, and no others."""

import functools
import math

import numpy as np
import pytest

import chalkwatt as cw
from chalkwatt.errors import ChalkwattError, NoSolutionError
from chalkwatt.evidence.flattery import flattered
from chalkwatt.laws.quantities import look_up
from tests.browsing import ROOT

DEMO = cw.Sheet.read(ROOT / "assets" / "quillwort.toml")
FAST = {
    "station_power_max": "50 kW",
    "state_of_charge_from": "10 %",
    "state_of_charge_to": "80 %",
}
WORDS = "Taken for granted in its favour: constant power (taper factor 100 %)."


@pytest.mark.parametrize(
    ("claim", "told"),
    [
        (cw.Claim("charging_time", "32 min", **FAST), True),
        (cw.Claim("average_charging_power", "20 kW", **FAST), True),
        (cw.Claim("distance_in_ten_minutes", "60 km", speed="90 km/h", **FAST), True),
        # Who claims that it takes at least so long is not helped by it, nor who claims the highest power.
        (cw.Claim("charging_time", "32 min", sense="at least", **FAST), False),
        (cw.Claim("charging_power", "20 kW", **FAST), False),
        (cw.Claim("charging_time", "60 min", taper_factor=0.8, **FAST), False),
    ],
)
def test_a_fast_charge_says_that_its_power_never_falls(claim, told):
    sentence = DEMO.judge(claim).sentence
    assert sentence.count(WORDS) == told
    assert sentence.count("constant power") == told


def test_a_finding_says_it_too_once():
    found = DEMO.find("charging_time", **FAST)
    assert repr(found).count(WORDS) == found.notes.count(WORDS) == 1
    stated = DEMO.revised("taper_factor", 0.8, origin="assumed")
    tapered = stated.find("charging_time", **FAST)
    assert WORDS not in tapered.notes
    assert tapered.si == pytest.approx(found.si / 0.8)


def test_a_start_says_that_nothing_is_spun_up():
    said = (
        "Taken for granted in its favour: no drag and no rolling resistance; no parts to spin up "
        "(rotating mass factor 1)."
    )
    assert said in DEMO.judge(cw.Claim("time_to_speed", "9 s", target_speed="60 mph")).sentence


def test_who_claims_that_a_start_takes_long_is_not_flattered_by_its_lack_of_drag():
    slow = cw.Claim("time_to_speed", "3 s", target_speed="60 mph", sense="at least")
    assert "no drag" not in DEMO.judge(slow).sentence


WEAK = """
[vehicle]
name = "Teal"
invented = true
"""
WEAK_VALUES = {
    "mass": "250 kg",
    "drag_area": "0.5 m^2",
    "rolling_coefficient": "0.006",
    "air_density": "1.2 kg/m^3",
    "drive_efficiency": "0.8",
    "motor_power": "4 kW",
    "friction": "0.8",
    "driven_weight_share": "0.5",
}


def weak(**more):
    lines = [WEAK]
    for name, value in {**WEAK_VALUES, **more}.items():
        lines.append(f'[values.{name}]\nvalue = "{value}"\norigin = "estimated"\n')
    return cw.Sheet.parse("".join(lines))


def top_of_the_weak():
    """By hand: where the power of the wheels is what drag and tyres take."""
    roots = np.roots([0.5 * 1.2 * 0.5, 0, 0.006 * 250 * 9.80665, -0.8 * 4000])
    return float(roots[np.isreal(roots)].real[0])


def test_a_speed_that_drag_never_lets_it_reach_is_reached_by_no_start():
    top = top_of_the_weak()
    below, above = f"{0.95 * top} m/s", f"{1.02 * top} m/s"
    made = weak()
    beyond = made.judge(cw.Claim("time_to_speed", "1000 s", target_speed=above))
    assert beyond.word == "out of reach"
    assert beyond.chance == 0
    assert "is never reached" in beyond.sentence
    assert made.judge(cw.Claim("time_to_speed", "1000 s", target_speed=below)).word == "holds"
    with pytest.raises(NoSolutionError, match="is never reached"):
        made.find("time_to_speed", target_speed=above)
    with pytest.raises(NoSolutionError, match="is never reached"):
        made.find("exit_speed", sprint_distance="10 km")
    assert made.find("exit_speed", sprint_distance="100 m").si < top


def test_a_stated_top_speed_is_none_that_a_start_goes_beyond():
    rest = {
        name: one
        for name, one in WEAK_VALUES.items()
        if name not in {"drag_area", "rolling_coefficient"}
    }
    lines = [WEAK]
    for name, value in {**rest, "top_speed": "80 km/h"}.items():
        lines.append(f'[values.{name}]\nvalue = "{value}"\norigin = "estimated"\n')
    made = cw.Sheet.parse("".join(lines))
    assert (
        made.judge(cw.Claim("time_to_speed", "1000 s", target_speed="90 km/h")).word
        == "out of reach"
    )
    assert made.judge(cw.Claim("time_to_speed", "1000 s", target_speed="70 km/h")).word == "holds"


def test_a_steady_drive_names_its_own_circumstances_and_no_more():
    for claim in DEMO.claims:
        assert "Taken for granted" not in DEMO.judge(claim).sentence
    cheap = cw.Claim("consumption", "9 kWh/100 km", speed="90 km/h")
    assert "Taken for granted" not in DEMO.judge(cheap).sentence


# A few conditions under which much can be asked, with two speeds that do among them.
ASKED = [
    {"speed": "90 km/h", "target_speed": "60 mph", **FAST},
    {"range": "350 km", "headwind": "-10 m/s"},
    {"range": "250 km", "grade": "-0.5 %"},
    {"consumption": "8 kWh/100 km", "auxiliary_power": "2 kW"},
]
NAMES = [
    *("speed", "rolling_power", "traction_force", "traction_acceleration", "rollout_time"),
    *("average_charging_power", "charging_time", "lifetime_distance"),
]


@functools.cache
def findings(some):
    made = []
    for conditions in ASKED:
        for name in some(NAMES, 1 / 3):
            if name not in conditions:
                try:
                    made.append(DEMO.find(name, **conditions))
                except ChalkwattError:  # not under these conditions
                    continue
    return made


def moved(found, standing, share):
    """Return each solution of a finding, and those where a standing value is moved a little way to an end."""
    known = {name: fact.si for name, fact in found.facts.items()}
    here = float(standing.right)
    for end in look_up(standing.names[0]).usual:
        if end != here:
            there = found.topic.find(
                found.wanted, **known, **{standing.names[0]: here + share * (end - here)}
            )
            if len(there.solutions_si) == len(found.solutions_si):
                yield from zip(found.solutions_si, there.solutions_si, strict=True)


def test_what_is_in_its_favour_is_by_a_finite_difference_at_the_roots(some):
    told = 0
    for found in findings(some):
        for sense, sign in (("at least", 1), ("at most", -1)):
            said = "".join(flattered(found, sense))
            for standing in found.plan.standing:
                if f"{look_up(standing.names[0]).words} " not in said:
                    continue
                gains = [
                    sign * (there - here) / abs(here)
                    for share in (0.003, 0.3)
                    for here, there in moved(found, standing, share)
                ]
                assert gains, (found, standing)
                assert max(gains) < 1e-9, (found, standing)
                assert min(gains) < -1e-9, (found, standing)
                told += 1
    assert told


def test_no_root_is_compared_with_another():
    found = DEMO.find("speed", range="350 km", headwind="-10 m/s")
    assert len(found.solutions_si) == 2
    for sense in ("at least", "at most"):
        assert flattered(found, sense) == ()
    # Recovering something changes no speed at which nothing is recovered.
    again = DEMO.find("speed", range="350 km", headwind="-10 m/s", recovery_efficiency="60 %")
    assert math.isclose(again.si, found.si, rel_tol=1e-6)


def test_sea_level_is_in_no_favour_of_a_speed():
    """Thinner air lets the faster of two speeds rise; only the slower is below it."""
    stated = {
        "usable_energy": "40 kWh",
        "drag_area": "0.6 m^2",
        "mass": "1200 kg",
        "rolling_coefficient": 0.01,
        "drive_efficiency": 0.9,
        "auxiliary_power": "2 kW",
    }
    sheet = cw.Sheet.parse(
        '[vehicle]\nname = "Knot"\ninvented = true\n'
        + "".join(f'[values.{n}]\nvalue = "{v}"\norigin = "quoted"\n' for n, v in stated.items())
    )
    found = sheet.find("speed", range="200 km")
    slow, fast = found.solutions_si
    assert sheet.find("speed", range="200 km", altitude="2000 m").solutions_si[1] > fast > slow
    assert "sea level" not in "".join((*found.notes, *flattered(found)))
