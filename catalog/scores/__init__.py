"""One scale of scores: what a drawing comes to, and what is known of the built-in tools.

May import drawings, wood and below.
"""
