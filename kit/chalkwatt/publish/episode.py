"""An episode: everything that comes of one sheet, in one folder, and what changed since last time.

Nothing heavy is imported before it is clear that something is to be made: a run that finds
everything as it was reads files and digests, and is done.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from chalkwatt.errors import ChalkwattError
from chalkwatt.publish.changes import Change, changes_between, changes_text, shows
from chalkwatt.publish.ledger import (
    Entry,
    Filed,
    Ledger,
    Number,
    Shown,
    digest,
    digest_of_bytes,
    tool_digest,
)
from chalkwatt.publish.safe_write import write_bytes, write_text

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping

    from chalkwatt.publish.recipe import Product
    from chalkwatt.sheets.sheet import Sheet

__all__ = ["Episode", "episode"]

_CHANGES = "changes.md"
_PICTURES = "pictures.md"
_TEMPLATE = "episode.script.md"
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
    """

    folder: Path
    built: tuple[str, ...]
    kept: tuple[str, ...]
    removed: tuple[str, ...] = ()
    changes: tuple[Change, ...] = ()
    notes: tuple[str, ...] = ()
    complete: bool = True
    first: bool = False

    @property
    def text(self) -> str:
        """What was done and what changed, as plain text."""
        counts = f"{len(self.built)} files made, {len(self.kept)} kept"
        if self.removed:
            counts += f", {len(self.removed)} removed"
        lines = [f"{counts}.", *self.notes]
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

    def __repr__(self) -> str:
        """Say what was done."""
        return self.text


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
    progress: bool = False,
    stop: Callable[[], bool] | None = None,
) -> Episode:
    """Make everything that comes of a sheet, and say what changed since last time.

    Equation cards of the main answers, two of them built up step by step; figure cards; for every
    claim its figures and a page; a script; a page to play with; worksheets with their keys; a list
    of the pictures in words; and the list of changes. What is there and still right is kept.

    Parameters
    ----------
    sheet : Sheet, str or Path
        The sheet, or where it is.
    folder : str or Path
        Where to put it. A file of the episode that was edited by hand is made anew.
    script : str or Path, optional
        The template of the script; ``<sheet>.script.md`` beside the sheet if that is there, else
        the package's own.
    size, theme, ground, kind : str
        Of the pictures, as for :func:`chalkwatt.publish.card.equation_card`.
    seed : int
        Of the worksheets.
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
        If the sheet or the template has a mistake, a choice is none, or the folder cannot be
        written to.

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
    """
    place = Path(folder)
    text, path = _sheet_text(sheet)
    template = _template(script, path)
    chosen = {"size": size, "theme": theme, "ground": ground, "kind": kind, "seed": seed}
    whole = digest(tool_digest(), text, template, chosen)
    ledger = Ledger.read(place)
    if ledger.whole == whole and ledger.sound(place):
        return Episode(place, (), tuple(_paths(ledger.entries.values())))
    from chalkwatt.publish.questions import Questions
    from chalkwatt.publish.recipe import Choices, products
    from chalkwatt.sheets import Sheet

    read = sheet if isinstance(sheet, Sheet) else Sheet(text, path)
    questions = Questions.of(read)
    listed = products(questions, template, Choices(**chosen))  # type: ignore[arg-type]  # by name
    run = _Run(place, ledger, whole, progress=progress, stop=stop)
    if not run.make(listed):
        return Episode(
            place,
            tuple(run.built),
            tuple(run.kept),
            notes=tuple(questions.notes),
            complete=False,
            first=not ledger.numbers,
        )
    return run.finish(listed, questions.numbers(), tuple(questions.notes))


def _sheet_text(sheet: Sheet | str | Path) -> tuple[str, Path | None]:
    """Return a sheet's text, and where it was read from."""
    if not isinstance(sheet, str | Path):
        return sheet.text, sheet.path
    path = Path(sheet)
    try:
        return path.read_bytes().decode().replace("\r\n", "\n"), path
    except (OSError, UnicodeDecodeError):
        from chalkwatt.sheets import Sheet

        return Sheet.read(path).text, path  # says what is wrong


def _template(script: str | Path | None, sheet: Path | None) -> str:
    place = None if script is None else Path(script)
    if place is None and sheet is not None:
        beside = sheet.with_name(f"{sheet.stem}.script.md")
        place = beside if beside.is_file() else None
    if place is None:
        place = Path(__file__).with_name(_TEMPLATE)
    try:
        return place.read_bytes().decode().replace("\r\n", "\n")
    except OSError as cause:
        raise ChalkwattError(
            f"The script's template {place} cannot be opened: {cause.strerror}.", value=str(place)
        ) from cause
    except UnicodeDecodeError as cause:
        raise ChalkwattError(
            f"The script's template {place} is not UTF-8 text.", value=str(place)
        ) from cause


def _paths(entries: Iterable[Entry]) -> list[str]:
    return [path for entry in entries for path in entry.files]


