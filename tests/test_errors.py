"""Errors: one family, every field, and the wording that a person reads."""

import pytest

import chalkwatt as cw
from chalkwatt import load, pack, sun
from chalkwatt.errors import (
    ChalkwattError,
    NameUnknownError,
    NoSolutionError,
    OutOfBoundsError,
    TooLittleKnownError,
    TooMuchKnownError,
    UnitError,
)

CAR = {
    "drag_area": "0.6 m²",
    "mass": "1200 kg",
    "rolling_coefficient": 0.009,
    "drive_efficiency": 0.88,
    "auxiliary_power": "400 W",
    "usable_energy": "38 kWh",
    "air_density": 1.2,
}


def raised(kind, topic, wanted, **known):
    with pytest.raises(kind) as caught:
        topic.find(wanted, **known)
    return caught.value


@pytest.mark.parametrize(
    "kind",
    [
        NameUnknownError,
        NoSolutionError,
        OutOfBoundsError,
        TooLittleKnownError,
        TooMuchKnownError,
        UnitError,
    ],
)
def test_one_family(kind):
    assert issubclass(kind, ChalkwattError)
    assert issubclass(kind, ValueError)
    assert getattr(cw, kind.__name__) is kind


def test_the_message_ends_with_the_advice():
    made = ChalkwattError(
        "It broke.", quantity="mass", value=3, unit="kg", limit=2, advice="Mend it."
    )
    assert str(made) == "It broke. Mend it."
    assert (made.quantity, made.value, made.unit, made.limit) == ("mass", 3, "kg", 2)


@pytest.mark.parametrize(
    ("wanted", "known", "wrong"),
    [("rnge", {"speed": 25.0}, "rnge"), ("range", {"sped": 25.0}, "sped")],
)
def test_a_misspelt_name(wanted, known, wrong):
    error = raised(NameUnknownError, load, wanted, **CAR, **known)
    assert error.quantity == wrong
    right = {"rnge": "range", "sped": "speed"}[wrong]
    assert error.nearest == (right,)
    assert str(error) == f"There is no quantity called '{wrong}' here. Did you mean {right}?"


def test_a_name_of_another_topic():
    error = raised(NameUnknownError, load, "range", **CAR, cells_in_series=96)
    assert error.quantity == "cells_in_series"


def test_a_wrong_unit_names_both():
    error = raised(UnitError, load, "range", **CAR, speed="90 km")
    assert str(error) == (
        "speed = '90 km': km does not measure what km/h does. Use km/h or mph or m/s."
    )
    assert (error.quantity, error.value, error.unit, error.limit) == ("speed", "90 km", "km", "m/s")


def test_a_unit_that_is_none():
    error = raised(UnitError, load, "range", **CAR, speed="90 kmx")
    assert str(error) == (
        "speed = '90 kmx': the unit 'kmx' cannot be read. Use km/h or mph or m/s."
    )
    assert (error.quantity, error.value, error.unit) == ("speed", "90 kmx", "kmx")


def test_a_missing_unit():
    error = raised(UnitError, load, "range", **CAR, speed="90")
    assert str(error) == (
        "speed = '90' has no unit. "
        "Text needs one, like km/h or mph or m/s; a bare number is SI (m/s)."
    )
    assert error.quantity == "speed"


@pytest.mark.parametrize(
    ("name", "value", "shown", "word", "limit"),
    [
        ("mass", "-3 kg", "-3 kg", "above", "0 kg"),
        ("mass", 0.0, "0 kg", "above", "0 kg"),
        ("drive_efficiency", "120 %", "120 %", "at most", "100 %"),
        ("auxiliary_power", "-1 W", "-1 W", "at least", "0 W"),
        ("air_density", "12 kg/m³", "12 kg/m³", "at most", "10 kg/m³"),
    ],
)
def test_out_of_bounds(name, value, shown, word, limit):
    error = raised(OutOfBoundsError, load, "range", **(CAR | {name: value, "speed": 25.0}))
    assert str(error) == (
        f"{name} = {shown} is outside its physical bounds: it must be {word} {limit}. "
        "Check the number and its unit."
    )
    assert error.quantity == name
    assert error.value == float(shown.split()[0])
    assert error.limit == float(limit.split()[0])
    assert error.unit == shown.split()[1]


@pytest.mark.parametrize("bad", [float("nan"), float("inf"), "1e999 kg"])
def test_no_finite_number(bad):
    error = raised(OutOfBoundsError, load, "range", **(CAR | {"mass": bad, "speed": 25.0}))
    assert "mass = " in str(error)
    assert "is not a finite number" in str(error)


def test_too_little_known_and_what_unlocks():
    lacking = {name: value for name, value in CAR.items() if name != "auxiliary_power"}
    error = raised(TooLittleKnownError, load, "range", **lacking, speed="90 km/h")
    assert error.quantity == "range"
    assert "auxiliary_power" in error.unlocks
    assert str(error).startswith("Too little is known for range: ")
    assert "Any one of these would unlock it: " in str(error)
    assert "auxiliary_power" in str(error)
    # What is said to unlock it does.
    assert load.find("range", **lacking, speed="90 km/h", auxiliary_power="400 W").si > 0


