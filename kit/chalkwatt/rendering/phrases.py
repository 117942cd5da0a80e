"""Wording: small pieces of English that several rooms need.

The name of a quantity is a count noun (*a mass*), a mass noun (*friction*), or a plural (*peak sun hours*),
and what stands around it has to agree: the article, the verb, the pronoun.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from chalkwatt.laws.quantities import look_up

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

__all__ = [
    "agreeing",
    "amount",
    "at",
    "holds_for",
    "listed",
    "no_part",
    "plural",
    "ranked",
    "several",
    "with_article",
]

# Nouns of names that take no article: nobody measures a friction, or two healths.
_MASS_NOUNS = frozenset({"drag", "friction", "gravity", "health", "heat", "pi"})
_NUMERALS = frozenset({"one", "ten"})  # they are their own article: one metre
_SUPERLATIVES = frozenset(
    {"greatest", "least", "highest", "lowest"}
)  # there is only one: the greatest
# What follows the noun of a name that is more than a noun: cells in series, cells per module.
_AFTER = re.compile(r" (?:in|per|of|without|from|to|over)(?: |$)")
_SINGULAR_ENDS = ("ss", "us", "is")  # mass, radius: no plurals
# Initials that are spelled begin as their first letter is called: an LFP cell, an NMC cell.
_SPELLED = frozenset({"AC", "LFP", "NMC"})
_CALLED_WITH_VOWEL = frozenset("AEFHILMNORSX")
_CONSONANT_U = ("us", "uni", "eu")  # usable and unit begin with the sound of y


def plural(words: str) -> bool:
    """Say whether the name of a quantity is a plural.

    Parameters
    ----------
    words : str
        The name as people say it.

    Returns
    -------
    bool

    Examples
    --------
    >>> from chalkwatt.rendering.phrases import plural
    >>> plural("peak sun hours"), plural("cells in series"), plural("mass"), plural("wheel radius")
    (True, True, False, False)
    """
    noun = _noun(words)
    return noun.endswith("s") and not noun.endswith(_SINGULAR_ENDS)


def agreeing(words: str, one: str, many: str) -> str:
    """Choose the word that agrees with the name of a quantity.

    Examples
    --------
    >>> from chalkwatt.rendering.phrases import agreeing
    >>> agreeing("range", "is", "are"), agreeing("full cycles", "is", "are")
    ('is', 'are')
    """
    return many if plural(words) else one


def with_article(words: str) -> str:
    """Put a or an before the name of a quantity, or what else its noun takes.

    Examples
    --------
    >>> from chalkwatt.rendering.phrases import with_article
    >>> with_article("auxiliary power"), with_article("usable fraction"), with_article("NMC cycle fade")
    ('an auxiliary power', 'a usable fraction', 'an NMC cycle fade')
    >>> with_article("friction"), with_article("full cycles"), with_article("greatest performance")
    ('friction', 'full cycles', 'the greatest performance')
    """
    first = words.split(" ", 1)[0]
    if first in _SUPERLATIVES:
        return f"the {words}"
    if first in _NUMERALS or plural(words) or _noun(words) in _MASS_NOUNS:
        return words
    return f"{_article(first)} {words}"


def holds_for(words: str, what: str) -> str:
    """Say that a quantity takes something, such as a drive, to mean anything.

    Examples
    --------
    >>> from chalkwatt.rendering.phrases import holds_for
    >>> holds_for("range", "a drive")
    'A range holds for a drive'
    """
    named = with_article(words)
    return f"{named[0].upper()}{named[1:]} {agreeing(words, 'holds', 'hold')} for {what}"


def ranked(words: str, *, high: bool) -> str:
    """Say that a quantity is high or low.

    Examples
    --------
    >>> from chalkwatt.rendering.phrases import ranked
    >>> ranked("drag area", high=False), ranked("peak sun hours", high=True), ranked("friction", high=False)
    ('a low drag area', 'many peak sun hours', 'low friction')
    """
    if plural(words):
        return f"{'many' if high else 'few'} {words}"
    rank = f"{'high' if high else 'low'} {words}"
    return rank if _noun(words) in _MASS_NOUNS else f"a {rank}"


def amount(name: str, said: str, before: str = "") -> str:
    """Say a quantity and how much of it there is.

    Parameters
    ----------
    name : str
        The quantity.
    said : str
        The value with its unit.
    before : str
        What stands before it in place of an article, such as "the" or "the assumed".

    Returns
    -------
    str

    Examples
    --------
    >>> from chalkwatt.rendering.phrases import amount
    >>> amount("auxiliary_power", "2 kW"), amount("friction", "0.9"), amount("peak_sun_hours", "5 h")
    ('an auxiliary power of 2 kW', 'friction of 0.9', 'peak sun hours of 5 h')
    >>> amount("cells_in_series", "96", "the"), amount("phases", "1"), amount("cell_count", "4416")
    ('the 96 cells in series', '1 phase', 'a cell count of 4416')
    >>> amount("state_of_charge_to", "80 %", "the"), amount("station_power_max", "150 kW")
    ('the final state of charge of 80 %', 'a maximum station power of 150 kW')
    """
    entry = look_up(name)
    words = entry.words
    if plural(words) and not entry.display[0]:
        if said == "1":
            noun = _noun(words)
            words = words.replace(noun, noun[:-1], 1)
        return f"{before} {said} {words}".strip()
    named = f"{before} {words}" if before else with_article(words)
    return f"{named} of {said}"


def at(name: str, said: str) -> str:
    """Say a condition that stands after "at": a speed says itself, and of others it is said what they are of.

    Two thousand metres may be a distance, and ten degrees those of the air, of a cell or of a cabin.

    Examples
    --------
    >>> from chalkwatt.rendering.phrases import at
    >>> at("speed", "90 km/h"), at("altitude", "2000 m"), at("air_temperature", "−10 °C")
    ('90 km/h', 'an altitude of 2000 m', 'an air temperature of −10 °C')
    """
    return said if name == "speed" else amount(name, said)


# What it takes for a value to count that everybody expects to.
_WHEN_HEARD = {
    "cell_temperature": (
        "What the cold takes is known from cold_energy_coefficient and the usable energy or fraction of "
        "warm cells, or from resistance_activation_energy and the resistance of warm cells."
    )
}


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
    >>> from chalkwatt.rendering.phrases import no_part
    >>> no_part({"grade": "10 %"})
    'The grade of 10 % plays no part in this: nothing here was reckoned with it.'
    >>> no_part({"peak_sun_hours": "5 h"})
    'The peak sun hours of 5 h play no part in this: nothing here was reckoned with them.'
    """
    told = " and ".join(amount(name, one, "the") for name, one in said.items())
    many = several(tuple(said))
    plays, it = ("play", "them") if many else ("plays", "it")
    help_on = "".join(f" {_WHEN_HEARD[name]}" for name in said if name in _WHEN_HEARD)
    return f"T{told[1:]} {plays} no part in this: nothing here was reckoned with {it}.{help_on}"


def several(names: Sequence[str]) -> bool:
    """Say whether quantities, as the subject of a sentence, take the plural.

    Examples
    --------
    >>> from chalkwatt.rendering.phrases import several
    >>> several(["mass"]), several(["mass", "range"]), several(["peak_sun_hours"])
    (False, True, True)
    """
    return len(names) != 1 or plural(look_up(names[0]).words)


def listed(words: Sequence[str]) -> str:
    """Join words as people do.

    Examples
    --------
    >>> from chalkwatt.rendering.phrases import listed
    >>> listed(["mass"]), listed(["mass", "range", "friction"])
    ('mass', 'mass, range and friction')
    """
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"


def _noun(words: str) -> str:
    """Return the noun that the rest of a name says more about."""
    return _AFTER.split(words, maxsplit=1)[0].rsplit(" ", 1)[-1]


def _article(first: str) -> str:
    if first in _SPELLED:
        return "an" if first[0] in _CALLED_WITH_VOWEL else "a"
    return "an" if first[0] in "aeiou" and not first.startswith(_CONSONANT_U) else "a"
