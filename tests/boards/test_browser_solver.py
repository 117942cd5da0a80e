"""The browser's solver against Python's, and against roots that are known beforehand."""

import itertools
import math
import random

import numpy as np
import pytest

from chalkwatt.algebra.solving import bracketed_roots, cubic_roots, quadratic_roots, search_grid
from chalkwatt.errors import ChalkwattError, OutOfBoundsError
from chalkwatt.laws.quantities import constants, look_up
from chalkwatt.planning.evaluation import best_of, compile_plan
from chalkwatt.rendering.browser_program import program as written
from chalkwatt.rendering.limits import refusal, remarks, told_of
from tests.boards.fixture_program import program as written_program
from tests.boards.loaded import load, topics
from tests.points import IDLE, TOPICS, known_sets
from tests.points import point as point_of

POINTS = 300
REASONS = 2  # points without a solution; looking for the nearest one that has some takes long
SIGNED = {
    # What a board of an example leaves out, with values to either side of nought, and nought itself.
    "grade": (-0.12, -0.02, 0.0, 0.03),
    "headwind": (-20.0, -3.0, 0.0, 9.0),
    "coast_down_linear": (0.0, 3.0),
    "recovery_efficiency": (0.0, 0.55, 1.0),
    "load_transfer": (-0.25, 0.0, 0.2),
}
WEAK = {"auxiliary_power": (0.0, 60.0, 900.0), "irradiance": (0.0, 20.0, 700.0)}
ROAD = ("drag_area", "mass", "rolling_coefficient", "drive_efficiency", "air_density")
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
            said = next(
                (
                    told_of(one, {**constants(), **e.values})
                    for e in endings
                    if (one := refusal(e.step, e.values))
                ),
                "",
            )
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
    return [found.map((one) => one[at]), notes, found.length ? "" : refused[0]?.words ?? ""];
})"""


IN_WORDS = """([wanted, points]) => points.map((point) => {
    const state = new chalk.State(solver.program);
    state.wanted = wanted;
    state.problem = {};
    for (const [name, si] of Object.entries(point)) {
        state.given[name] = {value: state.fromSI(name, si), unit: state.unit[name]};
    }
    state.solve();
    return new chalk.Words(state).nothing(Object.keys(point)[0]);
})"""


def reason_in_python(topic, plan, point):
    """What is raised: of what kind, and in whose words."""
    with pytest.raises(ChalkwattError) as raised:
        topic.solve(plan.wanted, point)
    kind = "bounds" if isinstance(raised.value, OutOfBoundsError) else "none"
    return kind, own_words(plan, str(raised.value)), str(raised.value)


def own_words(plan, said):
    """The words of a relation's own in what is said in place of a value."""
    every = (
        one.words.partition("{at}")[0] for relation in plan.relations for one in relation.refusals
    )
    return next((one for one in every if one in said), "")


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


def compare(page, topic, cast, asked):
    """Compare every quantity of some rows, each in turn wanted; return how often several roots were found."""
    values = topic.read({k: v for k, v in topic.example.items() if k in cast})
    values |= {one: SIGNED[one][-1] for one in cast if one in SIGNED}
    values.pop(asked, None)
    first = written(topic, cast, asked, values)
    load(page)
    page.evaluate("(program) => { window.solver = new chalk.Solver(program); }", first)
    known = {**values, asked: float(topic.solve(asked, values).si)}
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
    return several


@pytest.mark.sweep(1 / 5)
@pytest.mark.parametrize(("topic", "cast"), CASES)
def test_every_root_note_and_refusal_is_the_same_in_both_hosts(page, topic, cast):
    several = compare(page, topic, cast, topic.wanted)
    if topic.name in {"load", "vehicle"}:
        assert several > 0, "no point has several solutions: the points show too little"


@pytest.mark.parametrize(
    "share", ["air_share", "rolling_share", "drive_loss_share", "auxiliary_share"]
)
def test_a_share_is_the_same_in_both_hosts(page, share):
    """Also where a condition speaks of a quantity that the share's own relation does not hold."""
    road = ("speed", *ROAD, "auxiliary_power", "grade", "headwind", share)
    compare(page, TOPICS["load"], tuple(one for one in road if one != "air_density"), share)


