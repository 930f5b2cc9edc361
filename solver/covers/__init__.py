"""Abstract set covers with two costs: bounds on weighted sums, and every non-dominated cover.

May import programs, exact and forms.
"""
