"""Scripts: narration in Markdown whose numbers come from a sheet.

A template is Markdown with names in double braces, ``{{ range }}`` or ``{{ range.to("mi") }}``. It
is rendered in Jinja2's sandbox: it reaches the numbers and nothing else. What a sheet says in words
goes into the text as words, never as markup and never as part of the template.
"""

from __future__ import annotations

import difflib
import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any, NoReturn

from chalkwatt.calls import checked_call
from chalkwatt.cards.picture import printable
from chalkwatt.errors import ChalkwattError, NameUnknownError, TooLittleKnownError
from chalkwatt.laws.quantities import glossary, look_up
from chalkwatt.scripts import judged
from chalkwatt.scripts.saying import Said
from chalkwatt.scripts.stated import Stated, stated, stated_all
from chalkwatt.store import write_text
from chalkwatt.wording.audience import for_whom_it_was_made

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable
    from pathlib import Path

    from jinja2.runtime import Context
    from jinja2.sandbox import ImmutableSandboxedEnvironment

    from chalkwatt.scripts.stated import Asked, Numbers
    from chalkwatt.wording.given import Given

__all__ = ["Script", "Spoken", "script"]

# Private-use signs mark a number while the template is rendered, and are taken out afterwards.
_OPEN, _CLOSE = "\ue000", "\ue001"
_MARK = re.compile(f"{_OPEN}(\\d+){_OPEN}(.*?){_CLOSE}", re.DOTALL)
_ACTIVE = re.compile(r"([\\`*_{}\[\]()#+.!|~>-])")
_OF_A_SHEET = frozenset({"at", "claims", "endless", "given", "invented", "known", "notes", "when"})
_MOST_TEXT = 2_000_000  # characters


@dataclass(frozen=True)
class Spoken:
    """A number as a script says it: its line, its quantity, its SI value, and the words."""

    line: int
    name: str
    si: float
    text: str


@dataclass(frozen=True)
class Script:
    """A rendered script.

    Attributes
    ----------
    text : str
        Markdown.
    spoken : tuple of Spoken
        Every number in it, in order.
    path : Path or None
        Where it was written.
    notes : tuple of str
        For the author: for which drive its numbers hold, and what has to be said beside them, where the text
        does not say it.
    """

    text: str
    spoken: tuple[Spoken, ...]
    path: Path | None = None
    notes: tuple[str, ...] = ()

    @property
    def carries(self) -> dict[str, float]:
        """The quantities that it names, with their SI values."""
        return {one.name: one.si for one in self.spoken}

    def _repr_markdown_(self) -> str:
        return self.text


@for_whom_it_was_made
@checked_call
def script(
    template: str,
    numbers: Numbers,
    path: str | Path | None = None,
    *,
    units: Mapping[str, str] | None = None,
) -> Script:
    """Write a script with its numbers as people say them.

    Parameters
    ----------
    template : str
        Markdown with ``{{ name }}`` for every number. ``{{ name.to("mi") }}`` says it in another
        unit, ``{{ name.between }}`` says its spread, ``{{ name.figures }}`` writes it in digits,
        ``{{ name|capitalize }}`` begins a sentence; ``{{ name.when }}`` says for which drive it holds,
        and ``name.notes`` are sentences to be said beside it. Of a sheet,
        ``{{ find("range", speed="90 km/h") }}`` asks a question, ``known(…)`` says whether it has
        an answer, ``given(…)`` whether the sheet states it itself, which ``find`` without conditions says
        where the rest of the sheet does not, ``endless(…)`` why nothing limits it, ``{{ vehicle }}`` is its name,
        ``invented`` whether it says so, ``claims`` are
        its claims with their verdicts, and ``at`` the conditions of the first of them, to be used
        as ``{{ find("range", **at) }}`` and said as ``{{ when }}``; ``notes`` are sentences to be
        said beside that range: what gave way to the conditions, and which facts contradict it.
    numbers : Sheet, or mapping of str to Answer, number, str or pint quantity
        By names of quantities.
    path : str or Path, optional
        Where to write it.
    units : mapping of str to str, optional
        Units to say quantities in, by name.

    Returns
    -------
    Script

    Raises
    ------
    ChalkwattError
        If the template has a mistake or a name that nothing stands behind; it names the line.

    Examples
    --------
    >>> from chalkwatt import load
    >>> from chalkwatt.scripts.script import script
    >>> far = load.find("range", **load.example)
    >>> script("It goes {{ range }}.", {"range": far}).text
    'It goes about 380 kilometres.'
    """
    from jinja2 import TemplateError, TemplateSyntaxError  # noqa: PLC0415  Jinja2 is slow to import

    spoken: list[Stated] = []
    environment = _environment(spoken)
    clean = template.replace(_OPEN, "\ufffd").replace(_CLOSE, "\ufffd")
    try:
        names = _free_names(environment, clean)
        context = _context(clean, names, numbers, dict(units or {}))
        text = environment.from_string(clean).render(context)
    except TemplateSyntaxError as cause:
        raise ChalkwattError(
            f"Line {cause.lineno} of the script: {(cause.message or '').rstrip('.')}.",
            advice="A number is written as {{ name }}.",
        ) from cause
    except (TemplateError, TypeError) as cause:
        raise ChalkwattError(
            f"The script cannot be rendered: {str(cause).rstrip('.')}.",
            advice="A number is written as {{ name }}; a script reaches nothing but its numbers.",
        ) from cause
    made, found = _unmarked(text, spoken)
    place = None if path is None else write_text(path, made)
    return Script(made, found, place, _left_unsaid(made, spoken))


