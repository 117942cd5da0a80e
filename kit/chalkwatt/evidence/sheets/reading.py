"""Reading a sheet: text in, checked facts out, every complaint with its file, line and key.

The text is data. It is read by the standard TOML reader; numbers and units go through
:mod:`chalkwatt.wording.units`, which knows a grammar and evaluates nothing.
"""

from __future__ import annotations

import difflib
import re
import tomllib
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from chalkwatt.errors import ChalkwattError, NameUnknownError, SheetError, told
from chalkwatt.evidence.claims.claims import SENSES, Claim
from chalkwatt.evidence.sheets.facts import ORIGINS, SHAPES, Fact, make_fact
from chalkwatt.evidence.sheets.lines import LineIndex, TooDeepError
from chalkwatt.laws.quantities import glossary, look_up, unknown
from chalkwatt.wording.audience import SYSTEMS, Audience, system_of

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

__all__ = ["Content", "read_text"]

_TOP = ("vehicle", "audience", "values", "claims")
_AUDIENCE = ("units",)
_VEHICLE = {"name": str, "invented": bool, "story": str}
_VALUE = ("value", "origin", "range", "plus_minus", "shape", "note", "seen")
_CLAIM = ("quantity", "value", "said_by", "conditions", "sense", "variant", "seen", "within")
_PLACE = re.compile(r"\(at line (\d+)")
_LONGEST = 100_000  # characters; a person writes a sheet, and hardly fills a tenth of it
_LONGEST_VALUE = 100


@dataclass(frozen=True)
class Content:
    """What a sheet holds."""

    name: str
    story: str
    invented: bool
    facts: dict[str, Fact]
    claims: tuple[Claim, ...]
    audience: Audience


def read_text(text: str, path: str = "") -> Content:
    """Read the text of a sheet.

    Parameters
    ----------
    text : str
        TOML.
    path : str
        Named in errors.

    Returns
    -------
    Content

    Raises
    ------
    SheetError
        With path, line and key.
    """
    return _Reader(text, path).content()


