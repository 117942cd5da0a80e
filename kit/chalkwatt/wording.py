"""Wording: small pieces of English that several rooms need."""

from __future__ import annotations

from typing import TYPE_CHECKING

from chalkwatt.quantities import look_up

if TYPE_CHECKING:
    from collections.abc import Mapping

__all__ = ["no_part", "with_article"]


def no_part(said: Mapping[str, str]) -> str:
    """Say of given values that nothing was reckoned with them.

    Parameters
    ----------
    said : mapping of str to str
        The values in words, by the names of their quantities.

    Returns
    -------
    str

    Examples
    --------
    >>> from chalkwatt.wording import no_part
    >>> no_part({"grade": "10 %"})
    'The grade of 10 % plays no part in this: nothing here was reckoned with it.'
    """
    told = " and ".join(f"the {look_up(name).words} of {one}" for name, one in said.items())
    plays, it = ("plays", "it") if len(said) == 1 else ("play", "them")
    return f"T{told[1:]} {plays} no part in this: nothing here was reckoned with {it}."


def with_article(words: str) -> str:
    """Put a or an before the name of a quantity.

    Examples
    --------
    >>> from chalkwatt.wording import with_article
    >>> with_article("auxiliary power"), with_article("usable fraction"), with_article("mass")
    ('an auxiliary power', 'a usable fraction', 'a mass')
    """
    return f"{'an' if words[0] in 'aeio' else 'a'} {words}"
