"""The best design of all that measures allow: a continuous search, each design weighed by exact kits.

May import answers and below.
"""
