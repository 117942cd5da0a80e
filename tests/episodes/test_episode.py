"""An episode: built twice alike, built again only where it must be, and what changed told in full."""

import json
import os
import random
import re
import signal
import time
from dataclasses import replace

import pytest

import chalkwatt as cw
from chalkwatt.episodes import recipe
from chalkwatt.episodes.changes import changes_between, changes_text
from chalkwatt.episodes.ledger import LEDGER, Ledger, Number, Shown
from chalkwatt.episodes.recipe import Choices
from chalkwatt.errors import ChalkwattError
from tests.browsing import ROOT

DEMO = ROOT / "assets" / "quillwort.toml"
LISTS = {"changes.md", "pictures.md"}
# Small enough to be built a dozen times: a pack of cells that are all counted.
SMALL = """
[vehicle]
name = "Wren"
invented = true
[values.cell_count]
value = 96
origin = "counted"
[values.cell_energy]
value = "18 Wh"
origin = "quoted"
range = ["17 Wh", "18.5 Wh"]
shape = "triangular"
[values.friction]
value = 0.9
origin = "assumed"
[[claims]]
quantity = "pack_energy"
value = "1.7 kWh"
said_by = "the maker"
"""


def contents(folder):
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in sorted(folder.rglob("*"))
        if path.is_file()
    }


def sheet(**values):
    made = cw.Sheet.parse(SMALL)
    for name, value in values.items():
        made = made.revised(name, value)
    return made


@pytest.fixture(scope="module")
def whole(tmp_path_factory):
    """The demo's episode, as the command makes it."""
    folder = tmp_path_factory.mktemp("quillwort")
    return cw.episode(DEMO, folder)


def test_everything_is_there(whole):
    files = contents(whole.folder)
    assert set(files) == {*whole.built, LEDGER}
    assert {
        "script.md",
        "page.html",
        "worksheets/load-1.html",
        "worksheets/load-1-key.html",
    } <= set(files)
    assert {"cards/range.png", "cards/pack_energy.png", "cards/consumption.png"} <= set(files)
    assert {"figures/range-by-speed.png", "figures/losses.png"} <= set(files)
    for place in (1, 2, 3):
        assert {
            f"claims/{place}-range{end}" for end in (".html", "-spread.png", "-values.png")
        } <= set(files)
    steps = [one for one in files if one.startswith("build/range/")]
    # Three pictures a line of the working: its symbols, its numbers, its result.
    shown = cw.Sheet.read(DEMO).find("range", speed="90 km/h").working.steps
    assert len(steps) == 3 * len(shown) > 0
    assert re.fullmatch(r"build/range/\d\d-range-3.png", max(steps))
    assert whole.complete
    assert whole.first
    assert whole.changes == ()
    assert whole.notes == ()


def test_every_picture_has_its_words(whole):
    listed = (whole.folder / "pictures.md").read_text(encoding="utf-8")
    pictures = [one for one in whole.built if one.endswith(".png")]
    for one in pictures:
        words = re.search(rf"^- {re.escape(one)}: (.+)$", listed, re.MULTILINE)
        assert words, one
        # A line of symbols alone has no number; every other picture says at least one.
        assert re.search(r"\d", words[1]) or one.endswith("-1.png"), one
    assert listed.count("\n- ") == len(pictures)


def test_the_script_says_what_the_sheet_gives(whole):
    text = (whole.folder / "script.md").read_text(encoding="utf-8")
    quillwort = cw.Sheet.read(DEMO)
    said = re.search(r"By all that is known of it, about (\d+) kilometres", text)[1]
    assert abs(int(said) - quillwort.find("range", speed="90 km/h").to("km")) <= 5
    for claim in quillwort.claims:
        assert quillwort.judge(claim).sentence in text
    assert "Quillwort is invented" in text


def test_built_twice_it_is_the_same_to_the_last_byte(tmp_path):
    first, second = (cw.episode(sheet(), tmp_path / name) for name in ("one", "two"))
    assert first.built == second.built
    assert contents(first.folder) == contents(second.folder)


def test_a_second_run_makes_nothing_and_is_quick(whole, monkeypatch):
    before = contents(whole.folder)

    def never(*_):
        pytest.fail("something was made")

    monkeypatch.setattr(recipe, "products", never)
    start = time.process_time()
    again = cw.episode(DEMO, whole.folder)
    assert time.process_time() - start < 1  # of this process; the machine may be busy
    assert again.built == ()
    assert set(again.kept) == set(whole.built)
    assert again.changes == ()
    assert "No number changed" in again.text
    assert contents(whole.folder) == before


