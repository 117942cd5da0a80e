"""Traces from CSV files: units from the header, and every fault with its file and line."""

from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from hypothesis import given
from hypothesis import strategies as st

import chalkwatt as cw
from chalkwatt.runs.schedule import schedules
from chalkwatt.runs.schedule.trace_files import TraceError


@pytest.fixture
def trace(tmp_path):
    def write(text, name="ride.csv"):
        path = tmp_path / name
        path.write_text(text, encoding="utf-8")
        return path

    return write


def test_units_come_from_the_header(trace):
    made = cw.schedules.read(trace("time (min),speed (mph)\n0,0\n1,30\n2,0\n"))
    assert made.times.tolist() == [0, 60, 120]
    assert made.speeds[1] == pytest.approx(13.4112)
    assert made.name == "ride"
    assert made.source == "trace ride.csv"


@pytest.mark.parametrize(
    "text",
    [
        "Speed [m/s];Time [s]\n0;0\n10;10\n0;20\n",
        "# by hand\ntime (s)\tspeed (m/s)\n\n0\t0\n10\t10\n# a remark\n20\t0\n",
        "\ufefftime (s), speed (km/h), note\n0, 0, go\n10, 36, top\n20, 0, stop\n",
    ],
)
def test_separators_order_remarks_and_other_columns(trace, text):
    made = cw.schedules.read(trace(text))
    assert made.times.tolist() == [0, 10, 20]
    assert made.speeds.tolist() == pytest.approx([0, 10, 0])


@pytest.mark.parametrize(
    "text",
    [
        "time (s);speed (m/s)\r\n0;0,0\r\n10;10,0\r\n20;0,0\r\n",
        "Time [s]\tVelocity [m/s]\n0\t0\n10\t10,0\n20\t0\n",
        "t/s, v / mps\n0, 0\n10, 10\n20, 0\n",
        "v_kmh;t_s;odd\n0;0;\n36;10;x\n0;20\n",
        "speed in km/h,elapsed time in s\n0,0\n36,10\n0,20\n",
        "s;kmh\n0;0\n10;36\n20;0\n",
        "A ride of 3, 2024\nby me, on a Monday\ntime,speed\ns,m/s\n0,0\n10,10\n20,0\n",
        "# time (s), speed (m/s)\n0, 0\n10, 10\n20, 0\n",
        "% a remark\n// t (s) v (m/s)\ntime (s) speed (m/s)\n0 0\n10   10\n20 0\n",
        "sep=;\ntime (s);speed (m/s)\n0;0\n10;10\n20;0\n",
        '"time (s)","speed (m/s)"\n"0","0"\n"10","10,0"\n"20","0"\n',
        "time (s),speed (m/s),\n0,0,\n10,10,\n20,0,\n",
        "TITLE.TXT\tA Schedule\nTest Time, secs\tTarget Speed, m/s\n0\t0\n10\t10\n20\t0\n",
        "TITLE.TXT\tA Schedule\nTest Time, secs Target Speed, m/s\n0\t0\n10\t10\n20\t0\n",
        "Test Time, secs, Target Speed, m/s\n0,0\n10,10\n20,0\n",
    ],
)
@pytest.mark.parametrize("coding", ["utf-8", "utf-8-sig", "utf-16"])
def test_the_usual_files_are_read(tmp_path, text, coding):
    path = tmp_path / "ride.txt"
    path.write_bytes(text.encode(coding))
    made = cw.schedules.read(path)
    assert made.times.tolist() == [0, 10, 20]
    assert made.speeds.tolist() == pytest.approx([0, 10, 0])


@pytest.mark.parametrize("text", ["0;0\n1;9,5\n2;0\n", "0 0\n1 9.5\n2 0", "0,0\r1,9.5\r2,0\r"])
def test_without_a_header_units_are_asked_for(trace, text):
    path = trace(text)
    with pytest.raises(cw.TraceError, match="no header names the units"):
        cw.schedules.read(path)
    with pytest.raises(cw.TraceError, match='or give time_unit="s"'):
        cw.schedules.read(path, speed_unit="mph")
    made = cw.schedules.read(path, speed_unit="mph", time_unit="min")
    assert made.times.tolist() == [0, 60, 120]
    assert made.speeds[1] == pytest.approx(9.5 * 0.44704)
    with pytest.raises(cw.TraceError, match="kWh does not measure speed"):
        cw.schedules.read(path, speed_unit="kWh", time_unit="s")
    with pytest.raises(cw.TraceError, match=r"3 columns here, and no header that says"):
        cw.schedules.read(trace("0;0;0\n1;1;1\n"), speed_unit="mph", time_unit="s")


