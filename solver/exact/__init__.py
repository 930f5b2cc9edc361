"""Exact sums, packings and linear programs of whole numbers: they know no trip.

May import forms.
"""
