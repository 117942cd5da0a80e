"""The browser prints the MathML that Python prints."""

import math

import pytest

from chalkwatt.algebra.operations import FUNCTIONS, written_otherwise
from chalkwatt.laws.quantities import glossary
from chalkwatt.rendering.printers import MathmlPrinter
from tests.boards.loaded import load, topics

TREES = [
    ["*", ["/", 1, 2], "air_density", "drag_area", ["^", "speed", 2]],
    ["/", ["+", "road_force", ["-", "rolling_force"]], ["*", 2, "mass"]],
    ["+", ["-", "speed"], "headwind", -3, ["-", ["+", "speed", "headwind"]]],
    ["*", ["+", "speed", "headwind"], ["abs", ["+", "speed", "headwind"]]],
    ["sqrt", ["/", "road_force", ["*", "air_density", "drag_area"]]],
    ["cbrt", ["/", "wheel_power", "drag_area"]],
    ["^", ["+", "speed", "headwind"], 3],
    ["^", ["/", "air_temperature", "speed"], ["/", 1, 3]],
    ["*", 3, 2, "mass", 7],
    ["sin", ["atan", "grade"]],
    ["exp", ["-", ["/", "altitude", "speed"]]],
    ["max", 0, ["*", "mass", "gravity"]],
    ["+", 1.5e-9, ["*", 2.5e12, "mass"]],
    ["-", ["*", "mass", ["-", "grade"]]],
    *([name, ["+", "speed", "headwind"]] for name in FUNCTIONS),
    *(["^", [name, "speed"], 2] for name in FUNCTIONS),
    *(["*", "mass", [name, ["/", "speed", 2]]] for name in FUNCTIONS),
]


def tupled(tree):
    return tuple(tupled(part) for part in tree) if isinstance(tree, list) else tree


def every_tree():
    made = list(TREES)
    for topic in topics():
        made += [
            side for relation in topic.relations for side in relation.sides if side != math.inf
        ]
    return made


def numeric_leaf(printer):
    return lambda name, role: f"<mrow>{name} {role}</mrow>"


@pytest.mark.parametrize("numeric", [False, True])
def test_the_same_mathml(page, numeric):
    load(page)
    trees = every_tree()
    letters = {name: list(entry.symbol_parts) for name, entry in glossary().items()}
    made = page.evaluate(
        """([trees, letters, written, numeric]) => {
            const leaf = numeric
                ? (name, role) => `<mrow>${name} ${role}</mrow>`
                : (name) => chalk.symbol(letters[name]);
            const printer = new chalk.Printer(leaf, written, numeric);
            return trees.map((tree) => printer.print(tree));
        }""",
        [trees, letters, written_otherwise(), numeric],
    )
    printer = MathmlPrinter(numeric=numeric)
    if numeric:
        printer.leaf = numeric_leaf(printer)
    assert made == [printer.print(tupled(tree)) for tree in trees]


def test_a_moving_number_changes_text_only(page):
    load(page)
    changed = page.evaluate(
        """() => {
            const slots = new chalk.Slots(() =>
                ({label: "km", parts: (x) => chalk.numberParts(x, 4), value: (x) => x}));
            const math = document.createElement("div");
            const printer = new chalk.Printer(slots.leaf, {}, true);
            math.innerHTML = `<math>${printer.print(["*", "speed", ["^", "speed", 2]])}</math>`;
            document.body.append(math);
            slots.attach(math);
            slots.fill(12.5);
            const seen = [];
            const watch = new MutationObserver((all) => seen.push(...all.map((one) => one.type)));
            watch.observe(math, {childList: true, characterData: true, subtree: true});
            slots.fill(13.5);
            const quiet = watch.takeRecords().map((one) => one.type);
            slots.fill(-1e9);
            const loud = watch.takeRecords().map((one) => one.type);
            return [quiet, loud.includes("childList"), math.textContent];
        }"""
    )
    assert changed[0] == ["characterData"] * 2
    assert changed[1]
    assert changed[2] == "−1.000×109km×(−1.000×109km)2"


def test_every_glyph_that_a_board_can_show_is_in_the_font():
    from fontTools.ttLib import TTFont

    from chalkwatt.boards import front_end

    font = TTFont(front_end._HERE / "math.woff2")
    assert "MATH" in font
    has = font.getBestCmap()
    needed = set("0123456789+−×=()|,.%")
    for entry in glossary().values():
        base, subscript = entry.symbol_parts
        needed |= set(subscript) | ({italic(base)} if len(base) == 1 else set(base))
        needed |= {letter for label in entry.display for letter in label}
    assert {letter for letter in needed if ord(letter) not in has and not letter.isspace()} == set()


def italic(letter):
    """The mathematical italic that a browser puts in place of a single letter."""
    if letter == "h":
        return "ℎ"
    if letter.isascii():
        return chr((0x1D434 if letter.isupper() else 0x1D44E) + ord(letter.lower()) - ord("a"))
    greek = {"Δ": "\U0001d6e5", "Φ": "\U0001d6f7", "Ω": "\U0001d6fa", "ϕ": "\U0001d719"}
    return greek.get(letter) or chr(0x1D6FC + ord(letter) - ord("α"))
