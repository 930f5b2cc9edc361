"""The questions that a caller may ask, a row each, and who answers them.

May import examples and settings.
"""