@pytest.mark.sweep(1 / 5)
@pytest.mark.parametrize(("topic", "cast"), CASES)
def test_why_there_is_nothing_is_of_one_kind_in_both_hosts(page, topic, cast):
    """A refusal of what was tried is no reason where no value of the wanted would do."""
    values = topic.read({k: v for k, v in topic.example.items() if k in cast})
    values |= {one: SIGNED[one][-1] for one in cast if one in SIGNED}
    values.pop(topic.wanted, None)
    first = written(topic, cast, topic.wanted, values)
    load(page)
    page.evaluate("(program) => { window.solver = new chalk.Solver(program); }", first)
    known = {**values, topic.wanted: float(topic.solve(topic.wanted, values).si)}
    pick = random.Random(f"why {topic.name} {len(cast)}")  # noqa: S311  points to try, no secrets
    for wanted in first["plans"]:
        plan = topic.network.plan(wanted, tuple(one for one in cast if one != wanted))
        points = points_of(topic, cast, wanted, known, pick)[:60]
        roots = in_python(topic, plan, points)
        none = [one for one, found in zip(points, roots, strict=True) if not found[0]][:REASONS]
        said = page.evaluate(IN_WORDS, [wanted, none])
        for point, browser in zip(none, said, strict=True):
            kind, words, python = reason_in_python(topic, plan, point)
            told = own_words(plan, browser)
            # Where a result is given the page rather says which one would do than what was tried.
            either = {words, ""} if "nearest value" in browser or "No value" in browser else {words}
            assert told in either, (wanted, python, browser, point)
            if kind == "bounds" and "nearest value" not in browser:
                assert browser.startswith("No solution: "), (wanted, python, browser, point)


def test_a_consumption_that_no_speed_gives_is_the_reason_and_not_the_speed_that_was_tried(page):
    topic = next(one for one in topics() if one.name == "stops")
    cast = tuple(dict.fromkeys((*topic.example, "consumption")))
    values = topic.read({**topic.example, "consumption": "4 kWh/100 km"})
    values.pop("peak_speed")
    load(page)
    page.evaluate(
        "(program) => { window.solver = new chalk.Solver(program); }",
        written(topic, cast, "peak_speed", values),
    )
    (said,) = page.evaluate(IN_WORDS, ["peak_speed", [values]])
    assert "too short" not in said
    with pytest.raises(ChalkwattError, match=r"the least that can be reached is 6\.260 kWh/100 km"):
        topic.solve("peak_speed", values)
    assert "the nearest value of consumption that has one is 6.26" in said


# What a board of an example never asks, with all that their relations say beside a value.
FURTHER = [
    ("load", "economical_speed", ("headwind", "auxiliary_power", *ROAD)),
    ("load", "economical_speed", ("headwind", "auxiliary_power", "recovery_efficiency", "drag_area",
                                  "mass", "rolling_coefficient", "drive_efficiency")),
    ("load", "economical_speed", ("grade", "auxiliary_power", "drive_square_loss", *ROAD)),
    ("load", "range", ("reference_rolling_coefficient", "rolling_speed_growth", "usable_energy",
                       "speed", "auxiliary_power", *ROAD[:2], *ROAD[3:])),
    ("load", "consumption", ("reference_rolling_coefficient", "tyre_temperature_coefficient",
                             "air_temperature", "speed", "auxiliary_power", *ROAD[:2], *ROAD[3:])),
    ("load", "range", ("warm_usable_energy", "cold_energy_coefficient", "cell_temperature", "speed",
                       "auxiliary_power", *ROAD)),
]  # fmt: skip


def further():
    """Rows as no example has them: named ones, and a few of each topic by chance."""
    yield from FURTHER
    pick = random.Random("further rows")  # noqa: S311  rows to try, no secrets
    for topic in topics():
        names = [one for one in topic.network.names if one not in IDLE]
        for wanted in pick.sample(sorted(names), 2):
            for known in known_sets(topic.name, wanted, 1):
                yield topic.name, wanted, tuple(known)


