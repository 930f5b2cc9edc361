"""Integer and linear programs as rows of numbers: solvers that propose, and bounds that whole numbers prove.

May import exact and forms.
"""
