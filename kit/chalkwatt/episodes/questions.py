"""The questions of an episode: what is asked of a sheet, and every number that comes of it."""

from __future__ import annotations

import json
import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from chalkwatt.cards.claim_cards import part_unit, parts_of_consumption
from chalkwatt.episodes.ledger import Number
from chalkwatt.errors import ChalkwattError, TooLittleKnownError
from chalkwatt.evidence.claims.valueless import ValuelessVerdict
from chalkwatt.evidence.claims.variants import VariantVerdict
from chalkwatt.laws.quantities import look_up, unit_of
from chalkwatt.rendering.working import unit_for
from chalkwatt.scripts.judged import setting

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from chalkwatt.evidence.claims.claims import Claim
    from chalkwatt.evidence.claims.verdicts import Verdict
    from chalkwatt.evidence.finding import Finding
    from chalkwatt.evidence.sheets.facts import Fact
    from chalkwatt.evidence.sheets.sheet import Sheet

__all__ = ["Questions", "checks_of", "fact_inputs", "finding_inputs"]

# The main answers, in the order in which they are told; each that the sheet allows is made.
ASKED = ("range", "consumption", "battery_power", "pack_energy", "usable_energy", "pack_mass")
_ON_THE_ROAD = frozenset({"range", "consumption", "battery_power"})


@dataclass
class Questions:
    """The questions that a sheet answers.

    Attributes
    ----------
    sheet : Sheet
    conditions : dict of str to object
        Of the questions on the road.
    findings : dict of str to Finding
        The main answers, by name.
    verdicts : dict of int to Verdict, ValuelessVerdict or VariantVerdict
        By the number of the claim, from one.
    notes : list of str
        What could not be answered, and why.
    """

    sheet: Sheet
    conditions: dict[str, Any]
    findings: dict[str, Finding]
    verdicts: dict[int, Verdict | ValuelessVerdict | VariantVerdict]
    notes: list[str]

    @classmethod
    def of(cls, sheet: Sheet) -> Questions:
        """Ask a sheet.

        Raises
        ------
        ChalkwattError
            If it answers nothing.
        """
        conditions = setting(sheet)
        made = cls(sheet, conditions, {}, {}, [])
        for name in ASKED:
            try:
                made.findings[name] = sheet.find(
                    name, **(conditions if name in _ON_THE_ROAD else {})
                )
            except ChalkwattError as cause:
                if isinstance(cause, TooLittleKnownError) and name in sheet.facts:
                    continue  # the rest of the sheet does not make it, but the sheet states it
                made.notes.append(f"No {look_up(name).words}: {cause}")
        for place, claim in enumerate(sheet.claims, 1):
            try:
                made.verdicts[place] = sheet.judge(claim)
            except ChalkwattError as cause:
                where = f" (line {claim.line} of the sheet)" if claim.line else ""
                made.notes.append(f"Claim {place}{where} cannot be judged: {cause}")
        if not made.findings:
            raise ChalkwattError(
                f"The sheet of {sheet.name} answers none of the main questions.",
                advice=made.notes[0] if made.notes else "",
            )
        return made

    def numbers(self) -> dict[str, Number]:
        """Return every number: what is stated, what follows, what is claimed."""
        made = {
            name: Number(
                look_up(name).words, fact.si, fact.low, fact.high, name, unit_of(name, fact.label)
            )
            for name, fact in self.sheet.facts.items()
        }
        for name, finding in self.findings.items():
            made |= _asked(finding, "")
            _add(made, finding, self.sheet.facts)
            if name == "consumption":
                made |= _parts(finding)
        claimed: list[str] = []
        for place, verdict in self.verdicts.items():
            what = _what(verdict.claim)
            own: dict[str, Number] = {}
            self._claimed(own, place, verdict)
            again = claimed.count(what)  # who says the same twice is told apart by the order
            claimed.append(what)
            made |= {
                name: replace(one, about=f"{what}; {name.replace(f' {place}', '', 1)}; {again}")
                for name, one in own.items()
            }
            if not isinstance(verdict, ValuelessVerdict | VariantVerdict):
                _add(made, verdict.finding, self.sheet.facts, only=verdict.claim.quantity)
        return made

    def _claimed(
        self,
        made: dict[str, Number],
        place: int,
        verdict: Verdict | ValuelessVerdict | VariantVerdict,
    ) -> None:
        claim = verdict.claim
        about = f"claim {place} ({claim.said_by})"
        words = f"{about}: {look_up(claim.quantity).words} {claim.sense}"
        made[f"claim {place}"] = Number(
            words, claim.si, claim.si, claim.si, claim.quantity, claim.unit
        )
        if isinstance(verdict, ValuelessVerdict | VariantVerdict):
            for name, finding in verdict.needs.items():
                _put(made, f"claim {place} needs {name}", _number(finding, f"{about} needs "))
        else:
            made |= _asked(verdict.finding, f"{about}: ")
        chance = 100 * verdict.chance
        made[f"chance {place}"] = Number(
            f"{about}: met in", chance, chance, chance, label="of 100 cases"
        )


