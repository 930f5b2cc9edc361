"""Pages and the embed, as files; the guide, its tables, and the form without a script.

May import sheet and below.
"""
