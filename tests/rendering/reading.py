"""A reader of rendered lines that knows nothing of how they were written.

It reads plain text, LaTeX and MathML as a person with a calculator would: what is not in
parentheses, under a bar or raised binds by the usual rules only. A number with its unit is one
thing, and so has to stand in parentheses where it is raised.
"""

# ruff: noqa: C901, PLR0911, PLR0915, S314  one case a sign; only our own output is read

import math
import re
import xml.etree.ElementTree as ET

from chalkwatt.laws.quantities import glossary
from chalkwatt.wording import units

LABELS = sorted(
    {one for entry in glossary().values() for one in (*entry.display, entry.unit) if one},
    key=len,
    reverse=True,
)
RAISED = str.maketrans("⁻⁰¹²³⁴⁵⁶⁷⁸⁹", "-0123456789")
FUNCTIONS = {
    "ln": math.log,
    "lg": math.log10,
    "sin": math.sin,
    "cos": math.cos,
    "tan": math.tan,
    "arcsin": math.asin,
    "arccos": math.acos,
    "arctan": math.atan,
    "sinh": math.sinh,
    "cosh": math.cosh,
    "tanh": math.tanh,
    "arsinh": math.asinh,
    "arcosh": math.acosh,
    "artanh": math.atanh,
    "exp": math.exp,
    "sgn": lambda x: math.copysign(1.0, x) if x else 0.0,
    "min": min,
    "max": max,
}


def si(number, label):
    return number * units.unit(label).factor if label else number


def combined(tokens):
    """Value of a flat list of numbers, signs, parentheses and raised exponents."""
    reader = _Tokens(tokens)
    value = reader.sum()
    assert reader.place == len(tokens), f"left over: {tokens[reader.place :]}"
    return value


class _Tokens:
    def __init__(self, tokens):
        self.tokens, self.place = tokens, 0

    def next(self):
        return self.tokens[self.place] if self.place < len(self.tokens) else None

    def take(self, wanted=None):
        piece = self.next()
        assert piece is not None
        assert wanted is None or piece == wanted, f"{wanted} expected, {piece} found"
        self.place += 1
        return piece

    def sum(self):
        value = self.product()
        while self.next() in {"+", "−"}:
            sign = self.take()
            other = self.product()
            value = value + other if sign == "+" else value - other
        return value

    def product(self):
        value = self.signed()
        while self.next() in {"·", "/"}:
            sign = self.take()
            other = self.signed()
            value = value * other if sign == "·" else value / other
        return value

    def signed(self):
        if self.next() == "−":
            self.take()
            return -self.signed()
        return self.power()

    def power(self):
        value, bare = self.atom()
        while isinstance(self.next(), tuple) and self.next()[0] == "raised":
            assert not bare, "a number with a unit or a power of ten is raised without parentheses"
            value = value ** self.take()[1]
        return value

    def atom(self):
        piece = self.take()
        if isinstance(piece, tuple) and piece[0] == "number":
            _, number, label, tens = piece
            return si(number, label), bool(label) or tens
        if isinstance(piece, tuple) and piece[0] == "value":
            return piece[1], False
        if piece == "(":
            value = self.sum()
            self.take(")")
            return value, False
        if piece == "|":
            value = abs(self.sum())
            self.take("|")
            return value, False
        if piece in {"√", "∛"}:
            value, _ = self.atom()
            return (math.sqrt(value) if piece == "√" else math.cbrt(value)), False
        assert piece in FUNCTIONS, f"what is {piece}?"
        self.take("(")
        args = [self.sum()]
        while self.next() == ",":
            self.take()
            args.append(self.sum())
        self.take(")")
        return FUNCTIONS[piece](*args), False


# Plain text.
_DIGITS = r"\d{1,3}(?:\u202f\d{3})+(?:\.\d+)?|\d+(?:\.\d+)?"
_NUMBER = re.compile(rf"(?P<sign>−?)(?P<number>{_DIGITS})(?:×10(?P<power>[⁻⁰¹²³⁴⁵⁶⁷⁸⁹]+))?")
_UNIT = re.compile(
    r"(?: (?P<unit>"
    + "|".join(re.escape(one) for one in LABELS if one != "°")
    + r")|(?P<degree>°))"
    r"(?![\w²³/°%]|·)"
)


