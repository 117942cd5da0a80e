"""What people hand over as a value: read as meant, or refused in words; never counted as SI by accident."""

import array
import datetime as dt
import math
import random
from decimal import Decimal
from fractions import Fraction

import numpy as np
import pandas as pd
import pytest

import chalkwatt as cw
from chalkwatt.errors import (
    CallError,
    ChalkwattError,
    NameUnknownError,
    OutOfBoundsError,
    UnitError,
)
from chalkwatt.laws.quantities import glossary, look_up
from chalkwatt.runs.schedule.schedule import in_si
from chalkwatt.wording import units

Q = units.registry().Quantity
CAR = {
    "drag_area": "0.6 m²", "mass": "1200 kg", "rolling_coefficient": 0.009, "drive_efficiency": 0.88,
    "auxiliary_power": "300 W", "air_density": 1.2,
}  # fmt: skip
ROAD = {**CAR, "usable_energy": "40 kWh"}
SHEET = cw.Sheet.parse(
    '[vehicle]\nname = "Wren"\n[values.usable_energy]\nvalue = "38 kWh"\norigin = "quoted"\n'
    'range = [36, 40]\n[values.consumption]\nvalue = "15 kWh/100 km"\norigin = "measured"\n'
)


class Lengths(np.ndarray):
    """An array with a unit of its own, as several libraries have them."""

    unit = "km/h"


class Broken:
    def __repr__(self):
        raise RuntimeError


NO_NUMBERS = {
    "true": True,
    "numpy's true": np.True_,
    "bytes": b"25",
    "bytearray": bytearray(b"25"),
    "memoryview": memoryview(b"abc"),
    "numpy's bytes": np.bytes_(b"25"),
    "complex": 25 + 9j,
    "numpy's complex": np.complex128(25 + 9j),
    "complex without a second part": np.array([25 + 0j]),
    "duration": dt.timedelta(seconds=25),
    "numpy's duration": np.timedelta64(25, "s"),
    "durations": np.array([25], dtype="timedelta64[s]"),
    "pandas' duration": pd.Timedelta("25s"),
    "date": np.datetime64("2024-01-01"),
    "truth values": np.array([True, False]),
    "a truth value among numbers": [25.0, True],
    "a complex number among numbers": [25.0, 1j],
    "nothing": None,
    "nothing among numbers": [25.0, None],
    "objects": np.array([object(), 2.0], dtype=object),
    "set": {25.0},
    "dict": {"speed": 25.0},
    "object": object(),
    "one whose words fail": Broken(),
    "rows of different lengths": [[25.0], [25.0, 26.0]],
    "texts in rows of different lengths": [["25 m/s"], ["25 m/s", "26 m/s"]],
    "a masked value": np.ma.array([25.0, 1.0], mask=[False, True]),
    "the masked value": np.ma.masked,
    "a masked value in a list": [np.ma.array([25.0], mask=[True])],
    "a quantity with a masked value": Q(np.ma.array([90.0, 1.0], mask=[False, True]), "km/h"),
    "a complex quantity": Q(90 + 1j, "km/h"),
    "a huge whole number": 10**400,
    "a huge whole number among others": [25.0, 10**400],
    "one with more digits than Python writes": 10**5000,
    "nothing at all": [],
    "an empty array": np.array([]),
    "an empty quantity": Q(np.array([]), "km/h"),
    "text without a unit": "90",
    "texts without a unit": ["90", "100"],
    "one text without a unit": ["90 km/h", "100"],
    "a series of texts without a unit": pd.Series(["90", "100"]),
    "an array of text": np.array(["90", "100"]),
    "a text of another unit": ["90 km/h", "100 km"],
    "an array with another library's unit": np.array([90.0]).view(Lengths),
    "not a number": math.nan,
    "infinite": np.array([25.0, np.inf]),
    "a missing value": pd.Series([25.0, None]),
    "pandas' missing value": pd.Series([25, None], dtype="Int64"),
}


@pytest.mark.parametrize("value", NO_NUMBERS.values(), ids=NO_NUMBERS)
def test_what_is_no_number_is_refused_at_every_door(value):
    board = cw.load.board(speed="90 km/h", **ROAD)
    doors = [
        lambda: look_up("speed").read(value),
        lambda: cw.load.find("range", speed=value, **ROAD),
        lambda: cw.load.board(speed=value, wanted="range", **ROAD),
        lambda: cw.Claim("speed", value),
        lambda: cw.Claim("range", "400 km", speed=value),
        lambda: SHEET.find("range", speed=value),
        lambda: SHEET.follow(speed=value),
        lambda: cw.coast_down(speed_from=value, speed_to="1 km/h", **_road()),
        lambda: cw.standing_start(
            mass="900 kg", motor_power=value, drive_efficiency=0.9, friction=0.9,
            driven_weight_share=0.6, drag_area=0.6, rolling_coefficient=0.01, air_density=1.2,
        ),
        lambda: cw.drive_schedule(
            cw.schedules.nedc, **{**CAR, "mass": value}
        ),
        lambda: cw.schedules.trapezoid(top_speed=value, acceleration=1.0, cruising=10),
    ]  # fmt: skip
    assert repr(board)
    for place, door in enumerate(doors):
        if place == 5 and isinstance(value, list) and len(value) == 2:
            continue  # two of them are a range
        if place in {4, 5, 6} and not _alone(value):
            continue
        if place == 10 and isinstance(value, str):
            continue  # this one knows what a bare number in a text is
        with pytest.raises(ChalkwattError) as caught:
            door()
        assert len(str(caught.value)) < 500, place


