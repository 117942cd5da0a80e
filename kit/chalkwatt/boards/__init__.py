"""Boards: the interactive widget of a topic, and its still picture."""
