"""The sheet: a vehicle's evidence, and the questions that can be put to it."""

from __future__ import annotations

import os
from functools import cached_property
from pathlib import Path
from types import MappingProxyType
from typing import TYPE_CHECKING, Any

from chalkwatt.answering.showing import show
from chalkwatt.calls import checked_call
from chalkwatt.errors import ChalkwattError, SheetError, printable, told
from chalkwatt.evidence.claims.claims import Claim
from chalkwatt.evidence.claims.variants import judge_variant
from chalkwatt.evidence.claims.verdicts import judge
from chalkwatt.evidence.finding import Draws, Finding
from chalkwatt.evidence.sheets.choosing import by_trust, reach, take_in_turn
from chalkwatt.evidence.sheets.cold_cells import with_warm_cells
from chalkwatt.evidence.sheets.facts import Fact, condition
from chalkwatt.evidence.sheets.following import Following
from chalkwatt.evidence.sheets.owning import ask
from chalkwatt.evidence.sheets.reading import read_text
from chalkwatt.store import write_text
from chalkwatt.topics.vehicle import vehicle
from chalkwatt.wording.audience import addressed

if TYPE_CHECKING:
    from collections.abc import Collection, Mapping
    from concurrent.futures import Executor

    from chalkwatt.answering.showing import LiveBoard
    from chalkwatt.answering.topic import Topic
    from chalkwatt.evidence.claims.valueless import ValuelessVerdict
    from chalkwatt.evidence.claims.variants import VariantVerdict
    from chalkwatt.evidence.claims.verdicts import Verdict
    from chalkwatt.wording.given import Given

__all__ = ["Sheet"]


