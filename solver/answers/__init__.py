"""Everything asked about a kit: gaps, conflicts, prices, breakpoints, robust kits, seasons.

May import needs and below.
"""
