"""Ways: of several ways to do a thing, a question can be about one only."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from chalkwatt.errors import TooMuchKnownError

if TYPE_CHECKING:
    from collections.abc import Collection, Iterable

    from chalkwatt.planning.plans import Plan

__all__ = ["Way", "Ways"]


@dataclass(frozen=True)
class Way:
    """One of several ways to do a thing.

    Parameters
    ----------
    name : str
        Two or three words.
    words : str
        A sentence that says which way it is; it stands beside every answer that goes this way.
    quantities : frozenset of str
        What belongs to this way and to no other.
    beside : tuple of str
        What of the topic's example goes with this way only, though a person may give it in another.
    """

    name: str
    words: str
    quantities: frozenset[str]
    beside: tuple[str, ...] = ()


class Ways:
    """The ways of a topic, which exclude each other.

    Parameters
    ----------
    title : str
        What is done in these ways.
    ways : iterable of Way
    """

    def __init__(self, title: str, ways: Iterable[Way] = ()) -> None:
        self.title = title
        self.every = tuple(ways)

    def of(self, names: Collection[str]) -> Way | None:
        """Return the way that quantities belong to, if any, and refuse those of two at once.

        Parameters
        ----------
        names : collection of str
            All that a question is about, the wanted included.

        Returns
        -------
        Way or None

        Raises
        ------
        TooMuchKnownError
            If two ways are mixed; it says what to leave out for either.

        Examples
        --------
        >>> from chalkwatt import charge
        >>> charge.ways.of(["station_power_max", "charging_time"]).name
        'direct current'
        """
        held = {way: [one for one in names if one in way.quantities] for way in self.every}
        mixed = {way: own for way, own in held.items() if own}
        if len(mixed) < 2:
            return next(iter(mixed), None)
        involved = [name for own in mixed.values() for name in own]
        said = "; ".join(
            f"with {', '.join(own)}: {way.words[0].lower()}{way.words[1:].rstrip('.')}"
            for way, own in mixed.items()
        )
        leave = ", or ".join(
            f"{', '.join(one for one in involved if one not in own)} to keep {', '.join(own)}"
            for own in mixed.values()
        )
        raise TooMuchKnownError(
            f"{self.title} goes one way or the other, not both ({said}).",
            quantity=involved[0],
            relation=self.title,
            involved=involved,
            advice=f"Leave out {leave}.",
        )

    def others(self, names: Collection[str], *, example: bool = False) -> frozenset[str]:
        """Return what does not go together with quantities; of two ways among them, the first counts.

        Parameters
        ----------
        names : collection of str
        example : bool
            Whether to name what of the topic's example belongs to other ways, too.

        Returns
        -------
        frozenset of str

        Examples
        --------
        >>> from chalkwatt import charge
        >>> "station_power_max" in charge.ways.others(["onboard_power_max"])
        True
        """
        chosen = next((one for one in self.every if not one.quantities.isdisjoint(names)), None)
        if chosen is None:
            return frozenset()
        away = [one for one in self.every if one is not chosen]
        beside = [name for one in away for name in one.beside] if example else []
        return frozenset().union(beside, *(one.quantities for one in away))

    def said_of(self, plan: Plan) -> tuple[str, ...]:
        """Say which way a plan goes; empty where it goes none of them."""
        steps = (*plan.groundwork, *plan.steps)
        used = {name for step in steps for name in (step.find, *step.needs)}
        return tuple(one.words for one in self.every if not one.quantities.isdisjoint(used))
