"""What has to be said beside a number from a sheet: counts that are none, draws that tell another story."""

from types import SimpleNamespace

import numpy as np
import pytest

from chalkwatt import Claim, Sheet
from chalkwatt.cards.card import equation_card
from chalkwatt.episodes.questions import finding_inputs
from chalkwatt.evidence.remarks import turned_round
from chalkwatt.evidence.sheets.facts import make_fact
from chalkwatt.evidence.sheets.owning import Derived
from chalkwatt.laws.quantities import look_up
from chalkwatt.pages.sheet_page import sheet_parts
from chalkwatt.scripts.script import script
from tests.browsing import ROOT

DEMO = Sheet.read(ROOT / "assets" / "quillwort.toml")
TEMPLATE = (ROOT / "kit" / "chalkwatt" / "episodes" / "episode.script.md").read_text(
    encoding="utf-8"
)


def sheet(**values):
    text = '[vehicle]\nname = "x"\n'
    for name, (value, *more) in values.items():
        shown = f'"{value}"' if isinstance(value, str) else value
        text += f"[values.{name}]\nvalue = {shown}\norigin = 'quoted'\n" + "\n".join([*more, ""])
    return Sheet.parse(text)


def test_a_count_that_comes_out_as_none_is_told_with_its_neighbours():
    made = sheet(
        pack_voltage=("400 V",),
        cell_voltage=("3.7 V",),
        pack_energy=("75 kWh",),
        cell_capacity=("4.8 Ah",),
    )
    series = made.find("cells_in_series")
    assert series.si == pytest.approx(400 / 3.7)
    (note,) = series.notes
    assert "nearest whole ones are 108 and 109" in note
    assert f"108 would make the pack voltage {108 * 3.7:.1f} V" in note
    assert f"109 would make the pack voltage {109 * 3.7:.1f} V" in note
    assert note in repr(series)
    # On the way to another number, and in all that follows.
    assert "108.108 as its cells in series" in repr(made.find("cell_count"))
    follows = repr(made.follow())
    for words in (
        "cells in series: the nearest",
        "cells in parallel: the nearest",
        "4222 and 4223",
    ):
        assert words in follows


@pytest.mark.parametrize(
    "values",
    [
        {"pack_voltage": ("399.6 V",), "cell_voltage": ("3.7 V",)},
        {"pack_voltage": ("400 V", 'plus_minus = "2 V"'), "cell_voltage": ("3.7 V",)},
        {"cell_count": (108,), "cells_in_parallel": (1,)},
    ],
)
def test_a_count_that_is_whole_or_may_be_within_the_ranges_is_not_told(values):
    assert not sheet(**values).find("cells_in_series").notes


def test_draws_without_a_solution_are_told():
    made = sheet(cell_count=(120, "range = [108, 120]"), cells_in_series=(120,))
    found = made.find("cells_in_parallel")
    # Of the 13 counts only 120 leaves a whole string.
    assert found.spread.unsolved == pytest.approx(12 / 13, abs=0.05)
    assert "% of the draws have no solution" in repr(found)


def test_a_value_at_the_end_of_its_range_is_told_to_lie_outside_most_draws():
    made = sheet(cell_count=(2592, "range = [2304, 2592]"), cell_energy=("18 Wh",))
    found = made.find("pack_energy")
    assert found.si > found.interval.high
    assert "outside most of the draws, for what is stated of the cell count is an end" in repr(
        found
    )


def test_a_uniform_range_that_forgets_its_value_is_told():
    made = sheet(
        drag_coefficient=(0.2, "range = [0.18, 0.3]", 'shape = "uniform"'), frontal_area=("2 m^2",)
    )
    assert "centre on 0.24 and not on the stated 0.2" in repr(made.find("drag_area"))
    likely = made.revised("drag_coefficient", 0.2, range=[0.18, 0.3], shape=None)
    assert "centre on" not in repr(likely.find("drag_area"))


CLASH = sheet(
    mass=("1500 kg",), drag_area=("0.6 m^2",), rolling_coefficient=(0.01,), drive_efficiency=(0.88,),
    auxiliary_power=("400 W",), air_density=("1.2 kg/m^3",), usable_energy=("60 kWh",),
    consumption=("6 kWh/100 km", 'plus_minus = "0.5 kWh/100 km"'),
)  # fmt: skip


