"""What every file of the repository keeps to."""

import ast
import os
import re
import subprocess
import sys
import tomllib

import pytest
from PIL import Image

import chalkwatt as cw
from chalkwatt.cards.card import equation_card
from chalkwatt.cards.claim_cards import claim_card, losses_card, parts_of_consumption
from tests.browsing import ROOT

KIT = ROOT / "kit" / "chalkwatt"
MODULES = sorted(KIT.rglob("*.py"))
SCRIPTS = sorted(KIT.rglob("*.js"))
README = (ROOT / "README.md").read_text(encoding="utf-8")
# Spelled in pieces, so that this file passes its own test.
MACHINE_PATHS = re.compile(r"(?<![\w.~])/(?:tmp|work|root|home)/\w")
REGISTRIES = re.compile(
    "|".join(("pypi" + r"\.org", "python" + "hosted", "registry" + r"\.npmjs", "deb" + r"\.debian"))
)
RUNS_TEXT = {"eval", "exec", "compile", "sympify", "parse_expr"}


def tracked():
    listing = subprocess.run(
        ["git", "ls-files", "-z"], cwd=ROOT, capture_output=True, text=True, check=False
    )
    if listing.returncode:
        pytest.skip("the repository's history is not here: this is an unpacked archive")
    return [ROOT / name for name in listing.stdout.split("\0") if name and (ROOT / name).is_file()]


def texts():
    for path in tracked():
        try:
            yield path.relative_to(ROOT).as_posix(), path.read_text(encoding="utf-8")
        except UnicodeDecodeError:
            continue  # a picture, a font


def short(path):
    return path.relative_to(ROOT).as_posix()


@pytest.mark.parametrize("path", MODULES, ids=short)
def test_every_module_says_what_it_is(path):
    assert ast.get_docstring(ast.parse(path.read_text(encoding="utf-8")))


def test_exceptions_for_any_are_few_and_say_why():
    lines = [line for path in MODULES for line in path.read_text("utf-8").splitlines()]
    excepted = [line for line in lines if "noqa" in line and "ANN401" in line]
    assert len(excepted) < 40
    assert [line for line in excepted if not re.search(r"ANN401(, \w+)*  \w", line)] == []


def test_an_import_within_a_function_says_what_it_keeps_out():
    lines = [line for path in MODULES for line in path.read_text("utf-8").splitlines()]
    excepted = [line for line in lines if "noqa" in line and "PLC0415" in line]
    assert excepted
    assert [line for line in excepted if not re.search(r"PLC0415  \w", line)] == []


def test_no_alias_is_any():
    nothing = re.compile(r"^(\w+)(: TypeAlias)? = \"?(typing\.)?Any\"?$", re.MULTILINE)
    assert [p for p in MODULES if nothing.search(p.read_text("utf-8"))] == []
    assert nothing.search('Tree: TypeAlias = "Any"')


def calls(source):
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.Call):
            match node.func:
                case ast.Name(id=name):
                    yield name
                case ast.Attribute(attr=name, value=ast.Name(id=owner)) if owner != "re":
                    yield name


@pytest.mark.parametrize("path", MODULES, ids=short)
def test_no_text_is_ever_run(path):
    source = path.read_text(encoding="utf-8")
    # `load.compile(...)` and `topic.compile(...)` make the bare NumPy function: no text involved.
    found = {name for name in calls(source) if name in RUNS_TEXT} - {"compile"}
    assert not found
    assert not re.search(r"(?<![.\w])compile\(\s*[\"'f]", source)


def test_running_text_would_be_seen():
    assert RUNS_TEXT & set(calls("sympy.sympify('x')")) == {"sympify"}
    assert RUNS_TEXT & set(calls("eval('1')")) == {"eval"}
    assert not RUNS_TEXT & set(calls("re.compile('x')"))


@pytest.mark.parametrize("path", SCRIPTS, ids=short)
def test_no_text_is_run_in_the_browser(path):
    source = path.read_text(encoding="utf-8")
    assert not re.search(r"\beval\s*\(|\bnew\s+Function\b|\bFunction\s*\(", source)
    assert not re.search(r"\bimport\s*\(?\s*[\"']https?:", source)


