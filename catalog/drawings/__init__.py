"""What a maker draws: blades, handles, heads, frames, steels, and their mass and sections.

May import tables and maths.
"""
