"""The board: a topic's interactive widget, whose every row is also a trait."""

from __future__ import annotations

import math
from functools import cache
from typing import TYPE_CHECKING, Any, ClassVar

import anywidget
import numpy as np
import traitlets
from IPython.display import display

from chalkwatt.boards import front_end
from chalkwatt.boards.still import still
from chalkwatt.errors import ChalkwattError, NoSolutionError
from chalkwatt.laws.quantities import look_up, named
from chalkwatt.rendering.browser_program import program
from chalkwatt.wording import units
from chalkwatt.wording.numbers import result_digits, with_unit

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from traitlets import Bunch

    from chalkwatt.answering.answers import Answer
    from chalkwatt.answering.topic import Topic
    from chalkwatt.evidence.sheets.sheet import Sheet
    from chalkwatt.wording.given import Floats, Given

__all__ = ["Board", "Start", "board", "start"]

_SAME = 1e-12  # relative; browsers and Python differ in the last bit of some powers


class Start:
    """What a board or a page begins with: the rows, the unknown, the given values.

    Attributes
    ----------
    topic : Topic
    cast : tuple of str
        The rows, in order.
    wanted : str
    si : dict of str to float
        Given values in SI units.
    labels : dict of str to str
        The unit in which each value was given.
    program : dict
        What the browser runs.
    """

    def __init__(
        self,
        topic: Topic,
        wanted: str,
        known: Mapping[str, Any],
        labels: Mapping[str, str] | None = None,
    ) -> None:
        self.topic = topic
        self.wanted = look_up(wanted, topic.network.names).name
        given = {name: value for name, value in known.items() if name != wanted}
        self.si = {name: _single(name, value) for name, value in topic.read(given).items()}
        self.labels = {
            name: label
            for name in given
            if (label := look_up(name).label_of(given[name])) is not None
        } | dict(labels or {})
        self.cast = (*known, wanted) if wanted not in known else tuple(known)
        topic.ways.of(self.cast)
        self.program = program(topic, self.cast, self.wanted, self.si, self.labels)
        self.program["outcomes"] = [name for name in topic.outcomes if name in self.cast]

    def answer(self) -> Answer:
        """Solve with the values of the start, labels kept."""
        return self.topic.solve(self.wanted, self.si, self.shown)

    @property
    def shown(self) -> dict[str, str]:
        """The unit in which each given value is shown."""
        return {name: self._label(name) for name in self.si}

    def _label(self, name: str) -> str:
        chosen = self.program["chosen_units"][name]
        return str(self.program["quantities"][name]["units"][chosen][0])


def _single(name: str, value: Floats) -> float:
    if isinstance(value, np.ndarray) and value.ndim:
        raise ChalkwattError(
            f"{name} is an array of {value.size} values, and a board shows one at a time.",
            quantity=name,
            advice="Give a single number; the curve shows the others.",
        )
    return float(value)


def start(
    topic: Topic, sheet: Sheet | None = None, *, wanted: str | None = None, **known: Given
) -> Start:
    """Gather what a board begins with.

    Parameters
    ----------
    topic : Topic
    sheet : Sheet, optional
        Its values come first; those given by name replace them.
    wanted : str, optional
    **known : number, str or pint quantity

    Returns
    -------
    Start
    """
    values: dict[str, Any] = {}
    given: dict[str, Any] = dict(known)
    if sheet is not None:
        values = sheet.values_for(topic, about=[wanted] if wanted else [], **given)
    elif not known:
        values = dict(topic.example)
    values |= known
    if wanted is not None:
        named(wanted)
    if wanted is not None and wanted != topic.wanted and topic.wanted not in values:
        if wanted in values and wanted not in known:
            # Turn it round: what would have been solved for takes the place of the new unknown.
            values[topic.wanted] = topic.find(topic.wanted, **values).value
        elif sheet is not None:
            values = sheet.values_for(topic, wanted=wanted, **given) | given
    return Start(topic, topic.wanted if wanted is None else wanted, values)


