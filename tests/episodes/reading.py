"""Read an equation back from a card: outlines to letters, places to fractions and powers, to a value.

The letters are recognised by their outlines, which fontTools takes from the font file: nothing here
knows how the card was set. Fractions, exponents and subscripts are told from where things stand.
"""

import math
import re
import unicodedata
from dataclasses import dataclass
from functools import cache
from xml.etree import ElementTree as ET

import numpy as np
from fontTools.pens.svgPathPen import SVGPathPen
from fontTools.ttLib import TTFont

from chalkwatt.cards.typesetting import font_file
from chalkwatt.wording import units

_COMMAND = re.compile(r"([MLHVQCZ])([^MLHVQCZ]*)")


# A lowered figure has the outline of a raised one; in a unit it is raised.
_RAISED = str.maketrans("₀₁₂₃₄₅₆₇₈₉", "⁰¹²³⁴⁵⁶⁷⁸⁹")
# Letters that are nothing but a rectangle.
_RECTANGLES = set("−_–—|‐-¯‾▀▄█▌▐■⎯―")


@dataclass
class Token:
    text: str
    left: float
    top: float
    right: float
    bottom: float
    baseline: float
    em: float


@dataclass
class Bar:
    left: float
    right: float
    y: float


def contours(data):
    """Split path data into contours of (codes, points); segments without length are left out."""
    found, codes, points = [], "", []
    for letter, numbers in _COMMAND.findall(data):
        values = [float(one) for one in re.findall(r"-?\d*\.?\d+(?:e-?\d+)?", numbers)]
        if letter == "Z":
            if points and math.dist(points[0], points[-1]) > 1e-9:
                codes, points = codes + "L", [*points, points[0]]
            found.append((codes, np.unique(np.array(points), axis=0)))
            codes, points = "", []
            continue
        if letter in "HV":
            x, y = points[-1]
            pairs = [(values[0], y) if letter == "H" else (x, values[0])]
        else:
            pairs = list(zip(values[::2], values[1::2], strict=True))
        if letter in "LHV" and points and math.dist(pairs[-1], points[-1]) < 1e-9:
            continue
        step = {"Q": 2, "C": 3}.get(letter, 1)
        for place in range(0, len(pairs), step):
            codes += "L" if letter in "HV" else letter
            points += pairs[place : place + step]
    return found


@cache
def alphabet():
    """Every outline of the font: signature -> [(text, points, origin, height of an em)]."""
    font = TTFont(font_file())
    shapes, names = font.getGlyphSet(), {}
    for code, name in font.getBestCmap().items():
        names.setdefault(name, chr(code))
    known = {}
    for name in font.getGlyphOrder():
        pen = SVGPathPen(shapes)
        shapes[name].draw(pen)
        parts = contours(pen.getCommands())
        if not parts:
            continue
        base = name.split(".")[0]
        text = names.get(name) or names.get(base) or f"<{name}>"
        if len(parts) == 1 and rectangle(parts[0][1]) and text != "−":
            text = "_"  # one rectangle is like another
        points = np.concatenate([one[1] for one in parts]) * (1, -1) / font["head"].unitsPerEm
        known.setdefault(tuple(len(one[1]) for one in parts), []).append((text, points))
    return known


def tokens_of(svg, role):
    """Letters and rules of one line of a card."""
    root = ET.fromstring(svg)  # noqa: S314  our own file
    tokens, bars = [], []
    for path in root.iter("{http://www.w3.org/2000/svg}path"):
        if path.get("class") != role:
            continue
        parts = contours(path.get("d"))
        place = 0
        while place < len(parts):
            token, taken = recognised(parts[place:])
            if token is None and rectangle(parts[place][1]):
                (left, top), (right, bottom) = (
                    parts[place][1].min(axis=0),
                    parts[place][1].max(axis=0),
                )
                bars.append(Bar(left, right, (top + bottom) / 2))
                place += 1
                continue
            assert token is not None, f"an outline of no letter: {parts[place][0]}"
            tokens.append(token)
            place += taken
    sizes = [one.em for one in tokens if one.text not in _RECTANGLES]
    for one in [one for one in tokens if one.text in _RECTANGLES]:
        # A minus has the size of the letters beside it; a rule is as long as what it carries.
        if min(abs(one.em - size) / size for size in sizes) > 0.01 or one.text != "−":
            tokens.remove(one)
            bars.append(Bar(one.left, one.right, (one.top + one.bottom) / 2))
    return tokens, bars


def rectangle(points):
    return len(points) == 4 and len(np.unique(points[:, 0])) == 2 == len(np.unique(points[:, 1]))


def recognised(parts):
    best = None
    for taken in (4, 3, 2, 1):
        here = parts[:taken]
        if len(here) < taken:
            continue
        points = np.concatenate([one[1] for one in here])
        for text, shape in alphabet().get(tuple(len(one[1]) for one in here), ()):
            wide, ours = np.ptp(shape, axis=0), np.ptp(points, axis=0)
            axis = int(wide.argmax())
            scale = ours[axis] / wide[axis]
            if np.abs(wide * scale - ours).max() > 5e-3 * scale:
                continue
            shift = points.min(axis=0) - shape.min(axis=0) * scale
            apart = np.abs((shape * scale + shift)[:, None] - points[None]).max(axis=2)
            off = max(apart.min(axis=0).max(), apart.min(axis=1).max()) / scale
            if off < 5e-3 and (best is None or off < best[0] or text == "−"):
                low, high = points.min(axis=0), points.max(axis=0)
                token = Token(text, low[0], low[1], high[0], high[1], shift[1], scale)
                best = off, token, taken
        if best:
            return best[1], best[2]
    return None, 1


