"""Scripts: every number is recomputed from what stands behind it, and claims no more than that."""

import math
import re

import pytest

from chalkwatt import Sheet, launch, load
from chalkwatt.errors import ChalkwattError, NameUnknownError, UnitError
from chalkwatt.scripts.saying import in_words, outward, rounded, say_about, say_time
from chalkwatt.scripts.script import script
from chalkwatt.scripts.spoken_numbers import find_mentions

SHEET = """
[vehicle]
name = "Wren <script>alert(1)</script> {{ mass }} *one*"
invented = true
[values.mass]
value = "690 kg"
origin = "measured"
plus_minus = "20 kg"
[values.drag_area]
value = "0.33 m^2"
origin = "estimated"
range = ["0.30 m^2", "0.36 m^2"]
[values.rolling_coefficient]
value = 0.0075
origin = "assumed"
[values.drive_efficiency]
value = 0.88
origin = "assumed"
[values.auxiliary_power]
value = "150 W"
origin = "estimated"
[values.usable_energy]
value = "31 kWh"
origin = "quoted"
range = ["29 kWh", "33 kWh"]
"""


@pytest.fixture(scope="module")
def sheet():
    return Sheet.parse(SHEET)


def test_numbers_of_a_script_are_the_sheets(sheet):
    made = script(
        "It weighs {{ mass }}.\n\nAt 80 km/h it goes {{ find('range', speed='80 km/h') }},\n"
        "that is {{ find('range', speed='80 km/h').to('mi') }}.",
        sheet,
    )
    far = sheet.find("range", speed="80 km/h")
    assert [(one.line, one.name) for one in made.spoken] == [
        (1, "mass"),
        (3, "range"),
        (4, "range"),
    ]
    assert made.carries == {"mass": 690.0, "range": far.si}
    for said, label in zip(made.spoken[1:], ("km", "mi"), strict=True):
        told = float(re.search(r"[\d,]+", said.text)[0].replace(",", ""))
        value = far.to(label)
        half = (far.interval.to(label)[1] - far.interval.to(label)[0]) / 2
        assert abs(told - value) <= max(half, 0.05 * value)


@pytest.mark.parametrize("exponent", range(-3, 6))
def test_no_number_claims_more_digits_than_its_spread_or_lies(exponent):
    for step in range(1, 200):
        value = (1 + step * 0.0449) * 10.0**exponent
        for share in (0.0, 0.004, 0.02, 0.1, 0.4):
            half = share * value
            said = say_about(value, value - half, value + half, "km")
            (mention,) = find_mentions(said)
            told = mention.si / 1000
            if said.startswith("a little over"):
                assert told < value - half
                assert value < 1.05 * told
            elif said.startswith("just under"):
                assert told > value + half
                assert value > 0.95 * told
            else:
                assert abs(told - value) <= max(half, 0.051 * value)
            if half:
                # The last digit said is worth at least the half-width, rounded to one digit.
                digits = len(f"{told:.10e}".split("e")[0].rstrip("0").replace(".", ""))
                worth = 10.0 ** (math.floor(math.log10(told)) - digits + 1)
                assert worth >= 0.9999 * 10.0 ** math.floor(math.log10(half))


def test_people_say_it_like_this():
    assert say_about(261.3, 261.3, 261.3, "mi") == "about 260 miles"
    assert say_about(6.15, 6.15, 6.15, "kW") == "a little over six kilowatts"
    assert say_about(6.15, 5.9, 6.4, "kW") == "about 6.2 kilowatts"
    assert say_about(391.0, 391.0, 391.0, "km") == "just under 400 kilometres"
    assert say_about(1.0, 1.0, 1.0, "kW") == "one kilowatt"
    assert say_about(59.0, 59.0, 59.0, "%") == "59 percent"
    assert say_about(402.0, 371.0, 437.0, "km") == "about 400 kilometres"
    assert say_about(-12.0, -12.0, -12.0, "°C") == "minus twelve degrees Celsius"
    assert say_time(13_787.0, 0.0) == "about three hours and 50 minutes"
    assert say_time(3600.0, 0.0) == "one hour"
    assert say_time(13_787.0, 1700.0) == "about four hours"
    assert in_words(12_500.0) == "12,500"
    assert rounded(0.0, 2) == 0.0
    assert outward(-1.234, 5.551, 3) == (-1.24, 5.56)


def test_names_of_a_sheet_are_words_and_nothing_else(sheet):
    text = script("{{ vehicle }}", sheet).text
    assert "<" not in text
    assert "690" not in text  # what looks like a template in the name is not rendered
    assert r"\{\{ mass \}\}" in text
    assert r"\*one\*" in text


def test_what_answers_like_a_sheet_stands_in_for_one(sheet):
    class Standing:
        name = "Another"

        def find(self, wanted, **conditions):
            return sheet.find(wanted, **conditions)

    asked = 'At speed: {{ find("range", speed="90 km/h") }}.'
    assert script(asked, Standing()).text == script(asked, sheet).text
    assert script("{{ vehicle }}", Standing()).text == "Another"


