"""The glossary as a page, generated from the quantities themselves."""

from __future__ import annotations

import importlib
import pkgutil
from html import escape
from typing import TYPE_CHECKING

import chalkwatt.laws.glossary as fields
from chalkwatt.laws.disputed import disagreements
from chalkwatt.rendering.printers import MathmlPrinter
from chalkwatt.wording.numbers import format_alike, format_input

if TYPE_CHECKING:
    from chalkwatt.laws.quantities import Quantity

__all__ = ["glossary_page"]

_STYLE = """
body { font: 1rem/1.5 system-ui, sans-serif; max-width: 62rem; margin: 2rem auto; padding: 0 1rem; }
table { border-collapse: collapse; width: 100%; }
th, td { text-align: left; vertical-align: baseline; padding: 0.3rem 0.8rem 0.3rem 0; }
th { font-weight: 600; border-bottom: 1px solid; }
code { font-size: 0.9em; overflow-wrap: anywhere; }
:root { color-scheme: light dark; }
@media (max-width: 40rem) { table:not(.disputed) :is(th, td):nth-child(n + 4) { display: none; } }
"""


def glossary_page() -> str:
    """Return the glossary as one HTML page: every quantity, and where sources disagree.

    Returns
    -------
    str
        A complete HTML document without scripts or requests.

    Examples
    --------
    >>> from chalkwatt.pages.glossary_page import glossary_page
    >>> "drag_area" in glossary_page()
    True
    """
    parts = []
    for module in pkgutil.iter_modules(fields.__path__):
        field = importlib.import_module(f"chalkwatt.laws.glossary.{module.name}")
        title = (field.__doc__ or module.name).splitlines()[0].rstrip(".")
        rows = "\n".join(_row(entry) for entry in field.QUANTITIES)
        parts.append(
            f"<h2>{escape(title)}</h2>\n<table>\n<thead><tr><th>Symbol</th><th>Name</th><th>What it is</th>"
            f"<th>Units</th><th>Usual range</th></tr></thead>\n<tbody>\n{rows}\n</tbody>\n</table>"
        )
    parts.append(f"<h2>Where sources disagree</h2>\n{disagreements()._repr_html_()}")
    body = "\n".join(parts)
    return (
        '<!doctype html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f"<title>Chalkwatt: glossary of quantities</title>\n<style>{_STYLE}</style>\n</head>\n"
        f"<body>\n<main>\n<h1>Glossary of quantities</h1>\n{body}\n</main>\n</body>\n</html>\n"
    )


def _row(entry: Quantity) -> str:
    symbol = MathmlPrinter().symbol(entry.name)
    shown = ", ".join(escape(one or "plain number") for one in entry.display)
    return (
        f"<tr><td><math>{symbol}</math></td><td><code>{entry.name}</code></td>"
        f"<td>{escape(entry.sentence)}</td><td>{shown}</td><td>{escape(_usual(entry))}</td></tr>"
    )


def _usual(entry: Quantity) -> str:
    label = entry.display[0]
    if entry.constant is not None:
        return f"{format_input(entry.constant, 9)} {label}".strip()
    low, high = format_alike([float(entry.in_unit(one)) for one in entry.usual], 3)
    return f"{low} to {high} {label}".strip()
