"""The road load: solved back in every direction, and against methods that share nothing with it."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import brentq, minimize_scalar

from chalkwatt import load
from chalkwatt.errors import NoSolutionError, OutOfBoundsError, TooLittleKnownError
from chalkwatt.laws.quantities import look_up
from tests.points import nearest, point

P = point("load")
CAST = (
    "speed",
    "headwind",
    "grade",
    "altitude",
    "air_temperature",
    "drag_coefficient",
    "frontal_area",
    "mass",
    "rolling_coefficient",
    "gravity",
    "coast_down_linear",
    "drive_efficiency",
    "drive_idle_loss",
    "drive_square_loss",
    "pack_loss",
    "auxiliary_power",
    "usable_energy",
)
# At the point the wheels take power: of what they would give back, nothing there knows.
IDLE = "recovery_efficiency"
# An outcome replaces one of the cast, which is then wanted: through one relation or many at once.
OUTCOMES = {
    "range": CAST,
    "driving_time": CAST,
    "consumption": CAST[:-1],
    "battery_power": CAST[:-1],
    "wheel_power": CAST[:-6],
    "road_force": CAST[:-6],
    "air_force": CAST[:2] + CAST[3:7],
}


@pytest.mark.parametrize(
    ("wanted", "outcome"),
    [(wanted, outcome) for outcome, cast in OUTCOMES.items() for wanted in cast],
)
def test_solved_back(wanted, outcome):
    known = {name: P[name] for name in (*CAST, IDLE) if name != wanted}
    known[outcome] = P[outcome]
    answer = load.find(wanted, **known)
    assert nearest(answer, P[wanted]) < 1e-9
    assert not answer.plan.standing
    # Every solution, not only the one started from, gives the outcome back.
    for one in answer.branches:
        there = dict(known, **{wanted: float(one.values[wanted])})
        del there[outcome]
        assert load.find(outcome, **there).si == pytest.approx(P[outcome], rel=1e-9)


def test_blocks_were_among_them():
    known = [name for name in CAST if name != "speed"]
    for outcome in ("range", "battery_power"):
        plan = load.network.plan("speed", (*known, outcome))
        assert max(len(step.relations) for step in plan.steps) >= 3


PHYSICAL = {
    name: look_up(name).usual
    for name in ("speed", "drag_area", "mass", "rolling_coefficient", "auxiliary_power")
}
PHYSICAL |= {"headwind": (-5.0, 10.0), "grade": (-0.03, 0.06), "air_density": (0.9, 1.4)}
PHYSICAL |= {"drive_efficiency": (0.7, 0.95), "usable_energy": look_up("usable_energy").usual}


@settings(derandomize=True, max_examples=40)
@given(
    st.fixed_dictionaries({name: st.floats(*span) for name, span in PHYSICAL.items()}),
    st.sampled_from(sorted(PHYSICAL)),
)
def test_range_back_to_each_by_chance(car, wanted):
    if load.find("battery_power", **car).si <= 0:
        with pytest.raises(NoSolutionError, match="not limited by the battery"):
            load.find("range", **car)  # downhill or with a tail wind the road drives the car
        return
    there = load.find("range", **car)
    if load.find("wheel_power", **car).si < 0 and wanted not in {"speed", "auxiliary_power"}:
        return  # the wheels take nothing, so that the range knows nothing of the road
    known = {name: value for name, value in car.items() if name != wanted} | {"range": there.si}
    answer = load.find(wanted, **known)
    # What a reader sees is the range; where it hardly depends on the wanted, this is the test.
    for branch in answer.branches:
        again = car | {wanted: float(branch.values[wanted])}
        assert load.find("range", **again).si == pytest.approx(there.si, rel=1e-9)
    # The distance from the start, by how much of it the range can tell at all.
    nudged = load.compile("range", known=tuple(car))
    scale = abs(car[wanted]) or look_up(wanted).usual[1]
    step = 1e-6 * scale
    slope = (
        (
            float(nudged(**(car | {wanted: car[wanted] + step})))
            - float(
                nudged(
                    **(
                        car
                        | {
                            wanted: max(car[wanted] - step, 0.0)
                            if look_up(wanted).positive
                            else car[wanted] - step
                        }
                    )
                )
            )
        )
        / 2e-6
        / there.si
    )
    if math.isfinite(slope) and abs(slope) > 0.05:
        found = [float(one.values[wanted]) for one in answer.branches]
        assert min(abs(one - car[wanted]) for one in found) <= 1e-9 * scale


def test_speeds_for_a_power_against_brentq():
    known = {
        "drag_area": 0.6,
        "mass": 1300.0,
        "rolling_coefficient": 0.009,
        "air_density": 1.2,
        "drive_efficiency": 0.9,
        "auxiliary_power": 500.0,
    }

    def power(v, wind):
        drag = 0.5 * 1.2 * 0.6 * abs(v + wind) * (v + wind)
        return (drag + 0.009 * 1300 * 9.80665) * v / 0.9 + 500

    for wind in (-8.0, 0.0, 6.0):
        for battery in (3e3, 1.2e4, 6e4):
            answer = load.find("speed", battery_power=battery, headwind=wind, **known)
            expected = brentq(lambda v, w=wind, b=battery: power(v, w) - b, 0, 200, xtol=1e-13)
            assert answer.si == pytest.approx(expected, rel=1e-11)


def test_the_most_economical_speed_against_a_search():
    known = {
        "drag_area": 0.6,
        "air_density": 1.2,
        "drive_efficiency": 0.88,
        "auxiliary_power": 900.0,
    }
    rest = {"mass": 1500.0, "rolling_coefficient": 0.01}
    use = load.compile("consumption", known=("speed", *known, *rest))
    found = minimize_scalar(
        lambda v: float(use(speed=v, **known, **rest)),
        bounds=(1, 60),
        method="bounded",
        options={"xatol": 1e-9},
    )
    assert load.find("economical_speed", **known).si == pytest.approx(found.x, rel=1e-6)


def test_shares_add_up():
    shares = ("air_share", "rolling_share", "auxiliary_share", "drive_loss_share")
    level = {name: P[name] for name in CAST} | {"grade": 0.0, "coast_down_linear": 0.0}
    assert sum(load.find(one, **level).si for one in shares) == pytest.approx(1.0, rel=1e-12)


def test_a_tailwind_stronger_than_the_speed_pushes():
    known = {"drag_area": 0.6, "air_density": 1.2, "speed": 5.0}
    pushed = load.find("air_force", headwind=-15.0, **known).si
    against = load.find("air_force", headwind=5.0, **known).si
    assert pushed == pytest.approx(-against)
    back = load.find("headwind", air_force=pushed, **known)
    assert back.si == pytest.approx(-15.0, rel=1e-12)


@pytest.mark.parametrize("grade", [-0.08, 0.0, 0.05, 0.3])
def test_forces_use_the_true_angle(grade):
    mass, coefficient = 1000.0, 0.01
    angle = math.atan(grade)
    made = load.find("grade_force", mass=mass, grade=grade)
    assert made.si == pytest.approx(mass * 9.80665 * math.sin(angle), rel=1e-13, abs=1e-12)
    rolling = load.find("rolling_force", mass=mass, rolling_coefficient=coefficient, grade=grade)
    assert rolling.si == pytest.approx(mass * 9.80665 * coefficient * math.cos(angle), rel=1e-13)


def test_both_ways_of_the_coast_down_form():
    form = {"coast_down_constant": 120.0, "coast_down_linear": 1.3, "coast_down_square": 0.38}
    force = load.find("road_force", speed=25.0, **form)
    assert force.si == pytest.approx(120 + 1.3 * 25 + 0.38 * 625, rel=1e-14)
    area = load.find("drag_area", coast_down_square=0.38, air_density=1.2)
    assert area.si == pytest.approx(2 * 0.38 / 1.2, rel=1e-14)
    speed = load.find("speed", road_force=force.si, **form)
    assert nearest(speed, 25.0) < 1e-12


def test_no_linear_part_only_where_none_is_given():
    form = {"coast_down_constant": 120.0, "coast_down_square": 0.38}
    made = load.find("road_force", speed=25.0, **form)
    assert made.si == pytest.approx(120 + 0.38 * 625, rel=1e-14)
    assert made.assumed["coast_down_linear"] == 0.0


def test_a_standing_vehicle_with_a_load_has_no_range():
    with pytest.raises((OutOfBoundsError, TooLittleKnownError, ValueError)):
        load.find(
            "range",
            speed=0.0,
            drag_area=0.6,
            mass=1000.0,
            rolling_coefficient=0.01,
            drive_efficiency=0.9,
            auxiliary_power=500.0,
            usable_energy=1e8,
        )


def test_outcomes_rise_and_fall_as_they_should():
    base = {name: P[name] for name in CAST}
    more = {
        "mass": -1,
        "drag_coefficient": -1,
        "auxiliary_power": -1,
        "grade": -1,
        "headwind": -1,
        "drive_efficiency": 1,
        "usable_energy": 1,
        "air_temperature": 1,
        "altitude": 1,
    }
    here = load.find("range", **base).si
    for name, sign in more.items():
        there = load.find("range", **(base | {name: base[name] * 1.01})).si
        assert np.sign(there - here) == sign, name
