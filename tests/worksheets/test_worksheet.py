"""Worksheets: a thousand seeds, physical and solvable from what is printed; no answer in students' hands."""

import html
import importlib
import math
import re

import numpy as np
import pytest

from chalkwatt import load, pack
from chalkwatt.algebra.numpy_tree import compile_tree
from chalkwatt.errors import ChalkwattError
from chalkwatt.laws.quantities import look_up
from chalkwatt.worksheets.worksheet import printed_as, worksheet
from tests.browsing import axe_violations, overflow


def printed_values(problem):
    """SI values of everything that is printed, read again from its text."""
    return {
        one.name: float(look_up(one.name).read(one.text))
        for one in (*problem.given, *problem.taken)
        if look_up(one.name).constant is None
    }


@pytest.mark.parametrize("topic", [load, pack], ids=["load", "pack"])
def test_a_thousand_seeds_are_physical_and_solvable_from_the_print(topic):
    wanted = set()
    for seed in range(500):
        sheet = worksheet(topic, seed, problems=2)
        assert len(sheet.problems) == 2
        for problem in sheet.problems:
            wanted.add(problem.wanted)
            known = printed_values(problem)
            assert problem.wanted not in known
            values = {name: float(value) for name, value in problem.answer.best.values.items()}
            for name, value in values.items():
                assert look_up(name).inside(value), (seed, name, value)
            for name, value in known.items():
                assert values[name] == value  # the key was worked out from the text itself
            # Every law holds, and holds nothing but what is printed, assumed away, or on a blank.
            blanks = {step.find for step in problem.answer.plan.steps}
            for relation in problem.answer.plan.relations:
                if relation.standing:
                    continue
                zeros = dict.fromkeys(problem.answer.plan.zeros, 0.0)
                there = {*known, *blanks, *zeros}
                open_names = [
                    name
                    for name in relation.names
                    if name not in there and look_up(name).constant is None
                ]
                # A name that is neither may only stand beside a nought: any value of it will do.
                for filler in (1.0, 2.0):
                    here = {**values, **zeros, **dict.fromkeys(open_names, filler)}
                    left, right = (float(compile_tree(side)(here)) for side in relation.sides)
                    assert left == pytest.approx(right, rel=1e-9)
            assert problem.right(problem.answer.si)
            assert not problem.right(1.3 * problem.answer.si)
    assert len(wanted) >= 6


def test_the_same_seed_makes_the_same_sheet_and_another_another():
    one, two, three = worksheet(load, 4), worksheet(load, 4), worksheet(load, 5)
    assert one.student == two.student
    assert one.key == two.key
    assert one.student != three.student


def test_tolerances_cover_the_rounding_of_what_is_printed():
    draw = np.random.default_rng(2)
    for seed in range(25):
        for problem in worksheet(load, seed, problems=3).problems:
            known = printed_values(problem)
            grains = {one.name: one.grain for one in (*problem.given, *problem.taken)}
            function = load.compile(problem.wanted, known=tuple(known))
            for _ in range(10):
                shifted = [
                    value + draw.uniform(-1, 1) * grains[name] for name, value in known.items()
                ]
                assert problem.right(float(np.asarray(function(*shifted))))
            # Rounding every result on the way to three digits does no harm either.
            low, high = problem.accept
            assert (high - low) / 2 >= 0.005 * abs(problem.answer.si)
            ends = re.match(r"([\d.\u202f]+)(?:×.*)? to", problem.accepted)
            assert ends is not None


def numbers_in(page):
    text = html.unescape(re.sub(r"<style>.*?</style>|<[^>]+>", " ", page, flags=re.DOTALL))
    return set(re.findall(r"[\d\u202f]+(?:\.\d+)?", text))


