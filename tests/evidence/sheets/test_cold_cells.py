"""A sheet's battery in the cold: what is stated of it is taken as at 25 °C, and that is told.

What is left in the cold is reckoned here in plain floats.
"""

import math

import pytest

import chalkwatt as cw
from tests.evidence.spread import synthetic

GAS = 8.314462618  # J/(mol K), CODATA 2018
CAR = {
    "drag_area": "0.6 m^2",
    "mass": "1800 kg",
    "rolling_coefficient": 0.009,
    "drive_efficiency": 0.88,
    "auxiliary_power": "400 W",
}


def sheet(claim="", **values):
    text = '[vehicle]\nname = "T"\ninvented = true\n'
    for name, value in values.items():
        shown = f'"{value}"' if isinstance(value, str) else repr(value)
        text += f'[values.{name}]\nvalue = {shown}\norigin = "quoted"\n'
    return cw.Sheet.parse(text + claim)


def left(celsius, loss):
    return 1 - loss * max(25 - celsius, 0)


def km(energy, *, speed=25.0, resistance=0.0, voltage=1.0):
    """Range in km with so many kWh; the cells give their nominal voltage before their resistance."""
    force = 1.225 * 0.6 * speed**2 / 2 + 0.009 * 1800 * 9.80665
    power = force * speed / 0.88 + 400
    given = power
    if resistance:  # what the cells give is what goes out and what stays behind
        root = voltage**2 - 4 * resistance * power
        given = 2 * power * voltage / (voltage + math.sqrt(root)) if root > 0 else math.inf
    return energy * 3.6e6 / given * speed / 1000


@pytest.mark.sweep(1 / 4)
@pytest.mark.parametrize("celsius", [-40, -10, 24.9, 25, 40])
@pytest.mark.parametrize("said", ["energy", "fraction"])
@pytest.mark.parametrize("where", ["asked", "stated"])
def test_the_stated_energy_is_that_of_warm_cells(celsius, said, where):
    battery = (
        {"usable_energy": "60 kWh"}
        if said == "energy"
        else {"pack_energy": "64 kWh", "usable_fraction": "93.75 %"}
    )
    cold = {"cell_temperature": f"{celsius} °C"}
    made = sheet(
        **CAR, **battery, cold_energy_coefficient="0.6 %/K", **(cold if where == "stated" else {})
    )
    asked = cold if where == "asked" else {}
    found = made.find("range", speed="90 km/h", **asked)
    assert found.si / 1000 == pytest.approx(km(60 * left(celsius, 0.006)), rel=1e-6)
    assert "is taken as that of cells at 25 °C." in repr(found)
    assert not found.conflicts
    if where == "asked":
        assert made.find("usable_energy", **asked).si == pytest.approx(
            60 * 3.6e6 * left(celsius, 0.006)
        )
        assert made.find("range", speed="90 km/h").si / 1000 == pytest.approx(km(60), rel=1e-6)
        assert "25 °C" not in repr(made.find("range", speed="90 km/h"))
    following = made.follow(speed="90 km/h", **asked)
    assert following["range"].si == pytest.approx(found.si)
    assert any("taken as that of cells at 25 °C" in one for one in following.notes)


@pytest.mark.parametrize("block", range(3))
def test_whatever_else_is_stated(block):
    """Energy and resistance, by chance under either name; what is not known of the cold is not guessed."""
    chance = synthetic.chances(block)
    for _ in range(10):
        celsius, loss = chance.uniform(-45, 60), chance.uniform(0, 0.012)
        activation, each = chance.uniform(5e3, 5e4), chance.uniform(5e-4, 0.05)
        hears_energy, hears_resistance = chance.random() < 0.7, chance.random() < 0.7
        values = CAR | {
            chance.choice(("usable_energy", "warm_usable_energy"))
            if hears_energy
            else "usable_energy": "60 kWh",
            chance.choice(("cell_resistance", "warm_cell_resistance"))
            if hears_resistance
            else "cell_resistance": f"{each!r} ohm",
            "cells_in_series": 100,
            "cells_in_parallel": 40,
            "cell_voltage": "3.2 V",
        }
        values |= {"cold_energy_coefficient": loss} if hears_energy else {}
        values |= {"resistance_activation_energy": activation} if hears_resistance else {}
        made = sheet(**{name: values[name] for name in chance.sample(sorted(values), len(values))})
        kelvin = celsius + 273.15
        rise = math.exp(activation / GAS * (1 / kelvin - 1 / 298.15)) if hears_resistance else 1.0
        truth = km(
            60 * (left(celsius, loss) if hears_energy else 1),
            resistance=each * rise * 100 / 40,
            voltage=320.0,
        )
        if not truth:  # the cells cannot give that much
            with pytest.raises(cw.NoSolutionError):
                made.find("range", speed="90 km/h", cell_temperature=kelvin)
            continue
        found = made.find("range", speed="90 km/h", cell_temperature=kelvin)
        assert found.si / 1000 == pytest.approx(truth, rel=1e-6), values
        assert not found.conflicts
        taken = {"usable_energy": hears_energy, "cell_resistance": hears_resistance}
        for name, hears in taken.items():
            told = f"The {name.replace('_', ' ')} of" in repr(found)
            assert told == (hears and name in values), name


def test_a_claim_in_the_cold_is_judged_in_the_cold():
    claim = (
        '[[claims]]\nquantity = "range"\nvalue = "400 km"\n'
        'conditions = { speed = "90 km/h", cell_temperature = "-10 °C" }\n'
    )
    energy = {"usable_energy": "60 kWh"}
    made = sheet(claim, **CAR, **energy, cold_energy_coefficient="0.6 %/K")
    assert km(60) > 400 > km(60 * left(-10, 0.006))
    verdict = made.judge(made.claims[0])
    assert not verdict.met
    assert "with a cell temperature of −10 °C" in verdict.sentence
    assert "with a fresh battery" in verdict.sentence
    assert "warm battery" not in verdict.sentence
    assert "taken as that of cells at 25 °C" in repr(verdict)
    board = made.values_for(cw.load)
    assert board["warm_usable_energy"] == "60 kWh"
    assert "usable_energy" not in board
    # Where nobody says what the cold takes, nothing is said of the claim but what it would need.
    deaf = sheet(claim, **CAR, **energy)
    with pytest.raises(cw.TooLittleKnownError, match="cold energy coefficient") as refused:
        deaf.judge(deaf.claims[0])
    assert refused.value.unheard == ("cell_temperature",)


def test_a_stated_energy_is_no_help_in_telling_itself():
    made = sheet(
        **CAR,
        usable_energy="60 kWh",
        cell_temperature="-10 °C",
        cold_energy_coefficient="0.6 %/K",
    )
    with pytest.raises(cw.TooLittleKnownError):
        made.find("usable_energy")


def test_what_does_not_vary_has_no_interval():
    text = (
        '[vehicle]\nname = "T"\ninvented = true\n[values.mass]\nvalue = "1800 kg"\norigin = "quoted"\n'
        'range = ["1700 kg", "1900 kg"]\n'
    )
    rest = {
        "speed": "90 km/h",
        "grade": 0,
        **{name: one for name, one in CAR.items() if name != "mass"},
    }
    found = cw.Sheet.parse(text).find("effective_drive_efficiency", **rest)
    assert found.si == pytest.approx(0.88)
    assert found.interval is None
