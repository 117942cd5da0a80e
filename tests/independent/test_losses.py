"""What drive and pack lose, up hill and down: currents in windings and cells, and joules counted link by link."""

import math

import numpy as np
import pytest
from scipy.optimize import brentq

from chalkwatt import NoSolutionError, drive, load, sun, vehicle
from tests.independent import chances, near
from tests.independent.test_cells import terminals
from tests.independent.test_road import forces


def car(chance):
    """Any road up or down, any wind, from a quadricycle to a lorry; a loss may be there or not."""
    return {
        "speed": chance.uniform(0.5, 50),
        "headwind": chance.choice([0.0, chance.uniform(-30, 30)]),
        "grade": chance.uniform(-0.25, 0.12),
        "air_density": chance.uniform(0.5, 1.5),
        "drag_coefficient": chance.uniform(0.1, 1.0),
        "frontal_area": chance.uniform(0.5, 8.0),
        "mass": 10 ** chance.uniform(2.3, 4.3),
        "rolling_coefficient": chance.uniform(0.002, 0.03),
        "drive_efficiency": chance.uniform(0.3, 1.0),
        "recovery_efficiency": chance.choice([0.0, 1.0, chance.uniform(0.05, 0.95)]),
        "auxiliary_power": chance.choice([0.0, chance.uniform(1, 5000)]),
        "drive_idle_loss": chance.choice([0.0, chance.uniform(1, 3000)]),
        "coast_down_linear": chance.choice([0.0, chance.uniform(0.1, 8)]),
    }


def windings(chance, wheels):
    """Heat of three windings over a turn, whose currents follow the power: of one watt, and of this one.

    A current that brakes is the other way round, and heats as much.
    """
    ohms, amps_per_watt = chance.uniform(0.005, 0.05), chance.uniform(0.002, 0.012)
    turn = np.linspace(0, 2 * math.pi, 361)

    def heat(power):
        currents = [
            amps_per_watt * power * np.sin(turn + place * 2 * math.pi / 3) for place in range(3)
        ]
        return sum(float(np.trapezoid(ohms * one**2, turn)) for one in currents) / (2 * math.pi)

    return heat(1.0), heat(wheels)


def through_the_links(known, wheels, wound):
    """Joules at the pack's terminals in a second: what goes out to the wheels or comes back, and what stays."""
    if wheels > 0:
        # Enough is sent that the wheels get theirs, after the share that gears and air gaps keep.
        sent = brentq(
            lambda one: one - one * (1 - known["drive_efficiency"]) - wheels,
            0.0,
            2 * wheels / known["drive_efficiency"],
            xtol=1e-12,
        )
    else:
        sent = -sum(-wheels * known["recovery_efficiency"] / 100 for _ in range(100))
    return sent + wound + known["drive_idle_loss"] + known["auxiliary_power"]


def drawn(chance):
    known = car(chance)
    force = forces(known, known["coast_down_linear"])
    wheels = sum(force.values()) * known["speed"]
    per_watt, wound = windings(chance, wheels)
    if chance.random() < 0.3:
        per_watt = wound = 0.0
    known["drive_square_loss"] = per_watt
    return known, wheels, through_the_links(known, wheels, wound), wound


def size(known, wheels, wound):
    """The largest of what is added and taken away: rounding is a share of it."""
    pushes = sum(abs(one) for one in forces(known, known["coast_down_linear"]).values())
    return pushes * known["speed"] / known["drive_efficiency"] + wound + 5000.0


@pytest.mark.parametrize("chance", chances("losses by load", 40))
def test_what_the_drive_loses_by_load(chance):
    known, wheels, taken, wound = drawn(chance)
    rounding = 1e-11 * size(known, wheels, wound)
    for topic in (load, vehicle, sun):
        found = topic.find("battery_power", **known).si
        assert found == pytest.approx(taken, rel=1e-9, abs=rounding), topic.name
    # A loss in the pack that was measured comes on top, and is none of the drive's.
    measured = chance.uniform(1, 900)
    found = load.find("battery_power", pack_loss=measured, **known).si
    assert found == pytest.approx(taken + measured, rel=1e-9, abs=rounding)
    if wheels > 0:
        into_drive = taken - known["auxiliary_power"]
        for lost in ({}, {"pack_loss": measured}):
            near(load.find("effective_drive_efficiency", **known, **lost), wheels / into_drive)
        near(
            load.find("drive_loss_share", pack_loss=measured, **known),
            (into_drive + measured - wheels) / (taken + measured),
        )
    else:
        with pytest.raises(NoSolutionError, match="there is no efficiency of it"):
            load.find("effective_drive_efficiency", **known)


