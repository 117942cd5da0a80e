"""An episode: everything that comes of one sheet, in one folder, and what changed since last time.

Nothing heavy is imported before it is clear that something is to be made: a run that finds
everything as it was reads files and digests, and is done.
"""

from __future__ import annotations

import sys
from dataclasses import dataclass, replace
from time import monotonic
from typing import TYPE_CHECKING

from chalkwatt.calls import checked_call
from chalkwatt.episodes.changes import Change, changes_between, changes_text, other_numbers
from chalkwatt.episodes.folder_lock import alone_in
from chalkwatt.episodes.inputs import folder_of, sheet_text_of, template_of
from chalkwatt.episodes.keeping import Keeper, beside
from chalkwatt.episodes.ledger import (
    Entry,
    Filed,
    Ledger,
    Number,
    digest,
    digest_of,
    digest_of_bytes,
    tool_digest,
)
from chalkwatt.errors import ChalkwattError, told
from chalkwatt.store import Patient
from chalkwatt.wording.audience import Audience, audience, current

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping
    from pathlib import Path

    from chalkwatt.episodes.recipe import Made, Product
    from chalkwatt.evidence.sheets.sheet import Sheet

__all__ = ["Episode", "episode"]

_CHANGES = "changes.md"
_PICTURES = "pictures.md"
_LISTS = "lists"  # the entry of the last two
_GARBLED = (
    "What episode.json said of last time made no sense in places; that is left out of account."
)
_SAVE_EVERY = 0.5  # seconds; what a killed run has made since then is made again


@dataclass(frozen=True)
class Episode:
    """What a run has done.

    Attributes
    ----------
    folder : Path
    built : tuple of str
        Paths of the files that were made, within the folder.
    kept : tuple of str
        Of those that were as they should be.
    removed : tuple of str
        Of those that nothing makes any more.
    changes : tuple of Change
        What changed since the last complete episode, number by number; nothing if this is the first.
    notes : tuple of str
        What the sheet does not allow, and why.
    complete : bool
        Whether all was made; False if it was stopped.
    first : bool
        Whether there was no earlier episode to compare with.
    yours : tuple of str
        What was done about files that were changed or made by hand, a sentence each.
    """

    folder: Path
    built: tuple[str, ...]
    kept: tuple[str, ...]
    removed: tuple[str, ...] = ()
    changes: tuple[Change, ...] = ()
    notes: tuple[str, ...] = ()
    complete: bool = True
    first: bool = False
    yours: tuple[str, ...] = ()

    @property
    def text(self) -> str:
        """What was done and what changed, as plain text."""
        counts = f"{len(self.built)} files made, {len(self.kept)} kept"
        if self.removed:
            counts += f", {len(self.removed)} removed"
        lines = [f"{counts}.", *self.notes, *self.yours]
        if not self.complete:
            return "\n".join([*lines, "Stopped; the same call makes the rest."])
        if self.first:
            return "\n".join([*lines, "This is the first time; there is nothing to compare with."])
        if not self.changes:
            return "\n".join([*lines, "No number changed since last time."])
        lines.append("What changed since last time:")
        for change in self.changes:
            lines += [f"  {change.text}", *(f"      {where}" for where in change.where)]
        return "\n".join(lines)

    @property
    def brief(self) -> str:
        """The same without what the sheet does not allow, which changes with the sheet alone."""
        return replace(self, notes=tuple(one for one in self.notes if one == _GARBLED)).text

    def __repr__(self) -> str:
        """Say what was done."""
        return self.text


