"""An answer to "how far" says what it holds for, wherever the bare number stands."""

import io

import numpy as np
import pytest
from PIL import Image

import chalkwatt as cw
from chalkwatt.answering.driven import how_driven, how_far, model_of
from chalkwatt.cards.card import equation_build, equation_card
from chalkwatt.cards.figure_card import curve_card
from chalkwatt.errors import ChalkwattError
from chalkwatt.laws.quantities import look_up
from chalkwatt.topics.registry import every_topic
from tests.browsing import ROOT

SHEET = cw.Sheet.read(ROOT / "assets" / "quillwort.toml")
LEVEL = "at a steady 100 km/h on a level road, without wind or heater"


@pytest.mark.parametrize("wanted", ["range", "driving_time"])
def test_the_number_alone_says_for_which_drive_it_holds(wanted):
    answer = cw.load.find(wanted, **cw.load.example)
    for shown in (repr(answer), str(answer), answer._repr_mimebundle_()["text/plain"]):
        assert shown.endswith(LEVEL)
        assert "\n" not in shown
    windy = {**cw.load.example, "headwind": "20 km/h", "auxiliary_power": "2 kW", "grade": "1 %"}
    shown = repr(cw.load.find(wanted, **windy))
    assert "up a grade of 1 %" in shown
    assert "against a head wind of 20 km/h" in shown
    assert "with 2 kW for all that does not drive" in shown
    assert "without" not in shown


def test_so_does_a_list_of_them_and_a_finding():
    many = {**cw.load.example, "speed": ["60 km/h", "80 km/h"]}
    shown = repr(cw.load.find("range", **many))
    assert "at a steady 60 to 80 km/h on a level road" in shown
    found = SHEET.find("range", speed="90 km/h")
    line = repr(found).splitlines()[0]
    assert line.endswith("at a steady 90 km/h on a level road, without wind or heater")
    assert "on a level road" in found._repr_mimebundle_()["text/latex"]
    assert "on a level road" in repr(SHEET.find("lifetime_distance", speed="90 km/h"))
    stated = cw.load.find("range", usable_energy="30 kWh", consumption="12 kWh/100 km")
    assert "by the stated consumption" in repr(stated)


@pytest.mark.sweep(1 / 4)
@pytest.mark.parametrize("topic", every_topic(), ids=lambda one: one.name)
def test_every_length_of_every_topic_says_what_it_leaves_out(topic):
    for name in topic.network.names:
        given = {one: value for one, value in topic.example.items() if one != name}
        try:
            answer = topic.find(name, **given)
        except ChalkwattError:
            continue
        told = how_driven(answer) or model_of(answer)
        if look_up(name).unit == "m" or name == "driving_time":
            assert repr(answer).endswith(told)
            assert bool(how_far(answer)) == bool(told)
        else:
            assert not how_far(answer)


def ink(card):
    """Rows of the picture in which anything is drawn."""
    picture = np.asarray(Image.open(io.BytesIO(card.data)).convert("RGBA"))[..., 3]
    return np.flatnonzero(picture.any(axis=1))


def test_a_card_says_it_under_the_result_and_with_it_only():
    answer = cw.load.find("range", **cw.load.example)
    symbols, numbers, result = equation_build(answer)
    without = equation_card(answer, show=("symbols", "numbers"))
    assert ink(numbers).max() == ink(without).max() < ink(result).max()
    power = cw.load.find("battery_power", **cw.load.example)
    assert not how_far(power)
    svg = equation_card(answer, kind="svg", title="A question of mine").data
    plain = equation_card(answer, kind="svg", title="A question of mine", show="numbers").data
    assert len(svg) > len(plain)
    assert LEVEL in result.alt
    assert symbols.size == result.size


def lines_below(whole, less):
    """How many lines a picture has below the last of another."""
    rows = ink(whole)
    rows = rows[rows > ink(less).max()]
    return int(np.sum(np.diff(rows) > 1)) + bool(len(rows))


@pytest.mark.parametrize(
    ("wanted", "step", "lines"),
    [
        ("range", "range", 2),
        ("driving_time", "driving_time", 2),
        ("range", "consumption", 1),  # a step on the way has its result, and no drive below it
        ("battery_power", "battery_power", 1),
    ],
)
def test_below_the_result_stands_the_drive_and_nothing_below_other_lines(wanted, step, lines):
    answer = cw.load.find(wanted, **cw.load.example)
    whole = equation_card(answer, step=step)
    less = equation_card(answer, step=step, show=("symbols", "numbers"))
    assert lines_below(whole, less) == lines


@pytest.mark.parametrize(
    ("size", "titled", "room"),
    [
        ("portrait", 0, True),
        ("square", 0, True),
        ((480, 270), 10, True),
        ((480, 270), 20, False),  # as long a title as goes on it at all
    ],
)
def test_a_card_with_room_says_it_and_one_without_says_it_in_its_words(size, titled, room):
    answer = cw.load.find("range", **cw.load.example)
    asked = {"size": size, "title": "How far a vehicle goes " * titled if titled else True}
    whole = equation_card(answer, **asked)
    less = equation_card(answer, show=("symbols", "numbers"), **asked)
    assert LEVEL in whole.alt
    assert (lines_below(whole, less) > 1) == room


def test_a_curve_of_ranges_says_it_beside_the_title_of_its_axis():
    said = []
    answer = cw.load.find("range", **cw.load.example)
    for wanted in ("range", "battery_power"):
        shown = curve_card(cw.load.find(wanted, **cw.load.example), against="speed", kind="png")
        # The top right, where nothing else of a curve stands.
        picture = np.asarray(Image.open(io.BytesIO(shown.data)).convert("RGBA"))[..., 3]
        said.append(bool(picture[: picture.shape[0] // 8, picture.shape[1] // 2 :].any()))
    assert said == [True, False]
    assert "at a steady speed on a level road" in how_far(answer, along="speed")
