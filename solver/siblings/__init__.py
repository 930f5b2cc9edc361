"""Cases of the same tools side by side: the lightest kit of each, the next kits, what kits lack, and guesses at them.

May import search, model, programs and forms.
"""
