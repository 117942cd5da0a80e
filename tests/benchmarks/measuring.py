"""Time ways of doing one thing against each other, in one run, and print a table of ratios."""

import os
import platform
import statistics
import time


def machine():
    """The machine, in one line; never a path or a name."""
    cores = os.cpu_count()
    return f"{cores} cores, {platform.system()} {platform.machine()}, Python {platform.python_version()}"


def seconds(ways, *, rounds=7):
    """Median seconds of each way; the ways take turns, so that a busy machine slows them alike.

    Parameters
    ----------
    ways : dict of str to callable
        Each does its work once, and is called once before the first round.
    rounds : int

    Returns
    -------
    dict of str to float
    """
    for way in ways.values():
        way()
    taken = {name: [] for name in ways}
    for _ in range(rounds):
        for name, way in ways.items():
            start = time.perf_counter()
            way()
            taken[name].append(time.perf_counter() - start)
    # Noise only ever adds: the quickest quarter says what the work costs.
    return {
        name: statistics.median(sorted(times)[: max(1, rounds // 2)])
        for name, times in taken.items()
    }


def table(title, made, *, against, count=1, unit="ns", reach=None):
    """Print a table: time each, and how many times the reference."""
    scale = {"ns": 1e9, "µs": 1e6, "ms": 1e3}[unit]
    print(f"\n{title} ({machine()})")
    width = max(len(name) for name in made)
    for name, each in made.items():
        print(
            f"  {name:<{width}}  {each / count * scale:>12,.2f} {unit}  {each / made[against]:>9.2f} ×"
        )
    if reach is not None:
        name, most = reach
        ratio = made[name] / made[against]
        print(
            f"  reach: at most {most} ×; {'met' if ratio <= most else 'MISSED'} with {ratio:.2f} ×"
        )


def ratio(made, name, against):
    """Return how many times the reference one way takes."""
    return made[name] / made[against]
