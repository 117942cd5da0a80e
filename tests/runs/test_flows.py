"""Where a kilowatt-hour goes: the parts add up, as numbers and as shown."""

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

import chalkwatt as cw
from chalkwatt.runs.flows import EnergyFlow, Part, whole_watt_hours

CAR = {
    "speed": "90 km/h",
    "mass": 980,
    "drag_area": 0.42,
    "rolling_coefficient": 0.0085,
    "air_density": 1.2,
    "auxiliary_power": 350,
    "battery_efficiency": 0.97,
    "inverter_efficiency": 0.97,
    "motor_efficiency": 0.93,
    "gear_efficiency": 0.97,
    "tyre_efficiency": 0.99,
}


def test_the_parts_add_up():
    flow = cw.energy_flow(**CAR)
    assert sum(part.share for part in flow.parts) == pytest.approx(1, abs=1e-12)
    assert sum(flow.watt_hours.values()) == 1000
    assert flow.parts[0].words == "auxiliary load"
    assert flow.conditions == "at a steady 90 km/h"


@given(st.lists(st.floats(0.0, 1.0), min_size=1, max_size=12).filter(lambda one: sum(one) > 0.1))
def test_rounded_parts_still_add_up(sizes):
    shares = [one / sum(sizes) for one in sizes]
    rounded = whole_watt_hours(shares)
    assert sum(rounded) == 1000
    assert all(
        abs(one - 1000 * share) < 1 + 1e-6 for one, share in zip(rounded, shares, strict=True)
    )


def test_a_climb_is_a_part_of_its_own():
    words = [part.words for part in cw.energy_flow(**CAR, grade="3 %").parts]
    assert words[-1] == "climbing"


def test_downhill_is_refused_in_words():
    with pytest.raises(cw.ChalkwattError, match="nothing to share out"):
        cw.energy_flow(**CAR, grade="-8 %")
    with pytest.raises(cw.ChalkwattError, match=r"“climbing” is .*less than nothing"):
        cw.energy_flow(**CAR, grade="-1 %")


def test_a_flow_of_many_is_refused():
    with pytest.raises(cw.ChalkwattError, match="one vehicle"):
        cw.energy_flow(**{**CAR, "mass": [900, 1000]})


def test_parts_that_do_not_add_up_are_refused():
    with pytest.raises(cw.ChalkwattError, match="90 % together"):
        EnergyFlow((Part("rolling", 0.9, "road"),))


def test_a_trip_has_a_flow():
    trip = cw.drive_schedule(
        cw.schedules.nedc,
        mass=980,
        drag_area=0.42,
        rolling_coefficient=0.0085,
        drive_efficiency=0.85,
        recovery_efficiency=0.6,
        auxiliary_power=350,
    )
    flow = EnergyFlow.of_trip(trip)
    assert sum(flow.watt_hours.values()) == 1000
    assert flow.conditions == "NEDC"


@pytest.mark.parametrize("theme", ["light", "dark"])
def test_the_bars_of_the_figure_are_the_parts(theme):
    flow = cw.energy_flow(**CAR)
    bars = flow.figure(theme_name=theme).axes[1].patches
    whole, *steps = bars
    assert whole.get_width() == 1000
    assert [bar.get_width() for bar in steps] == pytest.approx(
        [1000 * part.share for part in flow.parts]
    )
    # Each step ends where the next begins, and the last at nothing.
    edges = [bar.get_x() for bar in steps]
    assert edges[-1] == pytest.approx(0, abs=1e-9)
    assert [bar.get_x() + bar.get_width() for bar in steps[1:]] == pytest.approx(edges[:-1])
    # A second cue beside colour: losses are hatched, the auxiliary load dotted, the road full.
    hatches = {part.kind: bar.get_hatch() for part, bar in zip(flow.parts, steps, strict=True)}
    assert len(set(hatches.values())) == 3


def test_an_unknown_theme_is_refused():
    with pytest.raises(cw.ChalkwattError, match=r"no theme 'sepia'.*light or dark"):
        cw.energy_flow(**CAR).figure(theme_name="sepia")


def test_a_trip_that_lives_on_its_first_speed_has_no_flow():
    slowing = cw.schedules.ramps("slowing", [(0, 20)], start=90)
    trip = cw.drive_schedule(
        slowing,
        mass=980,
        drag_area=0.42,
        rolling_coefficient=0.0085,
        drive_efficiency=0.85,
        recovery_efficiency=0.6,
    )
    with pytest.raises(cw.ChalkwattError, match="nothing to share out"):
        EnergyFlow.of_trip(trip)


def test_powers_are_said_in_their_unit_and_without_an_exponent():
    steep = {"speed": "90 km/h", "mass": 980, "drag_area": 0.42, "rolling_coefficient": 0.0085}
    with pytest.raises(cw.ChalkwattError) as caught:
        cw.energy_flow(**steep, grade="-12 %", auxiliary_power=350, drive_efficiency=0.9)
    assert re.search(r"take −\d\d\.\d\d kW and the battery gives 0\.3500 kW", str(caught.value))
    assert "e+" not in str(caught.value)
