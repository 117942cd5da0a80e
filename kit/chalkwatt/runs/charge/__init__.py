"""The charge session."""
