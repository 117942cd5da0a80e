"""Figure cards, opened and measured."""

import hashlib
import io
import re
from types import SimpleNamespace
from xml.etree import ElementTree as ET

import numpy as np
import pytest
from PIL import Image

import chalkwatt as cw
from chalkwatt import load
from chalkwatt.cards.alt_text import describe_curve, turning_points
from chalkwatt.cards.bars_card import bars_card, spread_card
from chalkwatt.cards.drawn_card import drawn_card
from chalkwatt.cards.figure_card import curve_card, figure_card, shared_limits
from chalkwatt.cards.run_card import run_card
from chalkwatt.errors import ChalkwattError
from chalkwatt.figures.start import start_figure
from chalkwatt.figures.trip import schedule_figure
from chalkwatt.look.themes import SIZES, THEMES
from tests.cards.measuring import ink_box, pieces, pixels


@pytest.fixture(scope="module")
def answer():
    return load.find("range", **load.example)


@pytest.fixture(scope="module")
def several(answer):
    return {
        "calm": answer,
        "against a headwind of 30 km/h": load.find("range", **load.example, headwind="30 km/h"),
        "up a slope": load.find("range", **load.example, grade=0.02),
        "downhill": load.find("range", **load.example, grade=-0.002),
    }


TIME = np.linspace(0, 8, 200)
RUN = SimpleNamespace(time=TIME, speed=30 * (1 - np.exp(-TIME / 4)))
SHARES = ("air_share", "rolling_share", "drive_loss_share", "auxiliary_share")


def made(sort, answer, several, **options):
    if sort == "curve":
        return curve_card(answer, against="speed", **options)
    if sort == "curves":
        return curve_card(several, against="speed", **options)
    if sort == "run":
        return run_card(RUN, until=5.0, **options)
    if sort == "bars":
        found = [load.find(name, **load.example) for name in SHARES]
        return bars_card(found, title="Where the energy goes", **options)
    draws = np.random.default_rng(3).normal(4e5, 2e4, 4000)
    return spread_card(draws, "range", **options)


KINDS = ["curve", "curves", "run", "bars", "spread"]


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("size", SIZES)
def test_a_card_has_its_size_real_alpha_and_a_safe_area(kind, size, answer, several):
    card = made(kind, answer, several, size=size)
    picture = pixels(card)
    wide, high = SIZES[size]
    assert picture.shape == (high, wide, 4)
    assert picture[0, 0, 3] == 0
    assert picture[..., 3].max() == 255
    left, top, right, bottom = ink_box(picture)
    slack = 2 * min(wide, high) / 1080
    assert left >= 0.05 * wide - slack
    assert right <= 0.95 * wide + slack
    assert top >= 0.05 * high - slack
    assert bottom <= 0.95 * high + slack


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("size", SIZES)
def test_every_letter_is_set_large_and_every_line_thick(kind, size, answer, several):
    card = made(kind, answer, several, size=size, kind="svg")
    unit = min(card.size) / 1080
    text = card.data.decode()
    # Letters are drawn as outlines in hundredths of a point-size of 100, scaled to their size.
    scales = [abs(float(one)) * 100 for one in re.findall(r"scale\((-?[\d.]+) -?[\d.]+\)", text)]
    assert scales
    assert min(scales) >= 36 * unit
    widths = [float(one) for one in re.findall(r"stroke-width: ([\d.]+)", text)]
    assert widths or kind == "bars"  # bars have no outline
    assert all(one >= 4 * unit for one in widths)


def test_digits_are_36_pixels_high_as_seen(answer, several):
    picture = pixels(made("curve", answer, several))
    labels = picture[:, : int(0.05 * 1920) + 90]  # left of the axis: numbers and nothing else
    heights = [
        bottom - top for left, top, right, bottom in pieces(labels[110:900]) if right - left > 8
    ]
    assert len(heights) >= 6
    assert min(heights) >= 36
    columns = picture[..., 3] > 200
    axis = np.flatnonzero(columns[200:800].mean(axis=0) > 0.95)
    assert len(axis) >= 4  # the upright axis is a line of four pixels


