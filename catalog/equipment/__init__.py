"""Tools, their kinds, field methods and camp work: what rows may say.

May import tables and maths.
"""
