"""Every way in which a tree can be wrong in one place: a sign, an exponent, a factor, a function."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Optional

from chalkwatt.algebra.trees import Tree

SWAPPED = {"min": "max", "max": "min", "sin": "cos", "cos": "sin", "tan": "sin", "sqrt": "cbrt"}
UNDONE = {"sqrt", "cbrt", "abs"}  # functions that may be forgotten
ODD = {"exp", "log", "sin", "tan", "sinh", "tanh", "asin", "atan"}  # where a sign inside matters
OFF = 1.1  # a wrong factor


@dataclass(frozen=True)
class Change:
    """One thing wrong in one place."""

    kind: str
    words: str
    tree: Optional[Tree]  # noqa: UP045  (a string stands in Tree)  None where a condition is left out


def changes(tree: Tree, *, whole: bool = True) -> Iterator[Change]:
    """Yield every tree that differs from this one in one place; if asked, the whole first."""
    if whole:
        yield Change("factor", f"all × {OFF}", ("*", OFF, tree))
        yield Change("sign", "− before all", ("-", tree))
    yield from _inside(tree)


def _inside(tree: Tree) -> Iterator[Change]:
    if not isinstance(tree, tuple):
        return
    operation, *parts = tree
    yield from _of_operation(operation, parts)
    for place, part in enumerate(parts):
        for one in _inside(part):
            yield Change(one.kind, one.words, (operation, *_put(parts, place, one.tree)))


def _of_operation(operation: str, parts: list[Tree]) -> Iterator[Change]:
    whole = (operation, *parts)
    if operation in SWAPPED:
        to = SWAPPED[operation]
        yield Change("function", f"{operation} → {to}", (to, *parts))
    if operation in UNDONE:
        yield Change("function", f"{operation} forgotten", parts[0])
    if operation in ODD:
        yield Change("sign", f"− inside {operation}", (operation, ("-", parts[0])))
    if operation == "+":
        yield from _of_sum(parts)
    elif operation in {"*", "/"}:
        yield from _of_product(operation, parts)
    elif operation == "^":
        yield from _of_power(*parts)
    elif operation in {"min", "max"} and len(parts) > 1:
        for place, part in enumerate(parts):
            rest = parts[:place] + parts[place + 1 :]
            made = rest[0] if len(rest) == 1 else (operation, *rest)
            yield Change("term", f"{short(part)} left out of {operation}", made)
    elif operation == "-":
        yield Change("sign", f"{short(whole)} → {short(parts[0])}", parts[0])


def _of_sum(parts: list[Tree]) -> Iterator[Change]:
    for place, part in enumerate(parts):
        minus = isinstance(part, tuple) and part[0] == "-"
        turned = part[1] if minus else ("-", part)
        yield Change(
            "sign",
            f"sign of {short(part[1] if minus else part)}",
            ("+", *_put(parts, place, turned)),
        )
        rest = parts[:place] + parts[place + 1 :]
        yield Change("term", f"{short(part)} left out", rest[0] if len(rest) == 1 else ("+", *rest))
        if isinstance(part, int | float):
            yield Change("factor", f"{part:g} × {OFF}", ("+", *_put(parts, place, OFF * part)))


def _of_product(operation: str, parts: list[Tree]) -> Iterator[Change]:
    for place, part in enumerate(parts):
        if isinstance(part, tuple) and part[0] in {"*", "/"}:
            continue  # its own factors are walked one by one
        if isinstance(part, int | float):
            yield Change(
                "factor", f"{part:g} × {OFF}", (operation, *_put(parts, place, OFF * part))
            )
        if part == 1:
            continue
        yield Change("factor", f"{short(part)} left out", (operation, *_put(parts, place, 1)))
        over = ("/", 1, part)
        yield Change(
            "exponent", f"{short(part)} across the bar", (operation, *_put(parts, place, over))
        )


def _of_power(base: Tree, exponent: Tree) -> Iterator[Change]:
    yield Change("exponent", f"{short(base)}^{short(exponent)} → {short(base)}", base)
    if isinstance(exponent, int | float):
        yield Change(
            "exponent", f"{short(base)}^{exponent} → ^{exponent + 1}", ("^", base, exponent + 1)
        )
    else:
        yield Change(
            "exponent", f"1/{short(exponent)} as exponent", ("^", base, ("/", 1, exponent))
        )


def _put(parts: list[Tree], place: int, one: Tree) -> list[Tree]:
    return [*parts[:place], one, *parts[place + 1 :]]


def short(tree: Tree) -> str:
    """Say a tree in a few characters."""
    if not isinstance(tree, tuple):
        return f"{tree:g}" if isinstance(tree, float) else str(tree)
    operation, *parts = tree
    if operation == "-":
        return f"−{short(parts[0])}"
    if operation in {"+", "*", "/", "^"}:
        return "(" + {"*": "·"}.get(operation, operation).join(short(one) for one in parts) + ")"
    return f"{operation}({', '.join(short(one) for one in parts)})"
