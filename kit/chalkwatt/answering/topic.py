"""A topic: a named network of relations that answers one family of questions."""

from __future__ import annotations

import itertools
import math
from dataclasses import replace
from functools import cached_property, partial
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np

from chalkwatt.algebra.numpy_tree import compile_tree
from chalkwatt.answering.answers import Answer
from chalkwatt.answering.beyond import check_limits
from chalkwatt.answering.nothing import explain_nothing
from chalkwatt.answering.showing import show
from chalkwatt.calls import checked_call
from chalkwatt.errors import NoSolutionError, TooLittleKnownError, TooMuchKnownError
from chalkwatt.laws.quantities import Quantity, constants, look_up, named
from chalkwatt.planning.checked_function import checked
from chalkwatt.planning.evaluation import PlanFunction, compile_plan
from chalkwatt.planning.network import Network
from chalkwatt.planning.ways import Ways
from chalkwatt.wording.given import check_shapes
from chalkwatt.wording.numbers import as_percent

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping
    from pathlib import Path

    from chalkwatt.algebra.trees import Tree
    from chalkwatt.answering.showing import LiveBoard, Stating
    from chalkwatt.laws.relations import Relation
    from chalkwatt.planning.evaluation import Branch
    from chalkwatt.planning.plans import Plan
    from chalkwatt.planning.ways import Way
    from chalkwatt.wording.given import Floats, Given, Truths

__all__ = ["Apart", "Limit", "Topic"]

_AGREEMENT = 1e-9  # relative; facts that agree this well are one fact said twice
_ON_EARTH = (
    0.01  # relative; nobody gives gravity, and it differs by half of that from place to place
)


class Apart(NamedTuple):
    """A quantity by which pack and road mean another value than a topic does.

    Attributes
    ----------
    words : str
        What the topic means by it, and what pack and road mean.
    through : frozenset of str
        What the other value rests on: without any of these it may serve. Empty where it never may.
    """

    words: str
    through: frozenset[str] = frozenset()


class Limit(NamedTuple):
    """What bounds a quantity although no relation joins the two.

    Attributes
    ----------
    name : str
        The quantity.
    by : Relation
        Which says so, and whose quantities allow no more.
    most : tree
        The most that there can be of it.
    unless : frozenset of str
        Once all of these are known, another limit says it better.
    """

    name: str
    by: Relation
    most: Tree
    unless: frozenset[str] = frozenset()


