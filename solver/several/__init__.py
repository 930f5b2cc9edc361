"""What serves several trips or scenarios at once: tools to own for a season, and one kit for most scenarios, proven.

May import search, model, programs, exact and forms.
"""
