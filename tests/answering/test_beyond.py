"""A given value beyond a given limit is a contradiction, by whatever way the value is known."""

from __future__ import annotations

import numpy as np
import pytest

import chalkwatt as cw
from chalkwatt.errors import TooMuchKnownError

# One C is 80 kW.
PACK = {"pack_voltage": "400 V", "pack_capacity": "200 A*h", "pack_resistance": "0 ohm"}
BEYOND = [
    ({"c_rate": "1 C"}, {"station_power_max": "50 kW"}),
    ({"charging_current": "200 A"}, {"station_power_max": "67 hp"}),
    ({"charging_power": "80 kW"}, {"station_power_max": "79.9 kW"}),
    ({"charging_power": "80 kW"}, {"station_current_max": "150 A"}),
    ({"average_charging_power": "60 kW", "taper_factor": 0.75}, {"station_power_max": "70 kW"}),
    ({"wall_power": "100 kW", "charging_efficiency": 0.8}, {"station_power_limit": "79 kW"}),
    ({"charging_power": "12 kW", "charging_efficiency": 0.9}, {"ac_power": "11 kW"}),
    ({"c_rate": "0.1 C", "charging_efficiency": 0.9}, {"onboard_power_max": "7.4 kW"}),
    ({"c_rate": "1 C"}, {"pack_charge_current_max": "199 A"}),
    ({"c_rate": "1 C"}, {"cell_charge_rate_max": "0.99 C"}),
]


@pytest.mark.parametrize(("value", "limit"), BEYOND)
def test_a_charge_beyond_a_limit_is_refused(value, limit):
    with pytest.raises(TooMuchKnownError, match="no more than") as caught:
        cw.charge.find("charging_time", energy_added="20 kWh", **PACK, **value, **limit)
    (name,) = limit
    assert name in caught.value.involved
    assert caught.value.relation == "Charging power"
    assert name in caught.value.advice
    assert 0 < caught.value.disagreement < 1


@pytest.mark.parametrize(("value", "limit"), BEYOND)
def test_a_charge_within_a_limit_is_not(value, limit):
    (name,) = limit
    given = {"energy_added": "20 kWh", **PACK, **value}
    wide = {name: cw.charge.read(limit)[name] * 2}
    found = cw.charge.find("charging_time", **given, **wide)
    assert found.si == pytest.approx(cw.charge.find("charging_time", **given).si, rel=1e-12)


def test_the_numbers_are_said_at_the_battery():
    with pytest.raises(TooMuchKnownError) as caught:
        cw.charge.find("wall_power", charging_power="12 kW", charging_efficiency=0.9, ac_power=11e3)
    # 90 % of 11 kW reach the battery.
    assert "charging power would be 12.00 kW" in str(caught.value)
    assert "AC power allows no more than 9.900 kW" in str(caught.value)
    assert caught.value.disagreement == pytest.approx(1 - 9.9 / 12)


def test_a_value_at_its_limit_is_allowed():
    limits = {"charging_voltage": "400 V", "station_power_max": "50 kW"}
    at = cw.charge.find("charging_current", charging_power="50 kW", **limits)
    assert at.to("A") == pytest.approx(125)


def test_the_limit_of_a_start_is_kept_as_well():
    known = {"mass": 1000, "target_speed": "100 km/h", "drive_efficiency": 0.9}
    with pytest.raises(TooMuchKnownError, match=r"motor power allows no more than 54\.00 kW"):
        cw.launch.find("power_bound_time", wheel_power="90 kW", motor_power="60 kW", **known)
    slower = cw.launch.find("power_bound_time", wheel_power="50 kW", motor_power="60 kW", **known)
    assert slower.si == pytest.approx(1000 * (100 / 3.6) ** 2 / 2 / 50e3)


def test_what_is_asked_for_bounds_nothing():
    """The least limit that a charging power allows is found, not refused."""
    found = cw.charge.find("station_power_limit", charging_power="40 kW", cell_power_limit="60 kW")
    assert found.to("kW") == pytest.approx(40)


def test_random_charges_are_refused_where_they_pass_a_limit():
    rng = np.random.default_rng(11)
    for _ in range(40):
        volts, hours, rate, most = rng.uniform([40, 20, 0.05, 1e3], [900, 400, 4, 4e5])
        known = {
            "pack_voltage": volts,
            "pack_capacity": f"{hours} A*h",
            "pack_resistance": 0.0,
            "c_rate": f"{rate} C",
            "station_power_max": most,
        }
        if volts * hours * rate > most:
            with pytest.raises(TooMuchKnownError, match="maximum station power"):
                cw.charge.find("charging_power", **known)
        else:
            found = cw.charge.find("charging_power", **known)
            assert found.si == pytest.approx(volts * hours * rate)


