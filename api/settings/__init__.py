"""How the service is set, its units, and its counters.

Imports nothing else of api.
"""