def _left_unsaid(text: str, spoken: Iterable[Stated]) -> tuple[str, ...]:
    """Return what has to be said beside the numbers of a script and stands nowhere in it."""
    made: dict[str, None] = {}
    for number in spoken:
        words = look_up(number.name).words
        start = f"{words[:1].upper()}{words[1:]}: "
        if number.driven and not _says(text, number.driven):
            made.setdefault(f"{start}For a drive{number.driven}.")
        for note in number.notes:
            if not _says(text, note):
                made.setdefault(f"{start}{note}")
    return tuple(made)


def _says(text: str, told: str) -> bool:
    return told.strip() in text or _fenced(told).strip() in text


def _environment(spoken: list[Stated]) -> ImmutableSandboxedEnvironment:
    from jinja2 import StrictUndefined, Undefined  # noqa: PLC0415  Jinja2 is slow to import
    from jinja2.exceptions import SecurityError  # noqa: PLC0415  Jinja2 is slow to import
    from jinja2.sandbox import ImmutableSandboxedEnvironment  # noqa: PLC0415  Jinja2 is slow to import

    class Sandbox(ImmutableSandboxedEnvironment):
        """A sandbox without the operators that make much out of little."""

        intercepted_binops = frozenset({"*", "**", "%"})

        def call_binop(self, _context: Context, operator: str, *_sides: object) -> NoReturn:
            message = f"a script does not calculate ({operator})"
            raise SecurityError(message)

    def written(value: object) -> object:
        if isinstance(value, Said):
            spoken.append(value.stated)
            return f"{_OPEN}{len(spoken) - 1}{_OPEN}{value.text}{_CLOSE}"
        if isinstance(value, str | int | float | Undefined):
            return value
        if isinstance(value, tuple | list) and all(isinstance(one, str) for one in value):
            return " ".join(value)  # sentences to be said one after another
        message = f"a script cannot write a {type(value).__name__}"
        raise SecurityError(message)

    def capitalized(value: object) -> str:
        text = str(written(value))
        at = text.rfind(_OPEN) + 1
        return text[:at] + text[at : at + 1].upper() + text[at + 1 :]

    made = Sandbox(
        undefined=StrictUndefined, autoescape=False, keep_trailing_newline=True, finalize=written
    )
    made.globals.clear()
    made.filters = {"capitalize": capitalized}
    return made


def _free_names(environment: ImmutableSandboxedEnvironment, template: str) -> set[str]:
    from jinja2 import meta  # noqa: PLC0415  Jinja2 is slow to import

    return set(meta.find_undeclared_variables(environment.parse(template)))


def _context(
    template: str,
    names: set[str],
    numbers: Numbers,
    chosen: dict[str, str],
) -> dict[str, Any]:
    context: dict[str, Any] = {}
    # What stands in for a sheet is asked for what it has, and for nothing else.
    sheet = None if isinstance(numbers, Mapping) else numbers
    for name in sorted(names):
        if name == "vehicle" and sheet is not None and hasattr(sheet, "name"):
            context[name] = as_words(str(sheet.name))
        elif name == "find" and sheet is not None and hasattr(sheet, "find"):
            context[name] = _asker(sheet, chosen)
        elif name in _OF_A_SHEET and sheet is not None and hasattr(sheet, "judge"):
            context[name] = _of_a_sheet(name, sheet)
        else:
            context[name] = _said(name, _one(template, name, numbers), chosen)
    return context


