"""A trip as numbers, the integer program, its engine, and what may be left out of it.

May import forms and exact.
"""
