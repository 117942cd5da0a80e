"""Nothing of the author's is lost: not what lay there, not what was changed by hand, not what a link leads to."""

import importlib
import json
import os
import random
import re
import subprocess
import sys
import threading
import time

import pytest

import chalkwatt as cw
from chalkwatt.__main__ import main
from chalkwatt.episodes import inputs as episode_inputs
from chalkwatt.episodes import questions, recipe
from chalkwatt.episodes.folder_lock import alone_in
from chalkwatt.episodes.keeping import _MAKES, Keeper
from chalkwatt.episodes.ledger import LEDGER, Ledger, digest_of_bytes
from chalkwatt.episodes.questions import Questions
from chalkwatt.episodes.recipe import Choices, products
from chalkwatt.episodes.three_way import merged, moved_lines
from chalkwatt.errors import ChalkwattError
from chalkwatt.store import write_bytes
from tests.browsing import ROOT

TEXT = """
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
[[claims]]
quantity = "pack_energy"
value = "1.7 kWh"
said_by = "the maker"
"""
SHORT = TEXT.partition("[[claims]]")[0]
TEMPLATE = "# {{ vehicle }}\n\nWords.\n\nIt holds {{ pack_energy }}.\n\nThat is all of it.\n"


@pytest.fixture(autouse=True)
def quick(monkeypatch):
    """Make the script, and text in place of page and card: whose a file is does not hang on what is in it."""
    real = recipe.products

    def few(asked, template, choices):
        count = int(asked.sheet.facts["cell_count"].si)
        script = next(one for one in real(asked, template, choices) if one.name == "script")

        def stub(name, path):
            made = recipe.Made(path, f"{name} {count}".encode(), "words" if "card" in name else "")
            return recipe.Product(name, [count], lambda: [made], lambda: [path])

        return [
            script,
            stub("page", "page.html"),
            stub("cards/pack_energy", "cards/pack_energy.svg"),
        ]

    monkeypatch.setattr(recipe, "products", few)
    monkeypatch.setattr(questions, "ASKED", ("pack_energy",))
    template_of = episode_inputs.template_of
    monkeypatch.setattr(
        importlib.import_module("chalkwatt.episodes.episode"),
        "template_of",
        lambda script, beside: template_of(script, beside) if script else TEMPLATE,
    )


def sheet(count=96, text=SHORT):
    return cw.Sheet.parse(text.replace("96", str(count)))


def run(folder, count=96, text=SHORT, **more):
    return cw.episode(sheet(count, text), folder, kind="svg", **more)


def contents(folder):
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in sorted(folder.rglob("*"))
        if path.is_file()
    }


OWN = ["script.md", "page.html", "changes.md", "pictures.md", "cards/pack_energy.svg"]


@pytest.mark.parametrize("path", OWN)
@pytest.mark.parametrize("mode", [0o644, 0o400])
def test_a_file_that_no_episode_made_stops_it_before_anything_is_made(tmp_path, path, mode):
    place = tmp_path / path
    place.parent.mkdir(exist_ok=True)
    place.write_text("MINE")
    place.chmod(mode)
    before = contents(tmp_path)
    with pytest.raises(ChalkwattError) as caught:
        run(tmp_path)
    assert path in str(caught.value)
    assert "--force" in str(caught.value)
    assert "another folder" in str(caught.value)
    assert contents(tmp_path) == before
    assert place.stat().st_mode & 0o777 == mode


@pytest.mark.parametrize("path", OWN)
def test_with_force_it_is_kept_under_another_name(tmp_path, path):
    place = tmp_path / path
    place.parent.mkdir(exist_ok=True)
    stem, _, ending = path.rpartition(".")
    for number, words in enumerate(["MINE", "MINE AGAIN"]):
        place.unlink(missing_ok=True)
        place.write_text(words)
        made = run(tmp_path, force=True)
        name = f"{stem}.mine{'-2' if number else ''}.{ending}"
        assert (tmp_path / name).read_text() == words
        assert "MINE" not in place.read_text()
        assert any(path in one and name in one for one in made.yours)
        if path != "changes.md":
            assert name in (tmp_path / "changes.md").read_text()
    assert (tmp_path / f"{stem}.mine.{ending}").read_text() == "MINE"
    assert run(tmp_path).built == ()


