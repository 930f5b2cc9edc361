"""What a maker asks over trips: on which share of them a tool is in the lightest kit, and which design is best.

May import answers and below.
"""