def _road():
    return {"mass": "900 kg", "drag_area": 0.6, "rolling_coefficient": 0.01, "air_density": 1.2}


def _alone(value):
    """Whether it is not text that a pair of conditions would be made of."""
    return not (isinstance(value, list) and len(value) == 2)


@pytest.mark.parametrize(
    ("value", "expected"),
    [
        (25, 25.0),
        (np.int64(25), 25.0),
        (np.float32(25), 25.0),
        (np.array(25), 25.0),
        (Decimal("25.5"), 25.5),
        (Fraction(51, 2), 25.5),
        ("90 km/h", 25.0),
        (Q(90, "km/h"), 25.0),
    ],
)
def test_one_real_number(value, expected):
    made = look_up("speed").read(value)
    assert isinstance(made, float)
    assert made == pytest.approx(expected, rel=1e-15)
    assert look_up("speed").read_one(value) == made


@pytest.mark.parametrize(
    "value",
    [
        ["90 km/h", "36 km/h"],
        ("25 m/s", "36 km/h"),
        np.array(["90 km/h", "36 km/h"]),
        np.array(["90 km/h", "36 km/h"], dtype=object),
        pd.Series(["90 km/h", "36 km/h"]),
        pd.Series(["90 km/h", "36 km/h"], dtype="string"),
        pd.Series(["90 km/h", "36 km/h"], dtype="category"),
        [Q(90, "km/h"), Q(10, "m/s")],
        pd.Series([25.0, 10.0]),
        pd.Series([25, 10], dtype="Int64"),
        array.array("d", [25.0, 10.0]),
        np.ma.array([25.0, 10.0]),
        Q(np.ma.array([90.0, 36.0]), "km/h"),
        np.array([25, 10], dtype=object),
        [np.float64(25.0), 10],
        [Fraction(25), Decimal(10)],
    ],
    ids=lambda value: type(value).__name__,
)
def test_several_real_numbers(value):
    np.testing.assert_allclose(look_up("speed").read(value), [25.0, 10.0], rtol=1e-15)
    found = cw.load.find("air_force", speed=value, drag_area=0.5, air_density=1.2)
    np.testing.assert_allclose(found.si, [0.3 * 25**2, 0.3 * 10**2], rtol=1e-14)
    with pytest.raises(UnitError, match="one value is needed"):
        look_up("speed").read_one(value)


def test_a_table_of_texts_keeps_its_shape():
    made = look_up("mass").read([["1 t", "900 kg"], ["1'180 kg", "2000 lb"]])
    assert made.shape == (2, 2)
    assert made[1, 0] == 1180.0


@pytest.mark.parametrize("value", NO_NUMBERS.values(), ids=NO_NUMBERS)
def test_the_bare_function(value):
    drag = cw.load.compile("air_force", known=("speed", "drag_area", "air_density"))
    try:
        made = drag(value, 0.5, 1.2)
    except UnitError as error:
        told = str(error)
        assert "speed" in told
        assert "bare numbers in SI" in told or "far too large" in told
        return
    # What is missing, masked or nothing at all gives as little as went in.
    assert np.size(made) == 0 or not np.all(np.isfinite(made))


def test_a_masked_value_keeps_its_place_in_the_bare_function():
    drag = cw.load.compile("air_force", known=("speed", "drag_area", "air_density"))
    made = drag(np.ma.array([20.0, 1.0, 30.0], mask=[False, True, False]), 0.5, 1.2)
    np.testing.assert_array_equal(made, [120.0, np.nan, 270.0])
    assert drag(speed=20, drag_area=Fraction(1, 2), air_density=1.2) == 120.0


