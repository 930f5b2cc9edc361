"""Places for solves, and memory with a bound.

May import settings.
"""
