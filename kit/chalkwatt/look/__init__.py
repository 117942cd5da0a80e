"""Look: themes, frames and ticks for everything that is drawn."""
