"""Answers as text for a terminal.

May import endpoints and below, for the forms of answers.
"""
