"""Scripts: narration with numbers in it."""
