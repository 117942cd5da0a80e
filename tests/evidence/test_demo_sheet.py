"""The invented demo sheet: plainly marked, complete, and consistent with itself.

Reckoned here by hand and in plain floats, so that it also checks what reads the sheet.
"""

import random
import tomllib

import pint
import pytest

from tests.browsing import ROOT

PATH = ROOT / "assets" / "quillwort.toml"
SHEET = tomllib.loads(PATH.read_text(encoding="utf-8"))
VALUES = SHEET["values"]
UNITS = pint.UnitRegistry()


def si(text):
    return UNITS.Quantity(text).to_base_units().magnitude if isinstance(text, str) else float(text)


def best(name):
    return si(VALUES[name]["value"])


def spread(name):
    entry = VALUES[name]
    if "range" in entry:
        return tuple(si(end) for end in entry["range"])
    give = si(entry.get("plus_minus", 0.0))
    return best(name) - give, best(name) + give


def steady_range(values, speed):
    drag = 0.5 * values["air_density"] * values["drag_coefficient"] * values["frontal_area"]
    force = drag * speed**2 + values["rolling_coefficient"] * values["mass"] * 9.80665
    power = force * speed / values["drive_efficiency"] + values["auxiliary_power"]
    energy = values["cell_count"] * values["cell_capacity"] * values["cell_voltage"]
    return energy * values["usable_fraction"] * speed / power


def chance(claim):
    draws = random.Random(11)  # noqa: S311 - no secret is drawn
    met = 0
    ends = {name: spread(name) for name in VALUES}
    speed, value = si(claim["conditions"]["speed"]), si(claim["value"])
    for _ in range(4000):
        drawn = {name: draws.uniform(low, high) for name, (low, high) in ends.items()}
        met += steady_range(drawn, speed) >= value
    return met / 4000


def test_it_is_plainly_marked_as_invented():
    assert PATH.read_text(encoding="utf-8").startswith("# INVENTED.")
    assert SHEET["vehicle"]["invented"] is True


@pytest.mark.parametrize("name", VALUES)
def test_every_value_is_within_its_range_and_says_where_it_comes_from(name):
    entry = VALUES[name]
    assert entry["origin"] in {"quoted", "measured", "counted", "estimated", "assumed"}
    assert entry["note"]
    assert ("seen" in entry) or entry["origin"] in {"assumed", "estimated"}
    low, high = spread(name)
    assert low <= best(name) <= high
    assert ("shape" in entry) == (low < high)


def test_the_cells_make_the_pack():
    cells = best("cell_count") * best("cell_capacity") * best("cell_voltage")
    assert cells == pytest.approx(best("pack_energy"), rel=0.002)
    assert best("cell_count") % best("cells_in_series") == 0
    assert best("cells_in_series") * best("cell_voltage_max") < 450
    pack_mass = best("cell_count") * best("cell_mass") / best("cell_mass_fraction")
    assert pack_mass == pytest.approx(192.3, abs=0.1)
    assert pack_mass < 0.35 * best("mass")
    assert 150 < cells / 3600 / pack_mass < 190  # Wh/kg: within what packs of today have


def test_one_claim_holds_one_needs_luck_one_is_out_of_reach():
    holds, needs_luck, out_of_reach = map(chance, SHEET["claims"])
    assert holds > 0.95
    assert 0.02 < needs_luck < 0.3
    assert out_of_reach == 0
    # Even with the kindest end of every range at once.
    kindest = {
        name: spread(name)[
            name.startswith(("cell", "usable", "drive")) and not name.endswith("resistance")
        ]
        for name in VALUES
    }
    speed = si(SHEET["claims"][2]["conditions"]["speed"])
    assert steady_range(kindest, speed) < 0.7 * si(SHEET["claims"][2]["value"])
