"""Every row that names a topic: its printed values are found, and what was given is found back."""

import pytest

import chalkwatt as cw
from chalkwatt.errors import ChalkwattError, TooLittleKnownError
from chalkwatt.wording import units
from tests.external import FOLDER, Published, published, rows, topics

CASES = [case for topic in topics() for case in published(topic) if case.topic]


def name(case):
    return f"{case.id} {case.quantity}"


@pytest.mark.parametrize("case", CASES, ids=name)
def test_the_printed_value_is_found(case):
    answer = getattr(cw, case.topic).find(case.quantity, **case.known)
    made = units.unit(case.unit)
    found = [(one - made.offset) / made.factor for one in answer.solutions_si]
    case.check(min(found, key=lambda one: abs(one - case.value)))  # of several the one printed


@pytest.mark.sweep(1 / 3)
@pytest.mark.parametrize("case", CASES, ids=name)
def test_what_was_given_is_found_back(case):
    """As near as the digits of the printed value can tell."""
    asked = [
        one for one in case.given if case.one_way.isdisjoint({one, f"{one} from {case.quantity}"})
    ]
    found = [one for one in asked if back(case, one)]
    assert found or not asked, f"{case.id}: nothing that was given can be found back"


def back(case: Published, wanted: str) -> bool:
    """Find one given quantity back; say whether that could be asked at all."""
    topic = getattr(cw, case.topic)
    others = {one: value for one, value in case.known.items() if one != wanted}
    truth = topic.quantities[wanted].read(case.with_unit(wanted))
    ends = []
    for printed in (case.value - case.tolerance, case.highest + case.tolerance):
        value = f"{printed!r} {case.unit}" if case.unit else printed
        try:
            answer = topic.find(wanted, **others, **{case.quantity: value})
        except TooLittleKnownError:
            return False
        except ChalkwattError:
            continue  # at this end of what the digits allow it cannot be
        ends.append(min(answer.solutions_si, key=lambda one: abs(one - truth)))
    if len(ends) < 2:
        return False
    slack = 0.1 * abs(ends[1] - ends[0]) + 1e-9 * abs(truth)
    assert min(ends) - slack <= truth <= max(ends) + slack, f"{case.id}: {wanted} back"
    return True


def test_every_row_is_asked_somewhere():
    tests = "".join(path.read_text(encoding="utf-8") for path in FOLDER.glob("test_*.py"))
    for room in ("evidence/spread", "runs"):
        for path in (FOLDER.parent / room).glob("test_*.py"):
            tests += path.read_text(encoding="utf-8")
    silent = [
        row["id"]
        for topic in topics()
        for row in rows(topic)
        if "topic" not in row and f'"{row["id"].removeprefix("unit-")}"' not in tests
    ]
    assert not silent
