"""The demo: an invented portfolio, real processes, everything over HTTP.

Only what no API offers (the first registration, passwords, tokens) is done in the
database; the rest goes the way that a technician's device and an office would go.
"""