@pytest.mark.parametrize(
    ("unit", "metres"),
    [
        *[(one, 1 / 3.6) for one in ("km/h", "kmh", "KMH", "kph", "kmph", "km/hr", "Km/h")],
        *[(one, 0.44704) for one in ("mph", "MPH", "mi/h", "mi/hr")],
        *[(one, 1.0) for one in ("m/s", "mps", "M/S")],
        ("ft/s", 0.3048),
    ],
)
@pytest.mark.parametrize("header", ["time (Sec);speed ({})", "t_s;v_{}"])
def test_units_are_written_in_many_ways(trace, unit, metres, header):
    made = cw.schedules.read(trace(header.format(unit) + "\n0;0\n1;100\n"))
    assert made.speeds[1] == pytest.approx(100 * metres)
    assert made.times[1] == 1


def test_a_unit_may_be_given_for_a_header_without_one(trace):
    made = cw.schedules.read(trace("time (s),speed\n0,0\n1,36\n2,0\n"), speed_unit="km/h")
    assert made.speeds[1] == pytest.approx(10)
    with pytest.raises(cw.TraceError, match=r"header says mph, but speed_unit = 'km/h' was given"):
        cw.schedules.read(trace("time (s),speed (mph)\n0,0\n1,36\n"), speed_unit="km/h")
    same = cw.schedules.read(trace("time (s),speed (kmh)\n0,0\n1,36\n"), speed_unit="km/h")
    assert same.speeds[1] == pytest.approx(10)


def test_a_column_of_phases(trace):
    text = "time (s),speed (m/s),phase\n0,0,town\n10,10,town\n20,10,road\n30,20,road\n40,0,road\n"
    made = cw.schedules.read(trace(text))
    assert [(one.name, one.first, one.last) for one in made.phases] == [
        ("town", 0, 2),
        ("road", 2, 4),
    ]
    whole = sum(made.part(one.name).distance.magnitude for one in made.phases)
    assert whole == pytest.approx(made.distance.magnitude)


@pytest.mark.parametrize(
    ("text", "line", "message"),
    [
        ("", 1, "the file is empty"),
        ("time (s),speed (km/h)\n0,0\n", 1, "fewer than two points"),
        ("time (s),speed\n0,0\n1,1\n", 1, "'speed' has no unit"),
        ("time (s),pace (m/s)\n0,0\n1,1\n", 1, "no column of speed"),
        ("time (s),engine speed (m/s)\n0,0\n1,1\n", 1, "no column of speed"),
        ("time (s),speed limit (m/s)\n0,0\n1,1\n", 1, "no column of speed"),
        ("lap,speed (m/s)\n0,0\n1,1\n", 1, "no column of time"),
        ("0,0\n1,1\n", 1, r'no header names the units.*time_unit="s" and speed_unit="km/h"'),
        ("speed (m/s),time\n0,0\n1,1\n", 1, "'time' has no unit"),
        ("Ride\ntime;speed\nh;mph\n0;0\n0;1\n", 5, "time stands still, from 0 to 0 h"),
        ("time (s),speed (km/h)\n0,0\n1,5,5\n2,0\n", 3, "3 cells here, but 2 columns"),
        ("time (s);speed (km/h)\n0;0,5\n1;0.5\n", 3, r"mixed \(lines 2 and 3\)"),
        ("time (s);speed (km/h)\n0;0\n1;1.000,5\n", 3, "mixed"),
        ("time (s);speed (km/h)\n0;0\n1;1_0\n", 3, "'1_0' is not a number"),
        ("time (s);speed (km/h)\n0;0\n1;12 km/h\n", 3, "'12 km/h' is not a number"),
        ("time (s);speed (km/h)\n0;0\n1;-inf\n", 3, "not a finite number"),
        ('time (s),speed (km/h)\n0,0\n1,"5\n', 3, "does not come apart into cells"),
        ("time (s),speed (m/s),speed (km/h)\n0,0,0\n", 1, "two columns of speed"),
        ("time (s),speed (furlongs)\n0,0\n1,1\n", 1, "does not measure speed|cannot be read"),
        ("time (s),speed (blorps)\n0,0\n1,1\n", 1, "'blorps' of speed cannot be read"),
        ("time (km),speed (m/s)\n0,0\n1,1\n", 1, "km does not measure time"),
        ("# mine\ntime (s),speed (m/s)\n0,0\n1,1\n0.5,2\n", 5, "time runs back, from 1 to 0.5 s"),
        ("time (s),speed (m/s)\n0,0\n1,1\n1,2\n", 4, "time stands still"),
        ("time (s),speed (m/s)\n0,0\n1,-1\n2,0\n", 3, "speed is negative: -1 m/s"),
        ("time (s),speed (m/s)\n0,0\n1,\n2,0\n", 3, "the speed is missing: a gap"),
        ("time (s),speed (m/s)\n0,0\n1\n2,0\n", 3, "the speed is missing: a gap"),
        ("time (s),speed (m/s)\n0,0\n1,fast\n", 3, "speed 'fast' is not a number"),
        ("time (s),speed (m/s)\n0,0\n1,nan\n", 3, "not a finite number"),
        ("time (s),speed (m/s)\n0,0\n1,1\n2,1\n4,0\n", 5, "a gap of 2 s before this line"),
    ],
)
def test_a_fault_names_file_and_line(trace, text, line, message):
    with pytest.raises(cw.TraceError, match=message) as caught:
        cw.schedules.read(trace(text))
    assert str(caught.value).startswith(f"ride.csv, line {line}: ")
    assert caught.value.line == line
    assert caught.value.path.name == "ride.csv"
    assert caught.value.advice


