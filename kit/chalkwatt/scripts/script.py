"""Scripts: narration in Markdown whose numbers come from a sheet.

A template is Markdown with names in double braces, ``{{ range }}`` or ``{{ range.to("mi") }}``. It
is rendered in Jinja2's sandbox: it reaches the numbers and nothing else. What a sheet says in words
goes into the text as words, never as markup and never as part of the template.
"""

from __future__ import annotations

import difflib
import re
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from chalkwatt.errors import ChalkwattError, NameUnknownError
from chalkwatt.publish.picture import printable
from chalkwatt.publish.safe_write import write_text
from chalkwatt.publish.saying import Said
from chalkwatt.publish.stated import Stated, stated, stated_all
from chalkwatt.quantities import glossary

if TYPE_CHECKING:
    from collections.abc import Mapping
    from pathlib import Path

__all__ = ["Script", "Spoken", "script"]

# Private-use signs mark a number while the template is rendered, and are taken out afterwards.
_OPEN, _CLOSE = "\ue000", "\ue001"
_MARK = re.compile(f"{_OPEN}(\\d+){_OPEN}(.*?){_CLOSE}", re.DOTALL)
_ACTIVE = re.compile(r"([\\`*_{}\[\]()#+.!|~>-])")
_OF_A_SHEET = frozenset({"at", "claims", "invented", "known", "notes", "when"})
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
    """

    text: str
    spoken: tuple[Spoken, ...]
    path: Path | None = None

    @property
    def carries(self) -> dict[str, float]:
        """The quantities that it names, with their SI values."""
        return {one.name: one.si for one in self.spoken}

    def _repr_markdown_(self) -> str:
        return self.text


def script(
    template: str,
    numbers: Any,  # noqa: ANN401  a sheet or a mapping
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
        ``{{ name|capitalize }}`` begins a sentence. Of a sheet,
        ``{{ find("range", speed="90 km/h") }}`` asks a question, ``known(…)`` says whether it has
        an answer, ``{{ vehicle }}`` is its name, ``invented`` whether it says so, ``claims`` are
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
    >>> from chalkwatt.publish.script import script
    >>> far = load.find("range", **load.example)
    >>> script("It goes {{ range }}.", {"range": far}).text
    'It goes about 380 kilometres.'
    """
    from jinja2 import TemplateError, TemplateSyntaxError

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
    return Script(made, found, place)


def _environment(spoken: list[Stated]) -> Any:  # noqa: ANN401
    from jinja2 import StrictUndefined, Undefined
    from jinja2.exceptions import SecurityError
    from jinja2.sandbox import ImmutableSandboxedEnvironment

    class Sandbox(ImmutableSandboxedEnvironment):
        """A sandbox without the operators that make much out of little."""

        intercepted_binops = frozenset({"*", "**", "%"})

        def call_binop(self, _context: Any, operator: str, *_sides: Any) -> Any:  # noqa: ANN401
            message = f"a script does not calculate ({operator})"
            raise SecurityError(message)

    def written(value: Any) -> Any:  # noqa: ANN401
        if isinstance(value, Said):
            spoken.append(value.stated)
            return f"{_OPEN}{len(spoken) - 1}{_OPEN}{value.text}{_CLOSE}"
        if isinstance(value, str | int | float | Undefined):
            return value
        message = f"a script cannot write a {type(value).__name__}"
        raise SecurityError(message)

    def capitalized(value: Any) -> Any:  # noqa: ANN401
        text = str(written(value))
        at = text.rfind(_OPEN) + 1
        return text[:at] + text[at : at + 1].upper() + text[at + 1 :]

    made = Sandbox(
        undefined=StrictUndefined, autoescape=False, keep_trailing_newline=True, finalize=written
    )
    made.globals.clear()
    made.filters = {"capitalize": capitalized}
    return made


def _free_names(environment: Any, template: str) -> set[str]:  # noqa: ANN401
    from jinja2 import meta

    return set(meta.find_undeclared_variables(environment.parse(template)))


def _context(
    template: str,
    names: set[str],
    numbers: Any,  # noqa: ANN401
    chosen: dict[str, str],
) -> dict[str, Any]:
    context: dict[str, Any] = {}
    for name in sorted(names):
        if name == "vehicle" and hasattr(numbers, "name"):
            context[name] = as_words(str(numbers.name))
        elif name == "find" and hasattr(numbers, "find"):
            context[name] = _asker(numbers, chosen)
        elif name in _OF_A_SHEET and hasattr(numbers, "judge"):
            context[name] = _of_a_sheet(name, numbers)
        else:
            context[name] = _said(name, _one(template, name, numbers), chosen)
    return context


def _of_a_sheet(name: str, sheet: Any) -> Any:  # noqa: ANN401
    from chalkwatt.publish import judged

    if name == "claims":
        return judged.judged(sheet, as_words)
    if name == "known":
        return judged.knower(sheet)
    if name == "at":
        return judged.setting(sheet)
    if name == "notes":
        return judged.spoken_notes(sheet, as_words)
    if name == "when":
        return judged.spoken_setting(sheet, as_words)
    return bool(sheet.invented)


def _one(template: str, name: str, numbers: Any) -> Stated:  # noqa: ANN401
    try:
        return stated_all(numbers, [name])[name]
    except NameUnknownError as cause:
        offered = list(numbers) if hasattr(numbers, "keys") else list(glossary())
        line = _line_of(template, name)
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
    made = Said(number, number.label)
    return made.to(chosen[name]) if name in chosen else made


def _asker(sheet: Any, chosen: Mapping[str, str]) -> Any:  # noqa: ANN401
    asked: dict[str, Said] = {}

    def find(wanted: str, **conditions: Any) -> Said:  # noqa: ANN401
        question = repr((wanted, sorted(conditions.items())))
        if question not in asked:
            asked[question] = _said(
                wanted, stated(wanted, sheet.find(wanted, **conditions)), chosen
            )
        return asked[question]

    return find


def as_words(text: str) -> str:
    r"""Write text so that Markdown and HTML take it for words.

    Examples
    --------
    >>> from chalkwatt.publish.script import as_words
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
