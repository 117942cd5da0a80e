"""How long a year of sun at one place takes: python -m tests.benchmarks.bench_solar_year.

Target: under 2 s, with pvlib's own share stated.
"""

import sys
import time
from contextlib import ExitStack
from unittest import mock

import pvlib

import chalkwatt as cw
from tests.benchmarks.bench_schedules import best

VEHICLE = {
    "rated_power": 700.0,
    "temperature_coefficient": -0.0035,
    "mass": 650.0,
    "drag_area": 0.3,
    "rolling_coefficient": 0.007,
    "drive_efficiency": 0.86,
    "auxiliary_power": 40.0,
    "air_density": 1.2,
    "speed": "60 km/h",
}
MOST = 2.0


def clear():
    """Follow a clear year, ten minutes a step."""
    year = cw.solar_year(latitude=52.52, longitude=13.405, altitude=34, **VEHICLE)
    return year.plug_free_by_month


def curved():
    """Follow a clear year on a roof of eight facets."""
    roof = cw.roofs.curved(40, 8)
    return cw.solar_year(
        latitude=52.52, longitude=13.405, altitude=34, roof=roof, **VEHICLE
    ).plug_free_by_month


def measured():
    """Read and follow the measured year that comes with pvlib."""
    return cw.solar_year(sky=cw.measured_sky(), **VEHICLE).plug_free_by_month


# What Chalkwatt calls; none of them calls another.
FROM_PVLIB = (
    (pvlib.location.Location, "get_solarposition"),
    (pvlib.location.Location, "get_clearsky"),
    (pvlib.iotools, "read_tmy3"),
    (pvlib.irradiance, "get_total_irradiance"),
)


def share_of_pvlib(function):
    """Return the share of a call that is spent in pvlib."""
    spent = 0.0

    def timed(original):
        def call(*args, **options):
            nonlocal spent
            start = time.perf_counter()
            try:
                return original(*args, **options)
            finally:
                spent += time.perf_counter() - start

        return call

    with ExitStack() as stack:
        for owner, name in FROM_PVLIB:
            stack.enter_context(mock.patch.object(owner, name, timed(getattr(owner, name))))
        start = time.perf_counter()
        function()
        return spent / (time.perf_counter() - start)


def main():
    """Time the years and print the table; the exit code says whether the target is met."""
    start = time.perf_counter()
    clear()
    first = time.perf_counter() - start
    print(f"{'':34}{'s':>8}{'in pvlib':>12}{'of a clear year':>18}")
    base = best(clear, 5)
    for words, function in (
        ("clear year, flat roof", clear),
        ("clear year, curved roof", curved),
        ("measured year, flat roof", measured),
    ):
        took = best(function, 5)
        share = share_of_pvlib(function)
        print(f"{words:34}{took:8.3f}{100 * share:10.0f} %{took / base:18.2f}")
    print(f"the very first clear year, plans and all: {first:.2f} s")
    met = base < MOST
    print("target met" if met else "TARGET MISSED")
    return 0 if met else 1


if __name__ == "__main__":
    sys.exit(main())
