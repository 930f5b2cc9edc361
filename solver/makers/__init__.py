"""What a maker asks of drawings: which design is best over trips, and how much pieces of one differ.

May import answers and below.
"""
