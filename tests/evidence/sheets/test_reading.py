"""Reading a sheet: every complaint names file, line and key, and nothing in it is ever run."""

import builtins
import os
import random
import subprocess
import sys
import time
import tomllib

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from chalkwatt.errors import ChalkwattError, SheetError
from chalkwatt.evidence.sheets import ORIGINS, SHAPES, Sheet
from chalkwatt.evidence.sheets.lines import LineIndex
from tests.browsing import ROOT

PATH = ROOT / "assets" / "quillwort.toml"
TEXT = PATH.read_text(encoding="utf-8")


def sheet(body, head='[vehicle]\nname = "Demo"\n'):
    return Sheet.parse(head + body)


def refused(body, head='[vehicle]\nname = "Demo"\n'):
    with pytest.raises(SheetError) as caught:
        sheet(body, head)
    return caught.value


def test_the_demo_sheet_is_read():
    read = Sheet.read(PATH)
    assert (read.name, read.invented, len(read.claims)) == ("Quillwort", True, 3)
    assert set(read.facts) == set(tomllib.loads(TEXT)["values"])
    mass = read.facts["mass"]
    assert (mass.si, mass.low, mass.high, mass.origin, mass.shape) == (
        690.0,
        670.0,
        710.0,
        "measured",
        "normal",
    )
    assert mass.line == TEXT[: TEXT.index("[values.mass]")].count("\n") + 1


def test_a_typo_names_file_line_key_and_the_nearest_right_name(tmp_path):
    path = tmp_path / "typo.toml"
    path.write_text(TEXT.replace("[values.drag_coefficient]", "[values.drag_coeficient]"))
    with pytest.raises(SheetError) as caught:
        Sheet.read(path)
    error = caught.value
    line = TEXT[: TEXT.index("[values.drag_coefficient]")].count("\n") + 1
    assert (error.path, error.line, error.key) == (str(path), line, "values.drag_coeficient")
    assert error.nearest[0] == "drag_coefficient"
    assert "drag_coefficient" in str(error)
    assert f"line {line}" in str(error)


@pytest.mark.parametrize(
    ("body", "line", "key", "words"),
    [
        ('[values.mass]\nvalue = "690 km"\norigin = "quoted"', 4, "values.mass.value", "km"),
        ("[values.mass]\nvalue = -3\norigin = 'quoted'", 4, "values.mass.value", "above 0"),
        ("[values.mass]\nvalue = 690\norgin = 'quoted'", 5, "values.mass.orgin", "origin"),
        ("[values.mass]\nvalue = 690\norigin = 'qouted'", 5, "values.mass.origin", "quoted"),
        ("[values.mass]\nvalue = 690", 3, "values.mass", "no origin"),
        ("[values.mass]\norigin = 'quoted'", 3, "values.mass", "no value"),
        (
            "[values.mass]\nvalue = 690\norigin = 'quoted'\nrange = [700, 720]",
            6,
            "values.mass.range",
            "does not lie in its range",
        ),
        (
            "[values.mass]\nvalue = 690\norigin = 'quoted'\nrange = [720, 600]",
            6,
            "values.mass.range",
            "downwards",
        ),
        (
            "[values.mass]\nvalue = 690\norigin = 'quoted'\nrange = [600, 700]\nshape = 'normal'",
            6,
            "values.mass.range",
            "triangular",
        ),
        (
            "[values.mass]\nvalue = 690\norigin = 'quoted'\nplus_minus = -5",
            6,
            "values.mass.plus_minus",
            "no width",
        ),
        ("[values.gravity]\nvalue = true\norigin = 'quoted'", 4, "values.gravity.value", "number"),
        (
            "[values.lapse_rate]\nvalue = 1\norigin = 'quoted'",
            4,
            "values.lapse_rate.value",
            "const",
        ),
        ("[[claims]]\nvalue = '9 km'", 3, "claims.0", "no quantity"),
        (
            "[[claims]]\nquantity = 'range'\nvalue = '9 km'\nconditions = { sped = '9 km/h' }",
            6,
            "claims.0.conditions.sped",
            "speed",
        ),
        ("[[claims]]\nquantity = 'range'\nvalue = '9 kg'", 5, "claims.0.value", "kg"),
        ("values = 3", 3, "vehicle.values", "no key"),
        ("[value.mass]", 3, "value", "values"),
    ],
)
def test_each_mistake_is_placed(body, line, key, words):
    error = refused(body)
    assert (error.line, error.key) == (line, key)
    assert words in str(error)


