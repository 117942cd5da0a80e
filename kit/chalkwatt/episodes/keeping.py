"""Whose a file is: the episode's own are written anew, everybody else's stay.

=============================  ====================================================================
a file of the episode ...       what happens when it is made again
=============================  ====================================================================
as it was written               the new one takes its place
a script with lines by hand     both are merged, where they do not touch the same lines
otherwise changed, read-only    it stays; the episode's is put beside it, as ``page.new.html``
not in the ledger at all        nothing is made, and the error names it
with ``force``, the last two    the episode's takes its place, and it becomes ``page.mine.html``
=============================  ====================================================================

What is about to be written is noted in a journal first, so that a killed run knows its own again.
"""

from __future__ import annotations

import os
import re
from dataclasses import replace
from typing import TYPE_CHECKING

from chalkwatt.episodes.ledger import Filed, Ledger, digest_of, digest_of_bytes
from chalkwatt.episodes.three_way import merged, moved_lines
from chalkwatt.errors import ChalkwattError, printable
from chalkwatt.store import is_read_only, write_bytes

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping
    from pathlib import Path

    from chalkwatt.episodes.recipe import Made

__all__ = ["Keeper", "beside"]

_JOURNAL = ".episode.part"
_MERGED = "script.md"  # made of lines, and meant to be written on
_UNREADABLE = "unreadable"
_LISTED = 6  # names in an error
# Every path that an episode can make; nothing else is ever removed.
_MAKES = re.compile(
    r"(?:script|changes|pictures)(?:\.new)?\.md|page(?:\.new)?\.html"
    r"|worksheets/[a-z_]+-\d+(?:-key)?(?:\.new)?\.html"
    r"|cards/[a-z0-9_]+(?:\.new)?\.(?:png|svg)"
    r"|build/[a-z0-9_]+/\d+-[a-z0-9_]+-\d(?:\.new)?\.(?:png|svg)"
    r"|figures/(?:range-by-speed|losses)(?:\.new)?\.(?:png|svg)"
    r"|claims/\d+-[a-z0-9_]+(?:-(?:spread|values)(?:\.new)?\.(?:png|svg)|(?:\.new)?\.html)",
    re.ASCII,
)


def beside(path: str, word: str) -> str:
    """Name a file beside another.

    Examples
    --------
    >>> from chalkwatt.episodes.keeping import beside
    >>> beside("claims/1-range.html", "new")
    'claims/1-range.new.html'
    """
    stem, _, ending = path.rpartition(".")
    return f"{stem}.{word}.{ending}"


