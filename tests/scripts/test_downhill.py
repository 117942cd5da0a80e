"""Downhill, a script says who drives whom, and no force of minus so many newtons."""

import pytest

from chalkwatt import Sheet
from chalkwatt.scripts.script import script
from tests.browsing import ROOT

TEXT = (ROOT / "assets" / "quillwort.toml").read_text("utf-8")
TEMPLATE = (ROOT / "kit" / "chalkwatt" / "episodes" / "episode.script.md").read_text("utf-8")


@pytest.mark.parametrize(
    ("more", "told", "untold"),
    [
        ("", "esistance of air and road comes to", "drives the vehicle"),
        (
            'grade = "-6 %"',
            "the slope or the wind drives the vehicle, by more than the resistance",
            "comes to",
        ),
        (
            'grade = "-9 %"\nrecovery_efficiency = "60 %"\nspeed = "90 km/h"',
            "the battery is charged",
            "kilowatts to go on",
        ),
    ],
)
def test_who_drives_whom(more, told, untold):
    facts = "".join(
        f'\n[values.{name}]\nvalue = {value}\norigin = "assumed"\n'
        for name, _, value in (one.partition(" = ") for one in more.splitlines())
    )
    said = script(TEMPLATE, Sheet.parse(TEXT + facts)).text
    force = next(line for line in said.splitlines() if "esistance of air and" in line)
    assert told in force
    assert untold not in force
    assert "minus" not in force
