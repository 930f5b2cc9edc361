"""What callers say and what they get: the trip, its rules, and the shapes of answers.

Imports nothing else of solver.
"""