class _Run:
    """One run: makes what is to be made, and keeps the ledger."""

    def __init__(
        self,
        folder: Path,
        ledger: Ledger,
        whole: str,
        *,
        progress: bool,
        stop: Callable[[], bool] | None,
    ) -> None:
        self.folder, self.ledger, self.whole = folder, ledger, whole
        self.progress, self.stop = progress, stop
        self.tool = tool_digest()
        self.built: list[str] = []
        self.kept: list[str] = []

    def make(self, listed: list[Product]) -> bool:
        """Make what is not there or not right, and say whether all is done."""
        from time import monotonic

        due = []
        for product in listed:
            entry = self.ledger.entries.get(product.name)
            key = "" if entry is None else self._key(product, entry.rests_on)
            if entry is None or entry.key != key or not self._there(entry):
                due.append(product)
            else:
                self.kept += entry.files
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
        return True

    def _key(self, product: Product, rests_on: Iterable[str]) -> str:
        return digest(self.tool, product.key(tuple(rests_on)))

    def _there(self, entry: Entry) -> bool:
        return self.ledger.sound(self.folder, tuple(entry.files.items()))

    def _watched(self, due: list[Product]) -> Iterable[Product]:
        if not self.progress or not due:
            yield from due
            return
        try:
            from tqdm.auto import tqdm
        except ImportError:
            yield from due
            return
        with tqdm(due, unit="product") as bar:
            for product in bar:
                bar.set_postfix_str(product.name, refresh=False)
                yield product

    def _made(self, product: Product) -> None:
        files = {}
        for made in product.make():
            write_bytes(self.folder / made.path, made.data)
            files[made.path] = Filed(digest_of_bytes(made.data), made.alt, made.shows)
            self.built.append(made.path)
        old = self.ledger.entries.get(product.name)
        rests_on = tuple(sorted(product.noted))
        self.ledger.entries[product.name] = Entry(self._key(product, rests_on), files, rests_on)
        if old is not None:
            self._remove({path: one for path, one in old.files.items() if path not in files})

    def _remove(self, files: Mapping[str, Filed]) -> list[str]:
        """Remove files that nothing makes any more, unless somebody has changed them."""
        removed = []
        for path, filed in files.items():
            if self.ledger.sound(self.folder, ((path, filed),)):
                place = self.folder / path
                try:
                    place.unlink()
                    if place.parent != self.folder and not any(place.parent.iterdir()):
                        place.parent.rmdir()
                except OSError:
                    continue  # it stays, and is nobody's
                removed.append(path)
        return removed

    def finish(
        self, listed: list[Product], numbers: dict[str, Number], notes: tuple[str, ...]
    ) -> Episode:
        """Remove what is left over, write the lists, and close the ledger."""
        ledger = self.ledger
        names = [product.name for product in listed]
        gone = {name: one for name, one in ledger.entries.items() if name not in {*names, "lists"}}
        made_now = set(_paths(ledger.entries[name] for name in names))
        removed: list[str] = []
        for entry in gone.values():
            left = {path: one for path, one in entry.files.items() if path not in made_now}
            removed += self._remove(left)
        entries = {name: ledger.entries[name] for name in names}
        carriers = {
            path: filed.shows for entry in entries.values() for path, filed in entry.files.items()
        }
        every = numbers | _others(numbers, carriers)
        first = not ledger.numbers
        changes = () if first else changes_between(ledger.numbers, every, ledger.carriers, carriers)
        listed_changes = changes or tuple(Change.of(one) for one in ledger.changes)
        files = self._lists(entries, listed_changes)
        entries["lists"] = Entry("", files)
        kept_lists = [
            path
            for path, one in files.items()
            if "lists" in ledger.entries and ledger.entries["lists"].files.get(path) == one
        ]
        self.built += [path for path in files if path not in kept_lists]
        self.kept += kept_lists
        ledger.entries, ledger.numbers, ledger.carriers = entries, every, carriers
        ledger.changes = [one.as_dict() for one in listed_changes]
        ledger.whole = self.whole
        ledger.write(self.folder)
        return Episode(
            self.folder, tuple(self.built), tuple(self.kept), tuple(removed), changes, notes,
            first=first,
        )  # fmt: skip

    def _lists(self, entries: Mapping[str, Entry], changes: Iterable[Change]) -> dict[str, Filed]:
        lines = ["# The pictures in words", ""]
        for entry in entries.values():
            lines += [f"- {path}: {one.alt}" for path, one in entry.files.items() if one.alt]
        texts = {
            _PICTURES: "\n".join([*lines, ""]),
            _CHANGES: changes_text(changes),
        }
        made = {}
        for path, text in texts.items():
            write_text(self.folder / path, text)
            made[path] = Filed(digest_of_bytes(text.encode(errors="replace")))
        return made


def _others(
    numbers: Mapping[str, Number], carriers: Mapping[str, Iterable[Shown]]
) -> dict[str, Number]:
    """Return the numbers that a file shows and nothing else of the episode knows."""
    from chalkwatt.quantities import glossary
    from chalkwatt.rendering.working import unit_for

    made: dict[str, Number] = {}
    for path, every in carriers.items():
        for one in every:
            entry = glossary().get(one.name)
            if entry is None or entry.constant is not None:
                continue
            if any(shows(one, name, number) for name, number in numbers.items()):
                continue
            count = sum(name.startswith(f"{one.name} in {path}") for name in made) + 1
            name = f"{one.name} in {path}" + (f", {count}" if count > 1 else "")
            words = f"{entry.words}, as in {path}" + (f", {count}" if count > 1 else "")
            label = unit_for(one.name, None)
            made[name] = Number(words, one.si, one.si, one.si, one.name, label)
    return made
