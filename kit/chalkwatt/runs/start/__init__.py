"""The standing start."""
