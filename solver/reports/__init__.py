"""One function a question, from form to answer.

May import every other room.
"""
