"""Equation cards, opened and measured."""

import hashlib
import io
import itertools
import re
import subprocess
import sys
from xml.etree import ElementTree as ET

import numpy as np
import pytest
from PIL import Image

import chalkwatt as cw
from chalkwatt import load
from chalkwatt.cards.card import equation_build, equation_card
from chalkwatt.errors import ChalkwattError
from chalkwatt.look.themes import SIZES, frame
from tests.cards.measuring import ink_box, pieces, pixels
from tests.episodes.reading import tokens_of

STEPS = ["air_force", "rolling_force", "road_force", "wheel_power", "battery_power", "consumption"]


@pytest.fixture(scope="module")
def answer():
    return load.find("range", **load.example)


@pytest.mark.parametrize("size", [*SIZES, "1280x720", (1000, 1400)])
def test_a_card_has_the_size_asked_for_real_alpha_and_a_safe_area(answer, size):
    card = equation_card(answer, size=size)
    picture = pixels(card)
    wide, high = card.size
    assert picture.shape == (high, wide, 4)
    assert picture[0, 0, 3] == 0
    assert picture[..., 3].max() == 255
    assert np.unique(picture[..., 3]).size > 50  # soft edges, not a mask
    left, top, right, bottom = ink_box(picture)
    assert left >= 0.05 * wide - 1
    assert right <= 0.95 * wide + 1
    assert top >= 0.05 * high - 1
    assert bottom <= 0.95 * high + 1


@pytest.mark.sweep(1 / 4)
@pytest.mark.parametrize("size", ["landscape", "portrait", "square", "double"])
@pytest.mark.parametrize("step", STEPS)
def test_letters_and_rules_are_large_enough_for_a_phone(answer, step, size):
    card = equation_card(answer, step=step, size=size, kind="svg")
    unit = min(card.size) / 1080
    for part in ("symbols", "numbers", "result", "title"):
        tokens, _ = tokens_of(card.data, part)
        assert min(one.em for one in tokens) >= 36 * unit
        largest = max(one.em for one in tokens)
        digits = [one for one in tokens if one.text in "0123456789" and one.em > 0.99 * largest]
        assert all(one.bottom - one.top >= 36 * unit for one in digits)
    # Rules, measured in pixels: a fraction's is wide and flat.
    flat = [
        one
        for one in pieces(pixels(equation_card(answer, step=step, size=size)))
        if one[2] - one[0] > 6 * (one[3] - one[1])
    ]
    assert all(one[3] - one[1] >= 4 * unit for one in flat)


@pytest.mark.parametrize("step", STEPS)
@pytest.mark.parametrize("size", ["landscape", "portrait", "square"])
def test_lines_do_not_touch_each_other(answer, step, size):
    parts = [
        pixels(equation_card(answer, step=step, size=size, show=part, title=False))[..., 3] > 0
        for part in ("symbols", "numbers", "result")
    ]
    rows = [np.nonzero(one.any(axis=1))[0] for one in parts]
    for above, below in itertools.pairwise(rows):
        assert below.min() - above.max() >= 8


def test_a_build_only_ever_adds(answer):
    cards = equation_build(answer, steps=["battery_power", "range"])
    assert [card.size for card in cards] == [(1920, 1080)] * 6
    for group in (cards[:3], cards[3:]):
        pictures = [pixels(card) for card in group]
        for before, after in itertools.pairwise(pictures):
            drawn = before[..., 3] > 0
            assert (before[drawn] == after[drawn]).all()
            assert (after[..., 3] > 0).sum() > drawn.sum()
    ems = {
        round(float(max(one.em for one in tokens_of(card.data, "symbols")[0])), 1)
        for card in equation_build(answer, steps=["battery_power", "range"], kind="svg")
    }
    assert len(ems) == 1


def test_paper_is_opaque_and_dark_is_light_on_dark(answer):
    light, dark = (
        pixels(equation_card(answer, theme=theme, ground="paper")) for theme in ("light", "dark")
    )
    assert (light[..., 3] == 255).all()
    assert (dark[..., 3] == 255).all()
    assert tuple(light[0, 0, :3]) == (255, 255, 255)
    assert tuple(dark[0, 0, :3]) == (17, 17, 17)
    assert light[..., :3].min() < 60
    assert dark[..., :3].max() > 200


def test_colours_are_not_mixed_with_alpha(answer):
    picture = pixels(equation_card(answer, step="battery_power", show="result", title=False))
    soft = (picture[..., 3] > 40) & (picture[..., 3] < 200)
    accent = np.array([0x0B, 0x6A, 0x54])
    assert soft.sum() > 100
    assert np.abs(picture[soft][:, :3].astype(int) - accent).max() <= 6


