"""A person's own script passes mypy as strictly as the package does, and knows what it gets."""

import re
import subprocess
import sys

import pytest

from tests.browsing import ROOT

# What follows the README's lines: an expression, and the type that a checker sees in it.
SEEN = {
    "answer": "chalkwatt.answering.answers.Answer",
    "answer.si": "float | A",
    "answer.to('km/h')": "float | A",
    "answer.value": "pint.registry.Quantity[float | A]",
    "answer.working.text": "str",
    "answer.card()": "chalkwatt.answering.showing.Picture",
    "answer.card(theme='dark', kind='svg').alt": "str",
    "cw.load": "chalkwatt.answering.topic.Topic",
    "cw.load.board()": "chalkwatt.answering.showing.LiveBoard",
    "cw.load.board(sheet).answer": "chalkwatt.answering.answers.Answer",
    "cw.load.page('range.html')": "pathlib.Path",
    "cw.pack_layouts(cell_count=96, cell_voltage='3.6 V').figure()": "str",
    "cw.pack_layouts(cell_count=96, cell_voltage=3.6)[0].pack_voltage": "float",
    "cw.compare(sheet, sheet).figure()": "str",
    "start.figure(theme_name='dark')": "matplotlib.figure.Figure",
    "start.time_to('100 km/h')": "pint.registry.Quantity[float]",
    "start.at(5)['limit']": "str",
    "start.at(5)['speed'].magnitude": "float",
    "charge.figure()": "matplotlib.figure.Figure",
    "charge.time": "pint.registry.Quantity[float]",
    "trip.figure(width=6)": "matplotlib.figure.Figure",
    "trip.consumption.magnitude": "float | A",
    "cw.schedules.nedc": "chalkwatt.runs.schedule.schedule.Schedule",
    "cw.schedules.nedc.figure()": "matplotlib.figure.Figure",
    "cw.energy_flow(**known).figure()": "matplotlib.figure.Figure",
    "day.figure(holding='30 km/h')": "matplotlib.figure.Figure",
    "day.energy": "pint.registry.Quantity[float]",
    "year.figure()": "matplotlib.figure.Figure",
    "sheet": "chalkwatt.evidence.sheets.sheet.Sheet",
    "sheet.find('range', speed=['90 km/h', '110 km/h'])": "chalkwatt.evidence.finding.Finding",
    "sheet.find('range').si": "float",
    "sheet.follow()['range']": "chalkwatt.evidence.finding.Finding",
    "claim.met(3.0)": "bool | numpy.bool[bool] | B",
    "verdict": "chalkwatt.evidence.claims.verdicts.Verdict"
    " | chalkwatt.evidence.claims.valueless.ValuelessVerdict"
    " | chalkwatt.evidence.claims.variants.VariantVerdict",
    "verdict.board().page": "str",
    "cw.page('page.html', ['# Title', cw.load, cw.load.board(), answer.card(), verdict])": "pathlib.Path",
    "cw.script('{{ range }}', sheet).text": "str",
    "cw.equation_card(answer)": "chalkwatt.cards.picture.Card",
    "cw.__version__": "str",
    "trees.negative('speed')": "int | float | str | tuple[int | float | str | ..., ...]",
}

HEAD = """
import chalkwatt.wording.given as cw_given
from chalkwatt.algebra import trees
"""
MORE = """
known: dict[str, cw_given.Given] = {"speed": 25, "mass": "1200 kg"}
sheet = cw.Sheet.read("car.toml")
claim = cw.Claim("range", "480 km", speed="90 km/h")
verdict = sheet.judge(claim)
start = cw.standing_start(mass=1500, rolling_coefficient=0.01, drag_area="0.6 m^2")
charge = cw.charge_session(
    state_of_charge_from="10 %", power_curve={"10 %": "90 kW", 0.8: "40 kW"}, usable_energy="50 kWh"
)
trip = cw.drive_schedule(
    cw.schedules.nedc, mass=[1000, 1200], drag_area=0.5, rolling_coefficient=0.01, drive_efficiency=0.9
)
place = {"latitude": 33.45, "longitude": -112.07, "altitude": 331.0}
day = cw.solar_day(latitude=33.45, longitude="-112.07", altitude=331, date="2023-06-21")
year = cw.solar_year(sky=cw.measured_sky(), rated_power="700 W")
"""


def checked(folder, code):
    """Let mypy check a script, with the package as if it were installed."""
    script = folder / "mine.py"
    script.write_text(code, encoding="utf-8")
    settings = folder / "mypy.ini"
    settings.write_text(
        f"[mypy]\nstrict = true\nmypy_path = {ROOT / 'kit'}\nfollow_imports = silent\n",
        encoding="utf-8",
    )
    made = subprocess.run(
        [
            *(sys.executable, "-m", "mypy", "--no-pretty", "--config-file", str(settings)),
            *("--cache-dir", str(ROOT / ".mypy_cache" / "script"), str(script)),
        ],
        capture_output=True,
        text=True,
        check=False,
    )
    # Out of its cache mypy tells of the folder in which it saw the same script before.
    lines = [re.sub(r"^.*?(?=mine\.py:)", "", one) for one in made.stdout.splitlines()]
    return [one for one in lines if one.startswith("mine.py")], made


def readme():
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    return re.search(r"## Five lines\n\n```python\n(.*?)```", text, re.DOTALL)[1]


@pytest.fixture(scope="module")
def told(tmp_path_factory):
    lines = readme() + MORE + "".join(f"reveal_type({one})\n" for one in SEEN)
    code = HEAD + lines
    said, made = checked(tmp_path_factory.mktemp("script"), code)
    wrong = [one for one in said if ": error: " in one]
    assert not wrong, "\n".join(wrong)
    assert made.returncode == 0, made.stdout + made.stderr
    found = [re.search(r'Revealed type is "(.*)"', one) for one in said]
    return dict(zip(SEEN, (one[1] for one in found if one), strict=True))


@pytest.mark.parametrize("expression", SEEN)
def test_a_script_knows_what_it_gets(told, expression):
    array = r"numpy\.ndarray\[tuple\[Any, \.\.\.\], numpy\.dtype\[numpy\.{}\]\]"
    seen = told[expression].replace("builtins.", "")
    seen = re.sub(array.format("float64"), "A", seen)
    seen = re.sub(array.format(r"bool\[bool\]"), "B", seen)
    assert "Any" not in seen
    assert seen == SEEN[expression]


@pytest.mark.parametrize(
    "wrong",
    [
        "cw.load.find('speed', range=None)",
        "cw.load.find('speed', range={})",
        "cw.load.fnid('speed')",
        "cw.lode",
        "cw.load.board(3)",
        "cw.standing_start(mass=1, rolling_coefficient=1, drag_area=1).figure(theme=1)",
    ],
)
def test_a_slip_is_seen(tmp_path, wrong):
    said, _ = checked(tmp_path, f"import chalkwatt as cw\n{wrong}\n")
    assert [one for one in said if one.startswith("mine.py:2: error: ")]
