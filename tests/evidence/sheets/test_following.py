"""What follows from a sheet, what it lacks, and contradictions: found where planted, and nowhere else."""

import pytest

from chalkwatt.errors import NameUnknownError
from chalkwatt.evidence.sheets import Sheet
from chalkwatt.planning.network import Network
from tests.browsing import ROOT
from tests.evidence.spread import synthetic

DEMO = Sheet.read(ROOT / "assets" / "quillwort.toml")


def test_everything_that_follows_has_a_plan_and_a_working(some):
    following = DEMO.follow(speed="90 km/h")
    assert {"range", "consumption", "pack_voltage", "mass_without_pack"} <= set(following)
    assert not following.conflicts
    for name, finding in some([*following.items()], 1 / 4):
        assert finding.plan.wanted == name
        assert finding.working.text
        assert finding.facts


def test_what_follows_agrees_with_plain_arithmetic():
    following = DEMO.follow(speed="90 km/h")
    si = {name: fact.si for name, fact in DEMO.facts.items()}
    usable = si["pack_energy"] * si["usable_fraction"]
    assert following["usable_energy"].si == pytest.approx(usable)
    assert following["cells_in_parallel"].si == 18
    area = si["drag_coefficient"] * si["frontal_area"]
    assert following["drag_area"].si == pytest.approx(area)
    force = si["air_density"] * area * 25**2 / 2
    force += si["rolling_coefficient"] * si["mass"] * 9.80665
    terminals = force * 25 / si["drive_efficiency"] + si["auxiliary_power"]
    # Of the cells' power, U I, the pack's resistance takes R I².
    volts = si["pack_energy"] / (18 * si["cell_capacity"])  # stated narrower than the voltage
    ohms = si["cells_in_series"] * si["cell_resistance"] / 18
    power = volts * (volts - (volts**2 - 4 * ohms * terminals) ** 0.5) / (2 * ohms)
    assert following["pack_loss"].si == pytest.approx(power - terminals)
    assert following["battery_power"].si == pytest.approx(power)
    assert following["range"].si == pytest.approx(usable * 25 / power)
    cells = si["cell_count"] * si["cell_mass"]
    assert following["pack_mass"].si == pytest.approx(cells / si["cell_mass_fraction"])


def test_the_most_fruitful_further_fact():
    following = DEMO.follow()
    best, gained = next(iter(following.unlocks.items()))
    assert "range" in following.missing
    assert "range" not in following
    assert "range" in following.unlocks["speed"]
    assert len(following.unlocks["speed"]) == len(gained)
    # What is said to be unlocked is: with the speed, all of it follows.
    after = DEMO.follow(speed="90 km/h")
    assert set(following.unlocks["speed"]) <= set(after)
    assert best in following.missing
    with pytest.raises(NameUnknownError, match="does not follow"):
        _ = following["range"]


def test_a_quoted_energy_below_that_of_the_cells_may_be_a_reserve():
    (found,) = DEMO.revised("pack_energy", "28.5 kWh", plus_minus="0.3 kWh").follow().conflicts
    assert (found.kind, found.quantity) == ("reserve", "pack_energy")
    assert set(found.involved) == {"pack_energy", "cell_count", "cell_capacity", "cell_voltage"}
    assert found.derived == pytest.approx(1728 * 5 * 3600 * 3.63)
    assert found.apart == pytest.approx(1 - 28.5 / 31.3632)
    needed = {one.fact.name: one.needed for one in found.moves}
    assert needed["cell_count"] == pytest.approx(1728 * 28.5 / 31.3632)
    assert "reserve" in found.sentence


def test_a_quoted_energy_above_that_of_the_cells_is_a_contradiction():
    (found,) = DEMO.revised("pack_energy", "34 kWh", plus_minus="0.3 kWh").follow().conflicts
    assert found.kind == "contradiction"
    # What remains when the cells are as large and the quote as small as their ranges allow.
    # The voltage has no range, and so the rounding of its last digit.
    best = 1728 * 5.05 * (3.63 + 0.005) / 1000
    assert found.gap == pytest.approx((33.7 - best) / 34, rel=1e-6)


def test_ranges_are_considered():
    """The same quote with a range wide enough to meet the cells is no conflict."""
    assert not DEMO.revised("pack_energy", "34 kWh", plus_minus="3 kWh").follow().conflicts


def test_the_rounding_of_what_is_written_is_considered():
    body = (
        '[vehicle]\nname = "x"\n[values.drag_coefficient]\nvalue = 0.19\norigin = "quoted"\n'
        '[values.frontal_area]\nvalue = "1.72 m^2"\norigin = "quoted"\n'
        '[values.drag_area]\nvalue = "{} m^2"\norigin = "quoted"\n'
    )
    # 0.19 × 1.72 = 0.3268, and two digits of the coefficient allow 0.318 to 0.336.
    assert not Sheet.parse(body.format("0.33")).follow().conflicts
    assert Sheet.parse(body.format("0.350")).follow().conflicts