def test_svg_has_paths_and_no_text_and_says_what_it_shows(answer):
    root = ET.fromstring(equation_card(answer, kind="svg").data)  # noqa: S314  our own file
    tags = {one.tag.rpartition("}")[2] for one in root.iter()}
    assert tags == {"svg", "title", "path"}
    title = root.find("{http://www.w3.org/2000/svg}title").text
    assert title.startswith("Range. Range equals usable energy divided by consumption.")
    assert root.get("role") == "img"


def test_png_says_what_it_shows(answer):
    card = equation_card(answer)
    with Image.open(io.BytesIO(card.data)) as image:
        assert image.info["Description"] == card.alt
        assert set(image.info) == {"Description"}


def test_what_a_card_carries_is_what_it_shows(answer):
    assert equation_card(answer, show="symbols").carries == {}
    assert set(equation_card(answer, show="result").carries) == {"range"}
    card = equation_card(answer, step="road_force", show="numbers")
    assert set(card.carries) == {"road_force", "air_force", "rolling_force"}
    assert card.carries["road_force"] == float(answer.best.values["road_force"])


def test_a_rebuild_is_byte_identical_in_another_process():
    code = (
        "import hashlib;from chalkwatt import load;"
        "a=load.find('range',**load.example);"
        "print(*[hashlib.sha256(a.card(kind=k).data).hexdigest() for k in ('png','svg')])"
    )
    answer = load.find("range", **load.example)
    here = [hashlib.sha256(answer.card(kind=kind).data).hexdigest() for kind in ("png", "svg")]
    for seed in ("1", "2"):
        there = subprocess.run(
            [sys.executable, "-c", code],
            check=True,
            capture_output=True,
            text=True,
            env={"PYTHONHASHSEED": seed, "PYTHONPATH": "kit", "TZ": "Pacific/Auckland"},
        )
        assert there.stdout.split() == here


def test_path_decides_the_format_and_folders_are_made(answer, tmp_path):
    card = answer.card(tmp_path / "new" / "range.svg")
    assert card.path.read_bytes().startswith(b"<svg")
    assert answer.card(path=tmp_path / "range.png").path.read_bytes()[1:4] == b"PNG"


@pytest.mark.parametrize(
    ("options", "words"),
    [
        ({"size": "poster"}, "no size of a picture"),
        ({"size": "10x10"}, "outside the limits"),
        ({"size": (1920, 1080.0)}, "no size of a picture"),
        ({"theme": "sepia"}, "no theme called"),
        ({"ground": "grass"}, "no ground called"),
        ({"show": "proof"}, "cannot show 'proof'"),
        ({"show": ()}, "shows nothing"),
        ({"step": "speed"}, "has no step that finds 'speed'"),
        ({"kind": "gif"}, "cannot be written as 'gif'"),
    ],
)
def test_a_wrong_choice_is_named_with_a_way_out(answer, options, words):
    with pytest.raises(ChalkwattError, match=words) as caught:
        equation_card(answer, **options)
    assert caught.value.advice


def test_an_equation_too_long_for_a_narrow_card_is_refused_not_shrunk():
    answer = load.find(
        "speed",
        range="420 km",
        usable_energy="38 kWh",
        drag_area="0.62 m^2",
        mass="1180 kg",
        rolling_coefficient=0.0085,
        drive_efficiency=0.87,
        auxiliary_power="350 W",
        air_density="1.2 kg/m^3",
    )
    with pytest.raises(ChalkwattError, match="does not fit") as caught:
        equation_card(answer, size="portrait")
    assert "wider" in caught.value.advice
    assert ink_box(pixels(equation_card(answer)))[2] <= 0.95 * 1920 + 1


def test_an_array_has_no_card():
    answer = load.find("air_force", speed=[10.0, 20.0], drag_area=0.5, air_density=1.2)
    with pytest.raises(ChalkwattError, match="array"):
        answer.card()


def test_units_of_a_frame():
    assert frame("double").unit == 2
    assert frame("portrait").safe == pytest.approx((54.0, 230.4, 1026.0, 1689.6))


def test_a_title_of_ones_own_is_said_too(answer):
    card = equation_card(answer, title="How far? <b>", show="result", kind="svg")
    assert card.alt.startswith(
        "How far? <b>. Range is about 383 kilometres. Reckoned for a drive at"
    )
    assert b"<title>How far? &lt;b&gt;. Range" in card.data


@pytest.mark.parametrize(
    "title", ["Drag,", "Drag:", "Drag ;", "Drag –", "Drag.", "Drag", "Drag?", ",", ""]
)
def test_a_title_that_goes_on_ends_in_its_words(title):
    answer = cw.load.find("air_force", speed="72 km/h", drag_area="0.5 m^2", air_density=1.2)
    words = answer.card(title=title, show="result").alt
    assert not re.search(r"[,;:–-]\s*\.|\.\.|^\.", words)
    bars = cw.bars_card({"one": answer}, title=title, kind="svg").alt
    assert not re.search(r"[,;:–.-]\s*[:.]|^:", bars)
