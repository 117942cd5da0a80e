"""Units in which a line of numbers multiplies out as printed.

Struck of its units, ``280 N · 100 km/h`` is 28 000, and no number of watts or kilowatts that a reader
would write for it. A line is coherent where the numbers alone, worked out as printed, are the number
of the result. Whether it is depends on the sizes of its units only: every term of a sum must be in
units of one size, and what stands in a sine or an exponent must be a plain number. That makes a few
linear equations of the logarithms of the sizes, one set a form of a relation; no dimension is asked
for. Of all choices of units that fulfil them the cheapest is taken: what was given stays as it was
given wherever it can.

``%``, ``‰`` and ``°`` are no units here: they belong to the number. The front end chooses by the same
rules (``boards/front/coherent.js``).
"""

from __future__ import annotations

import math
from functools import cache, lru_cache
from typing import TYPE_CHECKING, NamedTuple

from chalkwatt.algebra.operations import OPERATIONS
from chalkwatt.algebra.scalar_tree import compile_scalar
from chalkwatt.algebra.trees import names
from chalkwatt.laws.quantities import look_up
from chalkwatt.wording import units
from chalkwatt.wording.audience import current, ordered

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from chalkwatt.algebra.trees import Tree

    Row = dict[str, float]

__all__ = ["Role", "coherent_units", "plain_units"]

# What people reckon in, beside the units that a quantity is shown in; a force per distance never
# stands for a consumption.
_PLAIN = {
    "A*s": ("Ah", "A·s"),
    "Hz": ("1/s",),
    "J": ("J", "Wh", "kWh", "MJ"),
    "J/kg": ("J/kg", "Wh/kg"),
    "J/m": ("Wh/km", "kWh/km", "kWh/mi", "J/m"),
    "J/m^3": ("kWh/gal", "kWh/L", "J/m³"),
    "J/(m^3*K)": ("W·s/(m³·K)",),
    "W": ("W", "kW"),
    "m": ("m", "km"),
    "m/s": ("m/s", "km/h"),
    "s": ("s", "h", "d", "yr"),
    "m^-2": ("1/m²",),
}
_WRITTEN = {"^2": "²", "^3": "³", "*": "·", "ohm": "Ω"}
_IN_THE_NUMBER = {"%": 0.01, "‰": 0.001, "°": math.pi / 180}
_SHARES = ("%", "‰", "")
# Costs of a conversion: into a plain unit that the quantity is offered in, into another plain one, and
# into one that is merely offered: nobody reckons in tonnes or horsepower without need.
_BOTH, _PLAINLY, _OFFERED = 10, 13, 30
_UNWIELDY = 9  # more, where the usual number is unwieldy
_RESULT = 0.6  # of the same, for the result: its number is written twice anyway
_ANEW = 5  # more, for a result on the way that has been written in other units only
_LEAST, _MOST = 0.1, 1e4  # between these a number is read at a glance
_SAME = 1e-9  # of logarithms


class Role(NamedTuple):
    """What a line may do with a quantity.

    Attributes
    ----------
    shown : str
        The unit in which it is shown elsewhere.
    said : tuple of str
        The units in which its number has been written already.
    kind : str
        ``"given"``, ``"way"`` for a result on the way, or ``"result"`` for what the line finds.
    """

    shown: str
    said: tuple[str, ...]
    kind: str


@cache
def plain_units(si_unit: str) -> tuple[str, ...]:
    """Return the units that people reckon in, of what is measured in an SI unit.

    Examples
    --------
    >>> from chalkwatt.rendering.coherent import plain_units
    >>> plain_units("W"), plain_units("m^2")
    (('W', 'kW'), ('m²',))
    """
    if si_unit in _PLAIN:
        return _PLAIN[si_unit]
    for sign, written in _WRITTEN.items():
        si_unit = si_unit.replace(sign, written)
    return (si_unit,)


def coherent_units(left: Tree, right: Tree, roles: tuple[tuple[str, Role], ...]) -> dict[str, str]:
    """Choose the units of a line so that its printed numbers multiply out.

    Parameters
    ----------
    left, right : Tree
        Both sides; the left is the name of the result where the line is solved for it.
    roles : tuple of (str, Role)
        What the line may do with each quantity in it.

    Returns
    -------
    dict of str to str
        A unit label for each.

    Examples
    --------
    >>> from chalkwatt.rendering.coherent import Role, coherent_units
    >>> coherent_units("wheel_power", ("*", "road_force", "speed"), (
    ...     ("wheel_power", Role("kW", (), "result")),
    ...     ("road_force", Role("N", ("N",), "way")),
    ...     ("speed", Role("km/h", ("km/h",), "given")),
    ... ))
    {'wheel_power': 'W', 'road_force': 'N', 'speed': 'm/s'}
    """
    return _coherent(left, right, roles, current().units)


@lru_cache(4096)
def _coherent(
    left: Tree, right: Tree, roles: tuple[tuple[str, Role], ...], system: str
) -> dict[str, str]:
    rows = _rows(left, right)
    free = {name: _options(name, role, system) for name, role in roles}
    bound = list(dict.fromkeys(name for row in rows for name in row if name in free))
    best = _cheapest(rows, bound, free)
    made = {name: best.get(name, options[0][0]) for name, options in free.items()}
    for shares in _alike(left, right):
        _one_kind(shares, made)
    return made


