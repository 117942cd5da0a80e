"""Quantities: the glossary itself, and reading what a person gives."""

import math
import re

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from chalkwatt import Claim, Sheet, charge, load
from chalkwatt.errors import NameUnknownError, OutOfBoundsError, SheetError, UnitError
from chalkwatt.evidence.sheets.facts import make_fact
from chalkwatt.laws.quantities import glossary, look_up
from chalkwatt.wording import units

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


# Of these a claim is the bolder the smaller it is: times that something takes, consumptions, losses, masses.
LESS_IS_BETTER = """
cycle_fade yearly_calendar_fade arrhenius_factor calendar_fade overstated_distance lfp_prefactor
lfp_fade nmc_calendar_fade nmc_cycle_fade cell_resistance cell_mass reserve_energy cells_mass
pack_mass pack_resistance voltage_sag pack_heat braking_distance braking_time reaction_time
stopping_distance running_time peak_drag stop_wheel_consumption charging_time wall_energy charging_loss
wall_consumption charging_heat climate_power electronics_power cold_energy_loss
warm_cell_resistance driving_power inverter_power motor_input_power shaft_power axle_power
battery_loss inverter_loss motor_loss gear_loss tyre_loss air_power rolling_power climbing_power
city_consumption highway_consumption combined_consumption label_consumption recharge_energy
adjusted_city_consumption adjusted_highway_consumption adjusted_consumption effective_mass
time_to_speed distance_to_speed time_over_distance power_bound_time friction_bound_time
power_time_over_distance friction_time_over_distance rollout_time mass drag_coefficient
frontal_area drag_area rolling_coefficient air_force rolling_force grade_force road_force
coast_down_constant coast_down_linear coast_down_square wheel_power auxiliary_power battery_power
consumption drive_loss_share auxiliary_share rotating_mass_factor wheel_energy braking_energy
auxiliary_energy battery_energy panel_temperature heater_power mass_without_pack
drive_idle_loss drive_square_loss pack_loss heat_loss_coefficient heat_transfer_coefficient
reference_rolling_coefficient rolling_speed_growth cold_energy_coefficient
resistance_activation_energy nominal_panel_temperature rack_panel_temperature
"""


def test_each_of_which_less_is_better_was_thought_about():
    named = {name: one for name, one in glossary().items() if one.constant is None}
    assert {name for name, one in named.items() if one.less_is_better} == {*LESS_IS_BETTER.split()}


def test_what_is_said_of_a_quantity_agrees_with_its_class():
    """Names that speak for themselves; what is no exception here is a slip in the lists above."""
    costs = re.compile(
        r"(consumption|_loss|_fade|_mass|_force|_heat|^mass.*|time_(to|over)_.*|_time)$"
    )
    odd = {
        "driving_time": "from full to empty: longer is better",
        "storage_time": "how long it lay: nobody's merit",
        "drive_force": "what drives, not what holds back",
        "traction_force": "what the tyres can hold",
        "torque_force": "what drives",
        "wheel_force": "what drives; braking is negative",
        "economical_force": "the road's at a speed that is the best already",
        "brake_force": "what stops the vehicle",
        "starting_force": "what speeds up",
        "holding_force": "what brings to rest",
        "standing_time": "a stop's, set by who gets in",
        "discharge_time": "longer is better",
        "rated_discharge_time": "a condition of the rating",
        "cabin_heat": "what the weather asks for; cooling is negative",
        "outside_heat": "what a heat pump gets for nothing",
        "air_exchange_loss": "air for who is inside",
    }
    for name, one in glossary().items():
        if one.constant is None and costs.search(name):
            assert one.less_is_better == (name not in odd), name


@pytest.mark.parametrize(
    ("name", "value", "sense"),
    [
        ("charging_time", "30 min", "at most"),
        ("time_to_speed", "5.9 s", "at most"),
        ("wall_consumption", "17 kWh/100 km", "at most"),
        ("city_consumption", "13 kWh/100 km", "at most"),
        ("combined_consumption", "15 kWh/100 km", "at most"),
        ("charging_loss", "5 kWh", "at most"),
        ("cycle_fade", "20 %", "at most"),
        ("range", "400 km", "at least"),
        ("driving_time", "5 h", "at least"),
        ("top_speed", "150 km/h", "at least"),
        ("cycle_life", 1000, "at least"),
    ],
)
def test_the_sense_of_a_claim_comes_from_its_quantity(name, value, sense):
    assert Claim(name, value).sense == sense


@pytest.mark.parametrize("name", ["altitude", "geopotential_altitude"])
@pytest.mark.parametrize("value", ["12 km", "-9000 ft"])
def test_a_bound_that_a_model_sets_names_the_model(name, value):
    with pytest.raises(OutOfBoundsError, match="the standard atmosphere") as caught:
        look_up(name).read(value)
    assert "physical" not in str(caught.value)
    with pytest.raises(OutOfBoundsError, match="physical bounds"):
        look_up("headwind").read("500 m/s")