def test_labels_overlap_nothing(answer, several):
    # Every label in turn is the one thing that is left out: what it would cover stays as it was.
    for size in SIZES:
        card = made("curve", answer, several, size=size)
        picture = pixels(card)
        accent = np.array(
            [int(THEMES["light"].series[0][place : place + 2], 16) for place in (1, 3, 5)]
        )
        ink = np.array([int(THEMES["light"].ink[place : place + 2], 16) for place in (1, 3, 5)])
        solid = picture[..., 3] > 250
        curve = solid & (np.abs(picture[..., :3].astype(int) - accent).max(axis=2) < 4)
        text = solid & (np.abs(picture[..., :3].astype(int) - ink).max(axis=2) < 4)
        near = np.zeros_like(text)
        for shift in range(-6, 7):
            near |= np.roll(curve, shift, axis=0) | np.roll(curve, shift, axis=1)
        assert not (near & text).any()


def test_axes_stay_over_a_series(answer):
    series = [
        load.find("range", **{**load.example, "usable_energy": f"{one} kWh"})
        for one in (20, 36, 60)
    ]
    limits = shared_limits(series, "speed")
    pictures = [pixels(curve_card(one, against="speed", limits=limits)) for one in series]
    fixed = [one[:, : int(0.05 * 1920) + 100] for one in pictures]  # numbers and axis
    assert (fixed[0][:60] == fixed[1][:60]).all()
    below = [one[900:] for one in pictures]
    assert (below[0] == below[1]).all()
    assert (below[1] == below[2]).all()
    loose = pixels(curve_card(series[0], against="speed"))
    assert not (loose == pictures[0]).all()


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("form", ["png", "svg"])
def test_a_rebuild_is_byte_identical(kind, form, answer, several):
    first, second = (
        hashlib.sha256(made(kind, answer, several, kind=form).data).hexdigest() for _ in range(2)
    )
    assert first == second


@pytest.mark.parametrize("kind", KINDS)
def test_alt_text_is_inside(kind, answer, several):
    card = made(kind, answer, several)
    with Image.open(io.BytesIO(card.data)) as image:
        assert image.info["Description"] == card.alt
    vector = made(kind, answer, several, kind="svg")
    root = ET.fromstring(vector.data)  # noqa: S314  our own file
    assert root.find("{http://www.w3.org/2000/svg}title").text == card.alt
    assert b"<text" not in vector.data
    assert b"dc:date" not in vector.data


def test_alt_text_of_a_curve_has_trend_ends_and_units(answer):
    words = curve_card(answer, against="speed", span=("60 km/h", "120 km/h"), kind="svg").alt
    ends = [
        load.find("range", **{**load.example, "speed": one}).to("km")
        for one in ("60 km/h", "120 km/h")
    ]
    assert words.startswith(
        f"Range against speed: it falls from {ends[0]:.0f} km at 60 km/h to {ends[1]:.0f} km at 120 km/h."
    )
    assert "Marked: 383 km at 100 km/h." in words


def test_turns_of_a_curve():
    x = np.linspace(0, 4 * np.pi, 400)
    turns = turning_points(np.sin(x))
    assert x[turns] / np.pi == pytest.approx((0, 0.5, 1.5, 2.5, 3.5, 4), abs=0.01)
    level = describe_curve(x, np.full(400, 2.0), ("time", "speed"), ("s", "m/s"))
    assert "stays at 2 m/s" in level


def test_every_colour_has_a_second_cue(several):
    text = curve_card(several, against="speed", kind="svg").data.decode()
    colours = THEMES["light"].series
    dashes = {
        colour: set(
            re.findall(rf"fill: none;(?: stroke-dasharray: ([^;]+);)?[^\"]*stroke: {colour}", text)
        )
        for colour in colours
    }
    assert len({tuple(one) for one in dashes.values()}) == len(colours)
    # The name stands at the curve in its colour.
    assert all(f"fill: {colour}" in text for colour in colours)


def test_a_figure_of_ones_own(tmp_path):
    card = figure_card(
        lambda axes: axes.plot([0, 1, 2], [3, 1, 4]),
        tmp_path / "own.png",
        alt="A line falls, then rises.",
        carries={"speed": 3.0},
    )
    assert card.path.exists()
    assert card.carries == {"speed": 3.0}
    with pytest.raises(ChalkwattError, match="in words"):
        figure_card(lambda axes: axes.plot([0, 1], [0, 1]), alt=" ")