def test_what_is_no_toml_says_where():
    assert refused("[values.mass]\nvalue = \n").line == 4
    assert refused("[values.mass]\nvalue = 1\nvalue = 2\n").line == 5


@pytest.mark.parametrize(
    "value",
    ["9" * 5000, "9" * 320, "[" * 5000, "1979-99-99", "0x" + "f" * 300, "{a = " * 3000, "nan"],
)
def test_what_breaks_a_reader_is_a_sheet_error(value):
    """More digits than Python reads, numbers beyond floats, brackets a thousand deep."""
    error = refused(f"[values.mass]\norigin = 'quoted'\nvalue = {value}\n")
    assert error.line >= 1


def test_what_is_no_text_says_where(tmp_path):
    path = tmp_path / "bytes.toml"
    path.write_bytes(b'[vehicle]\nname = "\xff"\n')
    with pytest.raises(SheetError) as caught:
        Sheet.read(path)
    assert caught.value.line == 2
    with pytest.raises(SheetError, match="cannot be opened"):
        Sheet.read(tmp_path / "none.toml")


def test_ranges_are_read_in_the_unit_of_their_value():
    facts = sheet(
        "[values.usable_energy]\nvalue = '38 kWh'\norigin = 'quoted'\nrange = [36, '40 kWh']\n"
        "[values.air_temperature]\nvalue = '20 °C'\norigin = 'measured'\nplus_minus = '5 °C'\n"
        "[values.drag_area]\nvalue = '0.5 m^2'\norigin = 'estimated'\nplus_minus = '4 %'\n"
        "[values.usable_fraction]\nvalue = '90 %'\norigin = 'assumed'\nplus_minus = '4 %'\n"
    ).facts
    assert facts["usable_energy"].low == pytest.approx(36 * 3.6e6)
    assert facts["usable_energy"].high == pytest.approx(40 * 3.6e6)
    assert facts["air_temperature"].low == pytest.approx(288.15)
    assert facts["drag_area"].high == pytest.approx(0.52)
    assert facts["usable_fraction"].high == pytest.approx(0.94)


def test_code_in_every_field_runs_none_of_it(tmp_path, monkeypatch):
    marker = tmp_path / "ran"
    code = f"__import__('os').system('touch {marker}')"
    monkeypatch.setattr(os, "system", lambda *_: pytest.fail("a sheet ran a command"))
    for name in ("eval", "exec", "compile"):
        monkeypatch.setattr(builtins, name, lambda *_, **__: pytest.fail("a sheet was evaluated"))
    fields = ["value", "origin", "range", "plus_minus", "shape", "note", "seen"]
    for field in fields:
        entry = {"value": '"690 kg"', "origin": '"quoted"'} | {field: f'"{code}"'}
        body = "[values.mass]\n" + "\n".join(f"{key} = {value}" for key, value in entry.items())
        try:
            sheet(body)
        except SheetError:
            continue
        assert field in {"note", "seen"}
    for field in ("quantity", "value", "said_by", "seen", "variant", "sense"):
        entry = {"quantity": '"range"', "value": '"9 km"'} | {field: f'"{code}"'}
        body = "[[claims]]\n" + "\n".join(f"{key} = {value}" for key, value in entry.items())
        try:
            read = sheet(body)
        except SheetError:
            continue
        read.claims[0].condition_text  # noqa: B018  read on purpose
        assert field in {"said_by", "seen", "variant"}
    for template in ('"1 {}"', '"{}"', '"1 kg*{}"', '"1 m**9**9**9"', '"1 kg/(((((((((((((("'):
        refused("[values.mass]\norigin = 'quoted'\nvalue = " + template.format("exit()"))
    assert sheet(f'story = "{code}"').story == code
    assert not marker.exists()


