"""The steps, oldest first by their number."""