@addressed
class Sheet:
    """A vehicle's spec sheet: values, each with unit, origin and perhaps a range.

    Made by :meth:`read` or :meth:`parse`; it never changes. :meth:`revised` gives a changed one.

    Attributes
    ----------
    name, story : str
        The vehicle, and what is told of it.
    invented : bool
    facts : mapping of str to Fact
    claims : tuple of Claim
    audience : Audience
        For whom it speaks: as ``[audience]`` says, such as ``units = "us"``, or else as most of it is written.
    text : str
        The sheet as it was written, comments and all.
    path : Path or None
        Where it was read from.

    Examples
    --------
    >>> from chalkwatt import Sheet
    >>> sheet = Sheet.parse('''
    ... [vehicle]
    ... name = "Demo"
    ... [values.drag_coefficient]
    ... value = 0.2
    ... origin = "estimated"
    ... range = [0.18, 0.22]
    ... [values.frontal_area]
    ... value = "1.7 m^2"
    ... origin = "measured"
    ... ''')
    >>> sheet.find("drag_area")
    drag_area = 0.340 m² (90 % of draws: 0.309 to 0.371 m²)
    """

    @checked_call
    def __init__(self, text: str, path: str | Path | None = None) -> None:
        content = read_text(text, str(path or ""))
        self.text = text
        self.path = None if path is None else Path(path)
        self.name = content.name
        self.story = content.story
        self.invented = content.invented
        self.facts: Mapping[str, Fact] = MappingProxyType(content.facts)
        self.claims: tuple[Claim, ...] = content.claims
        self.audience = content.audience

    @classmethod
    @checked_call
    def read(cls, path: str | Path) -> Sheet:
        """Read a sheet from a TOML file.

        Parameters
        ----------
        path : str or Path

        Returns
        -------
        Sheet

        Raises
        ------
        SheetError
            If it cannot be read; it names file, line and key, and the nearest right name for a typo.
        """
        try:
            data = Path(path).read_bytes()
        except (OSError, ValueError) as cause:  # the latter for a name that no file can have
            raise SheetError(
                f"The file cannot be opened: {getattr(cause, 'strerror', None) or cause}.",
                path=printable(os.fspath(path)),
            ) from cause
        try:
            text = data.decode("utf-8-sig")
        except UnicodeDecodeError as cause:
            line = data[: cause.start].count(b"\n") + 1
            raise SheetError("This is not UTF-8 text.", path=os.fspath(path), line=line) from cause
        return cls(text.replace("\r\n", "\n"), path)

    @classmethod
    @checked_call
    def parse(cls, text: str) -> Sheet:
        """Read a sheet from text.

        Parameters
        ----------
        text : str
            TOML.

        Returns
        -------
        Sheet

        Raises
        ------
        SheetError
        """
        return cls(text)

    def __repr__(self) -> str:
        """Show the name and how much it holds."""
        marked = ", invented" if self.invented else ""
        return f"<sheet {self.name}{marked}: {len(self.facts)} values, {len(self.claims)} claims>"

    @cached_property
    def columns(self) -> tuple[str, ...]:
        """The uncertain values, each of which has its own column of draws."""
        return tuple(sorted(name for name, fact in self.facts.items() if not fact.exact))

    @checked_call
    def find(
        self,
        wanted: str,
        /,
        *,
        level: float = 0.9,
        draws: int = 8192,
        seed: int = 0,
        executor: Executor | None = None,
        **conditions: Given,
    ) -> Finding:
        """Solve for any quantity with what the sheet states.

        Parameters
        ----------
        wanted : str
            Any quantity. If the sheet states it, its own value is left out: the finding is what the
            rest of the sheet makes of it. What is none of pack and road is asked of the topic that
            owns it, such as a charging time, with what the sheet states and what follows from it.
        level : float
            The share of the draws that the interval holds.
        draws : int
            How many; the next power of two is taken.
        seed : int
        executor : concurrent.futures.Executor, optional
            Who makes the draws; the numbers are the same.
        **conditions : number, str, pint quantity, or a pair of them
            Further knowns, which take the place of the sheet's own; a pair is a range.

        Returns
        -------
        Finding
            An answer with ``.interval``, ``.spread``, ``.tornado`` and ``.indices``.

        Raises
        ------
        NameUnknownError, UnitError, OutOfBoundsError
            If a name, a unit or a condition cannot be.
        TooLittleKnownError
            If sheet and conditions do not determine the wanted; it says what would.
        NoSolutionError
            If the stated values have no answer.
        """
        given = {name: condition(name, value) for name, value in conditions.items()}
        return ask(self, wanted, given, Draws(draws, seed, level, executor))

    @checked_call
    def follow(self, **conditions: Given) -> Following:
        """Derive everything that the sheet allows.

        Parameters
        ----------
        **conditions : number, str, pint quantity, or a pair of them

        Returns
        -------
        Following
            A mapping from names to findings, with ``.missing``, ``.unlocks`` and ``.conflicts``.
        """
        return Following(self, {name: condition(name, value) for name, value in conditions.items()})

    @checked_call
    def judge(
        self, claim: Claim, *, draws: int = 8192, seed: int = 0, executor: Executor | None = None
    ) -> Verdict | ValuelessVerdict | VariantVerdict:
        """Test a claim against the sheet.

        Parameters
        ----------
        claim : Claim
        draws : int
        seed : int
        executor : concurrent.futures.Executor, optional

        Returns
        -------
        Verdict, ValuelessVerdict or VariantVerdict
            With ``.chance``, ``.interval``, ``.needs``, ``.sentence`` and ``.board()``.

        Raises
        ------
        ChalkwattError
            As :meth:`find`.
        """
        if not isinstance(claim, Claim):
            raise ChalkwattError(
                f"{told(claim)} is no claim.",
                value=claim,
                advice='Make one like cw.Claim("range", "480 km", speed="90 km/h").',
            )

        how = Draws(draws, seed, executor=executor)
        if claim.variant:
            return judge_variant(self, claim, how)
        return judge(self, claim, how)

    @checked_call
    def values_for(
        self,
        topic: Topic,
        *,
        wanted: str | None = None,
        about: Collection[str] = (),
        **conditions: Given,
    ) -> dict[str, Any]:
        """Return what a board of a topic starts with.

        Stated values first, then what follows from the rest of the sheet, then the conditions of its
        first claim, and the topic's own example for what is still open.

        Parameters
        ----------
        topic : Topic
        wanted : str, optional
            The unknown of the board; the topic's own choice if left out.
        about : collection of str
            What else the board is about: of several ways to do a thing it chooses one.
        **conditions : number, str or pint quantity
            What is asked for beside the claim's conditions, and before them; assumed values give way to
            it as they do in :meth:`find`.

        Returns
        -------
        dict of str to (str or float)
            Text with a unit for what is stated, SI numbers for what follows.
        """
        unknown = wanted or topic.wanted
        first = dict(self.claims[0].conditions) if self.claims else {}
        in_the_cold = with_warm_cells(self, {**first, **conditions}, unknown)
        if in_the_cold is not self:
            return in_the_cold.values_for(topic, wanted=wanted, about=about, **conditions)
        stated = {name: fact for name, fact in self.facts.items() if name in topic.network.names}
        offers: dict[str, Any] = {
            name: stated[name].text_of(stated[name].si, 12) for name in by_trust_in(stated)
        }
        for name in topic.example:
            if name in offers or name not in topic.network.names:
                continue
            offers[name] = self._followed(name)
        claimed = dict(self.claims[0].conditions) if self.claims else {}
        asked = {
            name: value
            for name, value in (claimed | conditions).items()
            if name in topic.network.names and name != unknown
        }
        offers |= asked
        offers = {name: value for name, value in offers.items() if value is not None}
        # What the sheet says of one way of doing it is not mixed with an example of another.
        said = (*conditions, *about, unknown)
        chosen = said if topic.ways.others(said) else tuple(offers)
        against, beside = (topic.ways.others(chosen, example=one) for one in (False, True))
        offers = {name: value for name, value in offers.items() if name not in against} | {
            name: value
            for name, value in topic.example.items()
            if name not in offers and name not in beside
        }
        offers |= self._beside(topic, offers)
        return self._enough(topic, unknown, offers, asked)

    def _beside(self, topic: Topic, offers: Collection[str]) -> dict[str, float]:
        """Return what makes a standing value of a topic give way, where all of it follows.

        Such as voltage and resistance of the pack: the road's own example has none, and a board of it
        would give another range than the sheet.
        """
        made: dict[str, float] = {}
        for one in topic.network.standing:
            here = one.unless and {*one.unless} <= {*topic.network.names}
            if not here or one.names[0] in offers:
                continue
            found = {name: self._followed(name) for name in one.unless if name not in offers}
            follows = {name: value for name, value in found.items() if value is not None}
            if len(follows) == len(found):
                made |= follows
        return made

    def _enough(
        self, topic: Topic, wanted: str, offers: Mapping[str, Any], asked: Mapping[str, Any]
    ) -> dict[str, Any]:
        """Take offers until they determine the wanted, none that others determine, none that goes unused."""
        origins = {name: fact.origin for name, fact in self.facts.items()}
        taken = take_in_turn(topic, wanted, tuple(offers), asked, origins)
        plan = topic.network.plan(wanted, taken)
        needed = {name for step in (*plan.groundwork, *plan.steps) for name in step.needs}
        return {name: offers[name] for name in offers if name in taken and name in needed}

    def _followed(self, name: str) -> float | None:
        # What would unlock a hopeless question takes long to find, and nobody asks for it here.
        said = {*self.facts} & {*vehicle.network.names}
        asked = name in vehicle.network.names and name not in said
        if asked and name not in reach(frozenset(said), standing=True):
            return None
        try:
            return float(self.find(name).si)
        except ChalkwattError:
            return None

    @checked_call
    def join(self, board: LiveBoard) -> None:
        """Let a board keep in step with the other boards of this sheet.

        Parameters
        ----------
        board : Board
        """
        show(self, "company", board)

    @checked_call
    def page(self, path: str | Path, /, *, title: str = "") -> Path:
        """Write one interactive HTML file: story, values, boards on them, verdicts on the claims.

        Parameters
        ----------
        path : str or Path
        title : str, optional
            The vehicle's name, if left out.

        Returns
        -------
        Path

        Raises
        ------
        ChalkwattError
            If it cannot be written.
        """
        made: Path = show(self, "page", path, title=title)
        return made

    @checked_call
    def revised(self, quantity: str, value: Given, **fields: object) -> Sheet:
        """Return a sheet with one value changed or added, comments and order kept.

        Parameters
        ----------
        quantity : str
            The quantity.
        value : number or str
            As in the file: text with a unit, or a plain number.
        **fields : str, number or list
            ``origin``, ``range``, ``plus_minus``, ``shape``, ``note``, ``seen``; None takes one out.

        Returns
        -------
        Sheet

        Raises
        ------
        SheetError
            If the result is no sound sheet.
        """
        from chalkwatt.evidence.sheets.editing import revised_text  # noqa: PLC0415  tomlkit is slow to import

        return Sheet(revised_text(self.text, quantity, {"value": value, **fields}), self.path)

    @checked_call
    def write(self, path: str | Path | None = None) -> Path:
        """Write the sheet, comments and all; a write that is killed half-way leaves the old file whole.

        Parameters
        ----------
        path : str or Path, optional
            Where it was read from, if left out.

        Returns
        -------
        Path

        Raises
        ------
        ChalkwattError
            If there is no path, or it cannot be written to.
        """
        place = self.path if path is None else Path(path)
        if place is None:
            raise ChalkwattError(
                "This sheet was not read from a file.", advice="Give the path to write to."
            )
        return write_text(place, self.text)


def by_trust_in(facts: Mapping[str, Fact]) -> tuple[str, ...]:
    """Return names by trust, those that the whole vehicle does not know last."""
    known = by_trust(facts)
    return (*known, *(name for name in facts if name not in known))
