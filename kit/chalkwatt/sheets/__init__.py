"""Sheets: scattered evidence about a vehicle, read from a file that a person writes."""

from __future__ import annotations

from chalkwatt.sheets.facts import ORIGINS, SHAPES, Fact
from chalkwatt.sheets.sheet import Sheet

__all__ = ["ORIGINS", "SHAPES", "Fact", "Sheet"]
