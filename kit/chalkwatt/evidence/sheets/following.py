"""Following: everything that a sheet leads to, what it lacks, and where it contradicts itself."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import cached_property
from html import escape
from typing import TYPE_CHECKING

from chalkwatt.errors import ChalkwattError, NameUnknownError
from chalkwatt.evidence.finding import Draws, Finding, find
from chalkwatt.evidence.remarks import broken_counts, gave_way, taken_warm
from chalkwatt.evidence.sheets.choosing import choose, put_in_order, reach
from chalkwatt.evidence.sheets.cold_cells import with_warm_cells
from chalkwatt.evidence.sheets.conflicts import Conflict, collisions, said_once
from chalkwatt.evidence.sheets.owning import clashes_of_others
from chalkwatt.laws.quantities import look_up
from chalkwatt.topics.vehicle import vehicle
from chalkwatt.wording.audience import addressed, current, per_audience

if TYPE_CHECKING:
    from chalkwatt.evidence.sheets.facts import Fact
    from chalkwatt.evidence.sheets.sheet import Sheet

__all__ = ["Following"]


@addressed
class Following(Mapping[str, Finding]):
    """All that can be derived from a sheet: a mapping from names to findings.

    Parameters
    ----------
    sheet : Sheet
    conditions : mapping of str to Fact

    Attributes
    ----------
    missing : tuple of str
        What cannot be derived.
    unlocks : dict of str to tuple of str
        For each single further fact, what it would make derivable; the fact that unlocks most first.
    conflicts : tuple of Conflict
        Where facts disagree beyond their ranges.
    notes : tuple of str
        What is taken as of warm cells, what gave way to the conditions, and which counts came out as
        no whole numbers.
    """

    def __init__(self, sheet: Sheet, conditions: Mapping[str, Fact]) -> None:
        self.audience = current()
        sheet = with_warm_cells(sheet, conditions)
        self.sheet = sheet
        self.conditions = dict(conditions)
        facts = {name: fact for name, fact in sheet.facts.items() if name not in conditions}
        self._facts = facts
        self._order = put_in_order(facts, conditions)
        self.taken, self.set_aside = self._order.taken, self._order.aside
        self._reached = reach(frozenset(self.taken), standing=True)
        self._findings: dict[str, Finding] = {}

    @cached_property
    def _names(self) -> tuple[str, ...]:
        """What can be derived and has a value, in the order of the relations."""
        # A standing value does not follow from the sheet, nor does what rests on nothing else.
        # One that other values make needless may follow from those.
        standing = (one for one in vehicle.network.standing if not (one.unless or one.unless_any))
        skipped = self._stated | {one.names[0] for one in standing}
        made = []
        for name in vehicle.network.names:
            if name not in self._reached or name in skipped:
                continue
            try:
                finding = self._find(name)
            except ChalkwattError:
                continue  # no physical value: it is among the conflicts
            if finding.facts:
                self._findings[name] = finding
                made.append(name)
        return tuple(made)

    @property
    def _stated(self) -> set[str]:
        return {*self._facts, *self.conditions}

    def _find(self, name: str) -> Finding:
        return find(choose(self._facts, name, self.conditions), self.sheet.columns, Draws())

    def __getitem__(self, name: str) -> Finding:
        """Return the finding of one quantity."""
        if name not in self._names:
            raise NameUnknownError(
                f"{name} does not follow from the sheet.",
                quantity=name,
                nearest=[one for one, gained in self.unlocks.items() if name in gained][:3],
            )
        return self._findings[name]

    def __iter__(self) -> Iterator[str]:
        """Go through the names in the order of the relations."""
        return iter(self._names)

    def __len__(self) -> int:
        """Count what can be derived."""
        return len(self._names)

    def __contains__(self, name: object) -> bool:
        """Say whether a quantity can be derived."""
        return name in self._names

    @cached_property
    def missing(self) -> tuple[str, ...]:
        """What cannot be derived."""
        return tuple(
            name
            for name in vehicle.network.names
            if name not in self._reached and name not in self._stated
        )

    @cached_property
    def unlocks(self) -> dict[str, tuple[str, ...]]:
        """What each single further fact would make derivable, the most fruitful first."""
        gains = {}
        for name in self.missing:
            more = reach(frozenset((*self.taken, name)), standing=True)
            gained = tuple(one for one in self.missing if one in more)
            if gained:
                gains[name] = gained
        return dict(sorted(gains.items(), key=lambda item: -len(item[1])))

    @per_audience
    def conflicts(self) -> tuple[Conflict, ...]:
        """Where facts disagree beyond their ranges."""
        here = collisions({**self._facts, **self.conditions}, self.conditions)
        more = clashes_of_others(self.sheet, self.conditions, Draws())
        return said_once((*here, *more))

    @property
    def notes(self) -> tuple[str, ...]:
        """What is taken as of warm cells, what gave way, and which counts came out as no whole numbers."""
        told = (
            *taken_warm(self._facts.values()),
            *gave_way(self._order.gave_way, self._facts, self.conditions),
        )
        counts = [
            note for finding in self.values() for note in broken_counts(finding, [finding.wanted])
        ]
        return tuple(dict.fromkeys((*told, *counts)))

    def __repr__(self) -> str:
        """Say how much follows, what would help most, and what disagrees."""
        lines = [
            f"{len(self)} quantities follow from the sheet of {self.sheet.name}; {len(self.missing)} do not."
        ]
        for name, gained in list(self.unlocks.items())[:1]:
            lines.append(
                f"{look_up(name).words} would unlock {len(gained)} more: {_listed(gained)}."
            )
        lines += self.notes
        lines += [one.sentence for one in self.conflicts] or ["No facts disagree."]
        return "\n".join(lines)

    def _repr_html_(self) -> str:
        rows = "".join(
            f"<tr><th scope='row'>{escape(look_up(name).words)}</th><td>{escape(finding.text)}</td>"
            f"<td>{escape(', '.join(look_up(one).words for one in finding.facts))}</td></tr>"
            for name, finding in self.items()
        )
        told = "".join(f"<p>{escape(line)}</p>" for line in repr(self).splitlines())
        head = "<tr><th scope='col'>quantity</th><th scope='col'>follows</th><th scope='col'>from</th></tr>"
        return f"{told}<table><thead>{head}</thead><tbody>{rows}</tbody></table>"


def _listed(names: tuple[str, ...]) -> str:
    words = [look_up(name).words for name in names[:6]]
    return ", ".join(words) + (" and others" if len(names) > len(words) else "")