def made_products(monkeypatch):
    """Note which products are made."""
    names = []
    real = recipe.products

    def noting(*given):
        listed = real(*given)
        for one in listed:

            def make(one=one, make=one.make):
                names.append(one.name)
                return make()

            one.make = make
        return listed

    monkeypatch.setattr(recipe, "products", noting)
    return names


def test_one_changed_value_is_told_in_full_and_only_what_rests_on_it_is_made(tmp_path, monkeypatch):
    cw.episode(sheet(), tmp_path)
    before = contents(tmp_path)
    names = made_products(monkeypatch)
    later = cw.episode(sheet(cell_count=108), tmp_path)
    assert set(names) == {
        "script", "page", "cards/pack_energy", "build/pack_energy", "claims/1-pack_energy",
        "claims/1-pack_energy-figures", "cards/usable_energy",
    }  # fmt: skip
    changes = {one.name: one for one in later.changes}
    assert (changes["cell_count"].old, changes["cell_count"].new) == ("96", "108")
    energy = changes["pack_energy"]
    assert energy.old.startswith("1.728 kWh (1.6")
    assert energy.new.startswith("1.944 kWh (1.8")
    # 96 and 108 of 18 Wh are 1.728 and 1.944 kWh: by hand.
    after = contents(tmp_path)
    shown = {one.partition(",")[0] for one in energy.where}
    for path in (
        "cards/pack_energy.png", "claims/1-pack_energy-spread.png", "claims/1-pack_energy.html",
        "page.html", "script.md", "build/pack_energy/01-pack_energy-3.png",
    ):  # fmt: skip
        assert path in shown, path
        assert before[path] != after[path], path
    assert "build/pack_energy/01-pack_energy-1.png" not in shown  # symbols alone
    line, sentence = (one for one in energy.where if one.startswith("script.md, line"))
    assert "its pack energy is" in sentence
    number = int(re.search(r"script\.md, line (\d+)", line)[1])
    words = re.search("“(.*)”", line)[1]
    assert words in after["script.md"].decode().split("\n")[number - 1]
    # All energy counts as usable where nothing is said of it, so that the usable energy moves, too.
    assert set(changes) == {"cell_count", "pack_energy", "usable_energy", "chance 1"}
    told = after["changes.md"].decode()
    for change in later.changes:
        assert f"- {change.text}\n" in told
    assert "cell count: 96 → 108" in later.text


def test_a_script_that_only_asks_is_made_again_when_the_answer_moves(tmp_path, monkeypatch):
    asking = cw.Sheet.parse(SMALL.partition("[[claims]]")[0])
    cw.episode(asking, tmp_path)
    names = made_products(monkeypatch)
    cw.episode(asking.revised("cell_count", 108), tmp_path)
    assert "script" in names
    assert "just under two kilowatt-hours" in (tmp_path / "script.md").read_text(encoding="utf-8")


def test_what_nothing_shows_makes_only_the_page_of_the_sheet(tmp_path, monkeypatch):
    cw.episode(sheet(), tmp_path)
    names = made_products(monkeypatch)
    later = cw.episode(sheet(friction=0.8), tmp_path)
    assert names == ["page"]
    assert [(one.name, one.old, one.new, one.where) for one in later.changes] == [
        ("friction", "0.9", "0.8", ("page.html",))
    ]


def test_a_range_that_moved_is_told_where_a_spread_is_shown(tmp_path):
    cw.episode(sheet(), tmp_path)
    wider = sheet().revised("cell_energy", "18 Wh", range=["16 Wh", "19 Wh"])
    later = cw.episode(wider, tmp_path)
    energy = next(one for one in later.changes if one.name == "pack_energy")
    assert energy.old.startswith("1.728 kWh (")
    assert energy.new.startswith("1.728 kWh (")
    assert energy.old != energy.new
    assert "claims/1-pack_energy-spread.png" in energy.where
    assert "cards/pack_energy.png" not in energy.where  # it shows the value alone


def test_a_comment_or_a_new_note_changes_no_number(tmp_path, monkeypatch):
    cw.episode(sheet(), tmp_path)
    names = made_products(monkeypatch)
    later = cw.episode(cw.Sheet.parse(f"# a word\n{SMALL}"), tmp_path)
    assert names == []
    assert later.changes == ()