def test_no_import_of_the_reader_can_run_what_it_reads():
    source = (ROOT / "kit" / "chalkwatt" / "evidence" / "sheets").glob("*.py")
    for path in source:
        text = path.read_text(encoding="utf-8")
        assert not any(word in text for word in ("eval(", "exec(", "sympify", "parse_expr"))


def test_long_tower_of_powers_does_not_hang():
    code = (
        "from chalkwatt import Sheet\n"
        'Sheet.parse(\'[vehicle]\\nname = "x"\\n[values.mass]\\nvalue = "1 kg**9**9**9**9"\\norigin = "quoted"\')'
    )
    done = subprocess.run(
        [sys.executable, "-c", code],
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
        env={"PYTHONPATH": str(ROOT / "kit")},
    )
    assert "SheetError" in done.stderr


# --- Ten thousand malformed sheets ---------------------------------------------------------------

LINES = TEXT.splitlines(keepends=True)
PIECES = st.sampled_from(
    [
        "[",
        "]",
        '"',
        "'",
        "=",
        "{",
        "}",
        "\\",
        "#",
        ".",
        "\n",
        "\x00",
        "é",
        "💡",
        '"""',
        "'''",
        "[[",
        "]]",
        "nan",
        "inf",
        "-1",
        "0",
        "1e999",
        "true",
        "1979-05-27",
        "99:99",
        "[[claims]]",
        "[values]",
        "9" * 400,
        '"38 kWh"',
        '"1 m**9**9"',
        '"%"',
        '"kg"',
        '"−"',
        '"1 kWh/100 km"',
        "[1, 2]",
        "{ a = 1 }",
    ]
)
WORDS = st.sampled_from(
    [
        "value",
        "origin",
        "range",
        "plus_minus",
        "shape",
        "mass",
        "values",
        "claims",
        "quantity",
        "conditions",
        "speed",
        "vehicle",
        "name",
        "sense",
        "within",
        "cell_count",
        *ORIGINS,
        *SHAPES,
    ]
)


@st.composite
def damaged(draw):
    """The demo sheet with a few lines cut, doubled, swapped, or something put into them."""
    lines = list(LINES)
    for _ in range(draw(st.integers(1, 4))):
        place = draw(st.integers(0, len(lines) - 1))
        way = draw(st.integers(0, 5))
        line = lines[place]
        cut = draw(st.integers(0, len(line)))
        if way == 0:
            lines[place] = line[:cut]
        elif way == 1:
            lines[place] = line[:cut] + draw(PIECES) + line[cut:]
        elif way == 2:
            key, sign, _ = line.partition("=")
            lines[place] = f"{key}{sign} {draw(PIECES)}\n"
        elif way == 3:
            lines.insert(place, f"{draw(WORDS)} = {draw(PIECES)}\n")
        elif way == 4:
            lines.insert(place, lines[draw(st.integers(0, len(lines) - 1))])
        else:
            lines[place] = f"[values.{draw(WORDS)}]\n"
    return "".join(lines)


def taken(text):
    """Read a text, and ask for nothing but a sheet error with a line."""
    try:
        Sheet.parse(text)
    except SheetError as error:
        found = error
    else:
        return True
    assert 1 <= found.line <= text.count("\n") + 2
    assert f"line {found.line}" in str(found)
    return False


@settings(max_examples=7000, derandomize=True, database=None)
@given(damaged())
def test_seven_thousand_damaged_sheets(text):
    taken(text)


@settings(max_examples=1500, derandomize=True, database=None)
@given(st.lists(st.one_of(WORDS, PIECES, st.just(" = "), st.just("\n")), max_size=30))
def test_fifteen_hundred_heaps_of_pieces(parts):
    taken('[vehicle]\nname = "x"\n' + "".join(parts))


VALUES = st.one_of(
    st.text(max_size=30),
    st.floats(),
    st.integers(),
    st.integers(min_value=10**310, max_value=10**320),
    st.booleans(),
    st.lists(st.one_of(st.floats(), st.text(max_size=5)), max_size=3),
)


def written(value):
    """As TOML, where strings are escaped and numbers spelled its way."""
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, list):
        return f"[{', '.join(written(one) for one in value)}]"
    if isinstance(value, str):
        plain = "".join(one if one.isalnum() or one in " /*^.-%°()" else "" for one in value)
        return f'"{plain}"'
    return str(value).replace("e+", "e")


