"""Relations: every one is consistent in its units, and the check that says so can fail."""

import dataclasses

import pytest
import sympy

from chalkwatt.errors import UnitError
from chalkwatt.laws.quantities import look_up
from chalkwatt.laws.relations import Relation, author_order, check_dimensions, symbol
from tests.points import TOPICS

EVERY = [
    pytest.param(relation, id=f"{name}: {relation.title}")
    for name, topic in TOPICS.items()
    for relation in topic.relations
]


def test_the_first_three_topics_are_among_them():
    assert {"load", "pack", "sun"} <= set(TOPICS)


@pytest.mark.parametrize("relation", EVERY)
def test_dimensions(relation):
    check_dimensions(relation)


@pytest.mark.parametrize("relation", EVERY)
def test_every_relation_has_words_and_a_source(relation):
    assert not relation.title[0].islower()
    assert not relation.title.endswith(".")
    assert relation.source
    assert all(one.endswith((".", "!")) for one in relation.assumptions)


@pytest.mark.parametrize("relation", [one for one in EVERY if not one.values[0].standing])
def test_one_factor_of_mass_too_many_is_seen(relation):
    with sympy.evaluate(False):  # noqa: FBT003  SymPy's own signature
        wrong = dataclasses.replace(relation, right=symbol("mass") * relation.right)
    with pytest.raises(UnitError, match="is in"):
        check_dimensions(wrong)


@pytest.mark.parametrize(
    ("right", "said"),
    [
        (lambda q: q.mass * q.speed, "but the other side in"),
        (lambda q: q.air_force + q.speed, "cannot be added"),
        (lambda q: q.air_force + 3, "cannot be added"),
        (lambda q: q.air_force * sympy.sin(q.speed), "needs a plain number"),
        (lambda q: q.air_force ** (q.mass / q.mass), "needs a plain number"),
        (lambda q: sympy.sqrt(q.air_force), "but the other side in"),
        (lambda q: q.air_force * sympy.exp(q.mass), "needs a plain number"),
    ],
)
def test_wrong_dimensions_are_named(right, said):
    with author_order() as q:
        wrong = Relation("Wrong", q.road_force, right(q), source="none")
    with pytest.raises(UnitError, match=said) as caught:
        check_dimensions(wrong)
    assert str(caught.value).startswith("Wrong: ")


def test_a_missing_unit_is_seen():
    # The speed of sound left as a bare number: 340 is no speed.
    with author_order() as q:
        wrong = Relation("Wrong", q.air_force, q.coast_down_square * q.speed * 340, source="none")
    with pytest.raises(UnitError):
        check_dimensions(wrong)


def test_a_condition_is_checked_too():
    with author_order() as q:
        wrong = Relation("Wrong", q.speed, q.headwind, source="none", where=(q.speed - q.mass,))
    with pytest.raises(UnitError, match="cannot be added"):
        check_dimensions(wrong)


def test_sides_keep_the_authors_order():
    with author_order() as q:
        made = Relation("Order", q.road_force, q.rolling_force + q.air_force, source="none")
    assert made.sides == ("road_force", ("+", "rolling_force", "air_force"))
    assert made.names == ("road_force", "rolling_force", "air_force")


@pytest.mark.parametrize(
    ("name", "assumption"),
    [("mass", "is_positive"), ("speed", "is_nonnegative"), ("grade", "is_real")],
)
def test_symbols_know_their_bounds(name, assumption):
    assert getattr(symbol(name), assumption)
    assert symbol(name) is symbol(name)


def test_standing_values_lie_within_bounds():
    for topic in TOPICS.values():
        for one in topic.network.standing:
            if isinstance(one.sides[1], int | float) and abs(one.sides[1]) != sympy.oo:
                assert look_up(one.names[0]).inside(float(one.sides[1])), one.title