def test_a_number_may_begin_a_sentence_and_stay_known():
    made = script("{{ speed|capitalize }}.", {"speed": "74.4 km/h"})
    assert made.text == "About 74 kilometres per hour."
    assert made.carries == {"speed": pytest.approx(74.4 / 3.6)}


def test_units_may_be_chosen_for_the_whole_script():
    assert "miles" in script("{{ range }}", {"range": "420 km"}, units={"range": "mi"}).text


def test_captions_have_as_many_digits_as_the_spread_allows(sheet):
    assert script("{{ mass.figures }}", sheet).text == "690 kg"
    far = sheet.find("range", speed="80 km/h")
    digits = far.interval.digits(far.si)
    text = script("{{ find('range', speed='80 km/h').figures }}", sheet).text
    assert len(text.removesuffix(" km").strip("0").replace(".", "")) <= digits
    assert script("{{ mass.between }}", sheet).text == "between 670 and 710 kilograms"


@pytest.mark.parametrize(
    ("template", "kind", "words"),
    [
        ("one\ntwo {{ rnage }}", NameUnknownError, "Line 2.*rnage"),
        ("{{ range.to('kg') }}", UnitError, "does not measure"),
        ("one\n{{ range", ChalkwattError, "Line 2"),
        ("{{ range.__class__ }}", ChalkwattError, "unsafe"),
        ("{{ ''.__class__.__mro__[1].__subclasses__() }}", ChalkwattError, "unsafe"),
        ("{{ range.__init__.__globals__ }}", ChalkwattError, "unsafe"),
        ("{{ 'a' * 10**9 }}", ChalkwattError, "does not calculate"),
        ("{{ self }}", ChalkwattError, "cannot write"),
        ("{% include '/etc/passwd' %}", ChalkwattError, "no loader"),
        ("{% for one in range %}x{% endfor %}", ChalkwattError, "not iterable"),
        ("{{ range.stated }}", ChalkwattError, "cannot write"),
        ("{{ range|upper }}", ChalkwattError, "upper"),
        ("{{ cycler }}", NameUnknownError, "cycler"),
    ],
)
def test_a_mistake_or_a_trick_is_an_error_that_says_where(template, kind, words):
    with pytest.raises(kind, match=words):
        script(template, {"range": load.find("range", **load.example)})


def test_a_script_is_written_whole(tmp_path):
    made = script("{{ mass }}\n", {"mass": "700 kg"}, tmp_path / "a.md")
    assert made.path.read_text() == "700 kilograms\n"


def test_a_script_says_for_which_drive_its_numbers_hold_or_its_notes_do():
    far = load.find("range", **load.example)
    bare = script("It goes {{ range }}.", {"range": far})
    assert bare.text == "It goes about 380 kilometres."
    drive = "at a steady 100 km/h on a level road, without wind or heater"
    assert bare.notes == (f"Range: For a drive {drive}.",)
    told = script("It goes {{ range }}{{ range.when }}.", {"range": far})
    assert told.text == f"It goes about 380 kilometres {drive}."
    assert told.notes == ()


def test_what_is_asked_in_a_script_carries_its_notes():
    sheet = Sheet.parse(
        """
        [vehicle]
        name = "Dunlin"
        [values]
        usable_energy = { value = "57 kWh", origin = "quoted" }
        drag_coefficient = { value = 0.29, origin = "quoted" }
        frontal_area = { value = "2.9 m^2", origin = "measured" }
        mass = { value = "1980 kg", origin = "measured" }
        rolling_coefficient = { value = 0.009, origin = "assumed" }
        drive_efficiency = { value = 0.88, origin = "assumed" }
        auxiliary_power = { value = "400 W", origin = "assumed" }
        """
    )
    asked = 'find("drag_area", range="480 km", speed="25 m/s")'
    bare = script(f"It takes {{{{ {asked} }}}}.", sheet)
    own = "the drag area would be 0.84"
    assert any(own in one for one in bare.notes)
    loop = "{% for one in " + asked + ".notes %}{{ one }} {% endfor %}"
    told = script(f"It takes {{{{ {asked} }}}}. {loop}", sheet)
    assert own in told.text
    assert not any(own in one for one in told.notes)


def test_a_number_by_a_name_that_is_no_quantity_is_refused_and_notes_are_said():
    with pytest.raises(
        NameUnknownError, match="'t' is no quantity, and a number is said by the name of one"
    ):
        script("\nIt takes {{ t }}.", {"t": "3 s"})
    tyres = launch.find("time_to_speed", **{**launch.example, "target_speed": "20 km/h"})
    told = script("{{ time_to_speed.notes }}", {"time_to_speed": tyres}).text
    assert "The tyres limit the start all the way" in told
