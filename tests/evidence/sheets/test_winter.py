"""A sheet in winter: what is stated of the cabin is heard, and nothing is heated that nobody gave a temperature for.

Range and power are reckoned here in plain floats.
"""

import pytest

import chalkwatt as cw
from chalkwatt.answering.driven import how_driven
from chalkwatt.evidence.sheets.choosing import put_in_order
from tests.evidence.spread import synthetic

CAR = {
    "drag_area": "0.592 m^2",
    "mass": "1800 kg",
    "rolling_coefficient": 0.0084,
    "drive_efficiency": 0.885,
    "usable_energy": "109 kWh",
    "electronics_power": "350 W",
    "heat_loss_coefficient": "80 W/K",
    "coefficient_of_performance": 2.2,
    "cabin_temperature": "20 °C",
}
ORIGINS = ("assumed", "estimated", "quoted", "measured")


def sheet(origin="assumed", **values):
    text = '[vehicle]\nname = "T"\ninvented = true\n'
    for name, value in values.items():
        shown = f'"{value}"' if isinstance(value, str) else repr(value)
        text += f'[values.{name}]\nvalue = {shown}\norigin = "{origin}"\n'
    return cw.Sheet.parse(text)


def density(celsius, altitude=0.0):
    """Of dry air in the standard atmosphere's pressure."""
    height = 6356766 * altitude / (6356766 + altitude)
    pressure = 101325 * (1 - 0.0065 * height / 288.15) ** (9.80665 / (287.05287 * 0.0065))
    return pressure / (287.05287 * (celsius + 273.15))


def km(speed, air, extra, *, mass=1800.0):
    """Range in km at a speed in km/h in air of a density with so many watts beside the drive."""
    v = speed / 3.6
    force = air * 0.592 * v**2 / 2 + 0.0084 * mass * 9.80665
    return 109 * 3.6e6 / (force * v / 0.885 + extra) * v / 1000


def climate(outside, inside=20.0, *, loss=80.0, heating=2.2, cooling=2.5):
    need = loss * (inside - outside)
    return need / heating if need > 0 else -need / cooling


@pytest.mark.parametrize("origin", ORIGINS)
@pytest.mark.parametrize(
    ("speed", "outside", "altitude"),
    [(30, -20, None), (110, -10, None), (110, 30, None), (65, 44, 2200), (110, -10, 1000)],
)
def test_an_outside_temperature_that_is_asked_for_is_heated_against(
    origin, speed, outside, altitude
):
    made = sheet(origin, **CAR)
    asked = {"speed": f"{speed} km/h", "air_temperature": f"{outside} °C"}
    asked |= {} if altitude is None else {"altitude": f"{altitude} m"}
    extra = 350 + climate(outside)
    found = made.find("range", **asked)
    assert found.si / 1000 == pytest.approx(km(speed, density(outside, altitude or 0.0), extra))
    assert not found.gave_way
    assert not found.conflicts
    assert made.find("auxiliary_power", **asked).si == pytest.approx(extra)
    assert "without wind, with " in how_driven(found)  # however little it is, it is heated
    # The cabin asked for takes the place of the stated one, and all else is heard still.
    warmer = made.find("range", cabin_temperature="23 °C", **asked)
    truth = km(speed, density(outside, altitude or 0.0), 350 + climate(outside, 23.0))
    assert warmer.si / 1000 == pytest.approx(truth)
    assert not warmer.gave_way
    assert not warmer.conflicts


@pytest.mark.parametrize("block", range(4))
def test_whichever_facts_are_stated_or_asked_the_number_is_the_same(block):
    """Random rooms; each value by chance stated, with any trust, or asked for."""
    chance = synthetic.chances(block)
    for _ in range(8):
        outside, inside = chance.uniform(-45, 48), chance.uniform(10, 30)
        loss, heating, cooling = chance.uniform(5, 300), chance.uniform(1, 3), chance.uniform(1, 3)
        said = {
            "air_temperature": f"{outside} °C",
            "cabin_temperature": f"{inside} °C",
            "heat_loss_coefficient": f"{loss} W/K",
            "coefficient_of_performance": heating,
            "cooling_performance": cooling,
        }
        asked = {name: value for name, value in said.items() if chance.random() < 0.4}
        stated = {name: value for name, value in (CAR | said).items() if name not in asked}
        names = chance.sample(sorted(stated), len(stated))
        made = sheet(chance.choice(ORIGINS), **{name: stated[name] for name in names})
        found = made.find("range", speed="70 km/h", **asked)
        extra = 350 + climate(outside, inside, loss=loss, heating=heating, cooling=cooling)
        assert found.si / 1000 == pytest.approx(km(70, density(outside), extra)), (asked, names)
        assert not found.gave_way
        assert not found.conflicts


