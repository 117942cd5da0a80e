"""Sun and panels that take more than one question; the values stand in sky.toml and panels.toml."""

import math
from datetime import timedelta
from functools import cache

import numpy as np
import pvlib
import pytest

from chalkwatt import drive, sun
from chalkwatt.runs.sun import roofs
from chalkwatt.runs.sun.sky import Place, Sky, clear_sky
from tests.external import published

MINUTE = 60.0


def the(topic, row):
    (case,) = published(topic, row)
    return case


def each(*found):
    cases = [case for row in found for case in published("sky", row)]
    return pytest.mark.parametrize("case", cases, ids=lambda case: f"{case.id} {case.quantity}")


@cache
def day_of(date, latitude):
    """A day on the meridian of the clock, and the minute of solar noon."""
    sky = clear_sky(Place(latitude, 0.0, 0.0, 0.0), date, step=MINUTE)
    return sky, int(np.argmin(sky.zenith))


@each("declination", "declination-june")
def test_declination(case):
    # At noon the sun stands at latitude less declination from the zenith.
    sky, noon = day_of(case.given["date"], case.given["latitude"])
    case.check(case.given["latitude"] - float(sky.zenith[noon]))


@each("altitude")
def test_two_hours_after_noon(case):
    sky, noon = day_of(case.given["date"], case.given["latitude"])
    assert sky.clock(noon + 120) - sky.clock(noon) == timedelta(hours=2)
    case.check(90 - float(sky.zenith[noon + 120]))


@each("azimuth")
def test_azimuth(case):
    sky, noon = day_of(case.given["date"], case.given["latitude"])
    case.check(-math.sin(math.radians(float(sky.azimuth[noon + 120]))))


@each("day-length-june", "day-length")
def test_length_of_a_day(case):
    sky, _ = day_of(case.given["date"], case.given["latitude"])
    case.check(float((sky.zenith < 90).sum()) * MINUTE / 3600)


def light(zenith, azimuth, *, direct=1.0, diffuse=0.0, level=0.0):
    """One moment of a sky; with nothing on the level, the ground throws nothing back."""

    def one(value):
        return np.array([value])

    return Sky(
        Place(0.0, 0.0, 0.0, 0.0),
        np.array(["2023-06-21T12:00"], dtype="datetime64[s]"),
        MINUTE,
        one(level),
        one(direct),
        one(diffuse),
        one(zenith),
        one(azimuth),
        one(293.15),
        one(1.0),
        "by hand",
    )


def on_tilt(sky, tilt, bearing):
    return float(roofs.tilted(tilt).mean_irradiance(sky, bearing)[0])


def place_of_the_sun(latitude, declination, hour_angle):
    """Zenith and azimuth in degrees, by spherical trigonometry."""
    phi, delta, omega = (math.radians(one) for one in (latitude, declination, hour_angle))
    up = math.sin(phi) * math.sin(delta) + math.cos(phi) * math.cos(delta) * math.cos(omega)
    south = math.sin(phi) * math.cos(delta) * math.cos(omega) - math.cos(phi) * math.sin(delta)
    west = math.cos(delta) * math.sin(omega)
    return math.degrees(math.acos(up)), 180 + math.degrees(math.atan2(west, south))


def on_surface(given):
    sun_at = place_of_the_sun(given["latitude"], given["declination"], given["hour_angle"])
    return on_tilt(light(*sun_at), given["tilt"], given["bearing"]), sun_at


@each("incidence-on-a-south-tilt", "incidence-any-surface", "tilt-factor-at-noon")
def test_light_on_a_tilted_roof(case):
    cosine, (zenith, _) = on_surface(case.given)
    case.check(
        {
            "incidence": math.degrees(math.acos(cosine)),
            "cosine": cosine,
            "factor": cosine / math.cos(math.radians(zenith)),
        }[case.quantity]
    )


def test_a_panel_in_the_clear_sky_of_a_handbook():
    case = the("sky", "ashrae-clear-sky")
    falls = on_tilt(light(90 - 25.2, 180 - 48.3, direct=833.46), 40.0, 180.0)
    made = sun.find(
        "panel_power",
        irradiance=falls,
        panel_area=10.0,
        panel_efficiency=0.15,
        temperature_coefficient=0.0,
        panel_temperature="25 °C",
    )
    case.check(made.si)


def test_a_tilted_roof_under_an_isotropic_sky():
    case = the("sky", "transposition-isotropic")
    case.check(on_tilt(light(40.0, 180.0, direct=700.0, diffuse=100.0, level=636.231), 30.0, 180.0))


@each("transposition-east", "transposition-north", "transposition-steep")
def test_roofs_that_lean_elsewhere(case):
    given = case.given
    sky = light(
        given["zenith"],
        given["azimuth"],
        direct=given["direct"],
        diffuse=given["diffuse"],
        level=given["level"],
    )
    case.check(on_tilt(sky, given["tilt"], given["bearing"]))


@each("clear-sky-model", "clear-sky-model-morning")
def test_the_clear_sky_of_the_library_is_the_published_one(case):
    """A clear day rests on it; a library that changed its mind would change our numbers."""
    given = case.given
    made = pvlib.clearsky.ineichen(
        given["zenith"], given["air_mass"], given["turbidity"], dni_extra=1364.0
    )
    case.check(float(made[{"global": "ghi", "direct": "dni", "diffuse": "dhi"}[case.quantity]]))


@each("air-mass")
def test_air_mass(case):
    zenith = case.given["zenith"]
    case.check(float(pvlib.atmosphere.get_relative_airmass(zenith)))
    high = 90 - zenith
    case.check(1 / (math.sin(math.radians(high)) + 0.50572 * (high + 6.07995) ** -1.6364))


def chain(*parts):
    names = ("battery", "inverter", "motor", "gear", "tyre")
    known = {f"{one}_efficiency": part for one, part in zip(names, parts, strict=True)}
    return drive.find("drive_efficiency", **known).si


def test_losses_multiply():
    case = the("panels", "system-losses")
    first = chain(0.98, 0.97, 1.0, 0.98, 0.98)
    second = chain(0.995, 0.985, 0.99, 1.0, 0.97)
    case.check(100 * (1 - chain(first, second, 1.0, 1.0, 1.0)))


def test_modules_of_a_pump():
    case = the("panels", "modules-of-a-pump")
    area = sun.find("panel_area", rated_power=735 / 0.85, panel_efficiency=0.12).si
    case.check(math.ceil(area / (36 * 0.125**2)))
