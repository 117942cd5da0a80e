"""Variants: what a claim about a vehicle that the sheet does not describe asks of it.

"The long-range pack goes 700 km" names no cells and no mass. Everything of the described vehicle that
has nothing to do with the size of its pack is kept; energy, cells and mass follow from the claim. More
cells weigh more, and more mass asks for more energy: the network solves both together, so the mass is
consistent with the road load and not corrected in rounds.
"""

from __future__ import annotations

from functools import cached_property
from typing import TYPE_CHECKING, Any

import numpy as np

from chalkwatt.answering.driven import model_of
from chalkwatt.errors import ChalkwattError, NoSolutionError, OutOfBoundsError
from chalkwatt.evidence.claims.endless import EndlessVerdict
from chalkwatt.evidence.claims.shown import ShownVerdict
from chalkwatt.evidence.claims.telling import cases, circumstances, idle
from chalkwatt.evidence.finding import Draws, Finding, find
from chalkwatt.evidence.sheets.choosing import choose
from chalkwatt.evidence.sheets.cold_cells import with_warm_cells
from chalkwatt.evidence.sheets.facts import Fact, condition
from chalkwatt.evidence.sheets.hearing import refuse_unheard
from chalkwatt.evidence.sheets.owning import ask
from chalkwatt.laws.quantities import look_up
from chalkwatt.rendering.phrases import amount
from chalkwatt.wording.audience import addressed, current
from chalkwatt.wording.numbers import format_input, with_unit

if TYPE_CHECKING:
    from collections.abc import Mapping

    from numpy.typing import NDArray

    from chalkwatt.evidence.claims.claims import Claim
    from chalkwatt.evidence.sheets.sheet import Sheet
    from chalkwatt.evidence.spread.draws import Interval

__all__ = ["VariantVerdict", "judge_variant"]

# What grows with the pack, and so is not carried over from the described vehicle.
_GROWS = frozenset(
    {
        "cell_count",
        "cells_in_parallel",
        "module_count",
        "cells_per_module",
        "pack_capacity",
        "pack_energy",
        "usable_energy",
        "reserve_energy",
        "cells_mass",
        "pack_mass",
        "mass",
        "pack_resistance",
        "pack_current_max",
        "voltage_limited_power",
        "current_limited_power",
        # More pack is more mass, and more mass is more of all this.
        "rolling_force",
        "grade_force",
        "road_force",
        "coast_down_constant",
        "wheel_power",
        "battery_power",
        "consumption",
        "range",
        "driving_time",
    }
)
# What belongs to the described vehicle and is not there to be read off its sheet as it stands.
_CARRIED = (
    "mass_without_pack",
    "usable_fraction",
    "cell_energy",
    "cell_mass",
    "cell_mass_fraction",
    "pack_specific_energy",
)
_ARTICLES = {
    "usable_energy": "a usable energy",
    "pack_energy": "a pack energy",
    "cell_count": "a cell count",
    "pack_mass": "a pack mass",
    "mass": "a vehicle mass",
}
_ASKED = tuple(_ARTICLES)


@addressed
class VariantVerdict(ShownVerdict):
    """What a variant must have for a claim about it to be true.

    Attributes
    ----------
    sheet : Sheet
    claim : Claim
    needs : dict of str to Finding
        Energy, cells and mass, each an answer with interval, plan and working.
    any_pack : ndarray or None
        For each draw, whether nothing limits the claimed quantity there, so that any pack will do.
    """

    def __init__(
        self,
        sheet: Sheet,
        claim: Claim,
        needs: dict[str, Finding],
        any_pack: NDArray[np.bool] | None = None,
    ) -> None:
        self.audience = current()
        self.sheet = sheet
        self.claim = claim
        self.needs = needs
        self.any_pack = any_pack

    @cached_property
    def possible(self) -> NDArray[np.bool]:
        """For each draw, whether a consistent pack exists that keeps to the limits of the claim."""
        good: NDArray[np.bool] = np.ones(1, dtype=bool)
        for name, finding in self.needs.items():
            values = finding.spread.values
            good = good & np.isfinite(values)
            if name in self.claim.within:
                good = good & (values <= look_up(name).read_one(self.claim.within[name]))
        return good if self.any_pack is None else good | self.any_pack

    @property
    def chance(self) -> float:
        """Share of the draws in which such a pack can be, within the limits of the claim."""
        return float(np.mean(self.possible)) if self.needs else 0.0

    @property
    def interval(self) -> Interval | None:
        """The interval of the usable energy that is needed."""
        return self.needs["usable_energy"].interval if "usable_energy" in self.needs else None

    @property
    def word(self) -> str:
        """The verdict in a few words: whether energy, cells and mass add up, not whether it can be built."""
        if not self.needs:
            return "out of reach"
        if self.chance >= 0.95:
            return "adds up"
        return "adds up with favourable values" if self.chance > 0 else "out of reach"

    @property
    def sentence(self) -> str:
        """A few sentences fit to be said on air."""
        claim = self.claim
        goal = f"For {amount(claim.quantity, claim.text)}{circumstances(claim)}, as {claim.said_by} has it,"
        if not self.needs:
            return (
                f"{goal} no size of pack with these cells would do for {self._named}, with all else as "
                "described: more cells weigh more, and what is there without them stays."
            )
        told = [
            f"{_ARTICLES[name]} of {_amount(finding)}{self._more(name, finding)}"
            for name, finding in self.needs.items()
        ]
        made = (
            f"{goal} {self._named} would need {', '.join(told[:-1])} and {told[-1]}, "
            f"with all else as described{self._model}."
        )
        if claim.within:
            limits = " and ".join(
                f"{look_up(name).words} at most {value}" for name, value in claim.within.items()
            )
            count = self.needs["usable_energy"].spread.values.size
            made += f" That keeps to {limits} in {cases(self.chance, count)}."
        if self.any_pack is not None and np.any(self.any_pack):
            share = float(np.mean(self.any_pack))
            made += f" In {cases(share, self.any_pack.size)} any pack would do, for nothing limits it there."
        used = {one for finding in self.needs.values() for one in finding.facts}
        return made + idle(claim, used)

    @property
    def _model(self) -> str:
        """Say what the way from the claim to its cells leaves out."""
        said = model_of(self.needs["cell_count"]) if "cell_count" in self.needs else ""
        return f" and the model {said} taken as exact" if said else ""

    @property
    def _named(self) -> str:
        """The variant with one article."""
        name = self.claim.variant
        first = name.split(" ", 1)[0].lower()
        return name if first in {"the", "a", "an", "its", "their", "our"} else f"the {name}"

    def _more(self, name: str, finding: Finding) -> str:
        """Say how much more than the described vehicle has."""
        try:
            base = (
                self.sheet.facts[name].si
                if name in self.sheet.facts
                else float(self.sheet.find(name).si)
            )
        except ChalkwattError:
            return ""
        entry = look_up(name)
        more = float(finding.si) / base - 1
        if not entry.positive or not base:
            return ""
        share = f"{'+' if more > 0 else ''}{format_input(100 * more, 2)}"
        return f" ({share} %)"


