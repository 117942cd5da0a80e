"""Figures: runs, days and chains in Matplotlib; verdicts, layouts and comparisons as SVG."""
