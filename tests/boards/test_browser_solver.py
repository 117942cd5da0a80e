"""The browser's solver against Python's, and against roots that are known beforehand."""

import math
import random

import numpy as np
import pytest

from chalkwatt.quantities import look_up
from chalkwatt.rendering.numpy_function import best_of, compile_plan
from tests.boards.fixture_program import program as written_program
from tests.boards.loaded import load, topics

POINTS = 1000


def close(first, second, rel=1e-12):
    return math.isclose(first, second, rel_tol=rel, abs_tol=0.0) or first == second


@pytest.mark.parametrize("topic", topics(), ids=lambda topic: topic.name)
def test_every_plan_agrees_with_python(page, topic):
    from chalkwatt.boards.board import start

    first = start(topic)
    load(page)
    page.evaluate("(program) => { window.solver = new chalk.Solver(program); }", first.program)
    known = {**first.si, first.wanted: float(first.answer().si)}
    pick = random.Random(7)  # noqa: S311  points to try, no secrets
    for wanted in first.program["plans"]:
        others = [one for one in first.cast if one != wanted]
        points = [
            {
                one: known[one] * math.exp(pick.gauss(0, 0.15))
                if not look_up(one).whole
                else known[one]
                for one in others
            }
            for _ in range(POINTS)
        ]
        plan = compile_plan(topic.network.plan(wanted, tuple(others)))
        table = {one: np.array([point[one] for point in points]) for one in others}
        found = [one.values[wanted] for one in plan.branches(table, None)]
        best = np.broadcast_to(best_of(wanted, found) if found else np.nan, (POINTS,))
        made = page.evaluate(
            """([wanted, points]) => points.map((point) => {
                const x = new Float64Array(solver.size).fill(NaN);
                const all = {...solver.program.assumed, ...point};
                for (const [name, value] of Object.entries(all)) x[solver.place[name]] = value;
                const found = solver.solve(wanted, x);
                return found.length ? solver.best(wanted, found)[solver.place[wanted]] : null;
            })""",
            [wanted, points],
        )
        wrong = [
            (point, python, browser)
            for point, python, browser in zip(points, best, made, strict=True)
            if (browser is None) != math.isnan(python)
            or (browser is not None and not near(python, browser))
        ]
        assert wrong[:3] == [], f"{wanted}: {len(wrong)} of {POINTS} differ"


def near(python, browser):
    return close(float(python), browser, 1e-12)


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
