"""A claim of what nothing limits is decided, and it is said why."""

import numpy as np
import pytest

import chalkwatt as cw
from chalkwatt.errors import NoSolutionError
from chalkwatt.scripts.judged import judged
from tests.browsing import ROOT

DEMO = cw.Sheet.read(ROOT / "assets" / "quillwort.toml")
DOWN = {"speed": "90 km/h", "grade": "-9 %", "recovery_efficiency": "60 %"}


@pytest.mark.parametrize(
    ("quantity", "value", "sense", "word"),
    [
        ("range", "300 mi", None, "holds"),
        ("range", "1e6 km", None, "holds"),
        ("range", "300 mi", "at most", "out of reach"),
        ("driving_time", "5 h", None, "holds"),
        ("consumption", "0.1 Wh/km", None, "holds"),
        ("consumption", "5 kWh/100 km", "at least", "out of reach"),
        ("lifetime_distance", "1e6 km", None, "holds"),
        ("wall_consumption", "1 kWh/100 km", None, "holds"),
        ("wall_consumption", "1 kWh/100 km", "at least", "out of reach"),
    ],
)
def test_what_nothing_limits_is_decided(quantity, value, sense, word):
    verdict = DEMO.judge(cw.Claim(quantity, value, sense=sense, **DOWN))
    assert verdict.word == word
    assert "the range is not limited by the battery" in verdict.sentence
    assert ("not met by that" in verdict.sentence) == (word != "holds")
    assert verdict.word in verdict.board().page
    assert verdict.interval is None


@pytest.mark.parametrize(
    ("quantity", "value", "more"),
    [
        ("charging_speed", "900 km/h", {"station_power_max": "50 kW"}),
        ("distance_in_ten_minutes", "900 km", {"station_power_max": "50 kW"}),
        ("distance_added", "9000 km", {"state_of_charge_from": 0.1, "state_of_charge_to": 0.8}),
    ],
)
def test_what_is_charged_takes_it_as_far_as_one_likes(quantity, value, more):
    verdict = DEMO.judge(cw.Claim(quantity, value, **DOWN, **more))
    assert verdict.word == "holds"
    assert "nothing is drawn from the battery" in verdict.sentence


def test_that_nothing_is_recovered_is_told_of_a_charge_too():
    found = DEMO.find("charging_speed", speed="90 km/h", grade="-9 %", station_power_max="50 kW")
    assert "recovery" in " ".join(found.notes)


def test_a_script_and_a_page_say_it(tmp_path):
    claim = """
[[claims]]
quantity = "range"
value = "900 km"
conditions = { speed = "90 km/h", grade = "-9 %", recovery_efficiency = "60 %" }
said_by = "a mug"
"""
    sheet = cw.Sheet.parse(DEMO.text + claim)
    said = judged(sheet, str)[-1]
    assert said.word == "holds"
    assert "does not decide" not in str(said.sentence)
    page = sheet.page(tmp_path / "page.html").read_text("utf-8")
    assert "not limited by the battery" in page


def test_how_many_draws_say_so_is_told():
    """At the first slope on which the stated values leave nothing to draw, the draws part."""
    found = {}
    for slope in range(200, 900, 5):
        conditions = {**DOWN, "grade": f"-{slope / 100} %"}
        power = DEMO.find("battery_power", **conditions)
        if power.si < 0:
            found = conditions
            break
    share = DEMO.find("battery_power", **found).spread.share(lambda drawn: drawn <= 0)
    assert 0.2 < share < 0.95
    verdict = DEMO.judge(cw.Claim("range", "300 mi", **found))
    assert verdict.endless == pytest.approx(share)
    # Where little is drawn, the limit is beyond a few hundred miles.
    assert verdict.chance > 0.99
    assert verdict.word == "holds"
    assert f"about {100 * share:.0f} cases out of 100" in verdict.sentence


def test_what_the_wheels_give_back_is_told_where_nobody_says_how_much():
    words = "none of it is taken as recovered"
    for conditions, told in (
        ({"speed": "90 km/h", "grade": "-5 %"}, True),
        ({"speed": "90 km/h", "grade": "-5 %", "recovery_efficiency": "0 %"}, False),
        ({"speed": "90 km/h", "grade": "-2 %", "recovery_efficiency": "10 %"}, False),
        ({"speed": "90 km/h"}, False),
        ({"speed": "20 km/h", "headwind": "-150 km/h"}, True),
    ):
        assert any(words in one for one in DEMO.find("range", **conditions).notes) == told
        verdict = DEMO.judge(cw.Claim("range", "300 km", **conditions))
        assert (words in verdict.sentence) == told


def test_the_remedy_that_nobody_gave_is_named():
    """A power that only recovery gives: what was taken for granted is among what to change."""
    with pytest.raises(NoSolutionError, match="or give recovery_efficiency") as caught:
        DEMO.find("speed", battery_power="-5 kW", grade="-8 %")
    assert "headwind" not in caught.value.advice
    assert (
        DEMO.find("speed", battery_power="-5 kW", grade="-8 %", recovery_efficiency="60 %").si > 0
    )


