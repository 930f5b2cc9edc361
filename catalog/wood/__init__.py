"""Species, moisture and cold, the work of cutting, and wood as fuel.

May import tables and maths.
"""
