"""Writing a sheet back: comments stay, and a write that is killed half-way leaves the old file whole."""

import os
import signal
import subprocess
import sys
import textwrap

import pytest

from chalkwatt.errors import ChalkwattError, SheetError
from chalkwatt.evidence.sheets import Sheet
from tests.browsing import ROOT

PATH = ROOT / "assets" / "quillwort.toml"
TEXT = PATH.read_text(encoding="utf-8")


def comments(text):
    return [line for line in text.splitlines() if line.lstrip().startswith("#")]


def test_what_is_read_is_written_to_the_last_letter(tmp_path):
    copy = Sheet.read(PATH).write(tmp_path / "copy.toml")
    assert copy.read_bytes() == PATH.read_bytes()


def test_one_value_is_revised_and_every_other_line_stays():
    revised = Sheet.read(PATH).revised("mass", "705 kg", note="weighed again")
    old, new = TEXT.splitlines(), revised.text.splitlines()
    changed = [(one, other) for one, other in zip(old, new, strict=True) if one != other]
    assert [other for _, other in changed] == ['value = "705 kg"', 'note = "weighed again"']
    assert comments(revised.text) == comments(TEXT)
    assert revised.facts["mass"].si == 705
    assert revised.facts["mass"].low == 685


def test_a_comment_behind_a_value_stays():
    text = '[vehicle]\nname = "x"\n[values.mass] # ours\nvalue = 690 # wet\norigin = "measured"\n'
    assert "# wet" in Sheet.parse(text).revised("mass", 700).text
    assert "# ours" in Sheet.parse(text).revised("mass", 700).text


def test_a_value_is_added_and_a_field_taken_out():
    sheet = Sheet.read(PATH).revised("speed", "50 km/h", origin="quoted")
    assert sheet.facts["speed"].si == pytest.approx(50 / 3.6)
    assert len(sheet.claims) == 3
    assert (
        Sheet.read(PATH).revised("mass", "690 kg", plus_minus=None, shape=None).facts["mass"].exact
    )


def test_a_revision_that_makes_no_sense_is_refused():
    sheet = Sheet.read(PATH)
    with pytest.raises(SheetError, match="kWh"):
        sheet.revised("mass", "690 kWh")
    with pytest.raises(ChalkwattError, match="no quantity"):
        sheet.revised("mas", "690 kg")
    with pytest.raises(ChalkwattError, match="cannot be written"):
        sheet.revised("mass", object())


def test_a_sheet_without_a_file_asks_for_one():
    with pytest.raises(ChalkwattError, match="not read from a file"):
        Sheet.parse(TEXT).write()


KILLED = """
    import os, signal, sys
    from chalkwatt import Sheet

    sheet = Sheet.read(sys.argv[1]).revised("mass", "705 kg")
    import chalkwatt.store as safe

    def die(*_):
        os.kill(os.getpid(), signal.SIGKILL)

    {trap}
    sheet.write()
"""
TRAPS = {
    "after half of the bytes": """
    from pathlib import Path
    true_open = Path.open

    def open_half(self, *args, **options):
        file = true_open(self, *args, **options)
        if args and "w" in args[0]:
            class Half:
                def __enter__(self):
                    return self
                def __exit__(self, *_):
                    pass
                def write(self, data):
                    file.write(data[: len(data) // 2])
                    file.flush()
                    die()
            return Half()
        return file

    Path.open = open_half
""",
    "before they are on the disk": "os.fsync = die",
    "before the new file takes the name": """
    from pathlib import Path
    Path.replace = die
    os.replace = die
""",
}


@pytest.mark.parametrize("trap", TRAPS)
def test_a_killed_write_leaves_the_old_file_whole(tmp_path, trap):
    path = tmp_path / "sheet.toml"
    path.write_text(TEXT, encoding="utf-8")
    code = textwrap.dedent(KILLED).format(trap=textwrap.dedent(TRAPS[trap]))
    done = subprocess.run(
        [sys.executable, "-c", code, str(path)],
        check=False,
        capture_output=True,
        text=True,
        env={**os.environ, "PYTHONPATH": str(ROOT / "kit")},
        timeout=120,
    )
    assert done.returncode == -signal.SIGKILL, done.stderr
    assert path.read_text(encoding="utf-8") == TEXT
    # And the next write goes through.
    Sheet.read(path).revised("mass", "705 kg").write()
    assert Sheet.read(path).facts["mass"].si == 705


def test_a_folder_that_cannot_be_written_to_is_said(tmp_path):
    (tmp_path / "file").write_text("")
    with pytest.raises(ChalkwattError, match="cannot be written"):
        Sheet.read(PATH).write(tmp_path / "file" / "sheet.toml")