def _what(claim: Claim) -> str:
    """Say what is claimed, under which conditions and by whom: the claim, whatever its value and place."""
    under = [f"{name} {said}" for name, said in sorted(claim.conditions_said.items())]
    parts = [claim.said_by, claim.quantity, claim.sense, claim.variant, *under]
    return json.dumps(parts, ensure_ascii=False)


def _asked(finding: Finding, head: str) -> dict[str, Number]:
    """Return the conditions of a question, such as its speed."""
    return {
        f"{head}{one.name}, asked": Number(
            f"{head}{look_up(one.name).words}, as asked",
            one.si,
            one.low,
            one.high,
            one.name,
            one.unit,
        )
        for one in finding.facts.values()
        if one.origin == "asked"
    }


def _parts(finding: Finding) -> dict[str, Number]:
    try:
        parts = parts_of_consumption(finding)
    except ChalkwattError:
        return {}
    return {
        f"part: {name}": Number(
            f"{name}, a part of the consumption", si, si, si, "consumption", part_unit()
        )
        for name, si in parts.items()
    }


def _add(
    made: dict[str, Number], finding: Finding, facts: Mapping[str, Fact], only: str = ""
) -> None:
    """Add what a finding gives, and all that is on the way to it, or one number only."""
    for name, value in finding.best.values.items():
        si = float(value)
        if only and name != only:
            continue
        if name in finding.facts or look_up(name).constant is not None or not math.isfinite(si):
            continue
        about = _conditions(finding, name)
        key = f"{name}{about}"
        words = f"{look_up(name).words}{about}"
        if name in facts:
            key, words = f"{key}, worked out", f"{words}, worked out"
        if name in finding.assumed:
            words = f"{words}, taken for granted"
        if name == finding.wanted:
            number = _number(finding, "")
            number = Number(words, number.si, number.low, number.high, name, number.label)
        else:
            number = Number(words, si, si, si, name, unit_for(name, None))
        _put(made, key, number)


def _put(made: dict[str, Number], key: str, number: Number) -> None:
    """Keep one number a name: the one with a spread, and apart from one that is another value."""
    old = made.get(key)
    if old is not None and not math.isclose(old.si, number.si, rel_tol=1e-9):
        key = f"{key}, otherwise"
    elif old is not None and old.low != old.high:
        return
    made[key] = number


def _number(finding: Finding, head: str) -> Number:
    low, high = (
        (finding.si, finding.si)
        if finding.interval is None
        else (finding.interval.low, finding.interval.high)
    )
    words = f"{head}{finding.quantity.words}"
    return Number(words, float(finding.si), float(low), float(high), finding.wanted, finding.unit)


def _conditions(finding: Finding, name: str) -> str:
    """Say the conditions of the question that this number depends on."""
    asked = [one for one, fact in finding.facts.items() if fact.origin == "asked"]
    behind = _behind(finding, name)
    return "".join(
        f", {look_up(one).words} {finding.facts[one].text}" for one in asked if one in behind
    )


def _behind(finding: Finding, name: str) -> set[str]:
    """Return all that a number on the way of a finding rests on."""
    behind = {name}
    for step in reversed((*finding.plan.groundwork, *finding.plan.steps)):
        if step.find in behind:
            behind |= step.needs
    return behind


def fact_inputs(facts: Iterable[Fact]) -> list[list[Any]]:
    """Return facts as data for a digest: all that can show, and neither notes nor lines."""
    return [
        [one.name, one.si, one.low, one.high, one.shape, one.origin, one.label]
        for one in sorted(facts, key=lambda one: one.name)
    ]


def checks_of(finding: Finding) -> tuple[Fact, ...]:
    """Return the facts that a finding does not rest on but is compared with."""
    names = {*finding.set_aside, finding.wanted}.union(*(one.involved for one in finding.conflicts))
    facts = finding.choice.facts
    return tuple(
        facts[name] for name in sorted(names) if name in facts and name not in finding.facts
    )


def finding_inputs(finding: Finding, *, spread: bool = False) -> list[Any]:
    """Return what a finding rests on as data for a digest."""
    return [
        finding.wanted,
        list(finding.question.known),
        fact_inputs(finding.facts.values()),
        list(finding.set_aside),
        # What a finding is compared with shows where it contradicts.
        fact_inputs(checks_of(finding)),
        # Every uncertain value has its own column of draws: another one shifts them all.
        list(finding.columns) if spread else [],
    ]
