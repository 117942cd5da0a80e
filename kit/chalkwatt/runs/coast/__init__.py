"""Coasting down."""
