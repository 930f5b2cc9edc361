"""What to own for several trips: the kits that count in each, and the tools that serve them all, proven.

May import search, model and forms.
"""
