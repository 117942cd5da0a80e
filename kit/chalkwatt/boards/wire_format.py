"""What goes between Python and the browser: its shape, its version, and the specification made of both.

`specification` is written down in ``wire_format.json`` beside this module, so that a change of what is sent
shows as a change of a file. Whoever writes another front end, or keeps boards in an archive, reads that
file. The number in `chalkwatt.rendering.browser_program.VERSION` goes up where a reader of the old
shape would misread the new one: where something is taken away, renamed, or means something else.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, NotRequired

from typing_extensions import TypeAliasType, TypedDict

from chalkwatt.rendering.browser_program import VERSION

if TYPE_CHECKING:
    import traitlets

__all__ = ["Program", "RunRow", "specification"]

Tree = TypeAliasType("Tree", "float | str | list[Tree]")
Unit = tuple[str, float, float, str]


class Quantity(TypedDict):
    """A quantity as the browser knows it: units are label, factor, offset and how it is said."""

    words: str
    symbol: tuple[str, str]
    units: list[Unit]
    offered: int
    si: str
    bounds: tuple[float | None, float | None]
    open: tuple[bool, bool]
    usual: tuple[float, float]
    whole: bool
    sentence: str


class Law(TypedDict):
    """A relation, in the author's order."""

    title: str
    equation: tuple[Tree, Tree]
    source: str
    assumptions: list[str]
    standing: bool


class Said(TypedDict):
    """What is said beside a value, or in its place, where the surplus is not negative.

    ``{at}`` in the words is the value of ``at``, an SI number with the unit ``label``.
    """

    surplus: Tree
    words: str
    at: NotRequired[Tree]
    label: NotRequired[str]


class Rest(TypedDict):
    """Where a quantity rests by definition: where the surplus is negative."""

    surplus: Tree
    value: float
    words: str


class Limit(TypedDict):
    """One of several of which the least counts."""

    tree: Tree
    words: str


class Case(TypedDict):
    """One way to a value, and what must not be negative then.

    ``cubic`` holds a, b and c of a t³ + b t = c, or of a t² + b t = c where it is by ``quadratic``.
    """

    by: str
    forms: NotRequired[list[Tree]]
    cubic: NotRequired[tuple[Tree, Tree, Tree]]
    where: NotRequired[list[Tree]]


class Step(Case):
    """One quantity found from those before it."""

    find: str
    relations: list[int]
    pieces: NotRequired[list[Case]]
    slope: NotRequired[Tree]
    kinks: NotRequired[list[Tree]]
    worth: NotRequired[Tree]
    below_nought: NotRequired[str]
    residual: NotRequired[tuple[Tree, Tree]]
    least: NotRequired[list[Limit]]
    rest: NotRequired[list[Rest]]
    remarks: NotRequired[list[Said]]
    refusals: NotRequired[list[Said]]


class Idle(TypedDict):
    """What is said of the rows that nothing is reckoned with: the words for those of ``by`` that are not nought.

    The names of these, with a space between them, are the key. A name in braces in the words is its value.
    """

    by: list[str]
    words: dict[str, str]


class Plan(TypedDict):
    """How one row follows from all the others."""

    way: NotRequired[str]
    idle: NotRequired[Idle]
    assumed: list[str]
    exact: list[str]
    standing: list[int]
    zeros: list[str]
    steps: list[Step]


class Program(TypedDict):
    """What a board runs without a kernel. Values are in the unit chosen for them, all else is in SI units."""

    version: int
    topic: str
    title: str
    caution: str | None
    written: dict[str, str]
    cast: list[str]
    wanted: str
    outcomes: list[str]
    values: dict[str, float]
    chosen_units: dict[str, int]
    quantities: dict[str, Quantity]
    plain: dict[str, list[tuple[str, float]]]
    assumed: dict[str, float]
    relations: list[Law]
    plans: dict[str, Plan]


class RunRow(TypedDict):
    """A row of the board of a run: numbers are in its unit."""

    name: str
    words: str
    symbol: tuple[str, str]
    unit: str
    spoken: str
    sentence: str
    low: float
    high: float


def specification(*widgets: type[traitlets.HasTraits]) -> dict[str, Any]:
    """Describe what is sent, as JSON Schema and as a list of synchronised traits.

    Parameters
    ----------
    *widgets : type
        The widgets whose traits are listed.

    Returns
    -------
    dict
        ``version``, ``program`` and ``run_row`` (JSON Schema, draft 2020-12) and ``traits``: of each
        widget its traits with their kinds. A row's own trait has the name of its quantity.

    Examples
    --------
    >>> from chalkwatt.boards.wire_format import specification
    >>> specification()["program"]["properties"]["cast"]
    {'items': {'type': 'string'}, 'title': 'Cast', 'type': 'array'}
    """
    from pydantic import TypeAdapter  # noqa: PLC0415  only whoever makes the specification needs it

    return {
        "version": VERSION,
        "program": TypeAdapter(Program).json_schema(),
        "run_row": TypeAdapter(RunRow).json_schema(),
        "traits": {one.__name__: _traits(one) for one in widgets},
    }


def _traits(widget: type[traitlets.HasTraits]) -> dict[str, str]:
    own = widget.class_traits(sync=True)
    return {
        name: type(trait).__name__
        for name, trait in sorted(own.items())
        if not name.startswith("_") and trait.this_class.__module__.startswith("chalkwatt")
    }
