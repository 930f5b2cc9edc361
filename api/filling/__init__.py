"""Files of trips filled in: a row a trip, in CSV and in workbooks, whatever else stands in them.

May import sheet and below, not workbook.
"""
