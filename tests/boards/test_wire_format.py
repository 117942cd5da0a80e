"""What goes between Python and the browser is what its specification says, and the file holds that.

python -m tests.boards.test_wire_format      writes the specification anew
"""

import json
import re
from functools import cache
from pathlib import Path

import jsonschema
import pytest

import chalkwatt as cw
from chalkwatt.boards import front_end
from chalkwatt.boards.board import Board, start
from chalkwatt.boards.run_board import RunBoard
from chalkwatt.boards.wire_format import Program, Quantity, Step, specification
from chalkwatt.rendering.browser_program import VERSION
from tests.boards.fixture_program import program as by_hand
from tests.boards.loaded import load, topics
from tests.boards.test_run_board import CAR

FILE = Path(front_end.__file__).parent / "wire_format.json"


@cache
def programs():
    """Each topic's board, and one of what is found where a slope is nought."""
    made = {topic.name: start(topic).program for topic in topics()}
    road = {name: one for name, one in cw.load.example.items() if name not in {"speed", "range"}}
    made["economical speed"] = start(cw.load, wanted="economical_speed", **road).program
    return json.loads(json.dumps(made))


def written():
    return json.dumps(specification(Board, RunBoard), indent=1, ensure_ascii=False) + "\n"


def strict(schema):
    """The schema with nothing more allowed than what it names, and nothing read as something else."""
    if isinstance(schema, dict):
        made = {key: strict(value) for key, value in schema.items()}
        return made | {"additionalProperties": False} if "properties" in schema else made
    return [strict(one) for one in schema] if isinstance(schema, list) else schema


@pytest.fixture(scope="module")
def judge():
    return jsonschema.Draft202012Validator(strict(specification()["program"]))


def test_the_file_is_the_specification():
    assert FILE.read_text(encoding="utf-8") == written(), (
        "What is sent has changed: write the file anew (python -m tests.boards.test_wire_format) and, "
        "if a reader of the old shape would misread the new one, count VERSION up in both hosts."
    )


@pytest.mark.parametrize("name", [*(topic.name for topic in topics()), "economical speed"])
def test_every_program_has_its_shape(judge, name):
    judge.validate(programs()[name])


@pytest.mark.parametrize("wrong", [{"unit": 1}, {"cast": "speed"}, {"values": {"speed": "fast"}}])
def test_another_shape_is_seen(judge, wrong):
    assert list(judge.iter_errors({**programs()["load"], **wrong}))


def test_everything_that_a_program_may_hold_is_sent_by_some_topic():
    """What the specification names and nobody sends would be a promise of nothing."""
    sent, steps = set(), set()
    for made in programs().values():
        sent |= {key for entry in made["quantities"].values() for key in entry}
        for plan in made["plans"].values():
            steps |= {key for step in plan["steps"] for key in step}
    assert sent == set(Quantity.__annotations__)
    assert steps == set(Step.__annotations__)
    assert set(programs()["load"]) == set(Program.__annotations__)


def test_rows_of_runs_have_their_shape():
    made = cw.run_board(cw.drive_schedule, cw.schedules.nedc, **CAR)
    judge = jsonschema.Draft202012Validator(strict(specification()["run_row"]))
    for one in made.rows:
        judge.validate(json.loads(json.dumps(one)))


def test_both_hosts_have_one_version(page):
    code = front_end.module()
    assert re.search(r"const VERSION = (\d+);", code)[1] == str(VERSION)
    load(page)
    made = by_hand()
    shown = """(program) => {
        const root = document.body.appendChild(document.createElement("div"));
        try { chalk.mount(root, program); } catch (error) { return [error.message, root.textContent]; }
        return [null, root.textContent];
    }"""
    assert page.evaluate(shown, made)[0] is None
    problem, told = page.evaluate(shown, {**made, "version": VERSION + 1})
    assert problem == told
    assert f"version {VERSION + 1}" in told
    assert f"knows version {VERSION}" in told


if __name__ == "__main__":
    FILE.write_text(written(), encoding="utf-8")
