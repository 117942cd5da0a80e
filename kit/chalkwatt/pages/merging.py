"""The programs of several boards as one: what they share is written once."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

__all__ = ["merged"]


def merged(programs: Sequence[Mapping[str, Any]]) -> dict[str, Any]:
    """Write quantities, relations and steps of several board programs once.

    Parameters
    ----------
    programs : sequence of dict
        As :func:`chalkwatt.rendering.browser_program.program` makes them.

    Returns
    -------
    dict
        ``quantities``, ``relations`` and ``steps``, and under ``programs`` the boards' own parts, whose
        plans name their steps by place.

    Examples
    --------
    >>> from chalkwatt import load
    >>> from chalkwatt.boards.board import start
    >>> from chalkwatt.pages.merging import merged
    >>> once, twice = (merged([start(load).program] * count) for count in (1, 2))
    >>> len(once["steps"]) == len(twice["steps"])
    True
    """
    shared = _Shared()
    own = [shared.take(one) for one in programs]
    return {
        "quantities": shared.quantities,
        "relations": shared.relations,
        "steps": shared.steps,
        "programs": own,
    }


class _Shared:
    def __init__(self) -> None:
        self.quantities: dict[str, Any] = {}
        self.relations: list[Any] = []
        self.steps: list[Any] = []
        self._places: dict[str, int] = {}

    def take(self, program: Mapping[str, Any]) -> dict[str, Any]:
        """Add what a program shares, and return what is its own."""
        places = [self._place(self.relations, one) for one in program["relations"]]
        chosen = dict(program["chosen_units"])
        units = []
        for name, entry in program["quantities"].items():
            held = self.quantities.setdefault(name, {**entry, "units": list(entry["units"])})
            for unit in entry["units"]:
                if unit not in held["units"]:
                    held["units"].append(unit)
            if name in chosen:
                # The list may be in another order where another board brought a unit of its own.
                chosen[name] = held["units"].index(entry["units"][chosen[name]])
            units.append(max(held["units"].index(one) for one in entry["units"]) + 1)
        plans = {}
        for name, plan in program["plans"].items():
            steps = [
                {**step, "relations": [places[one] for one in step["relations"]]}
                for step in plan["steps"]
            ]
            plans[name] = {
                **plan,
                "standing": [places[one] for one in plan["standing"]],
                "steps": [self._place(self.steps, step) for step in steps],
            }
        left = {
            key: value for key, value in program.items() if key not in {"quantities", "relations"}
        }
        names = list(program["quantities"])
        return {**left, "chosen_units": chosen, "plans": plans, "names": names, "units": units}

    def _place(self, held: list[Any], one: object) -> int:
        key = f"{id(held)} {json.dumps(one, sort_keys=True)}"
        if key not in self._places:
            self._places[key] = len(held)
            held.append(one)
        return self._places[key]
