"""Spread: draws, intervals, and which input matters."""
