"""The browser's solver against Python's, and against roots that are known beforehand."""

import itertools
import math
import random

import numpy as np
import pytest

from chalkwatt.quantities import look_up
from chalkwatt.rendering.browser_program import program as written
from chalkwatt.rendering.limits import refusal, remarks
from chalkwatt.rendering.numpy_function import best_of, compile_plan
from tests.boards.fixture_program import program as written_program
from tests.boards.loaded import load, topics

POINTS = 300
SIGNED = {
    # What a board of an example leaves out, with values to either side of nought, and nought itself.
    "grade": (-0.12, -0.02, 0.0, 0.03),
    "headwind": (-20.0, -3.0, 0.0, 9.0),
    "coast_down_linear": (0.0, 3.0),
    "recovery_efficiency": (0.0, 0.55, 1.0),
    "load_transfer": (-0.25, 0.0, 0.2),
}
WEAK = {"auxiliary_power": (0.0, 60.0, 900.0), "irradiance": (0.0, 20.0, 700.0)}
MEETING = 1e-5  # relative: two roots this close are one to one host and two, or none, to the other


def casts(topic):
    """Rows of a board: as the example has them, with a slope, and with all that is signed."""
    usual = tuple(dict.fromkeys((*topic.example, topic.wanted)))
    further = [one for one in SIGNED if one in topic.quantities and one not in usual]
    more = [("grade",)] if "grade" in further else []
    return [usual, *((*usual, *one) for one in (*more, *([further] if further else [])))]


def points_of(topic, cast, wanted, known, pick):
    """Points about the example, some far from it, and signed."""
    made = []
    for _ in range(POINTS):
        point = {}
        for one in cast:
            if one == wanted:
                continue
            if one in SIGNED or (one in WEAK and pick.random() < 0.5):
                value = pick.choice((SIGNED | WEAK)[one])
                point[one] = value * pick.uniform(0.5, 1.0)
            elif look_up(one).whole:
                point[one] = known[one]
            elif look_up(one).unit == "K":  # a factor of two is no weather
                point[one] = pick.uniform(*look_up(one).usual)
            else:
                value = known[one] * math.exp(pick.gauss(0, 0.15 if pick.random() < 0.5 else 1.0))
                low, high = look_up(one).bounds
                point[one] = min(max(value, low), high)
        made.append(point)
    return made


def in_python(topic, plan, points):
    """Every root of each point, and what is said beside the best, or in place of one."""
    function = compile_plan(plan)
    table = {one: np.array([point[one] for point in points]) for one in plan.known}
    branches = function.branches(table, None)
    size = len(points)
    # A note of a branch holds where it rests; a remark holds where its relation says so.
    every = [
        (
            np.broadcast_to(one.values[plan.wanted], (size,)),
            {name: np.broadcast_to(value, (size,)) for name, value in one.values.items()},
            one.notes,
        )
        for one in branches
    ]
    made = []
    for place, point in enumerate(points):
        here = [
            (
                float(values[place]),
                {name: float(value[place]) for name, value in state.items()},
                notes,
            )
            for values, state, notes in every
            if np.isfinite(values[place])
        ]
        here.sort(key=lambda one: one[0])
        roots = [
            one[0]
            for i, one in enumerate(here)
            if i == 0 or abs(one[0] - here[i - 1][0]) > 1e-12 * abs(one[0])
        ]
        said = ""
        notes = []
        if roots:
            best = float(best_of(plan.wanted, roots)) if len(roots) > 1 else roots[0]
            state = next(one[1] for one in here if one[0] == best)
            rest = [note for one in here for note in one[2]]
            notes = list(dict.fromkeys((*rest, *remarks(plan, state))))
        else:
            endings = []
            function.branches(point, endings)
            said = next((one.words for e in endings if (one := refusal(e.step, e.values))), "")
        made.append([roots, notes, said])
    return made


IN_BROWSER = """([wanted, points]) => points.map((point) => {
    const x = new Float64Array(solver.size).fill(NaN);
    const all = {...solver.program.assumed, ...point};
    for (const [name, value] of Object.entries(all)) x[solver.place[name]] = value;
    const refused = [], resting = [];
    const found = solver.solve(wanted, x, { refused, notes: resting });
    const at = solver.place[wanted];
    const notes = found.length ? [...new Set([...resting, ...solver.remarks(wanted, solver.best(wanted, found))])] : [];
    return [found.map((one) => one[at]), notes, found.length ? "" : refused[0] ?? ""];
})"""


def alike(python, browser):
    """Say whether both hosts found the same; roots that all but meet may count once, twice or not."""
    if python[1:] != browser[1:] and not (python[0] and browser[0] and meeting(*python[0])):
        return meeting(*python[0], *browser[0]) and bool(python[0]) != bool(browser[0])
    first, second = python[0], browser[0]
    if len(first) == len(second):
        return all(
            math.isclose(one, other, rel_tol=MEETING if meeting(*first) else 1e-10, abs_tol=1e-300)
            for one, other in zip(first, second, strict=True)
        )
    return meeting(*max(first, second, key=len))


def meeting(*roots):
    ordered = sorted(roots)
    return any(abs(two - one) <= MEETING * abs(two) for one, two in itertools.pairwise(ordered))


CASES = [
    pytest.param(topic, cast, id=f"{topic.name}-{len(cast)}")
    for topic in topics()
    for cast in casts(topic)
]


