"""Sunlight through a day and a year."""
