"""Stopwatch records, and the scores they give.

May import every other room but bench.
"""