@pytest.mark.parametrize(
    ("act", "words"),
    [
        (lambda a: curve_card(a, against="range"), "no single known value"),
        (lambda a: curve_card(a, against="speed", span=(30.0, 10.0)), "no room for a curve"),
        (
            lambda a: curve_card({str(one): a for one in range(5)}, against="speed"),
            "one to 4 curves",
        ),
        (lambda _: run_card(SimpleNamespace(time=[0.0], speed=[1.0])), "cannot be drawn"),
        (lambda _: bars_card([]), "nothing to draw"),
        (lambda _: spread_card([1.0], "range"), "make no spread"),
        (lambda _: spread_card([1e5, 2e5], "range", share=1.5), "make no spread"),
    ],
)
def test_what_cannot_be_drawn_is_named_with_a_way_out(answer, act, words):
    with pytest.raises(ChalkwattError, match=words) as caught:
        act(answer)
    assert caught.value.advice


def test_matplotlibs_settings_are_as_before(answer):
    import matplotlib as mpl

    before = dict(mpl.rcParams)
    curve_card(answer, against="speed")
    assert dict(mpl.rcParams) == before


START = {
    "mass": 1180.0,
    "motor_power": 95e3,
    "friction": 0.9,
    "driven_weight_share": 0.55,
    "drag_area": 0.6,
    "rolling_coefficient": 0.009,
    "drive_efficiency": 0.9,
}


@pytest.fixture(scope="module")
def start():
    run = cw.standing_start(**START)
    return lambda **how: start_figure(run, **how)


@pytest.mark.parametrize("size", SIZES)
def test_a_figure_drawn_for_a_page_becomes_a_card(start, size):
    card = drawn_card(start, alt="Speed and distance rise.", size=size)
    picture = pixels(card)
    wide, high = SIZES[size]
    assert picture.shape == (high, wide, 4)
    assert picture[0, 0, 3] == 0
    left, top, right, bottom = ink_box(picture)
    slack = 6 * min(wide, high) / 1080  # half a line stands outside the axes
    assert left >= 0.05 * wide - slack
    assert right <= 0.95 * wide + slack
    assert top >= 0.05 * high - slack
    assert bottom <= 0.95 * high + slack


def test_its_letters_and_lines_are_large_enough_and_it_is_the_same_again(start):
    one, two = (drawn_card(start, alt="Speed rises.", kind="svg") for _ in range(2))
    assert one.data == two.data
    text = one.data.decode()
    scale = 1920 / float(re.search(r'viewBox="0 0 ([\d.]+)', text)[1])
    sizes = [abs(float(x)) * 100 * scale for x in re.findall(r"scale\((-?[\d.]+) -?[\d.]+\)", text)]
    assert min(sizes) >= 35.99
    widths = [float(x) * scale for x in re.findall(r"stroke-width: ([\d.]+)", text)]
    assert min(widths) >= 3.99
    assert "<text" not in text


def test_letters_that_would_lie_on_each_other_are_refused():
    with pytest.raises(ChalkwattError, match="lies on") as caught:
        drawn_card(
            lambda **how: schedule_figure(cw.schedules.nedc, **how), alt="Speed.", size="portrait"
        )
    assert "another size" in caught.value.advice


def test_a_second_solution_is_an_open_point_and_is_said():
    two = load.find(
        "speed",
        range="420 km",
        usable_energy="38 kWh",
        drag_area="0.42 m^2",
        mass="1180 kg",
        rolling_coefficient=0.0085,
        drive_efficiency=0.87,
        auxiliary_power="750 W",
        air_density="1.2 kg/m^3",
    )
    low, high = (f"{one.magnitude:.1f}" for one in two.solutions)
    card = curve_card(two, against="range", span=("100 km", "700 km"), kind="svg")
    assert f"Marked: {high} km/h, and {low} km/h at 420 km." in card.alt
    accent, paper = THEMES["light"].series[0], THEMES["light"].paper
    assert f"fill: {paper}; stroke: {accent}" in card.data.decode()
