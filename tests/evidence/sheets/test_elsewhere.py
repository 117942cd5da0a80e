"""What a sheet states for other topics than pack and road is compared with what its other facts make of it."""

from __future__ import annotations

import pytest

import chalkwatt as cw
from chalkwatt.evidence.claims.telling import circumstances

CAR = {
    "drag_area": "0.3 m^2",
    "mass": "700 kg",
    "rolling_coefficient": "0.0075",
    "drive_efficiency": "0.88",
    "auxiliary_power": "220 W",
    "air_density": "1.2 kg/m^3",
    "usable_energy": "60 kWh",
    "charging_efficiency": "0.9",
}


def sheet(**values: str) -> cw.Sheet:
    """Make an invented sheet of quoted values."""
    lines = ["[vehicle]", 'name = "Rook"', "invented = true"]
    for name, value in values.items():
        lines += [f"[values.{name}]", f'value = "{value}"', 'origin = "quoted"']
    return cw.Sheet.parse("\n".join(lines))


def at_the_wall(speed: float) -> float:
    """Reckon the same car by hand, in kWh/100 km."""
    force = 0.5 * 1.2 * 0.3 * speed**2 + 0.0075 * 700 * 9.80665
    return (force / 0.88 + 220 / speed) / 0.9 / 36


@pytest.mark.parametrize("speed", [60, 100, 140])
@pytest.mark.parametrize("times", [0.2, 1.0, 5.0])
def test_a_quoted_consumption_at_the_outlet_meets_the_road(speed: float, times: float) -> None:
    truth = at_the_wall(speed / 3.6)
    made = sheet(**CAR, wall_consumption=f"{times * truth:.3f} kWh/100km")
    asked = {"speed": f"{speed} km/h"}
    for found in (
        made.find("wall_consumption", **asked),
        made.find("range", **asked),
        made.find("consumption", **asked),
        made.find("charging_speed", charging_power="11 kW", **asked),
        made.follow(**asked),
    ):
        clashes = [one for one in found.conflicts if one.quantity == "wall_consumption"]
        assert len(clashes) == (times != 1.0), found
        for one in clashes:
            assert one.derived / 36 == pytest.approx(truth, rel=1e-6)
            assert f"at a steady {speed} km/h" in one.clash
        assert repr(found).count("The wall consumption is quoted as") == len(clashes)
    # What has nothing to do with consumption has no part in it.
    assert not made.find("air_force", **asked).conflicts


def test_no_claim_holds_by_one_of_two_ways() -> None:
    made = sheet(**CAR, wall_consumption="40 kWh/100km")
    verdict = made.judge(cw.Claim("range", "400 km", speed="100 km/h"))
    assert verdict.word == "disputed"
    (route,) = verdict.routes
    assert route.si == pytest.approx(60 / (40 * 0.9) * 1e5)
    charged = made.judge(
        cw.Claim("charging_speed", "20 km/h", charging_power="11 kW", speed="100 km/h")
    )
    assert charged.word != "holds"
    assert [one.si * 3.6 for one in charged.routes] == pytest.approx(
        [11 / (at_the_wall(100 / 3.6) * 0.9) * 100]
    )
    assert "no part" not in charged.sentence


def test_a_label_meets_its_tests_and_no_steady_drive() -> None:
    label = {"label_consumption": "15 kWh/100km"}
    assert not sheet(**CAR, **label).find("label_range").conflicts
    assert not sheet(**CAR, **label).find("range", speed="130 km/h").conflicts
    assert not sheet(**CAR, **label).follow(speed="130 km/h").conflicts
    tests = {"city_consumption": "20 kWh/100km", "highway_consumption": "25 kWh/100km"}
    found = sheet(**CAR, **label, **tests).find("label_range")
    (clash,) = found.conflicts
    assert clash.quantity == "label_consumption"
    # 40 CFR 600.206-12: 55 % city; whatever the shares, it is between the two.
    assert clash.derived / 36 == pytest.approx(0.55 * 20 + 0.45 * 25)
    between = sheet(**CAR, **tests, label_consumption="21.5 kWh/100km")
    assert not between.find("label_range").conflicts


