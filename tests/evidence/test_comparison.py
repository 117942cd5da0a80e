"""Comparisons: no number without its unit and its origin."""

import re

import pytest

from chalkwatt import compare
from chalkwatt.errors import ChalkwattError, NameUnknownError, UnitError
from chalkwatt.evidence.sheets import ORIGINS, Sheet
from tests.browsing import ROOT

DEMO = Sheet.read(ROOT / "assets" / "quillwort.toml")
OTHER = Sheet.parse(DEMO.text.replace('"Quillwort"', '"Meadowsweet"')).revised("mass", "820 kg")
BARE = Sheet.parse('[vehicle]\nname = "Bare"\n[values.mass]\nvalue = 900\norigin = "quoted"\n')
MADE = compare(DEMO, OTHER, BARE, speed="90 km/h")


def test_stated_values_keep_their_origin_and_others_are_derived():
    assert [one.origin for one in MADE.cells["mass"]] == ["measured", "measured", "quoted"]
    assert [one.origin for one in MADE.cells["range"]] == ["derived", "derived", "unknown"]
    assert MADE.cells["range"][0].si == pytest.approx(DEMO.find("range", speed="90 km/h").si)
    assert MADE.cells["range"][2].why


def test_no_number_without_its_unit_nor_origin():
    for name, row in MADE.cells.items():
        for cell in row:
            assert cell.origin in {*ORIGINS, "derived", "unknown"}
            if cell.si is not None:
                assert re.search(r"\d.*[A-Za-z²%]", cell.text), (name, cell.text)
    assert MADE.table.count("<td") == MADE.table.count("<small> ") - MADE.table.count("<small> inv")
    assert MADE.table.count("<td") == 3 * len(MADE.quantities)


def test_the_figure_has_a_row_for_each():
    svg = MADE.figure()
    assert svg.count("Quillwort</text>") == len(MADE.quantities)
    assert svg.count("unknown</text>") == sum(
        cell.si is None for row in MADE.cells.values() for cell in row
    )
    assert repr(MADE).count("90 km/h") == 1  # the drive says it, and nothing says it again


def test_table_and_figure_say_for_which_drive_the_ranges_hold():
    heated = Sheet.parse(
        DEMO.text.replace('"220 W"', '"1500 W"').replace('["150 W", "320 W"]', '["1 kW", "2 kW"]')
    )
    told = {
        compare(DEMO, OTHER, speed="35 mph"): ["on a level road, without wind or heater"],
        compare(DEMO, heated, speed="35 mph"): [
            "Quillwort: for a drive at a steady 35 mph on a level road, without wind or heater.",
            "for a drive at a steady 35 mph on a level road, without wind, with 1",
        ],
        compare(DEMO, OTHER, speed="35 mph", grade="3 %", headwind="5 m/s"): [
            "up a grade of 3 %, without heater, against a head wind of 5 m/s"
        ],
    }
    for made, words in told.items():
        for one in words:
            assert one in repr(made)
            assert one in made.figure()  # in words for who does not see it
            drawn = " ".join(re.findall(r">([^<>]+)</text>", made.figure()))
            assert one in drawn


def test_what_cannot_be_compared():
    with pytest.raises(ChalkwattError, match="no sheet"):
        compare()
    with pytest.raises(NameUnknownError):
        compare(DEMO, quantities=("rage",))


def test_a_condition_that_cannot_be_is_no_row_of_unknowns():
    sheet = Sheet.read(ROOT / "assets" / "quillwort.toml")
    with pytest.raises(UnitError, match="km/h"):
        compare(sheet, speed="90 km")
    with pytest.raises(ChalkwattError, match="must be a sheet, not 3"):
        compare(sheet, 3)


def test_a_condition_of_none_of_the_quantities_is_a_slip():
    with pytest.raises(NameUnknownError, match="target_speed has nothing to do with any of"):
        compare(DEMO, OTHER, BARE, quantities=("mass", "range"), target_speed="60 mph", speed=20.0)


