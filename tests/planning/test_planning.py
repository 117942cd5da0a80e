"""Planning: from one known point, everything back; and nothing determined that is not."""

import numpy as np
import pytest
import sympy

from chalkwatt import load, pack, sun
from chalkwatt.algebra.numpy_tree import compile_tree
from chalkwatt.algebra.trees import names, to_sympy
from chalkwatt.errors import ChalkwattError, NameUnknownError, TooLittleKnownError
from chalkwatt.laws.quantities import constants, look_up
from chalkwatt.laws.relations import Relation, author_order
from chalkwatt.planning.network import Network
from chalkwatt.planning.systems import System
from tests.points import IDLE, TOPICS, apart, known_sets, nearest, point

CLOSE = 1e-9
SETS = {"load": 2, "pack": 2, "sun": 2}  # sets of knowns tried for each wanted
# Topics with a least of several have their own tests: a limit that does not bind cannot
# be found from what it does not change. So does ageing, whose laws hold in a narrow window.
SMOOTH = [
    name
    for name, topic in TOPICS.items()
    if name != "ageing"
    and not any(
        kind in str(side)
        for relation in topic.network.strong
        for side in relation.sides
        for kind in ("'min'",)
    )
]
EACH = [
    (name, wanted) for name in SMOOTH for wanted in TOPICS[name].network.names if wanted not in IDLE
]


def test_the_first_three_topics_are_smooth():
    assert {"load", "pack", "sun"} <= set(SMOOTH)


@pytest.mark.parametrize("name", SMOOTH)
def test_all_relations_hold_at_the_point(name):
    topic, values = TOPICS[name], point(name)
    for relation in topic.network.strong:
        assert apart(relation, values) < 1e-12, relation.title
    for one in topic.network.names:
        assert look_up(one).inside(values[one]), one


@pytest.mark.parametrize("name", ["load", "sun"])
def test_wind_grade_and_altitude_are_not_zero_there(name):
    assert all(point(name)[one] for one in ("headwind", "grade", "altitude"))


@pytest.mark.parametrize(("name", "wanted"), EACH)
def test_each_from_all_the_others(name, wanted):
    topic, values = TOPICS[name], point(name)
    known = {one: values[one] for one in topic.network.names if one != wanted}
    assert nearest(topic.find(wanted, **known), values[wanted]) < CLOSE


# A mass from forces at rest and a speed that hangs on it is nought over nought at the very point.
UNDETERMINED = {("stops", "mass")}


@pytest.mark.sweep(1 / 4)
@pytest.mark.parametrize(("name", "wanted"), [one for one in EACH if one not in UNDETERMINED])
def test_each_from_just_enough_others(name, wanted):
    topic, values = TOPICS[name], point(name)
    for known in known_sets(name, wanted, SETS.get(name, 1)):
        given = {one: values[one] for one in known}
        plan = topic.network.plan_if_any(wanted, known)
        unheard = {*known} - {*plan.heard} if plan else set()
        stands = plan and any(not one.firm for one in plan.standing)
        if stands and not topic.network._balanced.isdisjoint(unheard):
            continue  # beside the rest an equilibrium is no word on the wind: it is calm there, and not here
        try:
            answer = topic.find(wanted, **given)
        except ChalkwattError as error:
            # Two unknowns that only a search in two dimensions would find: said, not guessed.
            if "solved together" not in str(error):
                raise
            continue
        assert nearest(answer, values[wanted]) < CLOSE, f"from {known}"
        assert all(one.firm for one in answer.plan.standing)


@pytest.mark.parametrize("name", ["load", "pack", "sun"])
def test_hardly_anything_needs_a_search_in_two_dimensions(name):
    topic = TOPICS[name]
    tried = failed = 0
    for wanted in topic.network.names:
        for known in known_sets(name, wanted, SETS.get(name, 1)):
            tried += 1
            try:
                topic.network.plan(wanted, known)
            except ChalkwattError:
                failed += 1
    assert tried >= 30
    # Road and sun have the most laws that ask for two speeds or a speed and a force at once.
    assert failed <= 0.07 * tried


# Independence, by SymPy's own derivatives at the point: no finite differences, no planner.


def slopes(topic, relations):
    """The relations' derivatives by the relative change of each quantity, a row a relation."""
    values = point(topic.name)
    rows = []
    for relation in relations:
        symbols = {one: sympy.Symbol(one, real=True) for one in relation.names}
        left, right = (to_sympy(side, symbols.__getitem__) for side in relation.sides)
        here = {symbol: values[one] for one, symbol in symbols.items()}
        row = [
            float(sympy.diff(left - right, symbols[one]).subs(here)) * values[one]
            if one in symbols
            else 0.0
            for one in topic.network.names
        ]
        rows.append(np.array(row) / np.linalg.norm(row))
    return np.array(rows)


