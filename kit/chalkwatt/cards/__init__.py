"""Cards: pictures and films for a video."""
