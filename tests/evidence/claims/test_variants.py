"""Claims about a variant that is not described: energy, cells and mass, consistent with the road load."""

import re

import numpy as np
import pytest

from chalkwatt.errors import TooLittleKnownError
from chalkwatt.evidence.claims.claims import Claim
from chalkwatt.evidence.sheets import Sheet
from chalkwatt.evidence.spread.draws import uniforms
from tests.browsing import ROOT

DEMO = Sheet.read(ROOT / "assets" / "quillwort.toml")
SI = {name: fact.si for name, fact in DEMO.facts.items()}
SPEED = 25.0


def claim(value="800 km", **more):
    return Claim(
        "range", value, speed="90 km/h", said_by="the poster", variant="long-range pack", **more
    )


def in_rounds(distance):
    """Add cells until energy and mass agree: an independent reckoning, by rounds."""
    cell_energy = SI["cell_capacity"] * SI["cell_voltage"]
    per_cell = SI["cell_mass"] / SI["cell_mass_fraction"]
    rest = SI["mass"] - SI["cell_count"] * per_cell
    drag = SI["air_density"] * SI["drag_coefficient"] * SI["frontal_area"] / 2
    cells = SI["cell_count"]
    series = SI["cells_in_series"]
    volts = series * SI["cell_voltage"]
    for _ in range(500):
        mass = rest + cells * per_cell
        force = drag * SPEED**2 + SI["rolling_coefficient"] * mass * 9.80665
        power = force * SPEED / SI["drive_efficiency"] + SI["auxiliary_power"]
        # More cells in parallel have less resistance; of their power U I it takes R I².
        ohms = series**2 * SI["cell_resistance"] / cells
        power = volts * (volts - (volts**2 - 4 * ohms * power) ** 0.5) / (2 * ohms)
        cells = distance / SPEED * power / (cell_energy * SI["usable_fraction"])
    return cells, mass


@pytest.mark.parametrize("kilometres", [600, 800, 1500])
def test_the_mass_is_fed_back_until_it_is_consistent(kilometres):
    needs = DEMO.judge(claim(f"{kilometres} km")).needs
    cells, mass = in_rounds(1000.0 * kilometres)
    assert needs["cell_count"].si == pytest.approx(cells, rel=1e-9)
    assert needs["mass"].si == pytest.approx(mass, rel=1e-9)
    energy = cells * SI["cell_capacity"] * SI["cell_voltage"]
    assert needs["pack_energy"].si == pytest.approx(energy, rel=1e-9)
    assert needs["usable_energy"].si == pytest.approx(energy * SI["usable_fraction"], rel=1e-9)


def test_the_variant_keeps_the_claim_when_it_is_put_on_a_sheet():
    """Draw by draw: a vehicle with the needed mass and energy goes the claimed distance.

    Without the cells' resistance, of which a pack of another size has another.
    """
    text = (ROOT / "assets" / "quillwort.toml").read_text(encoding="utf-8")
    lossless = Sheet.parse(re.sub(r"(?s)\[values\.cell_resistance\].*?\n(?=\[)", "", text))
    needs = lossless.judge(claim()).needs
    energy, mass = (needs[name].spread.values for name in ("usable_energy", "mass"))
    plain = lossless.find("range", usable_energy="48 kWh", speed="90 km/h")
    shares = uniforms(len(lossless.columns) + 4, 0, len(energy), 0)
    drawn = {
        name: fact.si if fact.exact else fact.ppf(shares[:, lossless.columns.index(name)])
        for name, fact in plain.facts.items()
    }
    made = plain.question(**drawn | {"usable_energy": energy, "mass": mass})
    np.testing.assert_allclose(made, 800_000.0, rtol=1e-9)


def test_the_rest_of_the_vehicle_is_the_described_one_draw_by_draw():
    needs = DEMO.judge(claim()).needs
    rest = needs["mass"].spread.values - needs["pack_mass"].spread.values
    np.testing.assert_allclose(rest, DEMO.find("mass_without_pack").spread.values, rtol=1e-9)


