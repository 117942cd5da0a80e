"""Figures of runs, days and chains: plain Matplotlib, direct labels, a second cue beside colour."""