def test_a_claim_that_is_gone_takes_its_files_with_it(tmp_path):
    cw.episode(sheet(), tmp_path)
    mine = tmp_path / "claims" / "mine.txt"
    mine.write_text("mine")
    edited = tmp_path / "claims" / "1-pack_energy.html"
    edited.write_text("edited by hand")
    later = cw.episode(cw.Sheet.parse(SMALL.partition("[[claims]]")[0]), tmp_path)
    assert set(later.removed) == {
        "claims/1-pack_energy-spread.png", "claims/1-pack_energy-values.png"
    }  # fmt: skip
    assert mine.read_text() == "mine"
    assert edited.read_text() == "edited by hand"  # nobody's work is thrown away
    assert any(one.name == "claim 1" and not one.new for one in later.changes)


@pytest.mark.parametrize("path", ["cards/pack_energy.png", "script.md", "changes.md"])
def test_a_deleted_file_is_made_again(tmp_path, path):
    cw.episode(sheet(), tmp_path)
    before = contents(tmp_path)
    (tmp_path / path).unlink()
    again = cw.episode(sheet(), tmp_path)
    assert set(again.built) <= {path, *LISTS}
    assert path in again.built or path in LISTS
    assert again.changes == ()
    assert contents(tmp_path) == before


@pytest.mark.parametrize(
    "text",
    [
        "",
        "{",
        "[]",
        "null",
        '{"form": 1}',
        '{"form": 99, "whole": "x"}',
        "[" * 100_000,
        json.dumps({"form": 1, "whole": "x", "numbers": {}, "carriers": {}, "changes": [],
                    "entries": {"a": {"key": "", "rests_on": [], "files": {"../../x": {
                        "digest": "", "alt": "", "shows": []}}}}}),
    ],
)  # fmt: skip
def test_a_ledger_that_makes_no_sense_counts_as_none(tmp_path, text):
    (tmp_path / LEDGER).write_text(text)
    assert Ledger.read(tmp_path) == Ledger()


def test_stopped_and_called_again_it_makes_the_rest(tmp_path):
    asked = iter([False, False, False, True])
    part = cw.episode(sheet(), tmp_path / "a", stop=lambda: next(asked))
    assert not part.complete
    assert part.built
    rest = cw.episode(sheet(), tmp_path / "a")
    assert set(rest.kept) == set(part.built)
    assert rest.first
    cw.episode(sheet(), tmp_path / "b")
    assert contents(tmp_path / "a") == contents(tmp_path / "b")


def test_stopped_half_way_through_a_change_the_list_still_tells_it_all(tmp_path):
    cw.episode(sheet(), tmp_path)
    asked = iter([False, False, True])
    cw.episode(sheet(cell_count=108), tmp_path, stop=lambda: next(asked))
    later = cw.episode(sheet(cell_count=108), tmp_path)
    assert {one.name for one in later.changes} == {
        "cell_count", "pack_energy", "usable_energy", "chance 1",
    }  # fmt: skip


def test_killed_at_random_moments_every_file_is_the_old_or_the_new_one(tmp_path):
    old, new = sheet(), sheet(cell_count=108)
    states = []
    for one in (old, new):
        cw.episode(one, tmp_path / "whole")
        states.append(contents(tmp_path / "whole"))
    folder = tmp_path / "killed"
    cw.episode(old, folder)
    draw = random.Random(3)  # noqa: S311  moments, no secrets
    for place in range(8):
        child = os.fork()
        if child == 0:
            try:
                cw.episode((new, old)[place % 2], folder)
            finally:
                os._exit(0)
        time.sleep(draw.uniform(0.05, 1.5))
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
        for path, data in contents(folder).items():
            if path.endswith(".part") or path in {LEDGER, "changes.md"}:
                continue
            assert data in {one.get(path) for one in states}, path
        json.loads((folder / LEDGER).read_text())
    cw.episode(new, folder)
    left = contents(folder)
    assert not [path for path in left if path.endswith(".part")]
    for path, data in states[1].items():
        if path not in {LEDGER, "changes.md"}:
            assert left[path] == data, path


HOSTILE = """<script>alert(1)</script>{{ 7*7 }}{% for x in y %} [x](javascript:1) ![](http://x.invalid/a)"""


