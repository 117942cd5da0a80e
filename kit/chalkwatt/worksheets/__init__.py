"""Worksheets: problems and their keys."""
