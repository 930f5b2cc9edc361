"""Answers as text for a terminal. Imports nothing else of api."""