@pytest.mark.parametrize("origin", ORIGINS)
@pytest.mark.parametrize("air", [1.05, 1.2, 1.3])
def test_an_air_density_is_no_outside_temperature(origin, air):
    by_sheet = sheet(origin, air_density=f"{air} kg/m^3", **CAR)
    asked = sheet(origin, **CAR)
    for found in (
        by_sheet.find("range", speed="30 km/h"),
        asked.find("range", speed="30 km/h", air_density=f"{air} kg/m^3"),
    ):
        assert found.si / 1000 == pytest.approx(km(30, air, 350))
        assert "without wind or heater" in how_driven(found)
        assert not found.gave_way
        assert not found.conflicts
    with pytest.raises(cw.TooLittleKnownError, match="air_temperature"):
        by_sheet.find("climate_power")


def test_in_summer_the_sun_that_is_left_out_is_told_and_in_winter_it_would_only_help():
    made = sheet(**CAR)
    hot, cold = (
        made.find("range", speed="65 km/h", air_temperature=one) for one in ("35 °C", "-5 °C")
    )
    assert "in its favour: people and sun (cabin heat gain 0 W)." in repr(hot)
    assert "in its favour" not in repr(cold)


def test_a_little_heating_is_not_without_a_heater():
    made = sheet(**CAR)
    mild = made.find("range", speed="30 km/h", air_temperature="17 °C")
    extra = 350 + climate(17)
    assert extra < 500  # below what counts as a heater where the cabin is not reckoned with
    assert mild.si / 1000 == pytest.approx(km(30, density(17), extra))
    assert "without wind, with " in how_driven(mild)
    alike = made.find("range", speed="30 km/h", air_temperature="20 °C")
    assert "without wind or heater" in how_driven(alike)


def test_nor_is_the_standard_atmosphere():
    made = sheet(**CAR)
    assert made.find("range", speed="30 km/h").si / 1000 == pytest.approx(km(30, density(15), 350))
    high = made.find("range", speed="30 km/h", altitude="1000 m")
    there = 15 - 0.0065 * 6356766 * 1000 / (6356766 + 1000)
    assert high.si / 1000 == pytest.approx(km(30, density(there, 1000), 350))
    assert not high.gave_way
    assert not high.conflicts


def test_an_assumed_air_still_gives_way_and_a_measured_one_still_contradicts():
    cold = {"speed": "30 km/h", "air_temperature": "-20 °C"}
    found = sheet(air_density="1.2 kg/m^3", **CAR).find("range", **cold)
    assert tuple(found.gave_way) == ("air_density",)
    assert found.si / 1000 == pytest.approx(km(30, density(-20), 350 + climate(-20)))
    stands = sheet("measured", air_density="1.2 kg/m^3", **CAR).find("range", **cold)
    (clash,) = stands.conflicts
    assert clash.quantity == "air_density"
    assert stands.si / 1000 == pytest.approx(km(30, 1.2, 350 + climate(-20)))


def test_nothing_gives_way_to_what_stands_in_for_the_unsaid():
    """That all energy is usable stands in where nobody says; who states both energies said it."""
    order = put_in_order(sheet(pack_energy="62 kWh").facts, ["usable_energy"], topic=cw.charge)
    assert "pack_energy" in order.taken
    assert not order.gave_way


def test_the_heat_that_a_cabin_loses_is_found_back_from_a_consumption():
    """With the standing height, for which the climate is not switched off."""
    v, outside = 80 / 3.6, -12.0
    force = density(outside) * 0.592 * v**2 / 2 + 0.0084 * 1800 * 9.80665
    power = force * v / 0.885 + 350 + climate(outside, loss=95.0)
    known = {name: value for name, value in CAR.items() if name != "heat_loss_coefficient"}
    found = cw.vehicle.find(
        "heat_loss_coefficient",
        consumption=f"{power / v} J/m",
        speed="80 km/h",
        air_temperature="-12 °C",
        **{name: value for name, value in known.items() if name != "usable_energy"},
    )
    assert found.si == pytest.approx(95.0)
