"""Stops of machines: raised by readings and findings, latched, released by people."""
