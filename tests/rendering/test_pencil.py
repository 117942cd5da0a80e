"""Every printed line of numbers multiplies out as printed, and every conversion is said once."""

import random
import re
from functools import cache

import pytest

from chalkwatt.laws.quantities import look_up
from chalkwatt.rendering.coherent import Role, coherent_units
from chalkwatt.worksheets.worksheet import worksheet
from tests.points import GIVEN, TOPICS
from tests.rendering.pencil import agree, only, same

QUESTIONS = 20  # a topic
US = re.compile(r"mi\b|mph|\blb|ft|hp|°F|in$|gal")


def in_random_units(name, si, system, chance):
    """A value as a person in such units would give it, six digits long."""
    entry = look_up(name)
    american = [one for one in entry.display if US.search(one) and one not in {"min", "1/min"}]
    offered = {
        "metric": [one for one in entry.display if one not in american],
        "us": american,
        "mixed": entry.display,
    }[system] or entry.display
    label = chance.choice(offered)
    return f"{float(entry.in_unit(si, label)):.6g} {label}"


@cache
def questions(name):
    """Answers of a topic: its example, and that of random other questions in random units."""
    topic, chance = TOPICS[name], random.Random(f"pencil {name}")  # noqa: S311  no secret
    first = topic.find(topic.wanted, **topic.example)
    made = [first]
    for _ in range(QUESTIONS):
        values, known, wanted = dict(first.best.values), list(first.known), topic.wanted
        if chance.random() < 0.6:
            wanted = chance.choice(known)
            known = [*(one for one in known if one != wanted), topic.wanted]
        system = chance.choice(["metric", "us", "mixed"])
        told = {one: in_random_units(one, float(values[one]), system, chance) for one in known}
        try:
            made.append(topic.find(wanted, **told))
        except ValueError:
            continue  # not every row can be turned round
    return made


def solved(step):
    """Whether the line of numbers is solved for the unknown, which then stands left of it."""
    return step.numbers.text.startswith(look_up(step.find).symbol + " = ")


def printed(line):
    """The amounts behind the letter of a result or a conversion, a list for each alternative."""
    return [one.partition(" = ")[2].split(" = ") for one in line.text.split(" or ")]


def failures(working):
    """Lines of a working that a pencil finds wrong."""
    for conversion in working.conversions:
        if not same(*printed(conversion.shown)[0]):
            yield conversion.shown.text
    for step in working.steps:
        lines = [*step.conversions, *step.uses]
        yield from (one.shown.text for one in lines if not same(*printed(one.shown)[0]))
        yield from wrong(step)


def wrong(step):
    """The line of numbers and the result of a step, where they do not agree."""
    results = printed(step.result)
    yield from (step.result.text for one in results if len(one) > 1 and not same(*one))
    if solved(step):
        _, expression, *end = step.numbers.text.split(" = ")
        ends = end or [one[0] for one in results]
        if not any(agree(expression, one) for one in ends):
            yield f"{step.numbers.text}; {step.result.text}"
        if end and not any(same(end[0], one[0]) for one in results):
            yield f"{step.numbers.text}; {step.result.text}"
        return
    left, right = step.numbers.text.split(" = ")
    letter = look_up(step.find).symbol
    if not any(agree(left, right, symbols={letter: only(one[0])}) for one in results):
        yield f"{step.numbers.text}; {step.result.text}"


@pytest.mark.parametrize("name", sorted(TOPICS))
def test_every_line_multiplies_out_as_printed(name):
    made = [one for answer in questions(name) for one in failures(answer.working)]
    assert made == []
    assert len(questions(name)) > QUESTIONS / 4


@pytest.mark.parametrize("name", sorted(GIVEN))
def test_so_does_every_line_of_a_fuller_question(name):
    """With wind, slope, losses and a cabin: long sums, and equations that are not turned round."""
    topic, chance = TOPICS[name], random.Random(f"fuller {name}")  # noqa: S311  no secret
    start = topic.read(GIVEN[name])
    open_names = [one for one in topic.network.determined(tuple(start)) if one not in start]
    for wanted in chance.sample(open_names, min(8, len(open_names))):
        for system in ("metric", "us", "mixed"):
            told = {one: in_random_units(one, si, system, chance) for one, si in start.items()}
            assert list(failures(topic.find(wanted, **told).working)) == []


@pytest.mark.parametrize("name", sorted(TOPICS))
def test_every_conversion_is_said_once_and_before_it_is_used(name):
    for answer in questions(name):
        working = answer.working
        said = [(one.name, one.units[1]) for one in working.conversions]
        for step in working.steps:
            said += [(one.name, one.units[1]) for one in step.conversions]
            for one in step.uses:
                assert (one.name, one.units[1]) in said
            end = (
                step.numbers.text.split(" = ")[2:] if solved(step) else printed(step.result)[0][:-1]
            )
            said += [(step.find, only(one).label) for one in end]
        assert len(said) == len(set(said))