class _Reader:
    def __init__(self, text: str, path: str) -> None:
        self.path = path
        if len(text) > _LONGEST:
            raise SheetError(
                f"The sheet has {len(text)} characters; {_LONGEST} is the most.", path=path
            )
        text = text.removeprefix("\ufeff")  # the mark that some editors put before UTF-8
        try:
            self.lines = LineIndex(text)
        except TooDeepError as cause:
            raise SheetError(
                f"{cause}: no key of a sheet has.", path=path, line=cause.line
            ) from cause
        try:
            self.data = tomllib.loads(text)
        except tomllib.TOMLDecodeError as cause:
            raise SheetError(
                f"This is not TOML: {_plain(str(cause))}.", path=path, line=_line_of(cause, text)
            ) from cause
        except (RecursionError, ValueError, OverflowError) as cause:
            # Brackets nested a thousand deep; a date such as the 99th of May; a number of 5000 digits.
            raise SheetError(f"This cannot be read as TOML: {cause}.", path=path) from cause

    def wrong(
        self, message: str, *place: str | int, nearest: Iterable[str] = (), **facts: object
    ) -> SheetError:
        return SheetError(
            message,
            path=self.path,
            line=self.lines.of(*place),
            key=".".join(str(one) for one in place),
            nearest=tuple(nearest),
            **facts,
        )

    def content(self) -> Content:
        self.known(self.data, _TOP)
        vehicle = self.table(self.data, "vehicle")
        self.known(vehicle, _VEHICLE, "vehicle")
        for key, kind in _VEHICLE.items():
            if key in vehicle and not isinstance(vehicle[key], kind):
                said = "text" if kind is str else "true or false"
                raise self.wrong(f"{key} must be {said}.", "vehicle", key, value=vehicle[key])
        if not vehicle.get("name", "").strip():
            raise self.wrong(
                'The vehicle has no name. Write name = "…" under [vehicle].', "vehicle"
            )
        values = self.table(self.data, "values")
        facts = {name: self.fact(name, values[name]) for name in values}
        claims = tuple(self.claims())
        return Content(
            vehicle["name"],
            " ".join(vehicle.get("story", "").split()),
            vehicle.get("invented", False),
            facts,
            claims,
            self.audience(facts, claims),
        )

    def audience(self, facts: Mapping[str, Fact], claims: Iterable[Claim]) -> Audience:
        """Read for whom the sheet is, or take it from the units in which most of it is written."""
        told = self.table(self.data, "audience")
        self.known(told, _AUDIENCE, "audience")
        if "units" in told:
            return Audience(self.choice(told["units"], SYSTEMS, "audience", "units"))
        written = [(name, fact.label) for name, fact in facts.items()]
        written += [(one.quantity, one.label) for one in claims]
        pairs = [(label, look_up(name).offered) for name, label in written if label]
        return Audience(system_of(pairs))

    def table(self, owner: Mapping[str, Any], key: str) -> dict[str, Any]:
        made = owner.get(key, {})
        if not isinstance(made, dict):
            raise self.wrong(
                f"{key} must be a table. Write [{key}] on a line of its own.", key, value=made
            )
        return made

    def known(self, given: Mapping[str, Any], allowed: Iterable[str], *place: str | int) -> None:
        names = list(allowed)
        for key in given:
            if key not in names:
                nearest = difflib.get_close_matches(key[:_LONGEST_VALUE], names, n=1)
                hint = ""
                if "conditions" in names and key in glossary():
                    nearest = []
                    hint = f' A condition stands in braces: conditions = {{ {key} = "…" }}.'
                raise self.wrong(
                    f"There is no key {told(key)} here; the keys are {', '.join(names)}.{hint}",
                    *place,
                    key,
                    nearest=nearest,
                )

    def quantity(self, name: str, *place: str | int) -> None:
        every = glossary()
        if name not in every:
            why, nearest = unknown(name, every)
            raise self.wrong(
                f"There is no quantity called {told(name)}.{why}",
                *place,
                nearest=nearest,
                quantity=name,
            )

    def choice(self, given: object, allowed: tuple[str, ...], *place: str | int) -> str:
        if isinstance(given, str) and given in allowed:
            return given
        text = given[:_LONGEST_VALUE] if isinstance(given, str) else ""
        nearest = difflib.get_close_matches(text, allowed, n=1)
        raise self.wrong(
            f"{told(given)} is none of {', '.join(allowed)}.", *place, nearest=nearest, value=given
        )

    def words(self, entry: Mapping[str, Any], key: str, *place: str | int) -> str:
        given = entry.get(key, "")
        if not isinstance(given, str):
            raise self.wrong(f"{key} must be text.", *place, key, value=given)
        return given

    def fact(self, name: str, entry: object) -> Fact:
        place = ("values", name)
        self.quantity(name, *place)
        if not isinstance(entry, dict):
            raise self.wrong(
                f"Write [values.{name}] with value and origin under it.", *place, value=entry
            )
        self.known(entry, _VALUE, *place)
        if "value" not in entry:
            raise self.wrong("There is no value.", *place)
        if "origin" not in entry:
            raise self.wrong(
                f"There is no origin. Write origin = one of {', '.join(ORIGINS)}.", *place
            )
        if "range" in entry and "plus_minus" in entry:
            raise self.wrong("Give range or plus_minus, not both.", *place, "plus_minus")
        origin = self.choice(entry["origin"], ORIGINS, *place, "origin")
        shape = self.choice(entry["shape"], SHAPES, *place, "shape") if "shape" in entry else ""
        for key in ("value", "range", "plus_minus"):
            self.short(entry.get(key), *place, key)
        key = "range" if "range" in entry else "plus_minus" if "plus_minus" in entry else "value"
        self.checked(name, entry["value"], *place, "value")
        try:
            return make_fact(
                name,
                entry["value"],
                span=entry.get("range"),
                plus_minus=entry.get("plus_minus"),
                origin=origin,
                shape=shape,
                note=self.words(entry, "note", *place),
                seen=self.words(entry, "seen", *place),
                line=self.lines.of(*place),
            )
        except SheetError:
            raise
        except ChalkwattError as cause:
            raise self.wrong(str(cause), *place, key, **_facts(cause)) from cause

    def short(self, given: object, *place: str | int) -> None:
        for one in given if isinstance(given, list) else [given]:
            if isinstance(one, str) and len(one) > _LONGEST_VALUE:
                raise self.wrong(f"This is longer than {_LONGEST_VALUE} characters.", *place)

    def checked(self, name: str, value: Any, *place: str | int) -> Fact:  # noqa: ANN401  whatever a sheet holds
        self.short(value, *place)
        try:
            return make_fact(name, value)
        except ChalkwattError as cause:
            raise self.wrong(str(cause), *place, **_facts(cause)) from cause

    def claims(self) -> Iterable[Claim]:
        given = self.data.get("claims", [])
        if not isinstance(given, list):
            raise self.wrong(
                "Write every claim under a line [[claims]], with two brackets.", "claims"
            )
        for number, entry in enumerate(given):
            place = ("claims", number)
            if not isinstance(entry, dict):
                raise self.wrong(
                    "Write every claim under a line [[claims]], with two brackets.", *place
                )
            yield self.claim(entry, *place)

    def claim(self, entry: Mapping[str, Any], *place: str | int) -> Claim:
        self.known(entry, _CLAIM, *place)
        for key in ("quantity", "value"):
            if key not in entry:
                raise self.wrong(f"The claim has no {key}.", *place)
        name = self.words(entry, "quantity", *place)
        self.quantity(name, *place, "quantity")
        self.checked(name, entry["value"], *place, "value")
        conditions = self.pairs(entry, "conditions", *place)
        if name in conditions:
            raise self.wrong(f"{name} is both claimed and a condition.", *place, "conditions", name)
        try:
            return Claim(
                name,
                entry["value"],
                said_by=self.words(entry, "said_by", *place) or "someone",
                seen=self.words(entry, "seen", *place),
                variant=self.words(entry, "variant", *place),
                sense=self.choice(entry["sense"], SENSES, *place, "sense")
                if "sense" in entry
                else None,
                within=self.pairs(entry, "within", *place),
                line=self.lines.of(*place),
                **conditions,
            )
        except NameUnknownError as cause:
            raise self.wrong(str(cause), *place, **_facts(cause)) from cause

    def pairs(self, entry: Mapping[str, Any], key: str, *place: str | int) -> dict[str, Any]:
        made = entry.get(key, {})
        if not isinstance(made, dict):
            raise self.wrong(f'Write {key} = {{ speed = "90 km/h" }}.', *place, key, value=made)
        for name, value in made.items():
            self.quantity(name, *place, key, name)
            self.checked(name, value, *place, key, name)
        return made


def _facts(cause: ChalkwattError) -> dict[str, Any]:
    return {
        "quantity": cause.quantity,
        "value": cause.value,
        "unit": cause.unit,
        "limit": cause.limit,
    }


def _plain(message: str) -> str:
    return message.partition(" (at ")[0].rstrip(".")


def _line_of(cause: Exception, text: str) -> int:
    found = _PLACE.search(str(cause))
    return int(found[1]) if found else text.count("\n") + 1
