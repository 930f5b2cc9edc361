"""The planning workbook, as ods and xlsx.

May import sheet and below, not web.
"""
