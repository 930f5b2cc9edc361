"""What is kept: catalogs, keys, backups, and the steps between versions of the tables.

May import settings.
"""
