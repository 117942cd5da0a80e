"""Published values as data: one TOML file a topic, a row a source, a case a set of inputs.

A row holds what was published and nothing computed by Chalkwatt:

- ``id``, ``what``: a short name, and a sentence.
- ``topic``: the topic that answers it, if one question does: every printed value is then found from
  the given ones, and the given ones back from it (test_rows.py). All names are the glossary's. Rows
  without it are asked by a test of their own, which names them.
- ``source``, ``status``: where it was printed, and how sure that is: ``read`` in the place named,
  computed by a ``library`` at the version named, in ``closed form``, from ``memory``,
  ``secondary`` (read in a page that quotes the source, such as an open notebook that works a
  textbook's examples), ``inputs read`` (a law or inputs were read, the value is worked from them:
  it checks the arithmetic, not the source), or ``common practice`` (no source).
- ``units``: the unit of every input and printed value that has one.
- ``given``: inputs common to all cases.
- ``relative`` or ``absolute``: by printed quantity, how close is close; ``why`` says where that
  comes from. Without either, half a unit of the last printed digit.
- ``one_way``: inputs that the printed value cannot tell: they vanish in it, or its
  digits are too few ("altitude", or for one printed value "altitude from air_temperature").
- ``case``: ``given`` and ``printed`` values. A printed value is text, so that its digits stay; a
  list of two is a range.

Read them in a test with ``published("load")``: one entry for every printed value.
"""

import tomllib
from collections.abc import Iterator
from dataclasses import dataclass, field
from decimal import Decimal
from functools import cache
from pathlib import Path

FOLDER = Path(__file__).parent
STATUSES = {
    "closed form",
    "common practice",
    "inputs read",
    "library",
    "memory",
    "read",
    "secondary",
}


@dataclass(frozen=True)
class Published:
    """One printed value with everything that is needed to check it."""

    id: str
    what: str
    quantity: str
    printed: str
    printed_to: str | None
    unit: str
    given: dict[str, float | str] = field(hash=False)
    units: dict[str, str] = field(hash=False)
    relative: float | None
    absolute: float | None
    why: str
    source: str
    status: str
    topic: str | None = None
    one_way: frozenset[str] = frozenset()

    @property
    def value(self) -> float:
        """The printed number; of a range, its lower end."""
        return float(self.printed)

    @property
    def highest(self) -> float:
        """The upper end of a range; of a number, the number."""
        return float(self.printed if self.printed_to is None else self.printed_to)

    @property
    def tolerance(self) -> float:
        if self.relative is not None:
            return self.relative * abs(self.value)
        if self.absolute is not None:
            return self.absolute
        exponent = int(Decimal(self.printed).as_tuple().exponent)
        return 0.5 * 10.0**exponent * (1 + 1e-9)

    @property
    def known(self) -> dict[str, float | str]:
        """The inputs as keyword arguments for `find`: text with unit, or a bare number."""
        return {name: self.with_unit(name) for name in self.given}

    def with_unit(self, name: str) -> float | str:
        value = self.given[name]
        unit = self.units.get(name, "")
        return f"{value!r} {unit}" if unit and not isinstance(value, str) else value

    def check(self, computed: float) -> None:
        """Fail unless `computed`, in the printed unit, is as close as the row demands."""
        __tracebackhide__ = True
        low, high = self.value - self.tolerance, self.highest + self.tolerance
        upto = f" to {self.printed_to}" if self.printed_to else ""
        assert low <= computed <= high, (
            f"{self.id}: {self.quantity} came out as {computed!r} {self.unit}, published is "
            f"{self.printed}{upto} {self.unit} ± {self.tolerance:.3g} ({self.source})"
        )


@cache
def rows(topic: str) -> list[dict]:
    return tomllib.loads((FOLDER / f"{topic}.toml").read_text(encoding="utf-8"))["row"]


def _cases(topic: str) -> Iterator[Published]:
    for row in rows(topic):
        several = len(row["case"]) > 1
        for number, case in enumerate(row["case"], start=1):
            for quantity, printed in case["printed"].items():
                first, *rest = printed if isinstance(printed, list) else [printed]
                yield Published(
                    id=f"{row['id']}/{number}" if several else row["id"],
                    what=row["what"],
                    quantity=quantity,
                    printed=first,
                    printed_to=rest[0] if rest else None,
                    unit=row.get("units", {}).get(quantity, ""),
                    given=row.get("given", {}) | case.get("given", {}),
                    units=row.get("units", {}),
                    relative=row.get("relative", {}).get(quantity),
                    absolute=row.get("absolute", {}).get(quantity),
                    why=row.get("why", "half a unit of the last printed digit"),
                    source=row["source"],
                    status=row["status"],
                    topic=row.get("topic"),
                    one_way=frozenset(row.get("one_way", ())),
                )


def published(topic: str, row_id: str | None = None) -> list[Published]:
    """Return every printed value of a topic's file, or of the one row with this id."""
    found = [case for case in _cases(topic) if row_id in (None, case.id.split("/")[0])]
    assert found, f"{topic}.toml has no row {row_id!r}"
    return found


def topics() -> list[str]:
    return sorted(path.stem for path in FOLDER.glob("*.toml"))
