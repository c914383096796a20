"""A machine followed into the future by drawing: which work falls when.

`lives` says how long what runs now, and what comes after it, will run; `offers` which
work answers what has run out; `following` puts both together, for many at once.
"""