@pytest.mark.parametrize("topic", [load, pack], ids=["load", "pack"])
def test_the_students_page_holds_no_answer(topic):
    for seed in range(60):
        sheet = worksheet(topic, seed, problems=4)
        student, key = sheet.student, sheet.key
        assert "Right:" not in student
        assert key.count("Right:") == 4
        given = {
            one.text.split()[0]
            for problem in sheet.problems
            for one in (*problem.given, *problem.taken)
        }
        for problem in sheet.problems:
            for step in problem.answer.working.steps:
                label, number = problem.answer.working.shown(step.find)
                del label
                shown = f"{number:.4g}"
                said = given | {str(seed)}  # the sheet's own number stands on it, too
                near = [one for one in numbers_in(student) - said if close(one, number)]
                assert not near, (seed, step.find, shown, near)
                assert any(close(one, number) for one in numbers_in(key))


def close(text, number):
    return math.isclose(float(text.replace("\u202f", "") or "nan"), number, rel_tol=6e-4)


def test_hidden_places_hold_no_answer_either():
    student = worksheet(load, 3).student
    assert not re.search(r"<!--|data-|<script|hidden|display:none|title=", student)


@pytest.mark.browser
def test_print_on_a4_and_letter(offline_page, tmp_path):
    sheet, key = worksheet(load, 21).write(tmp_path / "load.html")
    assert (sheet.name, key.name) == ("load.html", "load-key.html")
    for path in (sheet, key):
        offline_page.goto(path.as_uri())
        offline_page.emulate_media(media="print")
        # 18 mm margins leave 174 mm of A4 and 179.9 mm of letter.
        for wide in (174, 179.9):
            offline_page.set_viewport_size({"width": int(wide / 25.4 * 96), "height": 900})
            assert overflow(offline_page) <= 0
        boxes = offline_page.evaluate(
            "[...document.querySelectorAll('li')].map(e => getComputedStyle(e).breakInside)"
        )
        assert set(boxes) == {"avoid"}
        for paper in ("A4", "Letter"):
            data = offline_page.pdf(format=paper, prefer_css_page_size=False)
            pages = len(re.findall(rb"/Type\s*/Page\b", data))
            assert 1 <= pages <= 6
        offline_page.emulate_media(media="screen")
        offline_page.set_viewport_size({"width": 900, "height": 900})
        assert "default-src 'none'" in path.read_text()


@pytest.mark.browser
def test_axe_finds_nothing(page, tmp_path, axe_source):
    for path in worksheet(load, 22, problems=3).write(tmp_path / "load.html"):
        # The policy of the page lets no script in, so the checker looks at the same page without it.
        text = re.sub(r'<meta http-equiv="Content-Security-Policy"[^>]*>\n', "", path.read_text())
        page.set_content(text)
        assert axe_violations(page, axe_source) == []


@pytest.mark.parametrize("problems", [0, 41])
def test_too_few_or_many_problems_is_an_error(problems):
    with pytest.raises(ChalkwattError, match="cannot be made") as caught:
        worksheet(load, 1, problems=problems)
    assert caught.value.advice


def test_numbers_are_printed_as_people_choose_them():
    assert printed_as("mass", 1183.0, "kg", 3).text == "1180 kg"
    assert printed_as("mass", 1183.0, "kg", 3, nice=True).text == "1200 kg"
    assert printed_as("mass", 1163.0, "kg", 3, nice=True).text == "1150 kg"
    assert printed_as("mass", 1183.0, "kg", 2).text == "1200 kg"
    made = printed_as("speed", 27.3, "km/h", 3)
    assert (made.text, made.si, made.grain) == (
        "98.3 km/h",
        pytest.approx(98.3 / 3.6),
        pytest.approx(0.05 / 3.6),
    )


def test_problems_differ_and_begin_easily():
    sheet = worksheet(load, 9)
    assert len(sheet.problems) == 6
    steps = [len(one.answer.plan.steps) for one in sheet.problems]
    assert steps == sorted(steps)
    asked = {(one.wanted, frozenset(g.name for g in one.given)) for one in sheet.problems}
    assert len(asked) == 6


@pytest.mark.parametrize("name", ["sun", "charge", "launch", "ageing"])
def test_every_topic_has_problems(name):
    topic = getattr(importlib.import_module(f"chalkwatt.topics.{name}"), name)
    sheet = worksheet(topic, 1, problems=3)
    assert len(sheet.problems) == 3
    assert all(problem.right(problem.answer.si) for problem in sheet.problems)