@checked_call
def episode(
    sheet: Sheet | str | Path,
    folder: str | Path,
    *,
    script: str | Path | None = None,
    size: str = "landscape",
    theme: str = "light",
    ground: str = "clear",
    kind: str = "png",
    seed: int = 1,
    units: str | None = None,
    force: bool = False,
    progress: bool = False,
    stop: Callable[[], bool] | None = None,
) -> Episode:
    """Make everything that comes of a sheet, and say what changed since last time.

    Equation cards of the main answers, two of them built up step by step; figure cards; for every
    claim its figures and a page; a script; a page to play with; worksheets with their keys; a list
    of the pictures in words; and the list of changes. What is there and still right is kept.

    Nothing of yours is lost. Lines that you write into ``script.md`` stay when it is made anew; where
    you and the sheet changed the same line, and for every other file that you changed, yours stays
    and the new one is put beside it (``script.new.md``). A file that no episode made stops the run
    before anything is made. All this is told, also in ``changes.md``.

    Parameters
    ----------
    sheet : Sheet, str or Path
        The sheet, or where it is.
    folder : str or Path
        Where to put it.
    script : str or Path, optional
        The template of the script; ``<sheet>.script.md`` beside the sheet if that is there, else
        the package's own.
    size, theme, ground, kind : str
        Of the pictures, as for :func:`chalkwatt.cards.card.equation_card`.
    seed : int
        Of the worksheets.
    units : {"metric", "us", "uk"}, optional
        Those of the audience; the sheet's own if left out, see :func:`chalkwatt.audience`.
    force : bool
        Put the new files in the place of those that you changed or made; each of yours is kept under
        another name (``script.mine.md``).
    progress : bool
        Whether a bar is shown.
    stop : callable, optional
        Asked before each product; when it says True, what is done stays, and the same call makes
        the rest.

    Returns
    -------
    Episode

    Raises
    ------
    ChalkwattError
        If the sheet or the template has a mistake, a choice is none, the folder has no name or cannot
        be written to, a link leads out of it, files are in the way that no episode made, or another
        run is at work in the folder and does not end.

    Examples
    --------
    >>> import tempfile
    >>> import chalkwatt as cw
    >>> sheet = cw.Sheet.parse('''
    ... [vehicle]
    ... name = "Demo"
    ... [values.cell_count]
    ... value = 96
    ... origin = "counted"
    ... [values.cell_energy]
    ... value = "18 Wh"
    ... origin = "quoted"
    ... ''')
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     first = cw.episode(sheet, folder)
    ...     later = cw.episode(sheet.revised("cell_count", 108), folder)
    >>> for change in later.changes:
    ...     print(change.text)
    cell count: 96 → 108
    pack energy: 1.728 kWh → 1.944 kWh
    usable energy: 1.728 kWh → 1.944 kWh
    """
    place = folder_of(folder)
    if stop is not None and not callable(stop):
        raise ChalkwattError(
            f"stop = {told(stop)} cannot be asked: it is no function.",
            value=stop,
            advice="Give a function without parameters that says whether to stop, or leave it out.",
        )
    text, path = sheet_text_of(sheet)
    template = template_of(script, path)
    chosen = {"size": size, "theme": theme, "ground": ground, "kind": kind, "seed": seed}
    told_to = current() if units is None else Audience(units)
    whole = digest(tool_digest(), text, template, chosen, told_to.units)
    made = _as_it_was(place, whole, force=force)
    if made is not None:
        return made
    from chalkwatt.evidence.sheets import Sheet  # noqa: PLC0415  SymPy is slow to import

    with alone_in(place):
        # Another run may have made it all meanwhile.
        made = _as_it_was(place, whole, force=force)
        if made is not None:
            return made
        read = sheet if isinstance(sheet, Sheet) else Sheet(text, path)
        keeper = Keeper(place, Ledger.read(place), force=force)
        with audience(told_to if told_to.units else read.audience):
            return _made_anew(keeper, read, template, chosen, whole, progress=progress, stop=stop)


def _as_it_was(place: Path, whole: str, *, force: bool) -> Episode | None:
    """Return the episode that is there already, if nothing is to be made."""
    ledger = Ledger.read(place)
    yours = tuple(map(Keeper(place, ledger, force=force).about, ledger.kept))
    settled = not (force and yours) and all((place / one).exists() for one in ledger.kept)
    if not (settled and ledger.whole == whole and ledger.sound(place)):
        return None
    return Episode(place, (), tuple(_paths(ledger.entries.values())), yours=yours)


