"""Bodies, headers, limits and failures, whatever is asked.

May import examples, solving, store and settings.
"""
