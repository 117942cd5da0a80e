"""What is stored is what the notebooks give: nbval passes twice, and sees one changed digit."""

import json
import os
import re
import shutil
import subprocess
import sys

import nbformat
import pytest

from tests.browsing import ROOT
from tests.notebooks.store import FOLDER, NAMES, VIEW, executed

ADDRESS_OR_PATH = re.compile(r"0x[0-9a-f]{6,}|(?<![\w.~])/(?:tmp|home|root)/\w")


def notebook(name):
    return nbformat.read(FOLDER / f"{name}.ipynb", as_version=4)


def run_nbval(*paths):
    return subprocess.run(
        [
            sys.executable,
            "-m",
            "pytest",
            "--nbval",
            f"--nbval-sanitize-with={ROOT / 'tests' / 'notebooks' / 'sanitize.cfg'}",
            "--override-ini=addopts=",
            f"--rootdir={ROOT}",
            "-p",
            "no:cacheprovider",
            "-q",
            *paths,
        ],
        cwd=ROOT,
        env=os.environ | {"PYTHONPATH": str(ROOT / "kit"), "COLUMNS": "200"},
        capture_output=True,
        text=True,
        check=False,
    )


def test_nbval_passes_twice_and_touches_nothing():
    paths = [FOLDER / f"{name}.ipynb" for name in NAMES]
    before = [path.read_bytes() for path in paths]
    for _ in range(2):
        result = run_nbval(*paths)
        assert result.returncode == 0, result.stdout[-3000:]
        assert [path.read_bytes() for path in paths] == before


def numbers_of(name):
    """Yield each place where a notebook displays a number: cell, output, kind."""
    for place, cell in enumerate(notebook(name).cells):
        for number, output in enumerate(cell.get("outputs", ())):
            if output.output_type == "stream":
                yield place, number, "stream"
            for kind in output.get("data", ()):
                yield place, number, kind


@pytest.mark.parametrize(
    ("name", "kind"),
    [("start", "text/plain"), ("pack", "stream"), ("load", "text/latex"), ("sun", "text/html")],
)
def test_nbval_fails_when_a_displayed_number_is_changed(tmp_path, name, kind):
    (tmp_path / "notebooks").mkdir()
    shutil.copytree(ROOT / "assets" / "data", tmp_path / "assets" / "data")
    shutil.copy(ROOT / "assets" / "quillwort.toml", tmp_path / "assets")
    copy = notebook(name)
    places = [place for place in numbers_of(name) if place[2] == kind]
    place, number, _ = places[len(places) // 2]
    output = copy.cells[place].outputs[number]
    text = output.text if kind == "stream" else output.data[kind]
    # The last digit that is displayed, up by one.
    *_, shown = re.finditer(r"\d(?=[^<>\d]*(?:<|$))", text, flags=re.MULTILINE)
    changed = f"{text[: shown.start()]}{(int(shown[0]) + 1) % 10}{text[shown.end() :]}"
    if kind == "stream":
        output.text = changed
    else:
        output.data[kind] = changed
    del copy.cells[place + 1 :]
    path = tmp_path / "notebooks" / f"{name}.ipynb"
    nbformat.write(copy, path)
    result = run_nbval(path)
    assert result.returncode == 1
    assert "1 failed" in result.stdout
    assert f"Cell {sum(cell.cell_type == 'code' for cell in copy.cells) - 1}" in result.stdout


@pytest.mark.parametrize("name", NAMES)
def test_outputs_are_stored_and_need_no_kernel(name):
    stored = notebook(name)
    code = [cell for cell in stored.cells if cell.cell_type == "code"]
    assert [cell.execution_count for cell in code] == list(range(1, len(code) + 1))
    outputs = [output for cell in code for output in cell.outputs]
    boards = [one.data for one in outputs if "cw-still" in one.get("data", {}).get("text/html", "")]
    assert boards
    for data in boards:
        assert re.search(r"\d", data["text/plain"])
        assert data["text/latex"].startswith("$$")
        assert "<table>" in data["text/html"]
        assert "<img alt=" in data["text/html"]
    for output in outputs:
        assert output.output_type != "error"
        assert output.get("name") != "stderr"
        assert VIEW not in output.get("data", {})


@pytest.mark.parametrize("name", NAMES)
def test_nothing_of_one_run_or_machine_is_stored(name):
    stored = notebook(name)
    assert set(stored.metadata) == {"kernelspec", "language_info"}
    assert all(cell.metadata == {} for cell in stored.cells)
    assert not ADDRESS_OR_PATH.search(json.dumps(stored))


def test_a_stored_notebook_is_the_same_to_the_last_character():
    path = FOLDER / "start.ipynb"
    assert nbformat.writes(executed(path)) + "\n" == path.read_text(encoding="utf-8")


@pytest.mark.parametrize("name", NAMES)
def test_the_invented_is_marked_and_the_caution_is_there(name):
    prose = "\n".join(c.source for c in notebook(name).cells if c.cell_type == "markdown")
    assert re.search(r"\*\*(?:This car is )?invented\*\*", prose)
    assert re.search(r"\*\*Caution\.\*\*|carries a warning", prose)