@pytest.mark.parametrize("wanted", [5, None, ["range"], ("range",), {}, 1.5, b"range", object()])
def test_what_names_nothing(wanted):
    for ask in (
        lambda: cw.load.find(wanted, speed=25.0),
        lambda: cw.load.compile(wanted, known=("speed",)),
        lambda: cw.load.board(wanted=5 if wanted is None else wanted, speed="90 km/h", **ROAD),
        lambda: SHEET.find(wanted),
        lambda: SHEET.revised(wanted, 5),
        lambda: cw.Claim(wanted, "400 km"),
        lambda: look_up(wanted),
    ):
        with pytest.raises(NameUnknownError):
            ask()
    with pytest.raises(CallError, match="known must be a list of texts"):
        cw.load.compile("range", known=(wanted,))


def test_a_long_wrong_name_is_refused_soon_and_shortly():
    with pytest.raises(NameUnknownError) as caught:
        cw.load.find("rang" * 100_000)
    assert len(str(caught.value)) < 300


def test_what_is_no_claim_no_level_and_no_executor():
    claim = cw.Claim("range", "200 km")
    for ask in (
        lambda: SHEET.judge("range"),
        lambda: SHEET.judge(None),
        lambda: SHEET.judge(claim, executor="x"),
        lambda: SHEET.find("range", executor="x"),
        lambda: SHEET.find("range", level=True),
        lambda: SHEET.find("range", level="0.9"),
        lambda: SHEET.find("range", level=1.0),
        lambda: cw.Claim("range", "200 km", within=5),
        lambda: cw.Claim("range", "200 km", variant="x", within={"pack_mass": []}),
    ):
        with pytest.raises(ChalkwattError):
            ask()


def test_any_two_units_of_a_quantity_say_one_thing():
    draw = random.Random(4)  # noqa: S311  numbers, no secrets
    for entry in glossary().values():
        if entry.constant is not None or entry.whole:
            continue
        for label in entry.display:
            si = draw.uniform(*entry.usual) or 1.0
            text = f"{float(entry.in_unit(si, label))!r} {label}".strip()
            if label or not entry.unit:
                assert entry.read(text) == pytest.approx(si, rel=1e-12), (entry.name, label)
                assert entry.label_of(text) == label


@pytest.mark.parametrize("name", ["consumption", "wall_consumption", "city_consumption"])
def test_a_consumption_upside_down(name):
    draw = random.Random(6)  # noqa: S311  numbers, no secrets
    entry = look_up(name)
    for _ in range(200):
        number = 10 ** draw.uniform(-2, 2)
        assert entry.read(f"{number!r} mi/kWh") == pytest.approx(3.6e6 / 1609.344 / number)
        assert entry.read(f"{number!r} km/kWh") == pytest.approx(3600 / number)
        assert entry.in_unit(entry.read(f"{number!r} mi/kWh"), "mi/kWh") == pytest.approx(number)
    values = entry.read(["4 mi/kWh", "25 kWh/100 mi"])
    assert values[0] == pytest.approx(values[1])
    np.testing.assert_allclose(entry.read(Q([2.0, 4.0], "mi/kWh")), [1118.468146, 559.234073])
    with pytest.raises(OutOfBoundsError):
        entry.read("0 mi/kWh")
    with pytest.raises(OutOfBoundsError):
        entry.read("-4 mi/kWh")
    with pytest.raises(UnitError):
        look_up("road_force").read(
            "4 mi/kWh"
        )  # a newton is a joule a metre, and yet no consumption


def test_an_economy_upside_down():
    entry = look_up("combined_economy")
    assert entry.read("25 kWh/100 mi") == pytest.approx(entry.read("4 mi/kWh"))
    assert entry.label_of("15 kWh/100 km") == "km/kWh"


def test_a_fact_upside_down_keeps_its_range():
    def fact(**rest):
        lines = "".join(f"{key} = {value}\n" for key, value in rest.items())
        text = f'[vehicle]\nname = "Wren"\n[values.consumption]\norigin = "quoted"\n{lines}'
        return cw.Sheet.parse(text).facts["consumption"]

    per = 3.6e6 / 1609.344
    for rest in (
        {"value": '"4 mi/kWh"', "range": "[3.5, 4.5]"},
        {"value": '"4 mi/kWh"', "range": '["3.5 mi/kWh", "4.5 mi/kWh"]'},
        {"value": '"4 mi/kWh"', "plus_minus": "0.5"},
        {"value": '"4 mi/kWh"', "plus_minus": '"0.5 mi/kWh"'},
    ):
        made = fact(**rest)
        assert (made.si, made.low, made.high) == pytest.approx((per / 4, per / 4.5, per / 3.5))
        assert made.text.startswith("25 kWh/100 mi (22.2")
    assert fact(value='"4.0 mi/kWh"').grain == pytest.approx(per / 4 * 0.05 / 4)
    for rest in (
        {"value": '"4 mi/kWh"', "plus_minus": "4"},
        {"value": '"4 mi/kWh"', "range": "[4.5, 3.5]"},
    ):
        with pytest.raises(ChalkwattError):
            fact(**rest)