def test_what_was_given_stays_as_it_was_given_where_it_can():
    found = TOPICS["load"].find("consumption", speed="100 km/h", battery_power="9.4 kW").working
    assert not found.conversions
    assert found.steps[-1].numbers.text == "e = 9.4 kW / (100 km/h) = 0.09400 kWh/km"
    assert found.steps[-1].result.text == "e = 9.400 kWh/100 km"


def test_what_must_be_converted_is_said_in_every_notation():
    found = TOPICS["load"].find("wheel_power", road_force="280 N", speed="62.1 mph").working
    assert "    v = 62.1 mph = 27.7612 m/s\n" in found.text
    assert "P_wheel = 280 N · 27.7612 m/s = 7773 W\n    P_wheel = 7.773 kW" in found.text
    assert r"v &= 62.1\,\mathrm{mph} = 27.7612\,\mathrm{m/s}" in found.latex
    assert r"= 7773\,\mathrm{W} = 7.773\,\mathrm{kW}" in found.latex
    assert "<mtext>mph</mtext><mo>=</mo><mn>27.7612</mn>" in found.mathml
    assert "<i>v</i> = 62.1 mph = 27.7612 m/s" in found.html
    assert found.spoken.startswith(
        "Speed is 62.1 miles per hour, which is 27.8 metres per second. Wheel power equals"
    )
    assert "equals 7770 watts. Wheel power is about 7.77 kilowatts." in found.spoken


def test_shares_that_are_added_are_written_in_one_way():
    found = (
        TOPICS["charge"]
        .find(
            "stored_energy",
            pack_energy="60 kWh",
            state_of_charge_from="0.1",
            state_of_charge_to="80 %",
        )
        .working
    )
    line = next(one.numbers.text for one in found.steps if one.find == "stored_energy")
    assert "80 % − 10 %" in line


def test_a_bare_share_beside_one_in_percent_is_written_in_percent():
    tree = ("+", "state_of_charge_to", ("-", "state_of_charge_from"))
    roles = (
        ("usable_fraction", Role("%", (), "result")),
        ("state_of_charge_to", Role("%", (), "given")),
        ("state_of_charge_from", Role("", (), "given")),
    )
    assert set(coherent_units("usable_fraction", tree, roles).values()) == {"%"}


def test_a_card_says_the_conversions_that_its_numbers_use():
    found = TOPICS["load"].find("range", usable_energy="36 kWh", consumption="9.44 kWh/100 km")
    with_numbers = found.card(kind="svg", show=("symbols", "numbers"))
    assert "9.44 kilowatt-hours per 100 kilometres, which is 0.0944 kilowatt-hours per" in (
        with_numbers.alt
    )
    assert "which is" not in found.card(kind="svg", show="symbols").alt


def test_the_key_of_a_worksheet_says_the_conversions_too():
    key = worksheet(TOPICS["load"], 3).key
    assert key.count("Conversions") >= 1


def test_one_state_in_two_units_tells_a_line_that_coheres_from_one_that_does_not():
    """The chooser's own rule, seen from outside: without units the numbers give the number."""
    tree = ("+", ("/", "wheel_power", "drive_efficiency"), "auxiliary_power")
    roles = (
        ("battery_power", Role("kW", (), "result")),
        ("wheel_power", Role("hp", (), "given")),
        ("drive_efficiency", Role("%", (), "given")),
        ("auxiliary_power", Role("W", (), "given")),
    )
    made = coherent_units("battery_power", tree, roles)
    assert made["drive_efficiency"] == "%"
    assert len({made[one] for one in ("battery_power", "wheel_power", "auxiliary_power")}) == 1


@pytest.mark.parametrize(
    ("first", "second", "agreed"),
    [
        ("280 N · 100 km/h", "28\u202f000 W", True),
        ("280.2 N · 27.7778 m/s", "7783 W", True),
        ("280.2 N · 27.7778 m/s", "7790 W", False),
        ("280.2 N · 100 km/h", "7.783 kW", False),
        ("1 − 80 % − 19.85 %", "0.1508 %", True),
        ("exp(−0.5)", "0.6065", True),
        ("(1.204×10³ m / (2 s))^(0.5)", "24.54", True),
        ("min(3 kW, 400 W)", "3 kW", True),
    ],
)
def test_the_pencil_can_see_a_mistake(first, second, agreed):
    assert agree(first, second) is agreed