def value_of(tokens, bars, symbols):
    """Work out what follows an equation's first sign; ``symbols`` gives the value of each symbol."""
    items = reduced(tokens, bars, symbols)
    items.sort(key=lambda one: one[0])
    cut = next(place for place, one in enumerate(items) if one[1] == "=")
    # A line may end in its result.
    end = next((n for n in range(cut + 1, len(items)) if items[n][1] == "="), len(items))
    return Sum([one[1:] for one in items[cut + 1 : end]], symbols).value()


def reduced(tokens, bars, symbols):
    """Replace fractions and roots by their values, the widest first: (x, text or number, token)."""
    tokens, bars, done = list(tokens), sorted(bars, key=lambda one: one.left - one.right), []
    while bars:
        bar = bars.pop(0)
        inside = [
            one for one in tokens if bar.left - 1 <= (one.left + one.right) / 2 <= bar.right + 1
        ]
        radical = next(
            (one for one in tokens if one.text == "√" and abs(one.right - bar.left) < 0.2 * one.em),
            None,
        )
        if radical is not None:
            inside = [one for one in inside if one is not radical and one.baseline > bar.y]
            degree = [
                one
                for one in tokens
                if one.right < radical.right and one.right > radical.left and one.em < radical.em
            ]
            nested = [
                one for one in bars if bar.left - 1 <= (one.left + one.right) / 2 <= bar.right + 1
            ]
            under = Sum(sorted_items(inside, nested, symbols), symbols).value()
            power = float(degree[0].text) if degree else 2.0
            done.append((bar.left, abs(under) ** (1 / power), inside[0]))
            gone = [*inside, *degree, radical]
        else:
            nested = [
                one for one in bars if bar.left - 1 <= (one.left + one.right) / 2 <= bar.right + 1
            ]
            sides = []
            for up in (True, False):
                part = [one for one in inside if ((one.top + one.bottom) / 2 < bar.y) == up]
                rules = [one for one in nested if (one.y < bar.y) == up]
                sides.append(Sum(sorted_items(part, rules, symbols), symbols).value())
            done.append((bar.left, sides[0] / sides[1], inside[0]))
            gone = inside
        tokens = [one for one in tokens if not any(one is other for other in gone)]
        bars = [one for one in bars if not any(one is other for other in nested)]
    return [*done, *((one.left, unicodedata.normalize("NFKC", one.text), one) for one in tokens)]


def sorted_items(tokens, bars, symbols):
    return [one[1:] for one in sorted(reduced(tokens, bars, symbols), key=lambda item: item[0])]


class Sum:
    """A row of letters and numbers, worked out with the usual precedence."""

    def __init__(self, items, symbols):
        self.items, self.symbols, self.at = items, symbols, 0

    def value(self):
        total, sign = 0.0, 1.0
        while self.at < len(self.items):
            text = self.items[self.at][0]
            if text in {"+", "−"}:
                sign, self.at = (1.0 if text == "+" else -1.0), self.at + 1
            elif text == ")":
                break
            else:
                total, sign = total + sign * self.product(), 1.0
        return total

    def product(self):
        made = 1.0
        while self.at < len(self.items) and self.items[self.at][0] not in {"+", "−", ")", "="}:
            if self.items[self.at][0] == "×":
                self.at += 1
                continue
            made *= self.powered()
        return made

    def powered(self):
        baseline = self.items[self.at][1].baseline
        base = self.atom()
        raised = []
        while self.at < len(self.items) and isinstance(self.items[self.at][0], str):
            token = self.items[self.at][1]
            if token.baseline > baseline - 0.25 * token.em or not re.match(r"[\d.−]", token.text):
                break
            raised.append(self.items[self.at][0])
            self.at += 1
        return base ** float("".join(raised).replace("−", "-")) if raised else base

    def atom(self):
        text, token = self.items[self.at]
        self.at += 1
        if not isinstance(text, str):
            return text
        if text == "(":
            made = self.value()
            self.at += 1
            return made
        if text.isdigit():
            return self.amount(text, token)
        name = text
        while self.at < len(self.items):
            following, part = self.items[self.at]
            if (
                not isinstance(following, str)
                or part.baseline <= token.baseline + 0.1 * part.em
                or part.em > 0.9 * token.em
            ):
                break
            name += following
            self.at += 1
        return self.symbols[name]

    def amount(self, digits, token):
        """A number and the unit behind it."""
        unit = ""
        while self.at < len(self.items):
            text, part = self.items[self.at]
            same = isinstance(text, str) and abs(part.baseline - token.baseline) < 0.1 * part.em
            if not same or text in {"×", "+", "−", "=", "(", ")", "o"}:
                break
            if unit or not (text.isdigit() or text == "."):
                unit += part.text.translate(_RAISED)
            else:
                digits += text
            self.at += 1
        unit = unit.replace("/100km", "/100 km")
        known = units.unit(unit)
        return float(digits) * known.factor + known.offset
