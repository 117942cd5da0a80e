"""Publishing: boards and figures outside the notebook."""
