"""Numerical methods that know no subject.

May import tables.
"""
