"""The service as a planning spreadsheet meets it: one cell, a table, a workbook."""
