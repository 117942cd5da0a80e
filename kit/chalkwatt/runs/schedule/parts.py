"""The phases of a schedule: each a schedule of its own, found by place or by name."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, overload

from chalkwatt.errors import NameUnknownError
from chalkwatt.runs.schedule.schedule import Schedule

if TYPE_CHECKING:
    from collections.abc import Iterable

__all__ = ["Part", "Parts"]


class Part(Schedule):
    """A phase of a schedule: a schedule of its own that knows where in the whole it lies.

    Parameters
    ----------
    whole : Schedule
    name : str
    first, last : int
        Its points in the whole, both included.
    """

    def __init__(self, whole: Schedule, name: str, first: int, last: int) -> None:
        times, speeds = (one[first : last + 1] for one in (whole.times, whole.speeds))
        super().__init__(name, times - times[0], speeds, source=whole.source)
        self.first, self.last = first, last


class Parts(Sequence[Part]):
    """The phases of a schedule in their order, by place or by name.

    Parameters
    ----------
    whole : str
        Name of the schedule, for messages.
    parts : iterable of Part

    Examples
    --------
    >>> from chalkwatt.runs.schedule.schedules import nedc
    >>> nedc.phases.names
    ('ECE-15 (1)', 'ECE-15 (2)', 'ECE-15 (3)', 'ECE-15 (4)', 'EUDC')
    >>> nedc.phases["EUDC"].top_speed.magnitude
    120.0
    """

    def __init__(self, whole: str, parts: Iterable[Part]) -> None:
        self._whole, self._parts = whole, tuple(parts)

    @property
    def names(self) -> tuple[str, ...]:
        """The names of the phases."""
        return tuple(part.name for part in self)

    def __len__(self) -> int:
        return len(self._parts)

    @overload
    def __getitem__(self, which: int | str) -> Part: ...
    @overload
    def __getitem__(self, which: slice) -> tuple[Part, ...]: ...
    def __getitem__(self, which: int | str | slice) -> Part | tuple[Part, ...]:
        if not isinstance(which, str):
            return self._parts[which]
        asked = _plain(which)
        for part in self._parts:
            if _plain(part.name) == asked:
                return part
        raise NameUnknownError(
            f"{self._whole} has no phase {which!r}; its phases are {', '.join(self.names)}.",
            value=which,
        )

    def __repr__(self) -> str:
        """Show a phase a line."""
        return "\n".join(map(repr, self))


def _plain(name: str) -> str:
    """Bring a name down to its letters and digits: ``extra_high`` is ``extra high``."""
    return "".join(one for one in name.casefold() if one.isalnum())