def test_both_ways_are_drawn():
    made = [drawn(one) for one in chances("losses by load", 40)]
    assert 8 < sum(wheels < 0 for _, wheels, *_ in made) < 32
    assert sum(wheels < 0 < wound for _, wheels, _, wound in made) > 5
    assert sum(wheels < 0 < one["recovery_efficiency"] for one, wheels, *_ in made) > 5


@pytest.mark.parametrize("chance", chances("chain with losses", 5))
def test_a_chain_with_losses_by_load(chance):
    """What passes the chain by is taken off before it: the chain itself gets what its links then pass on."""
    known = car(chance)
    known |= {"grade": abs(known["grade"]) + 0.02, "headwind": abs(known["headwind"])}
    links = ("battery", "inverter", "motor", "gear", "tyre")
    passes = {f"{one}_efficiency": chance.uniform(0.8, 0.99) for one in links}
    wheels = sum(forces(known, known["coast_down_linear"]).values()) * known["speed"]
    per_watt, wound = windings(chance, wheels)
    measured = chance.uniform(1, 900)
    known.pop("drive_efficiency")
    known |= {"drive_square_loss": per_watt, "pack_loss": measured}
    at, lost = wheels, {}
    for one in reversed(links):
        before = at / passes[f"{one}_efficiency"]
        lost[one], at = before - at, before
    whole = at + known["drive_idle_loss"] + wound + known["auxiliary_power"] + measured
    near(drive.find("driving_power", **known, **passes), at)
    near(drive.find("battery_power", **known, **passes), whole)
    for one in links:
        near(drive.find(f"{one}_loss", **known, **passes), lost[one], rel=1e-7)
    # And backwards: from the whole to what drives.
    near(drive.find("wheel_power", battery_power=whole, **without(known), **passes), wheels)


def without(known):
    """What says nothing of the road."""
    named = {"auxiliary_power", "drive_idle_loss", "drive_square_loss", "pack_loss"}
    return {name: value for name, value in known.items() if name in named}


def pack_of(chance):
    series, parallel = chance.randint(10, 30), chance.randint(2, 5)
    ohms, volts = chance.uniform(0.002, 0.03), chance.uniform(2.5, 4.2)
    return {
        "cells_in_series": series,
        "cells_in_parallel": parallel,
        "cell_voltage": volts,
        "cell_resistance": ohms,
    }


def in_the_pack(cells, needed):
    """Current out of a circuit of cells that brings so much at its terminals; None if no current does.

    Negative while it is charged. Of two currents the lower: it begins at nought and grows.
    """
    circuit = tuple(cells.values())
    still = terminals(*circuit, 0.0)
    drop = still - terminals(*circuit, 1.0)
    most = still / drop / 2  # half the voltage is left; a scan says so below
    scanned = [one * terminals(*circuit, one) for one in np.linspace(0, 2 * most, 41)]
    assert int(np.argmax(scanned)) == 20
    if needed >= 0.999 * max(scanned):
        return None, still, drop
    least = -1.0
    while least * terminals(*circuit, least) > needed:
        least *= 2
    current = brentq(
        lambda one: one * terminals(*circuit, one) - needed, least, most, xtol=1e-13, rtol=1e-14
    )
    return current, still, drop


