"""The command line: each command imports what it needs.

May import every other room.
"""
