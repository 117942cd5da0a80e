"""The label: what is counted at the outlet, at the battery and on the road."""

import pytest

import chalkwatt as cw
from tests.external import published

CAR = {
    "mass": "1500 kg",
    "drag_area": "0.62 m^2",
    "rolling_coefficient": 0.009,
    "drive_efficiency": 0.87,
    "air_density": 1.2,
}


def each(row):
    every = published("label_triangle", row)
    return pytest.mark.parametrize("case", every, ids=lambda case: f"{case.id} {case.quantity}")


@each("label-triangle")
def test_the_triangle_closes_whatever_is_asked_for(case):
    found = cw.economy.find(case.quantity, **case.known)
    case.check(found.to(case.unit))
    assert not found.assumed


@each("naive-label-range")
def test_the_label_is_never_divided_into_the_battery(case):
    """The efficiency that is assumed lies between 84 and 90 %, and so does the ratio to the mistake."""
    found = cw.economy.find(case.quantity, **case.known)
    assert set(found.assumed) == {"charging_efficiency"}
    assert 1 / 0.90 <= found.to(case.unit) / case.value <= 1 / 0.84
    lossless = cw.economy.find(case.quantity, **case.known, charging_efficiency=1)
    case.check(lossless.to(case.unit))


@each("adjusted-label")
def test_the_two_schedule_label(case):
    case.check(cw.economy.find(case.quantity, **case.known).to(case.unit))


@each("trip-at-the-outlet")
def test_a_trip_counts_its_equivalent_economy_at_the_outlet(case):
    trip = cw.drive_schedule(cw.schedules.nedc, **CAR, **case.known)
    if case.quantity == "battery_economy":
        case.check(33.705 / (trip.consumption_per_mile.magnitude / 1000))
    else:
        case.check(getattr(trip, case.quantity).magnitude)  # in the unit of the row, its own
