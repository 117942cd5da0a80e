"""The command line: what it makes, what it says when something is wrong, how it can be stopped."""

import os
import signal
import subprocess
import sys
import time

from chalkwatt.__main__ import main
from tests.browsing import ROOT

SHEET = """
[vehicle]
name = "Wren"
invented = true
[values.cell_count]
value = 96
origin = "counted"
[values.cell_energy]
value = "18 Wh"
origin = "quoted"
"""


def command(*given, **options):
    return subprocess.run(
        [sys.executable, "-m", "chalkwatt", *map(str, given)],
        env=os.environ | {"PYTHONPATH": str(ROOT / "kit")},
        capture_output=True,
        text=True,
        check=False,
        **options,
    )


def test_an_episode_from_the_command_line(tmp_path):
    place = tmp_path / "wren.toml"
    place.write_text(SHEET, encoding="utf-8")
    first = command("episode", place, "-o", tmp_path / "out", "--kind", "svg", "--quiet")
    assert (first.returncode, first.stderr) == (0, "")
    assert "This is the first time" in first.stdout
    assert (tmp_path / "out" / "cards" / "pack_energy.svg").is_file()
    start = time.perf_counter()
    again = command("episode", place, "-o", tmp_path / "out", "--kind", "svg")
    assert time.perf_counter() - start < 5  # a second is meant; the machine may be busy
    assert again.stdout.startswith("0 files made")
    assert "No number changed" in again.stdout
    place.write_text(SHEET.replace("96", "108"), encoding="utf-8")
    changed = command("episode", place, "-o", tmp_path / "out", "--kind", "svg")
    assert "cell count: 96 → 108" in changed.stdout
    assert "pack energy: 1.728 kWh → 1.944 kWh" in changed.stdout
    assert "100%" in changed.stderr  # the progress


def test_what_is_wrong_is_one_line_and_no_traceback(tmp_path, capsys):
    place = tmp_path / "wren.toml"
    place.write_text(SHEET.replace("cell_count", "cell_cuont"), encoding="utf-8")
    out = str(tmp_path / "out")
    for given in (
        ["episode", str(tmp_path / "none.toml"), "-o", out],
        ["episode", str(place), "-o", out],
        ["episode", str(ROOT / "assets" / "quillwort.toml"), "-o", out, "--theme", "pink"],
        ["episode", str(place), "-o", out, "--script", str(tmp_path / "none.md")],
        ["glossary", "-o", str(place / "glossary.html")],
    ):
        assert main(given) == 2
        said = capsys.readouterr()
        assert said.out == ""
        assert said.err.startswith("chalkwatt: ")
        assert said.err.count("\n") == 1
        assert "Traceback" not in said.err
    assert not (tmp_path / "out").exists()


def test_a_typo_is_told_with_its_line_and_what_was_meant(tmp_path, capsys):
    place = tmp_path / "wren.toml"
    place.write_text(SHEET.replace("cell_count", "cell_cuont"), encoding="utf-8")
    assert main(["episode", str(place), "-o", str(tmp_path / "out")]) == 2
    said = capsys.readouterr().err
    assert "line 5" in said
    assert "cell_count" in said


def test_the_glossary_from_the_command_line(tmp_path, capsys):
    place = tmp_path / "glossary.html"
    assert main(["glossary", "-o", str(place)]) == 0
    assert "drag_area" in place.read_text(encoding="utf-8")
    assert "glossary.html is written" in capsys.readouterr().out
    page = place.read_text(encoding="utf-8")
    assert "Where sources disagree" in page
    assert "0.55 city, 0.45 highway" in page


def test_stopped_by_hand_it_says_so_and_goes_on_later(tmp_path):
    given = [sys.executable, "-m", "chalkwatt", "episode", ROOT / "assets" / "quillwort.toml"]
    run = subprocess.Popen(
        [*given, "-o", tmp_path / "out"],
        env=os.environ | {"PYTHONPATH": str(ROOT / "kit")},
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )
    while not (tmp_path / "out" / "script.md").exists():
        assert run.poll() is None
        time.sleep(0.05)
    run.send_signal(signal.SIGINT)
    _, said = run.communicate(timeout=60)
    assert run.returncode == 130
    assert "the same command makes the rest" in said
    assert "Traceback" not in said
    assert (tmp_path / "out" / "episode.json").is_file()


def test_quiet_says_nothing_of_what_the_sheet_leaves_open(tmp_path, capsys):
    place = tmp_path / "wren.toml"
    place.write_text(SHEET)
    assert main(["episode", str(place), "-o", str(tmp_path / "loud")]) == 0
    assert "No pack mass" in capsys.readouterr().out
    assert main(["episode", str(place), "-o", str(tmp_path / "out"), "--quiet"]) == 0
    said = capsys.readouterr()
    assert said.err == ""
    assert "No pack mass" not in said.out
    assert said.out.splitlines()[0].endswith("kept.")  # what was done is still told
    # And so is what was done about an author's own.
    (tmp_path / "out" / "script.md").write_text("MINE")
    place.write_text(SHEET.replace("96", "108"))
    assert main(["episode", str(place), "-o", str(tmp_path / "out"), "--quiet"]) == 0
    assert "script.md" in capsys.readouterr().out
