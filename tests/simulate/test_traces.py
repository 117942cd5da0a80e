"""Traces from CSV files: units from the header, and every fault with its file and line."""

from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from hypothesis import given
from hypothesis import strategies as st

import chalkwatt as cw
from chalkwatt.simulate import schedules


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
        ("time (s),velocity (m/s)\n0,0\n1,1\n", 1, "no column of speed"),
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
            cw.schedules.read(path)
        except cw.TraceError as caught:
            fault = caught
        assert fault is None or fault.line >= 1


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