def test_what_is_no_text_names_the_line(tmp_path):
    path = tmp_path / "ride.csv"
    path.write_bytes("time (s),speed (km/h)\n0,0\n1,5 # fünf\n".encode("latin-1"))
    with pytest.raises(cw.TraceError, match=r"ride\.csv, line 3: this is not text in UTF-8"):
        cw.schedules.read(path)


@given(st.text(st.characters(codec="utf-8"), max_size=80), st.integers(0, 4))
def test_any_text_is_a_schedule_or_a_fault_with_its_line(text, place):
    lines = ["time (s),speed (km/h)", "0,0", "1,5", "2,0"]
    lines.insert(place, text)
    with TemporaryDirectory() as folder:
        path = Path(folder) / "ride.csv"
        path.write_text("\n".join(lines), encoding="utf-8")
        fault = None
        try:
            cw.schedules.read(path, name="ride")
        except cw.TraceError as caught:
            fault = caught
        assert fault is None or fault.line >= 1


_PIECES = st.sampled_from(
    [
        *';,\t ."#-0159\n\r',
        "time",
        "speed",
        "(s)",
        "km/h",
        "[mph]",
        "sep=;",
        "1e3",
        "nan",
        "t",
        "v_",
    ]
)


@given(st.lists(_PIECES, max_size=40).map("".join), st.sampled_from([None, "mph"]))
def test_scraps_of_files_are_schedules_or_faults_with_their_line(text, unit):
    with TemporaryDirectory() as folder:
        path = Path(folder) / "ride.csv"
        path.write_text(text, encoding="utf-8", newline="")
        fault = None
        try:
            cw.schedules.read(path, speed_unit=unit, time_unit=unit and "s")
        except cw.TraceError as caught:
            fault = caught
        lines = text.count("\n") + text.count("\r") + 1
        assert fault is None or 1 <= fault.line <= lines


def test_a_gap_may_be_allowed_or_forbidden(trace):
    recorded = trace("time (s),speed (m/s)\n0,0\n1,1\n2,1\n4,0\n")
    assert cw.schedules.read(recorded, longest_step="2 s").duration.magnitude == 4
    corners = trace("time (s),speed (m/s)\n0,0\n4,1\n15,1\n17,0\n", "corners.csv")
    assert cw.schedules.read(corners).duration.magnitude == 17
    with pytest.raises(cw.TraceError, match="a gap of 11 s"):
        cw.schedules.read(corners, longest_step=5)


def test_a_schedule_survives_a_file(trace):
    lines = [
        f"{t},{v * 3.6}" for t, v in zip(schedules.nedc.times, schedules.nedc.speeds, strict=True)
    ]
    made = cw.schedules.read(trace("\n".join(["time (s),speed (km/h)", *lines])))
    assert made.distance.magnitude == pytest.approx(schedules.nedc.distance.magnitude, rel=1e-12)


@pytest.mark.parametrize("name", ["none.csv", "no\0name", "."])
def test_a_file_that_cannot_be_opened_is_said(tmp_path, name):
    with pytest.raises(TraceError, match="the file cannot be opened"):
        schedules.read(tmp_path / name)


@pytest.mark.parametrize(("unit", "speed"), [("km/h", 9000), ("m/s", 341), ("mph", 770)])
def test_a_speed_beyond_every_vehicle_is_refused_with_its_line(tmp_path, unit, speed):
    file = tmp_path / "fast.csv"
    file.write_text(f"time (s),speed ({unit})\n0,0\n1,{speed}\n2,0\n")
    with pytest.raises(TraceError, match=rf"fast\.csv, line 3: the speed is {speed} {unit}"):
        schedules.read(file)
