"""Views: who shows what, and the only page that knows.

Rooms below ask :func:`chalkwatt.answering.showing.show`. What shows a thing is imported when it is shown:
widgets, Matplotlib and fonts take longer to load than most questions take to answer.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping
    from pathlib import Path

    from matplotlib.figure import Figure

    from chalkwatt.boards.board import Board
    from chalkwatt.boards.verdict_board import ValuelessBoard, VariantBoard, VerdictBoard
    from chalkwatt.cards.picture import Card
    from chalkwatt.evidence.sheets.sheet import Sheet

__all__ = ["VIEWS"]

# Each brings what shows; the options of a view are written out where it is defined.


def _topic_board() -> Callable[..., Board]:
    from chalkwatt.boards.board import board

    return board


def _topic_page() -> Callable[..., Path]:
    from chalkwatt.pages.document import page

    return page


def _answer_card() -> Callable[..., Card]:
    from chalkwatt.cards.card import equation_card

    return equation_card


def _sheet_page() -> Callable[..., Path]:
    from chalkwatt.pages.compose import page

    def sheet_page(sheet: Sheet, path: str | Path, /, *, title: str) -> Path:
        return page(path, sheet, title=title)

    return sheet_page


def _sheet_company() -> Callable[..., None]:
    from chalkwatt.boards.company import join

    return join


def _verdict_board() -> Callable[..., VerdictBoard]:
    from chalkwatt.boards.verdict_board import VerdictBoard

    return VerdictBoard


def _valueless_board() -> Callable[..., ValuelessBoard]:
    from chalkwatt.boards.verdict_board import ValuelessBoard

    return ValuelessBoard


def _variant_board() -> Callable[..., VariantBoard]:
    from chalkwatt.boards.verdict_board import VariantBoard

    return VariantBoard


def _style() -> Callable[..., str]:
    from chalkwatt.figures.plot import style

    return lambda _: style()


def _comparison() -> Callable[..., str]:
    from chalkwatt.figures.comparison import comparison_figure

    return comparison_figure


def _layouts() -> Callable[..., str]:
    from chalkwatt.figures.layouts import layouts_figure

    return layouts_figure


def _charge() -> Callable[..., Figure]:
    from chalkwatt.figures.charge import charge_figure

    return charge_figure


def _flow() -> Callable[..., Figure]:
    from chalkwatt.figures.flow import flow_figure

    return flow_figure


def _schedule() -> Callable[..., Figure]:
    from chalkwatt.figures.trip import schedule_figure

    return schedule_figure


def _trip() -> Callable[..., Figure]:
    from chalkwatt.figures.trip import trip_figure

    return trip_figure


def _start() -> Callable[..., Figure]:
    from chalkwatt.figures.start import start_figure

    return start_figure


def _day() -> Callable[..., Figure]:
    from chalkwatt.figures.solar import day_figure

    return day_figure


def _year() -> Callable[..., Figure]:
    from chalkwatt.figures.solar import year_figure

    return year_figure


# By the name of a class, or of one that it builds on, and the way in which it asks to be shown.
VIEWS: Mapping[str, Callable[[], Callable[..., Any]]] = {
    "Topic.board": _topic_board,
    "Topic.page": _topic_page,
    "Answer.card": _answer_card,
    "Sheet.page": _sheet_page,
    "Sheet.company": _sheet_company,
    "Verdict.board": _verdict_board,
    "ValuelessVerdict.board": _valueless_board,
    "VariantVerdict.board": _variant_board,
    "Comparison.style": _style,
    "Comparison.figure": _comparison,
    "Layouts.style": _style,
    "Layouts.figure": _layouts,
    "ChargeRun.figure": _charge,
    "EnergyFlow.figure": _flow,
    "Schedule.figure": _schedule,
    "Trip.figure": _trip,
    "StartRun.figure": _start,
    "SolarDay.figure": _day,
    "SolarYear.figure": _year,
}
