"""Evidence: sheets, how sure they are, claims and what becomes of them."""