@settings(max_examples=1500, derandomize=True, database=None)
@given(st.dictionaries(WORDS, VALUES, max_size=5), WORDS)
def test_fifteen_hundred_tables_of_the_wrong_things(entries, table):
    body = "".join(f"{key} = {written(value)}\n" for key, value in entries.items())
    taken(f'[vehicle]\nname = "x"\n[values.{table}]\n{body}')


def test_the_damage_is_real():
    """Were nearly all damaged sheets still sound, the test above would show little."""
    counts = {True: 0, False: 0}

    @settings(max_examples=300, derandomize=True, database=None)
    @given(damaged())
    def count(text):
        counts[taken(text)] += 1

    count()
    assert counts[False] > counts[True]


@pytest.mark.parametrize(
    ("text", "path", "line"),
    [
        ("a = 1\n[b.c]\nd = 2", ("b", "c", "d"), 3),
        ('a = """\n[b]\nc = 1\n"""\n[b]\nc = 2', ("b", "c"), 6),
        ("a = [\n1,\n2,\n]\nb = 3", ("b",), 5),
        ('[x."a.b"]\ny = 1', ("x", "a.b", "y"), 2),
        ("[[c]]\na = 1\n[[c]]\na = 2", ("c", 1, "a"), 4),
        ("a.b = 1\n", ("a", "b"), 1),
        ("x = '#'\ny = 1", ("y",), 2),
        ("x = '''a\n''' # '''\ny = 1", ("y",), 3),
        ("[a]\nb = { c = 1 }", ("a", "b", "c"), 2),
    ],
)
def test_lines_are_found(text, path, line):
    assert LineIndex(text).of(*path) == line


def test_every_key_of_the_demo_sheet_is_where_the_index_says():
    index = LineIndex(TEXT)
    for name, entry in tomllib.loads(TEXT)["values"].items():
        assert LINES[index.of("values", name) - 1].strip() == f"[values.{name}]"
        for key in entry:
            assert LINES[index.of("values", name, key) - 1].startswith(key)


def test_a_sheet_error_is_one_of_the_family():
    assert issubclass(SheetError, ChalkwattError)


def test_a_condition_outside_its_braces_is_told_where_to_stand():
    with pytest.raises(SheetError, match="A condition stands in braces"):
        Sheet.parse(
            '[vehicle]\nname = "x"\n[[claims]]\nquantity = "range"\nvalue = "9 km"\nspeed = "9 km/h"\n'
        )


# --- Texts from other editors, other systems and other intentions -------------------------------


def test_a_mark_before_the_text_is_no_part_of_it(tmp_path):
    path = tmp_path / "marked.toml"
    path.write_text(TEXT, encoding="utf-8-sig")
    assert Sheet.read(path).facts == Sheet.read(PATH).facts
    assert Sheet.parse(f"\ufeff{TEXT}").name == "Quillwort"
    path.write_text("\ufeff\n[vehicle]\nnme = 1\n", encoding="utf-8")
    with pytest.raises(SheetError) as caught:
        Sheet.read(path)
    assert caught.value.line == 3


@pytest.mark.parametrize("sign", ["\u2028", "\u2029", "\x85", "\x0b", "\x0c", "\x1c"])
def test_only_a_new_line_is_one(sign):
    if sign in "\x0b\x0c\x1c":
        story = f"'two{sign}lines'"
        assert refused(f"story = {story}\n").line == 3  # TOML has no such sign
        return
    assert refused(f"story = 'two{sign}lines'\n[values.mass]\nvalue = 1\norgin = 'x'\n").line == 6


DEEP = [
    "a" + ".a" * 45_000 + " = 1",
    "[a" + ".a" * 45_000 + "]",
    "[[a" + ".a" * 45_000 + "]]",
    "x = { a" + ".a" * 45_000 + " = 1 }",
    "x = [\n{ a" + ". a" * 30_000 + " = 1 } ]",
    "a" + " . 'a'" * 15_000 + " = 1",
    '"a"' + '."a"' * 20_000 + " = 1",
    "\n".join(f"[{'.'.join(['a'] * deep)}]" for deep in range(1, 300)),
    "x = " + "{a=" * 20_000,
    "x = " + "[" * 90_000,
    "x = '" + "a" * 99_000,
    'x = "' + "\\" * 90_000,
    "x = " + "9" * 99_000,
    "k" * 90_000 + " = 1",
    "\n".join(f"k{place} = 1" for place in range(8000)),
    "[[claims]]\n" * 8000,
]


