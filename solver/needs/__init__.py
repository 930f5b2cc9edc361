"""From a trip to jobs, who can do them in what time, and the case they make.

May import search, model, place and forms.
"""
