"""The board as a Python object: traits, the swap, errors, links, and what stands in for it."""

import base64
import json
import re

import ipywidgets
import pytest

from chalkwatt import launch, load, pack
from chalkwatt.boards.board import start
from chalkwatt.boards.still import still_equations
from chalkwatt.errors import ChalkwattError, NameUnknownError, OutOfBoundsError, TooLittleKnownError
from chalkwatt.look.drawing import curve, ticks

CAR = {
    "speed": "100 km/h",
    "drag_area": "0.42 m^2",
    "mass": "980 kg",
    "rolling_coefficient": 0.0085,
    "drive_efficiency": 0.86,
    "auxiliary_power": "350 W",
    "usable_energy": "36 kWh",
}


@pytest.fixture
def board():
    return load.board(wanted="range", **CAR)


def test_a_trait_for_every_row_in_its_first_unit(board):
    assert board.speed == 100.0
    assert board.drive_efficiency == 86.0
    assert board.range == pytest.approx(load.find("range", **CAR).to("km"), rel=1e-14)
    assert {*board.program["cast"]} <= {*board.traits(sync=True)}


def test_a_known_moves_the_wanted(board):
    board.speed = 120.0
    faster = load.find("range", **{**CAR, "speed": "120 km/h"})
    assert board.range == pytest.approx(faster.to("km"), rel=1e-14)


def test_the_wanted_is_swapped_without_losing_bits(board):
    before = board.range
    board.wanted = "speed"
    assert (board.speed, board.range) == (100.0, before)
    board.wanted = "mass"
    board.wanted = "range"
    assert (board.speed, board.mass, board.range) == (100.0, 980.0, before)


def test_the_last_bits_of_a_browser_are_kept(board):
    heard = []
    board.observe(lambda change: heard.append(change["new"]), "range")
    other = board.range * (1 + 3e-16)
    board.set_state({"range": other, "speed": 100.0})
    assert board.range == other
    board.set_state({"range": 1.0, "speed": 101.0})  # a browser that is plainly wrong is put right
    assert board.range == pytest.approx(load.find("range", **{**CAR, "speed": "101 km/h"}).to("km"))


def test_an_error_in_the_browser_takes_the_result_away(board):
    board.set_state({"range": None, "error": "mass: “x” is not a number"})
    assert board.range is None
    assert repr(board) == "range: mass: “x” is not a number (load board)"
    with pytest.raises(ChalkwattError, match="is not a number"):
        _ = board.answer
    board.set_state({"mass": 1000.0, "error": "", "range": 380.0})
    assert board.error == ""
    assert board.answer.si == pytest.approx(load.find("range", **{**CAR, "mass": 1000.0}).si)


def test_the_wanted_cannot_be_set(board):
    before = board.range
    with pytest.raises(ChalkwattError, match=r"range is what this board solves for.*board\.wanted"):
        board.range = 500.0
    assert board.range == before


def test_a_wanted_that_is_no_row(board):
    with pytest.raises(NameUnknownError, match="air_density"):
        board.wanted = "air_density"
    assert board.wanted == "range"


def test_no_solution_is_an_error_and_no_number(board):
    board.wanted = "speed"
    board.range = 2000.0
    assert board.speed is None
    assert "greatest that can be reached" in board.error
    board.range = 300.0
    assert board.error == ""
    slower = {name: value for name, value in CAR.items() if name != "speed"}
    assert board.speed == pytest.approx(load.find("speed", range="300 km", **slower).to("km/h"))


def test_a_value_out_of_bounds_is_an_error(board):
    board.mass = -5.0
    assert board.range is None
    assert "mass = -5 kg" in board.error.replace("−", "-")
    board.mass = 980.0
    assert board.range is not None


def test_two_boards_are_linked(board):
    other = load.board(wanted="range", **CAR)
    tie = ipywidgets.link((board, "speed"), (other, "speed"))
    board.speed = 130.0
    assert other.speed == 130.0
    assert other.range == board.range
    tie.unlink()


def test_what_is_given_wrongly():
    with pytest.raises(OutOfBoundsError, match="mass"):
        load.board(wanted="range", **{**CAR, "mass": "-1 kg"})
    with pytest.raises(TooLittleKnownError, match="range"):
        load.board(wanted="range", speed="100 km/h")
    with pytest.raises(NameUnknownError, match="weight"):
        load.board(wanted="range", weight=3.0)
    with pytest.raises(ChalkwattError, match="mass is an array of 2 values"):
        load.board(wanted="range", **{**CAR, "mass": [900.0, 1000.0]})


def test_an_example_is_turned_round():
    made = load.board(wanted="speed")
    assert made.wanted == "speed"
    assert f"{made.speed:.9g} km/h" == load.example["speed"]


def test_the_unit_given_is_the_unit_shown():
    made = load.board(wanted="range", **{**CAR, "speed": "60 mph"})
    assert made.program["values"]["speed"] == 60
    assert made.speed == pytest.approx(96.56064, rel=1e-15)


def test_the_program_is_strict_json(board):
    assert json.loads(json.dumps(board.program, allow_nan=False)) == board.program


def test_the_bundle_has_something_for_every_host(board):
    data, _ = board._repr_mimebundle_()
    assert data["text/plain"] == "range = 383.0 km (load board)"
    assert data["text/latex"].startswith("$$")
    assert "383.0" in data["text/latex"]
    assert "application/vnd.jupyter.widget-view+json" in data
    html = data["text/html"]
    assert "range = 383.0 km" in html
    assert "<math" not in html
    assert "<svg" not in html
    drawn = base64.b64decode(re.search(r"svg\+xml;base64,([^\"]+)", html)[1]).decode()
    assert drawn.startswith("<svg")
    assert "speed in km/h" in drawn


def test_the_pack_board_carries_its_caution():
    data, _ = pack.board()._repr_mimebundle_()
    assert "can kill" in data["text/html"]
    assert "can kill" in start(pack).program["caution"]


def test_the_still_curve_goes_through_the_present_point(board):
    drawn = curve(board.answer)
    x, y = re.search(r'class="p" cx="([\d.]+)" cy="([\d.]+)"', drawn).groups()
    spots = re.search(r'class="l" d="M([^"]+)"', drawn)[1].replace("M", "L").split("L")
    places = [tuple(map(float, spot.split(" "))) for spot in spots]
    near = min(places, key=lambda spot: abs(spot[0] - float(x)))
    assert near[1] == pytest.approx(float(y), abs=1.5)


def test_the_still_curve_shows_every_solution():
    drawn = curve(load.board(wanted="speed").answer)
    assert drawn.count('class="o"') == 1


@pytest.mark.parametrize(
    ("low", "high", "expected"),
    [(0, 1, [0, 0.2, 0.4, 0.6, 0.8, 1]), (-3, 3, [-2, 0, 2]), (180, 820, [200, 400, 600, 800])],
)
def test_ticks_are_few_and_round(low, high, expected):
    assert ticks(low, high) == expected


def test_what_is_simply_another_quantity_is_not_written_twice():
    told = {
        "mass": "1500 kg",
        "motor_power": "300 kW",
        "drive_efficiency": 0.9,
        "friction": 0.9,
        "driven_weight_share": 0.57,
        "target_speed": "100 km/h",
    }
    made = still_equations(launch.find("time_to_speed", **told))
    lines = [re.sub("<[^>]*>", "", one) for one in re.findall(r"<math.*?</math>", made)]
    first = next(at for at, one in enumerate(lines) if one == "a0=atr")
    assert lines[first + 1].replace("\u202f", "") == "a0=5.031m/s²"
    assert lines[first + 2].startswith("vx=")
