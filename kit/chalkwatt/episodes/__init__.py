"""Episodes: everything that a sheet makes, and what a change of it changes."""
