"""Which limit binds, and what else has to be said beside a number, or in place of one."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from chalkwatt.algebra.numpy_tree import compile_tree
from chalkwatt.algebra.trees import names
from chalkwatt.laws.quantities import constants, look_up
from chalkwatt.rendering.phrases import amount, no_part, several
from chalkwatt.rendering.spoken_printer import SpokenPrinter
from chalkwatt.wording.numbers import with_unit

if TYPE_CHECKING:
    from collections.abc import Collection, Iterator, Mapping

    from chalkwatt.algebra.trees import Operation, Tree
    from chalkwatt.laws.relations import Remark
    from chalkwatt.planning.network import Network
    from chalkwatt.planning.plans import Plan, Step

__all__ = [
    "beside",
    "binding_notes",
    "idle",
    "idle_notes",
    "least_of",
    "left_out",
    "refusal",
    "remarks",
    "told_of",
]


def binding_notes(plan: Plan, values: Mapping[str, Any]) -> tuple[str, ...]:
    """Say of every least of several that a plan uses which one it is, and which comes next.

    Parameters
    ----------
    plan : Plan
    values : mapping of str to float
        The quantities of one solution, in SI units.

    Returns
    -------
    tuple of str
        One sentence a relation; empty where the plan compares nothing.

    Examples
    --------
    >>> from chalkwatt import charge
    >>> charge.find("station_power_limit", station_power_max="150 kW", station_current_max="300 A",
    ...             charging_voltage="380 V").notes
    ('Limit of the station (direct current): charging voltage times maximum station current binds, at
    114.0 kW; next would be maximum station power, at 150.0 kW.', 'Direct current, which goes round the
    charger on board.')
    """
    made = []
    for relation in plan.relations:
        if relation.remarks:
            continue  # it says in its own words which one it is
        for side in relation.sides:
            for least in least_of(side):
                sentence = _sentence(relation.title, least, values, _unit_source(relation.sides))
                made += [sentence] if sentence else []
    return tuple(made)


def left_out(plan: Plan) -> tuple[str, ...]:
    """Say which limits a plan leaves out although some of what makes them is given.

    Examples
    --------
    >>> from chalkwatt import launch
    >>> from chalkwatt.rendering.limits import left_out
    >>> left_out(launch.network.plan("wheel_power", ["motor_power", "drive_efficiency", "pack_voltage"]))
    ('The battery’s limit is left out: the pack voltage alone does not make it.',)
    """
    return tuple(
        f"{limit} is left out: the {_listed(given)} alone {'do' if several(given) else 'does'} "
        "not make it."
        for limit, given in plan.half_known.items()
    )


def beside(plan: Plan, said: Mapping[str, str]) -> str:
    """Say which given values the relations of a plan leave out although they matter; empty where none.

    Parameters
    ----------
    plan : Plan
    said : mapping of str to str
        What nothing was reckoned with, in words, by name.

    Returns
    -------
    str

    Examples
    --------
    >>> from chalkwatt import launch
    >>> from chalkwatt.rendering.limits import beside
    >>> plan = launch.network.plan("power_bound_time", ["target_speed", "mass", "wheel_power"])
    >>> print(beside(plan, {"grade": "6 %"}))
    The grade of 6 % is left out: “Time to a speed with power alone” knows neither hills nor wind. ...
    """
    for relation in reversed(plan.relations):
        found = {name: one for name, one in said.items() if name in relation.leaves_out}
        if found:
            told = " and ".join(amount(name, one, "the") for name, one in found.items())
            are, it = ("are", "them") if several(tuple(found)) else ("is", "it")
            return (
                f"T{told[1:]} {are} left out: “{relation.title}” knows neither hills nor wind. Nothing "
                f"here finds the {look_up(plan.wanted).words} with {it}; acceleration or deceleration at "
                "one speed, from drive or brake force, knows both."
            )
    return ""


def idle(
    network: Network, plan: Plan, known: Collection[str], compared: Collection[str] = ()
) -> tuple[str, ...]:
    """Return which given values nothing is reckoned with in a plan, and nothing is checked by.

    Parameters
    ----------
    network : Network
    plan : Plan
    known : collection of str
        Names of all that is given.
    compared : collection of str
        What was held against a limit.

    Returns
    -------
    tuple of str

    Examples
    --------
    >>> from chalkwatt import load
    >>> from chalkwatt.rendering.limits import idle
    >>> known = ["speed", "drag_area", "air_density", "usable_energy"]
    >>> idle(load.network, load.network.plan("air_force", known), known)
    ('usable_energy',)
    """
    used = {name for step in (*plan.groundwork, *plan.steps) for name in step.needs}
    used |= {*compared, *(name for given in plan.half_known.values() for name in given)}
    if used.issuperset(known):
        return ()
    for relation, plans in network.surplus(tuple(known)):
        used |= {*relation.names}
        used |= {one for made in plans.values() for step in made.steps for one in step.needs}
    return tuple(name for name in known if name not in used)


def idle_notes(plan: Plan, said: Mapping[str, str], nought: Collection[str] = ()) -> list[str]:
    """Say of given values that nothing was reckoned with them, or that they are left out although they matter.

    Parameters
    ----------
    plan : Plan
    said : mapping of str to str
        What nothing was reckoned with, in words, by name.
    nought : collection of str
        Which of them are nought, and so left out of nothing.

    Returns
    -------
    list of str
    """
    left = beside(plan, {name: one for name, one in said.items() if name not in nought})
    out = {one for relation in plan.relations for one in relation.leaves_out} if left else set()
    rest = {name: one for name, one in said.items() if name not in out}
    return [*([left] if left else []), *([no_part(rest)] if rest else [])]


def _listed(given: tuple[str, ...]) -> str:
    words = [look_up(one).words for one in given]
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"


def remarks(plan: Plan, values: Mapping[str, Any]) -> tuple[str, ...]:
    """Say what the relations of a plan have to say beside the result.

    Parameters
    ----------
    plan : Plan
    values : mapping of str to float
        The quantities of one solution, in SI units.

    Returns
    -------
    tuple of str

    Examples
    --------
    >>> from chalkwatt import launch
    >>> launch.find("time_to_speed", target_speed="30 km/h", mass=1180, motor_power="95 kW",
    ...             drive_efficiency=0.9, friction=0.9, driven_weight_share=0.55).notes
    ('The tyres limit the start all the way to this speed: more power no longer helps.',)
    """
    every = {**constants(), **values}
    return tuple(
        told_of(one, every)
        for relation in plan.relations
        for one in relation.remarks
        if all(name in every for name in names(one.tree))
        and float(compile_tree(one.tree)(every)) > 0
    )


def told_of(remark: Remark, values: Mapping[str, Any]) -> str:
    """Say a remark, with the value at which it is so where it names one.

    Parameters
    ----------
    remark : Remark
    values : mapping of str to float
        In SI units.

    Returns
    -------
    str
    """
    if remark.place is None:
        return remark.words
    number = float(compile_tree(remark.place)(values))
    return remark.words.replace("{at}", with_unit(number, remark.label))


def refusal(step: Step, values: Mapping[str, Any]) -> Remark | None:
    """Say why the relations of a step give no value here; None where they have nothing to say.

    Parameters
    ----------
    step : Step
    values : mapping of str to float
        What was known when the step failed, in SI units.

    Returns
    -------
    Remark or None
    """
    said = (
        one
        for relation in (*step.relations, *step.holds)
        for one in relation.refusals
        if all(name in values for name in names(one.tree))
        and float(compile_tree(one.tree)(values)) <= 0
    )
    return next(said, None)


def least_of(tree: Tree) -> Iterator[Operation]:
    """Yield every least of several in a tree.

    Examples
    --------
    >>> from chalkwatt.rendering.limits import least_of
    >>> list(least_of(("*", "share", ("min", "first", "second"))))
    [('min', 'first', 'second')]
    """
    if isinstance(tree, tuple):
        if tree[0] == "min":
            yield tree
        for part in tree[1:]:
            yield from least_of(part)


def _unit_source(sides: tuple[Tree, Tree]) -> str | None:
    """Return the lone quantity on a side; its unit serves a compared product that has no name."""
    return next((side for side in sides if isinstance(side, str)), None)


def _sentence(title: str, least: Operation, values: Mapping[str, Any], whole: str | None) -> str:
    parts = [part for part in least[1:] if all(name in values for name in names(part))]
    if len(parts) < 2:
        return ""
    first, second, *_ = sorted(parts, key=lambda part: float(compile_tree(part)(values)))
    said = []
    for part in (first, second):
        entry = look_up(part) if isinstance(part, str) else look_up(whole) if whole else None
        words = SpokenPrinter().print(part)
        number = float(compile_tree(part)(values))
        label = entry.display[0] if entry else ""
        shown = with_unit(float(entry.in_unit(number)) if entry else number, label)
        said.append((words, shown))
    (binding, low), (other, high) = said
    return f"{title}: {binding} binds, at {low}; next would be {other}, at {high}."