@pytest.mark.parametrize("usable", ["", "1", "0.95"])
@pytest.mark.parametrize("times", [0.5, 0.9, 1.0, 1.1, 2.0])
def test_a_label_draws_no_more_than_the_cells_hold(usable: str, times: float) -> None:
    """Counted at the outlet, less what charging loses; whatever of it is used, it is no more than all."""
    cells = {"cells_in_series": "108", "cells_in_parallel": "36",
             "cell_capacity": "4 Ah", "cell_voltage": "3.66 V"}  # fmt: skip
    label = {"label_consumption": "18 kWh/100km", "charging_efficiency": "0.88"}
    if usable:
        cells["usable_fraction"] = usable
    kilometres = 108 * 36 * 4 * 3.66 * float(usable or 1) / (0.88 * 180)
    made = sheet(**cells, **label, tested_range=f"{times * kilometres:.3f} km")
    # Of cells of which nothing else is said 85 % are used, or more: what is usual.
    fits = times == 1.0 or (not usable and 0.85 < times < 1)
    for found in (made.follow(), made.find("usable_energy")):
        clashes = [one for one in found.conflicts if one.quantity == "tested_range"]
        assert bool(clashes) != fits, found
        for one in clashes:
            assert one.derived / 1e3 == pytest.approx(kilometres)
    if not usable:  # and no number rests on what was not said
        with pytest.raises(cw.TooLittleKnownError):
            made.find("tested_range")


def test_another_car_contradicts_no_quote() -> None:
    made = sheet(**CAR, wall_consumption="40 kWh/100km")
    assert not made.find("wall_consumption", speed="100 km/h", mass="2500 kg").conflicts


def test_a_limit_of_which_nothing_is_said_contradicts_nothing() -> None:
    """A charge may be held lower by what nobody stated."""
    made = sheet(usable_energy="60 kWh", charging_power="40 kW", station_power_max="150 kW")
    assert not made.find("charging_speed", consumption="15 kWh/100km").conflicts


ROAD = {name: value for name, value in CAR.items() if name != "air_density"}


def test_a_clash_is_said_once() -> None:
    """It came once by the speed that was asked for, and once by the air that stands in."""
    made = sheet(**ROAD, air_temperature="20 degC")
    for name, value in (("altitude", "100 m"), ("air_force", "90 N")):
        made = made.revised(name, value, origin="estimated")
    found = made.find("range", speed="100 km/h")
    assert [one.quantity for one in found.conflicts].count("air_force") == 1
    follows = [one.quantity for one in made.follow(speed="100 km/h").conflicts]
    assert follows.count("air_force") == 1
    claim = cw.Claim("range", "100 km", speed="100 km/h")
    assert made.judge(claim).sentence.count("air force is estimated as") == 1


def test_a_bare_length_and_a_bare_temperature_say_what_they_are_of() -> None:
    asked = {"speed": "100 km/h", "altitude": "2000 m", "air_temperature": "-10 degC"}
    verdict = sheet(**ROAD).judge(cw.Claim("range", "100 km", **asked))
    told = "100 km/h, an air temperature of −10 °C and an altitude of 2000 m"
    assert f"at a steady {told} on a level road" in verdict.sentence
    said = circumstances(verdict.claim)
    assert said == " at 100 km/h, an altitude of 2000 m and an air temperature of −10 °C"


@pytest.mark.parametrize("origin", ["assumed", "quoted"])
@pytest.mark.parametrize("wanted", ["vapour_pressure", "dew_point"])
def test_a_density_is_not_turned_back_into_moisture(wanted: str, origin: str) -> None:
    made = sheet(**CAR).revised("air_density", "1.2 kg/m^3", origin=origin)
    with pytest.raises(cw.TooLittleKnownError, match=f"{origin} air density turned back"):
        made.find(wanted)
    # Half of what saturated air holds at 20 °C (FAO 56, eq. 11).
    humid = {"relative_humidity": 0.5, "air_temperature": "20 degC"}
    assert made.find("vapour_pressure", **humid).si == pytest.approx(1169, rel=1e-3)


# Each with what its other values make of the last, by hand; a limit of which nothing is said makes it worse only.
START = {"mass": "1500 kg", "motor_power": "100 kW", "drive_efficiency": "0.88", "friction": "0.9",
         "driven_weight_share": "0.6", "rotating_mass_factor": "1.04", "load_transfer": "0.1",
         "target_speed": "100 km/h"}  # fmt: skip
CHARGE = {"usable_energy": "60.00 kWh", "station_power_max": "100.0 kW",
          "state_of_charge_from": "0.1000", "state_of_charge_to": "0.8000", "taper_factor": "0.9000"}  # fmt: skip


def seconds_to_speed() -> float:
    """The tyres' limit up to the crossover, the power beyond."""
    grip = 0.9 * 0.6 * 9.80665 / (1.04 - 0.9 * 0.1)
    power, inert, target = 88e3, 1.04 * 1500, 100 / 3.6
    crossing = power / (inert * grip)
    return crossing / grip + inert * (target**2 - crossing**2) / (2 * power)


RUNS = [
    (START, "time_to_speed", seconds_to_speed(), "s", -1),
    (CHARGE, "charging_time", 60 * 0.7 / 90 * 60, "min", -1),
    (CHARGE, "average_charging_power", 90.0, "kW", 1),
]