class Topic:
    """A family of questions about a vehicle, and everything that answers them.

    Parameters
    ----------
    name : str
        ``"load"``, ``"pack"`` and so on.
    title : str
        For a heading.
    relations : iterable of Relation
    dependent : iterable of groups of Relation
        In each group any one relation follows from the others.
    example : mapping of str to str
        Invented values for a board that is opened with none.
    wanted : str
        What the example solves for.
    outcomes : iterable of str
        Quantities that people think of as results, foremost first.
    caution : str
        Shown with every board and page where the work can hurt someone.
    ways : iterable of Way
        Ways that exclude each other, the example's own first.
    limits : iterable of Limit
        What bounds a quantity although no relation joins them.
    apart : mapping of str to Apart
        Quantities that pack and road know by the same name and mean otherwise: what follows from
        them there does not serve here.
    """

    def __init__(
        self,
        name: str,
        title: str,
        *,
        relations: Iterable[Relation],
        dependent: Iterable[Iterable[Relation]] = (),
        example: Mapping[str, Any],
        wanted: str,
        outcomes: Iterable[str] = (),
        caution: str = "",
        ways: Iterable[Way] = (),
        limits: Iterable[Limit] = (),
        apart: Mapping[str, Apart] | None = None,
    ) -> None:
        self.name = name
        self.title = title
        self.network = Network(name, tuple(relations), tuple(tuple(group) for group in dependent))
        self.example = dict(example)
        self.wanted = wanted
        self.outcomes = tuple(outcomes)
        self.caution = caution
        self.ways = Ways(title, ways)
        self.apart = dict(apart or {})
        self.limits = tuple(limits)

    def __repr__(self) -> str:
        """Show the name and how much it holds."""
        size = f"{len(self.quantities)} quantities, {len(self.network.relations)} relations"
        return f"<topic {self.name}: {size}>"

    @cached_property
    def quantities(self) -> dict[str, Quantity]:
        """The quantities of the topic by name, in the order in which its relations use them."""
        return {name: look_up(name) for name in self.network.names}

    @property
    def relations(self) -> tuple[Relation, ...]:
        """The relations of the topic, standing values included."""
        return self.network.relations

    @checked_call
    def read(self, known: Mapping[str, Any]) -> dict[str, Any]:
        """Turn given values into SI, and check names, units and physical bounds.

        Parameters
        ----------
        known : mapping of str to number, str, pint quantity or array

        Returns
        -------
        dict of str to float or ndarray

        Raises
        ------
        NameUnknownError, UnitError, OutOfBoundsError

        Examples
        --------
        >>> from chalkwatt import load
        >>> load.read({"speed": "90 km/h", "mass": 1180})
        {'speed': 25.0, 'mass': 1180.0}
        """
        values = {
            name: look_up(name, self.network.names).read(value) for name, value in known.items()
        }
        check_shapes(values)
        return values

    @checked_call
    def find(self, wanted: str, /, **known: Given) -> Answer:
        """Solve for any quantity of the topic.

        Parameters
        ----------
        wanted : str
            Name of the quantity to solve for.
        **known : number, str, pint quantity or array
            What is given, by name: numbers in SI units, text with a unit, pint quantities, or
            arrays of numbers, which broadcast against each other.

        Returns
        -------
        Answer
            Every physical solution, with plan and working. For arrays, elements without a solution
            are not-a-number.

        Raises
        ------
        NameUnknownError
            If a name is none of this topic.
        UnitError
            If a unit cannot be read or measures something else.
        OutOfBoundsError
            If a given or the solved value lies outside its physical bounds.
        TooLittleKnownError
            If what is given does not determine the wanted; it says what would.
        TooMuchKnownError
            If given facts contradict each other or exclude each other; it says where and by how much.
        NoSolutionError
            If no real value fits; it says which value can be reached.

        Examples
        --------
        >>> from chalkwatt import load
        >>> load.find("air_force", speed="72 km/h", drag_area="0.5 m^2", air_density=1.2)
        air_force = 120.0 N
        """
        values = self.read(known)
        labels = {name: look_up(name).label_of(value) for name, value in known.items()}
        return self.solve(wanted, values, labels)

    @checked_call
    def solve(
        self, wanted: str, values: Mapping[str, Any], labels: Mapping[str, str | None] | None = None
    ) -> Answer:
        """Solve for any quantity from checked SI values; :meth:`find` reads and checks them first.

        Parameters
        ----------
        wanted : str
        values : mapping of str to float or ndarray
            SI values.
        labels : mapping of str to str, optional
            The unit in which each value is shown in the working.

        Returns
        -------
        Answer

        Raises
        ------
        TooLittleKnownError, TooMuchKnownError, NoSolutionError, OutOfBoundsError
        """
        plan = self._plan(wanted, tuple(values))
        self._check_agreement(values)
        function = compile_plan(plan)
        scalar = all(np.ndim(one) == 0 for one in values.values())
        endings: list[Any] | None = [] if scalar else None
        branches = function.branches(values, endings)
        nothing = None
        if scalar and not branches:
            nothing = explain_nothing(self, plan, values, endings or [])
        notes: tuple[str, ...] = ()
        compared: frozenset[str] = frozenset()
        if not isinstance(nothing, NoSolutionError):
            beyond, note, compared = check_limits(
                self, wanted, frozenset(values), partial(_ends_at, values)
            )
            if note:
                branches = [_without(one, wanted, beyond) for one in branches]
                notes = (note,)
        if nothing is not None:
            raise nothing
        return Answer(
            self,
            plan,
            values,
            branches=branches,
            labels=labels or {},
            assumed=function.assumed,
            said=notes,
            compared=compared,
        )

    def _plan(self, wanted: str, known: tuple[str, ...]) -> Plan:
        self.ways.of((*known, wanted))
        try:
            return self.network.plan(named(wanted), known)
        except TooLittleKnownError as short:
            usual = self._usually_given(wanted, known)
            if len(usual) < 2:
                raise
            raise TooLittleKnownError(
                str(short).removesuffix(short.advice).strip(),
                quantity=wanted,
                unlocks=short.unlocks,
                advice=f"{short.advice} Together these would, too: {', '.join(usual)}.",
            ) from None

    def _usually_given(self, wanted: str, known: tuple[str, ...]) -> tuple[str, ...]:
        """Name what of the example, beside what is known, it takes to determine the wanted."""
        needed = [name for name in self.example if name not in known and name != wanted]
        granted = self.network.plan_if_any(wanted, known) is not None

        def enough(names: Iterable[str]) -> bool:
            if granted:  # without them it stands, and nothing that is known bears on it
                return self.network.hears(wanted, known, names)
            return wanted in self.network.reach((*known, *names), standing=True)

        if not enough(needed):
            return ()
        for name in tuple(needed):
            without = [one for one in needed if one != name]
            if enough(without):
                needed = without
        return tuple(needed)

    def _check_agreement(self, values: Mapping[str, Any]) -> None:
        twice = self.network.surplus(tuple(values))
        told = {relation for relation, _ in twice}
        beside = [
            one for one in self.network.surplus(tuple(values), firm=True) if one[0] not in told
        ]
        checked = (*((one, _AGREEMENT) for one in twice), *((one, _ON_EARTH) for one in beside))
        for (relation, plans), most in checked:
            apart = self._apart(relation, plans, values)
            worst = float(np.nanmax(apart)) if np.isfinite(apart).any() else 0.0
            if worst > most:
                raise _disagreement(relation, values, plans, worst)

    @staticmethod
    def _apart(relation: Relation, plans: Mapping[str, Plan], values: Mapping[str, Any]) -> Floats:
        """Return the relative difference of two sides, the least of all that the values allow.

        Where what is given leaves several roots, agreement of one of them is no contradiction.
        """
        made = [compile_plan(plan).branches(values) for plan in plans.values()]
        sides = [compile_tree(side) for side in relation.sides]
        least: Any = math.nan
        for branches in itertools.product(*made):
            found = {name: one.values[name] for name, one in zip(plans, branches, strict=True)}
            with np.errstate(all="ignore"):
                left, right = (np.asarray(one({**constants(), **values, **found})) for one in sides)
                size = np.maximum(np.abs(left), np.abs(right))
                least = np.fmin(least, np.abs(left - right) / np.where(size == 0, 1.0, size))
        return np.asarray(least)

    @checked_call
    def compile(self, wanted: str, /, known: Iterable[str]) -> PlanFunction:
        """Return the bare NumPy function of a plan: SI in, SI out.

        Parameters
        ----------
        wanted : str
        known : iterable of str
            Names of the arguments, in order.

        Returns
        -------
        PlanFunction
            Call it with numbers or arrays in that order, or by name. What is no real number raises a
            :class:`~chalkwatt.errors.UnitError`; a masked value counts as not-a-number.

        Raises
        ------
        NameUnknownError, TooLittleKnownError

        Examples
        --------
        >>> from chalkwatt import load
        >>> grow = load.compile("drag_area", known=("drag_coefficient", "frontal_area"))
        >>> grow([0.2, 0.25], 2.0).tolist()
        [0.4, 0.5]
        """
        names = tuple(map(named, [known] if isinstance(known, str) else known))
        plan = self._plan(wanted, names)
        if plan.known != names:
            plan = replace(plan, known=names)
        return checked(plan)

    @checked_call
    def board(
        self, sheet: Stating | None = None, /, *, wanted: str | None = None, **known: Given
    ) -> LiveBoard:
        """Open the interactive board of the topic.

        Parameters
        ----------
        sheet : Sheet, optional
            Start from the values of a vehicle's sheet.
        wanted : str, optional
            The unknown; the topic's own choice if left out.
        **known : number, str or pint quantity
            The rows of the board and their values; an invented example if left out.

        Returns
        -------
        Board
            A Jupyter widget with a synced trait for every row.

        Raises
        ------
        ChalkwattError
            The same errors as :meth:`find`.

        Examples
        --------
        >>> from chalkwatt import pack
        >>> pack.board(cells_in_series=96, cell_voltage="3.6 V", wanted="pack_voltage")
        pack_voltage = 345.6 V (pack board)
        """
        made: LiveBoard = show(self, "board", sheet, wanted=wanted, **known)
        return made

    @checked_call
    def page(self, path: str | Path, /, *, wanted: str | None = None, **known: Given) -> Path:
        """Write the board as one self-contained HTML file that needs no kernel and no network.

        Parameters
        ----------
        path : str or Path
        wanted : str, optional
        **known : number, str or pint quantity

        Returns
        -------
        Path
            Where the file is.

        Raises
        ------
        ChalkwattError
            The same errors as :meth:`find`, except that a page says why nothing limits the unknown.
        OSError
            If the file cannot be written.

        Examples
        --------
        >>> import tempfile
        >>> from pathlib import Path
        >>> from chalkwatt import load
        >>> with tempfile.TemporaryDirectory() as folder:
        ...     load.page(Path(folder) / "range.html", speed="110 km/h", usable_energy="38 kWh",
        ...         consumption="15 kWh/100km", wanted="range").name
        'range.html'
        """
        made: Path = show(self, "page", path, wanted=wanted, **known)
        return made


def _ends_at(values: Mapping[str, Any], what: str | Plan) -> tuple[Floats, Floats]:
    """Return the value of a known quantity or a plan, as its least and its greatest."""
    made = values[what] if isinstance(what, str) else compile_plan(what)(**values)
    return made, made


def _without(branch: Branch, wanted: str, beyond: Truths) -> Branch:
    """Take from a solution the elements for which the given values are beyond a limit."""
    kept = np.where(beyond, np.nan, branch.values[wanted])
    return replace(branch, values={**branch.values, wanted: kept})


def _disagreement(
    relation: Relation, values: Mapping[str, Any], plans: Mapping[str, Any], apart: float
) -> TooMuchKnownError:
    involved = [name for name in relation.names if name in values]
    for plan in plans.values():
        involved += [name for step in plan.steps for name in sorted(step.needs) if name in values]
    names = tuple(dict.fromkeys(involved))
    return TooMuchKnownError(
        f"Too much is known, and it disagrees: "
        f"the two sides of “{relation.title}” differ by {as_percent(apart, 3)}.",
        quantity=names[0] if names else None,
        relation=relation.title,
        disagreement=apart,
        involved=names,
        advice=f"Leave out one of {', '.join(names)}, or correct it.",
    )
