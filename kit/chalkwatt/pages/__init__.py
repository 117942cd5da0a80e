"""Pages: one-file HTML."""
