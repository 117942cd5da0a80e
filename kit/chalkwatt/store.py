"""Files that are either the old ones or the new ones, never half.

A file is written beside its destination and then takes its name in one step of the file system. A
process that is killed in between leaves the old file, and a leftover that the next write removes.
"""

from __future__ import annotations

import os
import re
import secrets
import shutil
from contextlib import suppress
from pathlib import Path
from typing import Any, TextIO

from chalkwatt.errors import ChalkwattError

__all__ = ["Patient", "is_read_only", "write_bytes", "write_text"]

_LEFTOVER = ".part"
_WRITER = re.compile(r"\.(?P<process>\d+)(?:\.[0-9a-f]{8})?\.part$")


def write_bytes(path: str | Path, data: bytes) -> Path:
    """Write a file whole or not at all.

    A file that holds these bytes already is left alone, so that its time of change tells the truth. Who may
    read and write it stays as it was.

    Parameters
    ----------
    path : str or Path
        Folders on the way are made.
    data : bytes

    Returns
    -------
    Path
        Where the file is.

    Raises
    ------
    ChalkwattError
        If the place cannot be written to, or a file there is read-only.

    Examples
    --------
    >>> import tempfile
    >>> from pathlib import Path
    >>> from chalkwatt.store import write_bytes
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     write_bytes(Path(folder) / "new" / "card.svg", b"<svg/>").read_bytes()
    b'<svg/>'
    """
    place = Path(path)
    try:
        if place.is_file() and place.read_bytes() == data:
            return place
        if is_read_only(place):
            # A name may be taken from a file that may not be written; its owner meant it to stay.
            raise ChalkwattError(
                f"{place} is read-only, so it is left as it is.",
                value=str(place),
                advice="Allow it to be written, or choose another name.",
            )
        place.parent.mkdir(parents=True, exist_ok=True)
        _sweep(place)
        # Neither another process nor another thread writes beside the file under the same name.
        writer = f"{os.getpid()}.{secrets.token_hex(4)}"
        beside = place.with_name(f".{place.name}.{writer}{_LEFTOVER}")
        try:
            with beside.open("wb") as file:
                file.write(data)
                file.flush()
                os.fsync(file.fileno())
            if place.is_file():
                shutil.copymode(place, beside)
            beside.replace(place)
        finally:
            beside.unlink(missing_ok=True)
    except (OSError, ValueError) as cause:  # the latter for a name that no file can have
        raise ChalkwattError(
            f"{place} cannot be written: {getattr(cause, 'strerror', None) or cause}.",
            value=str(place),
            advice="Choose a folder that you may write to, with room left on its disk.",
        ) from cause
    return place


def write_text(path: str | Path, text: str) -> Path:
    """Write text as UTF-8, whole or not at all; see :func:`write_bytes`.

    Half a surrogate pair, which is no character, becomes a question mark.
    """
    return write_bytes(path, text.encode(errors="replace"))


def is_read_only(place: Path) -> bool:
    """Say whether a file is there that nobody may write to, whoever asks.

    Parameters
    ----------
    place : Path

    Returns
    -------
    bool
        By what the file says of itself: an administrator could write to it all the same.

    Examples
    --------
    >>> from pathlib import Path
    >>> from chalkwatt.store import is_read_only
    >>> is_read_only(Path("nowhere"))
    False
    """
    return place.is_file() and not place.stat().st_mode & 0o222


class Patient:
    """A stream to which work goes on telling its progress when nobody listens any more.

    Parameters
    ----------
    stream : text stream
    """

    def __init__(self, stream: TextIO) -> None:
        self._stream = stream

    def __getattr__(self, name: str) -> Any:  # noqa: ANN401  whatever a stream has
        return getattr(self._stream, name)

    def write(self, text: str) -> int:
        """Write, if that can be done."""
        try:
            return self._stream.write(text)
        except OSError:
            return len(text)

    def flush(self) -> None:
        """Flush, if that can be done."""
        with suppress(OSError):
            self._stream.flush()


def _sweep(place: Path) -> None:
    """Remove what killed writers of the same file have left behind."""
    for leftover in place.parent.glob(f".{_literal(place.name)}.*{_LEFTOVER}"):
        found = _WRITER.fullmatch(leftover.name, len(place.name) + 1)
        process = 0 if found is None else int(found["process"][:9])
        if process and process != os.getpid() and not _alive(process):
            leftover.unlink(missing_ok=True)


def _literal(name: str) -> str:
    """Escape what a search pattern would read as a wildcard."""
    return "".join(f"[{one}]" if one in "*?[" else one for one in name)


def _alive(process: int) -> bool:
    try:
        os.kill(process, 0)
    except ProcessLookupError:
        return False
    except OSError:
        return True  # it runs, and belongs to somebody else
    return True