def _amount(finding: Finding) -> str:
    if finding.interval is not None:
        return finding.interval.text
    return with_unit(float(finding.quantity.in_unit(finding.si, finding.unit)), finding.unit, 3)


def judge_variant(sheet: Sheet, claim: Claim, draws: Draws) -> VariantVerdict | EndlessVerdict:
    """Find what a variant must have.

    Parameters
    ----------
    sheet : Sheet
    claim : Claim
        With a ``variant``.
    draws : Draws

    Returns
    -------
    VariantVerdict or EndlessVerdict
        The latter where nothing limits the claimed quantity, whatever the pack.

    Raises
    ------
    TooLittleKnownError
        If the sheet does not say enough of cells and mass, or of what a condition changes.
    """
    asked = {name: condition(name, value) for name, value in claim.conditions.items()}
    conditions = tuple(asked)
    sheet = with_warm_cells(sheet, conditions, claim.quantity)
    asked[claim.quantity] = Fact(claim.quantity, claim.si, claim.si, claim.si, label=claim.label)
    kept = {
        name: fact for name, fact in sheet.facts.items() if name not in _GROWS and name not in asked
    }
    carried, fixed = _carried(sheet, kept, draws)
    facts: dict[str, Fact] = {**kept, **carried}
    how: dict[str, Any] = {"fixed": fixed, "columns": sheet.columns, "draws": draws}
    cells = _need("cell_count", facts, asked, **how)
    limit = _limit(sheet, claim, conditions, draws)
    if cells is None:
        if isinstance(limit, NoSolutionError):
            return EndlessVerdict(sheet, claim, limit, None)
        return VariantVerdict(sheet, claim, {})
    left = {name: claim.conditions_said[name] for name in conditions if name not in cells.reckoned}
    refuse_unheard(
        left, facts, {one: asked[one] for one in conditions}, cells.plan, wanted=claim.quantity
    )
    # The rest follows from the number of cells; the claim itself is used up.
    counted = Fact("cell_count", cells.si, cells.si, cells.si, origin="derived")
    fixed["cell_count"] = cells.spread.values
    given = {name: fact for name, fact in asked.items() if name != claim.quantity}
    given["cell_count"] = counted
    found = {
        name: cells if name == "cell_count" else _need(name, facts, given, **how)
        for name in _ASKED
        if name not in asked
    }
    needs = {name: one for name, one in found.items() if one}
    if not isinstance(limit, Finding) or not limit.endless or not claim.met_without_limit:
        return VariantVerdict(sheet, claim, needs)
    return VariantVerdict(sheet, claim, needs, np.asarray(limit.limitless[claim.quantity]))


def _limit(
    sheet: Sheet, claim: Claim, conditions: tuple[str, ...], draws: Draws
) -> Finding | NoSolutionError | None:
    """Ask whether anything limits the claimed quantity: by the described vehicle, whose pack is of another size."""
    asked = {name: condition(name, claim.conditions[name]) for name in conditions}
    try:
        return ask(sheet, claim.quantity, asked, draws)
    except NoSolutionError as cause:
        return cause if claim.quantity in cause.endless else None
    except ChalkwattError:
        return None


def _carried(
    sheet: Sheet, kept: Mapping[str, Fact], draws: Draws
) -> tuple[dict[str, Fact], dict[str, Any]]:
    """Derive from the described vehicle what the variant shares with it, draw by draw."""
    facts: dict[str, Fact] = {}
    fixed: dict[str, Any] = {}
    for name in _CARRIED:
        if name in kept:
            continue
        try:
            finding = sheet.find(name, draws=draws.count, seed=draws.seed)
        except ChalkwattError:
            continue
        facts[name] = Fact(name, finding.si, finding.si, finding.si, origin="derived")
        if not finding.certain:
            fixed[name] = finding.spread.values
    return facts, fixed


def _need(
    name: str,
    facts: Mapping[str, Fact],
    given: Mapping[str, Fact],
    *,
    fixed: Mapping[str, Any],
    columns: tuple[str, ...],
    draws: Draws,
) -> Finding | None:
    choice = choose(facts, name, given)
    try:
        return find(choice, columns, draws, fixed)
    except (NoSolutionError, OutOfBoundsError):
        return None  # no pack is large enough at the stated values
