"""A quantity of pack or road is asked for from a start, a top speed or a charge, or why it cannot be is said truly."""

import math

import pytest

import chalkwatt as cw
from chalkwatt.errors import NameUnknownError

# INVENTED.
VALUES = {
    "mass": "2140 kg",
    "drag_area": "1.4 m^2",
    "rolling_coefficient": "0.0105",
    "drive_efficiency": "84 %",
    "auxiliary_power": "600 W",
    "air_density": "1.2 kg/m^3",
    "usable_energy": "44 kWh",
    "charging_efficiency": "86 %",
    "motor_power": "100 kW",
    "friction": "0.8",
    "driven_weight_share": "52 %",
}
SHEET = cw.Sheet.parse(
    '[vehicle]\nname = "Cartling"\ninvented = true\n'
    + "".join(
        f'[values.{name}]\nvalue = "{value}"\norigin = "measured"\n'
        for name, value in VALUES.items()
    )
)
G = 9.80665
PUSH = 84_000.0 / 26.0  # N, at 26 m/s
ROLL = 0.0105 * 2140 * G
AIR = 0.5 * 1.2 * 1.4


def test_the_grade_that_leaves_a_top_speed():
    angle = math.atan(SHEET.find("grade", top_speed="26 m/s").si)
    made = AIR * 26**2 + ROLL * math.cos(angle) + 2140 * G * math.sin(angle)
    assert made == pytest.approx(PUSH)


def test_the_head_wind_that_leaves_a_top_speed():
    wind = SHEET.find("headwind", top_speed="26 m/s").si
    assert wind == pytest.approx(math.sqrt((PUSH - ROLL) / AIR) - 26)


def test_the_drive_that_a_start_takes():
    """Slower than the tyres allow: first at their limit, then by power, ∫ m v dv / P."""
    drive = SHEET.find("drive_efficiency", time_to_speed="12 s", target_speed="26 m/s").si
    power, limit = 100e3 * drive, 0.8 * 0.52 * G
    change = power / (2140 * limit)
    assert change / limit + 2140 * (26**2 - change**2) / (2 * power) == pytest.approx(12)


def test_a_claim_of_it_is_judged():
    claim = cw.Claim("grade", "20 %", sense="at least", top_speed="26 m/s")
    assert SHEET.judge(claim).word == "out of reach"


@pytest.mark.parametrize(
    ("wanted", "conditions"),
    [
        ("speed", {"wall_consumption": "30 kWh/100 km"}),
        ("speed", {"charging_speed": "250 km/h", "station_power_max": "50 kW"}),
        ("motor_power", {"charging_time": "20 min"}),
        ("rolling_coefficient", {"label_range": "300 km"}),
    ],
)
def test_what_no_topic_holds_together_is_not_called_unknown(wanted, conditions):
    with pytest.raises(NameUnknownError) as caught:
        SHEET.find(wanted, **conditions)
    told = str(caught.value)
    assert told.startswith("No topic holds the ")
    assert "There is no quantity called" not in told
    asked = next(iter(conditions))
    assert f"Leave {asked} out; where it follows from {wanted}, ask for {asked} at several" in told


def test_a_name_that_there_is_not_is_still_called_unknown():
    with pytest.raises(NameUnknownError, match="time_to_speed"):
        SHEET.find("grade", time_to_sped="9 s")