@pytest.mark.parametrize(
    ("name", "text", "si", "shown"),
    [
        ("c_rate", "1 C", 1 / 3600, "1 C"),
        ("c_rate", "C/2", 0.5 / 3600, "0.5 C"),
        ("cell_charge_rate_max", "2C", 2 / 3600, "2 C"),
        ("consumption", "4 mi/kWh", 559.2340730136, "25 kWh/100 mi"),
        ("consumption", "25 kWh/100 mi", 559.2340730136, "25 kWh/100 mi"),
        ("combined_economy", "4 mi/kWh", 4 * 1609.344 / 3.6e6, "4 mi/kWh"),
        ("sprint_distance", "1/4 mile", 402.336, "0.25 mi"),
        ("sprint_distance", "¼ mile", 402.336, "0.25 mi"),
        ("charging_speed", "400 km/h", 400 / 3.6, "400 km/h"),
        ("charging_speed", "25 mi/h", 25 * 0.44704, "25 mph"),
        ("charging_speed", "25 miles of range per hour", 25 * 0.44704, "25 mph"),
        ("motor_torque", "200 Nm", 200.0, "200 N·m"),
        ("mass", "1\u2009180 kg", 1180.0, "1180 kg"),
    ],
)
def test_what_the_trade_writes_is_read_and_shown(name, text, si, shown):
    assert look_up(name).read(text) == pytest.approx(si)
    assert shown in cw.Claim(name, text).said
    sheet = cw.Sheet.parse(
        f'[vehicle]\nname = "x"\n[values.{name}]\nvalue = "{text}"\norigin = "quoted"'
    )
    assert sheet.facts[name].text == shown


def test_what_the_trade_writes_is_found_with():
    found = cw.pack.find("pack_current", c_rate="1 C", pack_capacity="100 Ah")
    assert found.si == pytest.approx(100.0)
    assert "1 C · 100 Ah" in found.working.text
    speed = cw.charge.find("charging_speed", charging_power="11 kW", consumption="4 mi/kWh")
    assert speed.to("mph") == pytest.approx(44.0)
    assert "25 kWh/100 mi" in speed.working.text
    used = cw.load.find("consumption", range="200 mi", usable_energy="50 kWh")
    assert used.to("mi/kWh") == pytest.approx(4.0)
    assert used.to("kWh/100 mi") == pytest.approx(25.0)


def test_a_number_of_a_run_is_read_by_the_same_rule():
    assert in_si("36 km/h", "m/s", "m/s") == pytest.approx(10.0)
    assert in_si(np.float32(2), "m/s", "m/s") == 2.0
    for value in (True, b"25", 1j, [1.0, 2.0], None, 10**400, np.ma.masked, "x"):
        with pytest.raises(UnitError):
            in_si(value, "m/s", "m/s")


@pytest.mark.parametrize("value", [None, True, [0.1, 0.2], "x"])
def test_what_a_run_must_have_cannot_be_nothing(value):
    start = {
        "mass": 900, "motor_power": 5e4, "friction": 0.9, "driven_weight_share": 0.6,
        "drag_area": 0.6, "rolling_coefficient": 0.01, "air_density": 1.2,
    }  # fmt: skip
    for name in ("mass", "drag_area", "rolling_coefficient", "gravity", "rollout"):
        with pytest.raises(ChalkwattError, match=name):
            cw.standing_start(**{**start, name: value})
    curve = {"usable_energy": "40 kWh", "power_curve": {0.1: "90 kW", 0.9: "20 kW"}}
    for name in ("state_of_charge_from", "state_of_charge_to", "cells_in_series"):
        with pytest.raises(ChalkwattError, match=name):
            cw.charge_session(**{"state_of_charge_from": 0.1, **curve, name: value})
    with pytest.raises(ChalkwattError, match="power_curve"):
        cw.charge_session(state_of_charge_from=0.1, usable_energy="40 kWh", power_curve=value or 5)


@pytest.mark.parametrize("label", [5, None, [], b"km", object()])
def test_what_is_no_unit_to_show_an_answer_in(label):
    found = cw.load.find("range", speed="90 km/h", **ROAD)
    with pytest.raises(UnitError):
        found.to(label)
    assert found.to(Q(1, "km").units) == pytest.approx(found.to("km"))


@pytest.mark.parametrize(
    ("text", "advice"),
    [
        ("3,720 lb", "Write 3720 lb or 3.720 lb."),
        ("1,180 kg", "Write 1180 kg or 1.180 kg."),
        ("1,200,000 g", "Write 1200000 g."),
        ("3,72 lb", "decimal point"),
    ],
)
def test_a_comma_is_refused_with_both_ways_to_write_it(text, advice):
    with pytest.raises(UnitError) as caught:
        cw.load.find("road_force", mass=text)
    assert advice in str(caught.value)
