"""A claim for which the stated values have no answer is judged by the draws that have one."""

import pytest

import chalkwatt as cw
from chalkwatt.errors import OutOfBoundsError, TooLittleKnownError
from chalkwatt.scripts.judged import judged
from tests.browsing import ROOT

DEMO = cw.Sheet.read(ROOT / "assets" / "quillwort.toml")
# INVENTED.
PLAIN = """
[vehicle]
name = "Plainwagon"
invented = true
[values.mass]
value = "1500 kg"
origin = "measured"
[values.drag_area]
value = "0.6 m^2"
origin = "measured"
[values.rolling_coefficient]
value = 0.01
origin = "measured"
[values.drive_efficiency]
value = 0.88
origin = "measured"
[values.air_density]
value = "1.2 kg/m^3"
origin = "measured"
[values.usable_energy]
value = "60 kWh"
origin = "measured"
"""
WIDE = cw.Sheet.parse(PLAIN + 'range = ["55 kWh", "65 kWh"]\n')
SURE = cw.Sheet.parse(PLAIN)
SPEED = 25.0
FORCE = 0.5 * 1.2 * 0.6 * SPEED**2 + 0.01 * 1500 * 9.80665


def distance(energy_kwh):
    """How far an energy goes with nothing else drawn, in km: by hand."""
    return energy_kwh * 3.6e6 * 0.88 / FORCE / 1000


@pytest.mark.parametrize(
    ("least", "load", "word"),
    [
        (61.0, 300.0, "needs favourable values"),
        (61.0, 1e5, "could go either way"),
        (60.5, 1e5, "could go either way"),
        (64.9, 1e5, "hardly within reach"),
        (65.1, 1e5, "out of reach"),
        (90.0, 1e5, "out of reach"),
    ],
)
def test_the_share_that_meets_it_is_that_of_the_draws_with_an_answer(least, load, word):
    """The load that the claim leaves is what remains of the energy, over the time of the drive.

    An energy below ``least`` leaves less than nothing, which no load is; energies are drawn uniformly.
    """
    far = distance(least)
    most = least + load * far * 1000 / SPEED / 3.6e6
    answered = max(0.0, 65 - least) / 10
    met = max(0.0, min(most, 65) - least) / 10
    claim = cw.Claim("auxiliary_power", f"{load} W", range=f"{far!r} km", speed="90 km/h")
    verdict = WIDE.judge(claim)
    assert verdict.chance == pytest.approx(met, abs=1e-3)
    assert verdict.answered == pytest.approx(answered, abs=1e-3)
    assert verdict.word == word
    assert "No auxiliary power gives a range of" in verdict.why
    assert verdict.why[1:] in verdict.sentence
    if answered > 0.02:
        assert (
            f"there is an answer in about {100 * answered:.0f} cases out of 100" in verdict.sentence
        )
        assert f"is met in about {100 * met:.0f} cases out of 100" in verdict.sentence
    if not answered:
        assert "out of reach: none of the 8192 cases tried has an answer" in verdict.sentence
    assert not verdict.met
    assert verdict.word in verdict.board().page


def test_what_no_draw_meets_but_the_kindest_values_is_hardly_within_reach():
    """At the upper end of the energy alone nothing is left for a load: that end is no draw."""
    claim = cw.Claim("auxiliary_power", "9 W", range=f"{distance(65)!r} km", speed="90 km/h")
    verdict = WIDE.judge(claim)
    assert verdict.chance == 0
    assert verdict.word == "hardly within reach"
    assert "hardly within reach: none of the" in verdict.sentence
    assert "would be met with every value at its kindest end" in verdict.sentence


def test_without_a_range_there_are_no_draws():
    verdict = SURE.judge(
        cw.Claim("drag_area", "0.2 m^2", range="9000 km", auxiliary_power="1 W", speed="9 m/s")
    )
    assert verdict.word == "out of reach"
    assert "none of which has a stated range" in verdict.sentence
    assert verdict.chance == 0


