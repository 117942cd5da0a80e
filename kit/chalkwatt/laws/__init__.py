"""Laws: the named quantities, and the relations between them."""
