"""Quantities: the glossary itself, and reading what a person gives."""

import math
import re

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from chalkwatt import units
from chalkwatt.errors import NameUnknownError, OutOfBoundsError, UnitError
from chalkwatt.quantities import glossary, look_up

ENTRIES = list(glossary().values())
NAMES = [
    "drag_coefficient",
    "frontal_area",
    "drag_area",
    "rolling_coefficient",
    "mass",
    "gravity",
    "air_density",
    "speed",
    "headwind",
    "grade",
    "air_force",
    "rolling_force",
    "grade_force",
    "road_force",
    "wheel_power",
    "drive_efficiency",
    "auxiliary_power",
    "battery_power",
    "consumption",
    "usable_energy",
    "range",
    "driving_time",
    "panel_power",
    "cells_in_series",
    "cells_in_parallel",
    "cell_count",
    "cell_voltage",
    "cell_voltage_max",
    "cell_voltage_min",
    "cell_capacity",
    "cell_resistance",
    "cell_mass",
    "cell_current_max",
    "pack_voltage",
    "pack_voltage_max",
    "pack_voltage_min",
    "pack_capacity",
    "pack_energy",
    "usable_fraction",
    "cells_mass",
    "cell_mass_fraction",
    "pack_mass",
    "cell_specific_energy",
    "pack_specific_energy",
    "pack_resistance",
    "pack_current",
    "pack_current_max",
    "pack_power",
    "terminal_voltage",
    "c_rate",
]


@pytest.mark.parametrize("entry", ENTRIES, ids=lambda one: one.name)
def test_every_entry_is_complete_and_sound(entry):
    assert re.fullmatch(r"[a-z][a-z0-9_]*[a-z0-9]", entry.name)
    assert entry.sentence.endswith(".")
    assert not entry.sentence[0].islower()
    assert entry.symbol_parts[0]
    assert entry.display
    for label in entry.display:
        assert units.same_dimension(label, entry.unit), label
    low, high = entry.bounds
    assert low < high
    assert low <= entry.usual[0] <= entry.usual[1] <= high
    if entry.constant is not None:
        assert entry.inside(entry.constant)
        assert entry.source


def test_names_of_the_design_are_there():
    for name in NAMES:
        assert name in glossary(), name


@pytest.mark.parametrize("entry", ENTRIES, ids=lambda one: one.name)
def test_there_and_back_in_every_unit(entry):
    si = entry.usual[0] + 0.37 * (entry.usual[1] - entry.usual[0]) or 1.0
    if entry.whole:
        si = float(round(si))
    for label in entry.display:
        shown = entry.in_unit(si, label)
        assert entry.read(f"{float(shown)!r} {label}" if label else float(shown)) == pytest.approx(
            si, rel=1e-12
        )


@pytest.mark.parametrize(
    ("value", "expected"),
    [
        ("110 km/h", 110 / 3.6),
        (30, 30.0),
        (30.5, 30.5),
        (np.float64(2.0), 2.0),
        (units.registry().Quantity(90, "km/h"), 25.0),
    ],
)
def test_every_kind_of_number(value, expected):
    made = look_up("speed").read(value)
    assert isinstance(made, float)
    assert made == pytest.approx(expected, rel=1e-15)


@pytest.mark.parametrize(
    "value",
    [[10, 20], (10.0, 20.0), np.array([10.0, 20.0]), units.registry().Quantity([36, 72], "km/h")],
)
def test_arrays(value):
    np.testing.assert_allclose(look_up("speed").read(value), [10.0, 20.0], rtol=1e-15)


def test_a_temperature_with_an_offset():
    assert look_up("air_temperature").read("-7 °C") == pytest.approx(266.15)
    assert look_up("air_temperature").read("20 °F") == pytest.approx(266.483333333, rel=1e-10)


@pytest.mark.parametrize("value", [True, None, {}, object(), "fast", [[1], [1, 2]], 1j])
def test_what_is_no_number(value):
    with pytest.raises((UnitError, TypeError)) as caught:
        look_up("mass").read(value)
    assert isinstance(caught.value, UnitError)


def test_nearest_names_are_suggested():
    with pytest.raises(NameUnknownError) as caught:
        look_up("frontal_aera")
    assert caught.value.nearest[0] == "frontal_area"
    assert caught.value.quantity == "frontal_aera"


def test_names_of_one_topic_only():
    with pytest.raises(NameUnknownError):
        look_up("mass", among=["speed"])


@settings(derandomize=True, max_examples=300)
@given(st.floats(allow_nan=True, allow_infinity=True))
def test_a_value_is_inside_or_refused_never_changed(value):
    entry = look_up("drive_efficiency")
    if 0 < value <= 1:
        assert entry.read(value) == value
        return
    with pytest.raises(OutOfBoundsError) as caught:
        entry.read(value)
    assert caught.value.quantity == "drive_efficiency"
    if math.isfinite(value):
        assert caught.value.limit == (0.0 if value <= 0 else 100.0)


def test_an_array_is_refused_for_one_bad_value():
    with pytest.raises(OutOfBoundsError, match=r"-3"):
        look_up("mass").read([1.0, 2.0, -3.0])


@pytest.mark.parametrize(
    ("name", "bare", "makes", "meant"),
    [
        ("c_rate", 0.5, "1800 1/h", "0.5 1/h"),
        ("cell_charge_rate_max", 2, "7200 1/h", "2 1/h"),
        ("air_temperature", 20, "-253.15 °C", "20 °C"),
    ],
)
def test_a_bare_number_that_was_hardly_meant_in_si(name, bare, makes, meant):
    with pytest.raises(UnitError) as caught:
        look_up(name).read(bare)
    assert f"which makes {makes}" in str(caught.value)
    assert f'"{meant}"' in caught.value.advice
    assert caught.value.quantity == name
    with pytest.raises(UnitError):
        look_up(name).read([1e-3, 300.0, bare])


def test_a_bare_number_that_was_meant_in_si_and_a_unit_that_was_written():
    assert look_up("c_rate").read(1 / 3600) == 1 / 3600
    assert look_up("c_rate").read("0.5 1/s") == 0.5
    assert look_up("air_temperature").read(293.15) == 293.15
    assert look_up("air_temperature").read("20 K") == 20.0


def test_a_decimal_comma():
    with pytest.raises(UnitError, match=r"70,5 mph.*Write the number with a decimal point\."):
        look_up("speed").read("70,5 mph")
