"""The workshop: a tool's outline in from a drawing file, and its workshop sheet out as PDF and DXF.

May import endpoints and below.
"""
