"""What is offered to many trips: on which share of them a tool, a drawing or a pair is in the lightest kit.

May import answers and below.
"""
