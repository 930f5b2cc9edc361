"""What a maker asks over many trips: on which share of them a tool is in the lightest kit, and at what mass.

May import answers and below.
"""
