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


def test_a_change_that_nobody_notices_is_reported():
    done = asked("--only", "^load: Grade ", "tests/mutations/blind.py")
    assert done.returncode == 1, done.stderr
    assert "load: Grade | sin → cos | SURVIVED" in done.stdout
    # No sign goes unseen, even here.
    assert "load: Grade | − before all | mutations/blind.py::test_blind" in done.stdout


@pytest.mark.parametrize("only", ["^load: (Air drag|Grade|Rolling resistance) "])
def test_changes_are_noticed(only):
    done = asked("--only", only, "--sample", "8", "tests/external/test_load.py")
    print(done.stdout)
    assert done.returncode in {0, 1}, done.stderr
    assert done.stdout.count("external/test_load.py::") >= 6
