"""From a drawing to what the tool can do, on the scale of the catalog.

May import drawings, wood and below.
"""
