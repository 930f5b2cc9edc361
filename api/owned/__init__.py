"""What an owner has besides catalogs: jobs.

May import endpoints and below.
"""
