"""What every request passes on its way in and out: gates, limits, headers, the log.

May import http and below.
"""
