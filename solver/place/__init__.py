"""The place of a trip: its wood as it is worked and burned there, its fire, its wedges, and what a gram costs.

May import forms.
"""
