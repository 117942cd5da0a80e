"""Algebra: trees of operations, their roots, and graphs; nothing here knows what a quantity is."""