def test_script_and_card_tell_a_contradiction_and_what_gave_way():
    cold = DEMO.text.replace(
        '{ speed = "90 km/h" }', '{ speed = "90 km/h", air_temperature = "-10 degC" }'
    )
    said = script(TEMPLATE, Sheet.parse(cold)).text
    told = "assumed air density of 1.2 kg/m³ gives way to the air temperature of −10 °C asked for"
    assert told in said.split("## Where")[0]
    assert told in "".join(getattr(one, "html", "") for one in sheet_parts(Sheet.parse(cold)))
    assert (
        told
        in equation_card(
            DEMO.find("range", speed="90 km/h", air_temperature="-10 degC"), kind="svg"
        ).alt
    )
    far = CLASH.find("range", speed="90 km/h")
    assert "consumption is quoted as" in equation_card(far, kind="svg").alt
    assert "consumption is quoted as" in script(TEMPLATE, CLASH).text


def test_what_a_finding_is_compared_with_is_part_of_its_digest():
    """Or a verdict would go on telling of a quote that has changed."""
    other = CLASH.revised("consumption", "5 kWh/100 km", plus_minus="0.5 kWh/100 km")
    first, second = (one.judge(Claim("range", "1 km", speed="90 km/h")) for one in (CLASH, other))
    assert first.finding.si == second.finding.si
    assert first.sentence != second.sentence
    assert finding_inputs(first.finding) != finding_inputs(second.finding)


@pytest.mark.parametrize(
    ("wanted", "conditions"),
    [
        ("time_to_speed", {"target_speed": "60 mph"}),
        ("lifetime_distance", {"speed": "90 km/h"}),
        ("charging_speed", {"speed": "90 km/h"}),
    ],
)
def test_nothing_that_follows_is_said_to_be_stated(wanted, conditions):
    """What another topic is handed has draws of its own, of no shape that anybody stated."""
    found = DEMO.find(wanted, **conditions)
    assert any(fact.origin == "derived" and not fact.exact for fact in found.facts.values())
    assert "not on the stated" not in repr(found)


@pytest.mark.parametrize("shape", ["uniform", "triangular", "normal"])
def test_of_stated_values_only_a_uniform_range_forgets_them(shape):
    said = 'range = ["31 kWh", "60 kWh"]' if shape != "normal" else 'plus_minus = "3 kWh"'
    made = sheet(
        usable_energy=("33 kWh", said, f'shape = "{shape}"'), consumption=("12 kWh/100 km",)
    )
    found = made.find("range")
    told = "centre on 45.5 kWh and not on the stated 33 kWh: its range is uniform" in repr(found)
    assert told == (shape == "uniform")


@pytest.mark.parametrize("wanted", ["recovered_energy", "saturation_pressure", "air_density"])
def test_what_rests_on_nothing_of_the_sheet_says_so(wanted):
    made = Sheet.parse(
        '[vehicle]\nname = "T"\ninvented = true\n[values.mass]\nvalue = "900 kg"\norigin = "quoted"\n'
    )
    told = "Nothing of the sheet and nothing asked stands behind this: standing values alone do."
    assert told in made.find(wanted).notes
    assert told not in made.find("air_density", air_temperature="20 degC").notes


def test_an_answer_and_a_verdict_say_what_stands_behind_them_in_one_order():
    made = sheet(
        usable_energy=("60 kWh",), mass=("1500 kg",), drag_area=("0.6 m^2",),
        rolling_coefficient=(0.01,), drive_efficiency=("88 %",), auxiliary_power=("400 W",),
        cabin_temperature=("20 degC",), heat_loss_coefficient=("100 W/K",),
        air_density=("1.2 kg/m^3",), consumption=("6 kWh/100 km",),
    )  # fmt: skip
    verdict = made.judge(
        Claim("range", "100 km", speed="90 km/h", grade="-4 %", air_temperature="-5 degC")
    )
    finding = verdict.finding
    notes = [one for one in finding.notes if one not in {c.clash for c in finding.conflicts}]
    shared = [verdict.sentence.find(one) for one in notes]
    assert len(shared) > 1
    assert min(shared) >= 0, (notes, verdict.sentence)
    assert shared == sorted(shared)


