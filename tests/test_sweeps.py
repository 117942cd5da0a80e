"""Sweeps take the share that they name, at least one of every kind, the same for one seed and in time all of them."""

from types import SimpleNamespace

from tests.sweeps import a_share, chosen


class Case:
    """As much of a collected test as a sweep looks at."""

    def __init__(self, nodeid, share=None):
        self.nodeid = nodeid
        self.mark = None if share is None else SimpleNamespace(args=(share,))

    def get_closest_marker(self, name):
        assert name == "sweep"
        return self.mark


def names(cases):
    return [one.nodeid for one in cases]


MANY = [
    Case("t.py::test_plain"),
    *(Case(f"t.py::test_many[{kind}-{place}]", 0.2) for kind in "ab" for place in range(10)),
    *(Case(f"t.py::test_words[{word}]", 0.5) for word in ("x-1 m", "y", "z", "w")),
    Case("t.py::test_last[5]"),
]


def test_a_share_of_every_kind_is_taken_in_order():
    kept = names(chosen(MANY, 7))
    assert kept[0] == "t.py::test_plain"
    assert kept[-1] == "t.py::test_last[5]"
    assert [sum(f"test_many[{kind}-" in one for one in kept) for kind in "ab"] == [2, 2]
    assert sum("test_words" in one for one in kept) == 2
    assert kept == [one for one in names(MANY) if one in {*kept}]


def test_one_seed_takes_the_same_cases_and_many_seeds_all_of_them():
    assert names(chosen(MANY, 7)) == names(chosen(MANY, 7))
    assert {one for seed in range(60) for one in names(chosen(MANY, seed))} == {*names(MANY)}


def test_at_least_one_is_taken_and_never_more_than_there_are():
    assert len(a_share([1, 2, 3], 0.01, "")) == 1
    assert a_share([1, 2, 3], 1, "") == [1, 2, 3]
    assert a_share([], 0.5, "") == []