def test_a_condition_of_one_quantity_leaves_the_others_as_they_are():
    conditions = {"speed": "90 km/h", "target_speed": "60 mph", "motor_power": "90 kW"}
    made = compare(DEMO, quantities=("range", "power_bound_time"), **conditions)
    assert made.cells["range"][0].si == MADE.cells["range"][0].si
    alone = DEMO.find("power_bound_time", target_speed="60 mph", motor_power="90 kW")
    assert made.cells["power_bound_time"][0].si == alone.si


def test_conditions_that_play_no_part_in_a_cell_are_marked_there():
    conditions = {
        "speed": "90 km/h",
        "grade": "2 %",
        "target_speed": "60 mph",
        "motor_power": "9 kW",
    }
    made = compare(DEMO, quantities=("range", "power_bound_time", "pack_mass"), **conditions)
    (far,), (start,), (pack,) = (made.cells[name] for name in made.quantities)
    assert "grade" in start.idle
    assert "grade" not in far.idle
    assert pack.idle == ()  # nobody thinks that a pack weighs less for another speed
    assert "without" in repr(made)
    assert "grade" in start.marked
    assert start.marked in made.table
    assert any("grade of 2 %" in one and "power-bound time" in one for one in made.notes), (
        made.notes
    )
    assert all(one in repr(made) for one in made.notes)


def test_what_one_sheet_reckons_with_and_another_does_not_is_marked_and_no_slip():
    """A stated consumption has no speed; the road of another sheet has."""
    stated = Sheet.parse(
        '[vehicle]\nname = "Sedge"\n[values.usable_energy]\nvalue = "30 kWh"\norigin = "quoted"\n'
        '[values.consumption]\nvalue = "15 kWh/100 km"\norigin = "quoted"\n'
    )
    made = compare(DEMO, stated, quantities=("range",), speed="90 km/h")
    here, there = made.cells["range"]
    assert here.idle == ()
    assert there.si == pytest.approx(200e3)
    assert there.idle == ("speed",)


def test_sheets_of_one_name_are_told_apart():
    heavy = DEMO.revised("mass", "1000 kg")
    made = compare(DEMO, heavy, heavy, quantities=("mass",))
    assert made.names[0] == DEMO.name
    assert made.names[1] == f"{DEMO.name} with mass 1000 kg"
    assert len({*made.names}) == 3
    assert all(name in made.table for name in made.names)


def test_which_way_a_charge_goes_is_said_of_each():
    def pack(name, side):
        return Sheet.parse(
            f'[vehicle]\nname = "{name}"\n[values.usable_energy]\nvalue = "40 kWh"\norigin = "quoted"\n'
            f'[values.{side}]\nvalue = "11 kW"\norigin = "quoted"\n'
            '[values.charging_efficiency]\nvalue = 0.9\norigin = "assumed"\n'
        )

    made = compare(
        pack("Sedge", "onboard_power_max"),
        pack("Rush", "station_power_max"),
        quantities=("charging_time",),
        state_of_charge_from=0.1,
        state_of_charge_to=0.8,
    )
    assert any(one.startswith("Sedge") and "Alternating" in one for one in made.notes), made.notes
    assert any(one.startswith("Rush") and "Direct" in one for one in made.notes), made.notes


DOWN = {"speed": "90 km/h", "recovery_efficiency": "60 %"}
WITHOUT_LIMIT = ("range", "driving_time", "lifetime_distance")
NOTHING_DRAWN = ("consumption", "wall_consumption")


def test_what_nothing_limits_is_an_answer_and_no_unknown():
    made = compare(DEMO, BARE, quantities=(*WITHOUT_LIMIT, *NOTHING_DRAWN), grade="-9 %", **DOWN)
    for name in made.quantities:
        cell, bare = made.cells[name]
        expected = "not limited" if name in WITHOUT_LIMIT else "nothing drawn"
        assert cell.text == f"{expected}{' by' if name in WITHOUT_LIMIT else ' from'} the battery"
        assert (cell.origin, cell.si, cell.low, cell.high) == ("derived", None, None, None)
        assert "nothing is drawn from the battery" in cell.why
        assert "Change" not in cell.why  # there is nothing to mend
        assert any(cell.why in one for one in made.notes)
        # Of the sheet with a mass alone nothing is known, and that is said as before.
        assert (bare.text, bare.origin) == ("–", "unknown")
    assert "down a grade of 9 %" in made.under
    assert repr(made).count("not limited by the battery [derived]") == len(WITHOUT_LIMIT)
    assert made.table.count("<span>not limited by the battery</span>") == len(WITHOUT_LIMIT)
    svg = made.figure()
    assert svg.count("not limited by the battery</text>") == len(WITHOUT_LIMIT)
    assert svg.count("unknown</text>") == len(made.quantities)
    assert "Quillwort not limited by the battery" in svg  # in words, for who does not see it


