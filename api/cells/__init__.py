"""Functions for cells: an add-in for Calc, and a script for sheets in the cloud.

May import sheet and below, not workbook.
"""