def text_value(line):
    """Value of a line of plain text without unknowns."""
    tokens, place, expected = [], 0, True
    while place < len(line):
        rest = line[place:]
        if rest[0] == " ":
            place += 1
            continue
        found = _NUMBER.match(rest)
        if found and (expected or not found["sign"]):
            power = int(found["power"].translate(RAISED)) if found["power"] else 0
            number = float(f"{found['number'].replace(chr(0x202F), '')}e{power}")
            place += found.end()
            unit = _UNIT.match(line[place:])
            label = (unit["unit"] or "°") if unit else ""
            place += unit.end() if unit else 0
            # A sign binds more loosely than a power; a number with a power of ten is a product.
            tokens += ["−"] if found["sign"] else []
            tokens.append(("number", number, label, bool(power)))
            expected = False
            continue
        raised = re.match(r"[⁻⁰¹²³⁴⁵⁶⁷⁸⁹]+", rest)
        if raised:
            tokens.append(("raised", int(raised[0].translate(RAISED))))
            place += raised.end()
            continue
        if rest.startswith("^("):
            end = _closing(rest, 1)
            tokens.append(("raised", text_value(rest[2:end])))
            place += end + 1
            continue
        word = re.match(r"[a-z]+|[-+−·/()|√∛,]", rest)
        assert word, f"what is {rest[:12]!r}?"
        tokens.append(word[0])
        expected = word[0] not in {")", "|"} or (word[0] == "|" and expected)
        place += word.end()
    return combined(tokens)


def _closing(text, start, pair="()"):
    depth = 0
    for place in range(start, len(text)):
        depth += {pair[0]: 1, pair[1]: -1}.get(text[place], 0)
        if depth == 0:
            return place
    raise AssertionError(f"no end: {text}")


# LaTeX.
_TEX_NUMBER = re.compile(
    r"(?P<sign>-?)(?P<number>\d{1,3}(?:\\,\d{3})+(?:\.\d+)?|\d+(?:\.\d+)?)"
    r"(?:\\times 10\^\{(?P<power>-?\d+)\})?"
)


def tex_label(label):
    made = label.replace("%", r"\%").replace("·", r"{\cdot}").replace("Ω", r"\Omega ")
    made = made.replace("²", "^2").replace("³", "^3").replace("‰", r"\text{‰}")
    made = made.replace(" ", r"\,").replace("°", r"{}^{\circ}")
    return r"\,\%" if label == "%" else rf"\,\mathrm{{{made}}}"


_TEX_LABELS = {tex_label(one): one for one in LABELS}


