"""Bodies, media types, conditions, routes and failures, whatever is asked.

May import questions, examples, solving, store and settings.
"""
