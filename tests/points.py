"""One consistent point a topic: a value for every quantity, in SI, at which all relations hold.

A point is what every test of solving back starts from. The quantities given are chosen so that the
rest follows without any standing value, wind, grade and altitude included.
"""

import itertools
import random
from functools import cache

import numpy as np

from chalkwatt.algebra.numpy_tree import compile_tree
from chalkwatt.laws.quantities import constants, look_up
from chalkwatt.planning.evaluation import compile_plan
from chalkwatt.topics.registry import every_topic


def topics():
    """Every public topic, found without its name: a new one is tested from its first day."""
    return {one.name: one for one in every_topic()}


TOPICS = topics()

_ROAD = {
    "speed": "93 km/h",
    "headwind": "3.1 m/s",
    "grade": 0.013,
    "altitude": "740 m",
    "air_temperature": "12 °C",
    "gravity": 9.80665,
    "drag_coefficient": 0.29,
    "frontal_area": "2.13 m²",
    "mass": "1320 kg",
    "rolling_coefficient": 0.0091,
    "drive_efficiency": 0.87,
    "drive_idle_loss": "140 W",
    "drive_square_loss": "0.6 W/kW²",
    "pack_loss": "35 W",
    "auxiliary_power": "410 W",
    "recovery_efficiency": 0.61,
}
# The wheels take power at every point, and the cabin is heated: of what the wheels would give back and of
# cooling, nothing there knows. So these are always given, and never asked for.
IDLE = frozenset({"recovery_efficiency", "cooling_performance"})
_CELLS = {"cell_temperature": "17.5 °C", "cold_energy_coefficient": "0.57 %/K"}
_CABIN = {
    "cabin_temperature": "19.5 °C",
    "heat_loss_coefficient": "53 W/K",
    "cabin_heat_gain": "90 W",
    "coefficient_of_performance": 2.3,
    "cooling_performance": 2.9,
}
GIVEN = {
    "climate": _CABIN | {"air_temperature": "12 °C", "electronics_power": "270 W"},
    "load": {name: one for name, one in _ROAD.items() if name != "pack_loss"}
    | {"pack_voltage": "352 V", "pack_resistance": "83 mΩ"}
    | _CELLS
    | _CABIN
    | {
        "usable_energy": "41 kWh",
        "coast_down_linear": 1.7,
        "rolling_speed_growth": "0.61 %/(km/h)",
        "tyre_temperature_coefficient": "0.77 %/K",
    },
    "pack": _CELLS
    | {
        "resistance_activation_energy": "21 kJ/mol",
        "cells_in_series": 96,
        "cells_in_parallel": 24,
        "module_count": 12,
        "cell_voltage": "3.63 V",
        "cell_voltage_max": "4.2 V",
        "cell_voltage_min": "2.5 V",
        "cell_capacity": "4.9 Ah",
        "cell_resistance": "26 mΩ",
        "cell_mass": "68.4 g",
        "cell_current": "7.3 A",
        "cell_current_max": "14 A",
        "usable_fraction": 0.93,
        "cell_mass_fraction": 0.62,
    },
    "sun": _ROAD
    | {"coast_down_linear": 1.7}
    | {
        "irradiance": "870 W/m²",
        "standard_irradiance": 1010.0,
        "rated_temperature": 297.0,
        "temperature_coefficient": -0.0037,
        "panel_wind": 2.2,
        "nominal_panel_temperature": "46 °C",
        "mounting_exponent": -3.1,
        "mounting_wind_exponent": -0.051,
        "cell_heat_resistance": 0.0021,
        "heat_loss_wind": 6.1,
        "panel_area": "21 m²",
        "panel_efficiency": 0.23,
        "conversion_efficiency": 0.95,
        "creeping_speed": 1.4,
        "peak_sun_hours": "5.2 h",
        "daily_distance": "37 km",
    },
    "weather": {
        "altitude": "740 m",
        "air_temperature": "12 °C",
        "relative_humidity": 0.63,
        "reported_wind": "5.3 m/s",
        "reported_height": "10 m",
        "vehicle_wind_height": "1.2 m",
    },
    "tyres": {
        "reference_rolling_coefficient": 0.0083,
        "tyre_temperature_coefficient": 0.0086,
        "rolling_speed_growth": 0.0047,
        "air_temperature": "3 °C",
        "speed": "71 km/h",
        "mass": "1320 kg",
        "gravity": 9.80665,
        "grade": 0.013,
    },
    "panel": {
        "irradiance": "870 W/m²",
        "air_temperature": "12 °C",
        "nominal_panel_temperature": "46 °C",
        "mounting_exponent": -3.1,
        "mounting_wind_exponent": -0.051,
        "cell_heat_resistance": 0.0021,
        "heat_loss_wind": 6.1,
        "panel_wind": 2.2,
        "panel_area": "2.9 m²",
        "panel_efficiency": 0.23,
        "standard_irradiance": 1010.0,
        "rated_temperature": 297.0,
        "temperature_coefficient": -0.0037,
    },
    "cabin": {
        "inner_film_coefficient": 9.0,
        "outer_film_coefficient": 37.0,
        "wall_resistance": 0.021,
        "wall_area": "11 m²",
        "air_exchange_loss": 13.0,
        "cabin_temperature": "22 °C",
        "air_temperature": "-6 °C",
        "coefficient_of_performance": 2.3,
    },
}


