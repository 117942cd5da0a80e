"""What an episode costs: cold, with nothing changed, and with one value changed; each in a fresh interpreter."""

import re
import subprocess
import sys

import pytest

from tests.benchmarks.measuring import machine, seconds
from tests.browsing import ROOT

pytestmark = pytest.mark.benchmark
COLD, UNCHANGED = 10.0, 1.0  # seconds; what the makers of the toolkit set themselves
PATHS = f"import sys; sys.path.insert(0, {str(ROOT / 'kit')!r}); "
DEMO = ROOT / "assets" / "quillwort.toml"


def run(sheet, folder):
    code = f"import chalkwatt as cw; print(cw.episode({str(sheet)!r}, {str(folder)!r}))"
    made = subprocess.run(
        [sys.executable, "-c", PATHS + code], check=True, capture_output=True, text=True
    )
    return int(re.match(r"(\d+) files made", made.stdout)[1])


def test_episode(tmp_path, record_property):
    fresh = (tmp_path / str(place) for place in range(9))
    files = run(DEMO, tmp_path / "kept")
    heavier = tmp_path / "heavier.toml"
    heavier.write_text(
        DEMO.read_text(encoding="utf-8").replace('value = "690 kg"', 'value = "720 kg"'),
        encoding="utf-8",
    )
    sheets = [heavier, DEMO]

    def changed():
        sheets.reverse()
        assert run(sheets[0], tmp_path / "changed") > 0

    made = seconds(
        {
            "bare Python": lambda: subprocess.run([sys.executable, "-c", "pass"], check=True),
            "nothing changed": lambda: run(DEMO, tmp_path / "kept"),
            "one value changed": changed,
            "cold": lambda: run(DEMO, next(fresh)),
        },
        rounds=3,
    )
    print(f"\nAn episode of {files} files ({machine()})")
    for name, each in made.items():
        print(f"  {name:<18}{each:>8.2f} s {each / made['cold']:>8.3f} × cold")
    for name, reach in (("cold", COLD), ("nothing changed", UNCHANGED)):
        word = "met" if made[name] <= reach else "MISSED"
        print(f"  reach: {name} at most {reach:g} s; {word} with {made[name]:.2f} s")
        record_property(name, made[name])
    # A busy machine slows both alike: what has nothing to do costs a small part of what makes all.
    assert made["nothing changed"] <= 0.1 * made["cold"]