def test_no_machine_path_and_no_registry_in_any_file():
    found = [
        f"{name}: {hit[0]}"
        for name, text in texts()
        for hit in (MACHINE_PATHS.search(text), REGISTRIES.search(text))
        if hit
    ]
    assert not found


def test_a_machine_path_would_be_seen():
    assert MACHINE_PATHS.search("open('" + "/tm" + "p/x')")
    assert not MACHINE_PATHS.search("https://example.invalid/home/page")


def test_no_lock_file():
    locks = {"package-lock.json", "poetry.lock", "uv.lock", "Pipfile.lock", "pylock.toml"}
    assert not [name for name, _ in texts() if name.rsplit("/", 1)[-1] in locks]


def test_every_licence_lies_beside_its_font():
    for font in KIT.rglob("*.woff2"):
        assert list(font.parent.glob("OFL*.txt"))


def test_ci_runs_the_command_that_the_readme_gives():
    commands = re.findall(r"^python3 -m venv .*$", README, flags=re.MULTILINE)
    assert len(commands) == 2
    opens, tests = commands
    assert "notebooks/start.ipynb" in opens
    assert tests.split(" && ")[-1].startswith(".venv/bin/pytest")
    run = (ROOT / ".ci" / "run").read_text(encoding="utf-8")
    pattern = (
        re.search(r"sed -n 's/(.*?)/\\1/p' README\.md", run)[1]
        .replace(r"\(", "(")
        .replace(r"\)", ")")
    )
    assert re.findall(pattern, README, flags=re.MULTILINE) == [tests]
    extras = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"][
        "optional-dependencies"
    ]
    for command in commands:
        for extra in re.search(r"\[([\w,]+)\]", command)[1].split(","):
            assert extra in extras


def test_every_file_that_the_readme_names_is_there():
    linked = re.findall(r"\]\(([^)#:]+)\)", README)
    names = [*linked, "notebooks/start.ipynb", ".ci/run", "tests/external"]
    assert [name for name in names if not (ROOT / name).exists()] == []


def test_the_example_of_the_readme_runs(tmp_path):
    (example,) = re.findall(r"```python\n(.*?)```", README, flags=re.DOTALL)
    page = re.search(r"`(cw\.load\.page\(.*?\))`", README)[1]
    script = tmp_path / "example.py"
    script.write_text(f"{example}\n{page}\n", encoding="utf-8")
    run = subprocess.run(
        [sys.executable, "-W", "error", script],
        cwd=tmp_path,
        env={**os.environ, "PYTHONPATH": str(ROOT / "kit")},
        capture_output=True,
        text=True,
        check=False,
    )
    assert run.returncode == 0, run.stderr
    promised = re.search(r"# ([\d.]+)\.\.\.", example)[1]
    assert run.stdout.startswith(promised)
    assert (tmp_path / "range.html").stat().st_size < 150_000


def test_the_pictures_of_the_readme_show_what_is_made_now():
    """Regression numbers: ``python assets/pictures/make_episode.py`` makes the pictures anew."""
    sheet = cw.Sheet.read(ROOT / "assets" / "quillwort.toml")
    far, use = (sheet.find(name, speed="90 km/h") for name in ("range", "consumption"))
    verdict = sheet.judge(sheet.claims[1])
    made = {"range": equation_card(far), "losses": losses_card(use), "claim": claim_card(verdict)}
    for name, card in made.items():
        with Image.open(ROOT / "assets" / "pictures" / f"{name}.png") as picture:
            assert picture.text["Description"] == card.alt, name
    alts = {name: alt for alt, name in re.findall(r"!\[(.*?)\]\(assets/pictures/(\w+)", README)}
    told = {name: re.findall(r"\d[\d.]*", alt) for name, alt in alts.items()}
    assert told["range"] == [f"{far.to('km'):.1f}"]
    assert told["claim"] == [verdict.claim.text.split()[0], f"{100 * verdict.chance:.0f}"]
    parts = parts_of_consumption(use)
    assert "more than half of it is air drag" in alts["losses"]
    assert parts["air drag"] > sum(parts.values()) / 2