@pytest.mark.parametrize("chance", chances("pack loss", 24))
def test_what_the_pack_loses_both_ways(chance):
    """Cells in a circuit: what all of them give, what reaches the terminals, and the heat in each one."""
    known, wheels, taken, wound = drawn(chance)
    cells = pack_of(chance)
    # As large a vehicle as such a pack drives.
    scale = 0.2 * cells["cell_voltage"] ** 2 / cells["cell_resistance"]
    scale *= cells["cells_in_series"] * cells["cells_in_parallel"] * chance.uniform(0.02, 1.0)
    shrink = min(1.0, scale / abs(taken))
    known |= {
        "mass": known["mass"] * shrink,
        "frontal_area": known["frontal_area"] * shrink,
        "coast_down_linear": known["coast_down_linear"] * shrink,
        "auxiliary_power": known["auxiliary_power"] * shrink,
        "drive_idle_loss": known["drive_idle_loss"] * shrink,
        "drive_square_loss": known["drive_square_loss"] / shrink,
    }
    wheels, taken, wound = wheels * shrink, taken * shrink, wound * shrink
    current, still, drop = in_the_pack(cells, taken)
    assert current is not None
    through_a_cell = current / cells["cells_in_parallel"]
    heat = given = 0.0
    for _ in range(cells["cells_in_series"] * cells["cells_in_parallel"]):
        heat += through_a_cell**2 * cells["cell_resistance"]
        given += through_a_cell * cells["cell_voltage"]
    assert given == pytest.approx(taken + heat, rel=1e-7, abs=1e-6)  # nothing is lost elsewhere
    rounding = 1e-8 * size(known, wheels, wound)
    energy = chance.uniform(1e7, 3e8)
    asked = {"battery_power": given, "pack_loss": heat}
    if wheels > 0:
        asked["effective_drive_efficiency"] = wheels / (taken - known["auxiliary_power"])
        asked["drive_loss_share"] = (given - known["auxiliary_power"] - wheels) / given
    if given > 1e-3 * size(known, wheels, wound):
        asked["consumption"] = given / known["speed"]
        asked["driving_time"] = energy / given
        asked["range"] = energy / given * known["speed"]
    whole = {"pack_voltage": still, "pack_resistance": drop}
    for name, value in asked.items():
        close = pytest.approx(
            value, rel=1e-6, abs=rounding if name in {"battery_power", "pack_loss"} else 0
        )
        assert load.find(name, usable_energy=energy, **known, **whole).si == close, name
        assert vehicle.find(name, usable_energy=energy, **known, **cells).si == close, name
    flows = vehicle.find("driving_current", **known, **cells).si
    assert flows == pytest.approx(current, rel=1e-6, abs=rounding / still)
    # Charged or not, the heat is heat.
    assert load.find("pack_loss", **known, **whole).si >= 0


def test_charging_and_driving_are_drawn():
    made = [drawn(one)[2] for one in chances("pack loss", 24)]
    assert 4 < sum(one < 0 for one in made) < 20


@pytest.mark.parametrize("chance", chances("matched", 6))
def test_the_most_that_a_pack_gives(chance):
    """Up to the load at which more current brings less; beyond it there is no answer, and that is said."""
    cells = pack_of(chance)
    circuit = tuple(cells.values())
    still = terminals(*circuit, 0.0)
    drop = still - terminals(*circuit, 1.0)
    currents = np.linspace(0, still / drop, 2001)
    most = float(np.max(currents * (still - drop * currents)))
    known = {"drive_efficiency": chance.uniform(0.5, 1.0), "auxiliary_power": 0.05 * most}
    idle, square = 0.02 * most, 0.1 / most
    known |= {"drive_idle_loss": idle, "drive_square_loss": square, "recovery_efficiency": 0.5}
    known |= {"pack_voltage": still, "pack_resistance": drop}

    def needed(wheels):
        return wheels / known["drive_efficiency"] + 0.07 * most + square * wheels**2

    for share in (0.6, 0.95, 0.999, 1.001, 1.05, 3.0):
        wheels = brentq(lambda one, share=share: needed(one) - share * most, 0, 4 * most)
        if share > 1:
            with pytest.raises(NoSolutionError, match="cannot give that much"):
                load.find("battery_power", wheel_power=wheels, **known)
            continue
        found = load.find("battery_power", wheel_power=wheels, **known).solutions_si
        at_terminals = needed(wheels)
        lower = brentq(
            lambda one, goal=at_terminals: one * (still - drop * one) - goal, 0, still / drop / 2
        )
        assert found == pytest.approx([still * lower], rel=1e-6)


@pytest.mark.parametrize("battery", [-20_000.0, -500.0, 300.0])
def test_a_battery_that_is_charged_has_no_drive_efficiency(battery):
    """Such shares are of what goes out to the wheels: where the battery gets some, no wheel power has them."""
    known = {"battery_power": battery, "auxiliary_power": 400.0}
    with pytest.raises(NoSolutionError):
        load.find("wheel_power", effective_drive_efficiency=0.8, pack_loss=0.0, **known)
    if battery < 0:
        with pytest.raises(NoSolutionError):
            load.find("wheel_power", drive_loss_share=0.1, **known)
