"""The planner page and the embed, as files.

May import endpoints and below, not sheet.
"""
