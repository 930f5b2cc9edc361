"""What carrying and working cost the body, and how fast people walk.

May import tables and maths.
"""
