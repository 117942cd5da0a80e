"""Standing starts against published closed forms."""

import pytest

import chalkwatt as cw
from tests.external import published

QUARTER = "0.25 mile"
TOPIC = {"time_to_60_mph": {"target_speed": "60 mph"}} | {
    "time_over_a_quarter_mile": {"sprint_distance": QUARTER}
}


def each(row):
    cases = published("launch", row)
    return pytest.mark.parametrize("case", cases, ids=lambda case: case.quantity)


def run(case, **vehicle):
    started = cw.standing_start(
        rolling_coefficient=0, drag_area=1e-15, air_density=1.2, driven_weight_share=1, **vehicle
    )
    if case.quantity == "time_to_60_mph":
        return started.time_to("60 mph").to("s").magnitude
    return started.time_over(QUARTER).to("s").magnitude


@each("constant-power")
def test_constant_power_in_the_topic(case):
    name = {"time_to_60_mph": "power_bound_time"}.get(case.quantity, "power_time_over_distance")
    case.check(cw.launch.find(name, **case.known, **TOPIC[case.quantity]).to("s"))


@each("constant-power")
def test_constant_power_in_a_run(case):
    # Tyres that hold anything: the run is then Fox's from the first nanosecond on.
    power = case.with_unit("wheel_power")
    case.check(run(case, mass=case.with_unit("mass"), motor_power=power, friction=1e9))


@each("friction-bound")
def test_friction_bound_in_the_topic(case):
    name = {"time_to_60_mph": "friction_bound_time"}.get(
        case.quantity, "friction_time_over_distance"
    )
    gravity = case.with_unit("acceleration")
    found = cw.launch.find(name, friction=1, gravity=gravity, **TOPIC[case.quantity])
    case.check(found.to("s"))


@each("friction-bound")
def test_friction_bound_in_a_run(case):
    case.check(run(case, mass=1500, motor_power="1e9 kW", friction=1))


@each("friction-bound")
@pytest.mark.parametrize("power", ["90 kW", "300 kW", "2000 kW"])
def test_no_run_beats_the_friction_bound(case, power):
    assert run(case, mass=1500, motor_power=power, friction=1) >= case.value - case.tolerance
