"""Invented trips, designs and bodies that come along.

Imports nothing else of api.
"""