@pytest.mark.parametrize(("topic", "cast"), CASES)
def test_every_root_note_and_refusal_is_the_same_in_both_hosts(page, topic, cast):
    values = topic.read({k: v for k, v in topic.example.items() if k in cast})
    values |= {one: SIGNED[one][-1] for one in cast if one in SIGNED}
    values.pop(topic.wanted, None)
    first = written(topic, cast, topic.wanted, values)
    load(page)
    page.evaluate("(program) => { window.solver = new chalk.Solver(program); }", first)
    known = {**values, topic.wanted: float(topic.solve(topic.wanted, values).si)}
    pick = random.Random(f"{topic.name} {len(cast)}")  # noqa: S311  points to try, no secrets
    several = 0
    for wanted in first["plans"]:
        points = points_of(topic, cast, wanted, known, pick)
        plan = topic.network.plan(wanted, tuple(one for one in cast if one != wanted))
        python = in_python(topic, plan, points)
        browser = page.evaluate(IN_BROWSER, [wanted, points])
        wrong = [
            (point, one, other)
            for point, one, other in zip(points, python, browser, strict=True)
            if not alike(one, other)
        ]
        assert wrong[:2] == [], f"{wanted}: {len(wrong)} of {POINTS} differ"
        several += sum(len(one[0]) > 1 for one in python)
    if topic.name in {"load", "vehicle"}:
        assert several > 0, "no point has several solutions: the points show too little"


def test_cubic_roots_made_from_known_roots(page):
    load(page)
    pick = random.Random(3)  # noqa: S311  points to try, no secrets
    made = []
    for _ in range(500):
        p, q = pick.uniform(-5, 5), pick.uniform(-5, 5)
        roots = sorted([p, q, -p - q])  # no square term: the roots sum to nought
        scale = 10 ** pick.uniform(-6, 6)
        made.append((scale, scale * (p * q - (p + q) ** 2), -scale * p * q * (p + q), roots))
    found = page.evaluate("(all) => all.map(([a, b, c]) => chalk.cubicRoots(a, b, c))", made)
    for (_, _, _, roots), shown in zip(made, found, strict=True):
        if min(roots[1] - roots[0], roots[2] - roots[1]) < 1e-2:
            continue  # nearly double: ill-conditioned
        assert shown == pytest.approx(roots, rel=1e-11, abs=1e-12)


@pytest.mark.parametrize(
    ("a", "b", "c", "roots"),
    [
        (0, 2, 8, [4]),
        (0, 0, 5, []),
        (2, 0, 16, [2]),
        (1, 4, 0, [0]),
        (1, -4, 0, [-2, 0, 2]),
        (1e-300, 1, 5, [5]),
        (1, 1e-300, 27, [3]),
        (1e300, 1, 8e300, [2]),
        (1, -7, -6, [-3, 1, 2]),
    ],
)
def test_cubic_guards(page, a, b, c, roots):
    load(page)
    assert page.evaluate("([a, b, c]) => chalk.cubicRoots(a, b, c)", [a, b, c]) == pytest.approx(
        roots, rel=1e-15
    )


def test_search_finds_what_the_closed_form_finds(page):
    load(page)
    made = page.evaluate(
        """(program) => {
            const {speed, speed_by_roots} = program.plans;
            const solvers = [speed, speed_by_roots].map((plan) =>
                new chalk.Solver({...program, plans: {...program.plans, speed: plan}}));
            const at = solvers[0].place, out = [];
            const car = {
                drag_area: 0.62, mass: 1180, rolling_coefficient: 0.0085, drive_efficiency: 0.87,
                auxiliary_power: 350, air_density: 1.2, usable_energy: 38 * 3.6e6, gravity: 9.80665,
            };
            for (let km = 60; km < 760; km += 7) {
                out.push(solvers.map((solver) => {
                    const x = new Float64Array(solver.size);
                    const all = {...car, range: km * 1000};
                    for (const [name, value] of Object.entries(all)) x[at[name]] = value;
                    return solver.solve("speed", x).map((one) => one[at.speed]);
                }));
            }
            return out;
        }""",
        written_program(),
    )
    counts = {len(one) for one, _ in made}
    assert counts == {0, 2}, "a range has two speeds or none here"
    for closed, searched in made:
        assert searched == pytest.approx(closed, rel=1e-11)


def test_roots_that_nearly_meet_are_found(page):
    load(page)
    made = page.evaluate(
        """() => {
            const grid = chalk.searchGrid([0, 10], [1, 5], false);
            const roots = (gap) => chalk.allRoots(
                (t) => (t - 2.3) ** 2 - gap * gap, (t) => 2 * (t - 2.3), grid);
            return [1e-2, 1e-4, 1e-6].map(roots);
        }"""
    )
    for gap, roots in zip((1e-2, 1e-4, 1e-6), made, strict=True):
        assert roots == pytest.approx([2.3 - gap, 2.3 + gap], abs=1e-9)


def test_an_endless_function_is_no_root_in_the_browser(page):
    """Tetens' formula is endless on one side of its pole, and so is the size of its terms."""
    load(page)
    found = page.evaluate(
        """() => {
            const at = (t) => 610.8 * Math.exp(17.27 * (t - 273.15) / (t - 273.15 + 237.3));
            return chalk.allRoots(
                (t) => 2805 - at(t), (t) => -at(t) * 17.27 * 237.3 / (t - 273.15 + 237.3) ** 2,
                chalk.searchGrid([0, 400], [243.15, 318.15], false), {size: (t) => 2805 + at(t)});
        }"""
    )
    log = math.log(2805.0 / 610.8)
    assert found == [pytest.approx(273.15 + 237.3 * log / (17.27 - log), rel=1e-12)]