def _of_a_sheet(name: str, sheet: Asked) -> object:
    made: dict[str, Callable[[], object]] = {
        "at": lambda: judged.setting(sheet),
        "claims": lambda: judged.judged(sheet, as_words),
        "endless": lambda: judged.endless_of(sheet, as_words),
        "given": lambda: judged.giver(sheet),
        "invented": lambda: bool(sheet.invented),
        "known": lambda: judged.knower(sheet),
        "notes": lambda: judged.spoken_notes(sheet, as_words),
        "when": lambda: judged.spoken_setting(sheet, as_words),
    }
    return made[name]()


def _one(template: str, name: str, numbers: Numbers) -> Stated:
    try:
        return stated_all(numbers, [name])[name]
    except NameUnknownError as cause:
        offered = list(numbers) if isinstance(numbers, Mapping) else list(glossary())
        line = _line_of(template, name)
        if isinstance(numbers, Mapping) and name in numbers:
            raise NameUnknownError(
                f"Line {line} of the script: {name!r} is no quantity, and a number is said by the name of one, "
                "such as {{ charging_time }}.",
                nearest=difflib.get_close_matches(name, glossary(), n=3),
                quantity=name,
            ) from cause
        raise NameUnknownError(
            f"Line {line} of the script: nothing stands behind {name!r}.",
            nearest=difflib.get_close_matches(name, offered, n=3),
            quantity=name,
        ) from cause
    except ChalkwattError as cause:
        raise type(cause)(f"Line {_line_of(template, name)} of the script: {cause}") from cause


def _line_of(template: str, name: str) -> int:
    found = re.search(rf"\{{[{{%][^}}]*\b{re.escape(name)}\b", template)
    return template.count("\n", 0, found.end() if found else 0) + 1


def _said(name: str, number: Stated, chosen: Mapping[str, str]) -> Said:
    # What a script may print is words, whatever a sheet wrote into it.
    fenced = replace(
        number,
        driven=_fenced(number.driven),
        notes=tuple(_fenced(one).strip() for one in number.notes),
    )
    made = Said(fenced, number.label)
    return made.to(chosen[name]) if name in chosen else made


def _fenced(text: str) -> str:
    return f" {judged.readable(as_words(text))}" if text.strip() else ""


def _asker(sheet: Asked, chosen: Mapping[str, str]) -> Callable[..., Said]:
    asked: dict[str, Said] = {}

    def find(wanted: str, **conditions: Given) -> Said:
        question = repr((wanted, sorted(conditions.items())))
        if question not in asked:
            asked[question] = _said(wanted, _found(sheet, wanted, conditions), chosen)
        return asked[question]

    return find


def _found(sheet: Asked, wanted: str, conditions: Mapping[str, Given]) -> Stated:
    """Ask a sheet; what its other facts do not make may be what it states itself."""
    try:
        return stated(wanted, sheet.find(wanted, **conditions))
    except TooLittleKnownError:
        if conditions or wanted not in sheet.facts:
            raise  # for which drive a stated value holds, nobody says
        return stated(wanted, sheet.facts[wanted])


def as_words(text: str) -> str:
    r"""Write text so that Markdown and HTML take it for words.

    Examples
    --------
    >>> from chalkwatt.scripts.script import as_words
    >>> print(as_words("<b>*Wren*</b>"))
    &lt;b&gt;\*Wren\*&lt;/b&gt;
    """
    plain = printable(" ".join(text.replace(_OPEN, "").replace(_CLOSE, "").split()))
    safe = plain.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")
    return _ACTIVE.sub(r"\\\1", safe)


def _unmarked(text: str, spoken: list[Stated]) -> tuple[str, tuple[Spoken, ...]]:
    found: list[Spoken] = []
    made: list[str] = []
    line, at = 1, 0
    for mark in _MARK.finditer(text):
        before = text[at : mark.start()]
        line += before.count("\n")
        number = spoken[int(mark[1])]
        found.append(Spoken(line, number.name, number.si, mark[2]))
        made += [before, mark[2]]
        at = mark.end()
    return "".join([*made, text[at:]]), tuple(found)