def test_other_files_are_nobodys_business(tmp_path):
    for path in ("notes.txt", "cards/mine.svg", "script.txt", "claims/1-range.mine.html"):
        (tmp_path / path).parent.mkdir(exist_ok=True)
        (tmp_path / path).write_text("MINE")
    run(tmp_path)
    run(tmp_path, 108)
    for path in ("notes.txt", "cards/mine.svg", "script.txt", "claims/1-range.mine.html"):
        assert (tmp_path / path).read_text() == "MINE"


def test_narration_stays_while_the_numbers_move(tmp_path):
    run(tmp_path)
    script = tmp_path / "script.md"
    old = script.read_text(encoding="utf-8")
    lines = old.split("\n")
    lines[2:2] = ["My own words, 1⁄2 of them.", ""]
    lines.append("And the end.")
    script.write_text("\n".join(lines), encoding="utf-8")
    again = run(tmp_path)  # nothing has changed but this
    assert script.read_text(encoding="utf-8") == "\n".join(lines)
    assert any("script.md" in one for one in again.yours)
    later = run(tmp_path, 108)
    fresh = run(tmp_path / "fresh", 108)
    new = (fresh.folder / "script.md").read_text(encoding="utf-8").split("\n")
    new[2:2] = ["My own words, 1⁄2 of them.", ""]
    new.append("And the end.")
    assert script.read_text(encoding="utf-8") == "\n".join(new)
    assert not (tmp_path / "script.new.md").exists()
    # The list of changes names the line as it is now.
    energy = next(one for one in later.changes if one.name == "pack_energy")
    told = next(one for one in energy.where if one.startswith("script.md"))
    number, words = re.fullmatch("script.md, line (\\d+): “(.*)”", told).groups()
    assert words in new[int(number) - 1]
    assert "changed by hand" in (tmp_path / "changes.md").read_text(encoding="utf-8")
    back = run(tmp_path, 96)
    lines[-1:] = ["And the end."]
    assert script.read_text(encoding="utf-8") == "\n".join(lines)
    assert back.complete


def test_where_both_changed_a_line_both_are_kept(tmp_path):
    run(tmp_path)
    script, new = tmp_path / "script.md", tmp_path / "script.new.md"
    mine = re.sub("(It holds .*)", r"\1 So I say.", script.read_text(encoding="utf-8"))
    assert "So I say" in mine
    script.write_text(mine, encoding="utf-8")
    first = run(tmp_path, 132)
    assert script.read_text(encoding="utf-8") == mine
    assert new.is_file()
    assert any("script.new.md" in one for one in first.yours)
    assert run(tmp_path, 132).built == ()
    # As long as it lies there, it is brought up to date and nothing is merged behind the author's back.
    run(tmp_path, 200)
    assert script.read_text(encoding="utf-8") == mine
    fresh = run(tmp_path / "fresh", 200)
    assert new.read_bytes() == (fresh.folder / "script.md").read_bytes()
    # Taken over by hand and deleted: the script is the author's to keep up, and the file does not return.
    new.unlink()
    run(tmp_path, 200)
    assert script.read_text(encoding="utf-8") == mine
    assert not new.exists()


def test_lines_that_end_as_on_another_system_are_no_change(tmp_path):
    run(tmp_path)
    script = tmp_path / "script.md"
    data = script.read_bytes().replace(b"\n", b"\r\n") + b"Mine.\r\n"
    script.write_bytes(data)
    run(tmp_path, 108)
    merged_data = script.read_bytes()
    assert merged_data.endswith(b"Mine.\r\n")
    assert b"\n" not in merged_data.replace(b"\r\n", b"")
    assert not (tmp_path / "script.new.md").exists()