def rank(rows):
    return int((np.linalg.svd(rows, compute_uv=False) > 1e-9).sum())


@pytest.mark.parametrize("name", SMOOTH)
def test_dependent_groups_are_dependent_and_the_rest_is_not(name):
    topic = TOPICS[name]
    every = slopes(topic, topic.network.strong)
    place = {relation: index for index, relation in enumerate(topic.network.strong)}
    assert rank(every) == len(every) - len(topic.network.dependent)
    for group in topic.network.dependent:
        rows = every[[place[one] for one in group]]
        assert rank(rows) == len(group) - 1
        for left_out in range(len(group)):
            # Any one of them follows from the others.
            assert rank(np.delete(rows, left_out, axis=0)) == len(group) - 1
    without = [one for one in place if one not in {group[-1] for group in topic.network.dependent}]
    assert rank(every[[place[one] for one in without]]) == len(without)


@pytest.mark.parametrize("name", sorted(TOPICS))
def test_the_planner_finds_a_point_and_the_same_dependence(name):
    network = TOPICS[name].network
    gradients = network._gradients
    assert gradients.point is not None
    kept = gradients.kept(network.strong, ())
    assert len(kept) == len(network.strong) - len(network.dependent)
    for relation in set(network.strong) - set(kept):
        assert any(relation in group for group in network.dependent), relation.title


def test_a_dependent_relation_that_is_not_declared_is_seen():
    with author_order() as q:
        relations = (
            Relation("One", q.road_force, q.air_force + q.rolling_force, source="none"),
            Relation("Two", q.wheel_power, q.road_force * q.speed, source="none"),
            Relation(
                "Three",
                q.wheel_power,
                q.air_force * q.speed + q.rolling_force * q.speed,
                source="none",
            ),
        )
    kept = Network("made up", relations)._gradients.kept(relations, ())
    assert [one.title for one in kept] == ["One", "Two"]


@pytest.mark.parametrize(
    ("topic", "wanted", "known"),
    [
        # Cells in parallel said twice, the voltage never.
        (
            pack,
            "pack_energy",
            (
                "cell_count",
                "cells_in_series",
                "cell_capacity",
                "pack_current_max",
                "cell_current_max",
            ),
        ),
        # The sum of rolling and grade force is given, twice over.
        (load, "rolling_force", ("road_force", "air_force", "coast_down_constant")),
        (pack, "pack_power", ("pack_voltage", "terminal_voltage", "voltage_sag")),
    ],
)
def test_what_is_said_twice_counts_once(topic, wanted, known):
    assert wanted not in topic.network.reach(known)
    assert wanted not in topic.network.determined(known)


def test_and_is_said_to_be_too_little():
    known = ("pack_voltage", "terminal_voltage", "voltage_sag")
    with pytest.raises(TooLittleKnownError) as caught:
        pack.find("pack_power", **{one: point("pack")[one] for one in known})
    assert "pack_current" in caught.value.unlocks


# Plans.


def test_a_plan_is_ordered_and_needs_nothing_that_it_does_not_find():
    for name in SMOOTH:
        topic = TOPICS[name]
        for wanted in topic.network.names:
            for known in known_sets(name, wanted, SETS.get(name, 1)):
                try:
                    plan = topic.network.plan(wanted, known)
                except ChalkwattError:
                    continue
                have = {*known, *constants(), *plan.zeros}
                for step in (*plan.groundwork, *plan.steps):
                    assert step.needs <= have, f"{wanted} from {known}"
                    have.add(step.find)
                assert plan.steps[-1].find == wanted or any(
                    step.find == wanted for step in plan.steps
                )


def test_a_relation_that_the_wanted_does_not_need_stays_out():
    plan = load.network.plan(
        "air_force", ("speed", "drag_area", "air_density", "mass", "usable_energy")
    )
    assert [one.title for one in plan.relations] == ["Air drag"]


def test_standing_values_are_taken_only_where_nothing_given_determines_them():
    everything = ("speed", "drag_area", "mass", "rolling_coefficient")
    plan = load.network.plan("road_force", everything)
    assert "Level road" in {one.title for one in plan.standing}
    given = load.network.plan("road_force", (*everything, "grade"))
    assert "Level road" not in {one.title for one in given.standing}
    angle = load.network.plan("road_force", (*everything, "grade_angle"))
    assert "Level road" not in {one.title for one in angle.standing}


