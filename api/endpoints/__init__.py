"""The addresses that take and give JSON, a file each.

May import answering and below.
"""