def _size(label: str) -> float:
    return math.log(units.unit(label).factor / _IN_THE_NUMBER.get(label[:1], 1.0))


@cache
def _options(name: str, role: Role, system: str) -> tuple[tuple[str, int, float], ...]:
    """List the units that a quantity may stand in: label, cost and logarithm of the size."""
    entry = look_up(name)
    display = ordered(entry.offered, system)
    plain = plain_units(entry.unit)
    usual = abs(entry.usual[0] + entry.usual[1]) / 2
    made = []
    for label in dict.fromkeys((role.shown, *role.said, *display, *plain)):
        known = units.unit(label)
        if known.offset:
            continue  # a degree Celsius cannot be multiplied
        cost = 0
        if label != role.shown and label not in role.said:
            offered = label in display
            cost = _OFFERED if label not in plain else _BOTH if offered else _PLAINLY
            cost += _ANEW * (role.kind == "way")
            cost += 0 if _LEAST <= usual / known.factor < _MOST else _UNWIELDY
            cost = round(cost * (_RESULT if role.kind == "result" else 1))
        if label == role.shown or label not in _IN_THE_NUMBER:
            made.append((label, cost, _size(label)))
    # Of a plain number there is no unit to choose.
    made = made[:1] if entry.unit == "" else made
    return tuple(sorted(made, key=lambda one: one[1]))


def _cheapest(
    rows: tuple[Row, ...],
    bound: list[str],
    free: Mapping[str, tuple[tuple[str, int, float], ...]],
) -> dict[str, str]:
    """Search the choices in the order of the names, and leave off where it is dear already."""
    # A row can be judged once the last of its names has a unit.
    closing: list[list[Row]] = [[] for _ in bound]
    for row in rows:
        closing[max(bound.index(name) for name in row)].append(row)
    chosen: dict[str, str] = {}
    sizes: dict[str, float] = {}
    best: dict[str, str] = {}
    least = math.inf

    def choose(place: int, cost: int) -> None:
        nonlocal best, least
        if place == len(bound):
            best, least = dict(chosen), cost
            return
        name = bound[place]
        for label, more, size in free[name]:
            if cost + more >= least:
                break
            chosen[name], sizes[name] = label, size
            if all(
                abs(sum(power * sizes[one] for one, power in row.items())) < _SAME
                for row in closing[place]
            ):
                choose(place + 1, cost + more)

    choose(0, 0)
    return best


@lru_cache(4096)
def _rows(left: Tree, right: Tree) -> tuple[Row, ...]:
    """Return what the logarithms of the sizes must fulfil: each sum of powers is nought."""
    rows: list[Row] = []
    _size_of(("+", left, right), rows)
    kept = [{name: power for name, power in row.items() if abs(power) > _SAME} for row in rows]
    return tuple(sorted((row for row in kept if row), key=len))


def _size_of(tree: Tree, rows: list[Row]) -> Row | None:
    """Return the size of a part as powers of those of its quantities; of nought, any will do."""
    if isinstance(tree, str):
        return {tree: 1.0}
    if not isinstance(tree, tuple):
        return {} if tree and math.isfinite(tree) else None
    operation, *parts = tree
    if operation == "^" and not any(names(parts[1])):
        return _times(float(compile_scalar(parts[1])({})), _size_of(parts[0], rows))
    inner = [_size_of(part, rows) for part in parts]
    known = [one for one in inner if one is not None]
    made: Row | None = {}
    if operation in {"+", "min", "max"}:
        rows += [_sum(one, _times(-1.0, known[0])) for one in known[1:]]
        made = known[0] if known else None
    elif operation in {"*", "/"}:
        signs = [1.0] + [1.0 if operation == "*" else -1.0] * (len(inner) - 1)
        factors = [_times(sign, one) for sign, one in zip(signs, inner, strict=True)]
        made = None if None in inner else _sum(*factors)
    elif (size := OPERATIONS[str(operation)].size) is not None:
        made = _times(size, inner[0])
    else:
        rows += known
    return made


def _times(power: float, row: Row | None) -> Row | None:
    return None if row is None else {name: power * one for name, one in row.items()}


def _sum(*rows: Row | None) -> Row:
    made: Row = {}
    for row in rows:
        for name, power in (row or {}).items():
            made[name] = made.get(name, 0.0) + power
    return made


def _alike(*trees: Tree) -> Iterable[list[str]]:
    """Yield the quantities that are added to, or compared with, each other."""
    for tree in trees:
        if not isinstance(tree, tuple):
            continue
        if tree[0] in {"+", "min", "max"}:
            terms = [
                part[1] if isinstance(part, tuple) and part[0] == "-" else part for part in tree[1:]
            ]
            yield [one for one in terms if isinstance(one, str)]
        yield from _alike(*tree[1:])


def _one_kind(shares: list[str], made: dict[str, str]) -> None:
    """Write shares that are added in one way: ``80 % − 10 %``, and not ``80 % − 0.1``."""
    shares = [one for one in shares if one in made and look_up(one).unit == ""]
    labels = {made[one] for one in shares}
    if len(labels) > 1 and "%" in labels:
        made.update({one: "%" for one in shares if "%" in look_up(one).display})
