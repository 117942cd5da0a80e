"""Wording: small pieces of English that several rooms need."""

from __future__ import annotations

__all__ = ["with_article"]


def with_article(words: str) -> str:
    """Put a or an before the name of a quantity.

    Examples
    --------
    >>> from chalkwatt.wording import with_article
    >>> with_article("auxiliary power"), with_article("usable fraction"), with_article("mass")
    ('an auxiliary power', 'a usable fraction', 'a mass')
    """
    return f"{'an' if words[0] in 'aeio' else 'a'} {words}"