def test_more_pack_needs_more_pack():
    """With the mass fed back, twice the distance needs more than twice the energy of half of it."""
    near, far = (
        DEMO.judge(claim(value)).needs["usable_energy"].si for value in ("700 km", "1400 km")
    )
    assert far > 2 * near


def test_limits_make_a_chance():
    free = DEMO.judge(claim())
    tight = DEMO.judge(claim(within={"pack_mass": "300 kg"}))
    assert (free.chance, free.word) == (1.0, "adds up")
    masses = free.needs["pack_mass"].spread.values
    assert tight.chance == pytest.approx(np.mean(masses <= 300))
    assert 0 < tight.chance < 0.5
    assert "pack mass at most 300 kg" in tight.sentence


def test_no_pack_is_large_enough_when_each_cell_takes_more_than_it_brings():
    verdict = DEMO.judge(claim("8000 km"))
    assert (verdict.word, verdict.chance, verdict.needs) == ("out of reach", 0.0, {})
    assert "no size of pack with these cells would do for the long-range pack" in verdict.sentence
    assert verdict.board().html


def test_the_sentence_names_everything_with_its_interval():
    verdict = DEMO.judge(claim())
    for name, finding in verdict.needs.items():
        assert finding.interval.text in verdict.sentence, name
    assert "with all else as described" in verdict.sentence
    assert verdict.interval == verdict.needs["usable_energy"].interval
    assert verdict.board().html.count("<svg") == 5


def test_a_sheet_that_says_nothing_of_cells_asks_for_them():
    bare = Sheet.parse('[vehicle]\nname = "x"\n[values.mass]\nvalue = 900\norigin = "quoted"\n')
    with pytest.raises(TooLittleKnownError):
        bare.judge(claim())


@pytest.mark.parametrize("name", ["long tail", "the long tail"])
def test_a_variant_has_one_article(name):
    said = DEMO.judge(Claim("range", "700 km", speed="90 km/h", variant=name)).sentence
    assert "the long tail would need" in said
    assert "the the" not in said


def test_a_share_has_no_more_digits_than_it_deserves():
    assert (
        "(+3800 %)" in DEMO.judge(Claim("range", "5000 km", speed="90 km/h", variant="x")).sentence
    )


def test_no_pack_is_blamed_for_being_too_small_where_none_would_do():
    """A consumption that the car without its pack exceeds already is no matter of a larger pack."""
    said = DEMO.judge(Claim("consumption", "30 Wh/km", speed="90 km/h", variant="x")).sentence
    assert "large enough" not in said


@pytest.mark.parametrize(("sense", "word"), [("at least", "holds"), ("at most", "out of reach")])
def test_where_nothing_limits_a_range_any_pack_will_do(sense, word):
    down = {"speed": "90 km/h", "grade": "-9 %", "recovery_efficiency": "60 %"}
    claim = Claim("range", "900 km", sense=sense, variant="long-range pack", **down)
    verdict = DEMO.judge(claim)
    assert verdict.word == word
    assert "the range is not limited by the battery" in verdict.sentence
    assert "no size of pack" not in verdict.sentence


def test_draws_in_which_any_pack_will_do_are_counted():
    sheet = DEMO
    for slope in range(200, 500, 5):
        down = {"speed": "90 km/h", "grade": f"-{slope / 100} %", "recovery_efficiency": "60 %"}
        power = sheet.find("battery_power", **down)
        share = power.spread.share(lambda drawn: drawn <= 0)
        if power.si > 0 and share > 0.05:
            break
    limits = {"pack_mass": "1 kg"}  # which no pack keeps to that has to hold anything
    claim = Claim("range", "9e5 km", variant="long-range pack", within=limits, **down)
    verdict = sheet.judge(claim)
    assert verdict.chance == pytest.approx(share, abs=1e-3)
    assert "any pack would do, for nothing limits it there" in verdict.sentence