@pytest.mark.parametrize(
    ("known", "name", "truth", "unit", "better"), RUNS, ids=[one[1] for one in RUNS]
)
@pytest.mark.parametrize("times", [0.4, 0.75, 1.0, 1.3, 3.0])
def test_no_unsaid_limit_makes_it_better(
    known: dict[str, str], name: str, truth: float, unit: str, better: int, times: float
) -> None:
    made = sheet(**known, **{name: f"{times * truth:.4f} {unit}"})
    contradicts = (times - 1) * better > 0
    for found in (made.follow(), made.find(name)):
        clashes = [one for one in found.conflicts if one.quantity == name]
        assert len(clashes) == contradicts, found
        for one in clashes:
            assert one.derived / {"s": 1, "min": 60, "kW": 1e3}[unit] == pytest.approx(
                truth, rel=1e-4
            )


def test_a_stop_ends_at_rest() -> None:
    made = sheet(speed="100 km/h", deceleration="8 m/s^2", braking_distance="30 m")
    for found in (made.follow(), made.find("stopping_distance")):
        (clash,) = found.conflicts
        assert clash.derived == pytest.approx((100 / 3.6) ** 2 / 16)
    truth = (100 / 3.6) ** 2 / 16
    assert (
        not sheet(speed="100 km/h", deceleration="8 m/s^2", braking_distance=f"{truth:.3f} m")
        .follow()
        .conflicts
    )


def test_what_is_followed_is_called_trustworthy_only_where_it_is() -> None:
    lines = ["[vehicle]", 'name = "Rook"', "invented = true"]
    for name, value in (CHARGE | {"charging_time": "18 min"}).items():
        origin = "quoted" if name == "charging_time" else "measured"
        lines += [f"[values.{name}]", f'value = "{value}"', f'origin = "{origin}"']
    made = cw.Sheet.parse("\n".join(lines))
    verdict = made.judge(cw.Claim("charging_power", "120 kW"))
    assert verdict.word == "out of reach"
    assert (
        "This verdict keeps to the 100 kW of the facts that deserve at least as much trust"
        in verdict.sentence
    )
    quoted = sheet(**CHARGE, charging_time="18 min").judge(cw.Claim("charging_power", "120 kW"))
    assert "of the facts that deserve at least as much trust" in quoted.sentence


def kilowatt_hours(speed: float) -> float:
    """What the road of CAR takes at the battery, in kWh/100 km at a speed in km/h."""
    return at_the_wall(speed / 3.6) * 0.9


@pytest.mark.parametrize("speed", [70, 120])
@pytest.mark.parametrize("times", [0.5, 2.0])
@pytest.mark.parametrize("quoted", ["consumption", "range", "wall_consumption"])
def test_a_quote_is_not_that_of_the_drive_asked_for(
    quoted: str, times: float, speed: float
) -> None:
    """A charge fills up what the measured road takes at that speed; the quote is told, and what it would make."""
    takes = kilowatt_hours(speed)
    value = {
        "consumption": f"{times * takes:.4f} kWh/100km",
        "range": f"{60 / (times * takes) * 100:.3f} km",
        "wall_consumption": f"{times * takes / 0.9:.4f} kWh/100km",
    }[quoted]
    lines = ["[vehicle]", 'name = "Rook"', "invented = true"]
    for name, text in (CAR | {quoted: value}).items():
        origin = "quoted" if name == quoted else "measured"
        lines += [f"[values.{name}]", f'value = "{text}"', f'origin = "{origin}"']
    made = cw.Sheet.parse("\n".join(lines))
    truth = {
        "charging_speed": 50 / takes * 100,
        "distance_added": 60 * 0.6 / takes * 100,
        "wall_consumption": takes / 0.9,
    }
    session = {"state_of_charge_from": 0.2, "state_of_charge_to": 0.8, "station_power_max": "50 kW"}
    asked = {"charging_speed": ["station_power_max"], "distance_added": [*session][:2]}
    units = {"charging_speed": 3.6, "distance_added": 1e-3, "wall_consumption": 1 / 36}
    for name, expected in truth.items():
        more = {one: session[one] for one in asked.get(name, ())}
        found = made.find(name, speed=f"{speed} km/h", **more)
        assert found.si * units[name] == pytest.approx(expected, rel=1e-4), name
        clashes = {one.quantity for one in found.conflicts}
        assert clashes & {quoted, "range", "consumption", "wall_consumption"}, name


def test_a_consumption_that_a_topic_means_otherwise_stays_as_it_is_stated() -> None:
    """A label knows no steady drive: what is stated of consumption is all that it has."""
    made = sheet(**CAR, consumption="15 kWh/100km")
    found = made.find("label_consumption", speed="120 km/h")
    assert found.si / 36 == pytest.approx(15 / 0.9)


