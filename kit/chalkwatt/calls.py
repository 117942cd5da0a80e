"""Called: what a person is told who calls something with too little, too much, or what is none of its kind.

Python says which arguments are missing and not what they are, and stops with an error of its own, or
stops deep inside where an argument is of another kind. What people call carries :func:`checked_call`,
which says it as every other mistake is said.

Of what kind an argument must be is read from its annotation, where that is made of the names in
`_KINDS`. Quantities have another annotation (`Given`), and say themselves what cannot be one.
"""

from __future__ import annotations

import ast
import difflib
import os
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache, wraps
from inspect import CO_VARARGS, signature
from numbers import Integral, Real
from typing import TYPE_CHECKING, Any, ParamSpec, TypeVar

from chalkwatt.errors import CallError, printable

if TYPE_CHECKING:
    from inspect import Parameter

__all__ = ["checked_call", "checked_class"]

P = ParamSpec("P")
R = TypeVar("R")
T = TypeVar("T")

_MOST = 6  # names in an error


@dataclass(frozen=True)
class _Kind:
    """What an argument may be: what such a one is called, one or several, and how it is known."""

    words: str
    many: str
    fits: Callable[[Any], bool]


def _built(words: str, *names: str) -> _Kind:
    """Return the kind of the objects of classes that are built further up than this page."""
    _, _, bare = words.partition(" ")
    return _Kind(words, f"{bare}s", lambda v: any(one.__name__ in names for one in type(v).__mro__))


def _number(kind: type) -> Callable[[Any], bool]:
    # True is a whole number to Python, and to nobody who types it where a number is asked for.
    return lambda value: isinstance(value, kind) and not isinstance(value, bool)


def _is_floats(value: Any) -> bool:  # noqa: ANN401  what a person gives
    return hasattr(value, "__array__") or _number(Real)(value)


def _moves(value: Any) -> bool:  # noqa: ANN401  what a person gives
    return not isinstance(value, type) and hasattr(value, "time") and hasattr(value, "speed")


# Words of an annotation.
_KINDS: dict[str, _Kind] = {
    "str": _Kind("text", "texts", lambda value: isinstance(value, str)),
    "Path": _Kind("a path", "paths", lambda value: isinstance(value, os.PathLike)),
    "int": _Kind("a whole number", "whole numbers", _number(Integral)),
    "float": _Kind("a number", "numbers", _number(Real)),
    "None": _Kind("None", "", lambda value: value is None),
    "Floats": _Kind("a number or an array", "arrays", _is_floats),
    "LiveBoard": _built("a board", "Board"),
    "Sheet": _built("a sheet", "Sheet"),
    "Stating": _built("a sheet", "Sheet"),
    "Topic": _built("a topic", "Topic"),
    "Answer": _built("an answer", "Answer"),
    "Claim": _built("a claim", "Claim"),
    "Schedule": _built("a schedule", "Schedule"),
    "Trip": _built("a trip", "Trip"),
    "Motion": _built("a motion", "Motion"),
    "Part": _built("a part", "Part"),
    "Phase": _built("a phase", "Phase"),
    "Facet": _built("a facet", "Facet"),
    "Roof": _built("a roof", "Roof"),
    "Sky": _built("a sky", "Sky"),
    "Wltc": _built("a class of the WLTC", "Wltc"),
    "StartRun": _built("a run of standing_start", "StartRun"),
    "Moving": _Kind(
        "a run that moves, such as one of standing_start or coast_down", "runs", _moves
    ),
    "Callable": _Kind("a function", "functions", callable),
}
# Of what holds several: what it is called, and its class.
_HOLDERS: dict[str, tuple[str, type]] = {
    "Iterable": ("a list of", Iterable),
    "Sequence": ("a list of", Sequence),
    "Mapping": ("a mapping of names to", Mapping),
}
# Names of quantities, of units and of schedules: where they are looked up, more is known of what was meant.
_LOOKED_UP = frozenset({"label", "quantity", "schedule", "wanted"})


