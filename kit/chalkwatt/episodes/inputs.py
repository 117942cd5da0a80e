"""What an episode is made from: the texts of the sheet and of the script, and the folder for it all."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from chalkwatt.errors import ChalkwattError, printable, told

if TYPE_CHECKING:
    from chalkwatt.evidence.sheets.sheet import Sheet

__all__ = ["folder_of", "sheet_text_of", "template_of"]

TEMPLATE = "episode.script.md"


def folder_of(given: str | Path) -> Path:
    """Return the folder; an empty name would be the one in which one happens to be."""
    if isinstance(given, str) and not given.strip():
        raise ChalkwattError(
            "The folder has no name.",
            value=given,
            advice='Name one; the one that you are in is ".".',
        )
    if "\x00" in str(given):
        raise ChalkwattError(f"{told(str(given))} cannot be the name of a folder.", value=given)
    return Path(given)


def sheet_text_of(sheet: Sheet | str | Path) -> tuple[str, Path | None]:
    """Return a sheet's text, and where it was read from."""
    if not isinstance(sheet, str | Path):
        return sheet.text, sheet.path
    path = Path(sheet)
    try:
        return path.read_bytes().decode("utf-8-sig").replace("\r\n", "\n"), path
    except (OSError, ValueError):
        from chalkwatt.evidence.sheets import Sheet  # noqa: PLC0415  SymPy is slow to import

        return Sheet.read(path).text, path  # says what is wrong


def template_of(script: str | Path | None, sheet: Path | None) -> str:
    """Return the template of the script: the one that is named, the one beside the sheet, or our own."""
    place = None if script is None else Path(script)
    if place is None and sheet is not None:
        beside = sheet.with_name(f"{sheet.stem}.script.md")
        place = beside if beside.is_file() else None
    if place is None:
        place = Path(__file__).with_name(TEMPLATE)
    try:
        return place.read_bytes().decode("utf-8-sig").replace("\r\n", "\n")
    except UnicodeDecodeError as cause:
        raise ChalkwattError(
            f"The script's template {printable(str(place))} is not UTF-8 text.", value=str(place)
        ) from cause
    except (OSError, ValueError) as cause:  # the latter for a name that no file can have
        raise ChalkwattError(
            f"The script's template {printable(str(place))} cannot be opened: "
            f"{getattr(cause, 'strerror', None) or cause}.",
            value=str(place),
        ) from cause
