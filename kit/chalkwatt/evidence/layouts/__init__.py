"""Layouts: cells in series and in parallel that fit what was seen."""