@pytest.mark.sweep(1 / 5)
@pytest.mark.parametrize(
    ("quantity", "value", "conditions"),
    [
        ("speed", "10 km/h", {"range": "2000 km"}),
        ("speed", "10 km/h", {"consumption": "0.1 kWh/100 km"}),
        ("usable_fraction", "90 %", {"range": "700 km", "speed": "90 km/h"}),
        ("drag_area", "0.1 m^2", {"range": "1500 mi", "speed": "55 mph"}),
        ("rolling_coefficient", 0.001, {"consumption": "2 kWh/100 km", "speed": "25 m/s"}),
    ],
)
def test_script_page_and_word_say_that_it_is_out_of_reach(quantity, value, conditions):
    claim = cw.Claim(quantity, value, said_by="a mug", **conditions)
    verdict = DEMO.judge(claim)
    assert verdict.word == "out of reach"
    assert verdict.why[1:] in verdict.sentence
    assert "values behind this" in verdict.sentence
    listed = "".join(f'{name} = "{one}", ' for name, one in conditions.items())
    text = (
        f'\n[[claims]]\nquantity = "{quantity}"\nvalue = "{value}"\nsaid_by = "a mug"\n'
        f"conditions = {{ {listed.rstrip(', ')} }}\n"
    )
    said = judged(cw.Sheet.parse(DEMO.text + text), str)[-1]
    assert said.word == "out of reach"
    assert "cannot be judged" not in str(said.sentence)


def test_facts_that_contradict_each_other_say_one_word_less():
    wide = (
        PLAIN + 'range = ["59.9 kWh", "70 kWh"]\n'
    )  # its draws are triangular, most above the stated value
    torn = wide + '[values.pack_energy]\nvalue = "40 kWh"\norigin = "quoted"\n'
    claim = cw.Claim("auxiliary_power", "100 kW", range=f"{distance(60.5)!r} km", speed="90 km/h")
    plain, less = (cw.Sheet.parse(text).judge(claim) for text in (wide, torn))
    assert plain.chance == pytest.approx((70 - 60.5) ** 2 / (10.1 * 10.0), abs=1e-3)
    assert less.chance == plain.chance
    assert (plain.word, less.word) == ("probably holds", "could go either way")
    assert "contradict each other: The facts make the usable fraction" in less.sentence
    assert "contradict" not in plain.sentence


def test_what_cannot_be_asked_is_still_refused():
    with pytest.raises(OutOfBoundsError):
        DEMO.judge(cw.Claim("range", "300 km", speed="-9 km/h", drag_area="-1 m^2"))
    with pytest.raises(TooLittleKnownError):
        SURE.judge(cw.Claim("charging_time", "10 min"))


@pytest.mark.parametrize(
    ("name", "claimed", "sense", "word"),
    [
        ("mass", "1600 kg", "at most", "disputed"),
        ("mass", "1400 kg", "at most", "out of reach"),
        ("drag_area", "0.7 m^2", "at most", "disputed"),
        ("drive_efficiency", 0.85, "at least", "disputed"),
        ("drive_efficiency", 0.95, "at least", "out of reach"),
    ],
)
def test_what_the_sheet_states_is_not_out_of_reach_for_a_quote_that_nothing_meets(
    name, claimed, sense, word
):
    """A quoted range beyond any mass leaves no mass; the measured one stands all the same."""
    values = {"mass": "1500 kg", "drag_area": "0.6 m^2", "rolling_coefficient": 0.01,
              "drive_efficiency": 0.88, "auxiliary_power": "400 W", "air_density": "1.2 kg/m^3",
              "usable_energy": "60 kWh", "speed": "100 km/h"}  # fmt: skip
    lines = ["[vehicle]", 'name = "Rook"', "invented = true"]
    for one, value in values.items():
        shown = f'"{value}"' if isinstance(value, str) else repr(value)
        lines += [f"[values.{one}]", f"value = {shown}", 'origin = "measured"']
    lines += ["[values.range]", 'value = "2000 km"', 'origin = "quoted"']
    stated = cw.Sheet.parse("\n".join(lines))
    asked = stated.judge(cw.Claim(name, claimed, sense=sense, speed="90 km/h"))
    assert asked.word == word
    verdict = stated.judge(cw.Claim(name, claimed, sense=sense))
    assert verdict.word == word
    assert {one.quantity for one in verdict.conflicts} == {"range"}
    assert "The range is quoted as 2000 km" in verdict.sentence
    assert "the sheet itself states" in verdict.sentence
    assert ("would be met" in verdict.sentence) == (word == "disputed")
