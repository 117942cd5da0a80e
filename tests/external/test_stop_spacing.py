"""Stops so far apart that brakes and air take the same, driven as a schedule."""

import pytest
from scipy.optimize import brentq

import chalkwatt as cw
from tests.external import published


@pytest.mark.parametrize("case", published("load", "stop-spacing"), ids=lambda case: case.id)
@pytest.mark.parametrize("speed", [10.0, 30.0])
def test_stop_spacing(case, speed):
    """MacKay, p. 256: it does not depend on the speed."""

    def surplus(cruising):
        # Ramps of a hundredth of a second: the book lets the car jump to its speed.
        hop = cw.schedules.trapezoid(top_speed=speed, acceleration=100 * speed, cruising=cruising)
        trip = cw.drive_schedule(
            hop, **case.known, rolling_coefficient=0, drive_efficiency=1, gravity=9.80665
        )
        return trip.si("drag_energy") - trip.si("braking_loss")

    case.check(brentq(surplus, 1.0, 1000.0) * speed)
