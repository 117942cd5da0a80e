"""Chalkwatt: living equations for people who explain electric vehicles.

Nothing heavy is imported until it is touched, so that ``import chalkwatt`` costs a few
milliseconds.
"""

from __future__ import annotations

import importlib
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from chalkwatt.boards.run_board import run_board
    from chalkwatt.claims import Claim
    from chalkwatt.comparison import compare
    from chalkwatt.disputed import disagreements
    from chalkwatt.drive_losses import fit_drive_losses
    from chalkwatt.errors import (
        ChalkwattError,
        NameUnknownError,
        NoSolutionError,
        OutOfBoundsError,
        SheetError,
        TooLittleKnownError,
        TooMuchKnownError,
        UnitError,
    )
    from chalkwatt.flows import EnergyFlow, energy_flow
    from chalkwatt.layouts import pack_layouts
    from chalkwatt.publish.bars_card import bars_card, spread_card
    from chalkwatt.publish.card import equation_build, equation_card
    from chalkwatt.publish.drawn_card import drawn_card
    from chalkwatt.publish.episode import Episode, episode
    from chalkwatt.publish.figure_card import curve_card, figure_card
    from chalkwatt.publish.motion import film, run_motion, sweep_motion
    from chalkwatt.publish.pages import page
    from chalkwatt.publish.proofread import proofread
    from chalkwatt.publish.run_card import run_card
    from chalkwatt.publish.script import script
    from chalkwatt.publish.worksheet import worksheet
    from chalkwatt.sheets import Sheet
    from chalkwatt.simulate import roofs, schedules
    from chalkwatt.simulate.charge_session import charge_session
    from chalkwatt.simulate.coast_down import coast_down
    from chalkwatt.simulate.drive_schedule import drive_schedule
    from chalkwatt.simulate.sky import MissingExtraError, measured_sky
    from chalkwatt.simulate.solar_day import solar_day
    from chalkwatt.simulate.solar_year import solar_year
    from chalkwatt.simulate.standing_start import standing_start
    from chalkwatt.simulate.traces import TraceError
    from chalkwatt.topics import load, pack, sun
    from chalkwatt.topics.ageing import ageing
    from chalkwatt.topics.braking import braking
    from chalkwatt.topics.cabin import cabin
    from chalkwatt.topics.charge import charge
    from chalkwatt.topics.climate import climate
    from chalkwatt.topics.discharge import discharge
    from chalkwatt.topics.drive import drive
    from chalkwatt.topics.economy import economy
    from chalkwatt.topics.launch import launch
    from chalkwatt.topics.panel import panel
    from chalkwatt.topics.stops import stops
    from chalkwatt.topics.tyres import tyres
    from chalkwatt.topics.vehicle import vehicle
    from chalkwatt.topics.weather import weather

__version__ = "0.1.0"

# Public name -> (module, attribute); None means the attribute of the same name.
_PUBLIC: dict[str, tuple[str, str | None]] = {
    "load": ("chalkwatt.topics.load", "load"),
    "pack": ("chalkwatt.topics.pack", "pack"),
    "sun": ("chalkwatt.topics.sun", "sun"),
    "vehicle": ("chalkwatt.topics.vehicle", "vehicle"),
    "drive": ("chalkwatt.topics.drive", "drive"),
    "energy_flow": ("chalkwatt.flows", None),
    "EnergyFlow": ("chalkwatt.flows", None),
    "fit_drive_losses": ("chalkwatt.drive_losses", None),
    "economy": ("chalkwatt.topics.economy", "economy"),
    "schedules": ("chalkwatt.simulate", "schedules"),
    "drive_schedule": ("chalkwatt.simulate.drive_schedule", None),
    "run_board": ("chalkwatt.boards.run_board", None),
    "coast_down": ("chalkwatt.simulate.coast_down", None),
    "solar_day": ("chalkwatt.simulate.solar_day", None),
    "solar_year": ("chalkwatt.simulate.solar_year", None),
    "measured_sky": ("chalkwatt.simulate.sky", None),
    "roofs": ("chalkwatt.simulate", "roofs"),
    "MissingExtraError": ("chalkwatt.simulate.sky", None),
    "TraceError": ("chalkwatt.simulate.traces", None),
    "page": ("chalkwatt.publish.pages", None),
    "Sheet": ("chalkwatt.sheets", None),
    "Claim": ("chalkwatt.claims", None),
    "compare": ("chalkwatt.comparison", None),
    "disagreements": ("chalkwatt.disputed", None),
    "pack_layouts": ("chalkwatt.layouts", None),
    "episode": ("chalkwatt.publish.episode", None),
    "Episode": ("chalkwatt.publish.episode", None),
    "standing_start": ("chalkwatt.simulate.standing_start", None),
    "charge_session": ("chalkwatt.simulate.charge_session", None),
    "charge": ("chalkwatt.topics.charge", "charge"),
    "launch": ("chalkwatt.topics.launch", "launch"),
    "ageing": ("chalkwatt.topics.ageing", "ageing"),
    "climate": ("chalkwatt.topics.climate", "climate"),
    "braking": ("chalkwatt.topics.braking", "braking"),
    "stops": ("chalkwatt.topics.stops", "stops"),
    "tyres": ("chalkwatt.topics.tyres", "tyres"),
    "weather": ("chalkwatt.topics.weather", "weather"),
    "panel": ("chalkwatt.topics.panel", "panel"),
    "discharge": ("chalkwatt.topics.discharge", "discharge"),
    "cabin": ("chalkwatt.topics.cabin", "cabin"),
    "equation_card": ("chalkwatt.publish.card", None),
    "equation_build": ("chalkwatt.publish.card", None),
    "figure_card": ("chalkwatt.publish.figure_card", None),
    "curve_card": ("chalkwatt.publish.figure_card", None),
    "run_card": ("chalkwatt.publish.run_card", "run_card"),
    "bars_card": ("chalkwatt.publish.bars_card", "bars_card"),
    "spread_card": ("chalkwatt.publish.bars_card", None),
    "drawn_card": ("chalkwatt.publish.drawn_card", "drawn_card"),
    "run_motion": ("chalkwatt.publish.motion", None),
    "sweep_motion": ("chalkwatt.publish.motion", None),
    "film": ("chalkwatt.publish.motion", None),
    "script": ("chalkwatt.publish.script", "script"),
    "proofread": ("chalkwatt.publish.proofread", "proofread"),
    "worksheet": ("chalkwatt.publish.worksheet", "worksheet"),
    "ChalkwattError": ("chalkwatt.errors", None),
    "UnitError": ("chalkwatt.errors", None),
    "NameUnknownError": ("chalkwatt.errors", None),
    "TooLittleKnownError": ("chalkwatt.errors", None),
    "TooMuchKnownError": ("chalkwatt.errors", None),
    "NoSolutionError": ("chalkwatt.errors", None),
    "OutOfBoundsError": ("chalkwatt.errors", None),
    "SheetError": ("chalkwatt.errors", None),
}

__all__ = [*_PUBLIC, "__version__"]  # noqa: PLE0604  names are served by __getattr__


def __getattr__(name: str) -> Any:  # noqa: ANN401  a module attribute may be anything
    """Import a public name the first time it is asked for."""
    if name not in _PUBLIC:
        message = f"module 'chalkwatt' has no attribute {name!r}"
        raise AttributeError(message)
    module, attribute = _PUBLIC[name]
    value = getattr(importlib.import_module(module), attribute or name)
    globals()[name] = value
    return value


def __dir__() -> list[str]:
    return sorted(__all__)