@pytest.mark.sweep(1 / 5)
@pytest.mark.parametrize(
    ("name", "wanted", "known"), [pytest.param(*one, id="-".join(one[:2])) for one in further()]
)
def test_a_board_of_any_rows_starts_and_says_the_same(page, name, wanted, known):
    topic, here = TOPICS[name], point_of(name)
    values = {one: here[one] for one in known}
    try:
        plan = topic.network.plan(wanted, known)
    except ChalkwattError:
        pytest.skip("two unknowns that only a search in two dimensions would find")
    load(page)
    page.evaluate(
        "(program) => { window.solver = new chalk.Solver(program); }",
        written(topic, (*known, wanted), wanted, values),
    )
    (python,) = in_python(topic, plan, [values])
    (browser,) = page.evaluate(IN_BROWSER, [wanted, [values]])
    assert alike(python, browser), (python, browser)


IN_IDLE = """([wanted, points]) => points.map((point) => {
    const state = new chalk.State(solver.program);
    state.wanted = wanted;
    state.problem = {};
    for (const [name, si] of Object.entries(point)) {
        state.given[name] = {value: state.fromSI(name, si), unit: state.unit[name]};
    }
    state.solve();
    const words = new chalk.Words(state);
    return [Boolean(state.best), words.idle(), words.beside(Object.keys(point)[0])];
})"""


def with_idle_rows():
    """Rows that determine the wanted, and a few that have nothing to do with it; some that matter and are left out."""
    yield "launch", "power_bound_time", ("target_speed", "mass", "wheel_power", "grade", "headwind")
    yield (
        "launch",
        "power_bound_time",
        ("target_speed", "mass", "wheel_power", "grade", "pack_mass"),
    )
    yield "load", "battery_power", ("speed", "usable_energy", "cell_temperature", *ROAD)
    yield (
        "pack",
        "pack_energy",
        ("cells_in_series", "cells_in_parallel", "cell_energy", "cell_mass"),
    )
    pick = random.Random("idle rows")  # noqa: S311  rows to try, no secrets
    for topic in topics():
        names = sorted(one for one in topic.network.names if one not in IDLE)
        for wanted in pick.sample(names, 3):
            for known in known_sets(topic.name, wanted, 1):
                more = [one for one in names if one not in known and one != wanted]
                yield topic.name, wanted, (*known, *pick.sample(more, min(2, len(more))))


def test_what_plays_no_part_is_said_alike_in_both_hosts(page, some):
    load(page)
    pick = random.Random("idle")  # noqa: S311  points to try, no secrets
    said = 0
    for name, wanted, known in some([*with_idle_rows()], 1 / 4):
        topic, here = TOPICS[name], point_of(name)
        if not {*known, wanted} <= {*topic.network.names}:
            continue
        point = {one: here[one] for one in known}
        points = [point, {n: 0.0 if n in SIGNED else v for n, v in point.items()}]
        points.append(
            {n: -v * pick.uniform(0.1, 2) if n in SIGNED else v for n, v in point.items()}
        )
        try:
            first = written(topic, (*known, wanted), wanted, point)
        except ChalkwattError:
            continue
        page.evaluate("(program) => { window.solver = new chalk.Solver(program); }", first)
        browser = page.evaluate(IN_IDLE, [wanted, points])
        for values, (solved, idle, beside) in zip(points, browser, strict=True):
            try:
                answer = topic.solve(wanted, values)
            except ChalkwattError:
                continue
            python = " ".join(answer._idle())
            assert solved
            assert idle == python, (name, wanted, values)
            assert beside.endswith(python)
            assert not python or python in " ".join(answer.notes)
            said += bool(python)
    assert said > 7, "too few rows play no part: this shows too little"