class Keeper:
    """The files of an episode's folder: writes and removes, and nobody else's are lost.

    Parameters
    ----------
    folder : Path
    ledger : Ledger
    force : bool
        Whether the episode's files take the place of others, which are then kept under another name.

    Attributes
    ----------
    told : dict of str to str
        For each file that is not the episode's own, or not only, what was done about it.
    """

    def __init__(self, folder: Path, ledger: Ledger, *, force: bool) -> None:
        self.folder, self.ledger, self.force = folder, ledger, force
        self.told: dict[str, str] = {}
        self._begun = self._journal()

    def place(self, path: str) -> Path:
        """Return where a path of the episode is; an error if a link leads it out of the folder."""
        place = self.folder / path
        try:
            root, parent = self.folder.resolve(), place.parent.resolve()
        except (OSError, RuntimeError) as cause:  # links in a circle
            raise ChalkwattError(
                f"{place.parent} cannot be found: its links go in a circle.",
                value=str(place.parent),
            ) from cause
        if parent != root and root not in parent.parents:
            raise ChalkwattError(
                f"{place.parent} leads out of the folder, to {parent}; nothing is written there.",
                value=str(place.parent),
                advice="Take the link away, or choose another folder.",
            )
        return place

    def strange(self, path: str) -> bool:
        """Say whether something lies there that no episode is known to have made."""
        place = self.place(path)
        if not os.path.lexists(place) or self.ledger.knows(path):
            return False
        content = _content(place)
        if (path, content) in self._begun:
            return False
        # Another run of the same episode may be at work.
        self._begun |= self._journal()
        now = Ledger.read(self.folder)
        return (path, content) not in self._begun and not now.knows(path)

    def refuse(self, paths: Iterable[str]) -> ChalkwattError:
        """Return the error for files in the way that are not the episode's."""
        listed = sorted(paths)
        names = ", ".join(listed[:_LISTED])
        more = f" and {len(listed) - _LISTED} more" if len(listed) > _LISTED else ""
        why = (
            "what its episode.json says makes no sense"
            if self.ledger.garbled
            else f"no earlier episode there made {'it' if len(listed) == 1 else 'them'}"
        )
        return ChalkwattError(
            f"{names}{more} in {printable(str(self.folder))} would be written over, and {why}. "
            "Nothing was made.",
            value=tuple(listed),
            advice="Choose another folder, or move away what is yours; with force (--force) it is kept "
            f"beside the new one, as {beside(listed[0], 'mine')}.",
        )

    def _refuse_beside(self, path: str, name: str) -> ChalkwattError:
        """Return the error for a file that lies where the episode's own would lie beside an author's."""
        why = (
            "it was changed since an episode wrote it"
            if self.ledger.knows(name)
            else "no episode is known to have written it"
        )
        return ChalkwattError(
            f"{path} in {printable(str(self.folder))} was changed by hand and is kept, so the episode's own "
            f"would be put beside it as {name}; but {why}. It is left as it is, and so is {path}. The run "
            "ended there: files that were made before stay, and the same command makes the rest.",
            value=(name,),
            advice=f"Move {name} away, or delete it once you have taken from it what you want.",
        )

    def put(self, made: Made) -> tuple[str, Filed]:
        """Write a file, or what stands for it beside somebody else's.

        Parameters
        ----------
        made : Made

        Returns
        -------
        tuple of str and Filed
            Where it is now, and its entry for the ledger.
        """
        place = self.place(made.path)
        filed = Filed(digest_of_bytes(made.data), made.alt, made.shows)
        current = _content(place)
        if made.path == _MERGED and current and current != _UNREADABLE:
            return self._merge(made, place.read_bytes(), filed)
        if made.path == _MERGED:
            self._remember(made.path, made.data.decode())
        if (
            not current
            or current == filed.digest
            or (self._own(made.path, current) and not is_read_only(place))
        ):
            return self._write(made.path, made.data, filed)
        return self._aside(made, filed)

    def _own(self, path: str, content: str) -> bool:
        """Say whether a file is as an episode wrote it, and nobody's else."""
        if path in self.ledger.kept:
            return False
        return (
            self.ledger.wrote(path, content)
            or (path, content) in self._begun
            or (path, content) in self._journal()
            or Ledger.read(self.folder).wrote(path, content)
        )

    def _write(
        self, path: str, data: bytes, filed: Filed, *, noted: bool = True
    ) -> tuple[str, Filed]:
        if path in self.ledger.kept:
            self.ledger.kept.remove(path)
        if noted:
            self._note(path, filed.digest)
        write_bytes(self.place(path), data)
        return path, filed

    def _aside(self, made: Made, filed: Filed) -> tuple[str, Filed]:
        """Keep what somebody else wrote, and put the episode's beside it; or the other way round."""
        path = made.path
        if self.force:
            name = self._free(path)
            place = self.place(path)
            try:
                place.rename(self.folder / name)
            except OSError as cause:
                raise ChalkwattError(
                    f"{place} cannot be kept as {name}: {cause.strerror}.", value=str(place)
                ) from cause
            self.told[path] = f"{path} was not as the episode made it; it is kept as {name}."
            return self._write(path, made.data, filed)
        name = beside(path, "new")
        self.told[path] = self.about(path)
        if path not in self.ledger.kept:
            self.ledger.kept.append(path)
        there = _content(self.place(name))
        if there and there != filed.digest and not self._own(name, there):
            raise self._refuse_beside(path, name)
        self._note(name, filed.digest)
        write_bytes(self.place(name), made.data)
        return name, filed

    def about(self, path: str) -> str:
        """Say that a file is somebody's own."""
        why = "is read-only" if is_read_only(self.place(path)) else "was changed by hand"
        return (
            f"{path} {why} and is kept; the episode's own is {beside(path, 'new')}. "
            "Take from it what you want; delete yours to have it in its place."
        )

    def _free(self, path: str) -> str:
        name, count = beside(path, "mine"), 1
        while os.path.lexists(self.place(name)):
            count += 1
            name = beside(path, f"mine-{count}")
        return name

    def _merge(self, made: Made, current: bytes, filed: Filed) -> tuple[str, Filed]:
        """Merge what somebody wrote into a script with what is new in it."""
        path, new = made.path, made.data.decode()
        content = digest_of_bytes(current)
        first, last = self.ledger.texts.get(path, ["", ""])
        # As long as the one put beside it lies there, its changes are not taken over yet.
        waits = path in self.ledger.kept and self.place(beside(path, "new")).exists()
        base = first if waits else last
        mine = _text(current)
        if (path, content) in self._begun or (path, content) in self._journal():
            base = mine or ""  # as a run wrote it that could not say so any more
        elif path not in self.ledger.texts:
            if not self._own(path, content) and content != filed.digest:
                put = self._aside(made, filed)
                self._remember(path, new)
                return put
            base = mine or ""
        both = None if mine is None else merged(base, mine, new)
        if both != mine and is_read_only(self.place(path)):
            both = None
        if both is None or (self.force and both != new):
            # Noted only once it lies there: what never did, nobody can have taken over.
            put = self._aside(made, filed)
            self.ledger.texts[path] = [new if self.force else base, new]
            return put
        self._remember(path, new)
        if both == new:
            return self._write(path, made.data, filed)
        self.told[path] = (
            f"{path} has lines that were changed by hand; they are kept in the new one."
        )
        data = both.replace("\n", "\r\n").encode() if b"\r\n" in current else both.encode()
        moved = moved_lines(new, both)
        shows = tuple(replace(one, line=moved[one.line]) for one in made.shows if one.line in moved)
        # Not noted in the journal: a run that is killed here leaves a file that is also somebody's own.
        return self._write(path, data, Filed(digest_of_bytes(data), made.alt, shows), noted=False)

    def _remember(self, path: str, text: str) -> None:
        self.ledger.texts[path] = [text, text]

    def remove(self, files: Mapping[str, Filed]) -> list[str]:
        """Remove files that nothing makes any more: those that an episode makes, as it wrote them."""
        removed = []
        for path, filed in files.items():
            place = self.folder / path
            if not _MAKES.fullmatch(path) or place.is_symlink():
                continue
            try:
                self.place(path)
                if digest_of(place) != filed.digest or is_read_only(place):
                    continue
                place.unlink()
                if place.parent != self.folder and not any(place.parent.iterdir()):
                    place.parent.rmdir()
            except (OSError, ChalkwattError):
                continue  # it stays, and is nobody's
            removed.append(path)
        return removed

    def _journal(self) -> set[tuple[str, str]]:
        """Read what a run that was killed, or another one, was about to write."""
        try:
            lines = (self.folder / _JOURNAL).read_text(encoding="utf-8").splitlines()
        except (OSError, ValueError):
            return set()
        pairs = (line.partition(" ")[::2] for line in lines)
        return {(path, content) for content, path in pairs if _MAKES.fullmatch(path)}

    def _note(self, path: str, content: str) -> None:
        self._begun.add((path, content))
        try:
            self.folder.mkdir(parents=True, exist_ok=True)
            with (self.folder / _JOURNAL).open("a", encoding="utf-8") as journal:
                journal.write(f"{content} {path}\n")
        except OSError as cause:
            raise ChalkwattError(
                f"{self.folder} cannot be written to: {cause.strerror}.",
                value=str(self.folder),
                advice="Choose a folder that you may write to, with room left on its disk.",
            ) from cause

    def close(self) -> None:
        """Take the journal away: the ledger knows everything now."""
        try:
            (self.folder / _JOURNAL).unlink(missing_ok=True)
        except OSError:
            return  # the next run will


def _content(place: Path) -> str:
    """Return the digest of a file; empty if nothing is there, and no digest if it cannot be read."""
    return digest_of(place) or (_UNREADABLE if os.path.lexists(place) else "")


def _text(data: bytes) -> str | None:
    try:
        return data.decode("utf-8-sig").replace("\r\n", "\n")
    except UnicodeDecodeError:
        return None
