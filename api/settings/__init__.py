"""How the service is set, its units, its counters, and what refuses to start it.

Imports nothing else of api.
"""
