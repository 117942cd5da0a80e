"""The figure of a charge session."""

from __future__ import annotations

from typing import TYPE_CHECKING

from chalkwatt.figures.style import Ink, drawing, quiet_axes, theme
from chalkwatt.wording.numbers import with_unit

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

    from chalkwatt.runs.charge.run import ChargeRun

__all__ = ["charge_figure"]


def charge_figure(run: ChargeRun, *, theme_name: str = "light", width: float = 8.0) -> Figure:
    """Draw power against state of charge, and state of charge against time.

    Parameters
    ----------
    run : ChargeRun
    theme_name : str
        ``"light"`` or ``"dark"``.
    width : float
        Inches.

    Returns
    -------
    matplotlib.figure.Figure

    Examples
    --------
    >>> import chalkwatt as cw
    >>> from chalkwatt.figures.charge import charge_figure
    >>> session = cw.charge_session(
    ...     power_curve={0.0: "80 kW", 1.0: "20 kW"}, usable_energy="36 kWh",
    ...     state_of_charge_from=0.1, state_of_charge_to=0.8,
    ... )
    >>> [axes.get_xlabel() for axes in charge_figure(session).axes]
    ['state of charge in %', 'time in min']
    """
    ink = theme(theme_name)
    shares, power = run.curve["state_of_charge"] * 100, run.curve["power"] / 1000
    minutes = run.curve["time"] / 60
    small = power.max() < 1.0
    scale, unit = (1000.0, "W") if small else (1.0, "kW")
    with drawing(width, 6.2, ink) as figure:
        above, below = figure.subplots(2, 1)
        above.plot(shares, power * scale, color=ink.good, linewidth=2.0)
        above.fill_between(shares, power * scale, color=ink.good, alpha=0.12, linewidth=0)
        average = float(run.average_power.magnitude)
        above.axhline(average * scale, color=ink.lost, linewidth=1.6, linestyle=(0, (6, 2.5)))
        _say(above, ink, f"average {with_unit(average * scale, unit)}", average * scale)
        above.set_xlim(shares[0], shares[-1])
        above.set_ylim(0, power.max() * scale * 1.22)
        above.set_ylabel(f"power in {unit}")
        above.set_xlabel("state of charge in %")
        peak = with_unit(float(run.peak_power.magnitude) * scale, unit)
        duration = with_unit(float(run.time.magnitude), "min")
        way = f" ({run.way.name})" if run.way else ""
        above.set_title(f"{run.name or 'Charge session'}: {duration}, peak {peak}{way}", pad=14)
        below.plot(minutes, shares, color=ink.good, linewidth=2.0)
        below.set_xlim(0, minutes[-1])
        below.set_ylim(0, 100)
        below.set_ylabel("state of charge in %")
        below.set_xlabel("time in min")
        for axes in (above, below):
            quiet_axes(axes, ink)
        _phases(above, ink, run)
    return figure


def _say(axes: Axes, ink: Ink, words: str, level: float) -> None:
    axes.annotate(
        words,
        (0.0, level),
        xycoords=("axes fraction", "data"),
        xytext=(6, -4),
        textcoords="offset points",
        va="top",
        color=ink.lost_text,
        fontsize=10,
    )


def _phases(axes: Axes, ink: Ink, run: ChargeRun) -> None:
    """Name what limits the session above the stretch where it does."""
    whole = run.state_of_charge_to - run.phases[0].state_of_charge_from
    for number, one in enumerate(run.phases):
        low, high = 100 * one.state_of_charge_from, 100 * one.state_of_charge_to
        if number:
            axes.axvline(low, color=ink.hair, linewidth=0.8)
        if (high - low) / 100 > 0.17 * whole:
            axes.annotate(
                one.limit,
                ((low + high) / 2, 1.0),
                xycoords=("data", "axes fraction"),
                xytext=(0, -4),
                textcoords="offset points",
                ha="center",
                va="top",
                color=ink.quiet,
                fontsize=9,
            )
