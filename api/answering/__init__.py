"""What every answer shares: who asks, stored catalogs, progress, what was answered before.

May import middleware and below.
"""