def given(topic):
    """What a point starts from: the lists above, or the topic's example and the usual ranges."""
    if topic.name in GIVEN:
        return topic.read(GIVEN[topic.name])
    made = topic.read(topic.example)
    common = GIVEN["load"] | GIVEN["pack"] | GIVEN["sun"]
    listed = (one for one in common if one in topic.quantities)
    standing = (one.names[0] for one in topic.network.standing)
    for name in dict.fromkeys((*listed, *standing, *topic.network.names)):
        if name not in made and name not in topic.network.determined(tuple(made)):
            low, high = look_up(name).usual
            made[name] = look_up(name).read(common.get(name, low + 0.37 * (high - low)))
    return made


@cache
def point(name):
    """Return every quantity of a topic at one consistent point; constants included."""
    topic = TOPICS[name]
    start = given(topic)
    values = {**constants(), **start}
    for wanted, plan in topic.network.determined(tuple(start)).items():
        values[wanted] = float(compile_plan(plan)(**start))
    lacking = set(topic.network.names) - set(values)
    assert not lacking, f"{name}: the point gives no {', '.join(sorted(lacking))}"
    return values


def apart(relation, values):
    """Relative difference of the two sides of a relation."""
    left, right = (float(compile_tree(side)(values)) for side in relation.sides)
    return abs(left - right) / max(abs(left), abs(right), 1e-300)


def determines(network, known, wanted):
    """Say whether the known quantities determine the wanted one without standing values."""
    known = tuple(known)
    return any(
        wanted in network._system(variant, known, (), keep=wanted).determined
        for variant in itertools.islice(network._variants(known), 12)
    )


@cache
def known_sets(name, wanted, number):
    """Sets of known quantities that just determine the wanted one, chosen by chance."""
    return tuple(_known_sets(TOPICS[name], wanted, number))


def _known_sets(topic, wanted, number):
    chance = random.Random(f"{topic.name} {wanted}")  # noqa: S311  no secret
    for _ in range(number):
        known = [one for one in topic.network.names if one != wanted]
        if not determines(topic.network, known, wanted):
            return
        for one in chance.sample(known, len(known)):
            if one in IDLE:
                continue
            fewer = [other for other in known if other != one]
            if determines(topic.network, fewer, wanted):
                known = fewer
        yield tuple(known)


def nearest(answer, truth):
    """Relative distance of the nearest solution from the truth."""
    found = np.array([branch.values[answer.wanted] for branch in answer.branches], dtype=float)
    scale = abs(truth) or max(abs(one) for one in look_up(answer.wanted).usual)
    return float(np.min(np.abs(found - truth)) / scale)