@pytest.mark.parametrize("path", [one for one in OWN if one != "script.md"])
@pytest.mark.parametrize("words", ["MINE", ""])
def test_what_was_changed_by_hand_stays_and_the_new_one_lies_beside_it(tmp_path, path, words):
    run(tmp_path)
    fresh = contents(run(tmp_path / "fresh", 108).folder)
    place = tmp_path / path
    stem, _, ending = path.rpartition(".")
    new = tmp_path / f"{stem}.new.{ending}"
    place.write_text(words)
    again = run(tmp_path)
    assert place.read_text() == words
    assert new.is_file()
    assert any(path in one and new.name in one for one in again.yours)
    later = run(tmp_path, 108)
    assert place.read_text() == words
    if path.endswith("md"):
        assert new.is_file()
    else:
        assert new.read_bytes() == fresh[path]
    assert run(tmp_path, 108).built == ()
    assert any(path in one for one in run(tmp_path, 108).yours)
    assert later.changes
    # Deleting one's own puts the new one in its place.
    place.unlink()
    run(tmp_path, 108)
    assert place.is_file()
    assert not new.exists()
    assert run(tmp_path, 108).yours == ()


@pytest.mark.parametrize("path", [one for one in OWN if one != "pictures.md"])  # its words stay
def test_what_was_made_read_only_stays_as_it_is(tmp_path, path):
    run(tmp_path)
    fresh = contents(run(tmp_path / "fresh", 108).folder)
    place = tmp_path / path
    before = place.read_bytes()
    place.chmod(0o444)
    assert run(tmp_path).yours == ()  # nothing new is to be put there
    moved = run(tmp_path, 108)
    assert place.read_bytes() == before
    assert place.stat().st_mode & 0o777 == 0o444
    stem, _, ending = path.rpartition(".")
    if path != "changes.md":
        assert (tmp_path / f"{stem}.new.{ending}").read_bytes() == fresh[path]
    assert any(f"{path} is read-only and is kept" in one for one in moved.yours)


def test_what_is_read_only_is_not_removed(tmp_path):
    run(tmp_path)
    ledger = Ledger.read(tmp_path)
    (tmp_path / "page.html").chmod(0o444)
    files = {path: one for entry in ledger.entries.values() for path, one in entry.files.items()}
    removed = Keeper(tmp_path, ledger, force=False).remove(files)
    assert (tmp_path / "page.html").exists()
    assert "page.html" not in removed
    assert "cards/pack_energy.svg" in removed


def test_what_lies_beside_is_kept_too_when_it_was_changed(tmp_path):
    run(tmp_path)
    (tmp_path / "page.html").write_text("MINE")
    run(tmp_path)
    (tmp_path / "page.new.html").write_text("MINE, TOO")
    with pytest.raises(ChalkwattError, match=r"page\.new\.html"):
        run(tmp_path, 108)
    assert (tmp_path / "page.new.html").read_text() == "MINE, TOO"


def test_force_puts_the_new_one_in_place_of_what_was_changed(tmp_path):
    run(tmp_path)
    fresh = contents(run(tmp_path / "fresh", 108).folder)
    for path in ("page.html", "cards/pack_energy.svg"):
        (tmp_path / path).write_text(f"MINE {path}")
    run(tmp_path)
    made = run(tmp_path, 108, force=True)
    assert len(made.yours) == 2
    for path in ("page.html", "cards/pack_energy.svg"):
        stem, _, ending = path.rpartition(".")
        assert (tmp_path / path).read_bytes() == fresh[path]
        assert (tmp_path / f"{stem}.mine.{ending}").read_text() == f"MINE {path}"
        assert not (tmp_path / f"{stem}.new.{ending}").exists()


@pytest.mark.parametrize("name", ["", " ", "\t", "a\x00b"])
def test_a_folder_without_a_name(tmp_path, monkeypatch, name, capsys):
    monkeypatch.chdir(tmp_path)
    with pytest.raises(ChalkwattError):
        cw.episode(sheet(), name)
    (tmp_path / "wren.toml").write_text(SHORT)
    assert main(["episode", "wren.toml", "-o", name, "--quiet"]) == 2
    assert "Traceback" not in capsys.readouterr().err
    assert [one.name for one in tmp_path.iterdir()] == ["wren.toml"]
    for given in (["episode", "a\x00b", "-o", "out"], ["glossary", "-o", "a\x00b"]):
        assert main(given) == 2
    assert main(["episode", "wren.toml", "-o", "out", "--script", "a\x00b"]) == 2


