"""Of a sheet that states next to nothing, a script says nothing that is not so and nothing without its antecedent."""

import itertools

import pytest

from chalkwatt import Sheet
from chalkwatt.cards.card import equation_card
from chalkwatt.episodes.questions import ASKED, Questions
from chalkwatt.errors import ChalkwattError
from chalkwatt.laws.quantities import look_up
from chalkwatt.scripts.script import script
from tests.browsing import ROOT

TEMPLATE = (ROOT / "kit" / "chalkwatt" / "episodes" / "episode.script.md").read_text("utf-8")
# INVENTED.
FACTS = {
    "usable_energy": "4.6 kWh",
    "pack_energy": "5.1 kWh",
    "consumption": "3 kWh/100 km",
    "range": "140 km",
    "mass": "265 kg",
    "cell_energy": "17 Wh",
    "cell_count": "300",
    "usable_fraction": "90 %",
}
SHEETS = [few for count in (0, 1, 2) for few in itertools.combinations(FACTS, count)]


def sheet_of(names):
    values = "".join(
        f'[values.{one}]\nvalue = "{FACTS[one]}"\norigin = "quoted"\n' for one in names
    )
    return Sheet.parse(f'[vehicle]\nname = "Fewling"\ninvented = true\n{values}')


def follows(sheet, name):
    try:
        return sheet.find(name)
    except ChalkwattError:
        return None


@pytest.mark.sweep(1 / 4)
@pytest.mark.parametrize("names", SHEETS, ids=lambda names: "+".join(names) or "nothing")
def test_every_sentence_has_what_it_speaks_of(names):
    sheet = sheet_of(names)
    said = script(TEMPLATE, sheet).text
    assert ("All of them together" not in said) or "One cell holds" in said
    assert ("Divide what the battery holds" in said) == bool(follows(sheet, "range"))
    assert "That makes a consumption" not in said  # no force is known that would make one
    energies = {"pack_energy", "usable_energy"}
    told = [name for name in energies if name in sheet.facts or follows(sheet, name)]
    assert ("A pack of this size" in said) == bool(told)
    for name in energies & {*names}:
        assert {"usable_energy": "4.6", "pack_energy": "5.1"}[name] in said
    rests = [one for name in energies if (one := follows(sheet, name)) is not None]
    assumes = any("usable_fraction" in one.assumed for one in rests)
    assert ("usable fraction" in said) == assumes
    assert "\n\n\n" not in said


@pytest.mark.sweep(1 / 4)
@pytest.mark.parametrize("names", SHEETS[1:], ids="+".join)
def test_what_a_sheet_states_is_not_said_to_be_missing(names):
    sheet = sheet_of(names)
    try:
        notes = Questions.of(sheet).notes
    except ChalkwattError as cause:
        notes = [str(cause)]
        assert not any(follows(sheet, one) for one in ASKED)
    for name in names:
        assert not any(f"No {look_up(name).words}:" in one for one in notes)


def test_a_card_shows_what_its_number_takes_for_granted():
    card = equation_card(sheet_of(["usable_energy"]).find("pack_energy"))
    assert "The usable fraction of 100 % is assumed: nobody stated it." in card.alt
    bare = equation_card(sheet_of(["usable_energy", "usable_fraction"]).find("pack_energy"))
    assert "assumed" not in bare.alt
    assert card.data != bare.data


def test_without_conditions_a_script_may_say_what_is_stated():
    sheet = sheet_of(["range"])
    assert script('{{ find("range") }}', sheet).text == "140 kilometres"
    with pytest.raises(ChalkwattError, match="Too little is known for range"):
        script('{{ find("range", speed="90 km/h") }}', sheet)
