"""Trips in cells and tables, answers as text and CSV.

May import endpoints and below, not web.
"""
