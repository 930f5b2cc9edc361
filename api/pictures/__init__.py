"""Drawings of tools and plots, as SVG.

May import settings.
"""
