"""Tokens, sessions, limits on guessing and on requests."""
