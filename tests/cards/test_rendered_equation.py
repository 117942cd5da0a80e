"""What stands on a card is what the plan says: letters and numbers are read back and worked out."""

import unicodedata

import pytest

from chalkwatt import load
from chalkwatt.cards.card import equation_card
from chalkwatt.laws.quantities import look_up
from tests.episodes.reading import tokens_of, value_of

KNOWN = {
    "speed": "96 km/h",
    "drag_area": "0.51 m²",
    "mass": "1120 kg",
    "rolling_coefficient": 0.0091,
    "drive_efficiency": 0.84,
    "auxiliary_power": "410 W",
    "usable_energy": "41 kWh",
    "air_density": 1.19,
}
STEPS = [
    "air_force",
    "rolling_force",
    "road_force",
    "wheel_power",
    "battery_power",
    "consumption",
    "range",
]


@pytest.fixture(scope="module")
def answer():
    return load.find("range", **KNOWN)


def symbols_of(answer):
    return {
        look_up(name).symbol.replace("_", ""): float(value)
        for name, value in answer.best.values.items()
    }


@pytest.mark.parametrize("step", STEPS)
def test_symbols_on_the_card_work_out_to_the_plans_value(answer, step):
    card = equation_card(answer, step=step, kind="svg")
    made = value_of(*tokens_of(card.data, "symbols"), symbols_of(answer))
    assert made == pytest.approx(float(answer.best.values[step]), rel=1e-12)


@pytest.mark.parametrize("step", STEPS)
def test_a_broken_line_has_the_same_letters_as_a_whole_one(answer, step):
    wide, tall = (
        tokens_of(equation_card(answer, step=step, size=size, kind="svg").data, "numbers")[0]
        for size in ("landscape", "portrait")
    )
    # A raised and a lowered 2 have the same outline.
    letters = [[unicodedata.normalize("NFKC", one.text) for one in line] for line in (wide, tall)]
    assert letters[0] == letters[1]


@pytest.mark.parametrize("step", STEPS)
def test_numbers_on_the_card_work_out_to_the_result_on_the_card(answer, step):
    card = equation_card(answer, step=step, kind="svg")
    made = value_of(*tokens_of(card.data, "numbers"), {})
    shown = value_of(*tokens_of(card.data, "result"), {})
    assert made == pytest.approx(shown, rel=1e-3)  # four digits are shown of each
    assert shown == pytest.approx(float(answer.best.values[step]), rel=5.1e-4)


def test_a_root_and_its_degree_are_read_back():
    answer = load.find(
        "economical_speed",
        drive_efficiency=0.85,
        auxiliary_power="300 W",
        drag_area="0.4 m²",
        air_density=1.2,
    )
    card = equation_card(answer, kind="svg")
    made = value_of(*tokens_of(card.data, "symbols"), symbols_of(answer))
    assert made == pytest.approx(answer.si, rel=1e-12)


def test_another_plan_gives_another_card(answer):
    other = load.find("range", **KNOWN, headwind="20 km/h")
    one, two = (
        equation_card(here, step="air_force", kind="svg", show="symbols")
        for here in (answer, other)
    )
    assert one.data != two.data