def checked_call(function: Callable[P, R]) -> Callable[P, R]:
    """Say of a call that does not fit a function what it needs or does not take.

    Parameters
    ----------
    function : callable
        A function or a method; of a class, its ``__init__``.

    Returns
    -------
    callable
        The same, but for calls that Python would refuse with a TypeError: these raise
        :class:`chalkwatt.errors.CallError`. What goes wrong inside of it stays as it is.

    Examples
    --------
    >>> import chalkwatt as cw
    >>> cw.schedules.wltc_class(rated_power="60 kW")
    Traceback (most recent call last):
    ...
    chalkwatt.errors.CallError: wltc_class needs unladen_mass as well. Give it by name, ...
    """
    kinds = _kinds(function)

    @wraps(function)
    def called(*given: P.args, **named: P.kwargs) -> R:
        for place, name in kinds:
            if name in named:
                _check_kind(function, name, named[name])
            elif place is not None:
                for one in given[place]:
                    _check_kind(function, name, one)
        try:
            return function(*given, **named)
        except TypeError:
            problem = _misfit(function, given, named)
            if problem is None:
                raise
        raise problem

    return called


def checked_class(kind: type[T]) -> type[T]:
    """Do so for a class whose ``__init__`` is not written out, such as a dataclass.

    Examples
    --------
    >>> import chalkwatt as cw
    >>> cw.roofs.Facet(tlit=5.0)
    Traceback (most recent call last):
    ...
    chalkwatt.errors.CallError: Facet does not take tlit. Did you mean tilt?
    """
    setattr(kind, "__init__", checked_call(kind.__init__))  # noqa: B010  mypy: no method to assign to
    return kind


def _kinds(function: Callable[..., Any]) -> list[tuple[slice | None, str]]:
    """List the arguments whose annotation says of what kind they must be: their place, if any, and name."""
    code = function.__code__
    names = list(code.co_varnames[: code.co_argcount])
    several = (
        code.co_varnames[code.co_argcount + code.co_kwonlyargcount]
        if code.co_flags & CO_VARARGS
        else ""
    )
    made: list[tuple[slice | None, str]] = []
    for name, annotation in function.__annotations__.items():
        if name in _LOOKED_UP or name == "return":
            continue
        if isinstance(annotation, str) and _accepted(annotation):
            place = names.index(name) if name in names else None
            each = slice(len(names), None) if name == several else None
            made.append((each if place is None else slice(place, place + 1), name))
    return made


@cache
def _accepted(annotation: str) -> tuple[_Kind, ...]:
    """Return what an annotation accepts; nothing where it holds a word that is not among the kinds."""
    tree = ast.parse(annotation, mode="eval").body
    parts: list[ast.expr] = []
    while isinstance(tree, ast.BinOp):
        parts.append(tree.right)
        tree = tree.left
    kinds = [_kind_of(one) for one in (tree, *reversed(parts))]
    return tuple(one for one in kinds if one is not None) if None not in kinds else ()


def _kind_of(part: ast.expr) -> _Kind | None:
    if not isinstance(part, ast.Subscript):
        return _KINDS.get(ast.unparse(part).rpartition(".")[2])
    holder = ast.unparse(part.value)
    inside = part.slice.elts if isinstance(part.slice, ast.Tuple) else [part.slice]
    if holder == "tuple" and not any(ast.unparse(one) == "..." for one in inside):
        return _of_length(len(inside))
    if holder in {"tuple", "list"}:
        holder = "Sequence"
    if holder == "Callable":
        return _KINDS["Callable"]
    return _holding(holder, _kind_of(inside[-1] if holder == "Mapping" else inside[0]), holder)


def _of_length(count: int) -> _Kind:
    words = {2: "pair"}.get(count, f"list of {count}")
    return _Kind(
        f"a {words}",
        f"{words}s",
        lambda v: hasattr(v, "__len__") and not isinstance(v, str | Mapping) and len(v) == count,
    )


def _holding(holder: str, each: _Kind | None, name: str) -> _Kind | None:
    """Return the kind of a list or a mapping; its parts are looked at where they can be read twice."""
    if holder not in _HOLDERS:
        return None
    words, kind = _HOLDERS[holder]

    def fits(value: Any) -> bool:  # noqa: ANN401  what a person gives
        # An array is a list to who calls, and no sequence to Python.
        if not isinstance(value, kind) and not (name != "Mapping" and hasattr(value, "__array__")):
            return False
        if each is None or not isinstance(value, Sequence | Mapping):
            return True
        return all(map(each.fits, value.values() if isinstance(value, Mapping) else value))

    return _Kind(f"{words} {each.many if each else 'values'}", "lists", fits)