@pytest.mark.parametrize(
    ("ends", "told"),
    [
        # Of a triangle whose mode is a fifth along its base, four fifths lie above the mode.
        ((0.4, 0.9), "80 % of the draws make it more"),
        ((0.1, 0.6), "80 % of the draws make it less"),
        ((0.4, 0.6), ""),
        ((0.42, 0.6), ""),
    ],
)
def test_draws_beside_what_is_stated_are_told(ends, told):
    made = sheet(
        drag_area=("0.5 m^2", f'range = ["{ends[0]} m^2", "{ends[1]} m^2"]'),
        speed=("90 km/h",),
        air_density=("1.2 kg/m^3",),
    ).find("air_force")
    values = made.spread.values
    assert told in repr(made)
    assert bool(told) == ("not stated in the middle of its range" in repr(made))
    if told:
        assert max(np.mean(values > made.si), np.mean(values < made.si)) == pytest.approx(
            0.8, abs=0.01
        )


# --- Sentences that are only said where they are true -----------------------------------------------


def _quoting(facts, ranges=()):
    text = '[vehicle]\nname = "x"\ninvented = true\n'
    for name, value in facts.items():
        text += f'[values.{name}]\nvalue = {value!r}\norigin = "quoted"\n'
        text += f'plus_minus = "{dict(ranges)[name]}"\n' if name in dict(ranges) else ""
    return Sheet.parse(text)


def test_a_range_that_changes_nothing_is_not_said_to_be_none():
    """The onboard charger binds, whatever the outlet gives between 31 A and 33 A."""
    outlet = {
        "onboard_power_max": "7.4 kW", "phase_voltage": "230 V", "line_current": "32 A", "phases": 3,
        "charging_efficiency": 0.9,
    }  # fmt: skip
    claim = Claim("charging_power", "6 kW")
    ranged = _quoting(outlet, {"line_current": "1 A"}.items()).judge(claim)
    assert ranged.interval is None
    assert not ranged.finding.certain
    assert "none of the values" not in ranged.sentence
    assert "the stated ranges of the values behind it change nothing" in ranged.sentence
    plain = _quoting(outlet).judge(claim)
    assert "none of the values behind it has a stated range" in plain.sentence


def test_what_follows_for_a_topic_is_not_said_to_be_of_the_sheet():
    """A sheet that states a mass and a tyre states no rolling force."""
    mass, tyre = (
        make_fact(name, value, origin="quoted")
        for name, value in (("mass", "980 kg"), ("rolling_coefficient", 0.01))
    )
    made = Derived("rolling_force", 96.1, 96.1, 96.1, origin="derived", behind=(mass, tyre))
    asked = make_fact("top_speed", "150 km/h")
    found = SimpleNamespace(
        own=SimpleNamespace(
            facts={"rolling_force": made, "top_speed": asked},
            quantity=look_up("wheel_power"), unit="kW", solutions_si=(4e3,), text="4 kW",
        ),
        choice=SimpleNamespace(
            conditions={"top_speed": asked}, order=SimpleNamespace(turned=("top_speed",))
        ),
        quantity=look_up("wheel_power"),
    )  # fmt: skip
    (said,) = turned_round(found)
    assert "By the mass and rolling coefficient of the sheet the wheel power would be" in said


def test_what_stands_against_a_question_is_not_said_to_deserve_more_trust_than_it():
    """A condition has no origin that trust could be measured by."""
    road = {
        "mass": "1500 kg", "drag_area": "0.6 m^2", "rolling_coefficient": 0.01, "drive_efficiency": 0.88,
        "auxiliary_power": "400 W", "air_density": "1.200 kg/m^3", "usable_energy": "60 kWh",
    }  # fmt: skip
    cold = Claim("range", "300 km", speed="90 km/h", air_temperature="-20 degC")
    verdict = _quoting(road).judge(cold)
    assert [one.kind for one in verdict.conflicts] == ["condition"]
    assert "This verdict keeps to the" in verdict.sentence
    assert "at least as much trust" not in verdict.sentence


def test_what_is_said_beside_a_finding_is_printed_once():
    made = DEMO.find("range", speed="90 km/h", air_temperature="-10 degC")
    assert made.notes
    for shown in (str(made), repr(made), made._repr_mimebundle_()["text/plain"]):
        assert all(shown.count(note) == 1 for note in made.notes)
    assert "\n" not in f"{made}"


def test_what_a_limit_holds_is_on_neither_side_of_what_is_stated():
    """The station gives 50 kW whatever of the cells' greatest current is drawn above 139 A."""
    made = sheet(
        station_power_max=("50 kW",),
        charging_voltage=("360 V",),
        pack_charge_current_max=("200 A", 'range = ["120 A", "205 A"]'),
    ).find("charging_power")
    values = made.spread.values
    assert np.mean(values == made.si) > 0.9
    assert "of the draws make it" not in repr(made)