def planted(folder, files, **more):
    """A ledger that says of files what somebody wants it to say."""
    held = {
        "form": 1, "whole": "x", "numbers": {}, "carriers": {}, "changes": [],
        "entries": {
            "old": {"key": "", "rests_on": [], "files": {
                path: {"digest": digest_of_bytes(data), "alt": "", "shows": []}
                for path, data in files.items()
            }},
        },
    } | more  # fmt: skip
    (folder / LEDGER).write_text(json.dumps(held))


def test_a_planted_ledger_deletes_nothing(tmp_path):
    folder, elsewhere = tmp_path / "out", tmp_path / "elsewhere"
    for one in (folder / "sub" / "dir", folder / "figures", elsewhere):
        one.mkdir(parents=True)
    (folder / "cards").symlink_to(elsewhere)
    files = {
        "notes.txt": b"mine", "sub/dir/notes.txt": b"mine", "cards/range.svg": b"mine",
        "worksheets.html": b"mine", "script.mine.md": b"mine", "figures/mine.svg": b"mine",
        "episode.json.txt": b"mine",
    }  # fmt: skip
    for path, data in files.items():
        (folder / path).write_bytes(data)
    planted(folder, files)
    with pytest.raises(ChalkwattError, match="leads out of the folder"):
        run(folder)
    (folder / "cards").unlink()
    (folder / "cards").mkdir()
    run(folder)
    assert (elsewhere / "range.svg").read_bytes() == b"mine"
    for path in files:
        if not path.startswith("cards"):
            assert (folder / path).read_bytes() == b"mine", path


def test_what_a_link_leads_to_is_not_removed(tmp_path):
    folder, elsewhere = tmp_path / "out", tmp_path / "elsewhere"
    elsewhere.mkdir()
    folder.mkdir()
    (elsewhere / "mine.svg").write_bytes(b"mine")
    (elsewhere / "losses.svg").write_bytes(b"mine")
    (folder / "figures").symlink_to(elsewhere)
    files = {"figures/losses.svg": b"mine"}
    planted(folder, files)
    ledger = Ledger.read(folder)
    keeper = Keeper(folder, ledger, force=False)
    assert keeper.remove(ledger.entries["old"].files) == []
    (folder / "figures").unlink()
    (folder / "figures").mkdir()
    (folder / "figures" / "losses.svg").symlink_to(elsewhere / "losses.svg")
    assert keeper.remove(ledger.entries["old"].files) == []
    assert sorted(one.name for one in elsewhere.iterdir()) == ["losses.svg", "mine.svg"]
    (folder / "figures" / "losses.svg").unlink()
    (folder / "figures" / "losses.svg").write_bytes(b"mine")
    assert keeper.remove(ledger.entries["old"].files) == [
        "figures/losses.svg"
    ]  # it is not toothless


def test_the_folder_itself_may_be_a_link(tmp_path):
    (tmp_path / "real").mkdir()
    (tmp_path / "link").symlink_to(tmp_path / "real")
    run(tmp_path / "link")
    assert (tmp_path / "real" / "script.md").is_file()
    (tmp_path / "circle").symlink_to(tmp_path / "circle")
    with pytest.raises(ChalkwattError):
        run(tmp_path / "circle")


def test_every_path_of_the_recipe_is_known_before_it_is_made_and_may_be_removed(monkeypatch):
    monkeypatch.undo()
    asked = Questions.of(cw.Sheet.read(ROOT / "assets" / "quillwort.toml"))
    for kind in ("png", "svg"):
        listed = products(asked, "Hello.", Choices(kind=kind))
        for product in listed:
            assert all(map(_MAKES.fullmatch, product.paths())), product.name
        assert len({path for one in listed for path in one.paths()}) > 40
    for product in listed:
        if product.name in {"script", "build/pack_energy", "claims/1-range-figures"}:
            assert [one.path for one in product.make()] == product.paths()
    for path in ("notes.txt", "script.mine.md", "sub/script.md", "cards/a/b.png", "../script.md"):
        assert not _MAKES.fullmatch(path)


