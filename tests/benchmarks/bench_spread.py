"""How fast spreads are: as ratios within one run, beside the same reckoning by hand in NumPy.

Run with ``pytest tests/benchmarks/bench_spread.py -m benchmark -s``.
"""

import subprocess
import sys
import time

import numpy as np
import pytest

from chalkwatt.evidence.sheets import Sheet
from chalkwatt.evidence.spread.draws import uniforms
from tests.browsing import ROOT

pytestmark = pytest.mark.benchmark

DEMO = Sheet.read(ROOT / "assets" / "quillwort.toml")
DRAWS = 2**20
REPEATS = 7
SPEED = 25.0


def best(*functions):
    """The best time of each, taken in turns so that a busy moment strikes all of them."""
    times = [[] for _ in functions]
    for _ in range(REPEATS):
        for place, function in enumerate(functions):
            start = time.perf_counter()
            function()
            times[place].append(time.perf_counter() - start)
    return [min(one) for one in times]


def drawn(finding):
    shares = uniforms(len(DEMO.columns) + 4, 0, DRAWS, 0)
    return {
        name: fact.si if fact.exact else fact.ppf(shares[:, DEMO.columns.index(name)])
        for name, fact in finding.facts.items()
    }


def hand_range(given, energy):
    area = given["drag_coefficient"] * given["frontal_area"]
    air = 0.5 * given["air_density"] * area * given["speed"] ** 2
    rolling = given["rolling_coefficient"] * given["mass"] * 9.80665
    power = (air + rolling) * given["speed"] / given["drive_efficiency"] + given["auxiliary_power"]
    return energy / (power / given["speed"])


def energy_by_cells(given):
    parallel = given["cell_count"] / given["cells_in_series"]
    voltage = given["cells_in_series"] * given["cell_voltage"]
    return voltage * parallel * given["cell_capacity"] * given["usable_fraction"]


def test_a_million_draws_through_the_longest_plan():
    """From cells to range: no plan of a sheet has more steps."""
    bare = DEMO.text.split("[values.pack_energy]")
    sheet = Sheet.parse(
        bare[0] + "[values.usable_fraction]" + bare[1].split("[values.usable_fraction]")[1]
    )
    finding = sheet.find("range", speed=SPEED)
    given = drawn(finding)
    ours, hand = best(
        lambda: finding.question(**given), lambda: hand_range(given, energy_by_cells(given))
    )
    np.testing.assert_allclose(
        finding.question(**given), hand_range(given, energy_by_cells(given)), rtol=1e-12
    )
    print(
        f"\n{len(finding.plan.steps)} steps, {DRAWS} draws: {ours:.3f} s, by hand {hand:.3f} s: {ours / hand:.2f}"
    )
    assert ours / hand <= 1.3


def hand_speed(given, goal):
    """Newton's iteration on a v³ + b v = c from the cube root, as one would write it for this cubic."""
    force = 0.5 * given["air_density"] * given["drag_coefficient"] * given["frontal_area"]
    a = force / given["drive_efficiency"]
    energy = given["pack_energy"] * given["usable_fraction"]
    rolling = given["rolling_coefficient"] * given["mass"] * 9.80665 / given["drive_efficiency"]
    b = rolling - energy / goal
    c = -given["auxiliary_power"]
    # a v³ + b v − c = 0 with b, c < 0: the larger root lies beyond √(−b / 3a).
    v = np.sqrt(-b / a)
    for _ in range(5):
        v = v - ((a * v * v + b) * v - c) / (3 * a * v * v + b)
    return v


def test_a_million_draws_through_a_root():
    finding = DEMO.find("speed", range="450 km")
    given = drawn(finding)
    goal = 450_000.0
    ours, hand = best(lambda: finding.question(**given), lambda: hand_speed(given, goal))
    made, expected = finding.question(**given), hand_speed(given, goal)
    np.testing.assert_allclose(made, expected, rtol=1e-9)
    print(
        f"\n{[step.by for step in finding.plan.steps]}: {ours:.3f} s, by hand {hand:.3f} s: {ours / hand:.2f}"
    )
    assert ours / hand <= 2


def test_a_million_draws_through_a_bracketed_step():
    """A grade for a given range has no closed form: both sides search for the root of one equation."""
    finding = DEMO.find("grade", speed="60 km/h", range="450 km")
    steps = [step.by for step in finding.plan.steps]
    given = drawn(finding)
    few = {name: one[: 2**17] if np.ndim(one) else one for name, one in given.items()}

    def hand():
        """Newton's iteration on the angle of the road, from level."""
        speed = few["speed"]
        air = 0.5 * few["air_density"] * few["drag_coefficient"] * few["frontal_area"] * speed**2
        energy = few["pack_energy"] * few["usable_fraction"]
        power = energy / 450_000.0 * speed
        force = few["drive_efficiency"] * (power - few["auxiliary_power"]) / speed - air
        weight = few["mass"] * 9.80665
        roll = few["rolling_coefficient"]
        angle = np.zeros(2**17)
        for _ in range(5):
            off = weight * (roll * np.cos(angle) + np.sin(angle)) - force
            angle = angle - off / (weight * (np.cos(angle) - roll * np.sin(angle)))
        return np.tan(angle)

    ours, by_hand = best(lambda: finding.question(**few), hand)
    np.testing.assert_allclose(finding.question(**few), hand(), rtol=1e-8)
    print(f"\n{steps}, {2**17} draws: {ours:.3f} s, by hand {by_hand:.3f} s: {ours / by_hand:.2f}")
    assert ours / by_hand <= 2


def test_a_verdict_takes_less_than_a_second():
    """In processor time, so that a busy machine does not count; in a process that has asked nothing yet."""
    code = (
        "import time; from chalkwatt import Claim, Sheet; import scipy.stats, sympy\n"
        "sheet = Sheet.read('assets/quillwort.toml')\n"
        "for speed in ('95 km/h', '85 km/h'):\n"
        "    t = time.process_time(); v = sheet.judge(Claim('range', '470 km', speed=speed))\n"
        "    v.chance, v.finding.tornado, v.finding.indices, v.needs, v.frontier, v.sentence\n"
        "    print(time.process_time() - t)"
    )
    done = subprocess.run(
        [sys.executable, "-c", code],
        capture_output=True,
        text=True,
        check=True,
        cwd=ROOT,
        env={"PYTHONPATH": str(ROOT / "kit"), "OPENBLAS_NUM_THREADS": "1"},
    )
    cold, warm = map(float, done.stdout.split())
    print(
        f"\nverdict with tornado, indices, needs, frontier: first {cold:.2f} s, then {warm:.3f} s"
    )
    assert cold < 1
    assert warm < 0.1