def test_what_has_no_value_for_another_reason_is_not_without_limit():
    verdict = DEMO.judge(cw.Claim("range", "300 mi", speed="0 km/h"))
    assert verdict.word == "out of reach"
    assert "the vehicle stands still" in verdict.sentence


def slope_where_draws_part(*, endless):
    """The slope nearest to level at which some draws, and not the stated values, draw nothing; or the reverse."""
    for slope in range(200, 900, 5):
        conditions = {**DOWN, "grade": f"-{slope / 100} %"}
        power = DEMO.find("battery_power", **conditions)
        share = power.spread.share(lambda drawn: drawn <= 0)
        if 0.05 < share < 0.95 and (power.si <= 0) == endless:
            return conditions, power
    raise AssertionError


@pytest.mark.parametrize("endless", [False, True])
@pytest.mark.parametrize(
    ("quantity", "value", "sense", "least"),
    [
        ("range", "300 mi", "at least", True),
        ("range", "20000 km", "at least", True),
        ("range", "20000 km", "at most", False),
        ("driving_time", "100 h", "at least", True),
        ("consumption", "0.1 kWh/100 km", "at most", True),
        ("consumption", "0.1 kWh/100 km", "at least", False),
        ("lifetime_distance", "1e7 km", "at least", True),
    ],
)
def test_draws_without_a_limit_count_as_what_they_are(endless, quantity, value, sense, least):
    """Draw by draw by hand: power from the sheet, and the rest by the definitions of range and consumption."""
    conditions, power = slope_where_draws_part(endless=endless)
    claim = cw.Claim(quantity, value, sense=sense, **conditions)
    verdict = DEMO.judge(claim)
    watts = power.spread.values
    if quantity == "lifetime_distance":
        # Some draws have no limit, and they meet it; of the others none need be counted here.
        assert verdict.chance >= np.mean(watts <= 0)
        return
    joules = DEMO.find("usable_energy", **conditions).spread.values
    if DEMO.find("usable_energy", **conditions).certain:
        joules = DEMO.find("usable_energy", **conditions).si
    speed = 25.0
    drawn = {
        "range": joules * speed / watts,
        "driving_time": joules / watts,
        "consumption": watts / speed,
    }[quantity]
    limited = watts > 0
    met = np.where(limited, claim.met(drawn), least)
    assert verdict.chance == pytest.approx(np.mean(met), abs=2e-4)
    told = f"{100 * np.mean(~limited):.0f} cases out of 100"
    assert f"about {told}" in verdict.sentence
    assert "have no solution" not in verdict.sentence


def test_a_finding_says_in_how_many_draws_nothing_limits_it():
    conditions, power = slope_where_draws_part(endless=False)
    share = power.spread.share(lambda drawn: drawn <= 0)
    found = DEMO.find("range", **conditions)
    assert found.endless == pytest.approx(share)
    assert "of the draws nothing limits the range" in repr(found)
    assert "have no solution" not in repr(found)
    assert DEMO.find("range", speed="90 km/h").endless == 0


def test_the_script_of_an_episode_says_what_python_says(tmp_path):
    """Where nothing limits the range, it is no lack of knowledge."""
    text = DEMO.text.split("[[claims]]")[0]
    claim = """
[[claims]]
quantity = "range"
value = "900 km"
conditions = { speed = "90 km/h", grade = "-9 %", recovery_efficiency = "60 %" }
said_by = "a mug"
"""
    stated = """
[values.grade]
value = "-9 %"
origin = "assumed"
[values.recovery_efficiency]
value = "60 %"
origin = "assumed"
"""
    template = (ROOT / "kit/chalkwatt/episodes/episode.script.md").read_text("utf-8")
    made = cw.script(template, cw.Sheet.parse(text + stated + claim)).text
    with pytest.raises(NoSolutionError) as cause:
        DEMO.find("range", **DOWN)
    said = str(cause.value).removesuffix(cause.value.advice).strip()
    assert said in made
    assert "too little" not in made
    assert "How far does the Quillwort go at 90 km/h" in made
    bare = cw.Sheet.parse('[vehicle]\nname = "Wren"\n')
    assert "too little of it is known" in cw.script(template, bare).text


def test_nothing_limited_holds_where_the_facts_contradict_each_other():
    """Two masses that cannot both be true: what nothing limits is so by either, and both are told."""
    said = {
        "mass": "1500 kg", "mass_without_pack": "1200 kg", "pack_mass": "400 kg", "drag_area": "0.6 m^2",
        "rolling_coefficient": 0.01, "drive_efficiency": 0.88, "auxiliary_power": "0 W",
        "air_density": "1.2 kg/m^3", "usable_energy": "60 kWh",
    }  # fmt: skip
    text = '[vehicle]\nname = "x"\ninvented = true\n'
    for name, value in said.items():
        text += f'[values.{name}]\nvalue = {value!r}\norigin = "quoted"\n'
    verdict = cw.Sheet.parse(text).judge(cw.Claim("range", "300 km", **DOWN))
    assert verdict.word == "probably holds"
    assert "contradict each other" in verdict.sentence
    assert "1500 kg" in verdict.sentence
    assert "1600 kg" in verdict.sentence
