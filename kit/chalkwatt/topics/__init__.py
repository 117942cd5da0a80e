"""Topics: each file reads like a page of a textbook, relations first."""