@pytest.mark.parametrize(
    ("path", "value"),
    [
        (("entries", "script", "files", "script.md", "shows", 0, "line"), "1e400"),
        (("entries", "script", "files", "script.md", "shows", 0, "si"), "9" * 400),
        (("entries", "script", "files", "script.md", "shows", 0, "si"), "1e400"),
        (("numbers", "pack_energy", "si"), "9" * 400),
        (("numbers", "pack_energy", "low"), "-1e999"),
        (("numbers", "pack_energy", "label"), '"nope"'),
        (("numbers", "pack_energy", "label"), '"km"'),
        (("numbers", "pack_energy", "entry"), '"nope"'),
        (("numbers", "pack_energy", "entry"), "[]"),
        (("carriers",), "5"),
        (("changes",), '[{"name": 1}]'),
        (("kept",), '["../x"]'),
        (("kept",), "7"),
        (("texts",), '{"script.md": 5}'),
        (("texts",), '{"../x": ["", ""]}'),
    ],
)
def test_one_garbled_number_stops_no_run_and_is_told(tmp_path, path, value):
    run(tmp_path)
    held = json.loads((tmp_path / LEDGER).read_text())
    place = held
    for one in path[:-1]:
        place = place[one]
    place[path[-1]] = "@"
    (tmp_path / LEDGER).write_text(json.dumps(held).replace('"@"', value))
    later = run(tmp_path, 108)
    assert later.complete
    assert later.yours == ()
    fresh = contents(run(tmp_path / "fresh", 108).folder)
    for name in ("script.md", "page.html", "cards/pack_energy.svg"):
        assert (tmp_path / name).read_bytes() == fresh[name]
    if path[0] != "entries":
        assert any("episode.json" in one for one in later.notes)
    assert run(tmp_path, 108).built == ()


def test_fifteen_hundred_garbled_ledgers_are_read_or_count_as_none(tmp_path):
    run(tmp_path)
    text = (tmp_path / LEDGER).read_text()
    draw = random.Random(7)  # noqa: S311  places, no secrets
    pieces = ["1e400", "9" * 400, "null", "[]", "{}", '"x"', "-1", "true", "NaN", ",", "}", '"../x"',
              "[" * 2000, "9" * 5000]  # fmt: skip
    values = [found.span(1) for found in re.finditer(r': ("[^"\n]*"|[-\d.e+]+|\[\]|\{\})', text)]
    for _ in range(1500):
        if draw.random() < 0.8:
            start, end = draw.choice(values)
        else:
            start = draw.randrange(len(text))
            end = min(len(text), start + draw.randint(0, 20))
        (tmp_path / LEDGER).write_text(text[:start] + draw.choice(pieces) + text[end:])
        ledger = Ledger.read(tmp_path)
        ledger.check_numbers()
        json.dumps([one.__dict__ for one in ledger.numbers.values()])


def test_without_its_ledger_an_episode_knows_what_is_the_same_to_the_last_byte(tmp_path):
    run(tmp_path)
    for name in (LEDGER, "changes.md", "pictures.md"):
        (tmp_path / name).unlink()
    again = run(tmp_path)
    assert again.yours == ()
    (tmp_path / LEDGER).write_text("{")
    with pytest.raises(ChalkwattError, match="makes no sense"):
        run(tmp_path, 108)


def test_a_run_that_was_killed_knows_its_own(tmp_path, monkeypatch):
    """Killed after the files, before the ledger: all that is left is the journal."""
    run(tmp_path)
    (tmp_path / LEDGER).rename(tmp_path / "ledger")

    def never(*_):
        raise KeyboardInterrupt

    write, close = Ledger.write, Keeper.close
    monkeypatch.setattr(Ledger, "write", lambda *_: None)
    monkeypatch.setattr(Keeper, "close", never)
    with pytest.raises(KeyboardInterrupt):
        run(tmp_path, 108, force=True)
    monkeypatch.setattr(Ledger, "write", write)
    monkeypatch.setattr(Keeper, "close", close)
    for one in tmp_path.glob("*.mine.*"):
        one.unlink()
    (tmp_path / "ledger").rename(tmp_path / LEDGER)
    assert (tmp_path / ".episode.part").is_file()
    assert "108" in (tmp_path / "page.html").read_text()
    after = run(tmp_path, 120)
    assert after.yours == ()
    assert not (tmp_path / ".episode.part").exists()