def test_a_measured_consumption_is_better_than_an_assumed_road() -> None:
    lines = ["[vehicle]", 'name = "Rook"', "invented = true"]
    own = {"consumption": "9 kWh/100km", "speed": "120 km/h"}  # measured at that speed
    for name, text in (CAR | own).items():
        origin = "measured" if name in own else "assumed"
        lines += [f"[values.{name}]", f'value = "{text}"', f'origin = "{origin}"']
    made = cw.Sheet.parse("\n".join(lines))
    found = made.find("charging_speed", speed="120 km/h", station_power_max="50 kW")
    assert found.si * 3.6 == pytest.approx(50 / 9 * 100)
    other = made.find("charging_speed", speed="60 km/h", station_power_max="50 kW")
    assert other.si * 3.6 == pytest.approx(50 / kilowatt_hours(60) * 100, rel=1e-6)


def test_a_measured_power_is_not_turned_round_from_a_quoted_speed_without_a_word() -> None:
    road = {name: CAR[name] for name in CAR if name not in ("usable_energy", "charging_efficiency")}

    def top(kilowatts: float) -> float:
        """Where the road takes what the motor gives, by bisection, in m/s."""
        low, high = 1.0, 200.0
        for _ in range(100):
            middle = (low + high) / 2
            force = 0.5 * 1.2 * 0.3 * middle**2 + 0.0075 * 700 * 9.80665
            low, high = (middle, high) if force * middle < 0.88e3 * kilowatts else (low, middle)
        return low

    made = sheet(**road, motor_power="80.00 kW", top_speed=f"{top(80) * 3.6 * 1.15:.1f} km/h")
    for found in (made.find("motor_power"), made.find("top_speed"), made.follow()):
        (clash,) = [one for one in found.conflicts if one.quantity == "top_speed"]
        assert clash.derived == pytest.approx(top(80), rel=1e-3)
    # A motor that could do more may be held back by what nobody said.
    held = sheet(**road, motor_power="80.00 kW", top_speed=f"{top(80) * 3.6 * 0.8:.1f} km/h")
    assert not held.follow().conflicts


def test_a_comparison_shows_the_drive_that_it_is_headed_with() -> None:
    quoted, plain = sheet(**CAR, consumption="9 kWh/100km"), sheet(**CAR)
    compared = cw.compare(quoted, plain, quantities=("consumption", "range"), speed="120 km/h")
    first, second = compared.cells["consumption"]
    assert first.si == second.si == pytest.approx(kilowatt_hours(120) * 36)
    assert any("quoted as 9" in one for one in compared.notes)
    without = cw.compare(quoted, plain, quantities=("consumption",))
    assert without.cells["consumption"][0].text == "9 kWh/100 km"


def test_what_the_sheet_states_itself_is_named_beside_what_is_found() -> None:
    made = sheet(usable_energy="60 kWh", label_consumption="16 kWh/100 km", tested_range="460 km")
    found = made.find("tested_range")
    assert "The sheet itself states 460 km (quoted)" in " ".join(found.notes)
    verdict = made.judge(cw.Claim("tested_range", "450 km"))
    assert "The sheet itself states 460 km (quoted)" in verdict.sentence
    agreeing = sheet(
        usable_energy="60 kWh", label_consumption="16 kWh/100 km", tested_range="431 km"
    )
    assert "itself" not in " ".join(agreeing.find("tested_range").notes)


def test_a_cabin_of_the_sheet_that_a_stated_load_leaves_cold_is_told() -> None:
    cabin = {"heat_loss_coefficient": "70 W/K", "cabin_temperature": "20 degC",
             "coefficient_of_performance": "2"}  # fmt: skip
    road = {name: value for name, value in CAR.items() if name != "air_density"}
    cold = {"speed": "90 km/h", "air_temperature": "-10 degC"}
    told = "The cabin of the sheet is neither heated nor cooled here"
    assert told in " ".join(sheet(**road, **cabin).find("range", **cold).notes)
    assert told in sheet(**road, **cabin).judge(cw.Claim("range", "200 km", **cold)).sentence
    # Not where nobody asks for cold, where no cabin is known, nor where it is reckoned with.
    assert told not in " ".join(sheet(**road, **cabin).find("range", speed="90 km/h").notes)
    assert told not in " ".join(sheet(**road).find("range", **cold).notes)
    heated = {name: value for name, value in road.items() if name != "auxiliary_power"}
    found = sheet(**heated, **cabin, electronics_power="220 W").find("range", **cold)
    assert told not in " ".join(found.notes)
    assert "cabin_temperature" in found.facts