def test_draws_that_part_at_the_edge_are_told_of():
    """Where the battery's power is nought, about half of the draws are to either side; by hand from its draws."""
    for grade in ("-2.6 %", "-2.8 %", "-3 %"):
        power = DEMO.find("battery_power", grade=grade, **DOWN)
        free = power.share(lambda watts: watts <= 0)
        assert 0 < free < 1
        made = compare(DEMO, quantities=("range",), grade=grade, **DOWN)
        (cell,) = made.cells["range"]
        assert (cell.si is None) == (power.si <= 0)
        (said,) = [one for one in made.notes if "of the draws" in one]
        share = float(re.search(r"In ([\d.]+) % of the draws", said)[1]) / 100
        expected = 1 - free if cell.si is None else free
        assert share == pytest.approx(expected, rel=0.02)
        assert ("something limits" in said) == (cell.si is None)


def test_a_condition_that_nothing_was_reckoned_with_is_marked_beside_no_limit_too():
    made = compare(DEMO, quantities=("range",), grade="-9 %", cell_temperature="-10 °C", **DOWN)
    (cell,) = made.cells["range"]
    assert cell.idle == ("cell_temperature",)
    assert any("plays no part" in one for one in made.notes)


# Two values of one quantity that cannot both be true: what is stated of it, what makes it, and what rests on it.
TWICE = {
    "mass": ("1500 kg", {"mass_without_pack": "1200 kg", "pack_mass": "400 kg"}, "range"),
    "drag_area": ("0.6 m^2", {"drag_coefficient": "0.200", "frontal_area": "2.00 m^2"}, "consumption"),
    "usable_energy": ("60 kWh", {"pack_energy": "50 kWh", "usable_fraction": 0.9}, "range"),
}  # fmt: skip
ROAD = {
    "mass": "1500 kg",
    "drag_area": "0.6 m^2",
    "rolling_coefficient": 0.01,
    "drive_efficiency": 0.88,
    "auxiliary_power": "400 W",
    "air_density": "1.2 kg/m^3",
    "usable_energy": "60 kWh",
}


def stating(name, facts):
    text = f'[vehicle]\nname = "{name}"\ninvented = true\n'
    for quantity, value in facts.items():
        text += f'[values.{quantity}]\nvalue = {value!r}\norigin = "quoted"\n'
    return Sheet.parse(text)


@pytest.mark.parametrize("quantity", TWICE)
@pytest.mark.parametrize("conditions", [{}, {"speed": "100 km/h"}])
def test_a_contradiction_is_told_where_a_number_is_compared_that_rests_on_it(quantity, conditions):
    said, more, rests = TWICE[quantity]
    clean, twice = stating("Clean", ROAD), stating("Twice", ROAD | more)
    compared = (quantity, rests) if conditions else (quantity,)
    made = compare(clean, twice, quantities=compared, **conditions)
    assert not any(made.cells[one][0].notes for one in compared)
    for one in compared:
        (note,) = (
            note for note in made.cells[one][1].notes if f"{quantity.replace('_', ' ')} is" in note
        )
        assert said.replace("^2", "²") in note
        assert any(f"Twice, {one.replace('_', ' ')}: {note}" == shown for shown in made.notes)
        assert note in repr(made)
    # What does not rest on it has no word of it.
    other = "drag_area" if quantity == "mass" else "mass"
    assert not compare(clean, twice, quantities=(other,)).notes


def test_a_stated_mass_is_not_contradicted_by_a_range_at_a_speed():
    twice = stating("Twice", ROAD | {"range": "200 km"})
    made = compare(twice, quantities=("mass", "consumption"), speed="100 km/h")
    assert not made.cells["mass"][0].notes
    assert any("range is quoted as 200 km" in one for one in made.cells["consumption"][0].notes)
