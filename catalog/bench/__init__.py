"""Strength, cost and cautions of a drawing, its row for the catalog, and variations of it.

May import scores and below.
"""
