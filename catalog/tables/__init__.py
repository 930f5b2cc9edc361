"""Rows, sources, assumptions and ranges: how figures are read and traced.

Imports nothing of the project.
"""
