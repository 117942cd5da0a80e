"""Whether a file is the schedule that it is called after."""

import warnings

import numpy as np
import pytest

import chalkwatt as cw
from chalkwatt.runs.schedule.schedule import Schedule
from chalkwatt.runs.schedule.totals import TOTALS, claimed
from chalkwatt.runs.schedule.traces import TraceWarning
from tests.external import published

PRINTED = ("us-schedules", "us06", "jc08")


def printed(schedule):
    cases = [case for row in PRINTED for case in published("schedules", row)]
    return {case.quantity: case for case in cases if case.given["schedule"] == schedule}


def made_up(name, *, rest=0.0, distance=0.0, top=0.0):
    """A trapezoid that has the known totals, and what is added to each."""
    totals = TOTALS[name]
    seconds = float(totals.duration)
    unit = {"mi": 1609.344, "km": 1000.0}[totals.distance.split()[1]]
    metres = float(totals.distance.split()[0]) * unit + distance
    per = {"mph": 0.44704, "km/h": 1 / 3.6}
    speed = 30.0 if not totals.top_speed else None
    speed = speed or float(totals.top_speed.split()[0]) * per[totals.top_speed.split()[1]]
    speed += top
    # Up in u, down in u, at rest for the remainder: distance = speed × (seconds − u − idle).
    ramp = 20.0
    idle = seconds - ramp - metres / speed
    corners = [0, ramp, seconds - idle - ramp, seconds - idle, seconds + rest]
    times = np.arange(0.0, seconds + rest + 0.5)
    times = np.union1d(times, corners)
    return Schedule("x", times, np.interp(times, corners, [0, speed, speed, 0, 0]))


def written(tmp_path, schedule, name, unit="mph"):
    factor = {"mph": 0.44704, "km/h": 1 / 3.6}[unit]
    rows = zip(schedule.times, schedule.speeds / factor, strict=True)
    head = f"{name.upper()}.TXT\tA schedule\nTest Time, secs\tTarget Speed, {unit}\n"
    path = tmp_path / f"{name}.txt"
    path.write_text(
        head + "".join(f"{float(t)!r}\t{float(v)!r}\n" for t, v in rows), encoding="utf-8"
    )
    return path


def test_the_totals_are_those_in_the_rows():
    for name, totals in TOTALS.items():
        cases = printed(name)
        assert cases["duration"].printed == totals.duration
        assert f"{cases['distance'].printed} {cases['distance'].unit}" == totals.distance
        if totals.top_speed and "top_speed" in cases:
            top = cases["top_speed"]
            assert f"{top.printed} {top.unit}" == totals.top_speed


@pytest.mark.parametrize("name", list(TOTALS))
def test_a_schedule_with_the_totals_has_them_and_one_beside_them_has_not(name):
    assert cw.schedules.compare(made_up(name), name).holds
    half = 0.5 * (16.09344 if TOTALS[name].distance.endswith("mi") else 1.0)
    for sign in (1, -1):
        assert cw.schedules.compare(made_up(name, distance=sign * 0.9 * half), name).holds
        off = cw.schedules.compare(made_up(name, distance=sign * 1.1 * half), name)
        assert not off.holds
        assert TOTALS[name].distance in off.text
        if TOTALS[name].top_speed:
            off = cw.schedules.compare(made_up(name, top=sign * 0.1), name)
            assert TOTALS[name].top_speed in off.text
    # Going on at rest is no other schedule, as with the federal table of the UDDS.
    assert cw.schedules.compare(made_up(name, rest=3), name).holds


def test_another_duration_is_said():
    text = cw.schedules.compare(cw.schedules.nedc, "UDDS").text
    assert "duration 1180 s for 1369 s" in text
    assert "km" not in text.split("(")[0]


@pytest.mark.parametrize(
    ("name", "known"),
    [
        ("uddscol", "UDDS"),
        ("UDDS.final", "UDDS"),
        ("la4", "UDDS"),
        ("hwycol", "HWFET"),
        ("my_HWFET", "HWFET"),
        ("ftpcol", "FTP-75"),
        ("us06col", "US06"),
        ("JC08", "JC08"),
        ("wltc3b", "WLTC 3b"),
        ("WLTP class 3a, mine", "WLTC 3a"),
        ("NEDC", "NEDC"),
        ("my wltc", "WLTC"),
        ("muddsy", None),
        ("ride", None),
        ("la40", None),
    ],
)
def test_what_a_name_speaks_of(name, known):
    assert claimed(name) == known


def test_a_file_with_the_totals_says_so(tmp_path):
    made = cw.schedules.read(written(tmp_path, made_up("UDDS"), "uddscol"), longest_step=60)
    assert "it has the totals of the UDDS: 1369 s, 7.45 mi, 56.7 mph" in repr(made)
    assert "has the totals" in made._repr_html_()


def test_a_file_without_them_is_read_with_a_warning(tmp_path):
    path = written(tmp_path, made_up("UDDS", distance=500), "udds")
    with pytest.warns(
        TraceWarning, match=r"udds\.txt: It does not have the totals of the UDDS: "
    ) as seen:
        made = cw.schedules.read(path, longest_step=60)
    assert seen[0].filename == __file__
    assert "for 7.45 mi" in repr(made)
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        assert cw.schedules.read(path, name="my town", longest_step=60).notes == ()


def test_a_claim_that_does_not_hold_is_an_error(tmp_path):
    path = written(tmp_path, made_up("HWFET", distance=-300), "ride")
    with pytest.raises(
        cw.TraceError, match=r"^ride\.txt: It does not have the totals of the HWFET"
    ):
        cw.schedules.read(path, claims="HWFET", longest_step=60)
    good = written(tmp_path, made_up("HWFET"), "ride")
    assert "has the totals of the HWFET" in repr(
        cw.schedules.read(good, claims="hwfet", longest_step=60)
    )
    with pytest.raises(cw.NameUnknownError, match="No totals of 'LA-92' are known; there are UDDS"):
        cw.schedules.read(good, claims="LA-92", longest_step=60)


def test_a_wltc_is_compared_second_by_second(tmp_path):
    cycle = cw.schedules.wltc("3b")
    path = written(tmp_path, cycle, "wltc_3b", "km/h")
    assert "point by point" in repr(cw.schedules.read(path))
    speeds = np.array(cycle.speeds)
    speeds[[20, 21]] = speeds[[21, 20]]  # the totals stay what they were
    changed = Schedule("x", cycle.times, speeds)
    assert changed.distance.magnitude == pytest.approx(cycle.distance.magnitude, rel=1e-12)
    assert "off at 2" in cw.schedules.compare(changed, "WLTC 3b").text
    assert not cw.schedules.compare(cw.schedules.wltc("3a"), "WLTC 3b").holds
    assert cw.schedules.compare("wltc 2", "wltc").known == "WLTC 2"
    assert cw.schedules.compare(changed, "wltc").text == "It is not the WLTC of any class."