def test_hostile_text_in_a_sheet_stays_text(tmp_path):
    quoted = json.dumps(HOSTILE)
    text = (
        SMALL.replace('name = "Wren"', f"name = {quoted}\nstory = {quoted}")
        .replace('said_by = "the maker"', f"said_by = {quoted}\nseen = {quoted}")
        .replace('origin = "counted"', f'origin = "counted"\nnote = {quoted}\nseen = {quoted}')
    )
    hostile = cw.Sheet.parse(text)
    cw.episode(hostile, tmp_path)
    later = cw.episode(hostile.revised("cell_count", 108), tmp_path)
    assert any("claim 1" in one.text for one in later.changes)
    for path, data in contents(tmp_path).items():
        if path == LEDGER or path.endswith(".png"):
            continue
        told = data.decode()
        assert "<script>alert" not in told, path
        assert "49" not in told or path != "script.md"
        if path.endswith(".md"):
            assert not re.search(r"(?<!\\)\[x(?<!\\)\]\(", told), path
            assert not re.search(r"(?<!\\)!\[\]|(?<!\\)<script", told), path
        else:
            assert "<a href" not in told
            assert 'src="http' not in told


def test_choices_that_are_none_are_refused_before_anything_is_made(tmp_path):
    for choice in ({"theme": "pink"}, {"size": "huge"}, {"ground": "wet"}, {"kind": "gif"}):
        with pytest.raises(ChalkwattError):
            cw.episode(sheet(), tmp_path / "none", **choice)
    assert not (tmp_path / "none").exists()
    assert Choices(kind="svg").look["kind"] == "svg"


def test_a_sheet_that_answers_nothing_says_so(tmp_path):
    empty = cw.Sheet.parse('[vehicle]\nname = "Wren"\n')
    with pytest.raises(ChalkwattError, match="answers none of the main questions"):
        cw.episode(empty, tmp_path)


def test_the_script_beside_the_sheet_is_taken(tmp_path):
    place = tmp_path / "wren.toml"
    place.write_text(SMALL, encoding="utf-8")
    (tmp_path / "wren.script.md").write_text("It holds {{ pack_energy }}.\n", encoding="utf-8")
    cw.episode(place, tmp_path / "out")
    told = (tmp_path / "out" / "script.md").read_text(encoding="utf-8")
    assert told == "It holds about 1.7 kilowatt-hours.\n"
    (tmp_path / "wren.script.md").write_text("Holds {{ pack_enrgy }}.\n", encoding="utf-8")
    with pytest.raises(ChalkwattError, match="Line 1 of the script"):
        cw.episode(place, tmp_path / "out")


@pytest.mark.parametrize(
    ("choice", "message"),
    [
        ({"script": "{{ range("}, "Line 1 of the script"),
        ({"script": "{{ nothing }}"}, "nothing stands behind"),
        ({"seed": -1}, "Give a whole number from 0 to"),
        ({"seed": 10**400}, "Give a whole number from 0 to"),
        ({"seed": "a"}, "seed must be a whole number"),
        ({"stop": 3}, "stop must be a function, not 3"),
        ({"size": "vast"}, "no size"),
        ({"kind": "gif"}, "cannot be written"),
    ],
)
def test_what_is_wrong_with_a_call_leaves_nothing_behind(tmp_path, choice, message):
    if "script" in choice:
        (tmp_path / "mine.md").write_text(choice["script"], encoding="utf-8")
        choice = {"script": tmp_path / "mine.md"}
    place = tmp_path / "not" / "there"
    with pytest.raises(ChalkwattError, match=message):
        cw.episode(sheet(), place, **choice)
    assert not place.parent.exists()


def test_one_line_tells_a_change_once():
    there = {"a": Number("mass", 2.0, 2.0, 2.0, "mass", "kg")}
    before = {f"{one}, otherwise": Number("speed", 1.0, 1.0, 1.0, "speed", "m/s") for one in "xyz"}
    after = {name: replace(one, si=2.0, low=2.0, high=2.0) for name, one in before.items()}
    shown = {f"{one}.png": [Shown(f"{one}, otherwise", 2.0)] for one in "xyz"}
    made = changes_between(before | there, after | there, {}, shown)
    assert [one.text for one in made] == ["speed: 1 m/s → 2 m/s"]
    assert made[0].where == ("x.png", "y.png", "z.png")
    assert changes_text(made).count("→") == 1


def test_a_count_is_told_to_the_last_cell(tmp_path):
    (tmp_path / "mine.md").write_text("It has {{ cell_count }} cells.", encoding="utf-8")
    made = sheet(cell_count=3456)
    assert cw.script((tmp_path / "mine.md").read_text(encoding="utf-8"), made).text == (
        "It has 3456 cells."
    )
    series = cw.pack.find("cells_in_parallel", cell_count=3456, cells_in_series=96)
    assert series.working.spoken.endswith("Cells in parallel are 36.")
    uneven = cw.pack.find("cells_in_parallel", cell_count=3457, cells_in_series=96)
    assert "are about 36.01" in uneven.working.spoken
