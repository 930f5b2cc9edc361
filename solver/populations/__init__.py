"""How trips vary: populations of trips, and the trips that are drawn from them by a seed.

May import forms.
"""
