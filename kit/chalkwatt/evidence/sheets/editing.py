"""Editing a sheet's text in place: comments, order and spacing stay."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import tomlkit
from tomlkit.exceptions import ConvertError, TOMLKitError

from chalkwatt.errors import ChalkwattError, SheetError
from chalkwatt.laws.quantities import look_up

if TYPE_CHECKING:
    from collections.abc import Mapping

__all__ = ["revised_text"]


def revised_text(text: str, name: str, fields: Mapping[str, Any]) -> str:
    r"""Return the text of a sheet with the fields of one value changed.

    Parameters
    ----------
    text : str
    name : str
        The quantity; its table is added at the end of the values if there is none.
    fields : mapping
        New fields; None takes one out.

    Returns
    -------
    str

    Raises
    ------
    SheetError, ChalkwattError

    Examples
    --------
    >>> from chalkwatt.evidence.sheets.editing import revised_text
    >>> print(revised_text('[values.mass] # weighed\nvalue = "690 kg" # wet', "mass", {"value": "700 kg"}))
    [values.mass] # weighed
    value = "700 kg" # wet
    """
    look_up(name)
    try:
        document = tomlkit.parse(text)
        values = document.get("values")
        if values is None:
            values = tomlkit.table(is_super_table=True)
            document["values"] = values
        if name not in values:
            values[name] = tomlkit.table()
        table = values[name]
        for key, value in fields.items():
            if value is None:
                table.pop(key, None)
            else:
                table[key] = list(value) if isinstance(value, tuple) else value
        return tomlkit.dumps(document)
    except (ConvertError, TypeError, ValueError) as cause:
        raise ChalkwattError(
            f"{name} cannot be written to a sheet: {cause}.",
            quantity=name,
            advice="Give text with a unit, a plain number, or a list of two of them.",
        ) from cause
    except TOMLKitError as cause:
        raise SheetError(
            f"The sheet cannot be edited: {cause}.", line=getattr(cause, "line", 1)
        ) from cause
