"""The best kits of a case, proven: tree search, bounds, choice, and the programs beside it.

May import model and forms.
"""
