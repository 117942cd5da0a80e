"""Wording: units, numbers as people write and say them."""
