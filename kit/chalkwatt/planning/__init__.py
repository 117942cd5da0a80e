"""Planning: from what is known to what is wanted, through relations turned round."""
