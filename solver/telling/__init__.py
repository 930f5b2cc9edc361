"""What was found, in words: rows, reasons, cautions.

May import answers and below.
"""