def test_counts_that_do_not_divide():
    (found,) = DEMO.revised("cells_in_series", 95).follow().conflicts
    assert (found.kind, found.quantity) == ("not whole", "cells_in_parallel")
    assert {one.fact.name: one.needed for one in found.moves}["cells_in_series"] == 96


def test_more_usable_energy_than_the_pack_has_is_found():
    conflicts = DEMO.revised("usable_energy", "34 kWh", origin="quoted").follow().conflicts
    assert {one.quantity for one in conflicts} >= {"usable_energy"}


# --- Planted contradictions -----------------------------------------------------------------------

# Quantity: what it follows from, as a function of the truth.
CHECKS = {
    "drag_area": lambda truth: truth["drag_coefficient"] * truth["frontal_area"],
    "pack_energy": lambda truth: (
        truth["cell_count"] * truth["cell_capacity"] * truth["cell_voltage"]
    ),
    "usable_energy": lambda truth: (
        truth["cell_count"]
        * truth["cell_capacity"]
        * truth["cell_voltage"]
        * truth["usable_fraction"]
    ),
    "cell_energy": lambda truth: truth["cell_capacity"] * truth["cell_voltage"],
}
UNITS = {
    "drag_area": ("m^2", 1.0),
    "pack_energy": ("kWh", 3.6e6),
    "usable_energy": ("kWh", 3.6e6),
    "cell_energy": ("Wh", 3600.0),
}


def bounded(chance):
    """A vehicle whose true values all lie in their ranges; ranges have no tails."""
    truth, said = synthetic.vehicle(chance)
    made = {}
    for name, (_, half, unit, _, origin) in said.items():
        factor = synthetic.WHAT[name][1]
        value = truth[name] / factor + half * chance.uniform(-0.95, 0.95)
        shape = chance.choice(("uniform", "triangular"))
        made[name] = (value, half, unit, shape, origin)
    return truth, made


def check_entry(chance, name, value):
    unit, factor = UNITS[name]
    rounded, grain = synthetic.significant(value / factor, chance.choice((3, 4)))
    origin = chance.choice(synthetic.ORIGINS)
    return f'[values.{name}]\nvalue = "{rounded} {unit}"\norigin = "{origin}"', grain * factor


def box(said, count, name):
    """Least and greatest value of a check within the ranges of what it follows from."""
    low, high = ({"cell_count": count}, {"cell_count": count})
    for one, (value, half, *_) in said.items():
        factor = synthetic.WHAT[one][1]
        low[one], high[one] = (value - half) * factor, (value + half) * factor
    return CHECKS[name](low), CHECKS[name](high)


@pytest.mark.sweep(1 / 5)
@pytest.mark.parametrize("block", range(10))
def test_no_contradiction_is_invented_in_consistent_sheets(block):
    chance = synthetic.chances(1000 + block)
    for _ in range(20):
        truth, said = bounded(chance)
        names = chance.sample(sorted(CHECKS), chance.randint(1, 3))
        more = [check_entry(chance, name, CHECKS[name](truth))[0] for name in names]
        sheet = Sheet.parse(synthetic.text(said, truth["cell_count"], *more))
        conflicts = sheet.follow(speed="90 km/h").conflicts
        assert not conflicts, conflicts[0].sentence


@pytest.mark.sweep(1 / 5)
@pytest.mark.parametrize("block", range(10))
def test_planted_contradictions_are_all_found(block):
    chance = synthetic.chances(2000 + block)
    for _ in range(20):
        truth, said = bounded(chance)
        name = chance.choice(sorted(CHECKS))
        low, high = box(said, truth["cell_count"], name)
        beyond = chance.uniform(0.02, 0.3)
        planted = high * (1 + beyond) if chance.random() < 0.5 else low * (1 - beyond)
        entry, grain = check_entry(chance, name, planted)
        # Half a digit of rounding must not bring it back into reach.
        assert planted - grain > high or planted + grain < low
        sheet = Sheet.parse(synthetic.text(said, truth["cell_count"], entry))
        conflicts = sheet.follow(speed="90 km/h").conflicts
        assert conflicts, f"{name} planted at {planted}, reach {low} to {high}"
        assert any(name in one.involved for one in conflicts)
        for one in conflicts:
            assert one.gap > 0


def test_conflicts_are_found_without_asking_what_would_unlock_more(monkeypatch):
    """That list takes seconds for each quantity, and nobody reads it here."""

    def refuse(*_):
        pytest.fail("what would unlock more was looked for")

    monkeypatch.setattr(Network, "_too_little", refuse)
    assert Sheet.read(ROOT / "assets" / "quillwort.toml").follow().conflicts == ()