def test_four_threads_on_one_folder_and_on_one_file(tmp_path):
    wrong = []

    def work(what):
        try:
            what()
        except Exception as error:  # noqa: BLE001  whatever it is, it is told
            wrong.append(error)

    def write():
        for place in range(200):
            write_bytes(tmp_path / "one.txt", b"%d" % place)

    for what in (write, lambda: run(tmp_path / "out")):
        threads = [threading.Thread(target=work, args=(what,)) for _ in range(4)]
        for one in threads:
            one.start()
        for one in threads:
            one.join()
    assert wrong == []
    assert not list(tmp_path.rglob("*.part"))
    assert run(tmp_path / "out").built == ()


def test_a_second_run_waits_for_the_first(tmp_path):
    folder = tmp_path / "out"
    second = []
    other = threading.Thread(target=lambda: second.append(run(folder)))

    def while_it_runs():
        if not other.ident:
            other.start()
            other.join(0.5)
            assert second == []
        return False

    first = run(folder, stop=while_it_runs)
    other.join()
    assert first.complete
    assert first.built
    assert second[0].built == ()
    with (
        alone_in(folder),
        pytest.raises(ChalkwattError, match=r"Another run .* 0 seconds\. Let it end"),
        alone_in(folder, wait=0.01),
    ):
        pass


def test_frames_of_somebody_elses_are_not_deleted(tmp_path):
    answer = cw.load.find("air_force", speed="90 km/h", drag_area=0.6, air_density=1.2)
    (tmp_path / "frame-00001.png").write_bytes(b"mine")
    (tmp_path / "frame-mine.png").write_bytes(b"mine")
    how = {"of": "speed", "seconds": 0.04, "size": (480, 270), "progress": False}
    with pytest.raises(ChalkwattError, match="no motion has listed"):
        cw.sweep_motion(answer, tmp_path, **how)
    assert (tmp_path / "frame-00001.png").read_bytes() == b"mine"
    (tmp_path / "frame-00001.png").unlink()
    cw.sweep_motion(answer, tmp_path, **how)
    cw.sweep_motion(answer, tmp_path, **how | {"seconds": 0.08})
    assert (tmp_path / "frame-mine.png").read_bytes() == b"mine"


# --- Terminal --------------------------------------------------------------------------------------


def shell(command, folder):
    env = os.environ | {"PYTHONPATH": str(ROOT / "kit"), "PY": sys.executable}
    run_ = f"$PY -m chalkwatt episode {folder}/wren.toml -o {folder}/out --kind svg"
    return subprocess.run(
        ["bash", "-c", command.replace("RUN", run_)], env=env, capture_output=True, text=True,
        check=False, timeout=300,
    )  # fmt: skip


def test_nobody_who_listens_and_nowhere_to_write_is_no_traceback(tmp_path):
    (tmp_path / "wren.toml").write_text(SHORT)
    piped = shell('RUN 2>&1 | true; echo "${PIPESTATUS[0]}"', tmp_path)
    assert piped.stdout.strip() == "0"
    assert (tmp_path / "out" / "changes.md").is_file()  # and all is made
    for command, code in (("RUN --quiet | true", 0), ("RUN --quiet > /dev/full", 2)):
        done = shell(command, tmp_path)
        assert done.returncode == code
        assert "Traceback" not in done.stderr
    assert "No space left" in done.stderr
    assert "Exception ignored" not in done.stderr


