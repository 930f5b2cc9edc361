"""The application put together, and its workers.

May import contract and below.
"""
