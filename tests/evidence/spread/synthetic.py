"""Synthetic vehicles with a known truth, reckoned in plain floats, for tests of sheets and spreads."""

import math
import random

SHAPES = ("uniform", "triangular", "normal")
ORIGINS = ("quoted", "measured", "estimated", "assumed")
# Quantity: unit, factor to SI, span of truths in that unit, greatest half-width of what is known of it.
WHAT = {
    "drag_coefficient": ("", 1.0, (0.15, 0.32), 0.08),
    "frontal_area": ("m^2", 1.0, (1.4, 2.6), 0.03),
    "mass": ("kg", 1.0, (600.0, 2200.0), 0.04),
    "rolling_coefficient": ("", 1.0, (0.006, 0.012), 0.1),
    "drive_efficiency": ("", 1.0, (0.76, 0.9), 0.04),
    "auxiliary_power": ("W", 1.0, (200.0, 900.0), 0.3),
    "air_density": ("kg/m^3", 1.0, (1.1, 1.3), 0.03),
    "cell_capacity": ("Ah", 3600.0, (2.5, 6.0), 0.03),
    "cell_voltage": ("V", 1.0, (3.5, 3.7), 0.01),
    "usable_fraction": ("", 1.0, (0.86, 0.93), 0.03),
}
GRAVITY = 9.80665


def draw_error(chance, shape):
    """An error between -1 and 1 half-widths, or for a normal one of half a half-width."""
    if shape == "uniform":
        return chance.uniform(-1, 1)
    if shape == "triangular":
        return chance.triangular(-1, 1, 0)
    return chance.gauss(0, 0.5)


def vehicle(chance):
    """Truths in SI units, and what a sheet says of them: value, half-width and shape."""
    truth = {name: chance.uniform(*span) * factor for name, (_, factor, span, _) in WHAT.items()}
    truth["cell_count"] = float(96 * chance.randint(10, 40))
    said = {}
    for name, (unit, factor, _, most) in WHAT.items():
        half = truth[name] * most * chance.uniform(0.3, 1.0)
        shape = chance.choice(SHAPES)
        value = truth[name] + half * draw_error(chance, shape)
        said[name] = (value / factor, half / factor, unit, shape, chance.choice(ORIGINS))
    return truth, said


def true_range(truth, speed):
    drag = truth["air_density"] * truth["drag_coefficient"] * truth["frontal_area"] / 2
    force = drag * speed**2 + truth["rolling_coefficient"] * truth["mass"] * GRAVITY
    power = force * speed / truth["drive_efficiency"] + truth["auxiliary_power"]
    energy = truth["cell_count"] * truth["cell_capacity"] * truth["cell_voltage"]
    return energy * truth["usable_fraction"] * speed / power


def entry(name, value, half, unit, shape, origin):
    lines = [f"[values.{name}]", f'value = "{value!r} {unit}"', f'origin = "{origin}"']
    if half:
        lines += [f'plus_minus = "{half!r} {unit}"', f'shape = "{shape}"']
    return "\n".join(lines)


def text(said, count, *more):
    counted = f'[values.cell_count]\nvalue = {int(count)}\norigin = "counted"'
    parts = ['[vehicle]\nname = "Synthetic"\ninvented = true', counted]
    parts += [entry(name, *fields) for name, fields in said.items()]
    return "\n\n".join([*parts, *more])


def significant(number, digits):
    """Round to significant digits, as a newsletter would, and say by how much that may be off."""
    power = math.floor(math.log10(abs(number))) - digits + 1
    return round(number, -power), 0.5 * 10.0**power


def chances(seed):
    return random.Random(seed)  # noqa: S311  no secret is drawn