def test_every_name_is_said_as_people_say_it():
    """A sentence names quantities in the order of words of English, and no two of them alike."""
    every = glossary().values()
    # A name may end with what it says more about; English puts that before the noun.
    after = re.compile(r"\b(?:max|min|from|to|end|limit of|linear|square|added per)$")
    assert not [one.words for one in every if after.search(one.words)]
    assert not [one.words for one in every if "_" in one.words]
    said = [one.words.lower() for one in every]
    assert len({*said}) == len(said)
    # What the trade spells is spelled.
    assert not [
        one for one in (q.words for q in every) if re.search(r"\b(?:ac|lfp|nmc|c rate)\b", one)
    ]


def test_a_name_that_is_said_otherwise_is_said_so_in_every_sentence():
    made = charge.find(
        "charging_power",
        cell_resistance="60 mΩ",
        line_current="16 A",
        phase_voltage="230 V",
        phases=1,
        onboard_power_max="11 kW",
        charging_efficiency=0.9,
    )
    beside = " ".join(made.notes)
    assert "maximum onboard charger power" in beside
    assert "The cell resistance of 60 mΩ plays no part" in beside
    assert "power max" not in beside + made.working.spoken


@pytest.mark.parametrize("text", ["-10 C", "−10C", "-10 °C", "-10 degC", "14 F", "14 °F"])
def test_c_and_f_are_degrees_where_nothing_else_can_be_meant(text):
    temperature = look_up("air_temperature")
    assert temperature.read(text) == pytest.approx(263.15)
    assert temperature.label_of(text) in {"°C", "degC", "°F"}
    claim = Claim("range", "400 km", speed="90 km/h", air_temperature=text)
    assert text[-1] in claim.conditions_said["air_temperature"]
    fact = make_fact("air_temperature", text, origin="assumed", plus_minus="2 C")
    assert (fact.low, fact.high) == pytest.approx((261.15, 265.15))


def test_a_c_rate_stays_a_c_rate():
    assert look_up("c_rate").read("2 C") == pytest.approx(2 / 3600)
    assert look_up("cell_charge_rate_max").read("0.5 C") == pytest.approx(0.5 / 3600)
    with pytest.raises(UnitError, match="does not measure"):
        look_up("mass").read("10 C")


@pytest.mark.parametrize(
    ("text", "grade"),
    [("1:10", 0.1), ("1 : 8", 0.125), ("1 in 20", 0.05), ("-1:40", -0.025), ("−1/12.5", -0.08)],
)
def test_a_grade_may_be_one_in_so_many(text, grade):
    """As slopes are signed along roads and rails: common practice, no source."""
    assert look_up("grade").read(text) == pytest.approx(grade)
    fact = make_fact("grade", text, origin="measured", span=["-1:5", "1:5"])
    assert (fact.si, fact.low, fact.high) == pytest.approx((grade, -0.2, 0.2))
    assert fact.unit == "%"
    claim = Claim("range", "400 km", speed="90 km/h", grade=text)
    assert claim.conditions_said["grade"].endswith(" %")


@pytest.mark.parametrize("name", ["drive_efficiency", "grade_angle", "mass", "gear_ratio"])
@pytest.mark.parametrize("text", ["1:10", "-2:1", "3 : 4"])
def test_two_numbers_are_no_time_of_what_is_none(name, text):
    with pytest.raises(UnitError, match="is two numbers, and one is needed") as said:
        look_up(name).read(text)
    assert "hours" not in str(said.value)


@pytest.mark.parametrize("nought", ["0 mi/kWh", "0.0 km/kWh", "-0 km/kWh"])
@pytest.mark.parametrize(
    "name", [one.name for one in glossary().values() if one.unit == "J/m" and not one.constant]
)
def test_nought_turned_round_is_without_limit_and_refused_in_the_unit_that_was_given(name, nought):
    label = nought.split(" ")[1]
    for given_in in (nought, [nought, f"4 {label}"]):
        with pytest.raises(OutOfBoundsError, match=f"= 0 {label}: nought turned round") as caught:
            look_up(name).read(given_in)
        assert (caught.value.value, caught.value.unit) == (0.0, label)
        assert f"more than 0 {label}" in caught.value.advice
    assert look_up(name).in_unit(0.0, label) == look_up(name).in_unit(-0.0, label) == math.inf


@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("crosswind", "Wind across the road is left out"),
        ("side_wind", "Wind across the road is left out"),
        ("wind_direction", "Wind across the road is left out"),
        ("schedule", "cw.drive_schedule"),
        ("drive_cycle", "cw.drive_schedule"),
    ],
)
def test_what_is_no_quantity_is_told_what_becomes_of_it(name, said):
    for asked in (
        lambda: load.find("range", **{**load.example, name: 3.0}),
        lambda: Claim("range", "400 km", **{name: 3.0}),
    ):
        with pytest.raises(NameUnknownError, match=re.escape(said)) as told:
            asked()
        assert told.value.nearest == ()
    text = f'[vehicle]\nname = "Dunlin"\ninvented = true\n[values.{name}]\nvalue = 3\norigin = "estimated"'
    with pytest.raises(SheetError, match=re.escape(said)):
        Sheet.parse(text)
