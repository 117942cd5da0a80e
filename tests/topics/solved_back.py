"""One consistent point of a topic, solved back for every quantity in turn.

At the point every limit of a least of several is the same, so that each of them binds: a limit that
does not bind cannot be found from what it does not change.
"""

import numpy as np
import pytest

from chalkwatt.errors import ChalkwattError, OutOfBoundsError, TooLittleKnownError
from chalkwatt.laws.quantities import look_up
from chalkwatt.planning.evaluation import compile_plan

CLOSE = 1e-9


def point_of(topic, given, without=()):
    """Every quantity that the given ones determine, standing values included, in SI units.

    ``without`` names what belongs to another way than the point's, and so is left open.
    """
    start = topic.read(given)
    values = dict(start)
    for wanted, plan in topic.network.determined(tuple(start)).items():
        values[wanted] = float(compile_plan(plan)(**start))
    if without:  # what the other way would say stands for no limit, a standing value
        for wanted in set(topic.network.names) - set(values) - set(without):
            values[wanted] = topic.find(wanted, **start).si
    lacking = set(topic.network.names) - set(values) - set(without)
    assert not lacking, f"the point gives no {', '.join(sorted(lacking))}"
    assert all(np.isfinite(one) for one in values.values()), values
    return values


def nearest(answer, truth):
    """Relative distance of the nearest solution from the truth."""
    found = [float(branch.values[answer.wanted]) for branch in answer.branches]
    scale = abs(truth) or max(abs(one) for one in look_up(answer.wanted).usual)
    return min(abs(one - truth) / scale for one in found)


def check_each_from_all_others(topic, values, idle=()):
    """Each quantity from all the others at once, but those that play no part at the point."""
    for wanted, truth in values.items():
        if wanted in idle:
            continue
        others = {name: value for name, value in values.items() if name != wanted}
        assert nearest(topic.find(wanted, **others), truth) < CLOSE, wanted


def depends(topic, outcome, wanted, start):
    """Say whether an outcome changes when one given quantity does."""
    more = start | {wanted: start[wanted] * (1 - 1e-6)}
    try:
        before, after = (topic.find(outcome, **one).si for one in (start, more))
    except OutOfBoundsError:
        return False
    return abs(after - before) > 1e-12 * abs(before)


def check_each_swapped(topic, given, values, outcomes):
    """Each given quantity from the other given ones and one outcome."""
    start = topic.read(given)
    tried = 0
    for outcome in outcomes:
        for wanted, truth in start.items():
            if wanted == outcome:
                continue
            known = {name: value for name, value in start.items() if name != wanted}
            if not depends(topic, outcome, wanted, start):
                continue
            known[outcome] = values[outcome]
            try:
                answer = topic.find(wanted, **known)
            except TooLittleKnownError:
                continue
            except ChalkwattError as error:
                pytest.fail(f"{wanted} from {outcome}: {error}")
            assert nearest(answer, truth) < CLOSE, f"{wanted} from {outcome}"
            tried += 1
    assert tried
    return tried