def latex_value(line):
    """Value of a line of LaTeX without unknowns."""
    tokens, place, expected = [], 0, True
    while place < len(line):
        rest = line[place:]
        if rest[0] == " ":
            place += 1
            continue
        found = _TEX_NUMBER.match(rest)
        if found and (expected or not found["sign"]):
            power = int(found["power"] or 0)
            number = float(f"{found['number'].replace(chr(92) + ',', '')}e{power}")
            place += found.end()
            label = ""
            for shown, one in _TEX_LABELS.items():
                if line[place:].startswith(shown):
                    label, place = one, place + len(shown)
                    break
            tokens += ["−"] if found["sign"] else []
            tokens.append(("number", number, label, bool(power)))
            expected = False
            continue
        expected = False
        if rest.startswith((r"\frac{", r"\tfrac{")):
            first = rest.index("{")
            middle = _closing(rest, first, "{}")
            end = _closing(rest, middle + 1, "{}")
            value = latex_value(rest[first + 1 : middle]) / latex_value(rest[middle + 2 : end])
            tokens.append(("value", value))
            place += end + 1
        elif rest.startswith(r"\sqrt"):
            first = rest.index("{")
            end = _closing(rest, first, "{}")
            inner = latex_value(rest[first + 1 : end])
            tokens.append(("value", math.cbrt(inner) if rest[5] == "[" else math.sqrt(inner)))
            place += end + 1
        elif rest.startswith("^{"):
            end = _closing(rest, 1, "{}")
            tokens.append(("raised", latex_value(rest[2:end])))
            place += end + 1
        elif rest.startswith("e^{"):
            end = _closing(rest, 2, "{}")
            tokens.append(("value", math.exp(latex_value(rest[3:end]))))
            place += end + 1
        elif rest[0] == "{":
            # Braces do not show: what is in them has to be one thing for what follows.
            end = _closing(rest, 0, "{}")
            inner = rest[1:end]
            whole = _TEX_NUMBER.fullmatch(inner)
            one = inner.startswith((r"\left", r"\frac", r"\tfrac", r"\sqrt")) or (
                whole and not whole["sign"] and not whole["power"]
            )
            assert one, f"raised without parentheses: {inner}"
            tokens.append(("value", latex_value(inner)))
            place += end + 1
        else:
            word = re.match(
                r"\\left\(|\\right\)|\\left\||\\right\||\\times|\\operatorname\{([a-z]+)\}|[-+,]",
                rest,
            )
            assert word, f"what is {rest[:16]!r}?"
            shown = {r"\left(": "(", r"\right)": ")", r"\left|": "|", r"\right|": "|"}
            shown |= {r"\times": "·", "-": "−"}
            tokens.append(word[1] or shown.get(word[0], word[0]))
            expected = not word[0].startswith(r"\right")
            place += word.end()
    return combined(tokens)


# MathML.


def mathml_value(line):
    """Value of a line of MathML without unknowns: rows do not show, so they group nothing."""
    return combined(_joined(_pieces(ET.fromstring(f"<math>{line}</math>"))))


def _pieces(node):
    return [piece for child in node for piece in _piece(child)]


def _piece(node):
    kind = node.tag
    if kind in {"mrow", "mstyle", "math"}:
        return _pieces(node)
    if kind == "mn":
        return [("digits", float(node.text.replace("\u202f", "")))]
    if kind == "mtext":
        return [("unit", node.text)]
    if kind == "mspace":
        return []
    if kind == "mi":
        return [node.text]
    if kind == "mo":
        text = node.text.strip()
        return [] if text == "\u2061" else ["·" if text in {"×", "\u2062"} else text]
    if kind == "mfrac":
        over, under = (combined(_joined(_piece(child))) for child in node)
        return [("value", over / under)]
    if kind == "msqrt":
        return [("value", math.sqrt(combined(_joined(_pieces(node)))))]
    if kind == "mroot":
        return [("value", math.cbrt(combined(_joined(_piece(node[0])))))]
    assert kind == "msup", kind
    base, exponent = _piece(node[0]), combined(_joined(_piece(node[1])))
    if base == [("digits", 10.0)]:
        return [("ten", exponent)]
    if base == ["e"]:
        return [("value", math.exp(exponent))]
    return [*_joined(base), ("raised", exponent)]


def _joined(pieces):
    """Put digits, power of ten and unit together; a cross before a power of ten joins them."""
    made, place = [], 0
    while place < len(pieces):
        piece = pieces[place]
        if isinstance(piece, tuple) and piece[0] == "ten":
            piece = ("value", 10.0 ** piece[1])
        if not (isinstance(piece, tuple) and piece[0] == "digits"):
            assert not (isinstance(piece, tuple) and piece[0] == "unit"), pieces
            made.append(piece)
            place += 1
            continue
        number, power, place = piece[1], 0, place + 1
        if pieces[place : place + 1] == ["·"] and len(pieces) > place + 1:
            following = pieces[place + 1]
            if isinstance(following, tuple) and following[0] == "ten":
                power, place = int(following[1]), place + 2
        label = ""
        if place < len(pieces) and isinstance(pieces[place], tuple) and pieces[place][0] == "unit":
            label, place = pieces[place][1], place + 1
        number = float(f"{number!r}e{power}") if power else number
        made.append(("number", number, label, bool(power)))
    return made
