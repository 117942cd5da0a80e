"""One run at a time in a folder: a second one waits until the first is done.

The lock lies with the temporary files of whoever runs it, so that the folder holds nothing but what is
made, and the system takes it back from a run that is killed.
"""

from __future__ import annotations

import os
import tempfile
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

from chalkwatt.episodes.ledger import digest
from chalkwatt.errors import ChalkwattError

if TYPE_CHECKING:
    from collections.abc import Iterator

__all__ = ["alone_in"]

_LONGEST_WAIT = 600.0  # seconds


@contextmanager
def alone_in(folder: Path, *, wait: float = _LONGEST_WAIT) -> Iterator[None]:
    """Keep other runs out of a folder.

    Parameters
    ----------
    folder : Path
        It need not be there yet.
    wait : float
        Seconds after which a run that waits for another one gives up.

    Raises
    ------
    ChalkwattError
        If another run is still at work then.

    Examples
    --------
    >>> from pathlib import Path
    >>> from chalkwatt.episodes.folder_lock import alone_in
    >>> with alone_in(Path("out")):
    ...     print("nobody else")
    nobody else
    """
    from filelock import FileLock, Timeout  # noqa: PLC0415  filelock is for who writes

    name = digest(os.path.realpath(folder))  # links in a circle, too
    lock = FileLock(Path(tempfile.gettempdir()) / f"chalkwatt-{name}.lock", timeout=wait)
    try:
        lock.acquire()
    except Timeout:
        raise ChalkwattError(
            f"Another run has been at work in {folder} for {wait:.0f} seconds.",
            value=str(folder),
            advice="Let it end, or stop it; or choose another folder.",
        ) from None
    except OSError:
        # Somebody else's, or nowhere to put it: without a lock the ledger still tells whose a file is.
        yield
        return
    try:
        yield
    finally:
        lock.release()
