"""Cold cells: what a sheet says of its battery is said of warm ones.

A data sheet and a maker state usable energy and resistance at room temperature. Where a question or the
sheet names a temperature of the cells, and how much they lose by it, those values are taken as the ones
at 25 °C, and what holds in the cold follows from them. A sheet that states the values of the warm cells
by their own names is left as it is.
"""

from __future__ import annotations

import copy
from dataclasses import dataclass, fields
from types import MappingProxyType
from typing import TYPE_CHECKING

from chalkwatt.evidence.sheets.facts import Fact
from chalkwatt.laws.quantities import look_up

if TYPE_CHECKING:
    from collections.abc import Collection, Mapping

    from chalkwatt.evidence.sheets.sheet import Sheet

__all__ = ["TakenWarm", "names_when_warm", "with_warm_cells"]

# What is stated, what it is at 25 °C, and what says how much the cold changes it.
_WARM = (
    ("usable_energy", "warm_usable_energy", "cold_energy_coefficient"),
    ("usable_fraction", "warm_usable_fraction", "cold_energy_coefficient"),
    ("cell_resistance", "warm_cell_resistance", "resistance_activation_energy"),
)


@dataclass(frozen=True)
class TakenWarm(Fact):
    """A stated value that is taken as the one at 25 °C.

    Attributes
    ----------
    stated : str
        The name under which the sheet has it.
    """

    stated: str = ""

    @property
    def sentence(self) -> str:
        """Say so."""
        words = look_up(self.stated).words
        return f"The {words} of {self.text_of(self.si)} is taken as that of cells at 25 °C."


def with_warm_cells(sheet: Sheet, conditions: Collection[str], wanted: str = "") -> Sheet:
    """Return a sheet as a question with cold cells takes it.

    Parameters
    ----------
    sheet : Sheet
    conditions : collection of str
        Names of what the question sets.
    wanted : str
        What it asks for. Where that is stated, and the question sets no temperature, the rest of the
        sheet is to say what it is: its own value is no help in that.

    Returns
    -------
    Sheet
        The same one where nothing in it is said of warm cells.
    """
    known = {*sheet.facts, *conditions}
    if "cell_temperature" not in known:
        return sheet
    taken = {
        stated: warm
        for stated, warm, coefficient in _WARM
        if stated in sheet.facts
        and stated not in conditions
        and warm not in known
        and warm != wanted
        and (stated != wanted or "cell_temperature" in conditions)
        and coefficient in known
    }
    if not taken:
        return sheet
    made = copy.copy(sheet)
    made.__dict__.pop("columns", None)  # of the facts under their other names
    made.facts = MappingProxyType(
        {taken.get(name, name): _as_warm(fact, taken) for name, fact in sheet.facts.items()}
    )
    return made


def names_when_warm(stated: Collection[str]) -> dict[str, str]:
    """Return under which names stated values would be taken, if it were known what the cold changes.

    Examples
    --------
    >>> from chalkwatt.evidence.sheets.cold_cells import names_when_warm
    >>> names_when_warm(["mass", "usable_energy"])
    {'usable_energy': 'warm_usable_energy'}
    """
    return {one: warm for one, warm, _ in _WARM if one in stated and warm not in stated}


def _as_warm(fact: Fact, taken: Mapping[str, str]) -> Fact:
    if fact.name not in taken:
        return fact
    kept = {one.name: getattr(fact, one.name) for one in fields(Fact)}
    return TakenWarm(**{**kept, "name": taken[fact.name]}, stated=fact.name)
