"""The script that changes relations on purpose still finds tests that notice, and says if none does.

The whole run is on demand: `python -m tests.mutations.relations`.
"""

import subprocess
import sys
from pathlib import Path

import pytest

from tests.mutations.changes import changes
from tests.mutations.relations import mutants

ROOT = Path(__file__).parents[2]


def asked(*arguments):
    command = [sys.executable, "-m", "tests.mutations.relations", *arguments]
    return subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)


def test_a_tree_is_changed_in_every_place():
    # m g sin θ - ½ ρ v²
    tree = ("+", ("*", "m", "g", ("sin", "θ")), ("-", ("/", ("*", "ρ", ("^", "v", 2)), 2)))
    words = {one.words for one in changes(tree)}
    assert words >= {
        "all × 1.1", "− before all", "sign of (m·g·sin(θ))", "sign of ((ρ·(v^2))/2)",
        "(m·g·sin(θ)) left out", "m left out", "g across the bar", "sin → cos", "− inside sin",
        "v^2 → v", "v^2 → ^3", "2 × 1.1", "2 left out",
    }  # fmt: skip
    assert len({str(one.tree) for one in changes(tree)} | {str(tree)}) > len(words) - 5


def test_every_relation_is_changed():
    changed = {id(one.relation) for one in mutants() if one.relation is not None}
    from tests.mutations.relations import relations

    assert {id(one) for one in relations()} == changed


def test_conditions_and_rest_are_changed():
    from tests.mutations.relations import IMPLIED, relations

    made = mutants()
    titles = {one.title: one for one in relations()}
    assert all(len(titles[title].conditions) > place for title, place in IMPLIED)
    for relation in relations():
        of_it = [one for one in made if one.relation is relation]
        gone = [one.side for one in of_it if one.part == "conditions" and one.change.tree is None]
        places = range(len(relation.conditions))
        assert gone == [one for one in places if (relation.title, one) not in IMPLIED], relation
        assert any(one.part == "rest" for one in of_it) == (relation.rest is not None), relation


@pytest.mark.parametrize("change", ["rest: never", "where: left out"])
def test_a_condition_is_changed_in_the_plans(change):
    """With nothing in its way a vehicle moves that should rest, and lower currents are higher ones."""
    asked_of = {
        "rest: never": ("sun: Balance of sun and road", "tests/independent/test_sun_and_idle.py"),
        "where: left out": ("load: Lost in the pack", "tests/independent/test_losses.py"),
    }
    relation, tests = asked_of[change]
    done = asked("--only", rf"^{relation} \| {change}$", tests)
    assert done.returncode == 0, done.stdout + done.stderr
    assert f"| {change} | independent/" in done.stdout


def test_a_change_that_nobody_notices_is_reported():
    done = asked("--only", r"^\w+: Grade \|", "tests/mutations/blind.py")
    assert done.returncode == 1, done.stderr
    assert ": Grade | sin → cos | SURVIVED" in done.stdout
    # No sign goes unseen, even here.
    assert ": Grade | − before all | mutations/blind.py::test_blind" in done.stdout


@pytest.mark.parametrize("only", [r"^\w+: (Air drag|Grade|Rolling resistance) \|"])
def test_changes_are_noticed(only):
    done = asked("--only", only, "--sample", "8", "tests/external/test_load.py")
    print(done.stdout)
    assert done.returncode in {0, 1}, done.stderr
    assert done.stdout.count("external/test_load.py::") >= 6
