"""Claims, and the verdicts on them."""
