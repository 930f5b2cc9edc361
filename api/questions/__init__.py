"""The questions that a caller may ask, a row each, and the functions that answer them. May import examples and settings."""