def _check_kind(function: Callable[..., Any], name: str, value: object) -> None:
    accepted = _accepted(function.__annotations__[name])
    if any(one.fits(value) for one in accepted):
        return
    owner, _, short = function.__qualname__.rpartition(".")
    called = owner if short == "__init__" else short
    kinds = [one.words for one in accepted if one.words != "None"]
    shown = printable(repr(value), 60)
    raise CallError(
        f"In {called}(…), {name} must be {' or '.join(dict.fromkeys(kinds))}, not {shown}.",
        function=called,
        arguments=(name,),
        advice=f"help({called}) says what {name} is.",
    )


def _misfit(
    function: Callable[..., Any], given: Sequence[Any], named: Mapping[str, Any]
) -> CallError | None:
    """Say what does not fit; None where the call fits and something else went wrong."""
    shape = signature(function)
    try:
        shape.bind(*given, **named)
    except TypeError:
        pass
    else:
        return None
    kinds = list(shape.parameters.values())
    owner, _, short = function.__qualname__.rpartition(".")
    if owner:  # a method: the first argument is nothing that a person gives
        kinds, given = kinds[1:], given[1:]
    name = owner if short == "__init__" else short
    return (
        _strange(name, kinds, named)
        or _missing(name, kinds, given, named)
        or _crowded(name, kinds, given, named)
    )


def _strange(name: str, kinds: Sequence[Parameter], named: Mapping[str, Any]) -> CallError | None:
    """Say which names are none of its own."""
    if any(one.kind is one.VAR_KEYWORD for one in kinds):
        return None
    known = [one.name for one in kinds if one.kind in {one.POSITIONAL_OR_KEYWORD, one.KEYWORD_ONLY}]
    strange = [one for one in named if one not in known]
    if not strange:
        return None

    near = difflib.get_close_matches(strange[0][:80], known, n=3)
    takes = f"It takes {_listed(known, 'and')}" if known else "It takes nothing by name"
    return CallError(
        f"{name} does not take {printable(strange[0], 80)}.",
        function=name,
        arguments=strange,
        advice=f"Did you mean {' or '.join(near)}?" if near else f"{takes}.",
    )


def _missing(
    name: str, kinds: Sequence[Parameter], given: Sequence[Any], named: Mapping[str, Any]
) -> CallError | None:
    """Say what it needs and was not given."""
    by_place = [
        one for one in kinds if one.kind in {one.POSITIONAL_ONLY, one.POSITIONAL_OR_KEYWORD}
    ]
    placed = {one.name for one in by_place[: len(given)]}
    missing = [
        one
        for one in kinds
        if one.default is one.empty
        and one.kind not in {one.VAR_POSITIONAL, one.VAR_KEYWORD}
        and one.name not in placed
        and (one.name not in named or one.kind is one.POSITIONAL_ONLY)
    ]
    if not missing:
        return None
    names = [one.name for one in missing]
    how = ", ".join(
        one.name if one.kind is one.POSITIONAL_ONLY else f"{one.name}=…" for one in missing[:_MOST]
    )
    more = "…, " if given or named else ""
    it, what = ("it", "it") if len(names) == 1 else ("them", "each")
    by_name = "" if any(one.kind is one.POSITIONAL_ONLY for one in missing) else " by name"
    return CallError(
        f"{name} needs {_listed(names, 'and')}{' as well' if more else ''}.",
        function=name,
        arguments=names,
        advice=f"Give {it}{by_name}, as in {name}({more}{how}); help({name}) says what {what} is.",
    )


def _crowded(
    name: str, kinds: Sequence[Parameter], given: Sequence[Any], named: Mapping[str, Any]
) -> CallError:
    """Say that there is more without a name than it takes, or one thing twice."""
    by_place = [
        one.name for one in kinds if one.kind in {one.POSITIONAL_ONLY, one.POSITIONAL_OR_KEYWORD}
    ]
    twice = [one for one in by_place[: len(given)] if one in named]
    if twice:
        return CallError(
            f"{name} is given {twice[0]} twice: once by its place, and once by name.",
            function=name,
            arguments=twice,
            advice="Leave one of them out.",
        )
    rest = [one.name for one in kinds if one.kind is one.KEYWORD_ONLY]
    count = {0: "nothing", 1: "one value"}.get(len(by_place), f"{len(by_place)} values")
    return CallError(
        f"{name} takes {count} without a name, and {len(given)} are given.",
        function=name,
        arguments=rest,
        advice=f"Give the rest by name: {_listed(rest, 'or')}." if rest else "Leave out the rest.",
    )


def _listed(names: Sequence[str], last: str) -> str:
    if len(names) > _MOST:
        return f"{', '.join(names[:_MOST])} and {len(names) - _MOST} more"
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} {last} {names[-1]}"