def board(
    topic: Topic, sheet: Sheet | None = None, /, *, wanted: str | None = None, **known: Given
) -> Board:
    """Open the board of a topic; :meth:`chalkwatt.answering.topic.Topic.board` calls this.

    Parameters
    ----------
    topic : Topic
    sheet : Sheet, optional
    wanted : str, optional
        The unknown; the topic's own choice if left out.
    **known : number, str or pint quantity
        The rows and their values; the topic's invented example if left out.

    Returns
    -------
    Board

    Examples
    --------
    >>> from chalkwatt import load
    >>> made = load.board(wanted="air_force", speed="72 km/h", drag_area="0.5 m^2", air_density=1.2)
    >>> made
    air_force = 120.0 N (load board)
    >>> made.speed = 144.0
    >>> made.air_force
    480.0
    """
    first = start(topic, sheet, wanted=wanted, **known)
    made = _board_class(first.cast)(first)
    if sheet is not None:
        sheet.join(made)
    return made


class Board(anywidget.AnyWidget):
    """The interactive board of a topic.

    Every row is a synced trait in the quantity's first display unit, so ``observe``,
    ``ipywidgets.link`` and ``jslink`` work on it. Setting :attr:`wanted` exchanges known and
    unknown.

    Attributes
    ----------
    wanted : str
        Name of the unknown.
    error : str
        Why there is no result, or empty.
    program : dict
        What the browser runs.
    chosen_units : dict of str to int
        Which of its units each row shows.
    """

    _esm: ClassVar[str] = front_end.module()
    _css: ClassVar[str] = front_end.stylesheet()

    program = traitlets.Dict().tag(sync=True)
    chosen_units = traitlets.Dict().tag(sync=True)
    wanted = traitlets.Unicode().tag(sync=True)
    error = traitlets.Unicode("").tag(sync=True)

    def __init__(self, first: Start, **options: object) -> None:
        self._topic = first.topic
        self._cast = first.cast
        self._answer: Answer | None = None
        self._endless = False
        self._busy = True
        self._from_browser = False
        super().__init__(
            program=first.program,
            chosen_units=first.program["chosen_units"],
            wanted=first.wanted,
            **options,
        )
        for name, si in first.si.items():
            setattr(self, name, _typed(first, name, si))
        self._solve()
        self._busy = False
        self.observe(self._changed, names=[*first.cast, "wanted"])

    # The browser's values come in one message; observers run when all of them are set.
    def set_state(self, sync_data: dict[str, Any]) -> None:
        """Take values from the browser."""
        self._from_browser = True
        try:
            super().set_state(sync_data)
        finally:
            self._from_browser = False

    @traitlets.validate("wanted")
    def _check_wanted(self, proposal: Bunch) -> str:
        name = str(proposal["value"])
        if not self._cast:
            return name
        if name not in self._cast:
            look_up(name, self._cast)
        if name not in self.program["plans"]:
            raise ChalkwattError(
                f"{name} cannot be solved for from the other rows of this board.",
                quantity=name,
                advice="Choose one of " + ", ".join(self.program["plans"]) + ".",
            )
        return name

    def _changed(self, change: Bunch) -> None:
        if self._busy:
            return
        name = change["name"]
        if name == self.wanted and not self._from_browser:
            before = change["old"]
            with self._quietly():
                setattr(self, name, before)
            raise ChalkwattError(
                f"{name} is what this board solves for, so it cannot be set.",
                quantity=name,
                value=change["new"],
                advice="Set another row, or first set board.wanted to the row that is to follow.",
            )
        if self._from_browser and self.error:
            # A row there holds no number, or no possible one: no result until it is mended.
            self._answer = None
            return
        with self._quietly():
            self._solve()

    def _quietly(self) -> _Quiet:
        return _Quiet(self)

    def _solve(self) -> None:
        """Solve as the browser does, and keep its number if only the last bits differ."""
        wanted = self.wanted
        self._answer = None
        self._endless = False
        try:
            labels = {name: self._label(name) for name in self._cast if name != wanted}
            self._answer = self._topic.solve(wanted, self._known(), labels)
        except ChalkwattError as problem:
            self.error = str(problem)
            self._endless = isinstance(problem, NoSolutionError) and wanted in problem.endless
            if getattr(self, wanted) is not None:
                setattr(self, wanted, None)
            return
        self.error = ""
        value = float(look_up(wanted).in_unit(self._answer.si))
        present = getattr(self, wanted)
        if present is None or not math.isclose(present, value, rel_tol=_SAME, abs_tol=0.0):
            setattr(self, wanted, value)

    def _known(self) -> dict[str, Any]:
        """Every known row, checked, in SI units."""
        made = {}
        for name in self._cast:
            if name == self.wanted:
                continue
            value = getattr(self, name)
            if value is None:
                raise ChalkwattError(
                    f"{name} has no value.", quantity=name, advice=f"Set board.{name}."
                )
            entry = look_up(name)
            first = units.unit(entry.display[0])
            made[name] = value * first.factor + first.offset
            entry.check(made[name])
        return made

    def _label(self, name: str) -> str:
        listed = self.program["quantities"][name]["units"]
        return str(listed[self.chosen_units.get(name, 0)][0])

    @property
    def topic(self) -> Topic:
        """The topic that the board shows."""
        return self._topic

    @property
    def endless(self) -> bool:
        """Whether there is no answer because nothing limits the unknown."""
        return self._endless and self._answer is None

    @property
    def answer(self) -> Answer:
        """The answer that the board shows, with its working and every solution.

        Raises
        ------
        ChalkwattError
            If there is none; it says why.
        """
        if self._answer is None:
            raise ChalkwattError(self.error, quantity=self.wanted)
        return self._answer

    def __repr__(self) -> str:
        """Show the number: it is all that a notebook without a front end can show."""
        if self._answer is None:
            return f"{self.wanted}: {self.error} ({self._topic.name} board)"
        entry = look_up(self.wanted)
        label = self._label(self.wanted)
        value = float(entry.in_unit(self._answer.si, label))
        shown = with_unit(value, label, result_digits(value, whole=entry.whole))
        return f"{self.wanted} = {shown} ({self._topic.name} board)"

    def _repr_mimebundle_(self, **options: Any) -> tuple[dict[str, Any], dict[str, Any]]:  # noqa: ANN401  anywidget's own
        """Give the widget, and what stands in for it where there is no front end."""
        made = super()._repr_mimebundle_(**options)
        data, extra = made if isinstance(made, tuple) else (made, {})
        data = {**(data or {}), "text/plain": repr(self)}
        if self._answer is not None:
            data["text/latex"] = f"$$\\displaystyle {self._answer.working.latex_result}$$"
        data["text/html"] = still(self)
        return data, extra

    def _ipython_display_(self) -> None:
        """Show the static board and, over it, the living one, which hides it."""
        data, _ = self._repr_mimebundle_()
        view = "application/vnd.jupyter.widget-view+json"
        kept = {
            kind: data[kind] for kind in ("text/plain", "text/latex", "text/html") if kind in data
        }
        display(kept, raw=True)
        display({"text/plain": data["text/plain"], view: data[view]}, raw=True)


class _Quiet:
    """While open, changes that the board makes itself do not make it solve again."""

    def __init__(self, owner: Board) -> None:
        self.owner = owner

    def __enter__(self) -> None:
        self.before = self.owner._busy  # noqa: SLF001  a part of the board
        self.owner._busy = True  # noqa: SLF001

    def __exit__(self, *_: object) -> None:
        self.owner._busy = self.before  # noqa: SLF001


def _typed(first: Start, name: str, si: float) -> float:
    """Return a given value in its first unit, as typed if that is the unit it was typed in."""
    if first.program["chosen_units"][name] == 0:
        return float(first.program["values"][name])
    return float(look_up(name).in_unit(si))


@cache
def _board_class(cast: Sequence[str]) -> type[Board]:
    """Return a board class with one trait a row; they are class traits so that widgets see them."""
    traits: dict[str, Any] = {
        name: traitlets.Float(default_value=None, allow_none=True, help=look_up(name).sentence).tag(
            sync=True
        )
        for name in cast
    }
    return type("Board", (Board,), {**traits, "__module__": __name__, "__doc__": Board.__doc__})