def test_a_noughts_term_is_left_out_of_the_step():
    plan = load.network.plan("air_force", ("speed", "drag_area", "air_density"))
    (step,) = plan.steps
    assert "headwind" not in set(names(step.forms[0]))
    assert [one.title for one in plan.standing] == ["No wind"]


def test_plans_are_made_once():
    known = ("speed", "drag_area", "air_density")
    first = load.network.plan("air_force", known)
    assert load.network.plan("air_force", known[::-1]) is first


def test_names_are_checked():
    with pytest.raises(NameUnknownError, match="drag_area"):
        load.network.plan("air_force", ("drag_aera",))
    with pytest.raises(ChalkwattError, match="both wanted and given"):
        load.network.plan("speed", ("speed",))


def test_what_would_unlock_really_does():
    known = {"speed": 25.0, "drag_area": 0.6}
    with pytest.raises(TooLittleKnownError) as caught:
        load.find(
            "range",
            **known
            | {
                "mass": 1200.0,
                "rolling_coefficient": 0.009,
                "drive_efficiency": 0.9,
                "usable_energy": 1e8,
            },
        )
    assert caught.value.quantity == "range"
    assert "auxiliary_power" in caught.value.unlocks
    for one in caught.value.unlocks:
        load.network.plan(
            "range",
            (*known, "mass", "rolling_coefficient", "drive_efficiency", "usable_energy", one),
        )


@pytest.mark.parametrize("name", sorted(TOPICS))
def test_a_standing_number_of_its_own_does_not_make_a_quantity_known(name):
    # Were it counted, every choice of relations would be searched for a way that cannot be.
    network = TOPICS[name].network
    for one in network.standing:
        wanted = one.names[0]
        if isinstance(one.sides[1], tuple):
            continue
        assert not network._within_reach(wanted, ()), wanted
        with pytest.raises(TooLittleKnownError) as caught:
            network.plan(wanted, ())
        for more in caught.value.unlocks:
            assert network.plan(wanted, (more,)).steps, (wanted, more)
        with pytest.raises(TooLittleKnownError, match="Too little is known") as again:
            network.plan(wanted, ())
        assert str(again.value) == str(caught.value)


# Examples by a panel's rating, with its heat: what no example of their topics gives.
BY_RATING = {
    "sun": ({"panel_area", "panel_efficiency"}, {"rated_power", "temperature_coefficient", "air_temperature"}),
    "panel": ({"air_temperature"}, {"panel_temperature"}),
}  # fmt: skip
# Where rolling does not grow with the speed, no speed follows from it, nor how it grows at none.
PRODUCTS = {("tyres", "rolling_speed_growth"), ("tyres", "speed")}


@pytest.mark.parametrize("by_rating", [False, True])
def test_an_answer_gives_back_what_was_given_and_what_stood_for_the_rest(by_rating):
    """Whatever an answer rests on, given or taken for granted, is found from the answer and the rest of it."""
    refused = set()
    for name in BY_RATING if by_rating else TOPICS:
        topic = TOPICS[name]
        less, more = BY_RATING[name] if by_rating else (set(), set())
        known = ({*topic.example} - less) | more
        plan = topic.network.plan(topic.wanted, sorted(known))
        for one in [*plan.heard, *(standing.names[0] for standing in plan.standing)]:
            back = topic.network.plan_if_any(one, sorted({*known, topic.wanted} - {one}))
            if back is None or topic.wanted not in back.heard:
                refused.add((name, one))
    assert refused == (set() if by_rating else PRODUCTS)


def test_a_drag_area_from_sunlight_is_what_makes_the_speed():
    known = {
        "mass": "265 kg",
        "rolling_coefficient": 0.006,
        "drive_efficiency": 0.86,
        "auxiliary_power": "40 W",
        "air_temperature": "28 degC",
        "irradiance": "850 W/m^2",
        "rated_power": "480 W",
        "temperature_coefficient": "-0.35 %/K",
    }
    found = TOPICS["sun"].find("drag_area", equilibrium_speed="24.6 km/h", **known)
    speed = 24.6 / 3.6
    cells = 28 + 850 / (25 + 6.84 * 1)  # deg C, by Faiman with its usual constants
    power = 480 * 0.85 * (1 - 0.0035 * (cells - 25))
    rolling = 0.006 * 265 * 9.80665
    density = 101325 / (287.05287 * 301.15)
    expected = 2 * (0.86 * (power - 40) / speed - rolling) / (density * speed**2)
    assert found.si == pytest.approx(expected, rel=1e-9)
    # Said twice over by what stands for the rest, and none the less known.
    power_back = TOPICS["sun"].find(
        "solar_power", equilibrium_speed="24.6 km/h", drag_area=found.si, **known
    )
    assert power_back.si == pytest.approx(power, rel=1e-9)


