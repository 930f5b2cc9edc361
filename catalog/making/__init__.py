"""What it takes to make a drawn tool: the maker's list, lines and hours that follow from a drawing, cautions.

May import drawings and below.
"""
