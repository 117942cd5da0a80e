"""Answering: topics, the answers that they give, and what is said where there is none."""