def test_what_a_terminal_would_obey_is_spelled_out(tmp_path, capsys):
    place = tmp_path / "wren.toml"
    place.write_text(SHORT + '[values."\\u001b[31mkey"]\nvalue = 1\norigin = "quoted"\n')
    assert main(["episode", str(place), "-o", str(tmp_path / "o\x1b[2Jut")]) == 2
    assert "\x1b" not in capsys.readouterr().err
    place.write_text(TEXT.replace("the maker", "the \\u001b[31mmaker"))
    assert main(["episode", str(place), "-o", str(tmp_path / "out"), "--quiet"]) == 0
    place.write_text(TEXT.replace("the maker", "the \\u001b[31mmaker").replace("96", "108"))
    assert main(["episode", str(place), "-o", str(tmp_path / "out"), "--quiet"]) == 0
    said = capsys.readouterr().out
    assert "maker" in said
    assert "\x1b" not in said


# --- Merging ---------------------------------------------------------------------------------------


def test_two_thousand_random_merges():
    """What one side alone changed is in the result, and nothing that nobody wrote."""
    draw = random.Random(11)  # noqa: S311  lines, no secrets
    outcomes = {True: 0, False: 0}
    start = time.process_time()
    for _ in range(2000):
        base = [f"line {draw.randrange(9)}\n" for _ in range(draw.randint(0, 12))]

        def changed(base=base, word="a"):
            lines = list(base)
            for number in range(draw.randint(0, 2)):
                place = draw.randint(0, len(lines))
                cut = draw.randint(0, 2)
                lines[place : place + cut] = [f"{word}{number}\n"] * draw.randint(0, 2)
            return lines

        mine, new = changed(word="mine "), changed(word="new ")
        both = merged(*("".join(one) for one in (base, mine, new)))
        outcomes[both is None] += 1
        assert merged("".join(base), "".join(mine), "".join(base)) == "".join(mine)
        assert merged("".join(base), "".join(base), "".join(new)) == "".join(new)
        assert merged("".join(base), "".join(new), "".join(new)) == "".join(new)
        if both is None:
            continue
        made = both.splitlines(keepends=True)
        for lines, word in ((mine, "mine "), (new, "new ")):
            own = [one for one in lines if one.startswith(word)]
            assert [one for one in made if one.startswith(word)] == own
        assert set(made) <= {*base, *mine, *new}
        for one, there in moved_lines("".join(new), both).items():
            assert "".join(new).split("\n")[one - 1] == both.split("\n")[there - 1]
    assert min(outcomes.values()) > 200
    assert time.process_time() - start < 10


# --- What is told ----------------------------------------------------------------------------------


def test_one_beside_that_was_changed_too_is_told_as_it_is(tmp_path):
    """The author works on script.new.md: an episode did write it, and it is not as it was written."""
    run(tmp_path)
    script, new = tmp_path / "script.md", tmp_path / "script.new.md"
    mine = re.sub("(It holds .*)", r"\1 So I say.", script.read_text(encoding="utf-8"))
    script.write_text(mine, encoding="utf-8")
    run(tmp_path, 132)
    new.write_text(new.read_text(encoding="utf-8") + "And I here.", encoding="utf-8")
    theirs = new.read_bytes()
    with pytest.raises(ChalkwattError) as caught:
        run(tmp_path, 200)
    told = str(caught.value)
    assert "script.new.md; but it was changed since an episode wrote it" in told
    assert "no earlier episode" not in told
    assert "Nothing was made" not in told  # what came before it was
    assert "--force" not in told  # it would leave the file where it is
    assert new.read_bytes() == theirs
    assert script.read_text(encoding="utf-8") == mine
    # What it says is so: out of the way, the same run goes through.
    new.rename(tmp_path / "mine.md")
    assert run(tmp_path, 200).complete
    assert new.is_file()


def test_one_beside_that_nobody_made_is_told_as_it_is(tmp_path):
    run(tmp_path)
    script, new = tmp_path / "script.md", tmp_path / "script.new.md"
    mine = re.sub("(It holds .*)", r"\1 So I say.", script.read_text(encoding="utf-8"))
    script.write_text(mine, encoding="utf-8")
    new.write_text("A note of mine.", encoding="utf-8")
    with pytest.raises(ChalkwattError, match=r"but no episode is known to have written it"):
        run(tmp_path, 132)
    assert new.read_text(encoding="utf-8") == "A note of mine."
    assert script.read_text(encoding="utf-8") == mine