@pytest.mark.parametrize("body", DEEP, ids=lambda body: body[:12])
def test_small_texts_that_are_much_work_are_refused_soon(body):
    start = time.process_time()
    error = refused(body)
    assert time.process_time() - start < 2
    assert len(str(error)) < 1000


def test_twenty_dots_in_a_story_are_no_key():
    words = "a.b.c.d.e.f.g.h.i.j.k.l.m.n.o.p.q.r.s.t.u.v.w.x.y.z " * 3
    assert sheet(f'story = "{words}" # {words}\n').story == words.strip()
    assert sheet(f'story = """\nx.{words}"""\n').story.startswith("x.a.b")
    assert sheet("[values.mass]\nvalue = 690.5\norigin = 'quoted'\nrange = [600.5, 700.5]").facts


def test_what_moves_a_cursor_is_spelled_out_and_nothing_is_told_at_length():
    for body in (
        '"\x1b[31mkey" = 1'.replace("\x1b", "\\u001b"),
        '[values."\\u001b[2J"]\nvalue = 1',
        "[values.mass]\nvalue = 1\norigin = '" + "q" * 50_000 + "'",
        "[values.mass]\nvalue = 1\norigin = 0x" + "f" * 4000,
        "[values.mass]\nvalue = 0x" + "f" * 4000 + "\norigin = 'quoted'",
        "[values.mass]\nvalue = '" + "9" * 50_000 + "'\norigin = 'quoted'",
        "[values." + "m" * 50_000 + "]\nvalue = 1",
        "[[claims]]\n'\\u001b' = 1\n" + "c" * 50_000 + " = 1",
        "[[claims]]\nquantity = '" + "r" * 50_000 + "'\nvalue = 1",
        "[[claims]]\nquantity = 'range'\nvalue = '1 km'\nsense = '" + "s" * 50_000 + "'",
    ):
        error = refused(body)
        assert "\x1b" not in str(error)
        assert len(str(error)) < 500


def test_a_name_that_no_file_can_have():
    for name in ("a\x00b", "\x1b[31m", "x" * 5000):
        with pytest.raises(SheetError, match="cannot be opened") as caught:
            Sheet.read(name)
        assert "\x1b" not in str(caught.value)
        assert "\x00" not in str(caught.value)


SHORT = """[vehicle]
name = "Wren"
[values.mass]
value = "690 kg"
origin = "measured"
range = ["670 kg", "710 kg"]
[values.consumption]
value = "9 kWh/100 km"
origin = "quoted"
plus_minus = "5 %"
[[claims]]
quantity = "range"
value = "480 km"
conditions = { speed = "90 km/h" }
""".splitlines(keepends=True)


def test_two_thousand_sheets_with_odd_values_are_read_or_refused_with_a_line():
    draw = random.Random(12)  # noqa: S311  odd texts, no secrets
    odd = ["1 ½", "1 ²0o", "1 %⁰", "1 Ⅷ", "5% km", "1'180 kg", "1/4 mi", "1 C", "200 Nm", "1 Ym**9*Ym**9",
           "4 mi/kWh", "0 mi/kWh", "230/400 V", "1e999 kg", "−5 %", "½", "\u2009", "9" * 90]  # fmt: skip
    read = 0
    for _ in range(2000):
        lines = list(SHORT)
        for _ in range(draw.randint(1, 3)):
            place = draw.randrange(len(lines))
            key, sign, _ = lines[place].partition(" = ")
            if sign and draw.random() < 0.7:
                text = draw.choice(odd)
                if draw.random() < 0.5:
                    text += draw.choice(odd)
                lines[place] = f'{key} = "{text}"\n'
            else:
                lines[place] = (
                    f'[values.{draw.choice(["grade", "c_rate", "range"])}]\nvalue = "{draw.choice(odd)}"\n'
                )
        read += taken("".join(lines))
    assert 0 < read < 1900
