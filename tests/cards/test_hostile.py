"""Two hundred hostile strings, put wherever a person or a sheet can put text: they stay text."""

import io
from types import SimpleNamespace
from xml.etree import ElementTree as ET

import pytest
from PIL import Image

from chalkwatt import load
from chalkwatt.cards.card import equation_card
from chalkwatt.cards.figure_card import curve_card, figure_card
from chalkwatt.errors import ChalkwattError
from chalkwatt.scripts.proofread import proofread
from chalkwatt.scripts.script import as_words, script

_SEEDS = [
    "<script>alert(1)</script>",
    "</title><script>alert(1)</script>",
    '"><img src=x onerror=alert(1)>',
    "<svg onload=alert(1)>",
    "]]><!--",
    "<!DOCTYPE x [<!ENTITY e SYSTEM 'file:///etc/passwd'>]>&e;",
    "&lt;script&gt;",
    "&#60;b&#62;",
    "{{ 7*7 }}",
    "{% for x in y %}",
    "{{ ''.__class__.__mro__ }}",
    "{# comment #}",
    "$\\frac{1}{0}$",
    "$$ \\input{/etc/passwd} $$",
    "\\write18{id}",
    "$x_",
    "%s%s%n",
    "{0.__class__}",
    "__import__('os').system('id')",
    "'; DROP TABLE quantities; --",
    "../../../etc/passwd",
    "[link](javascript:alert(1))",
    "![x](http://127.0.0.1/x)",
    "# heading",
    "`code`",
    "line\nbreak",
    "tab\there",
    "nul\x00inside",
    "bell\x07",
    "escape\x1b[31m",
    "del\x7f",
    "c1\x85\x9f",
    "\u202eright to left",
    "\u2066isolate\u2069",
    "zero\u200bwidth\u200d",
    "\ufeffbom",
    "lone \ud800 surrogate",
    "\uffff\ufffe",
    "private \ue000 \ue001",
    "a" * 5000,
    "W" * 200,
    "👩‍👩‍👧‍👦 family",
    "ﷺ long ligature",
    "Z͑ͫ̓ͪ̂ͫ̽͏̴̙̤̞͉͚̯̞̠͍A̴̵̜̰͔ͫ͗͢L",
    "مرحبا",
    "漢字と仮名",
    " ",
    "…",
    "NaN km",
    "1e999 kg",
]
_FRAMES = ["{}", "x {} y", "{}{}", "Ünïcode {}"]
HOSTILE = [frame.format(*[seed] * frame.count("{}")) for frame in _FRAMES for seed in _SEEDS]


@pytest.fixture(scope="module")
def answer():
    return load.find("air_force", speed="72 km/h", drag_area="0.5 m²", air_density=1.2)


def test_there_are_two_hundred():
    assert len(set(HOSTILE)) == len(HOSTILE) == 200


def check_svg(data):
    """Well-formed, with nothing that runs or fetches."""
    text = data.decode()
    root = ET.fromstring(data)  # noqa: S314  our own file
    tags = {one.tag.rpartition("}")[2] for one in root.iter()}
    assert tags <= {
        "svg",
        "title",
        "path",
        "g",
        "defs",
        "style",
        "use",
        "clipPath",
        "rect",
        "metadata",
    }
    assert "<!DOCTYPE" not in text
    for one in root.iter():
        for name, value in one.attrib.items():
            assert not name.lower().startswith("on")
            assert "javascript:" not in value.lower()
            if name.endswith("href"):
                assert value.startswith("#")


@pytest.mark.parametrize("place", range(0, 200, 8))
def test_titles_of_cards(answer, place):
    for text in HOSTILE[place : place + 8]:
        if len(text) > 190:
            with pytest.raises(ChalkwattError, match="does not fit"):
                equation_card(answer, title=text, kind="svg")
        else:
            check_svg(equation_card(answer, title=text, kind="svg").data)


@pytest.mark.sweep(1 / 5)
@pytest.mark.parametrize("place", range(0, 200, 20))
def test_names_and_alt_texts_of_figures(answer, place):
    for text in HOSTILE[place : place + 20]:
        small = {"size": (480, 270)}
        check_svg(
            curve_card({text: answer, "b": answer}, against="speed", kind="svg", **small).data
        )
        words = f"Alt: {text}"
        card = figure_card(
            lambda axes, text=text: axes.set_xlabel(text), alt=words, kind="svg", **small
        )
        check_svg(card.data)
        picture = figure_card(lambda axes: axes.plot([0, 1], [0, 1]), alt=words, **small)
        with Image.open(io.BytesIO(picture.data)) as image:
            image.load()


@pytest.mark.parametrize("text", HOSTILE[:100])
def test_a_vehicles_name_in_a_script(text):
    sheet = SimpleNamespace(name=text, facts={}, find=None)
    made = script("A {{ vehicle }} B", sheet).text
    assert "<" not in made
    assert ">" not in made
    assert "49" not in made
    assert "\n" not in made
    assert "](" not in made.replace(r"\](", "").replace(r"]\(", "")
    assert as_words(text) in made


@pytest.mark.parametrize("text", HOSTILE)
def test_prose_and_templates(text):
    proofread(f"{text} 700 kg {text}", {"mass": "700 kg"})
    try:
        made = script(f"{text} {{{{ mass }}}}", {"mass": "700 kg"}).text
    except ChalkwattError:
        return  # a template of its own, and a wrong one
    assert "700 kilograms" in made
    assert "49" not in made
