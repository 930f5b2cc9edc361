"""Draws of a trip: what is not known of it, drawn together, and what one kit does in each draw.

May import needs and what stands below it.
"""
