"""Schedules written by hand, chained, taken apart; what cannot be one is refused with its place."""

import numpy as np
import pytest

import chalkwatt as cw
from chalkwatt.runs.schedule import schedules
from chalkwatt.runs.schedule.schedule import Phase, Schedule


def test_the_nedc_has_five_phases_and_ends_at_rest():
    assert [one.name for one in schedules.nedc.phases] == [
        "ECE-15 (1)",
        "ECE-15 (2)",
        "ECE-15 (3)",
        "ECE-15 (4)",
        "EUDC",
    ]
    assert schedules.nedc.speeds[0] == schedules.nedc.speeds[-1] == 0


def test_a_part_is_what_was_chained():
    part = schedules.nedc.part("EUDC")
    assert part.times[0] == 0
    assert np.array_equal(part.times, schedules.eudc.times)
    assert np.array_equal(part.speeds, schedules.eudc.speeds)
    with pytest.raises(cw.ChalkwattError, match=r"no phase 'urban'.*ECE-15 \(1\)"):
        schedules.nedc.part("urban")


def test_a_phase_is_a_schedule_that_can_be_driven():
    nedc = schedules.nedc
    assert nedc.phases["EUDC"] is nedc.phases[-1]
    assert sum(phase.duration.magnitude for phase in nedc.phases) == 1180
    for phase in nedc.phases:
        assert nedc.times[phase.last] - nedc.times[phase.first] == phase.duration.magnitude
    car = {"mass": 1200, "drag_area": 0.6, "rolling_coefficient": 0.01, "drive_efficiency": 0.9}
    whole, alone = cw.drive_schedule(nedc, **car), cw.drive_schedule(nedc.phases["EUDC"], **car)
    assert alone.si("battery_energy") == pytest.approx(whole.phases["EUDC"].si("battery_energy"))
    (itself,) = nedc.phases["EUDC"].phases
    assert itself.times.tolist() == schedules.eudc.times.tolist()


def test_several_phases_are_driven_one_after_the_other():
    both = schedules.nedc.part("ECE-15 (2)", "EUDC")
    assert both.phases.names == ("ECE-15 (2)", "EUDC")
    assert both.duration.magnitude == 595
    with pytest.raises(cw.ChalkwattError, match=r"No phase was named. The phases are ECE-15 \(1\)"):
        schedules.nedc.part()


def test_a_table_shows_every_phase_and_escapes_names():
    shown = schedules.nedc._repr_html_()
    assert shown.count("<tr>") == 1 + 5 + 1
    assert "UN Regulation No. 83" in shown
    made = Schedule("<b>", [0, 9], [0, 9], notes=["a < b"])
    assert "<b>" not in made._repr_html_().replace("<b></b>", "")
    assert "a &lt; b" in made._repr_html_()
    assert repr(made).endswith("; a < b>")


def test_each_step_is_counted_once_a_phase():
    segments = schedules.nedc.segments
    assert segments.often.sum() == len(schedules.nedc.times) - 1
    assert segments.duration @ segments.often == pytest.approx([195.0] * 4 + [400.0])


def test_units_may_be_mixed_in_a_schedule_by_hand():
    made = schedules.ramps("mixed", [("36 km/h", "10 s"), ("10 m/s", "1 min"), (0, 5)])
    assert made.times.tolist() == [0, 10, 70, 75]
    assert made.speeds.tolist() == [0, 10, 10, 0]
    with pytest.raises(cw.UnitError, match="kWh does not measure what km/h does"):
        schedules.ramps("wrong", [("36 kWh", 10)])
    with pytest.raises(cw.UnitError, match="None is not a number of s"):
        schedules.ramps("wrong", [(36, None)])


def test_a_trapezoid_has_its_corners():
    made = schedules.trapezoid(
        top_speed="72 km/h", acceleration=2, deceleration=4, cruising="30 s", idle="5 s"
    )
    assert made.times.tolist() == [0, 10, 40, 45, 50]
    assert made.speeds.tolist() == [0, 20, 20, 0, 0]
    assert made.distance.to("m").magnitude == pytest.approx(100 + 600 + 50)
    triangle = schedules.trapezoid(top_speed=10, acceleration=1, cruising=0)
    assert triangle.times.tolist() == [0, 10, 20]
    with pytest.raises(cw.OutOfBoundsError, match="deceleration = -1 m/s²"):
        schedules.trapezoid(top_speed=10, acceleration=1, deceleration=-1, cruising=0)


@pytest.mark.parametrize(
    ("times", "speeds", "message"),
    [
        ([0], [0], "1 times and 1 speeds"),
        ([0, 1], [0], "2 times and 1 speeds"),
        ([0, 1, 1], [0, 1, 0], "time goes from 1 s to 1 s at point 3"),
        ([0, 2, 1], [0, 1, 0], "time goes from 2 s to 1 s at point 3"),
        ([0, 1, 2], [0, -1, 0], "the speed at point 2 is -1 m/s"),
        ([0, 1, np.nan], [0, 1, 0], "point 3 is not a finite number"),
    ],
)
def test_what_is_no_schedule_is_refused(times, speeds, message):
    with pytest.raises(cw.ChalkwattError, match=message):
        Schedule("mine", times, speeds)


def test_parts_must_meet_in_speed():
    rolling = schedules.ramps("rolling", [(50, 10)], start=30)
    with pytest.raises(
        cw.ChalkwattError, match=r"begins at 8\.33333 m/s, but the part before it ends"
    ):
        schedules.ece_15.then(rolling)


def test_a_schedule_cannot_be_changed_behind_its_sums():
    with pytest.raises(ValueError, match="read-only"):
        schedules.nedc.speeds[3] = 99.0
    mine = np.array([0.0, 1.0])
    made = Schedule("mine", [0, 1], mine)
    mine[1] = 5.0
    assert made.speeds[1] == 1.0


def test_mean_top_and_idle():
    made = Schedule("hop", [0, 10, 20, 30], [0, 10, 0, 0], phases=[Phase("a", 0, 3)])
    assert made.mean_speed.to("m/s").magnitude == pytest.approx(100 / 30)
    assert made.top_speed.to("m/s").magnitude == pytest.approx(10)
    assert made.idle_time.magnitude == 10


def test_a_part_may_begin_at_any_time_of_its_own():
    late = Schedule("late", [100, 110, 130], [0, 10, 0])
    made = cw.schedules.ece_15.then(late)
    assert made.times[-3:].tolist() == [195, 205, 225]
    assert made.part("late").times.tolist() == [0, 10, 30]
