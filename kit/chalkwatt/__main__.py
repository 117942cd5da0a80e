"""The command line: ``python -m chalkwatt episode`` and ``python -m chalkwatt glossary``."""

from __future__ import annotations

import argparse
import os
import sys
from typing import TYPE_CHECKING, TextIO

from chalkwatt.errors import ChalkwattError, printable

if TYPE_CHECKING:
    from collections.abc import Sequence

__all__ = ["main"]

_WRONG = 2
_INTERRUPTED = 130  # what a shell expects of a program that was stopped by hand


def main(arguments: Sequence[str] | None = None) -> int:
    """Do what the command line says.

    Parameters
    ----------
    arguments : sequence of str, optional
        Those of the process if left out.

    Returns
    -------
    int
        0, or 2 if something was wrong with what was given; the reason is on standard error.
    """
    given = _parser().parse_args(arguments)
    try:
        told = _episode(given) if given.command == "episode" else _glossary(given)
    except ChalkwattError as cause:
        _say(f"chalkwatt: {' '.join(str(cause).split())}", sys.stderr)
        return _WRONG
    except KeyboardInterrupt:
        _say("chalkwatt: stopped; the same command makes the rest.", sys.stderr)
        return _INTERRUPTED
    return _say(told, sys.stdout)


def _say(text: str, stream: TextIO) -> int:
    """Print to a terminal, a file or a pipe, whatever its signs and whether or not it still listens."""
    lines = (printable(line, len(line)) for line in text.split("\n"))
    shown = "\n".join(lines).encode(stream.encoding or "utf-8", "backslashreplace")
    try:
        print(shown.decode(stream.encoding or "utf-8"), file=stream, flush=True)
    except BrokenPipeError:
        _leave(stream)  # nobody listens any more; what was to be done is done
    except OSError as cause:
        _leave(stream)
        if stream is sys.stdout:
            said = f"chalkwatt: done, but it cannot be told: {cause.strerror}."
            _say(said, sys.stderr)
        return _WRONG
    return 0


def _leave(stream: TextIO) -> None:
    """Point a stream to nowhere, so that Python does not stumble over it once more when it ends."""
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, stream.fileno())
    os.close(nowhere)


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="python -m chalkwatt", description="Equations of electric vehicles, ready to be shown."
    )
    commands = parser.add_subparsers(dest="command", required=True, metavar="command")
    episode = commands.add_parser(
        "episode",
        help="make cards, figures, script, pages and worksheets from a sheet",
        description="Make everything that comes of a sheet, and say what changed since last time. "
        "What is there and still right is kept. Nothing of yours is lost: lines that you write into "
        "script.md stay when it is made anew; of every other file that you changed, yours stays and "
        "the new one is put beside it, as page.new.html. If a file is in the way that no episode "
        "made, nothing is made.",
    )
    episode.add_argument("sheet", help="a vehicle's sheet, a TOML file")
    episode.add_argument("-o", "--output", required=True, metavar="folder", help="where to put it")
    episode.add_argument(
        "--script",
        metavar="file",
        help="the script's template; <sheet>.script.md beside the sheet if that is there",
    )
    episode.add_argument(
        "--size",
        default="landscape",
        help='of pictures: landscape, portrait, square, double, or pixels such as "1280x720"',
    )
    episode.add_argument("--theme", default="light", help="light or dark")
    episode.add_argument("--ground", default="clear", help="clear (transparent) or paper")
    episode.add_argument("--kind", default="png", help="png or svg")
    episode.add_argument(
        "--seed", type=int, default=1, metavar="number", help="another one, other worksheets"
    )
    episode.add_argument(
        "--units", help="of the audience: metric, us or uk; those of the sheet if left out"
    )
    episode.add_argument(
        "--force",
        action="store_true",
        help="put the new files in the place of those that you changed or made; each of yours is "
        "kept under another name, as script.mine.md",
    )
    episode.add_argument(
        "--quiet", action="store_true", help="show no progress, nor what the sheet leaves open"
    )
    glossary = commands.add_parser("glossary", help="write the glossary of quantities as a page")
    glossary.add_argument("-o", "--output", required=True, metavar="file", help="where to put it")
    return parser


def _episode(given: argparse.Namespace) -> str:
    from chalkwatt.episodes.episode import episode

    made = episode(
        given.sheet,
        given.output,
        script=given.script,
        size=given.size,
        theme=given.theme,
        ground=given.ground,
        kind=given.kind,
        seed=given.seed,
        units=given.units,
        force=given.force,
        progress=not given.quiet,
    )
    return made.brief if given.quiet else made.text


def _glossary(given: argparse.Namespace) -> str:
    from chalkwatt.pages.glossary_page import glossary_page
    from chalkwatt.store import write_text

    return f"{write_text(given.output, glossary_page())} is written."


if __name__ == "__main__":
    sys.exit(main())