def _made_anew(
    keeper: Keeper,
    sheet: Sheet,
    template: str,
    chosen: Mapping[str, object],
    whole: str,
    *,
    progress: bool,
    stop: Callable[[], bool] | None,
) -> Episode:
    from chalkwatt.episodes.questions import Questions  # noqa: PLC0415  SymPy is slow to import
    from chalkwatt.episodes.recipe import Choices, products  # noqa: PLC0415  SymPy is slow to import

    ledger = keeper.ledger
    ledger.check_numbers()
    questions = Questions.of(sheet)
    listed = products(questions, template, Choices(**chosen))  # type: ignore[arg-type]  # by name
    notes = (*((_GARBLED,) if ledger.garbled else ()), *questions.notes)
    run = _Run(keeper, whole, progress=progress, stop=stop)
    if not run.make(listed):
        return Episode(
            keeper.folder,
            tuple(run.built),
            tuple(run.kept),
            notes=notes,
            complete=False,
            first=not ledger.numbers,
            yours=tuple(keeper.told.values()),
        )
    return run.finish(listed, questions.numbers(), notes)


def _paths(entries: Iterable[Entry]) -> list[str]:
    return [path for entry in entries for path in entry.files]


class _Run:
    """One run: makes what is to be made, and keeps the ledger."""

    def __init__(
        self,
        keeper: Keeper,
        whole: str,
        *,
        progress: bool,
        stop: Callable[[], bool] | None,
    ) -> None:
        self.keeper, self.folder, self.ledger = keeper, keeper.folder, keeper.ledger
        self.whole, self.progress, self.stop = whole, progress, stop
        self.tool = digest(tool_digest(), current().units)
        self.built: list[str] = []
        self.kept: list[str] = []
        self._ready: dict[str, list[Made]] = {}

    def make(self, listed: list[Product]) -> bool:
        """Make what is not there or not right, and say whether all is done."""
        due = []
        for product in listed:
            entry = self.ledger.entries.get(product.name)
            key = "" if entry is None else self._key(product, entry.rests_on)
            if entry is None or entry.key != key or not self._there(entry, product):
                due.append(product)
            else:
                self.kept += entry.files
        self._look_first(listed, due)
        for product in due:
            if product.first and product.name not in self._ready:
                self._ready[product.name] = product.make()
        saved = monotonic()
        try:
            for product in self._watched(due):
                if self.stop is not None and self.stop():
                    return False
                self._made(product)
                if monotonic() - saved > _SAVE_EVERY:
                    self.ledger.write(self.folder)
                    saved = monotonic()
        finally:
            self.ledger.write(self.folder)
            self.keeper.close()
        return True

    def _look_first(self, listed: Iterable[Product], due: Iterable[Product]) -> None:
        """Refuse before anything is made, if that would write over somebody else's files."""
        for product in listed:
            for path in product.paths():
                self.keeper.place(path)
        if self.keeper.force:
            return
        strange = [path for path in (_CHANGES, _PICTURES) if self.keeper.strange(path)]
        for product in due:
            if not any(map(self.keeper.strange, product.paths())):
                continue
            # What would be the same to the last byte is the episode's, whatever its ledger says.
            self._ready[product.name] = product.make()
            strange += [
                one.path
                for one in self._ready[product.name]
                if self.keeper.strange(one.path)
                and digest_of(self.folder / one.path) != digest_of_bytes(one.data)
            ]
        if strange:
            raise self.keeper.refuse(strange)

    def _key(self, product: Product, rests_on: Iterable[str]) -> str:
        return digest(self.tool, product.key(tuple(rests_on)))

    def _there(self, entry: Entry, product: Product) -> bool:
        if not self.ledger.sound(self.folder, tuple(entry.files.items())):
            return False
        if not self.ledger.kept:
            return True
        # One that lies beside somebody's own moves to its place when that is gone, or must go.
        beside_mine = [path for path in product.paths() if path in self.ledger.kept]
        return not any(
            self.keeper.force or not (self.folder / path).exists() for path in beside_mine
        )

    def _watched(self, due: list[Product]) -> Iterable[Product]:
        if not self.progress or not due:
            yield from due
            return
        try:
            from tqdm.auto import tqdm  # noqa: PLC0415  an extra
        except ImportError:
            yield from due
            return
        with tqdm(due, unit="product", file=Patient(sys.stderr)) as bar:
            for product in bar:
                bar.set_postfix_str(product.name, refresh=False)
                yield product

    def _made(self, product: Product) -> None:
        files = {}
        for made in self._ready.pop(product.name, None) or product.make():
            path, filed = self.keeper.put(made)
            files[path] = filed
            self.built.append(path)
        old = self.ledger.entries.get(product.name)
        rests_on = tuple(sorted(product.noted))
        self.ledger.entries[product.name] = Entry(self._key(product, rests_on), files, rests_on)
        if old is not None:
            self.keeper.remove({path: one for path, one in old.files.items() if path not in files})

    def finish(
        self, listed: list[Product], numbers: dict[str, Number], notes: tuple[str, ...]
    ) -> Episode:
        """Remove what is left over, write the lists, and close the ledger."""
        ledger = self.ledger
        names = [product.name for product in listed]
        gone = {name: one for name, one in ledger.entries.items() if name not in {*names, _LISTS}}
        made_now = set(_paths(ledger.entries[name] for name in names))
        removed: list[str] = []
        for entry in gone.values():
            left = {path: one for path, one in entry.files.items() if path not in made_now}
            removed += self.keeper.remove(left)
        entries = {name: ledger.entries[name] for name in names}
        carriers = {
            path: filed.shows for entry in entries.values() for path, filed in entry.files.items()
        }
        every = numbers | other_numbers(numbers, carriers)
        first = not ledger.numbers
        changes = () if first else changes_between(ledger.numbers, every, ledger.carriers, carriers)
        listed_changes = changes or tuple(Change.of(one) for one in ledger.changes)
        old = ledger.entries.get(_LISTS, Entry("", {}))
        files = self._lists(entries, listed_changes, made_now)
        self.keeper.remove({path: one for path, one in old.files.items() if path not in files})
        entries[_LISTS] = Entry("", files)
        kept_lists = [path for path, one in files.items() if old.files.get(path) == one]
        self.built += [path for path in files if path not in kept_lists]
        self.kept += kept_lists
        ledger.entries, ledger.numbers, ledger.carriers = entries, every, carriers
        ledger.changes = [one.as_dict() for one in listed_changes]
        ledger.whole = self.whole
        ledger.write(self.folder)
        self.keeper.close()
        return Episode(
            self.folder, tuple(self.built), tuple(self.kept), tuple(removed), changes, notes,
            first=first, yours=tuple(self.keeper.told.values()),
        )  # fmt: skip

    def _yours(self, made_now: set[str]) -> tuple[str, ...]:
        """Say what became of every file that was changed by hand, also in an earlier run."""
        for path in list(self.ledger.kept):
            if beside(path, "new") in made_now or path in {_CHANGES, _PICTURES}:
                self.keeper.told.setdefault(path, self.keeper.about(path))
            else:
                self.ledger.kept.remove(path)  # nothing is made for it any more
        return tuple(self.keeper.told.values())

    def _lists(
        self, entries: Mapping[str, Entry], changes: Iterable[Change], made_now: set[str]
    ) -> dict[str, Filed]:
        from chalkwatt.episodes.recipe import Made  # noqa: PLC0415  SymPy is slow to import

        lines = ["# The pictures in words", ""]
        for entry in entries.values():
            lines += [f"- {path}: {one.alt}" for path, one in entry.files.items() if one.alt]
        pictures = "\n".join([*lines, ""]).encode(errors="replace")
        made = dict([self.keeper.put(Made(_PICTURES, pictures))])
        told = changes_text(changes, self._yours(made_now)).encode(errors="replace")
        return made | dict([self.keeper.put(Made(_CHANGES, told))])
