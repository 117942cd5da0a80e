"""The public names, once: a type checker reads them here, and so does the package when it serves them."""

from .boards.run_board import run_board as run_board
from .cards.bars_card import bars_card as bars_card, spread_card as spread_card
from .cards.card import equation_build as equation_build, equation_card as equation_card
from .cards.drawn_card import drawn_card as drawn_card
from .cards.figure_card import curve_card as curve_card, figure_card as figure_card
from .cards.motion import film as film, run_motion as run_motion, sweep_motion as sweep_motion
from .cards.run_card import run_card as run_card
from .episodes.episode import episode as episode, Episode as Episode
from .errors import (
    CallError as CallError,
    ChalkwattError as ChalkwattError,
    NameUnknownError as NameUnknownError,
    NoSolutionError as NoSolutionError,
    OutOfBoundsError as OutOfBoundsError,
    SheetError as SheetError,
    TooLittleKnownError as TooLittleKnownError,
    TooMuchKnownError as TooMuchKnownError,
    UnitError as UnitError,
)
from .evidence.claims.claims import Claim as Claim
from .evidence.comparison import compare as compare
from .evidence.drive_losses import fit_drive_losses as fit_drive_losses
from .evidence.layouts.pack_layouts import pack_layouts as pack_layouts
from .evidence.sheets.sheet import Sheet as Sheet
from .laws.disputed import disagreements as disagreements
from .pages.compose import page as page
from .runs import roofs as roofs, schedules as schedules
from .runs.charge.charge_session import charge_session as charge_session
from .runs.coast.coast_down import coast_down as coast_down
from .runs.flows import energy_flow as energy_flow, EnergyFlow as EnergyFlow
from .runs.schedule.drive_schedule import drive_schedule as drive_schedule
from .runs.schedule.traces import TraceError as TraceError
from .runs.start.standing_start import standing_start as standing_start
from .runs.sun.sky import measured_sky as measured_sky, MissingExtraError as MissingExtraError
from .runs.sun.solar_day import solar_day as solar_day
from .runs.sun.solar_year import solar_year as solar_year
from .scripts.proofread import proofread as proofread
from .scripts.script import script as script
from .topics.ageing import ageing as ageing
from .topics.braking import braking as braking
from .topics.cabin import cabin as cabin
from .topics.charge import charge as charge
from .topics.climate import climate as climate
from .topics.discharge import discharge as discharge
from .topics.drive import drive as drive
from .topics.economy import economy as economy
from .topics.launch import launch as launch
from .topics.load import load as load
from .topics.pack import pack as pack
from .topics.panel import panel as panel
from .topics.stops import stops as stops
from .topics.sun import sun as sun
from .topics.tyres import tyres as tyres
from .topics.vehicle import vehicle as vehicle
from .topics.weather import weather as weather
from .wording.audience import audience as audience
from .worksheets.worksheet import worksheet as worksheet

__version__: str
__all__: list[str]