DETOURS = [
    # A current at a greatest current: the voltage stands in both.
    ({"charging_current": "400 A", "pack_capacity": "150 Ah"}, {"station_current_max": "250 A"}, 250 / 400),
    ({"charging_current": "400 A", "pack_capacity": "150 Ah"}, {"pack_charge_current_max": "250 A"}, 250 / 400),
    ({"charging_current": "400 A", "pack_capacity": "150 Ah"}, {"cell_charge_rate_max": "2 C"}, 300 / 400),
    # What gets through the charger is at most all of it, and both meters stand at the outlet.
    ({"charging_power": "11 kW"}, {"onboard_power_max": "7.4 kW"}, 7.4 / 11),
    ({"wall_power": "11 kW"}, {"onboard_power_max": "7.4 kW"}, 7.4 / 11),
    ({"c_rate": "3 C"}, {"cell_charge_rate_max": "2 C"}, 2 / 3),
]  # fmt: skip


@pytest.mark.parametrize(("value", "limit", "share"), DETOURS)
@pytest.mark.parametrize("times", [0.5, 0.99, 1.01, 3.0])
def test_a_limit_binds_also_where_not_all_that_makes_it_is_known(value, limit, share, times):
    (name,) = limit
    given = {"consumption": "15 kWh/100km", "energy_added": "20 kWh", **value}
    # The limit at the value itself, and to either side of it.
    given[name] = cw.charge.read(limit)[name] / share * times
    if times < 1:
        with pytest.raises(TooMuchKnownError, match="no more than") as caught:
            cw.charge.find("distance_added", **given)
        assert caught.value.disagreement == pytest.approx(1 - times, rel=1e-6)
        assert name in caught.value.involved
    else:
        assert cw.charge.find("distance_added", **given).to("km") == pytest.approx(400 / 3)


def test_a_start_with_more_power_than_the_motor_gives_at_any_efficiency():
    start = {"target_speed": "100 km/h", "mass": 1500, "friction": 0.9, "driven_weight_share": 0.6}
    with pytest.raises(TooMuchKnownError, match=r"motor power allows no more than 60\.00 kW"):
        cw.launch.find("time_to_speed", wheel_power="120 kW", motor_power="60 kW", **start)
    assert cw.launch.find("time_to_speed", wheel_power="59 kW", motor_power="60 kW", **start).si > 0


def test_of_an_array_what_is_beyond_a_limit_is_left_out():
    session = {"energy_added": "42 kWh", "station_power_max": "100 kW"}
    found = cw.charge.find("charging_time", charging_power=[50e3, 120e3, 100e3], **session)
    assert found.to("min") == pytest.approx([50.4, np.nan, 25.2], nan_ok=True)
    assert "(number 2)" in found.notes[0]
    assert "120.0 kW" in found.notes[0]
    assert "no part" not in " ".join(found.notes)
    with pytest.raises(TooMuchKnownError, match=r"no more than 100\.0 kW"):
        cw.charge.find("charging_time", charging_power=[120e3, 120e3], **session)
    within = cw.charge.find("charging_time", charging_power=[50e3, 99e3], **session)
    assert np.isfinite(within.si).all()


def test_each_element_of_an_array_is_judged_by_its_own_limit():
    found = cw.charge.find(
        "charging_time", energy_added=1e8, charging_power=[[50e3], [90e3]],
        station_power_max=[40e3, 80e3, 120e3],
    )  # fmt: skip
    beyond = [[True, False, False], [True, True, False]]
    assert np.isnan(found.si).tolist() == beyond


HARD = {"speed": "100 km/h", "deceleration": "8 m/s²"}


@pytest.mark.parametrize(
    ("known", "most"),
    [
        # Coulomb: friction times the acceleration of free fall.
        ({"friction": 0.5}, 0.5 * 9.80665),
        ({"friction": 0.3}, 0.3 * 9.80665),
        # Down a hill that pull is in the way; the grade is a tangent.
        ({"friction": 0.8, "grade": -0.1}, 9.80665 * (0.8 - 0.1 / 1.01**0.5)),
        ({"tipping_deceleration": 7}, 7),
        ({"rear_weight_share": 0.4, "wheelbase": 1.2, "centre_of_gravity_height": 0.8},
         0.4 * 9.80665 * 1.2 / 0.8),
        # Air helps the brakes: ½ · 1.2 · 2 · (100/3.6)² N on a tonne is 0.9259 m/s².
        ({"friction": 0.7, "mass": 1000, "drag_area": 2, "air_density": 1.2},
         0.7 * 9.80665 + 0.6 * 2 * (100 / 3.6) ** 2 / 1000),
    ],
)  # fmt: skip
def test_no_brake_slows_a_vehicle_more_than_its_tyres_hold(known, most):
    for wanted, given in (
        ("stopping_distance", HARD),
        ("braking_distance", HARD),
        ("braking_time", HARD),
        ("deceleration", {"speed": "100 km/h", "braking_distance": (100 / 3.6) ** 2 / 16}),
    ):
        if most < 8:
            with pytest.raises(TooMuchKnownError, match="no more than") as caught:
                cw.braking.find(wanted, **given, **known)
            assert caught.value.disagreement == pytest.approx(1 - most / 8, rel=1e-6)
        within = {**given, **known}
        if "deceleration" in given:
            within["deceleration"] = most * 0.999
        else:
            within["braking_distance"] = (100 / 3.6) ** 2 / (2 * most * 0.999)
        assert cw.braking.find(wanted, **within).si > 0