def test_what_is_usually_given_would_unlock_it_together():
    given = {"speed": "90 km/h", "mass": "1200 kg"}
    error = raised(TooLittleKnownError, load, "range", **given)
    _, _, named = error.advice.partition("Together these would, too: ")
    together = named.removesuffix(".").split(", ")
    assert "usable_energy" in together
    assert load.find("range", **given, **{name: CAR[name] for name in together}).si > 0
    for name in together:
        fewer = {one: CAR[one] for one in together if one != name}
        raised(TooLittleKnownError, load, "range", **given, **fewer)


def test_far_too_little_known():
    error = raised(TooLittleKnownError, load, "range")
    assert error.unlocks == ()
    assert "the standing values of load alone do not determine it" in str(error)
    assert "At least two more quantities are needed" in str(error)
    assert "usable_energy" in error.advice


def test_too_much_known_and_by_how_much():
    known = {"drag_area": "0.6 m²", "drag_coefficient": 0.3, "frontal_area": "2.2 m²"}
    error = raised(TooMuchKnownError, load, "air_force", speed="90 km/h", air_density=1.2, **known)
    assert error.relation == "Drag area"
    assert error.disagreement == pytest.approx((0.66 - 0.6) / 0.66)
    assert error.involved == tuple(known)
    assert str(error) == (
        "Too much is known, and it disagrees: the two sides of “Drag area” differ by 9.09 %. "
        "Leave out one of drag_area, drag_coefficient, frontal_area, or correct it."
    )


def test_too_much_known_that_agrees_is_no_error():
    known = {"drag_area": 0.66, "drag_coefficient": 0.3, "frontal_area": 2.2}
    made = load.find("air_force", speed=25.0, air_density=1.2, **known)
    assert made.si == pytest.approx(0.5 * 1.2 * 0.66 * 625)


def test_a_disagreement_over_several_relations_is_seen():
    # The range by consumption and the range by driving time are not the same.
    error = raised(
        TooMuchKnownError,
        load,
        "battery_power",
        range="400 km",
        usable_energy="40 kWh",
        consumption="12 kWh/100 km",
        driving_time="4 h",
    )
    assert error.disagreement == pytest.approx(1 - 40 / 48)
    assert {"range", "usable_energy", "consumption"} <= set(error.involved)


def test_no_real_solution_names_the_nearest_value_and_what_bounds_it():
    error = raised(NoSolutionError, load, "speed", **CAR, range="4000 km")
    assert error.quantity == "speed"
    assert (error.value, error.unit) == (4000.0, "km")
    reach = error.nearest
    assert error.limit == pytest.approx(reach / 1000)
    assert "the greatest that can be reached is" in str(error)
    assert "at a speed of" in str(error)
    assert "Lower range, or change one of drag_area" in str(error)
    # Just below the nearest reachable value there are two speeds, just above none.
    assert len(load.find("speed", **CAR, range=0.9999 * reach).solutions) == 2
    raised(NoSolutionError, load, "speed", **CAR, range=1.0001 * reach)
    # Independently: no speed on a fine grid goes further.
    most = max(load.find("range", **CAR, speed=0.05 * step).si for step in range(1, 900, 2))
    assert most <= reach * (1 + 1e-9)
    assert most == pytest.approx(reach, rel=1e-4)


def test_more_power_than_a_pack_can_give():
    error = raised(
        NoSolutionError,
        pack,
        "pack_current",
        pack_voltage="350 V",
        pack_resistance="0.1 ohm",
        pack_power="320 kW",
    )
    assert error.nearest == pytest.approx(350**2 / (4 * 0.1))
    assert error.unit == "kW"


def test_wanted_and_given():
    with pytest.raises(ChalkwattError, match="speed is both wanted and given") as caught:
        load.find("speed", speed=3.0)
    assert caught.value.quantity == "speed"


def test_a_solved_value_outside_its_bounds():
    error = raised(
        OutOfBoundsError, pack, "cell_mass_fraction", cells_mass="210 kg", pack_mass="200 kg"
    )
    assert error.quantity == "cell_mass_fraction"
    assert error.value == pytest.approx(105.0)
    assert (error.limit, error.unit) == (100.0, "%")
    assert str(error) == (
        "The cell mass fraction would have to be 105.0 %, outside its physical bounds: "
        "it must be below 100.0 %. "
        "The given values do not go together; check cells_mass, pack_mass."
    )


def test_more_energy_than_the_pack_holds():
    error = raised(
        NoSolutionError,
        pack,
        "usable_fraction",
        pack_voltage="400 V",
        pack_capacity="100 Ah",
        usable_energy="42 kWh",
    )
    assert error.nearest == pytest.approx(40 * 3.6e6)


def test_no_surplus_is_no_error_and_says_so():
    still = {
        "panel_power": "50 W",
        "drag_area": "0.3 m²",
        "mass": "680 kg",
        "rolling_coefficient": 0.007,
        "drive_efficiency": 0.86,
    }
    for load_power in ("50 W", "60 W"):
        made = sun.find("equilibrium_speed", **still, auxiliary_power=load_power)
        assert made.si == 0.0
        assert len(made.solutions) == 1
        (note,) = made.notes
        assert "does not move: speed 0 by definition" in note
        assert note in made.working.text
    moving = sun.find("equilibrium_speed", **still, auxiliary_power="49 W")
    assert moving.si > 0
    assert moving.notes == ()


def test_what_is_taken_for_granted_does_not_overrule_what_is_given():
    # Three times the rolling force of a level road: no grade does that, level least of all.
    raised(
        NoSolutionError,
        load,
        "grade_angle",
        rolling_force="300 N",
        rolling_coefficient=0.01,
        mass="1000 kg",
    )