@pytest.mark.parametrize("name", sorted(TOPICS))
def test_every_quantity_counts_at_the_planners_point(name):
    """Where wind and speed cancel, no drag area counts; what hardly counts is taken for settled."""
    gradients = TOPICS[name].network._gradients
    if gradients.point is None:
        return
    for relation in TOPICS[name].network.strong:
        sizes = np.abs(gradients._rows[relation])
        assert sizes[sizes > 0].min(initial=1.0) > 1e-5 * np.linalg.norm(sizes), relation.title


def test_a_cubic_block_is_seen_as_one():
    known = tuple(sun.example)
    (step,) = [
        one for one in sun.network.plan("equilibrium_speed", known).steps if one.by == "cubic"
    ]
    assert step.find == "equilibrium_speed"
    # The coefficients say the same as the equation: a t³ + b t − c ∝ right − left.
    values = {**constants(), **sun.read(sun.example)}
    answer = sun.find("equilibrium_speed", **sun.example)
    values |= answer.branches[0].values
    a, b, c = (float(compile_tree(one)(values)) for one in step.forms)
    left, right = step.residual
    ratios = []
    for t in (3.0, 11.0, 27.0):
        here = values | {"equilibrium_speed": t}
        off = float(compile_tree(right)(here)) - float(compile_tree(left)(here))
        ratios.append(off / (a * t**3 + b * t - c))
    assert np.ptp(ratios) < 1e-12 * abs(ratios[0])


@pytest.mark.parametrize(
    ("name", "wanted", "known"),
    [
        ("load", "air_temperature", ("range", "speed")),
        ("load", "air_density", ("mass",)),
        ("load", "grade_angle", ("speed", "drag_area")),
        ("weather", "air_temperature", ("relative_humidity",)),
        ("tyres", "rolling_share_of_warm", ("speed",)),
        ("ageing", "cycle_fade", ("full_cycles",)),
        ("charge", "charging_heat", ("line_voltage",)),
        ("sun", "air_temperature", ("rated_power", "panel_area")),
    ],
)
def test_what_stands_without_the_given_values_is_no_answer_to_them(name, wanted, known):
    network = TOPICS[name].network
    assert network.plan(wanted, ()).standing  # asked for without any, it is taken for granted
    with pytest.raises(TooLittleKnownError) as raised:
        network.plan(wanted, known)
    error = raised.value
    assert f"nothing is reckoned with {', '.join(known)}" in str(error)
    assert "taken for granted" in error.advice
    assert network.plan(wanted, ()).standing[0].title in error.advice
    for one in error.unlocks:
        heard = network.plan(wanted, (*known, one)).heard
        assert not {*known}.isdisjoint(heard), one
    # No other quantity would do: that, too, is looked at without the shortcut.
    for one in {*network.names} - {*known, *error.unlocks, wanted}:
        plan = network.plan_if_any(wanted, (*known, one))
        assert plan is None or {*known}.isdisjoint(plan.heard), one


def test_what_is_said_to_let_given_values_count_does():
    known = {"range": "300 km", "speed": "100 km/h"}
    with pytest.raises(TooLittleKnownError, match="Together these would, too: ") as raised:
        load.find("air_temperature", **known)
    more = raised.value.advice.rpartition("Together these would, too: ")[2].rstrip(".").split(", ")
    plan = load.network.plan("air_temperature", (*known, *more))
    assert {*known} <= {*plan.heard}


def test_what_bears_on_it_is_answered_as_before():
    assert load.find("air_temperature").to("°C") == pytest.approx(15.0)  # ISO 2533
    assert load.find("air_temperature", altitude="1 km").to("°C") == pytest.approx(8.5, abs=2e-3)
    # A weight makes a force uphill, and on a level road makes none.
    assert load.find("grade_force", mass="1 t").si == 0.0


@pytest.mark.parametrize("name", TOPICS)
def test_a_standing_value_joins_what_is_matched_as_if_all_had_been_matched_anew(name, monkeypatch):
    chance = np.random.default_rng(7)
    network = TOPICS[name].network
    for _ in range(25):
        some = chance.permutation(network.names)[: chance.integers(1, 10)]
        keep, *known = map(str, some)
        relations = next(network._variants(known))
        given = (relations, tuple(known), network.constants, network.standing)
        joined = vars(System(*given, keep=keep))
        with monkeypatch.context() as patched:
            patched.setattr(System, "_join", lambda *_: False)
            anew = vars(System(*given, keep=keep))
        assert joined == anew
