"""Speech: what an ear can follow has no signs in it."""

import re

import pytest

from chalkwatt.laws.quantities import glossary
from chalkwatt.wording.speech import say_number, say_unit, say_with_unit
from tests.points import GIVEN, IDLE, TOPICS, known_sets, point

SIGNS = re.compile(r"[−×·/^²³°%‰√∛|=+_{}\\<>⁰-⁹]|\b(?:km|kWh|kW|N|kg|mΩ)\b")
LABELS = sorted({label for entry in glossary().values() for label in entry.display})


@pytest.mark.parametrize("label", LABELS)
def test_every_unit_can_be_said(label):
    for one in (True, False):
        said = say_unit(label, one=one)
        assert not SIGNS.search(said), said
        assert said == said.strip()


@pytest.mark.parametrize(
    ("value", "label", "said"),
    [
        (1.0, "km", "1 kilometre"),
        (2.0, "km", "2 kilometres"),
        (0.5, "kW", "0.5 kilowatts"),
        (1.0, "ft", "1 foot"),
        (1.0, "kWh/100 km", "1 kilowatt-hour per 100 kilometres"),
        (1.0, "°", "1 degree"),
        (3.0, "°C", "3 degrees Celsius"),
        (1.0, "%", "1 percent"),
        (-412.34, "N", "minus 412 newtons"),
        (12345.0, "m", "12300 metres"),
        (1.5e-7, "s", "1.5 times ten to the power of minus 7 seconds"),
        (1.004, "km", "1 kilometre"),
        (7.0, "", "7"),
        (1.0, "eV", "1 electronvolt"),
        (2.0, "MeV", "2 megaelectronvolts"),
    ],
)
def test_singular_and_plural(value, label, said):
    assert say_with_unit(value, label) == said


def test_numbers():
    assert say_number(0.0) == "0"
    assert say_number(-3.0e9) == "minus 3 times ten to the power of 9"


@pytest.mark.parametrize("name", sorted(GIVEN))
def test_no_sign_is_left_in_a_spoken_working(name):
    topic, values = TOPICS[name], point(name)
    for wanted in (one for one in topic.network.names if one not in IDLE):
        for known in known_sets(name, wanted, 1):
            try:
                answer = topic.find(wanted, **{one: values[one] for one in known})
            except ValueError as error:
                if "solved together" not in str(error):
                    raise
                continue
            spoken = answer.working.spoken
            assert not SIGNS.search(spoken), spoken
            assert "  " not in spoken
            assert spoken.endswith(".")