@pytest.mark.parametrize("power", [9496.0, -9496.0])
def test_the_voltage_is_found_whichever_way_the_power_goes(page, power):
    """Pack loss = resistance × (power / voltage)²: the sign of the power is lost in it."""
    values = {
        "battery_power": power,
        "pack_resistance": 0.06,
        "pack_loss": 0.06 * (power / 350) ** 2,
    }
    load(page)
    page.evaluate(
        "(program) => { window.solver = new chalk.Solver(program); }",
        written(TOPICS["load"], (*values, "pack_voltage"), "pack_voltage", values),
    )
    (browser,) = page.evaluate(IN_BROWSER, ["pack_voltage", [values]])
    assert browser[0] == [pytest.approx(350.0)]
    assert TOPICS["load"].solve("pack_voltage", values).si == pytest.approx(350.0)


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


def test_roots_that_meet_but_for_rounding_are_one_in_both_hosts(page):
    """What rounding may hide is the same share in both."""
    load(page)
    shares = [0.0, 1e-14, 1e-13, -1e-13, 5e-12, -5e-12, 3e-11, 3e-10]
    parabolas = [(1.0, -6.6, -3.3 * 3.3 * (1 + off)) for off in shares]
    cubics = [(1.0, -3 * 3.3**2, side * 2 * 3.3**3 * (1 + o)) for o in shares for side in (-1, 1)]
    for name, here, every in (
        ("quadraticRoots", quadratic_roots, parabolas),
        ("cubicRoots", cubic_roots, cubics),
    ):
        browser = page.evaluate(f"(all) => all.map((one) => chalk.{name}(...one))", every)
        for coefficients, roots in zip(every, browser, strict=True):
            found = here(*coefficients)
            found = found[np.isfinite(found)]
            for one in (found, roots):
                assert bool(len(one)) == bool(len(roots)), coefficients
                assert len(set(np.round(one, 5))) == len(set(np.round(roots, 5))), coefficients
    for off in (0.0, 1e-14, 1e-12, 1e-11):
        grid = search_grid((0, 10), (1, 5))
        browser = page.evaluate(
            """([off, grid]) => chalk.allRoots((t) => (t - 2.3) ** 2 + off, (t) => 2 * (t - 2.3), grid,
                { size: () => 1 })""",
            [off, grid.tolist()],
        )
        found = bracketed_roots(
            lambda t, _: (t - 2.3) ** 2 + off,  # noqa: B023  called at once
            lambda t, _: 2 * (t - 2.3),
            1,
            grid,
            size_of=lambda t, _: 1 + 0 * t,
        )
        assert len(browser) == np.isfinite(found).sum() == (off < 1e-13), off


def test_the_economical_speed_is_found_at_the_least_consumption_in_the_browser(page):
    load(page)
    topic = TOPICS["load"]
    values = topic.read(
        {k: v for k, v in topic.example.items() if k not in {"speed", "usable_energy"}}
    )
    for more in ({}, {"headwind": 14.2}, {"headwind": -14.2, "grade": -0.001}):
        here = values | more
        best = topic.solve("economical_speed", here).si
        least = topic.solve("consumption", here | {"speed": best}).si
        page.evaluate(
            "(program) => { window.solver = new chalk.Solver(program); }",
            written(topic, (*here, "consumption", "speed"), "speed", here | {"consumption": least}),
        )
        (found,) = page.evaluate(IN_BROWSER, ["speed", [here | {"consumption": least}]])
        assert best in [pytest.approx(one, rel=1e-6) for one in found[0]]


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


@pytest.mark.parametrize("irradiance", [0.0, 850.0])
def test_faster_than_any_vehicle_is_not_at_rest_in_the_browser(page, irradiance):
    topic = next(one for one in topics() if one.name == "sun")
    steep = {"grade": -0.5, "drag_area": 0.03, "mass": 2000, "irradiance": irradiance}
    values = topic.read(topic.example | steep)
    cast = (*values, topic.wanted)
    load(page)
    page.evaluate(
        "(program) => { window.solver = new chalk.Solver(program); }",
        written(topic, cast, topic.wanted, values),
    )
    assert page.evaluate(IN_BROWSER, [topic.wanted, [values]]) == [[[], [], ""]]
