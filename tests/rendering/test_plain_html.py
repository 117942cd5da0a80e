"""What a notebook stores keeps its meaning where a host takes MathML away."""

import re
from html import unescape

import pytest

from chalkwatt import load, pack, sun
from chalkwatt.rendering.plain_html import equation

TAG = re.compile(r"<[^>]*>")


def stripped(html):
    """Return the text that is left without any tag; lines end, and a subscript is written _."""
    return unescape(TAG.sub("", html.replace("<br>", "\n").replace("<sub>", "_")))


@pytest.mark.parametrize("topic", [load, pack, sun], ids=lambda topic: topic.name)
def test_without_its_tags_the_working_says_what_its_plain_text_says(topic):
    working = topic.find(topic.wanted, **topic.example).working
    kept = stripped(working.html)
    for step in working.steps:
        for line in (step.symbols, step.numbers, step.result):
            assert line.text in kept
    assert set(TAG.findall(working.html)) <= {
        "<p>",
        "</p>",
        "<br>",
        "<i>",
        "</i>",
        "<sub>",
        "</sub>",
    }


def test_a_fraction_keeps_its_bar_in_the_bundle_of_an_answer():
    answer = pack.find("cell_count", pack_energy="9 kWh", cell_energy="18.15 Wh")
    bundle = answer._repr_mimebundle_()
    # A notebook would prefer text/html and strip its MathML when untrusted; LaTeX is typeset either way.
    assert set(bundle) == {"text/plain", "text/latex"}
    assert "N = E / ε" in stripped(answer.working.html)
    assert bundle["text/plain"] == "cell_count = 495.87"
    assert r"\frac" in bundle["text/latex"]


@pytest.mark.parametrize(
    ("line", "symbols", "made"),
    [
        ("F_air = 1 / 2 · ρ · v²", True, "<i>F</i><sub>air</sub> = 1 / 2 · <i>ρ</i> · <i>v</i>²"),
        ("v = 5 m / (2 s)", False, "<i>v</i> = 5 m / (2 s)"),
        ("v = 4 km/h or v = 9 km/h", False, "<i>v</i> = 4 km/h or <i>v</i> = 9 km/h"),
        ("3 N = C_d · v", False, "3 N = <i>C</i><sub>d</sub> · v"),
        ("x = ln(a)", True, "<i>x</i> = ln(<i>a</i>)"),
        ("a < b & c", True, "<i>a</i> &lt; <i>b</i> &amp; <i>c</i>"),
    ],
)
def test_symbols_are_set_and_units_stay_upright(line, symbols, made):
    assert equation(line, symbols=symbols) == made
